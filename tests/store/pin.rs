//! A PIN's digits stand nowhere after use, and nothing sensitive is done without it, by text and by menu.

use crate::folder::village;
use crate::{A, COOP, message, start};
use chrono::Duration;
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::ussd::{UssdInput, UssdStep};
use clutchline::domain::MemberNo;
use clutchline::domain::message::{LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::grammar::Lexicon;
use clutchline::grammar::registry::VERBS;
use flate2::read::GzDecoder;
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;
use tempfile::TempDir;

const ASHA: MemberNo = MemberNo(1001);
/// No number of the village, and no part of one.
const PIN: &str = "630749";
const OTHER: &str = "815926";

fn say(counter: &Counter, text: &str) -> (Outcome, String) {
    counter.clock().advance(Duration::seconds(20));
    let at = counter.clock().now();
    let receipt = counter
        .take(COOP, message(None, A, text, Some(at)))
        .unwrap();
    let reply = receipt.replies.first().map(|reply| reply.text.clone());
    (receipt.outcome, reply.unwrap_or_default())
}

fn step(counter: &Counter, session: &str, input: UssdInput) -> String {
    counter.clock().advance(Duration::seconds(9));
    let step = UssdStep {
        link: LinkName("menu".to_owned()),
        session: session.to_owned(),
        from: PhoneNumber::new(A).unwrap(),
        code: "*40123#".to_owned(),
        input,
        last: false,
        arrived: counter.clock().now(),
    };
    counter.ussd_now(COOP, step).unwrap().text
}

fn key(counter: &Counter, session: &str, key: &str) -> String {
    step(counter, session, UssdInput::Step(key.to_owned()))
}

/// Goes by labels, over as many pages as it takes; the last screen.
fn dial(counter: &Counter, session: &str, labels: &[&str]) -> String {
    let mut screen = step(counter, session, UssdInput::First);
    for label in labels {
        for _ in 0..6 {
            let lines: Vec<(&str, &str)> =
                screen.lines().filter_map(|l| l.split_once(' ')).collect();
            let of = |wanted: &str| lines.iter().find(|(_, text)| text.starts_with(wanted));
            let found = of(label);
            let (pressed, _) = found
                .or_else(|| of("More"))
                .unwrap_or_else(|| panic!("no {label}: {screen}"));
            let done = found.is_some();
            screen = key(counter, session, pressed);
            if done {
                break;
            }
        }
    }
    screen
}

fn unpacked(file: &Path) -> String {
    let mut text = String::new();
    let mut reader = GzDecoder::new(File::open(file).unwrap());
    reader.read_to_string(&mut text).unwrap();
    text
}

/// Files below a folder that hold some bytes.
fn holding(dir: &Path, bytes: &str) -> Vec<String> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(holding(&path, bytes));
        } else {
            let held = fs::read(&path).unwrap();
            if held.windows(bytes.len()).any(|w| w == bytes.as_bytes()) {
                found.push(path.display().to_string());
            }
        }
    }
    found
}

#[test]
fn the_digits_of_a_pin_stand_nowhere_after_use() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    assert_eq!(say(&counter, &format!("Pin {PIN}")).0, Outcome::Saved);
    say(&counter, "my data");
    assert!(say(&counter, PIN).1.contains("Kept of you"));
    say(&counter, PIN);
    say(&counter, "my data");
    say(&counter, &format!("it is {PIN} thanks"));
    say(&counter, &format!("my data pin {OTHER}"));
    say(&counter, &format!("C4 12.5 pin{PIN}"));
    say(&counter, &format!("pni {PIN}"));
    say(&counter, &format!("pin: {PIN}{OTHER}"));
    say(&counter, &format!("my pin is {PIN} and C4 9"));
    say(&counter, &format!("pin {PIN} {OTHER}"));
    say(&counter, &format!("forget me, pin={OTHER}"));
    say(&counter, "no");
    dial(&counter, "s", &["Messages", "My data"]);
    let told = key(&counter, "s", OTHER);
    assert!(told.contains("Kept of you"), "{told}");
    let lines = dir.path().join("all.ndjson.gz");
    counter.export_to(&lines).unwrap();
    let mut own = Vec::new();
    counter.about(COOP, ASHA, &mut own).unwrap();
    let told = unpacked(&lines) + &String::from_utf8(own).unwrap();
    assert!(
        told.contains("****"),
        "what was said stands, without its digits"
    );
    for digits in [PIN, OTHER] {
        let lines: Vec<&str> = told.lines().filter(|line| line.contains(digits)).collect();
        assert_eq!(lines, Vec::<&str>::new());
    }
    drop(counter);
    for digits in [PIN, OTHER] {
        assert_eq!(holding(dir.path(), digits), Vec::<String>::new());
    }
}

/// A PIN that nobody asked for, in other words: its digits go, and the answer is that to any such text. Another number stays: people read it.
#[test]
fn a_pin_in_words_that_cannot_be_read_is_blotted_and_nothing_is_learned_from_it() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    say(&counter, &format!("pin {PIN}"));
    for lines in [
        [
            "my secret is NO",
            "password NO",
            "the secret number is NO please keep it",
        ],
        ["harvest NO", "C4 NO", "secret NO C4 12.5"],
    ] {
        for line in lines {
            let with = |digits: &str| say(&counter, &line.replace("NO", digits));
            let right = with(PIN);
            // What is unreadable twice in a row is answered with an example.
            say(&counter, "tasks");
            let wrong = with(OTHER);
            say(&counter, "tasks");
            assert_eq!(right.0, wrong.0, "{line}");
            let plain = |reply: &str| reply.replace("630.749", "815.926").replace(PIN, OTHER);
            assert_eq!(plain(&right.1), wrong.1, "{line}");
            say(&counter, "no");
        }
    }
    assert_eq!(counter.member(COOP, ASHA).unwrap().pin.unwrap().wrong, 0);
    let mut texts = Vec::new();
    counter
        .each_message(COOP, &mut |row| {
            texts.push(row.text.clone());
            true
        })
        .unwrap();
    for (text, kept) in [
        ("my secret is ****".to_owned(), true),
        (format!("my secret is {OTHER}"), true),
        (format!("my secret is {PIN}"), false),
        (format!("password {PIN}"), false),
        (format!("the secret number is {PIN} please keep it"), false),
        // What may be a weight is one.
        (format!("C4 {PIN}"), true),
    ] {
        assert_eq!(texts.contains(&text), kept, "{text}: {texts:?}");
    }
}

/// What a keeper sends for each word: nothing of what a PIN guards happens without it, everything else happens as before.
#[test]
fn no_sensitive_word_is_obeyed_without_the_pin() {
    let mut guarded = 0;
    for row in VERBS.iter().filter(|row| row.behind.is_some()) {
        guarded += 1;
        let dir = TempDir::new().unwrap();
        let clock = Clock::standing(start());
        let counter = village(dir.path(), &clock);
        say(&counter, &format!("pin {PIN}"));
        let lines: Vec<String> = match row.key {
            "pin" => vec![
                "pin off".to_owned(),
                format!("pin {OTHER} 580221"),
                format!("pin off {OTHER}"),
            ],
            key => {
                let words = Lexicon::builtin().entries();
                let own = words.filter(|(_, e)| matches!(e.meaning, clutchline::grammar::meanings::Meaning::Verb(v, _) if v == row.verb));
                own.map(|(word, _)| word.to_owned())
                    .chain([row.example.to_owned(), format!("for 1001 {key}")])
                    .collect()
            }
        };
        let before = counter.member(COOP, ASHA).unwrap().pin.map(|pin| pin.hash);
        for line in &lines {
            let (_, reply) = say(&counter, line);
            assert!(reply.contains("PIN"), "{line}: {reply}");
            assert!(
                !reply.contains("Kept of you") && !reply.contains("Erase your"),
                "{line}: {reply}"
            );
            let (_, reply) = say(&counter, "yes");
            assert!(
                !reply.contains("Kept of you") && !reply.contains("erased."),
                "{line}: {reply}"
            );
            assert_eq!(
                counter.member(COOP, ASHA).unwrap().pin.map(|pin| pin.hash),
                before
            );
            say(&counter, "no");
            counter.clock().advance(Duration::hours(25));
        }
        // The rest of the registry is as it was.
        for other in VERBS
            .iter()
            .filter(|row| row.behind.is_none() && row.key != "join")
        {
            let (_, reply) = say(&counter, other.example);
            assert!(!reply.contains("Your PIN?"), "{}: {reply}", other.example);
            say(&counter, "no");
        }
    }
    assert_eq!(
        guarded, 3,
        "what shows data, what erases, and the PIN itself"
    );
}

#[test]
fn the_menu_asks_for_it_and_the_office_ends_it() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let asked = dial(&counter, "set", &["Messages", "PIN"]);
    assert!(asked.contains("4 to 6 digits"), "{asked}");
    let set = key(&counter, "set", PIN);
    assert!(set.contains("PIN set"), "{set}");
    for (label, done) in [("My data", "Kept of you"), ("Forget me", "Erase your")] {
        for (pin, right) in [(OTHER, false), (PIN, true)] {
            let session = format!("{label} {right}");
            let asked = dial(&counter, &session, &["Messages", label]);
            assert!(
                asked.contains("Your PIN?") && !asked.contains(done),
                "{asked}"
            );
            let told = key(&counter, &session, pin);
            assert_eq!(told.contains(done), right, "{told}");
            assert_eq!(told.contains("not your PIN"), !right, "{told}");
        }
        say(&counter, "no");
    }
    for _ in 0..3 {
        say(&counter, &format!("my data pin {OTHER}"));
    }
    let now = counter.clock().now();
    let pin = counter.member(COOP, ASHA).unwrap().pin.unwrap();
    assert!(pin.locked(now).is_some() && pin.locked(now + Duration::hours(24)).is_none());
    assert!(
        say(&counter, &format!("my data pin {PIN}"))
            .1
            .contains("locked")
    );
    let (coop, member) = (COOP, ASHA);
    counter
        .office(OfficeRequest::ClearPin { coop, member })
        .unwrap();
    assert!(
        counter
            .office(OfficeRequest::ClearPin { coop, member })
            .is_err()
    );
    assert!(say(&counter, "my data").1.contains("Kept of you"));
    assert_eq!(counter.check().unwrap().faults, Vec::<String>::new());
}

/// The same answer twice, as networks do, is looked at once; and without a PIN a number is a weight as ever.
#[test]
fn a_pin_sent_again_by_the_network_counts_once() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    say(&counter, &format!("pin {PIN}"));
    say(&counter, "my data");
    for outcome in [Outcome::Refused, Outcome::Duplicate] {
        let receipt = counter
            .take(COOP, message(Some("n-1"), A, OTHER, None))
            .unwrap();
        assert_eq!(receipt.outcome, outcome);
    }
    assert_eq!(counter.member(COOP, ASHA).unwrap().pin.unwrap().wrong, 1);
}
