//! The documents' tables against the program's own: a row that is missing, or says something else, is a failed test.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

use clutchline::config::keys::{KEYS, Kind};
use clutchline::grammar::registry::VERBS;

/// The rows of a page that begin with `| {key} |`, as cells.
fn row<'p>(page: &'p str, key: &str) -> Vec<&'p str> {
    let start = format!("| {key} |");
    let mut rows = page.lines().filter(|line| line.starts_with(&start));
    let row = rows.next().unwrap_or_else(|| panic!("no row for {key}"));
    assert!(rows.next().is_none(), "two rows for {key}");
    row.trim_matches('|').split(" | ").map(str::trim).collect()
}

#[test]
fn every_verb_stands_in_the_page_of_the_language() {
    let page = include_str!("../docs/entry-language.md");
    let files = [
        include_str!("../grammar/words/en.toml"),
        include_str!("../grammar/words/sw.toml"),
    ];
    let words = files.map(|file| file.parse::<toml::Table>().unwrap());
    for verb in VERBS {
        let cells = row(page, verb.key);
        assert_eq!(cells.len(), 5, "{}", verb.key);
        for (cell, words) in cells[1..].iter().zip(&words) {
            let first = words["verbs"][verb.key][0].as_str().unwrap();
            assert_eq!(*cell, format!("`{first}`"), "{}", verb.key);
        }
        assert_eq!(cells[3], format!("`{}`", verb.example));
    }
    let table = page.split("## How").next().unwrap();
    let rows = table.lines().filter(|line| line.starts_with("| ")).count();
    assert_eq!(rows, VERBS.len() + 1, "a row for what is no verb");
}

#[test]
fn every_setting_stands_in_the_page_of_settings() {
    let page = include_str!("../docs/settings.md");
    for key in KEYS {
        let cells = row(page, &format!("`{}`", key.path));
        let kind = match key.kind {
            Kind::Text => "text",
            Kind::Whole => "whole",
            Kind::Number => "number",
        };
        let secret = if key.secret { ", secret" } else { "" };
        assert_eq!(cells[1], format!("{kind}{secret}"), "{}", key.path);
        assert_eq!(cells[2], format!("`{}`", key.example), "{}", key.path);
    }
    let rows = page.lines().filter(|line| line.starts_with("| `")).count();
    assert_eq!(rows, KEYS.len(), "a row for what is no setting");
}

#[test]
fn the_readme_and_the_gate_name_the_same_test_command() {
    let command = "cargo test --locked";
    let readme = include_str!("../README.md");
    assert!(readme.lines().any(|line| line.trim() == command));
    let gate = include_str!("../.ci/run");
    assert!(gate.lines().any(|line| line.ends_with(command)));
}
