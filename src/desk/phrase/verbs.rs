//! Which texts tell of a keyword: its help, and how the language writes it.
//!
//! This room does not know any words.

use crate::desk::phrase::keys::Key;
use crate::domain::CareJob;
use crate::domain::question::Unplaced;
use crate::domain::said::Verb;

/// A verb's help, and its keyword.
pub(super) const fn verb(verb: Verb) -> (Key, Key) {
    match verb {
        Verb::Eggs => (Key::HelpEggs, Key::WordEggs),
        Verb::Stock => (Key::HelpStock, Key::WordStock),
        Verb::Bait => (Key::HelpBait, Key::WordBait),
        Verb::Water => (Key::HelpWater, Key::WordWater),
        Verb::Moat => (Key::HelpMoat, Key::WordMoat),
        Verb::Traps => (Key::HelpTraps, Key::WordTraps),
        Verb::Shade => (Key::HelpShade, Key::WordShade),
        Verb::Swept => (Key::HelpSwept, Key::WordSwept),
        Verb::Dead => (Key::HelpDead, Key::WordDead),
        Verb::Ants => (Key::HelpAnts, Key::WordAnts),
        Verb::Temp => (Key::HelpTemp, Key::WordTemp),
        Verb::Retire => (Key::HelpRetire, Key::WordRetire),
        Verb::Tasks => (Key::HelpTasks, Key::WordTasks),
        Verb::Fix => (Key::HelpFix, Key::WordFix),
        Verb::Undo => (Key::HelpUndo, Key::WordUndo),
        Verb::Add => (Key::HelpAdd, Key::WordAdd),
        Verb::Yes => (Key::HelpYes, Key::WordYes),
        Verb::No => (Key::HelpNo, Key::WordNo),
        Verb::For => (Key::HelpFor, Key::WordFor),
        Verb::Join => (Key::HelpJoin, Key::WordJoin),
        Verb::Lang => (Key::HelpLang, Key::WordLang),
        Verb::Stop => (Key::HelpStop, Key::WordStop),
        Verb::Start => (Key::HelpStart, Key::WordStart),
        Verb::Help => (Key::HelpHelp, Key::WordHelp),
        Verb::Plan => (Key::HelpPlan, Key::WordPlan),
        Verb::Away => (Key::HelpAway, Key::WordAway),
        Verb::Back => (Key::HelpBack, Key::WordBack),
        Verb::Hour => (Key::HelpHour, Key::WordHour),
        Verb::Got => (Key::HelpGot, Key::WordGot),
        Verb::Data => (Key::HelpData, Key::WordData),
        Verb::Pin => (Key::HelpPin, Key::WordPin),
        Verb::Forget => (Key::HelpForget, Key::WordForget),
        Verb::Lessons => (Key::HelpLessons, Key::WordLessons),
    }
}

/// The verb of what was said without its unit.
pub(super) const fn unplaced(of: Unplaced) -> Verb {
    match of {
        Unplaced::Care(CareJob::Bait) => Verb::Bait,
        Unplaced::Care(CareJob::Water) => Verb::Water,
        Unplaced::Care(CareJob::Moat) => Verb::Moat,
        Unplaced::Care(CareJob::Traps) => Verb::Traps,
        Unplaced::Care(CareJob::Shade) => Verb::Shade,
        Unplaced::Care(CareJob::Swept) => Verb::Swept,
        Unplaced::Ants => Verb::Ants,
        Unplaced::Dead => Verb::Dead,
        Unplaced::Stock => Verb::Stock,
        Unplaced::Retire => Verb::Retire,
    }
}
