//! Folders and exports of an older form: their states are made again from their events, and nothing else changes.

use crate::folder::village;
use crate::*;
use clutchline::counter::keeping;
use std::fs;

/// Turns every state of a closed folder into one of form 1: the head as it is, then a shape that no program reads any more.
fn age_states(dir: &Path) -> usize {
    const HEAD: usize = 5;
    let db = raw(&dir.join("store"));
    let states = db.open_tree("states").unwrap();
    let all: Vec<(sled::IVec, sled::IVec)> = states.iter().map(Result::unwrap).collect();
    for (key, bytes) in &all {
        let mut payload = bytes[HEAD..].to_vec();
        payload.extend(b"of another shape");
        let mut sum = crc32fast::Hasher::new();
        // The shelf's tag and the form, then the key, then the value.
        sum.update(&[3, 1]);
        sum.update(key);
        sum.update(&payload);
        let mut aged = vec![1];
        aged.extend(sum.finalize().to_le_bytes());
        aged.extend(payload);
        states.insert(key, aged).unwrap();
    }
    db.flush().unwrap();
    all.len()
}

fn exported(counter: &Counter, dir: &Path) -> String {
    let file = dir.join("export.ndjson");
    counter.export_to(&file).unwrap();
    fs::read_to_string(file).unwrap()
}

fn records(export: &str) -> Vec<&str> {
    export
        .lines()
        .filter(|line| line.contains("\"shelf\""))
        .collect()
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
    assert_eq!(records(&after), records(&before));
    counter.close().unwrap();
}

#[test]
fn an_export_of_an_older_form_is_read_whatever_its_states_look_like() {
    let temp = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(&temp.path().join("one"), &clock);
    let before = exported(&counter, temp.path());
    counter.close().unwrap();
    let aged = records(&before).into_iter().map(|line| {
        let mut value: serde_json::Value = serde_json::from_str(line).unwrap();
        if value["shelf"] == "states" {
            value["record"]["state"] = serde_json::json!({"x": 1});
        }
        value.to_string()
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
    assert_eq!(records(&after), records(&before));
    counter.close().unwrap();
}
