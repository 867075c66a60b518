//! Counting, cutting and joining.

use chrono::{DateTime, TimeDelta, Utc};
use clutchline::links::gsm7::ESCAPE;
use clutchline::links::parts::reassembly::{Accepted, MOST_WAITING, Part, Reassembly};
use clutchline::links::parts::{Alphabet, Body, Concat, RefWidth, count, join, room_alone, split};
use proptest::prelude::*;

/// Limits: 3GPP TS 23.040 clause 9.2.3.24.1 (160, 153, 152 septets; 70, 67, 66 units); counts made with PyPI smpplib 2.2.4,
/// the cases around a pair by hand from the rule that a pair is not cut.
#[test]
fn segments_are_counted_as_the_standard_leaves_room() {
    let rooms = [Alphabet::Gsm7, Alphabet::Ucs2, Alphabet::Octets].map(|a| {
        [
            room_alone(a),
            RefWidth::Eight.room(a),
            RefWidth::Sixteen.room(a),
        ]
    });
    assert_eq!(rooms, [[160, 153, 152], [70, 67, 66], [140, 134, 133]]);
    let a = |n: usize| "a".repeat(n);
    for (text, parts) in [
        (a(160), 1),
        (a(161), 2),
        (a(306), 2),
        (a(307), 3),
        ("€".repeat(80), 1),
        ("€".repeat(81), 2),
        (format!("{}€", a(159)), 2),
        (format!("{}€{}", a(152), "b".repeat(152)), 3),
        (format!("{}€{}", a(152), "b".repeat(151)), 2),
        ("ሀ".repeat(70), 1),
        ("ሀ".repeat(71), 2),
        ("ሀ".repeat(134), 2),
        ("ሀ".repeat(135), 3),
        ("😀".repeat(35), 1),
        ("😀".repeat(36), 2),
        (String::new(), 1),
    ] {
        assert_eq!(count(&text), parts, "{} characters", text.chars().count());
    }
    assert_eq!(
        split(&a(153 * 255 + 1), RefWidth::Eight).unwrap_err().parts,
        256
    );
}

#[test]
fn a_part_that_cannot_exist_is_no_part() {
    for (reference, width, total, part) in [
        (1, RefWidth::Eight, 0, 0),
        (1, RefWidth::Eight, 2, 0),
        (1, RefWidth::Eight, 2, 3),
        (256, RefWidth::Eight, 2, 1),
    ] {
        assert_eq!(Concat::new(reference, width, total, part), None);
    }
    assert!(Concat::new(256, RefWidth::Sixteen, 2, 2).is_some());
}

fn at(minute: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_000_000 + minute * 60, 0).unwrap()
}

fn part(text: &str, reference: u16, total: u8, number: u8, minute: i64) -> Part {
    let [body] = &split(text, RefWidth::Eight).unwrap()[..] else {
        panic!("one part wanted");
    };
    Part {
        from: "255700000101".into(),
        to: "40123".into(),
        concat: Concat::new(reference, RefWidth::Eight, total, number).unwrap(),
        body: body.clone(),
        sent_at: at(minute),
        received_at: at(minute),
        kept_as: u64::from(number) + 100 * u64::from(reference),
    }
}

#[test]
fn parts_in_any_order_make_the_text_once() {
    let mut waiting = Reassembly::new(TimeDelta::hours(24));
    assert_eq!(
        waiting.accept(part("C5 8, ", 7, 3, 2, 1)),
        Accepted::Waiting { have: 1, total: 3 }
    );
    assert_eq!(
        waiting.accept(part("C5 8, ", 7, 3, 2, 1)),
        Accepted::Repeated
    );
    assert_eq!(
        waiting.accept(part("C6 9", 7, 3, 3, 2)),
        Accepted::Waiting { have: 2, total: 3 }
    );
    let complete = waiting.accept(part("C4 12.5, ", 7, 3, 1, 0));
    let expected = Accepted::Complete {
        text: Some("C4 12.5, C5 8, C6 9".into()),
        sent_at: at(0),
        kept_as: vec![701, 702, 703],
    };
    assert_eq!(complete, expected);
    assert_eq!(
        waiting.accept(part("C6 9", 7, 3, 3, 3)),
        Accepted::Repeated,
        "a late copy of a part"
    );
    assert_eq!((waiting.waiting(), waiting.abandoned(at(10))), (0, vec![]));
}

/// An 8-bit reference comes round after 256 texts. Halves of two texts must never be joined: the figures would be invented.
#[test]
fn a_reused_reference_does_not_join_two_texts() {
    let mut waiting = Reassembly::new(TimeDelta::hours(24));
    waiting.accept(part("C4 12.5, C5 ", 7, 2, 1, 0));
    assert_eq!(
        waiting.accept(part("9", 7, 2, 2, 30)),
        Accepted::Waiting { have: 1, total: 2 }
    );
    let given_up = waiting.abandoned(at(30));
    assert_eq!(
        given_up
            .iter()
            .map(|a| (a.have, a.total, a.kept_as.clone()))
            .collect::<Vec<_>>(),
        [(1, 2, vec![701])]
    );

    waiting.accept(part("C1 1", 8, 2, 1, 40));
    waiting.accept(part("C1 2", 8, 2, 1, 41));
    assert_eq!(
        waiting.abandoned(at(41)).len(),
        1,
        "another text under the same number"
    );
    assert!(
        matches!(waiting.accept(part(" C2 3", 8, 2, 2, 41)), Accepted::Complete { text: Some(t), .. } if t == "C1 2 C2 3")
    );
}

#[test]
fn what_never_completes_is_given_up_with_a_name() {
    let mut waiting = Reassembly::new(TimeDelta::hours(24));
    waiting.accept(part("C4 12.5", 7, 2, 1, 0));
    assert_eq!(waiting.abandoned(at(24 * 60)), vec![]);
    let given_up = waiting.abandoned(at(24 * 60 + 1));
    assert_eq!(given_up.len(), 1);
    assert_eq!(
        (
            given_up[0].key.from.as_str(),
            given_up[0].have,
            given_up[0].total
        ),
        ("255700000101", 1, 2)
    );
    assert_eq!(waiting.waiting(), 0);
}

#[test]
fn waiting_texts_are_bounded_and_the_oldest_goes_first() {
    let mut waiting = Reassembly::new(TimeDelta::hours(24));
    for i in 0..=MOST_WAITING {
        let mut one = part("x", 7, 2, 1, i64::try_from(i).unwrap() / 60);
        one.from = format!("sender {i}");
        waiting.accept(one);
    }
    assert_eq!(waiting.waiting(), MOST_WAITING);
    assert_eq!(
        waiting
            .abandoned(at(70))
            .first()
            .map(|a| a.key.from.clone())
            .as_deref(),
        Some("sender 0")
    );
}

#[test]
fn a_careless_sender_may_cut_a_pair() {
    let halves = [Body::Units(vec![0xD83D]), Body::Units(vec![0xDE00])];
    assert_eq!(join(&halves).as_deref(), Some("😀"));
    let halves = [
        Body::Septets(vec![0x41, ESCAPE], Default::default()),
        Body::Septets(vec![0x65], Default::default()),
    ];
    assert_eq!(join(&halves).as_deref(), Some("A€"));
    assert_eq!(join(&[Body::Octets(vec![1])]), None);
}

proptest! {
    #[test]
    fn cutting_loses_nothing_and_cuts_no_pair(text in "[a-z€\\[ሀ😀]{0,400}", wide in any::<bool>()) {
        let width = if wide { RefWidth::Sixteen } else { RefWidth::Eight };
        let parts = split(&text, width).unwrap();
        let mut read = String::new();
        for part in &parts {
            let room = if parts.len() == 1 { room_alone(part.alphabet()) } else { width.room(part.alphabet()) };
            let used = match part {
                Body::Septets(septets, _) => septets.len(),
                Body::Units(units) => units.len(),
                Body::Octets(_) => unreachable!(),
            };
            prop_assert!(used <= room, "{used} > {room}");
            prop_assert!(parts.len() == 1 || used + 1 >= room || std::ptr::eq(part, parts.last().unwrap()), "not greedy");
            read.push_str(&part.text().unwrap());
        }
        prop_assert_eq!(&read, &text);
        prop_assert_eq!(join(&parts).unwrap(), text);
    }
}
