//! A correct line to copy: beside what was not understood, and alone after a second line in a row that nobody could read.
//!
//! A line is built from the member's own units and what they stand at. This room does not judge what was said.

use crate::desk::forecast::Sums;
use crate::desk::quoting::quotable;
use crate::desk::reply::{Fragment, Stage, Task, TaskJob};
use crate::desk::stage::stage;
use crate::desk::tasks;
use crate::desk::unit::{Run, Unit};
use crate::desk::work::Work;
use crate::domain::CareJob;
use crate::domain::Role;
use crate::domain::code::UnitCode;
use crate::domain::lang::Lang;
use crate::domain::said::{Expected, Unread, Verb};
use crate::grammar::Lexicon;

/// The weight of an example where nothing is known of the cage: one that shows the point.
const SOME_GRAMS: &str = "12.5";
/// The pupae of an example: a usual cage.
const SOME_PUPAE: u32 = 8000;
/// An expected weight is shown to half a gram: an example is no forecast.
const HALF_GRAM: f64 = 0.5;

impl Work<'_> {
    /// A correct line from the member's own units, for what was expected.
    pub(crate) fn example(&self, expected: Expected, lang: Lang) -> String {
        let running = self.farm.running().next().map(|(unit, _)| unit.code);
        let first = running.or_else(|| self.farm.units.first().map(|u| u.code));
        let unit = first.map_or_else(|| "C1".to_owned(), |code| code.to_string());
        let word = |verb| Lexicon::builtin().word(verb, lang);
        let stock = || format!("{unit} {} {SOME_PUPAE}", word(Verb::Stock));
        match expected {
            Expected::CageOrWord if first.is_none() => stock(),
            Expected::CageOrWord
            | Expected::WeightOrWord
            | Expected::Weight
            | Expected::NoNumber
            | Expected::Shorter => format!("{unit} {SOME_GRAMS}"),
            Expected::Amount => stock(),
            Expected::TwoTemperatures => format!("{} 18-31", word(Verb::Temp)),
            Expected::Day => format!("{unit} {SOME_GRAMS} -1"),
            Expected::Days => format!("{} 5", word(Verb::Away)),
            Expected::Hour => format!("{} 18", word(Verb::Hour)),
            Expected::Member => {
                format!(
                    "{} {} {unit} {SOME_GRAMS}",
                    word(Verb::For),
                    self.owner.number
                )
            }
            Expected::Received => format!("{} {} 48.2", word(Verb::Got), self.owner.number),
            Expected::JoinCode => format!("{} CODE Name", word(Verb::Join)),
            Expected::Language => format!("{} {lang}", word(Verb::Lang)),
            Expected::RangeEnd => format!("C1-C6 {}", word(Verb::Water)),
        }
    }

    /// The line that teaches after a second one in a row that nobody could read: what this member most likely has to tell today.
    pub(crate) fn lesson_line(&self, lang: Lang) -> Fragment {
        let word = |verb| Lexicon::builtin().word(verb, lang);
        let teach = |line: String, has_number| Fragment::Teach { line, has_number };
        let sums = Sums::of(self.rules, &self.farm);
        if self.farm.units.is_empty() && self.sender.role != Role::Keeper {
            let whose = self.last_spoken_for.unwrap_or(self.owner.number);
            return match self.sender.role {
                Role::Collector => teach(format!("{} {whose} 48.2", word(Verb::Got)), true),
                Role::Officer | Role::Keeper => {
                    teach(format!("{} {whose} C1 {SOME_GRAMS}", word(Verb::For)), true)
                }
            };
        }
        if let Some((unit, run)) = self.untold_eggs(&sums) {
            let grams = self.likely_grams(&sums, run);
            return teach(format!("{unit} {grams}"), true);
        }
        let due = tasks::due(self.rules, &self.farm, self.today);
        if let Some(line) = due.iter().find_map(|task| of_task(task, &word)) {
            return teach(line, false);
        }
        if let Some((unit, _)) = self.farm.running().next() {
            return teach(format!("{} {}", unit.code, word(Verb::Water)), false);
        }
        let first = self.farm.units.first().map(|unit| unit.code);
        let unit = first.map_or_else(|| "C1".to_owned(), |code| code.to_string());
        teach(format!("{unit} {} {SOME_PUPAE}", word(Verb::Stock)), true)
    }

    /// The first cage that lays and of which today tells nothing yet.
    fn untold_eggs(&self, sums: &Sums) -> Option<(UnitCode, &Run)> {
        let lays = |run: &Run| matches!(stage(sums, run, self.today), Stage::Laying { .. });
        let told = |unit: &Unit| {
            unit.run_on(self.today)
                .is_some_and(|r| r.on(self.today).is_some())
        };
        let mut running = self.farm.running();
        running
            .find(|(unit, run)| lays(run) && !told(unit))
            .map(|(unit, run)| (unit.code, run))
    }

    /// What the cage is expected to give, else what it gave last, else some weight.
    fn likely_grams(&self, sums: &Sums, run: &Run) -> String {
        let yesterday = self.today.pred_opt();
        let daily = run.last_harvest().map(|(day, _)| day) == yesterday;
        let awaited = sums.ahead_of(run, self.today).filter(|_| daily);
        let middle = awaited.map(|awaited| awaited.range.middle);
        let last = run.last_harvest().map(|(_, grams)| grams.as_f64());
        middle
            .or(last)
            .map(|grams| (grams / HALF_GRAM).round() * HALF_GRAM)
            .filter(|grams| *grams > 0.0)
            .map_or_else(|| SOME_GRAMS.to_owned(), |grams| grams.to_string())
    }
}

/// The line that tells a job is done; none for eggs, which have a weight.
fn of_task<'w>(task: &Task, word: &impl Fn(Verb) -> &'w str) -> Option<String> {
    let unit = task.units.first()?;
    let verb = match task.job {
        TaskJob::Care(CareJob::Bait) => Verb::Bait,
        TaskJob::Care(CareJob::Water) => Verb::Water,
        TaskJob::Care(CareJob::Moat) => Verb::Moat,
        TaskJob::Care(CareJob::Traps) => Verb::Traps,
        TaskJob::Care(CareJob::Shade) => Verb::Shade,
        TaskJob::Care(CareJob::Swept) => Verb::Swept,
        TaskJob::FirstEggs => Verb::Bait,
        // What ends a cage or begins one is no line to try.
        TaskJob::CollectEggs | TaskJob::Retire | TaskJob::Restock => return None,
    };
    Some(format!("{unit} {}", word(verb)))
}

/// Whether a line of one's own says more than what was expected in the place of the unread words: nothing but a cage or a weight was. A mere
/// greeting has none.
pub(crate) fn teaches(unread: &[Unread]) -> bool {
    let plain = |expected| {
        matches!(
            expected,
            Expected::CageOrWord
                | Expected::WeightOrWord
                | Expected::Weight
                | Expected::NoNumber
                | Expected::Shorter
        )
    };
    let strange = |piece: &Unread| {
        quotable(&piece.text).is_some() || piece.text.contains(|c: char| c.is_ascii_digit())
    };
    unread.iter().any(strange) && unread.iter().all(|piece| plain(piece.expected))
}
