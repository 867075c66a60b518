//! The menu of a USSD session: `press` takes what was typed to the next place, `show` says what the phone displays, `told` takes in what the desk
//! answered.
//!
//! Pure: the session, the farm and the day are arguments. Whatever is recorded leaves as a line of the entry language, so that both ways of entry
//! end at the same desk. This room does not know networks, what is kept, or time-outs.

mod enter;
mod keys;
mod list;
mod place;
mod press;
mod show;
mod typed;

use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::lang::Lang;
use crate::domain::message::Outcome;
use crate::domain::rules::Rules;
pub use crate::menu::place::{Act, Goes, List, Place, Typed, home_of};
use crate::texts::{Texts, TextsError, embedded};
use crate::units::day::FarmDay;
use include_dir::{Dir, include_dir};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/menus");

/// Places that a session remembers for going back: deeper than any way in.
const PLACES_MOST: usize = 12;
/// Cages that a round remembers as passed over: as many as a farm may have.
const SKIPPED_MOST: usize = 160;
/// Letters of a typed name or code.
pub(crate) const TYPED_MOST: usize = 40;

/// The menu's texts in every language.
#[derive(Debug)]
pub struct Menus(BTreeMap<Lang, Texts>);

impl Menus {
    /// The languages that the program was built with.
    #[must_use]
    pub fn builtin() -> Self {
        Self::from_files(embedded(&FILES)).expect("a test reads every embedded menu file")
    }

    /// From files: each a name like `en.ftl` and its contents.
    ///
    /// # Errors
    /// When a file does not parse or lacks a text.
    pub fn from_files<'f>(
        files: impl Iterator<Item = (&'f str, &'f str)>,
    ) -> Result<Self, TextsError> {
        let keys = keys::all();
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        Texts::parse_all(files, &keys).map(Self)
    }

    /// A language's texts; English where it is not spoken.
    #[must_use]
    pub fn of(&self, lang: Lang) -> &Texts {
        self.0
            .get(&lang)
            .or_else(|| self.0.get(&Lang::EN))
            .expect("English is among them")
    }

    /// The languages spoken.
    pub fn langs(&self) -> impl Iterator<Item = Lang> {
        self.0.keys().copied()
    }
}

/// A session as it is kept between two steps.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Session {
    /// The way in; the last is where it stands, none is the first screen.
    pub places: Vec<Place>,
    /// Cages passed over in this round.
    pub skipped: Vec<UnitCode>,
    /// The round of weighing goes on after what is being saved.
    pub round: bool,
    /// Whose farm, on a phone of several.
    pub owner: Option<MemberNo>,
    /// The member for whom an officer enters.
    pub speaks_for: Option<MemberNo>,
    /// Shown once above the next screen.
    pub headline: String,
    /// What was typed last did not fit where it was typed.
    pub wrong: bool,
    /// Where the last session broke off; offered once.
    pub broken_off: Option<Box<Self>>,
}

impl Session {
    /// Where it stands.
    #[must_use]
    pub fn place(&self) -> Place {
        self.places
            .last()
            .cloned()
            .unwrap_or(Place::List(List::First, 0))
    }

    pub(crate) fn go(&mut self, place: Place) {
        if self.places.len() >= PLACES_MOST {
            self.places.remove(0);
        }
        self.places.push(place);
    }

    /// Another page or a better form of the same place.
    pub(crate) fn turn(&mut self, place: Place) {
        self.places.pop();
        self.go(place);
    }

    pub(crate) fn skip(&mut self, unit: UnitCode) {
        if !self.skipped.contains(&unit) && self.skipped.len() < SKIPPED_MOST {
            self.skipped.push(unit);
        }
    }

    /// The farm that the session is about, where that is not the phone's only one.
    #[must_use]
    pub fn whose(&self) -> Option<MemberNo> {
        self.speaks_for.or(self.owner)
    }
}

/// What a session sees: one phone, one farm, one day.
pub struct View<'a> {
    /// The language.
    pub lang: Lang,
    /// Its texts.
    pub texts: &'a Texts,
    /// The cooperative's rules.
    pub rules: &'a Rules,
    /// Whom the phone serves.
    pub people: Vec<&'a Member>,
    /// Who speaks: the one the session chose, or the only one.
    pub speaker: Option<&'a Member>,
    /// The farm that the session is about.
    pub farm: &'a Farm,
    /// Its day.
    pub today: FarmDay,
    /// The open question that `yes` would answer.
    pub question: Option<Question>,
    /// Septets of a screen.
    pub septets: usize,
}

/// An open question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// In the desk's words.
    pub text: String,
    /// `add` is an answer too.
    pub addable: bool,
    /// `yes` is an answer.
    pub answerable: bool,
    /// A PIN is the answer.
    pub pin: bool,
}

impl Question {
    /// Where it is answered.
    pub(crate) fn place(&self) -> Place {
        if self.pin {
            return Place::Type(Typed::Pin);
        }
        Place::Asked {
            text: self.text.clone(),
            addable: self.addable,
            answerable: self.answerable,
        }
    }
}

/// How something was typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typing {
    /// In a session; a star may stand for the point where the network sends one step at a time.
    Session {
        /// `12*5` is 12.5.
        star_is_point: bool,
    },
    /// In the dialled string, where there is no point: weights are tenths of a gram.
    Dialled {
        /// More parameters follow this one.
        more: bool,
    },
}

/// What leaves the menu.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Command {
    /// A line of the entry language, from this phone.
    Say(String),
    /// An SMS copy of what is saved by menu, from now on or no more.
    Copies(bool),
}

/// What the desk answered to a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// What became of it.
    pub outcome: Outcome,
    /// In the desk's words; empty where it said nothing.
    pub text: String,
}

/// Takes what was typed to the next place; what is to be said, where something is.
pub fn press(view: &View<'_>, session: &mut Session, typed: &str, how: Typing) -> Option<Command> {
    press::press(view, session, typed, how)
}

/// Takes in the desk's answer: a question, the next cage, or something to read. The view is of the farm as it is now.
pub fn told(view: &View<'_>, session: &mut Session, told: &Told) {
    press::told(view, session, told);
}

/// The screen of where the session stands: at most [`View::septets`].
#[must_use]
pub fn show(view: &View<'_>, session: &Session) -> String {
    show::screen(view, session)
}

/// The first place of a new session: the one that broke off, a choice of farms, the first screen, or what a stranger can do.
pub fn begin(view: &View<'_>, broken_off: Option<Session>) -> Session {
    let mut session = Session::default();
    if view.people.is_empty() {
        session.go(Place::List(List::Stranger, 0));
        return session;
    }
    if view.people.len() > 1 {
        session.go(Place::List(List::Whose, 0));
    }
    let worth = broken_off.filter(|old| matches!(old.places.last(), Some(place) if keeps(place)));
    if let Some(mut old) = worth {
        old.broken_off = None;
        old.headline.clear();
        session.broken_off = Some(Box::new(old));
        session.go(Place::List(List::GoOn, 0));
    }
    session
}

/// Whether a place is worth going back to: something was begun there.
const fn keeps(place: &Place) -> bool {
    // A PIN is asked for anew.
    matches!(
        place,
        Place::Weigh { .. } | Place::Type(_) | Place::Sure { .. } | Place::DaysBack { .. }
    ) && !matches!(place, Place::Type(Typed::Pin))
}
