//! Whatever a reply says, in every language it fits one part, keeps its numbers whole and leaves out the least important first.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "replies/estimates.rs"]
mod estimates;
#[path = "replies/generated.rs"]
mod generated;
#[path = "replies/lessons.rs"]
mod lessons;

use clutchline::desk::phrase::Phrasebook;
use clutchline::desk::reply::{Fragment, Reply, Saved, SavedNote, SavedWhat};
use clutchline::domain::lang::Lang;
use clutchline::units::septets::septets;
use generated::{fragment, grams, today, unit};
use proptest::collection::vec;
use proptest::prelude::*;
use std::sync::LazyLock;

static BOOK: LazyLock<Phrasebook> = LazyLock::new(Phrasebook::builtin);

fn say(lang: &str, fragments: Vec<Fragment>) -> String {
    BOOK.render(&Reply {
        lang: Lang::new(lang).unwrap(),
        today: today(),
        fragments,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_reply_fits_one_part(fragments in vec(fragment(), 1..24)) {
        for lang in BOOK.langs() {
            let text = BOOK.render(&Reply { lang, today: today(), fragments: fragments.clone() });
            let septets = septets(&text);
            prop_assert!(septets.is_some_and(|n| n <= 160), "{lang} {septets:?} {text}");
            prop_assert!(!text.contains("{$") && !text.contains("  "), "{lang} {text}");
            let only_names = fragments.iter().all(|f| matches!(f, Fragment::Tasks(_)));
            prop_assert!(only_names || !text.is_empty(), "{lang} says nothing");
        }
    }

    /// One fragment alone is never cut: its words end as its sentence ends.
    #[test]
    fn one_fragment_alone_is_whole(fragment in fragment()) {
        if matches!(&fragment, Fragment::Tasks(tasks) if tasks.is_empty()) {
            return Ok(());
        }
        for lang in BOOK.langs() {
            let text = BOOK.render(&Reply {
                lang,
                today: today(),
                fragments: vec![fragment.clone()],
            });
            prop_assert!(text.ends_with(['.', '?', '!', ':', '"']), "{lang} {text}");
        }
    }

    /// Every weight that a reply shows was in what it was told: no number is cut or made up.
    #[test]
    fn no_weight_is_cut(all in vec((unit(), grams()), 1..30)) {
        let fragments = all.iter().map(|(unit, grams)| Fragment::Saved(Saved {
            unit: Some(*unit),
            what: SavedWhat::Eggs { grams: *grams, gross_tare: None },
            day: today(),
            note: SavedNote::New,
        })).collect();
        let text = say("en", fragments);
        let told: Vec<String> = all.iter().map(|(_, grams)| grams.to_string()).collect();
        let mut shown = 0;
        for word in text.split([' ', ';', ',']).map(|word| word.trim_end_matches('.')) {
            if word.ends_with('g') {
                prop_assert!(told.iter().any(|grams| grams == word), "{word} in {text}");
                shown += 1;
            }
        }
        let left_out = text.split('+').nth(1).map_or(0, |rest| {
            rest.split(' ').next().unwrap().parse::<usize>().unwrap()
        });
        prop_assert_eq!(shown + left_out, all.len(), "{}", text);
    }
}

/// Words with a number in their midst, such as `App00e0t`, are what an escape leaves that no one has read.
#[test]
fn no_text_holds_what_is_left_of_an_escape() {
    let broken = |line: &str| {
        let letters: Vec<char> = line.chars().collect();
        letters.windows(6).any(|w| {
            let hex = |c: &char| c.is_ascii_digit() || ('a'..='f').contains(c);
            w[0].is_alphabetic() && w[1] == '0' && w[2] == '0' && w[3..5].iter().all(hex)
        })
    };
    assert!(broken("item-bait = App00e0t"));
    let grammar = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar");
    let mut seen = 0;
    for folder in ["replies", "menus", "lessons", "pages", "cards"] {
        for file in std::fs::read_dir(grammar.join(folder)).unwrap() {
            let path = file.unwrap().path();
            let text = std::fs::read_to_string(&path).unwrap();
            let bad = text
                .lines()
                .find(|line| broken(line) || line.contains("\\u"));
            assert_eq!(bad, None, "{}", path.display());
            seen += 1;
        }
    }
    assert!(seen >= 12, "{seen} files");
}
