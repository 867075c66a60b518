//! The grammar against its golden cases, its normative ABNF and its own words.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "grammar/abnf.rs"]
mod abnf;
#[path = "grammar/review.rs"]
mod review;
#[path = "grammar/shown.rs"]
mod shown;

use clutchline::domain::lang::Lang;
use clutchline::domain::said::{Expected, Fact, Order, Units, Unread, Verb, Why};
use clutchline::grammar::meanings::Meaning;
use clutchline::grammar::registry::VERBS;
use clutchline::grammar::{Lexicon, read};
use std::fs;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The page for native speakers is made from the files.
#[test]
fn the_page_to_review_words_is_up_to_date() {
    let page = review::page(|code| {
        fs::read_to_string(root().join(format!("grammar/words/{code}.toml"))).unwrap()
    });
    let path = root().join("docs/words-review.md");
    if std::env::var_os("BLESS_WORDS").is_some() {
        fs::write(&path, &page).unwrap();
    }
    assert_eq!(
        page,
        fs::read_to_string(path).unwrap(),
        "BLESS_WORDS=1 writes it"
    );
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
            let reading = shown::reading(&read(
                &text.replace("\\n", "\n").replace("\\u336", "\u{336}"),
                Lexicon::builtin(),
            ));
            if std::env::var_os("SHOW_READINGS").is_some() {
                println!("{name}|{text} => {reading}");
            }
            count += 1;
            if reading != expected {
                wrong.push(format!(
                    "{name}:{}: {text}\n   file: {expected}\n   read: {reading}",
                    i + 1
                ));
            }
        }
    }
    assert!(count > 300, "only {count} golden messages");
    assert!(
        wrong.is_empty(),
        "{} of {count}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

fn grammar() -> abnf::Grammar {
    abnf::Grammar::read(&fs::read_to_string(root().join("grammar/entry.abnf")).unwrap())
}

/// RFC 5234: `grammar/entry.abnf` is normative, so each of its sentences is read in full.
#[test]
fn sentences_of_the_abnf_are_read_in_full() {
    let grammar = grammar();
    let mut seed = abnf::Seed(0x5eed_0001);
    let mut wrong = Vec::new();
    for _ in 0..12_000 {
        let text = grammar.sentence("message", &mut seed);
        let reading = read(&text, Lexicon::builtin());
        // A harvest of nothing with a full stop at the very end may have been cut.
        let cut = text.trim_end().ends_with("0.");
        // 200 g and more beside bait are the bait's own.
        let bait = |u: &Unread| {
            let digits: String = u.text.chars().take_while(char::is_ascii_digit).collect();
            u.expected == Expected::NoNumber && digits.parse().is_ok_and(|n: u32| n >= 200)
        };
        let clash = reading.doubts.iter().all(|d| {
            (d.why == Why::TwoNumbers && d.readings.len() == 2)
                || d.why == Why::Twice
                || (cut && d.why == Why::SplitDecimal)
        });
        let said =
            !reading.said.is_empty() || !reading.orders.is_empty() || !reading.doubts.is_empty();
        if !(said && clash && reading.unread.iter().all(bait) && reading.repaired.is_empty()) {
            wrong.push(format!("{text:?} => {}", shown::reading(&reading)));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(25)].join("\n")
    );
}

/// A sentence with some characters dropped, doubled, swapped, changed or put in.
fn mutated(sentence: &str, seed: &mut abnf::Seed) -> String {
    const STRAY: [char; 24] = [
        '0', '7', ',', '.', '-', '/', '?', 'o', 'l', 'q', 'x', 'g', ' ', '\n', ':', '+', '%', '½',
        'é', '\u{301}', '👍', '\u{200b}', '\0', '٣',
    ];
    let mut chars: Vec<char> = sentence.chars().collect();
    for _ in 0..=seed.below(3) {
        let at = seed.below(chars.len().max(1));
        match seed.below(5) {
            0 if !chars.is_empty() => drop(chars.remove(at)),
            1 if at + 1 < chars.len() => chars.swap(at, at + 1),
            2 if !chars.is_empty() => chars[at] = STRAY[seed.below(STRAY.len())],
            3 if !chars.is_empty() => chars.insert(at, chars[at]),
            _ => chars.insert(at.min(chars.len()), STRAY[seed.below(STRAY.len())]),
        }
    }
    chars.into_iter().collect()
}

#[test]
fn mutations_are_said_doubted_or_named_with_their_place() {
    let grammar = grammar();
    let mut seed = abnf::Seed(0x5eed_0002);
    for _ in 0..20_000 {
        let sentence = grammar.sentence("message", &mut seed);
        let text = mutated(&sentence, &mut seed);
        let reading = read(&text, Lexicon::builtin());
        let parts =
            reading.said.len() + reading.orders.len() + reading.doubts.len() + reading.unread.len();
        assert!(parts > 0, "nothing came of {text:?}");
        let original: Vec<char> = text.chars().collect();
        for unread in &reading.unread {
            let there: String = original
                .iter()
                .skip(unread.at)
                .take(unread.text.chars().count())
                .collect();
            assert_eq!(there, unread.text, "not at its place in {text:?}");
        }
        for said in &reading.said {
            if let Units::Named(units) = &said.units {
                assert!(!units.is_empty(), "{text:?}");
            }
        }
    }
}

/// Whatever digits a message says, a weight that is said holds them in their order: no digit comes from nowhere.
#[test]
fn weights_that_are_said_are_written_in_the_message() {
    let grammar = grammar();
    let mut seed = abnf::Seed(0x5eed_0003);
    for _ in 0..10_000 {
        let sentence = grammar.sentence("message", &mut seed);
        let text = mutated(&sentence, &mut seed);
        // Look-alikes and full-width digits are read as the digits that they stand for.
        let plain: String = text
            .to_lowercase()
            .chars()
            .map(|c| match c {
                'o' => '0',
                'l' | 'i' => '1',
                ',' => '.',
                _ => c,
            })
            .collect();
        for said in &read(&text, Lexicon::builtin()).said {
            let Fact::Eggs { weight, .. } = &said.fact else {
                continue;
            };
            let written = weight.gross_tare.map_or(weight.grams, |(gross, _)| gross);
            let (whole, rest) = (written.hundredths() / 100, written.hundredths() % 100);
            let factor = if weight.in_kilograms { 1000 } else { 1 };
            let whole = (whole / factor).to_string();
            let found = (whole == "0" && plain.contains('.')) || plain.contains(&whole);
            assert!(found, "{whole} and {rest} hundredths are not in {text:?}");
        }
    }
}

/// Every keyword rule of the ABNF holds exactly the words of the files, and each verb has words in each language.
#[test]
fn the_abnf_and_the_word_files_agree() {
    let (grammar, lexicon) = (grammar(), Lexicon::builtin());
    for row in VERBS {
        let mut listed: Vec<String> = lexicon
            .entries()
            .filter(|(_, e)| matches!(e.meaning, Meaning::Verb(verb, _) if verb == row.verb))
            .map(|(word, _)| word.to_owned())
            .collect();
        let mut ruled = grammar.words(&format!("{}-word", row.key));
        listed.sort();
        ruled.sort();
        assert_eq!(listed, ruled, "{}", row.key);
        for lang in lexicon.langs() {
            let own = lexicon.entries().any(|(_, e)| {
                e.lang == lang && matches!(e.meaning, Meaning::Verb(verb, _) if verb == row.verb)
            });
            assert!(own, "{lang} has no word for {}", row.key);
        }
    }
    assert_eq!(lexicon.langs().len(), 3);
}

/// One word never means two things, in one language or across them.
#[test]
fn clashing_words_are_refused() {
    let files: Vec<String> = ["en", "sw"]
        .iter()
        .map(|l| fs::read_to_string(root().join(format!("grammar/words/{l}.toml"))).unwrap())
        .collect();
    assert!(Lexicon::from_texts(files.iter().map(String::as_str)).is_ok());
    let clash = files[1].replace("\"maji\"", "\"bait\"");
    let error = Lexicon::from_texts([files[0].as_str(), &clash].into_iter()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "`bait` would mean two things: choose another word"
    );
    let own = Lexicon::builtin()
        .with_synonyms(Lang::EN, &[("scoop".to_owned(), Verb::Swept)])
        .unwrap();
    assert_eq!(shown::reading(&read("C4 scoop", &own)), "C4 swept");
    assert!(
        own.with_synonyms(Lang::EN, &[("maji".to_owned(), Verb::Bait)])
            .is_err()
    );
}

/// The example of every verb, and its preferred word in every language, are read as that verb.
#[test]
fn every_verb_is_read_by_its_example_and_its_words() {
    let lexicon = Lexicon::builtin();
    for row in VERBS {
        let reading = read(row.example, lexicon);
        assert!(
            reading.unread.is_empty() && reading.doubts.is_empty(),
            "{}",
            row.example
        );
        for lang in lexicon.langs() {
            let word = lexicon.word(row.verb, lang);
            let topic = read(&format!("help {word}"), lexicon);
            if !word.contains(' ') {
                assert_eq!(topic.orders, [Order::Help(Some(row.verb))], "{word}");
            }
        }
    }
}

#[test]
fn limits_hold_and_nothing_is_saved_past_them() {
    let lexicon = Lexicon::builtin();
    let line = |n: usize| "C4 5 ".repeat(n);
    assert!(read(&line(400), lexicon).unread.is_empty());
    let past = read(&line(401), lexicon);
    assert!(past.said.is_empty() && past.unread[0].expected == Expected::Shorter);
    let units = read(&"C1-C99 ".repeat(5), lexicon);
    assert!(units.said.is_empty() && units.unread[0].expected == Expected::Shorter);
    for nasty in [
        "-", "?", ",", ".", "c", "4", "½", "é", "\u{301}", "C4-", "12.5-", "temp ", "fix ",
        "weka ", "for ", "join ",
    ] {
        let _ = read(&nasty.repeat(2000 / nasty.chars().count()), lexicon);
    }
}
