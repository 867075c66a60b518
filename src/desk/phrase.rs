//! The phrasebook: a typed reply becomes words in the member's language, within one part.
//!
//! Each language is one file in `grammar/replies/`, embedded when the program is built; adding a language is adding its file. The phrasebook
//! does not decide what is said, and it does not know phones, networks or what is kept.

mod asked;
mod estimated;
mod fit;
mod keyed;
mod keys;
#[cfg(test)]
mod proofs;
mod saved;
mod told;
mod verbs;
mod voice;
mod words;

use crate::desk::phrase::fit::{
    Allowance, Block, Rest, Text, compose, fit, fit_fullest, whole_words,
};
use crate::desk::phrase::keys::Key;
use crate::desk::phrase::voice::Voice;
use crate::desk::phrase::words::Words;
use crate::desk::reply::{CageState, Fragment, Reply, Saved, Warning};
use crate::domain::lang::Lang;
use crate::domain::topic::Topic;
use crate::texts::{Texts, TextsError, embedded};
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/replies");
static LESSONS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/lessons");

/// Attempts at one reply, from the fullest to the barest: how many runs a list shows, whether warnings are brief, what may be left out.
const ATTEMPTS: [(usize, bool, Allowance); 5] = [
    (12, false, allow(5, usize::MAX)),
    (8, true, allow(4, usize::MAX)),
    (5, true, allow(3, 3)),
    (3, true, allow(2, 1)),
    (1, true, allow(1, 1)),
];

const fn allow(whole_from: u8, saved_min: usize) -> Allowance {
    Allowance {
        whole_from,
        saved_min,
    }
}

/// The texts of every language.
#[derive(Debug)]
pub struct Phrasebook {
    words: BTreeMap<Lang, Words>,
    lessons: BTreeMap<Lang, Texts>,
}

impl Phrasebook {
    /// The languages that the program was built with.
    #[must_use]
    pub fn builtin() -> Self {
        Self::from_files(embedded(&FILES)).expect("a test reads every embedded reply file")
    }

    /// From reply files: each a name like `en.ftl` and its contents.
    ///
    /// # Errors
    /// When a file is not named after a language, does not parse, or lacks a text, and when there is no English.
    pub fn from_files<'f>(
        files: impl Iterator<Item = (&'f str, &'f str)>,
    ) -> Result<Self, TextsError> {
        let keys: Vec<&str> = Key::ALL.iter().map(|key| key.name()).collect();
        let texts = Texts::parse_all(files, &keys)?;
        let words = texts
            .into_iter()
            .map(|(lang, texts)| (lang, Words(texts)))
            .collect();
        let topics = Topic::ALL.map(Topic::key);
        let lessons = Texts::parse_all(embedded(&LESSONS), &topics)?;
        Ok(Self { words, lessons })
    }

    /// The languages spoken, by code.
    pub fn langs(&self) -> impl Iterator<Item = Lang> {
        self.words.keys().copied()
    }

    /// The reply in its member's language (English where that is not spoken), within one part: 160 septets, or 70 UCS-2 units.
    ///
    /// Pieces that do not fit are left out whole, least important first; where recorded facts or tasks are left out their number is told.
    #[must_use]
    pub fn render(&self, reply: &Reply) -> String {
        let spoken = self.words.get(&reply.lang);
        let Some(words) = spoken.or_else(|| self.words.get(&Lang::EN)) else {
            return String::new();
        };
        let lessons = self.lessons.get(&reply.lang);
        let Some(lessons) = lessons.or_else(|| self.lessons.get(&Lang::EN)) else {
            return String::new();
        };
        let more = |n: usize| words.say(Key::More, &[("n", n.into())]);
        let unsaved = |n: usize| words.say(Key::MoreUnsaved, &[("n", n.into())]);
        let rest = Rest {
            more: &more,
            unsaved: &unsaved,
        };
        let mut barest = Vec::new();
        for (list_max, brief, allowance) in ATTEMPTS {
            let voice = Voice {
                words,
                lessons,
                today: reply.today,
                list_max,
                brief,
            };
            let blocks = blocks(&voice, &reply.fragments);
            if allowance.whole_from > 1 {
                if let Some(text) = fit(blocks.clone(), allowance, rest) {
                    return text;
                }
            } else if let Some((text, gone)) = fit_fullest(&blocks, allowance, rest) {
                return fullest(reply, &voice, allowance, rest, (text, gone));
            }
            barest = blocks;
        }
        // No reply is known to come here; should one, its first words are better than none.
        barest.truncate(1);
        whole_words(&compose(&barest, &more))
    }
}

/// Longer lists beside the same questions, where so many of those do not fit that there is room left.
fn fullest(
    reply: &Reply,
    voice: &Voice<'_>,
    allowance: Allowance,
    rest: Rest<'_>,
    (barest, gone): (String, usize),
) -> String {
    let mut wider = ATTEMPTS
        .iter()
        .map(|(list_max, _, _)| *list_max)
        .filter(|list_max| gone > 0 && *list_max > voice.list_max);
    wider
        .find_map(|list_max| {
            let voice = Voice { list_max, ..*voice };
            fit_fullest(&blocks(&voice, &reply.fragments), allowance, rest)
                .filter(|(_, left_out)| *left_out == gone)
        })
        .map_or(barest, |(text, _)| text)
}

/// The fragments in words. What was recorded is told together at the place of its first fragment; so are warnings, and the states of cages.
fn blocks(voice: &Voice<'_>, fragments: &[Fragment]) -> Vec<Block> {
    let saved: Vec<&Saved> = fragments.iter().filter_map(as_saved).collect();
    let warnings: Vec<&Warning> = fragments.iter().filter_map(as_warning).collect();
    let states: Vec<&CageState> = fragments.iter().filter_map(as_state).collect();
    let lesson = |fragment: &Fragment| matches!(fragment, Fragment::Lesson { .. });
    let taught = fragments.iter().any(lesson);
    let answers = fragments
        .iter()
        .any(|fragment| fragment.rank() <= 1 && !lesson(fragment));
    let mut blocks = Vec::new();
    let (mut saved_told, mut warned, mut shown) = (false, false, false);
    for fragment in fragments {
        let rank = fragment.rank();
        let text = match fragment {
            Fragment::Saved(_) => {
                if !std::mem::replace(&mut saved_told, true) {
                    blocks.extend(saved::sentences(voice, &saved, rank));
                }
                continue;
            }
            Fragment::Warning(_) => {
                if !std::mem::replace(&mut warned, true) {
                    blocks.extend(told::warnings(voice, &warnings, rank));
                }
                continue;
            }
            Fragment::State(_) => {
                if !std::mem::replace(&mut shown, true) {
                    blocks.push(told::states(voice, &states, rank));
                }
                continue;
            }
            Fragment::Tasks(tasks) => {
                if !tasks.is_empty() {
                    // Beside a lesson the day's first job stays as long as both can fit.
                    let rank = if taught { 1 } else { rank };
                    blocks.push(told::tasks(voice, tasks, answers, rank));
                }
                continue;
            }
            Fragment::Repaired { typed, read_as } => repaired(voice, typed, read_as),
            Fragment::Ask(ask) => asked::ask(voice, ask),
            Fragment::Refused(refusal) => asked::refused(voice, refusal),
            Fragment::Unread {
                words,
                expected,
                example,
            } => asked::unread(voice, words, *expected, example),
            Fragment::Teach { line, has_number } => asked::teach(voice, line, *has_number),
            Fragment::Compared(unit, how) => estimated::compared(voice, *unit, *how),
            Fragment::Dust => voice.plain(Key::Dust),
            Fragment::BaitCare => voice.plain(Key::BaitCare),
            Fragment::UndoHint => voice.plain(Key::UndoHint),
            Fragment::For(member, name) => {
                let values = [
                    ("member", member.to_string().into()),
                    ("name", voice::name(name).into()),
                ];
                voice.say(Key::For, &values).replace(" :", ":")
            }
            Fragment::EnteredBy(name) => match voice::name(name) {
                name if name.is_empty() => voice.plain(Key::EnteredBySomeone),
                name => voice.say(Key::EnteredBy, &[("name", name.into())]),
            },
            Fragment::Answer(answer) => told::answer(voice, answer),
            Fragment::Lesson { topic, unit } => told::lesson(voice, *topic, *unit),
        };
        blocks.push(Block {
            rank,
            text: Text::Whole(text),
        });
    }
    blocks
}

fn repaired(voice: &Voice<'_>, typed: &str, read_as: &str) -> String {
    let typed = match voice::word(typed) {
        shown if shown.is_empty() => "...".to_owned(),
        shown => shown,
    };
    voice.say(
        Key::Repaired,
        &[("typed", typed.into()), ("word", read_as.to_owned().into())],
    )
}

const fn as_saved(fragment: &Fragment) -> Option<&Saved> {
    match fragment {
        Fragment::Saved(saved) => Some(saved),
        _ => None,
    }
}

const fn as_warning(fragment: &Fragment) -> Option<&Warning> {
    match fragment {
        Fragment::Warning(warning) => Some(warning),
        _ => None,
    }
}

const fn as_state(fragment: &Fragment) -> Option<&CageState> {
    match fragment {
        Fragment::State(state) => Some(state),
        _ => None,
    }
}
