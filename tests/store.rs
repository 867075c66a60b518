//! The store and the counter from outside: what is kept, what is told twice, what survives.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::{CounterError, OfficeAnswer, OfficeRequest, TakeError};
use clutchline::counter::keeping::{self, Kept};
use clutchline::counter::settings::{Flood, LinkRule, ReplyBy, Settings};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{CoopId, Inbound, LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::{MemberNo, Role};
use clutchline::store::outbox::Settled;
use std::fs;
use std::path::Path;
use std::sync::mpsc::channel;
use tempfile::TempDir;

const COOP: CoopId = CoopId(1);

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn start() -> DateTime<Utc> {
    at("2026-03-10T05:10:00Z")
}

fn settings() -> Settings {
    let send = LinkRule {
        reply: ReplyBy::Send,
        flood: false,
    };
    Settings {
        links: [(LinkName("send".to_owned()), send)].into(),
        default_link: Some(LinkName("send".to_owned())),
        ..Settings::default()
    }
}

fn open(dir: &Path, clock: &Clock) -> Counter {
    Counter::open(dir, settings(), clock.clone()).unwrap()
}

fn message(id: Option<&str>, from: &str, text: &str, sent_at: Option<DateTime<Utc>>) -> Inbound {
    Inbound {
        link: LinkName("web".to_owned()),
        id: id.map(str::to_owned),
        from: PhoneNumber::new(from).unwrap(),
        to: None,
        text: text.to_owned(),
        sent_at: sent_at.unwrap_or_else(start),
        sent_at_known: sent_at.is_some(),
        received_at: start(),
    }
}

const A: &str = "+255700000101";
const B: &str = "+255700000102";

#[test]
fn the_same_link_and_id_is_stored_once_even_inside_one_batch_and_after_reopening() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = open(dir.path(), &clock);
    let first = counter
        .take(COOP, message(Some("m-1"), A, "C4 12.5", None))
        .unwrap();
    assert_ne!(first.outcome, Outcome::Duplicate);
    let copies = vec![message(Some("m-2"), B, "C1 3", None); 50];
    let receipts = counter.take_many(COOP, copies).unwrap();
    let fresh = receipts
        .iter()
        .filter(|receipt| receipt.outcome != Outcome::Duplicate)
        .count();
    assert_eq!(fresh, 1);
    assert!(
        receipts
            .iter()
            .all(|receipt| receipt.message == receipts[0].message
                && receipt.replies == receipts[0].replies)
    );
    counter.close().unwrap();

    clock.advance(Duration::days(2));
    let counter = open(dir.path(), &clock);
    let again = counter
        .take(COOP, message(Some("m-1"), A, "C4  12.5", None))
        .unwrap();
    assert_eq!(again.outcome, Outcome::Duplicate);
    assert_eq!(again.message, first.message);
    assert_eq!(again.replies, first.replies);
    counter.close().unwrap();
}

#[test]
fn an_id_that_begins_anew_does_not_swallow_another_message() {
    let dir = TempDir::new().unwrap();
    let counter = open(dir.path(), &Clock::standing(start()));
    let mut inbounds = vec![
        message(Some("1"), A, "C4 12.5", None),
        message(Some("1"), B, "C4 12.5", None),
        message(Some("1"), B, "C5 8", None),
        message(Some("1"), B, "C5 8.5", None),
    ];
    inbounds[3].link = LinkName("other".to_owned());
    let receipts = counter.take_many(COOP, inbounds).unwrap();
    assert!(
        receipts
            .windows(2)
            .all(|pair| pair[0].message < pair[1].message)
    );
    assert!(receipts.iter().all(|r| r.outcome != Outcome::Duplicate));
    counter.close().unwrap();
}

#[test]
fn the_same_text_at_the_same_known_time_is_a_redelivery_under_any_id() {
    let dir = TempDir::new().unwrap();
    let counter = open(dir.path(), &Clock::standing(start()));
    let sent = Some(at("2026-03-10T05:00:00Z"));
    let take = |id: &str, text: &str, sent| {
        counter
            .take(COOP, message(Some(id), A, text, sent))
            .unwrap()
            .outcome
    };
    assert_ne!(take("a", "tasks", sent), Outcome::Duplicate);
    assert_eq!(take("b", "tasks", sent), Outcome::Duplicate);
    assert_ne!(
        take("c", "tasks", Some(at("2026-03-10T05:00:01Z"))),
        Outcome::Duplicate
    );
    counter.close().unwrap();
}

#[test]
fn a_second_process_is_refused_and_a_closed_counter_takes_nothing() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = open(dir.path(), &clock);
    match Counter::open(dir.path(), settings(), clock.clone()) {
        Err(CounterError::InUse(_)) => {}
        other => panic!("{:?}", other.err()),
    }
    let late = counter.clone();
    counter.close().unwrap();
    assert_eq!(
        late.take(COOP, message(None, A, "C4 1", None)),
        Err(TakeError::Closing)
    );
    drop(late);
    open(dir.path(), &clock).close().unwrap();
}

#[test]
fn closing_drains_what_was_accepted() {
    let dir = TempDir::new().unwrap();
    let counter = open(dir.path(), &Clock::standing(start()));
    let (tell, told) = channel();
    for i in 0..1_000 {
        let tell = tell.clone();
        counter.submit(
            COOP,
            message(Some(&i.to_string()), B, &format!("C{i}"), None),
            Box::new(move |fate| tell.send(fate).unwrap()),
        );
    }
    counter.close().unwrap();
    drop(tell);
    let fates: Vec<_> = told.iter().collect();
    assert_eq!(fates.len(), 1_000);
    let kept = fates.iter().filter(|fate| fate.is_ok()).count();
    // The flood limit refuses the rest, with its reason.
    assert_eq!(kept, 60);
    assert!(
        fates
            .iter()
            .all(|fate| matches!(fate, Ok(_) | Err(TakeError::Flooded { .. })))
    );
}

#[test]
fn a_flood_from_one_number_leaves_others_alone() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let settings = Settings {
        flood: Some(Flood {
            messages: 2,
            window: Duration::minutes(1),
        }),
        ..settings()
    };
    let counter = Counter::open(dir.path(), settings, clock.clone()).unwrap();
    let take = |from: &str, text: &str| counter.take(COOP, message(None, from, text, None));
    assert!(take(A, "C1").is_ok() && take(A, "C2").is_ok());
    assert_eq!(take(A, "C3"), Err(TakeError::Flooded { retry_after_s: 60 }));
    assert!(take(B, "C3").is_ok());
    clock.advance(Duration::minutes(1));
    assert!(take(A, "C3").is_ok());
    counter.close().unwrap();
}

#[test]
fn a_time_that_cannot_be_is_replaced_by_the_gateways() {
    let dir = TempDir::new().unwrap();
    let counter = open(dir.path(), &Clock::standing(start()));
    let sent = |when| {
        let receipt = counter
            .take(COOP, message(None, A, &format!("C1 {when}"), Some(when)))
            .unwrap();
        let kept = counter.message(COOP, receipt.message).unwrap();
        kept.unwrap().sent_at
    };
    let yesterday = start() - Duration::days(1);
    assert_eq!(sent(yesterday), yesterday);
    assert_eq!(sent(start() + Duration::seconds(1)), start());
    assert_eq!(sent(start() - Duration::days(8)), start());
    counter.close().unwrap();
}

/// A cooperative with two keepers who have sent a week of harvests.
fn village(dir: &Path, clock: &Clock) -> Counter {
    let counter = open(dir, clock);
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let rules = Box::new(rules);
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    for (name, from) in [("Asha", A), ("Juma", B)] {
        let answer = counter
            .office(OfficeRequest::AddMember {
                coop: COOP,
                number: None,
                name: name.to_owned(),
                lang: Lang::EN,
                role: Role::Keeper,
                ward: None,
                phones: vec![PhoneNumber::new(from).unwrap()],
            })
            .unwrap();
        assert!(matches!(answer, OfficeAnswer::Member(_)));
    }
    let mut sent = start() - Duration::days(6);
    let stocked = sent - Duration::days(14);
    let mut inbounds = Vec::new();
    for from in [A, B] {
        let text = format!("C4 stock 8000 {}", stocked.format("%d/%m"));
        inbounds.push(message(Some(&format!("s-{from}")), from, &text, Some(sent)));
    }
    for day in 0..6 {
        sent = start() - Duration::days(6 - day);
        for from in [A, B] {
            let id = format!("h-{day}-{from}");
            let text = format!("C4 {}.5", day + 3);
            inbounds.push(message(
                Some(&id),
                from,
                &text,
                Some(sent + Duration::hours(1)),
            ));
        }
    }
    let receipts = counter.take_many(COOP, inbounds).unwrap();
    let saved = receipts
        .iter()
        .filter(|receipt| receipt.outcome == Outcome::Saved)
        .count();
    assert_eq!(saved, 14, "{receipts:?}");
    counter
}

fn harvests(counter: &Counter) -> String {
    let mut csv = Vec::new();
    counter.harvests(COOP, &mut csv).unwrap();
    String::from_utf8(csv).unwrap()
}

#[test]
fn an_export_is_imported_and_exported_again_byte_for_byte() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(&dir.path().join("one"), &clock);
    let first = dir.path().join("first.ndjson");
    let lines = counter.export_to(&first).unwrap();
    let listed = harvests(&counter);
    counter.close().unwrap();

    let copy = dir.path().join("two");
    assert_eq!(keeping::import(&copy, &first).unwrap(), lines);
    let counter = open(&copy, &clock);
    let second = dir.path().join("second.ndjson");
    assert_eq!(counter.export_to(&second).unwrap(), lines);
    assert_eq!(fs::read(&first).unwrap(), fs::read(&second).unwrap());
    assert_eq!(harvests(&counter), listed);
    assert_eq!(counter.check().unwrap().faults, [""; 0]);
    // What was received before is known again, and numbers go on.
    let again = counter
        .take(COOP, message(Some(&format!("h-0-{A}")), A, "C4 3.5", None))
        .unwrap();
    assert_eq!(again.outcome, Outcome::Duplicate);
    counter.close().unwrap();
}

#[test]
fn an_import_cut_short_leaves_nothing_to_be_served() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(&dir.path().join("one"), &clock);
    let whole = dir.path().join("whole.ndjson");
    counter.export_to(&whole).unwrap();
    counter.close().unwrap();
    let text = fs::read_to_string(&whole).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let cut = dir.path().join("cut.ndjson");
    fs::write(&cut, lines[..lines.len() - 1].join("\n")).unwrap();
    let target = dir.path().join("two");
    assert!(keeping::import(&target, &cut).is_err());
    let changed = text.replacen("C4 3.5", "C4 8.5", 1);
    assert_ne!(changed, text);
    fs::write(&cut, changed).unwrap();
    assert!(keeping::import(&target, &cut).is_err());

    let counter = open(&target, &clock);
    assert!(counter.coops().unwrap().is_empty());
    assert!(counter.members(COOP).unwrap().is_empty());
    counter.close().unwrap();
    keeping::import(&target, &whole).unwrap();
    // Never over what is there.
    assert!(keeping::import(&target, &whole).is_err());
}

#[test]
fn archiving_and_compacting_change_no_harvest_and_no_message_id() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let data = dir.path().join("data");
    let counter = village(&data, &clock);
    let listed = harvests(&counter);
    assert_eq!(listed.lines().count(), 1 + 12, "{listed}");
    assert!(listed.contains(&format!("1001,C4,2026-03-04,3.5,1001,h-0-{A}")));
    clock.advance(Duration::days(100));
    let archive = dir.path().join("archive");
    let before = start() + Duration::days(1);
    let (file, moved) = counter.archive(&archive, before).unwrap().unwrap();
    assert_eq!(moved, 14);
    assert!(file.exists());
    assert!(counter.archive(&archive, before).unwrap().is_none());
    assert_eq!(harvests(&counter), listed);
    counter.close().unwrap();

    keeping::compact(&data).unwrap();
    let counter = open(&data, &clock);
    assert_eq!(harvests(&counter), listed);
    assert_eq!(counter.check().unwrap().faults, [""; 0]);
    counter.close().unwrap();
}

#[test]
fn backups_stay_by_count_and_age_and_bring_the_store_back() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(&dir.path().join("data"), &clock);
    let folder = dir.path().join("backups");
    let kept = Kept {
        count: 2,
        age: Duration::days(3),
    };
    let mut files = Vec::new();
    for _ in 0..6 {
        clock.advance(Duration::days(1));
        files.push(counter.backup(&folder, kept).unwrap().0);
    }
    let there: Vec<bool> = files.iter().map(|file| file.exists()).collect();
    assert_eq!(there, [false, false, true, true, true, true]);
    let listed = harvests(&counter);
    counter.close().unwrap();
    let restored = dir.path().join("restored");
    keeping::import(&restored, &files[5]).unwrap();
    let counter = open(&restored, &clock);
    assert_eq!(harvests(&counter), listed);
    counter.close().unwrap();
}

#[test]
fn the_same_text_within_ten_minutes_is_a_redelivery_only_where_it_records() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let mut no = 0;
    let mut take = |text: &str| {
        no += 1;
        counter
            .take(
                COOP,
                message(
                    Some(&format!("again-{no}")),
                    A,
                    text,
                    Some(counter.clock().now()),
                ),
            )
            .unwrap()
    };
    let first = take("C4 9.5");
    assert_eq!(first.outcome, Outcome::Saved);
    assert_eq!(take("tasks").outcome, Outcome::Answered);
    clock.advance(Duration::minutes(10));
    let second = take("C4 9.5");
    assert_eq!(second.outcome, Outcome::Duplicate);
    assert_eq!(
        (second.message, second.replies),
        (first.message, first.replies)
    );
    assert_eq!(take("tasks").outcome, Outcome::Answered);
    clock.advance(Duration::seconds(1));
    // Later, the desk answers that it stands already.
    assert_ne!(take("C4 9.5").outcome, Outcome::Duplicate);
    clock.advance(Duration::days(1));
    assert_eq!(take("C4 9.5").outcome, Outcome::Saved);
    let listed = harvests(&counter);
    assert_eq!(listed.matches(",9.5,").count(), 2, "{listed}");
    counter.close().unwrap();
}

#[test]
fn a_morning_list_is_leased_retried_and_worthless_by_the_evening() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let link = LinkName("send".to_owned());
    let mut inbound = message(None, A, "C4 9.5", None);
    inbound.link = link.clone();
    counter.take(COOP, inbound).unwrap();
    let answers = counter.lease(&link, "one", 10).unwrap();
    assert_eq!(answers.len(), 1);
    assert_eq!(answers[0].outbound.to.full(), A);
    // Leased: nobody else gets it until the lease ends.
    assert!(counter.lease(&link, "two", 10).unwrap().is_empty());
    clock.advance(Duration::minutes(2));
    let again = counter.lease(&link, "two", 10).unwrap();
    assert_eq!((again.len(), again[0].attempts), (1, 1));
    counter.settle(again[0].id, Settled::Sent).unwrap();
    // 06:00 at Dar es Salaam is 03:00 UTC.
    clock.advance(at("2026-03-11T03:00:30Z") - clock.now());
    assert!(counter.tick().unwrap() >= 1);
    let lists = counter.lease(&link, "one", 10).unwrap();
    let to: Vec<&str> = lists.iter().map(|row| row.outbound.to.full()).collect();
    assert!(to.contains(&A), "{to:?}");
    let retry = Settled::Retry {
        at: at("2026-03-11T05:00:00Z"),
    };
    for row in &lists {
        counter.settle(row.id, retry.clone()).unwrap();
    }
    assert!(counter.lease(&link, "one", 10).unwrap().is_empty());
    assert_eq!(counter.tick().unwrap(), 0, "one list a day");
    clock.advance(at("2026-03-11T15:00:00Z") - clock.now());
    assert!(counter.lease(&link, "one", 10).unwrap().is_empty());
    assert_eq!(counter.counts().expired, lists.len() as u64);
    assert_eq!(counter.check().unwrap().faults, [""; 0]);
    counter.close().unwrap();
}

#[test]
fn damage_is_found_by_a_check_and_a_damaged_state_is_made_again() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let farm = counter.farm(COOP, MemberNo(1001)).unwrap();
    counter.close().unwrap();
    let db = sled::open(dir.path().join("store")).unwrap();
    // Cooperative 1, farms are kind 3.
    for (tree, start) in [("states", [0, 1, 3]), ("messages", [0, 1, 0])] {
        let tree = db.open_tree(tree).unwrap();
        let (key, bytes) = tree.scan_prefix(start).next().unwrap().unwrap();
        let mut bytes = bytes.to_vec();
        *bytes.last_mut().unwrap() ^= 1;
        tree.insert(key, bytes).unwrap();
    }
    db.flush().unwrap();
    drop(db);

    let counter = open(dir.path(), &clock);
    let report = counter.check().unwrap();
    let found = |shelf: &str| report.faults.iter().any(|fault| fault.contains(shelf));
    assert!(found("states") && found("messages"), "{report:?}");
    assert_eq!(counter.farm(COOP, MemberNo(1001)).unwrap(), farm);
    counter.close().unwrap();
}
