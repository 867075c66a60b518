//! Folders and exports of an older form: their states are made again from their events, and nothing else changes.

use crate::folder::village;
use crate::*;
use clutchline::counter::keeping;
use std::fs;

/// Turns every state of a closed folder into bytes of form 1 that no program reads any more.
fn age_states(dir: &Path) -> usize {
    let db = sled::open(dir.join("store")).unwrap();
    let states = db.open_tree("states").unwrap();
    let keys: Vec<sled::IVec> = states.iter().keys().map(Result::unwrap).collect();
    for key in &keys {
        states
            .insert(key, b"\x01\xff\xff\xff\xffof another shape".as_slice())
            .unwrap();
    }
    db.flush().unwrap();
    keys.len()
}

fn exported(counter: &Counter, dir: &Path) -> String {
    let file = dir.join("export.ndjson");
    counter.export_to(&file).unwrap();
    fs::read_to_string(file).unwrap()
}

/// Head and states aside, `heard` included: it is what an upgrade may know less of.
fn lines_but_heard(export: &str) -> Vec<String> {
    let heard = regex::Regex::new(r#""heard":[^,]*,"#).unwrap();
    let lines = export.lines().filter(|line| line.contains("shelf"));
    lines.map(|line| heard.replace(line, "").into()).collect()
}

#[test]
fn a_folder_with_states_of_an_older_form_opens_as_it_was() {
    let temp = TempDir::new().unwrap();
    let (dir, clock) = (temp.path().join("one"), Clock::standing(start()));
    let counter = village(&dir, &clock);
    let before = exported(&counter, temp.path());
    counter.close().unwrap();
    assert!(age_states(&dir) > 4);
    let counter = open(&dir, &clock);
    let report = counter.check().unwrap();
    assert_eq!(report.faults_found, 0, "{:?}", report.faults);
    let after = exported(&counter, temp.path());
    assert_eq!(lines_but_heard(&after), lines_but_heard(&before));
    counter.close().unwrap();
}

#[test]
fn an_export_of_an_older_form_is_read_whatever_its_states_look_like() {
    let temp = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(&temp.path().join("one"), &clock);
    let before = exported(&counter, temp.path());
    counter.close().unwrap();
    let records = before.lines().filter(|line| line.contains("\"shelf\""));
    let aged = records.map(|line| match line.split_once(",\"record\":") {
        Some((head, _)) if line.contains("\"states\"") => {
            format!("{head},\"record\":{{\"x\":1}}}}")
        }
        _ => line.to_owned(),
    });
    let mut text = "{\"clutchline_export\":1}\n".to_owned();
    let mut count = 0;
    for line in aged {
        text += &format!("{line}\n");
        count += 1;
    }
    let sum = crc32fast::hash(text.as_bytes());
    text += &format!("{{\"records\":{count},\"crc32\":{sum}}}\n");
    let file = temp.path().join("old.ndjson");
    fs::write(&file, text).unwrap();
    let dir = temp.path().join("two");
    keeping::import(&dir, &file).unwrap();
    let counter = open(&dir, &clock);
    let report = counter.check().unwrap();
    assert_eq!(report.faults_found, 0, "{:?}", report.faults);
    let after = exported(&counter, temp.path());
    assert_eq!(lines_but_heard(&after), lines_but_heard(&before));
    counter.close().unwrap();
}
