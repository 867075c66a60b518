//! Every text that a member can read, by its key in the reply files.
//!
//! One row a text. The files of every language carry exactly these keys. This room does not know any words.

use crate::desk::reply::{TaskJob, Warning};
use crate::domain::CareJob;
use crate::domain::said::{Expected, Why};

/// Declares [`Key`] from one table, so that the list, the names and the type cannot drift apart.
macro_rules! keys {
    ($($variant:ident = $name:literal,)*) => {
        /// The key of one text.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(super) enum Key { $($variant,)* }

        impl Key {
            /// Every key once.
            pub(super) const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The name that the reply files use.
            pub(super) const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }
        }
    };
}

keys! {
    Saved = "saved",
    SavedFor = "saved-for",
    Already = "already",
    AlreadyFor = "already-for",
    Corrected = "corrected",
    CorrectedFor = "corrected-for",
    TakenBack = "taken-back",
    TakenBackFor = "taken-back-for",
    More = "more",
    OnDay = "on-day",

    FactEggs = "fact-eggs",
    FactEggsWeighed = "fact-eggs-weighed",
    FactAdded = "fact-added",
    FactReplaced = "fact-replaced",
    FactBait = "fact-bait",
    FactWater = "fact-water",
    FactMoat = "fact-moat",
    FactTraps = "fact-traps",
    FactShade = "fact-shade",
    FactSwept = "fact-swept",
    FactStock = "fact-stock",
    FactStockCount = "fact-stock-count",
    FactStockWeight = "fact-stock-weight",
    FactStockBoth = "fact-stock-both",
    FactMixed = "fact-mixed",
    FactDead = "fact-dead",
    FactDeadWeighed = "fact-dead-weighed",
    FactAnts = "fact-ants",
    FactTemp = "fact-temp",
    FactRetired = "fact-retired",

    Today = "today",
    Yesterday = "yesterday",
    Tomorrow = "tomorrow",
    DayMon = "day-mon",
    DayTue = "day-tue",
    DayWed = "day-wed",
    DayThu = "day-thu",
    DayFri = "day-fri",
    DaySat = "day-sat",
    DaySun = "day-sun",

    UndoHint = "undo-hint",
    For = "for-member",
    EnteredBy = "entered-by",
    EnteredBySomeone = "entered-by-someone",
    Repaired = "repaired",

    AskOtherWeight = "ask-other-weight",
    AskAddAgain = "ask-add-again",
    AskImplausible = "ask-implausible",
    AskImplausibleLikely = "ask-implausible-likely",
    AskTooEarly = "ask-too-early",
    AskNotStocked = "ask-not-stocked",
    AskRestock = "ask-restock",
    AskRestockCount = "ask-restock-count",
    AskRestockToday = "ask-restock-today",
    AskRestockTodayCount = "ask-restock-today-count",
    AskStockSize = "ask-stock-size",
    AskStockSizeLikely = "ask-stock-size-likely",
    AskWhichUnit = "ask-which-unit",
    AskWhichUnitGrams = "ask-which-unit-grams",
    AskWhose = "ask-whose",

    DoubtStuckLetter = "doubt-stuck-letter",
    DoubtStuckNumber = "doubt-stuck-number",
    DoubtTwoNumbers = "doubt-two-numbers",
    DoubtSplitDecimal = "doubt-split-decimal",
    DoubtWeightForMany = "doubt-weight-for-many",
    DoubtComma = "doubt-comma",
    DoubtTooFine = "doubt-too-fine",
    DoubtTareOrDay = "doubt-tare-or-day",
    DoubtSaidOrAsked = "doubt-said-or-asked",
    DoubtCheckLetter = "doubt-check-letter",
    DoubtUnsure = "doubt-unsure",
    DoubtStock = "doubt-stock",
    DoubtSameAsYesterday = "doubt-same-as-yesterday",
    DoubtClockHour = "doubt-clock-hour",
    DoubtOptions = "doubt-options",
    DoubtYes = "doubt-yes",
    DoubtAgain = "doubt-again",

    UnreadWords = "unread-words",
    UnreadPart = "unread-part",
    UnreadNothing = "unread-nothing",
    UnreadExample = "unread-example",
    ExpectCageOrWord = "expect-cage-or-word",
    ExpectWeightOrWord = "expect-weight-or-word",
    ExpectWeight = "expect-weight",
    ExpectAmount = "expect-amount",
    ExpectTwoTemperatures = "expect-two-temperatures",
    ExpectDay = "expect-day",
    ExpectDays = "expect-days",
    ExpectHour = "expect-hour",
    ExpectMember = "expect-member",
    ExpectJoinCode = "expect-join-code",
    ExpectLanguage = "expect-language",
    ExpectRangeEnd = "expect-range-end",
    ExpectNoNumber = "expect-no-number",
    ExpectShorter = "expect-shorter",

    NoUnknownUnit = "no-unknown-unit",
    NoUnits = "no-units",
    NoFutureDay = "no-future-day",
    NoTooFarBack = "no-too-far-back",
    NoTooFarBackAtAll = "no-too-far-back-at-all",
    NoBeforeStocking = "no-before-stocking",
    NoDayMonth = "no-day-month",
    NoNotRunning = "no-not-running",
    NoNotMember = "no-not-member",
    NoWrongJoinCode = "no-wrong-join-code",
    NoAlreadyMember = "no-already-member",
    NoNotAllowed = "no-not-allowed",
    NoSuchMember = "no-such-member",
    NoNothingToUndo = "no-nothing-to-undo",
    NoQuestionOpen = "no-question-open",
    NoSuchLang = "no-such-lang",
    NoCheckLetter = "no-check-letter",
    NoOutOfBounds = "no-out-of-bounds",
    NoTooManyUnits = "no-too-many-units",
    NoPlanAmount = "no-plan-amount",
    NoPlanCold = "no-plan-cold",
    NoPlanCages = "no-plan-cages",
    NoPlanPupae = "no-plan-pupae",
    NoPlanHoldBack = "no-plan-hold-back",

    ComparedSame = "compared-same",
    ComparedLow = "compared-low",
    ComparedHigh = "compared-high",

    WarnAnts = "warn-ants",
    WarnAntsBrief = "warn-ants-brief",
    WarnHeat = "warn-heat",
    WarnHeatBrief = "warn-heat-brief",
    WarnCold = "warn-cold",
    WarnColdBrief = "warn-cold-brief",
    WarnNoEntry = "warn-no-entry",
    WarnNoEntryBrief = "warn-no-entry-brief",
    WarnNoEggs = "warn-no-eggs",
    WarnNoEggsBrief = "warn-no-eggs-brief",
    WarnHatched = "warn-hatched",
    WarnHatchedBrief = "warn-hatched-brief",
    WarnHatchSoon = "warn-hatch-soon",
    WarnHatchSoonBrief = "warn-hatch-soon-brief",
    WarnPoor = "warn-poor",
    WarnPoorBrief = "warn-poor-brief",
    WarnLow = "warn-low",
    WarnLowBrief = "warn-low-brief",
    CheckWater = "check-water",
    CheckBait = "check-bait",
    CheckHeat = "check-heat",
    CheckAnts = "check-ants",
    WarnManyDead = "warn-many-dead",
    WarnManyDeadBrief = "warn-many-dead-brief",
    WarnCrowded = "warn-crowded",
    WarnCrowdedBrief = "warn-crowded-brief",

    TasksToday = "tasks-today",
    TasksNext = "tasks-next",
    TaskLate = "task-late",
    TaskVeryLate = "task-very-late",
    TaskLongLate = "task-long-late",
    TaskCollect = "task-collect",
    TaskBait = "task-bait",
    TaskWater = "task-water",
    TaskMoat = "task-moat",
    TaskTraps = "task-traps",
    TaskShade = "task-shade",
    TaskSwept = "task-swept",
    TaskFirstEggs = "task-first-eggs",
    TaskRetire = "task-retire",
    TaskRestock = "task-restock",

    StateEmpty = "state-empty",
    StateEmptySince = "state-empty-since",
    StateWaiting = "state-waiting",
    StateLaying = "state-laying",
    StateSpent = "state-spent",
    StateWeek = "state-week",
    StateLast = "state-last",
    StateNext = "state-next",
    StateRetireBy = "state-retire-by",

    Joined = "joined",
    JoinedNameless = "joined-nameless",
    LangSet = "lang-set",
    Stopped = "stopped",
    Started = "started",
    AwayUntil = "away-until",
    BackAgain = "back-again",
    HourSet = "hour-set",
    KeptWeight = "kept-weight",
    KeptUnit = "kept-unit",
    Kept = "kept",
    NoTasks = "no-tasks",
    EggsWeek = "eggs-week",
    EggsWeeks = "eggs-weeks",
    Plan = "plan",
    LimitCages = "limit-cages",
    LimitCrowding = "limit-crowding",
    LimitPupae = "limit-pupae",
    LimitHoldBack = "limit-hold-back",
    NextQuestion = "next-question",

    Help = "help",
    HelpEggs = "help-eggs",
    HelpStock = "help-stock",
    HelpBait = "help-bait",
    HelpWater = "help-water",
    HelpMoat = "help-moat",
    HelpTraps = "help-traps",
    HelpShade = "help-shade",
    HelpSwept = "help-swept",
    HelpDead = "help-dead",
    HelpAnts = "help-ants",
    HelpTemp = "help-temp",
    HelpRetire = "help-retire",
    HelpTasks = "help-tasks",
    HelpFix = "help-fix",
    HelpUndo = "help-undo",
    HelpAdd = "help-add",
    HelpYes = "help-yes",
    HelpNo = "help-no",
    HelpFor = "help-for",
    HelpJoin = "help-join",
    HelpLang = "help-lang",
    HelpStop = "help-stop",
    HelpStart = "help-start",
    HelpHelp = "help-help",
    HelpPlan = "help-plan",
    HelpAway = "help-away",
    HelpBack = "help-back",
    HelpHour = "help-hour",

    WordEggs = "word-eggs",
    WordStock = "word-stock",
    WordBait = "word-bait",
    WordWater = "word-water",
    WordMoat = "word-moat",
    WordTraps = "word-traps",
    WordShade = "word-shade",
    WordSwept = "word-swept",
    WordDead = "word-dead",
    WordAnts = "word-ants",
    WordTemp = "word-temp",
    WordRetire = "word-retire",
    WordTasks = "word-tasks",
    WordFix = "word-fix",
    WordUndo = "word-undo",
    WordAdd = "word-add",
    WordYes = "word-yes",
    WordNo = "word-no",
    WordFor = "word-for",
    WordJoin = "word-join",
    WordLang = "word-lang",
    WordStop = "word-stop",
    WordStart = "word-start",
    WordHelp = "word-help",
    WordPlan = "word-plan",
    WordAway = "word-away",
    WordBack = "word-back",
    WordHour = "word-hour",
}

/// What was recorded when a care job was done.
pub(super) const fn care_fact(job: CareJob) -> Key {
    match job {
        CareJob::Bait => Key::FactBait,
        CareJob::Water => Key::FactWater,
        CareJob::Moat => Key::FactMoat,
        CareJob::Traps => Key::FactTraps,
        CareJob::Shade => Key::FactShade,
        CareJob::Swept => Key::FactSwept,
    }
}

/// What to do.
pub(super) const fn task(job: TaskJob) -> Key {
    match job {
        TaskJob::CollectEggs => Key::TaskCollect,
        TaskJob::Care(CareJob::Bait) => Key::TaskBait,
        TaskJob::Care(CareJob::Water) => Key::TaskWater,
        TaskJob::Care(CareJob::Moat) => Key::TaskMoat,
        TaskJob::Care(CareJob::Traps) => Key::TaskTraps,
        TaskJob::Care(CareJob::Shade) => Key::TaskShade,
        TaskJob::Care(CareJob::Swept) => Key::TaskSwept,
        TaskJob::FirstEggs => Key::TaskFirstEggs,
        TaskJob::Retire => Key::TaskRetire,
        TaskJob::Restock => Key::TaskRestock,
    }
}

/// A warning in full, and in brief for a crowded part.
pub(super) const fn warning(warning: &Warning) -> (Key, Key) {
    match warning {
        Warning::Ants(_) => (Key::WarnAnts, Key::WarnAntsBrief),
        Warning::Heat(_) => (Key::WarnHeat, Key::WarnHeatBrief),
        Warning::Cold(_) => (Key::WarnCold, Key::WarnColdBrief),
        Warning::NoEntry { .. } => (Key::WarnNoEntry, Key::WarnNoEntryBrief),
        Warning::NoEggs { .. } => (Key::WarnNoEggs, Key::WarnNoEggsBrief),
        Warning::HatchedInTrap { .. } => (Key::WarnHatched, Key::WarnHatchedBrief),
        Warning::HatchSoon(_) => (Key::WarnHatchSoon, Key::WarnHatchSoonBrief),
        Warning::LowYield {
            expected: Some(_), ..
        } => (Key::WarnLow, Key::WarnLowBrief),
        Warning::LowYield { expected: None, .. } => (Key::WarnPoor, Key::WarnPoorBrief),
        Warning::ManyDead(_) => (Key::WarnManyDead, Key::WarnManyDeadBrief),
        Warning::Crowded(_) => (Key::WarnCrowded, Key::WarnCrowdedBrief),
    }
}

/// Why a text is doubtful.
pub(super) const fn doubt(why: Why) -> Key {
    match why {
        Why::StuckLetter => Key::DoubtStuckLetter,
        Why::StuckNumber => Key::DoubtStuckNumber,
        Why::TwoNumbers => Key::DoubtTwoNumbers,
        Why::SplitDecimal => Key::DoubtSplitDecimal,
        Why::WeightForMany => Key::DoubtWeightForMany,
        Why::Comma => Key::DoubtComma,
        Why::TooFine => Key::DoubtTooFine,
        Why::TareOrDay => Key::DoubtTareOrDay,
        Why::SaidOrAsked => Key::DoubtSaidOrAsked,
        Why::CheckLetter => Key::DoubtCheckLetter,
        Why::Unsure => Key::DoubtUnsure,
        Why::SameAsYesterday => Key::DoubtSameAsYesterday,
        Why::ClockHour => Key::DoubtClockHour,
    }
}

/// What could have stood where something was not understood.
pub(super) const fn expected(expected: Expected) -> Key {
    match expected {
        Expected::CageOrWord => Key::ExpectCageOrWord,
        Expected::WeightOrWord => Key::ExpectWeightOrWord,
        Expected::Weight => Key::ExpectWeight,
        Expected::Amount => Key::ExpectAmount,
        Expected::TwoTemperatures => Key::ExpectTwoTemperatures,
        Expected::Day => Key::ExpectDay,
        Expected::Days => Key::ExpectDays,
        Expected::Hour => Key::ExpectHour,
        Expected::Member => Key::ExpectMember,
        Expected::JoinCode => Key::ExpectJoinCode,
        Expected::Language => Key::ExpectLanguage,
        Expected::RangeEnd => Key::ExpectRangeEnd,
        Expected::NoNumber => Key::ExpectNoNumber,
        Expected::Shorter => Key::ExpectShorter,
    }
}
