//! Parts of long texts on disk: whole after a restart, given up when one never comes.

use crate::texts::phone;
use chrono::{DateTime, TimeDelta, Utc};
use clutchline::domain::message::LinkName;
use clutchline::links::keeping::{Keeping, PATIENCE, Whole};
use clutchline::links::parts::{Body, Concat, RefWidth};
use std::io::Write;
use std::path::Path;
use tempfile::tempdir;

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_773_100_000 + second, 0).unwrap()
}

fn open(dir: &Path, now: i64) -> (Keeping, Vec<Whole>) {
    Keeping::open(dir, &LinkName("north".to_owned()), at(now)).unwrap()
}

fn part(keeping: &mut Keeping, number: u8, text: &str, now: i64) -> Option<Whole> {
    let concat = Concat::new(9, RefWidth::Eight, 2, number).unwrap();
    let body = Body::Units(text.encode_utf16().collect());
    keeping
        .take(&phone(), "40123", (concat, body), (at(now), None))
        .unwrap()
}

#[test]
fn parts_in_any_order_make_the_text_across_a_restart() {
    let dir = tempdir().unwrap();
    let (mut keeping, _) = open(dir.path(), 0);
    assert_eq!(part(&mut keeping, 2, "C7 11", 0), None);
    drop(keeping);
    let (mut keeping, whole) = open(dir.path(), 5);
    assert!(whole.is_empty() && keeping.waiting() == 1);
    let whole = part(&mut keeping, 1, "C4 12.5 ", 6).unwrap();
    assert_eq!(whole.inbound.text, "C4 12.5 C7 11");
    assert_eq!(whole.inbound.from, phone());
    // Not ticked off: after a crash it comes once more, under the same id, so that the counter knows it.
    drop(keeping);
    let (mut keeping, again) = open(dir.path(), 60);
    assert_eq!(again.len(), 1);
    assert_eq!(again[0].inbound.id, whole.inbound.id);
    assert_eq!(again[0].inbound.text, whole.inbound.text);
    keeping.done(again[0].parts.clone()).unwrap();
    // Ticked off: never again, and the network's redelivery of a part starts nothing.
    drop(keeping);
    let (mut keeping, again) = open(dir.path(), 120);
    assert!(again.is_empty());
    assert_eq!(part(&mut keeping, 1, "C4 12.5 ", 121), None);
    assert_eq!(keeping.waiting(), 0);
}

#[test]
fn a_part_that_never_comes_becomes_a_message_without_figures() {
    let dir = tempdir().unwrap();
    let (mut keeping, _) = open(dir.path(), 0);
    part(&mut keeping, 1, "C4 12.5 ", 0);
    assert!(keeping.given_up(at(0) + PATIENCE).is_empty());
    let lost = keeping.given_up(at(1) + PATIENCE);
    assert_eq!(lost.len(), 1);
    assert_eq!(lost[0].inbound.from, phone());
    assert!(!lost[0].inbound.text.contains(|c: char| c.is_ascii_digit()));
    keeping.done(lost[0].parts.clone()).unwrap();
    drop(keeping);
    let late = (PATIENCE + TimeDelta::hours(1)).num_seconds();
    let (keeping, again) = open(dir.path(), late);
    assert!(again.is_empty() && keeping.waiting() == 0);
}

#[test]
fn a_line_that_a_crash_cut_costs_nothing_else() {
    let dir = tempdir().unwrap();
    let (mut keeping, _) = open(dir.path(), 0);
    part(&mut keeping, 1, "C4 12.5 ", 0);
    drop(keeping);
    let path = dir.path().join("north.parts");
    let mut file = std::fs::OpenOptions::new()
        .append(true)
        .open(&path)
        .unwrap();
    file.write_all(br#"{"part":{"no":2,"fro"#).unwrap();
    drop(file);
    let (mut keeping, _) = open(dir.path(), 1);
    assert_eq!(keeping.waiting(), 1);
    assert!(part(&mut keeping, 2, "C7 11", 2).is_some());
}

#[test]
fn what_cannot_be_used_is_kept_as_hexadecimal_for_its_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let dir = tempdir().unwrap();
    let (mut keeping, _) = open(dir.path(), 0);
    keeping.keep_raw(&[0, 0xAB, 7], "why so", at(0)).unwrap();
    let path = dir.path().join("north.raw");
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.ends_with("why so: 00ab07\n"), "{text}");
    for file in ["north.raw", "north.parts"] {
        let mode = std::fs::metadata(dir.path().join(file))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o077, 0, "{file}");
    }
}
