//! What a member is told, before it is put into words.
//!
//! A reply is a list of fragments, each with a weight. The phrasebook renders them in the member's language and leaves out whole fragments,
//! least important first, until the text fits one part. Nothing here knows a language or counts septets.

mod ask;
mod rank;

use crate::desk::estimate::{Check, Compared, Estimate, NoPlan, PlanTold};
pub use crate::desk::reply::ask::Ask;
use crate::domain::code::UnitCode;
use crate::domain::lang::Lang;
use crate::domain::said::{Expected, Verb};
use crate::domain::topic::Topic;
use crate::domain::{CareJob, MemberNo, StockKind};
use crate::units::day::FarmDay;
use crate::units::{Celsius, Grams, Pupae};

/// One answer, for one member, in their language.
#[derive(Clone, Debug, PartialEq)]
pub struct Reply {
    /// In which language.
    pub lang: Lang,
    /// The farm's today, so that days are shown as "today", "yesterday" or a date.
    pub today: FarmDay,
    /// In reading order; importance is the fragment's own ([`Fragment::rank`]).
    pub fragments: Vec<Fragment>,
}

/// One thing that a reply says.
#[derive(Clone, Debug, PartialEq)]
pub enum Fragment {
    /// Something was recorded (or stood already).
    Saved(Saved),
    /// A keyword was read although misspelt.
    Repaired {
        /// As typed, at most 12 letters.
        typed: String,
        /// As read.
        read_as: String,
    },
    /// A question; something is held until it is answered.
    Ask(Ask),
    /// Understood, but not possible or not allowed.
    Refused(Refusal),
    /// Words that were not understood (letters only, at most 12 each), with what was expected and a line to copy.
    Unread {
        /// The words; empty where only digits or links were unread.
        words: Vec<String>,
        /// What could have stood there.
        expected: Expected,
        /// A correct line built from the member's own units.
        example: String,
    },
    /// After a second line in a row that nobody could read: one correct line of what this member most likely has to tell.
    Teach {
        /// The line, built from the member's own units.
        line: String,
        /// It holds a number that is theirs to change.
        has_number: bool,
    },
    /// How a cage's weight compares with what was expected.
    Compared(UnitCode, Compared),
    /// Something that may harm the farm.
    Warning(Warning),
    /// What to do next, most urgent first.
    Tasks(Vec<Task>),
    /// What was done raises dust that makes some people ill.
    Dust,
    /// What was handled rots: gloves, and washed hands.
    BaitCare,
    /// `undo` takes it back.
    UndoHint,
    /// An officer's or a shared phone's entry: whose farm it went to.
    For(MemberNo, String),
    /// Someone else entered for this member: shown to the member concerned.
    EnteredBy(String),
    /// How a cage is.
    State(CageState),
    /// An answer that stands alone.
    Answer(Answer),
    /// What a new keeper is told today, with a unit of theirs for its examples.
    Lesson {
        /// What about.
        topic: Topic,
        /// The unit that the examples show.
        unit: Option<UnitCode>,
    },
}

/// Something recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct Saved {
    /// The unit; none for farm-wide facts.
    pub unit: Option<UnitCode>,
    /// What.
    pub what: SavedWhat,
    /// For which day.
    pub day: FarmDay,
    /// How it stands to what was there before.
    pub note: SavedNote,
}

/// What was recorded.
#[derive(Clone, Debug, PartialEq)]
pub enum SavedWhat {
    /// Eggs, net; gross and tare echoed where they were said.
    Eggs {
        /// Net weight.
        grams: Grams,
        /// As written.
        gross_tare: Option<(Grams, Grams)>,
    },
    /// Care jobs done.
    Care(Vec<CareJob>),
    /// Stocked.
    Stock {
        /// How many, where known.
        pupae: Option<Pupae>,
        /// By weight, where said so.
        weight: Option<Grams>,
        /// One age or mixed.
        kind: StockKind,
    },
    /// Dead flies.
    Dead(Option<Grams>),
    /// Ants seen.
    Ants,
    /// Temperature.
    Temperature(Celsius, Celsius),
    /// Retired.
    Retire,
    /// Eggs received, and the farm's own weights for them where there are any.
    Delivered {
        /// As received.
        grams: Grams,
        /// As the farm weighed them.
        own: Option<Grams>,
    },
}

/// How a record stands to what was there before.
#[derive(Clone, Debug, PartialEq)]
pub enum SavedNote {
    /// New.
    New,
    /// It stood already; stored once.
    Already,
    /// Added: the day's total is now this.
    AddedTo(Grams),
    /// It replaces this weight.
    Replaced(Grams),
    /// Corrected.
    Corrected,
    /// Taken back by `undo`.
    TakenBack,
    /// Several units at once share the same fact: these, besides `unit`.
    With(Vec<UnitCode>),
}

/// Understood, but not done.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// No such unit; the farm's own, and how to start it.
    UnknownUnit {
        /// As said.
        unit: UnitCode,
        /// The farm's units.
        have: Vec<UnitCode>,
    },
    /// A day that has not been.
    FutureDay(UnitCode),
    /// Further back than allowed.
    TooFarBack {
        /// Days allowed.
        days: u16,
    },
    /// Before the cage was stocked.
    BeforeStocking {
        /// Cage.
        unit: UnitCode,
        /// Stocked on.
        stocked: FarmDay,
    },
    /// No date in that form: dates are day/month.
    DayMonth,
    /// The cage has no running stock.
    NotRunning(UnitCode),
    /// Not a member.
    NotMember,
    /// A `join` code that is not the cooperative's.
    WrongJoinCode,
    /// Already a member.
    AlreadyMember(MemberNo),
    /// This needs an officer.
    NotAllowed,
    /// No such member for `for`.
    NoSuchMember(MemberNo),
    /// Nothing to take back, no open question.
    NothingOpen(Verb),
    /// The gateway does not speak that language; these it does.
    NoSuchLang(Vec<Lang>),
    /// A needed check letter is missing.
    CheckLetterNeeded(UnitCode),
    /// A number outside its bounds.
    OutOfBounds(Verb),
    /// The farm has as many units as it may.
    TooManyUnits,
    /// No plan for that.
    NoPlan(NoPlan),
}

/// Something that may harm the farm.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// Ants at a cage.
    Ants(UnitCode),
    /// Hot air: shade and water.
    Heat(Celsius),
    /// Cold air.
    Cold(Celsius),
    /// No entry for so many days.
    NoEntry {
        /// Days.
        days: u16,
        /// Cages concerned.
        units: Vec<UnitCode>,
    },
    /// No eggs although due since.
    NoEggs {
        /// Cage.
        unit: UnitCode,
        /// Days overdue.
        days: u16,
    },
    /// Eggs have probably hatched in the trap.
    HatchedInTrap {
        /// Cage.
        unit: UnitCode,
        /// Days in the trap.
        days: u16,
    },
    /// Eggs in the trap will hatch by tomorrow.
    HatchSoon(UnitCode),
    /// Harvests so poor that something is probably wrong.
    LowYield {
        /// Cage.
        unit: UnitCode,
        /// What this harvest was expected to be, where it is below that; else it is the harvests together that are poor.
        expected: Option<Estimate>,
        /// What to look at, most likely first.
        first: Vec<Check>,
    },
    /// Many dead flies.
    ManyDead(UnitCode),
    /// More flies a cubic metre than is known to do well.
    Crowded(UnitCode),
}

/// Something to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Task {
    /// What.
    pub job: TaskJob,
    /// Where; empty for farm-wide jobs.
    pub units: Vec<UnitCode>,
    /// Days since it was due: 0 today. Grows louder with it.
    pub overdue_days: u16,
}

/// A kind of task.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TaskJob {
    /// Pull traps, weigh the eggs.
    CollectEggs,
    /// A care job.
    Care(CareJob),
    /// First eggs are due: set traps and bait.
    FirstEggs,
    /// Empty and clean.
    Retire,
    /// Stock again.
    Restock,
}

/// How a cage is.
#[derive(Clone, Debug, PartialEq)]
pub struct CageState {
    /// Which.
    pub unit: UnitCode,
    /// Where its run stands.
    pub stage: Stage,
    /// Eggs over the last seven days.
    pub last_week: Grams,
    /// The last harvest.
    pub last: Option<(FarmDay, Grams)>,
    /// What the coming seven days may give.
    pub next_week: Option<Estimate>,
    /// To be retired by: when it is no longer worth its space, as an estimate.
    pub retire_by: Option<FarmDay>,
}

/// Where a cage's run stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stage {
    /// No running stock.
    Empty {
        /// When it was last retired.
        since: Option<FarmDay>,
    },
    /// Pupae in, no eggs expected yet.
    Waiting {
        /// Days since stocking.
        days: u16,
        /// First eggs due on.
        first_eggs: FarmDay,
    },
    /// Laying.
    Laying {
        /// Days since stocking.
        days: u16,
    },
    /// Past its time.
    Spent {
        /// Days since stocking.
        days: u16,
    },
}

/// An answer that stands alone.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// Welcome: number and name.
    Joined {
        /// The new member's number.
        member: MemberNo,
        /// Name as recorded.
        name: String,
        /// The cooperative.
        coop: String,
    },
    /// Language set.
    LangSet,
    /// Nothing more will be sent.
    Stopped,
    /// Sending again.
    Started,
    /// How to write a line.
    Help(Option<Verb>),
    /// No reminders until that day.
    AwayUntil(FarmDay),
    /// Reminders on.
    BackAgain,
    /// Lessons on, or ended.
    LessonsSet(bool),
    /// Reminder hour set.
    HourSet(u8),
    /// `no`: the old stays, the held is dropped.
    Kept {
        /// Cage, where the question was about one.
        unit: Option<UnitCode>,
        /// The weight that stands, where one does.
        grams: Option<Grams>,
    },
    /// Nothing to do today.
    NoTasks,
    /// The farm's eggs of the last seven days, and what the next seven may give.
    EggsWeek {
        /// Weighed.
        last: Grams,
        /// An estimate.
        next: Option<Estimate>,
    },
    /// What to stock.
    Plan(PlanTold),
    /// One more question is open; `yes` now answers this.
    NextQuestion,
    /// What is kept of the member, and where the whole of it is had.
    MyData {
        /// Number.
        member: MemberNo,
        /// Name; may be empty.
        name: String,
        /// Ward; may be empty.
        ward: String,
        /// How many phones.
        phones: usize,
        /// How many cages.
        cages: usize,
    },
    /// The member is taken out of the record.
    Forgotten,
}
