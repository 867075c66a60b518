//! The grammar against its golden cases, its normative ABNF and its own words.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "grammar/abnf.rs"]
mod abnf;
#[path = "grammar/shown.rs"]
mod shown;

use clutchline::grammar::{Lexicon, read};
use std::fs;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every golden message reads as its file says. With `SHOW_READINGS=1` the readings are printed, to be judged line by line before they are kept.
#[test]
fn golden_messages_read_as_written() {
    let mut paths: Vec<_> = fs::read_dir(root().join("grammar/cases/reading"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let (mut count, mut wrong) = (0, Vec::new());
    for path in paths {
        let file = fs::read_to_string(&path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        for (i, line) in file.lines().enumerate() {
            if line.trim().is_empty() || line.starts_with("# ") {
                if std::env::var_os("SHOW_READINGS").is_some() {
                    println!("{name}|{line}");
                }
                continue;
            }
            let (text, expected) = line.split_once(" => ").unwrap_or((line, "(nothing)"));
            let reading = shown::reading(&read(&text.replace("\\n", "\n"), Lexicon::builtin()));
            if std::env::var_os("SHOW_READINGS").is_some() {
                println!("{name}|{text} => {reading}");
            }
            count += 1;
            if reading != expected {
                wrong.push(format!("{name}:{}: {text}\n   file: {expected}\n   read: {reading}", i + 1));
            }
        }
    }
    assert!(count > 300, "only {count} golden messages");
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong.join("\n"));
}
