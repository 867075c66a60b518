//! Keeping a folder well: exports, archives, backups, reminders in time, and damage.

use crate::*;
use chrono::Duration;
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::{OfficeAnswer, OfficeRequest};
use clutchline::counter::keeping::{self, Kept};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::{MemberNo, Role};
use clutchline::sheets::Sheet;
use clutchline::sheets::form::Form;
use clutchline::sheets::rows::{self, Wanted};
use clutchline::store::outbox::Settled;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// A cooperative with two keepers who have sent a week of harvests.
pub(crate) fn village(dir: &Path, clock: &Clock) -> Counter {
    let counter = open(dir, clock);
    let mut rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    rules.wards = vec!["Msitu".to_owned()];
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
    let wanted = Wanted {
        coop: COOP,
        sheet: Sheet::Harvests,
        form: Form::Csv,
        month: None,
        wards: Vec::new(),
    };
    rows::write(counter, &wanted, &mut csv).unwrap();
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
    // A new entry; since the cage's record has no two days alike, it might be yesterday's line, so it is asked about.
    assert_eq!(take("C4 9.5").outcome, Outcome::Asked);
    assert_eq!(take("yes").outcome, Outcome::Saved);
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
    counter.settle(again[0].id, Settled::sent()).unwrap();
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
    let db = raw(&dir.path().join("store"));
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

#[test]
fn a_batch_that_writes_nothing_is_no_commit() {
    let temp = TempDir::new().unwrap();
    let counter = village(&temp.path().join("one"), &Clock::standing(start()));
    let before = counter.counts().commits;
    assert!(before > 0);
    counter.settle_down().unwrap();
    counter.settle_down().unwrap();
    assert_eq!(counter.counts().commits, before);
}
