//! Deciding a two-cage line and applying what was decided, on a farm of six cages in the middle of their runs.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed bench")]

use chrono::{DateTime, Duration, Utc};
use clutchline::desk::streams::StreamState;
use clutchline::desk::{Person, Scene, decide};
use clutchline::domain::MemberNo;
use clutchline::domain::code::UnitCode;
use clutchline::domain::event::{Event, Recorded, StreamId};
use clutchline::domain::message::MessageNo;
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::said::{
    DaySaid, Fact, Order, Reading, Said, StockAmount, UnitSaid, Units, Weighed,
};
use clutchline::units::{Grams, Pupae};
use criterion::{Criterion, criterion_group, criterion_main};
use std::collections::BTreeMap;
use std::hint::black_box;

type Streams = BTreeMap<StreamId, StreamState>;

const HARVESTED_DAYS: i64 = 20;

fn said(number: u16, fact: Fact) -> Said {
    let unit = UnitSaid {
        code: UnitCode::new("C", number).unwrap(),
        checked: false,
        inside_range: false,
    };
    Said {
        units: Units::Named(vec![unit]),
        day: DaySaid::Unsaid,
        fact,
    }
}

fn eggs(number: u16, hundredths: u32) -> Said {
    let weight = Weighed {
        grams: Grams::from_hundredths(hundredths).unwrap(),
        gross_tare: None,
        in_kilograms: false,
        unit_said: false,
    };
    said(number, Fact::Eggs { weight, add: false })
}

/// One message through the desk: the streams that it touches, changed.
fn message(rules: &Rules, streams: &Streams, reading: &Reading, now: DateTime<Utc>) -> Streams {
    let from = PhoneNumber::new("+255700000101").unwrap();
    let state = |stream: StreamId| {
        let known = streams.get(&stream).cloned();
        known.unwrap_or_else(|| StreamState::empty(&stream))
    };
    let phone_state = state(StreamId::Phone(from.clone()));
    let member_state = state(StreamId::Member(MemberNo(1)));
    let farm_state = state(StreamId::Farm(MemberNo(1)));
    let mut people = Vec::new();
    let StreamState::Phone(phone) = &phone_state else {
        return Streams::new();
    };
    if let (StreamState::Member(member), StreamState::Farm(farm)) = (&member_state, &farm_state)
        && member.joined
    {
        people.push(Person { member, farm });
    }
    let scene = Scene {
        rules,
        from: &from,
        phone,
        people,
        named: None,
        unread_before: false,
        message: MessageNo(1),
        free_member: MemberNo(1),
        now,
    };
    let decision = decide(&scene, reading);
    let mut changed = Streams::new();
    for (stream, event) in decision.changes {
        let recorded = Recorded {
            at: now,
            by: decision.by,
            message: Some(MessageNo(1)),
            event,
        };
        let touched = changed
            .entry(stream.clone())
            .or_insert_with(|| state(stream));
        touched.apply(&recorded);
        assert!(!matches!(recorded.event, Event::Rules(_)));
    }
    changed
}

fn bench(criterion: &mut Criterion) {
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let now: DateTime<Utc> = "2026-03-10T05:10:00Z".parse().unwrap();
    let mut streams = Streams::new();
    let join = Order::Join {
        code: "ZIWANI".to_owned(),
        name: "Asha".to_owned(),
    };
    let mut first = Reading::default();
    first.orders.push(join);
    let stocking = Reading {
        said: (1..=6)
            .map(|number| {
                let amount = Some(StockAmount::Count(Pupae::new(8000).unwrap()));
                said(number, Fact::Stock { amount, kind: None })
            })
            .collect(),
        ..Reading::default()
    };
    let start = now - Duration::days(HARVESTED_DAYS + 8);
    streams.extend(message(&rules, &streams, &first, start));
    streams.extend(message(&rules, &streams, &stocking, start));
    for day in 1..=HARVESTED_DAYS {
        let morning = Reading {
            said: (1..=6).map(|number| eggs(number, 300)).collect(),
            ..Reading::default()
        };
        let then = now - Duration::days(day);
        streams.extend(message(&rules, &streams, &morning, then));
    }
    let line = Reading {
        said: vec![eggs(1, 320), eggs(2, 290)],
        ..Reading::default()
    };
    let changed = message(&rules, &streams, &line, now);
    assert_eq!(changed.len(), 1, "the line is recorded");
    criterion.bench_function("decide and apply a two-cage line", |bencher| {
        bencher.iter(|| black_box(message(&rules, &streams, black_box(&line), now)));
    });
}

criterion_group!(benches, bench);
criterion_main!(benches);
