//! A member who is erased: nothing of the person is left here or in older backups, and every weight is.

use crate::folder::village;
use crate::{A, B, COOP, message, open, start};
use chrono::Duration;
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::keeping::{Kept, import};
use clutchline::domain::MemberNo;
use clutchline::domain::dossier::{DossierEvent, Touch, VisitNote};
use clutchline::domain::message::Outcome;
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::user::{Deed, DeedKind, Login};
use clutchline::sheets::Month;
use clutchline::sheets::month::{WardMonth, by_ward};
use clutchline::units::Grams;
use flate2::read::GzDecoder;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::Path;
use tempfile::TempDir;

const ASHA: MemberNo = MemberNo(1001);

fn say(counter: &Counter, id: &str, from: &str, text: &str) -> (Outcome, String) {
    let at = counter.clock().now();
    let receipt = counter
        .take(COOP, message(Some(id), from, text, Some(at)))
        .unwrap();
    let reply = receipt.replies.first().map(|reply| reply.text.clone());
    (receipt.outcome, reply.unwrap_or_default())
}

/// Everything that a file of lines holds, with its keys in hexadecimal.
fn unpacked(file: &Path) -> String {
    let mut text = String::new();
    GzDecoder::new(File::open(file).unwrap())
        .read_to_string(&mut text)
        .unwrap();
    text
}

/// Where somebody's number, name or words still stand.
fn traces(lines: &str) -> Vec<&str> {
    // A number is digits in a record and an integer in a key.
    let digits = A.trim_start_matches('+');
    let key = format!("{:016x}", digits.parse::<u64>().unwrap());
    let tell = |line: &&str| {
        [digits, &key, "Asha", "ant hill"]
            .iter()
            .any(|trace| line.contains(trace))
    };
    lines.lines().filter(tell).collect()
}

fn visited(member: MemberNo) -> Deed {
    Deed {
        kind: DeedKind::Visited,
        member: Some(member),
        message: None,
        old: String::new(),
        new: "Asha was ill".to_owned(),
    }
}

fn sums(counter: &Counter) -> Vec<String> {
    let mut rows = Vec::new();
    for farm in counter.farms(COOP).unwrap() {
        counter
            .harvests_of(COOP, farm, &mut |row| {
                rows.push(format!(
                    "{} {} {} {}",
                    row.member, row.cage, row.day, row.grams
                ));
            })
            .unwrap();
    }
    rows
}

fn export(counter: &Counter, dir: &Path) -> String {
    let file = dir.join("all.ndjson.gz");
    counter.export_to(&file).unwrap();
    unpacked(&file)
}

#[test]
fn forget_me_leaves_the_weights_and_nothing_of_the_person() {
    let (dir, backups) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let (coop, ward) = (COOP, "Msitu".to_owned());
    for member in [ASHA, MemberNo(1002)] {
        let ward = ward.clone();
        counter
            .office(OfficeRequest::SetWard { coop, member, ward })
            .unwrap();
    }
    say(&counter, "q-1", A, "C4 12.5 beside the ant hill");
    // What an officer wrote of a visit is about the person too.
    let visit = VisitNote {
        touch: Touch::Visit,
        day: start().date_naive(),
        by: Login::new("grace").unwrap(),
        seen: "Asha was ill".to_owned(),
        done: String::new(),
        follow_up: None,
    };
    let (by, deed) = (visit.by.clone(), visited(ASHA));
    counter
        .keep_on_farm(COOP, ASHA, DossierEvent::Visited(visit), (&by, deed))
        .unwrap();
    let mut own = Vec::new();
    counter.about(COOP, ASHA, &mut own).unwrap();
    assert!(String::from_utf8(own).unwrap().contains("Asha was ill"));
    let kept = Kept {
        count: 9,
        age: Duration::days(30),
    };
    let (old, _) = counter.backup(backups.path(), kept).unwrap();
    assert!(!traces(&unpacked(&old)).is_empty());
    let before = sums(&counter);
    assert!(before.len() > 6);
    let month = by_ward(&counter, COOP, Month::read("2026-03").unwrap(), &|_| true).unwrap();

    let (outcome, asked) = say(&counter, "f-1", A, "Forget me");
    assert!(
        outcome == Outcome::Asked && asked.contains("yes"),
        "{asked}"
    );
    say(&counter, "f-2", A, "no");
    assert!(counter.member(COOP, ASHA).unwrap().joined);
    say(&counter, "f-3", A, "forget me");
    clock.advance(Duration::minutes(1));
    let (_, done) = say(&counter, "f-4", A, "yes");
    assert!(done.contains("erased"), "{done}");

    let lines = export(&counter, dir.path());
    // The key by which the `yes` itself would be known again stays its three to nine days.
    let left: Vec<&str> = traces(&lines)
        .into_iter()
        .filter(|line| !line.contains("\"seen-"))
        .collect();
    assert_eq!(left, Vec::<&str>::new());
    assert_eq!(sums(&counter), before);
    let after = by_ward(&counter, COOP, Month::read("2026-03").unwrap(), &|_| true).unwrap();
    let eggs = |wards: &BTreeMap<String, WardMonth>| -> Vec<(String, Grams, u32)> {
        let row = |(ward, month): (&String, &WardMonth)| (ward.clone(), month.grams, month.active);
        wards.iter().map(row).collect()
    };
    assert_eq!(eggs(&after), eggs(&month), "a ward's sums stay");
    assert_eq!(after["Msitu"].members + 1, month["Msitu"].members);
    assert_eq!(counter.check().unwrap().faults, Vec::<String>::new());
    let (_, stranger) = say(&counter, "n-1", A, "C4 9");
    assert!(stranger.contains("join"), "{stranger}");
    assert!(counter.member(COOP, MemberNo(1002)).unwrap().joined);
    counter.close().unwrap();

    let counter = open(dir.path(), &clock);
    assert_eq!(counter.check().unwrap().faults, Vec::<String>::new());
    assert_eq!(sums(&counter), before);
    counter.close().unwrap();
}

#[test]
fn an_older_backup_is_written_again_without_the_person() {
    let (dir, backups) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let kept = Kept {
        count: 9,
        age: Duration::days(30),
    };
    let (old, _) = counter.backup(backups.path(), kept).unwrap();
    let (archive, _) = counter
        .archive(backups.path(), start() + Duration::days(1))
        .unwrap()
        .unwrap();
    // The moment of a file is the machine's: these were written an hour before it is now.
    for file in [&old, &archive] {
        let file = File::options().write(true).open(file).unwrap();
        file.set_modified((start() - Duration::hours(1)).into())
            .unwrap();
    }
    let before = sums(&counter);
    assert_eq!(counter.erase_in_files(backups.path()).unwrap(), 0);
    counter
        .office(OfficeRequest::Erase {
            coop: COOP,
            member: ASHA,
        })
        .unwrap();
    assert_eq!(counter.erase_in_files(backups.path()).unwrap(), 2);
    assert_eq!(counter.erase_in_files(backups.path()).unwrap(), 0, "once");
    counter.close().unwrap();
    for file in [&old, &archive] {
        let lines = unpacked(file);
        assert_eq!(traces(&lines), Vec::<&str>::new());
        assert!(lines.contains(B), "the others stay");
    }
    let restored = TempDir::new().unwrap();
    import(restored.path(), &old).unwrap();
    let counter = open(restored.path(), &clock);
    assert_eq!(sums(&counter), before);
    assert_eq!(counter.check().unwrap().faults, Vec::<String>::new());
    assert_eq!(std::fs::read_dir(backups.path()).unwrap().count(), 2);
    counter.close().unwrap();
}

#[test]
fn a_shared_phone_stays_the_other_s() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    let phone = PhoneNumber::new(A).unwrap();
    counter
        .office(OfficeRequest::AddPhone {
            coop: COOP,
            member: MemberNo(1002),
            phone: phone.clone(),
        })
        .unwrap();
    counter
        .office(OfficeRequest::Erase {
            coop: COOP,
            member: ASHA,
        })
        .unwrap();
    assert_eq!(
        counter.served_by(COOP, &phone).unwrap(),
        vec![MemberNo(1002)]
    );
    let lines = export(&counter, dir.path());
    assert!(!lines.contains("Asha") && !lines.contains("\"Serves\":1001"));
    let (outcome, _) = say(&counter, "s-9", A, "C4 7.5");
    assert_eq!(outcome, Outcome::Saved);
    assert_eq!(counter.check().unwrap().faults, Vec::<String>::new());
}

#[test]
fn old_texts_are_emptied_and_what_came_of_them_stays() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    let before = sums(&counter);
    let at = start() + Duration::days(1);
    assert!(counter.empty_texts(at).unwrap() > 6);
    assert_eq!(counter.empty_texts(at).unwrap(), 0, "once");
    counter
        .each_message(COOP, &mut |row| {
            assert!(row.text.is_empty() && row.replies.iter().all(|reply| reply.text.is_empty()));
            true
        })
        .unwrap();
    assert_eq!(sums(&counter), before);
    assert_eq!(counter.check().unwrap().faults, Vec::<String>::new());
}
