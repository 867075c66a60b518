//! What links keep beside the store: an erased member is not in it either, and what is old goes.

use crate::folder::village;
use crate::{A, B, COOP, message, open, start};
use chrono::{DateTime, Duration, Utc};
use clutchline::cli::night;
use clutchline::clock::Clock;
use clutchline::config::Settings;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::domain::MemberNo;
use clutchline::domain::message::LinkName;
use clutchline::domain::phone::PhoneNumber;
use clutchline::links::board::{Board, LinkKind};
use clutchline::links::intake::Intake;
use clutchline::links::leftovers;
use clutchline::links::parts::{Body, Concat, RefWidth};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use tempfile::TempDir;

const NORTH: &str = "north";

fn link(counter: &Counter, dir: &Path, name: &str) -> Intake {
    let at = counter.clock().now();
    let seat = Board::default().seat(&LinkName(name.to_owned()), LinkKind::Smpp, at);
    Intake::open(&dir.join("links"), seat, counter.clone(), COOP).unwrap()
}

fn part(link: &Intake, from: &str, number: u8, text: &str, at: Option<DateTime<Utc>>) {
    let concat = Concat::new(9, RefWidth::Eight, 2, number).unwrap();
    let body = Body::Units(text.encode_utf16().collect());
    let from = PhoneNumber::new(from).unwrap();
    link.part(&from, "40123", (concat, body), at).unwrap();
}

/// A number in octets as an SMPP text has it: a digit an octet, here the national way.
fn in_ascii(number: &str) -> Vec<u8> {
    let national = number.replace("+255", "0");
    [b"\0\x01\x01".as_slice(), national.as_bytes(), b"\0"].concat()
}

/// As a SIM card has it: two digits an octet, the first in the lower half (3GPP TS 23.040, 9.1.2.5).
fn in_semi_octets(number: &str) -> Vec<u8> {
    let digit = |digit: &u8| digit - b'0';
    let digits: Vec<u8> = number
        .trim_start_matches('+')
        .bytes()
        .map(|d| digit(&d))
        .collect();
    let pair = |pair: &[u8]| pair[0] | pair.get(1).unwrap_or(&0xF) << 4;
    [vec![0x91], digits.chunks(2).map(pair).collect()].concat()
}

fn hex(octets: &[u8]) -> String {
    octets.iter().map(|octet| format!("{octet:02x}")).collect()
}

/// Where a number stands in the files of links, in any of the ways that these tests write it.
fn traces(dir: &Path, number: &str) -> Vec<String> {
    let ways = [
        number.to_owned(),
        number.replace("+255", ""),
        hex(&in_ascii(number)),
        hex(&in_semi_octets(number)),
    ];
    let mut found = Vec::new();
    for entry in fs::read_dir(dir.join("links")).unwrap() {
        let path = entry.unwrap().path();
        let text = fs::read_to_string(&path).unwrap();
        let lines = text
            .lines()
            .filter(|line| ways.iter().any(|way| line.contains(way)));
        found.extend(lines.map(|line| format!("{}: {line}", path.display())));
    }
    found
}

fn forget_asha(counter: &Counter) {
    let (coop, member) = (COOP, MemberNo(1001));
    counter
        .office(OfficeRequest::Erase { coop, member })
        .unwrap();
}

#[test]
fn a_running_link_forgets_who_is_erased_and_nobody_else() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    let north = link(&counter, dir.path(), NORTH);
    for from in [A, B] {
        for number in [1, 2] {
            part(&north, from, number, "C4 9. ", None);
        }
        counter.clock().advance(Duration::minutes(20));
        part(&north, from, 1, "C4 12.5 ", None);
        assert!(north.quarantine(&in_ascii(from), "not a text"));
        assert!(north.quarantine(&in_semi_octets(from), "not a text"));
    }
    let kept = traces(dir.path(), B).len();
    assert!(kept >= 5 && traces(dir.path(), A).len() >= 5);
    let say = |id: &str, text: &str| {
        let at = counter.clock().now();
        counter
            .take(COOP, message(Some(id), A, text, Some(at)))
            .unwrap();
    };
    say("f-1", "forget me");
    say("f-2", "yes");
    assert_eq!(traces(dir.path(), A), Vec::<String>::new());
    assert_eq!(traces(dir.path(), B).len(), kept, "the other's stay");
    assert!(!dir.path().join("forgetting").exists());
    // The other's long text still comes whole; hers, of which a part is gone, does not.
    let before = counter.counts().clone();
    for from in [A, B] {
        part(&north, from, 2, "eggs 9 g", None);
    }
    let taken = |counts: &clutchline::counter::answers::Counts| format!("{counts:?}");
    assert_ne!(taken(&counter.counts()), taken(&before));
    let mut texts = Vec::new();
    counter
        .each_message(COOP, &mut |row| {
            texts.push((row.from.full().to_owned(), row.text.clone()));
            true
        })
        .unwrap();
    assert!(texts.contains(&(B.to_owned(), "C4 12.5 eggs 9 g".to_owned())));
    assert!(texts.iter().all(|(from, _)| from != A), "{texts:?}");
    drop(north);
    let again = link(&counter, dir.path(), NORTH);
    drop(again);
    assert_eq!(traces(dir.path(), A).len(), 1, "what she has sent since");
}

#[test]
fn a_process_that_dies_in_between_leaves_nobody_behind() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let north = link(&counter, dir.path(), NORTH);
    part(&north, A, 1, "C4 12.5 ", None);
    part(&north, B, 1, "C4 12.5 ", None);
    assert!(north.quarantine(&in_semi_octets(A), "not a text"));
    counter.close().unwrap();
    drop(north);
    // Erased by a process in which nobody looks after the files, as one that dies before its turn comes.
    let counter = open(dir.path(), &clock);
    forget_asha(&counter);
    counter.close().unwrap();
    assert!(!traces(dir.path(), A).is_empty());
    let forgetting = dir.path().join("forgetting");
    assert_eq!(fs::read_to_string(&forgetting).unwrap(), format!("1 {A}\n"));
    // One who was to be erased and was not, for the power went first.
    fs::write(&forgetting, format!("1 {A}\n1 {B}\n")).unwrap();
    let counter = open(dir.path(), &clock);
    assert_eq!(fs::read_to_string(&forgetting).unwrap(), format!("1 {A}\n"));
    let links = dir.path().join("links");
    leftovers::look_after(&counter, links, BTreeSet::new(), BTreeMap::new());
    counter.all_beside_are_here();
    assert_eq!(traces(dir.path(), A), Vec::<String>::new());
    assert_eq!(traces(dir.path(), B).len(), 1);
    assert!(!forgetting.exists());
    counter.close().unwrap();
}

#[test]
fn another_cooperatives_link_keeps_what_the_number_sent_there() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    for name in [NORTH, "south", "gone"] {
        let link = link(&counter, dir.path(), name);
        part(&link, A, 1, "C4 12.5 ", None);
    }
    counter.close().unwrap();
    let counter = open(dir.path(), &Clock::standing(start()));
    let coops = [(NORTH, 1), ("south", 2)];
    let coops = coops.map(|(name, no)| (name.to_owned(), clutchline::domain::message::CoopId(no)));
    leftovers::look_after(
        &counter,
        dir.path().join("links"),
        BTreeSet::new(),
        coops.into(),
    );
    forget_asha(&counter);
    let left = traces(dir.path(), A);
    assert!(
        left.len() == 1 && left[0].contains("south.parts"),
        "{left:?}"
    );
}

#[test]
fn what_is_done_with_and_old_octets_go_at_night() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    let north = link(&counter, dir.path(), NORTH);
    part(&north, A, 1, "C4 9. ", None);
    part(&north, A, 2, "5", None);
    assert!(north.quarantine(&[1, 2, 3], "first"));
    let mut settings = Settings::default();
    let night = |settings: &Settings, days: i64| {
        counter.clock().advance(Duration::days(days));
        night::work(&counter, settings);
        let lines = |file: &str| {
            let text = fs::read_to_string(dir.path().join("links").join(file)).unwrap();
            text.lines().filter(|line| !line.is_empty()).count()
        };
        (lines("north.parts"), lines("north.raw"))
    };
    assert_eq!(
        night(&settings, 0),
        (3, 1),
        "two parts and the word that they are done"
    );
    assert_eq!(night(&settings, 2), (0, 1), "no network sends those again");
    part(&north, B, 1, "C4 12.5 ", None);
    assert!(north.quarantine(&[4], "second"));
    assert_eq!(
        night(&settings, 87),
        (1, 2),
        "one that waits stays; 89 days are not 90"
    );
    assert_eq!(night(&settings, 2), (1, 1), "by itself after 90 days");
    settings.archive.texts_days = 30;
    assert_eq!(night(&settings, 0), (1, 0), "sooner where texts go sooner");
}
