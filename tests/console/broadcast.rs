//! One text to many: counted, priced, timed, slow, stopped; never to who wants none.

use crate::browser::{Browser, COOP, House, house_with, moment, phone, say, text};
use chrono::Duration;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::LinkName;
use clutchline::domain::user::{DeedKind, UserEvent};
use clutchline::domain::{MemberNo, Role};
use clutchline::store::outbox::{OutboxRow, Settled, Urgency};
use std::collections::BTreeMap;

const PAGE: &str = "/console/broadcast";

fn north() -> LinkName {
    LinkName("north".to_owned())
}

/// The house's three members and a hundred and thirty more, all reached by one link at a price.
fn crowd() -> House {
    let mut house = house_with(Settings {
        default_link: Some(north()),
        ..Settings::default()
    });
    let prices = BTreeMap::from([("north".to_owned(), 15_000)]);
    let console =
        clutchline::console::Console::new(house.counter.clone(), house.watch.clone(), None);
    house.console = console.with_prices(prices);
    for no in 3_000..3_130 {
        house
            .counter
            .office(OfficeRequest::AddMember {
                coop: COOP,
                number: Some(MemberNo(no)),
                name: format!("Keeper {no}"),
                lang: Lang::new(if no % 2 == 0 { "sw" } else { "en" }).unwrap(),
                role: Role::Keeper,
                ward: Some(if no < 3_010 { "Msitu" } else { "Ufukwe" }.to_owned()),
                phones: vec![phone(no)],
            })
            .unwrap();
    }
    house.counter.follow(COOP, 1_000).unwrap();
    house
}

fn send(browser: &mut Browser<'_>, fields: &[(&str, &str)]) -> String {
    let mut all = vec![("step", "send")];
    all.extend(fields);
    let answer = browser.send(PAGE, PAGE, &all);
    answer.location.unwrap_or_else(|| answer.status.to_string())
}

/// Leases everything that is due and says that it was sent; to whom.
fn sent(house: &House) -> Vec<MemberNo> {
    let rows = leased(house);
    for row in &rows {
        house.counter.settle(row.id, Settled::sent()).unwrap();
    }
    rows.iter().filter_map(|row| row.outbound.member).collect()
}

fn leased(house: &House) -> Vec<OutboxRow> {
    let rows = house.counter.lease(&north(), "test", 1_000).unwrap();
    rows.into_iter()
        .filter(|row| row.urgency == Urgency::Broadcast)
        .collect()
}

/// To the morning: half past eight in the house's zone.
fn morning(house: &House) {
    let now = house.counter.clock().now();
    house
        .counter
        .clock()
        .advance(moment("2026-03-11T05:30:00Z") - now);
}

fn stops(house: &House, no: u32) {
    let now = house.counter.clock().now();
    say(house, no, &now.to_rfc3339(), "stop");
    assert!(house.counter.member(COOP, MemberNo(no)).unwrap().stopped);
}

#[test]
fn people_parts_and_cost_are_shown_before_anything_is_planned() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    let mut look = |fields: &[(&str, &str)]| text(&manager.send(PAGE, PAGE, fields));
    stops(&house, 3_000);
    let page = look(&[("text", "Collection is on Friday.")]);
    for told in [
        "<b>132</b>people",
        "<b>1</b>parts each",
        "<b>132</b>parts in all",
        "<b>1.98</b>cost",
        "One person more",
    ] {
        assert!(page.contains(told), "{told}: {page}");
    }
    // 161 plain letters are two parts; 71 letters of which one is not plain are two as well (3GPP TS 23.040, 9.2.3.24.1).
    for long in ["a".repeat(161), format!("{}ł", "a".repeat(70))] {
        let page = look(&[("text", &long), ("ward", "Msitu"), ("lang", "sw")]);
        assert!(
            page.contains("<b>4</b>people") && page.contains("<b>2</b>parts each"),
            "{page}"
        );
        assert!(page.contains("<b>0.12</b>cost") && page.contains("It is more than one part"));
    }
    assert!(look(&[("text", "x"), ("silent", "5"), ("ward", "Msitu")]).contains("<b>11</b>people"));
    assert_eq!(house.counter.affairs(COOP).unwrap().last_broadcast, 0);
    for (field, wrong, key) in [
        ("text", " ", "cast-text"),
        ("laying", "yes", "cast-nobody"),
        ("day", "2026-03-09", "cast-due"),
        ("day", "2026-06-09", "cast-due"),
        ("day", "tomorrow", "cast-due"),
    ] {
        let fields = [(field, wrong), ("text", "x")];
        let to = send(&mut manager, &fields);
        assert!(to.ends_with(key), "{field} {wrong}: {to}");
        assert!(text(&manager.get(&to)).contains("role=\"alert\""));
    }
}

#[test]
fn a_text_goes_out_at_its_time_a_minutes_worth_at_a_time_to_everybody_once() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    let fields = [
        ("text", "Collection is on Friday."),
        ("day", "2026-03-11"),
        ("hour", "08:30"),
    ];
    assert_eq!(send(&mut manager, &fields), PAGE);
    assert_eq!(send(&mut manager, &fields), PAGE, "sent twice");
    assert_eq!(
        house.counter.affairs(COOP).unwrap().open_broadcasts,
        [1],
        "planned once"
    );
    house.counter.tick().unwrap();
    assert!(sent(&house).is_empty(), "not yet");
    morning(&house);
    let mut all = Vec::new();
    for (after_s, expected) in [(0, 60), (0, 0), (10, 10), (50, 50), (600, 13), (60, 0)] {
        house.counter.clock().advance(Duration::seconds(after_s));
        house.counter.tick().unwrap();
        let some = sent(&house);
        assert_eq!(some.len(), expected, "after {after_s} s");
        all.extend(some);
    }
    assert_eq!(all.len(), 133);
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), 133, "nobody gets it twice");
    let page = text(&manager.get(PAGE));
    assert!(
        page.contains("<strong>Finished</strong>: 133 of 133 texts, 0 left out"),
        "{page}"
    );
    let parts: u32 = house
        .counter
        .ledger(COOP, None)
        .unwrap()
        .iter()
        .map(|line| line.sent.parts)
        .sum();
    assert_eq!(parts, 133, "the bill knows them");
}

#[test]
fn a_slow_link_holds_a_minutes_worth_and_no_more() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    send(&mut manager, &[("text", "x")]);
    morning(&house);
    for _ in 0..5 {
        house.counter.clock().advance(Duration::minutes(1));
        house.counter.tick().unwrap();
    }
    assert_eq!(house.counter.queued(&north(), 1_000).unwrap(), 60);
}

#[test]
fn nobody_is_woken_by_one() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    // It is eight in the evening.
    send(&mut manager, &[("text", "x")]);
    house.counter.tick().unwrap();
    assert!(sent(&house).is_empty());
    house
        .counter
        .clock()
        .advance(moment("2026-03-11T03:59:00Z") - moment("2026-03-10T17:00:00Z"));
    house.counter.tick().unwrap();
    assert!(sent(&house).is_empty(), "a minute to seven");
    house.counter.clock().advance(Duration::minutes(1));
    house.counter.tick().unwrap();
    assert_eq!(sent(&house).len(), 60);
}

#[test]
fn who_opts_out_after_it_was_planned_gets_nothing() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    send(&mut manager, &[("text", "x"), ("ward", "Msitu")]);
    stops(&house, 3_001);
    morning(&house);
    house.counter.tick().unwrap();
    // It lies in the outbox already.
    stops(&house, 3_002);
    let got = sent(&house);
    assert_eq!(got.len(), 10, "eleven of the ward's twelve were to get it");
    for no in [3_001, 3_002] {
        assert!(!got.contains(&MemberNo(no)), "{no}");
    }
    let page = text(&manager.get(PAGE));
    assert!(page.contains("11 of 12 texts, 1 left out"), "{page}");
}

#[test]
fn a_stopped_text_comes_back_out_of_the_outbox() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    send(&mut manager, &[("text", "The wrong day")]);
    morning(&house);
    house.counter.tick().unwrap();
    let under_way = house.counter.lease(&north(), "test", 7).unwrap();
    assert_eq!(under_way.len(), 7);
    let stop = format!("{PAGE}/1/stop");
    assert_eq!(
        manager.send(PAGE, &stop, &[]).location.as_deref(),
        Some("/console/broadcast#b1")
    );
    // The network may have those seven; the others are gone, and no more are made.
    assert_eq!(house.counter.queued(&north(), 1_000).unwrap(), 7);
    house.counter.clock().advance(Duration::minutes(1));
    house.counter.tick().unwrap();
    assert_eq!(house.counter.queued(&north(), 1_000).unwrap(), 7);
    let page = text(&manager.get(PAGE));
    assert!(
        page.contains("<strong>Stopped</strong>: 7 of 133 texts"),
        "{page}"
    );
    assert!(!page.contains("/stop\""), "nothing to press");
    let again = manager.send(PAGE, &stop, &[]).location.unwrap();
    assert!(again.ends_with("cast-over"), "{again}");
    let trail = house.counter.trail(COOP, 20).unwrap();
    let deeds = trail.iter().filter(
        |row| matches!(&row.event, UserEvent::Did(deed) if deed.kind == DeedKind::Broadcast),
    );
    assert_eq!(deeds.count(), 2, "sent, and stopped");
    assert!(house.counter.check().unwrap().faults.is_empty());
}

/// Members of [`stopped_whole_among`] in the everyday run; five thousand take minutes.
const MANY: u32 = 400;

#[test]
fn a_text_to_many_is_stopped_whole_though_some_texts_wait_since_its_beginning() {
    stopped_whole_among(MANY);
}

#[test]
fn a_text_to_five_thousand_is_stopped_whole() {
    stopped_whole_among(5_000);
}

/// Forty texts are tried again and again while hundreds go past them; then somebody stops it.
fn stopped_whole_among(members: u32) {
    let house = crowd();
    for no in 4_000..4_000 + members {
        house
            .counter
            .office(OfficeRequest::AddMember {
                coop: COOP,
                number: Some(MemberNo(no)),
                name: format!("Keeper {no}"),
                lang: Lang::EN,
                role: Role::Keeper,
                ward: None,
                phones: vec![phone(no)],
            })
            .unwrap();
    }
    let mut manager = Browser::signed_in(&house, "manager");
    send(&mut manager, &[("text", "The wrong day")]);
    morning(&house);
    house.counter.tick().unwrap();
    let (mut went, mut stuck) = (0, 0);
    let later = house.counter.clock().now() + Duration::hours(6);
    while went < members - 100 {
        for row in leased(&house) {
            let how = if stuck < 40 {
                stuck += 1;
                Settled::Retry { at: later }
            } else {
                went += 1;
                Settled::sent()
            };
            house.counter.settle(row.id, how).unwrap();
        }
        house.counter.clock().advance(Duration::minutes(1));
        house.counter.tick().unwrap();
    }
    let waiting = house.counter.queued(&north(), 1_000).unwrap();
    assert_eq!(
        waiting, 60,
        "those that wait count against a minute's worth"
    );
    manager.send(PAGE, &format!("{PAGE}/1/stop"), &[]);
    assert_eq!(house.counter.queued(&north(), 1_000).unwrap(), 0);
    let standing = house.counter.broadcast(COOP, 1).unwrap();
    assert_eq!(standing.texts, went, "what is counted is what went");
    house.counter.clock().advance(Duration::hours(7));
    house.counter.tick().unwrap();
    assert!(sent(&house).is_empty(), "nothing follows a stop");
    assert!(house.counter.check().unwrap().faults.is_empty());
}

#[test]
fn an_officer_of_a_ward_writes_to_that_ward_and_stops_nothing_else() {
    let house = crowd();
    let mut manager = Browser::signed_in(&house, "manager");
    send(&mut manager, &[("text", "From the manager")]);
    let mut officer = Browser::signed_in(&house, "officer");
    assert_eq!(
        send(&mut officer, &[("text", "x"), ("ward", "Ufukwe")]),
        "404"
    );
    assert_eq!(send(&mut officer, &[("text", "From the officer")]), PAGE);
    let plan = house.counter.broadcast(COOP, 2).unwrap().plan.unwrap();
    assert_eq!(
        (plan.people, plan.audience.wards.as_slice()),
        (12, &["Msitu".to_owned()][..])
    );
    let page = text(&officer.get(PAGE));
    assert!(page.contains("From the officer") && !page.contains("From the manager"));
    assert_eq!(
        officer.send(PAGE, &format!("{PAGE}/1/stop"), &[]).status,
        404
    );
    assert_eq!(
        officer.send(PAGE, &format!("{PAGE}/9/stop"), &[]).status,
        404
    );
    let mut viewer = Browser::signed_in(&house, "viewer");
    assert_eq!(viewer.get(PAGE).status, 403);
}
