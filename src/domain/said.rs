//! What one text said, before anybody judged it.
//!
//! The grammar makes a [`Reading`]; the desk finds the farm's units in it and decides. Nothing here knows a farm, a day's date or what is plausible.
//! A number that has more than one reading is a [`Doubt`], never a [`Said`].

use crate::domain::code::UnitCode;
use crate::domain::lang::Lang;
use crate::domain::pin::{Pin, PinSaid};
use crate::domain::{CareJob, MemberNo, StockKind};
use crate::units::{Celsius, Grams, Pupae};
use chrono::{NaiveDate, Weekday};
use serde::{Deserialize, Serialize};

/// Everything that one text said, in the order of the text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// `for 2071 ...`: an officer speaks for this member, or a shared phone for one of its members.
    pub for_member: Option<MemberNo>,
    /// Facts about units and the farm.
    pub said: Vec<Said>,
    /// Requests and answers that are not facts: `tasks`, `undo`, `yes`, `join ...`.
    pub orders: Vec<Order>,
    /// What has more than one reading, with the readings.
    pub doubts: Vec<Doubt>,
    /// What was not understood, with what was expected there.
    pub unread: Vec<Unread>,
    /// Keywords that were read although misspelt; echoed in full in the reply.
    pub repaired: Vec<Repair>,
    /// A word that is nearly a day, where no day was said: nothing of the line is certain of its day.
    pub near_day: Option<NearDay>,
    /// The message ends with a whole number and a point, which may be a full stop or a decimal point.
    pub ends_in_point: bool,
    /// Where digits of a PIN stand, from and to, in characters from the start of the message: they are kept nowhere.
    pub secrets: Vec<(usize, usize)>,
    /// The message's only number, where it has the form of a PIN: whether it is one depends on what was asked.
    pub digits: Option<Digits>,
}

/// A number that may be a PIN.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Digits {
    /// The number.
    pub pin: Pin,
    /// It is all of the message.
    pub alone: bool,
    /// Where it stands, in characters from the start of the message.
    pub at: (usize, usize),
}

/// A word that may be a misspelt day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NearDay {
    /// As written, folded.
    pub text: String,
    /// The day that it probably is.
    pub day: DaySaid,
}

/// One fact, for some units, for some day.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Which units.
    pub units: Units,
    /// For which day.
    pub day: DaySaid,
    /// What happened there.
    pub fact: Fact,
}

/// Which units a fact is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Units {
    /// No unit was named: the farm's only fitting one, or the farm itself.
    Unsaid,
    /// `all`: every unit that the fact fits.
    All,
    /// Named ones, in the order of the text, each once.
    Named(Vec<UnitSaid>),
}

/// A unit as it was named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnitSaid {
    /// The code.
    pub code: UnitCode,
    /// The check letter was written too, and is right (a wrong one is a [`Doubt`]).
    pub checked: bool,
    /// Lies strictly inside a written range: it is passed over where the farm has no such unit.
    pub inside_range: bool,
}

/// A day as it was said. The desk turns it into a date; a day word never means the future.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DaySaid {
    /// Nothing said: today.
    #[default]
    Unsaid,
    /// So many days back: `today` 0, `yesterday` and `-1` 1.
    Back(u8),
    /// The last such weekday, today included.
    Weekday(Weekday),
    /// `23/11`: the last such date, today included.
    Date {
        /// Day of the month, 1 to 31.
        day: u8,
        /// Month, 1 to 12.
        month: u8,
    },
    /// `23/11/2026`: that very date.
    Dated(NaiveDate),
    /// `the 3rd`, `tarehe 3`: the last such day of a month, today included, where it is not long ago.
    OfMonth(u8),
}

/// What happened at a unit, or what is asked about one.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Eggs taken. `add`: on top of what that day already has.
    Eggs {
        /// The net weight and how it was written.
        weight: Weighed,
        /// `add` was said beside the weight.
        add: bool,
    },
    /// A care job done.
    Care(CareJob),
    /// Stocked with pupae; no amount where none was said.
    Stock {
        /// By weight or by count.
        amount: Option<StockAmount>,
        /// `mixed`, or one age, where said.
        kind: Option<StockKind>,
    },
    /// Dead flies taken out, weighed where a weight was said.
    Dead(Option<Grams>),
    /// Ants seen.
    Ants,
    /// The farm's lowest and highest temperature of the day.
    Temperature {
        /// Lowest.
        min: Celsius,
        /// Highest; never below `min`.
        max: Celsius,
    },
    /// Emptied and cleaned.
    Retire,
    /// `got 2071 48.2`: eggs received from that member's farm and weighed again.
    Delivered(Weighed),
    /// `C4?`: how is it.
    State,
    /// `fix C4 11.5`: that day's weight is this.
    FixEggs(Weighed),
    /// `fix C7 stock 9000`: the running stocking was this.
    FixStock {
        /// By weight or by count.
        amount: Option<StockAmount>,
        /// Corrected kind, where said.
        kind: Option<StockKind>,
    },
}

/// A weight as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weighed {
    /// The net weight.
    pub grams: Grams,
    /// Gross and tare, where it was written as `62.5-50`.
    pub gross_tare: Option<(Grams, Grams)>,
    /// The unit was written as kilograms; for eggs that is nearly always a slip.
    pub in_kilograms: bool,
    /// A unit was written with it, so that it is no cage's number.
    pub unit_said: bool,
}

/// How much was stocked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StockAmount {
    /// Pupae by weight.
    Weight(Grams),
    /// Pupae by count.
    Count(Pupae),
}

/// A request or an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// What to do today.
    Tasks,
    /// Take back my last message.
    Undo,
    /// Yes to the open question.
    Yes,
    /// No to the open question.
    No,
    /// `add` to the open question of two weights.
    Add,
    /// Become a member.
    Join {
        /// The cooperative's code, upper case.
        code: String,
        /// The name as written; empty where none was.
        name: String,
    },
    /// Speak this language.
    Lang(Lang),
    /// A `lang` line whose language is not spoken here.
    LangUnknown,
    /// Send me nothing more.
    Stop,
    /// Send to me again.
    Start,
    /// How to write a line; of one verb where named.
    Help(Option<Verb>),
    /// What to stock for so many grams a week; nothing said: the farm's own supply.
    Plan(Option<Grams>),
    /// The farm's last and next seven days of eggs.
    EggsSum,
    /// No reminders for so many days.
    Away(u16),
    /// Reminders on again.
    Back,
    /// Reminders at this local hour, 0 to 23.
    Hour(u8),
    /// What is kept of me.
    MyData,
    /// Take me out of the record.
    Forget,
    /// Lessons on again, or ended.
    Lessons(bool),
    /// A PIN: set, changed, ended or given.
    Pin(PinSaid),
}

impl Order {
    /// Whether it answers what was asked or recorded before, rather than asking for something.
    #[must_use]
    pub fn is_answer(&self) -> bool {
        matches!(self, Self::Yes | Self::No | Self::Add | Self::Undo)
    }
}

/// A word of the entry language: one row each in the grammar's registry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(
    missing_docs,
    reason = "each is the word itself; the registry describes it"
)]
pub enum Verb {
    Eggs,
    Stock,
    Bait,
    Water,
    Moat,
    Traps,
    Shade,
    Swept,
    Dead,
    Ants,
    Temp,
    Retire,
    Tasks,
    Fix,
    Undo,
    Add,
    Yes,
    No,
    For,
    Join,
    Lang,
    Stop,
    Start,
    Help,
    Plan,
    Away,
    Back,
    Hour,
    Got,
    Data,
    Forget,
    Lessons,
    Pin,
}

/// Something with more than one reading. Nothing of it is saved until it is answered.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// Why it is doubtful.
    pub why: Why,
    /// The piece of text, for the reply; digits are the member's own.
    pub text: String,
    /// The possible readings, the one that grammar alone finds likeliest first; may be empty.
    pub readings: Vec<Said>,
}

/// Why something is doubtful.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Why {
    /// `C45g`: a letter stuck to a code may be a unit or a check letter.
    StuckLetter,
    /// `C412.5`: where does the code end?
    StuckNumber,
    /// `C4 2 3`: two weights for one unit.
    TwoNumbers,
    /// `C4 12 5`: a decimal point lost, or two numbers?
    SplitDecimal,
    /// `C1 C2 10`, `all 5`: a weight needs one unit.
    WeightForMany,
    /// `1,200`: a decimal comma or a thousands mark?
    Comma,
    /// More than two decimals.
    TooFine,
    /// `C4 12.5-1`: a tare or a day?
    TareOrDay,
    /// `C4 12.5?`: said or asked?
    SaidOrAsked,
    /// `C4X`: the check letter does not fit the code.
    CheckLetter,
    /// Not done, not yet, about, tomorrow: a word that takes back or blurs the rest of its group.
    Unsure,
    /// Every weight of the line is the one that its cage had the day before: yesterday's line sent again?
    SameAsYesterday,
    /// `saa 12`: clock hours are told differently in Kiswahili.
    ClockHour,
    /// A cage is to be started whose code is unlike the farm's others.
    NewCage,
    /// A cage is to be emptied that lays well, or has not had the time to.
    StillLays,
    /// A temperature or a weight of dead flies far from what is usual here.
    FarOff,
    /// `C1 2 water`: a weight, or a cage without its letter?
    LetterMissing,
    /// `C3, C7, C6, C7 water`: one cage stands twice in a list.
    Twice,
    /// A word is near a keyword, but not near enough to be read as it.
    Word,
    /// `C4 12.5 jna`: a word that is nearly a day.
    DayWord,
    /// `C4 no eggs`: nothing taken, or not looked at?
    Nothing,
}

/// A piece that was not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// The word or number as written (the reply quotes at most 12 letters of it, never digits or links).
    pub text: String,
    /// Where it stands: characters from the start of the message.
    pub at: usize,
    /// The unit whose group it stands in.
    pub unit: Option<UnitCode>,
    /// What could have stood there.
    pub expected: Expected,
}

/// What the grammar would have accepted where it found something else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Expected {
    /// A cage code or a keyword at the start.
    CageOrWord,
    /// A weight or a keyword after a cage code.
    WeightOrWord,
    /// A weight.
    Weight,
    /// A count or weight of pupae.
    Amount,
    /// Two temperatures, lowest first.
    TwoTemperatures,
    /// A day that has been: `yesterday`, `mon`, `23/11`.
    Day,
    /// A number of days.
    Days,
    /// An hour, 0 to 23.
    Hour,
    /// A member number after `for`.
    Member,
    /// Grams after `got` and a member's number.
    Received,
    /// A code and a name after `join`.
    JoinCode,
    /// A language.
    Language,
    /// A second end for a range of cages.
    RangeEnd,
    /// No number belongs here.
    NoNumber,
    /// A shorter message: past a limit of the reader.
    Shorter,
}

/// A keyword that was repaired.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    /// As typed.
    pub typed: String,
    /// As read: the keyword in full, in its own language.
    pub read_as: String,
}
