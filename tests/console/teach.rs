//! Teaching a word: tried against history, switched on, used at once and after a restart, taken back.

use crate::browser::{Browser, COOP, House, house, moment, phone, text};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::settings::Settings;
use clutchline::domain::message::{Inbound, LinkName, Outcome, Receipt};
use clutchline::domain::user::{DeedKind, UserEvent};
use clutchline::domain::{CareJob, MemberNo};

fn inbound(line: &str, minute: u32) -> Inbound {
    let sent_at = moment(&format!("2026-03-10T05:{minute:02}:00Z"));
    Inbound {
        link: LinkName("say".to_owned()),
        id: None,
        from: phone(2001),
        to: None,
        text: line.to_owned(),
        sent_at,
        sent_at_known: true,
        received_at: sent_at,
    }
}

fn say(counter: &Counter, line: &str, minute: u32) -> Receipt {
    counter.take(COOP, inbound(line, minute)).unwrap()
}

fn stocked() -> House {
    let house = house();
    assert_eq!(
        say(&house.counter, "C1 stock 8000", 1).outcome,
        Outcome::Saved
    );
    house
}

fn teach(browser: &mut Browser<'_>, word: &str, means: &str) -> String {
    let fields = [("word", word), ("means", means), ("lang", "sw")];
    let answer = browser.send("/console/words", "/console/words/teach", &fields);
    answer.location.clone().unwrap_or_else(|| text(&answer))
}

#[test]
fn a_word_is_tried_taught_read_at_once_and_taken_back() {
    let house = stocked();
    assert_eq!(
        say(&house.counter, "C1 nyunyiza", 2).outcome,
        Outcome::Unreadable
    );
    let mut manager = Browser::signed_in(&house, "manager");
    let unreadable = text(&manager.get("/console/unreadable"));
    assert!(unreadable.contains("/console/words/try"), "{unreadable}");
    let tried = text(&manager.get("/console/words/try?word=Nyunyiza&means=water&lang=sw"));
    assert!(tried.contains("Tried against 2 messages"), "{tried}");
    assert!(tried.contains("Every message keeps the meaning"), "{tried}");
    assert!(
        tried.contains("In one message more could have been read"),
        "{tried}"
    );
    assert!(
        tried.contains("C1 nyunyiza") && tried.contains("C1 water"),
        "{tried}"
    );
    assert!(
        house.counter.words(COOP).unwrap().rows.is_empty(),
        "nothing is changed by trying"
    );
    assert_eq!(
        teach(&mut manager, "Nyunyiza", "water"),
        "/console/words?done=taught&word=nyunyiza"
    );
    let page = text(&manager.get("/console/words?done=taught&word=nyunyiza"));
    assert!(
        page.contains("nyunyiza") && page.contains("<td>manager</td>"),
        "{page}"
    );
    assert_eq!(
        say(&house.counter, "C1 nyunyiza", 3).outcome,
        Outcome::Saved
    );
    let watered = || {
        let farm = house.counter.farm(COOP, MemberNo(2001)).unwrap();
        farm.units[0].last_care(CareJob::Water)
    };
    assert!(watered().is_some());
    let fields = [("word", "nyunyiza")];
    let gone = manager.send("/console/words", "/console/words/let-go", &fields);
    assert_eq!(
        gone.location.as_deref(),
        Some("/console/words?done=gone&word=nyunyiza")
    );
    assert_eq!(
        say(&house.counter, "C1 nyunyiza sana", 4).outcome,
        Outcome::Unreadable
    );
    assert!(watered().is_some(), "what it recorded stays");
    let again = manager.send(
        "/console/words",
        "/console/words/let-go",
        &[("word", "nyunyiza")],
    );
    assert_eq!(again.status, 404);
    let trail = house.counter.trail(COOP, 50).unwrap();
    let taught: Vec<(String, String)> = trail
        .iter()
        .filter_map(|row| match &row.event {
            UserEvent::Did(deed) if deed.kind == DeedKind::Taught => {
                Some((deed.old.clone(), deed.new.clone()))
            }
            _ => None,
        })
        .collect();
    let word = || "nyunyiza = water".to_owned();
    assert!(taught.contains(&(String::new(), word())) && taught.contains(&(word(), String::new())));
}

#[test]
fn a_word_that_would_change_an_old_message_is_refused_and_the_message_shown() {
    let house = stocked();
    // Read as `water`, one slip away.
    assert_eq!(say(&house.counter, "C1 wster", 2).outcome, Outcome::Saved);
    let mut manager = Browser::signed_in(&house, "manager");
    let tried = text(&manager.get("/console/words/try?word=wster&means=bait&lang=en"));
    assert!(
        tried.contains("One message would read otherwise"),
        "{tried}"
    );
    assert!(
        tried.contains("C1 wster") && tried.contains("C1 water") && tried.contains("C1 bait"),
        "{tried}"
    );
    assert!(
        !tried.contains("/console/words/teach"),
        "no button to switch it on: {tried}"
    );
    let refused = teach(&mut manager, "wster", "bait");
    assert!(refused.contains("would read otherwise"), "{refused}");
    assert!(house.counter.words(COOP).unwrap().rows.is_empty());
    // What it means already by repair may be taught: nothing changes.
    assert!(teach(&mut manager, "wster", "water").starts_with("/console/words?done=taught"));
    for (word, means, why) in [
        ("maji", "bait", "has a meaning already"),
        ("water", "water", "means this already"),
        ("x1", "water", "Expected one word"),
        ("osha", "wash", "Expected a keyword"),
    ] {
        let answer = manager.get(&format!(
            "/console/words/try?word={word}&means={means}&lang=sw"
        ));
        assert_eq!(answer.status, 422, "{word}");
        assert!(text(&answer).contains(why), "{word}");
    }
}

#[test]
fn an_old_meaning_forbids_another_one_even_after_the_word_was_taken_back() {
    let house = stocked();
    let mut manager = Browser::signed_in(&house, "manager");
    teach(&mut manager, "nyunyiza", "water");
    assert_eq!(
        say(&house.counter, "C1 nyunyiza", 3).outcome,
        Outcome::Saved
    );
    manager.send(
        "/console/words",
        "/console/words/let-go",
        &[("word", "nyunyiza")],
    );
    let refused = teach(&mut manager, "nyunyiza", "bait");
    assert!(
        refused.contains("One message would read otherwise"),
        "{refused}"
    );
    assert!(teach(&mut manager, "nyunyiza", "water").contains("done=taught"));
}

#[test]
fn who_is_held_to_wards_teaches_nothing() {
    let house = stocked();
    let mut officer = Browser::signed_in(&house, "officer");
    assert!(!text(&officer.get("/console/unreadable")).contains("/console/words/try"));
    for path in [
        "/console/words",
        "/console/words/try?word=osha&means=bait&lang=sw",
    ] {
        let answer = officer.get(path);
        assert_eq!(answer.status, 403, "{path}");
        assert!(text(&answer).contains("whole cooperative"), "{path}");
    }
    let fields = [("word", "osha"), ("means", "bait"), ("lang", "sw")];
    let answer = officer.send("/console/account", "/console/words/teach", &fields);
    assert_eq!(answer.status, 403);
    assert!(house.counter.words(COOP).unwrap().rows.is_empty());
}

#[test]
fn taught_words_hold_after_a_restart_and_in_a_folder_made_from_an_export() {
    let settings = || Settings {
        oldest_sent_at: None,
        flood: None,
        ..Settings::default()
    };
    let house = stocked();
    let mut manager = Browser::signed_in(&house, "manager");
    teach(&mut manager, "nyunyiza", "water");
    assert_eq!(
        say(&house.counter, "C1 nyunyiza", 3).outcome,
        Outcome::Saved
    );
    assert_eq!(house.counter.check().unwrap().faults_found, 0);
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("all.ndjson");
    house.counter.export_to(&file).unwrap();
    let copy = dir.path().join("copy");
    clutchline::counter::keeping::import(&copy, &file).unwrap();
    let now = moment("2026-03-10T17:00:00Z");
    // Opened, used, closed and opened again: the word is read from the first message on each time.
    for minute in [10, 11] {
        let counter = Counter::open(&copy, settings(), Clock::standing(now)).unwrap();
        let again = dir.path().join(format!("again-{minute}.ndjson"));
        counter.export_to(&again).unwrap();
        if minute == 10 {
            let same = std::fs::read(&file).unwrap() == std::fs::read(&again).unwrap();
            assert!(same, "an import is exported again byte for byte");
        }
        assert_eq!(counter.words(COOP).unwrap().standing().count(), 1);
        let line = format!("C1 nyunyiza {minute}/3");
        assert_ne!(say(&counter, &line, minute).outcome, Outcome::Unreadable);
        assert_eq!(counter.check().unwrap().faults_found, 0);
        counter.close().unwrap();
    }
}
