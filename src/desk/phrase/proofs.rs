//! Proofs about the reply files: every language says everything, nothing else, in letters of one septet.
//!
//! This room holds tests only.

use crate::desk::phrase::keys::Key;
use crate::desk::phrase::verbs::verb;
use crate::desk::phrase::{FILES, Phrasebook};
use crate::grammar::{Lexicon, read, registry};
use crate::units::septets::septets;
use std::collections::{BTreeMap, BTreeSet};

/// Each language's messages: key to raw text, continuation lines included.
fn raw(source: &str) -> BTreeMap<String, String> {
    let mut messages: BTreeMap<String, String> = BTreeMap::new();
    let mut current = String::new();
    for line in source.lines().filter(|line| !line.starts_with('#')) {
        if line.starts_with(' ') {
            messages.get_mut(&current).unwrap().push_str(line);
        } else if let Some((key, text)) = line.split_once(" = ") {
            current = key.to_owned();
            assert!(
                messages.insert(current.clone(), text.to_owned()).is_none(),
                "{key} stands twice"
            );
        }
    }
    messages
}

fn files() -> Vec<(String, BTreeMap<String, String>)> {
    FILES
        .files()
        .map(|file| {
            let name = file.path().to_str().unwrap().to_owned();
            (name, raw(file.contents_utf8().unwrap()))
        })
        .collect()
}

/// The values that a text has places for.
fn places(text: &str) -> BTreeSet<String> {
    text.split("{ $")
        .skip(1)
        .map(|rest| {
            rest.chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect()
        })
        .collect()
}

#[test]
fn every_language_says_everything_and_nothing_else() {
    let keys: BTreeSet<&str> = Key::ALL.iter().map(|key| key.name()).collect();
    assert_eq!(keys.len(), Key::ALL.len(), "two keys share a name");
    let files = files();
    assert!(files.len() >= 2);
    assert_eq!(Phrasebook::builtin().langs().count(), files.len());
    for (name, messages) in files {
        let said: BTreeSet<&str> = messages.keys().map(String::as_str).collect();
        assert_eq!(said, keys, "{name}");
    }
}

#[test]
fn every_language_fills_in_the_same_values() {
    let files = files();
    let english = &files.iter().find(|(name, _)| name == "en.ftl").unwrap().1;
    for (name, messages) in &files {
        for (key, text) in messages {
            assert_eq!(places(text), places(&english[key]), "{name}: {key}");
        }
    }
}

/// A key that no code says would be a text that nobody ever reads.
#[test]
fn every_key_is_said_somewhere() {
    let code = [
        include_str!("asked.rs"),
        include_str!("estimated.rs"),
        include_str!("saved.rs"),
        include_str!("told.rs"),
        include_str!("verbs.rs"),
        include_str!("voice.rs"),
        include_str!("../phrase.rs"),
        // Its tables are total functions of the types that a reply is made of.
        include_str!("keyed.rs"),
    ]
    .concat();
    for key in Key::ALL {
        let said = code.match_indices(&format!("Key::{key:?}")).any(|(at, m)| {
            let after = code[at + m.len()..].chars().next();
            !after.is_some_and(char::is_alphanumeric)
        });
        assert!(said, "{key:?}");
    }
}

#[test]
fn every_text_is_in_the_letters_of_one_septet() {
    for (name, messages) in files() {
        for (key, text) in messages {
            let letters: String = text.chars().filter(|c| !"{}[]".contains(*c)).collect();
            assert_eq!(
                septets(&letters),
                Some(letters.chars().count()),
                "{name}: {key}"
            );
        }
    }
}

#[test]
fn a_file_that_lacks_a_text_is_refused() {
    let english = FILES.get_file("en.ftl").unwrap().contents_utf8().unwrap();
    let lacking = english.replace("today = today\n", "");
    let error = Phrasebook::from_files([("en.ftl", lacking.as_str())].into_iter()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "en.ftl: expected a text for every key, but it lacks today"
    );
    let error = Phrasebook::from_files([("english.txt", english)].into_iter()).unwrap_err();
    assert!(error.to_string().contains("named after a language"));
    let error = Phrasebook::from_files([("sw.ftl", english)].into_iter()).unwrap_err();
    assert!(error.to_string().contains("en.ftl"));
}

/// What a text puts in quotes, with its places filled in as a reply would fill them.
fn quoted(key: &str, text: &str) -> Vec<String> {
    let first = match key {
        "no-such-lang" => "sw",
        "ask-whose" => "2071",
        _ => "C1",
    };
    text.split('"')
        .skip(1)
        .step_by(2)
        .filter(|line| !line.contains("$example"))
        .map(|line| {
            line.replace("{ $unit }", "C7")
                .replace("{ $first }", first)
                .replace("{ $grams }", "12.5g")
                .replace("{ $word }", "bait")
        })
        .collect()
}

/// A keeper copies what stands in quotes: the grammar must read it as it stands, nothing repaired, doubted or left over.
#[test]
fn what_is_quoted_can_be_sent_as_it_stands() {
    let lexicon = Lexicon::builtin();
    let (mut lines, mut refused) = (0, Vec::new());
    for (name, messages) in files() {
        for (key, text) in messages {
            for line in quoted(&key, &text) {
                let reading = read(&line, lexicon);
                let clean = reading.unread.is_empty()
                    && reading.doubts.is_empty()
                    && reading.repaired.is_empty();
                // A keyword alone is named, not sent, where a text speaks about it.
                let named = lexicon.get(&line).is_some();
                // `for 2071` begins a line and is nothing by itself.
                let begun = reading.for_member.is_some() && reading.doubts.is_empty();
                if !(clean || named || begun) {
                    refused.push(format!("{name}: {key}: {line}"));
                }
                lines += 1;
            }
        }
    }
    assert!(lines > 200, "only {lines} quotes were read");
    assert_eq!(refused, Vec::<String>::new());
}

#[test]
fn the_keywords_of_the_texts_are_those_of_the_lexicon() {
    let lexicon = Lexicon::builtin();
    for lang in Phrasebook::builtin().langs() {
        let source = FILES.get_file(format!("{lang}.ftl")).unwrap();
        let messages = raw(source.contents_utf8().unwrap());
        for row in registry::VERBS {
            let word = verb(row.verb).1.name();
            assert_eq!(
                messages[word],
                lexicon.word(row.verb, lang),
                "{lang} {word}"
            );
        }
    }
}
