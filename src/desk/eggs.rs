//! Eggs: which are recorded, which are held, and why.
//!
//! The order of the checks is the order of certainty: does the run exist, can flies have laid, was the unit of weight a slip, does the day have
//! a weight, is the number plausible. This room does not read text.

use crate::desk::asking::harvest_note;
use crate::desk::expecting::{beyond, is_figure_lost, point_lost};
use crate::desk::farm::Farm;
use crate::desk::forecast::{Awaited, Sums};
use crate::desk::plausible::{Verdict, is_plausible, judge, most_on};
use crate::desk::reply::{Refusal, Saved, SavedWhat};
use crate::desk::second_look::writes_tenths;
use crate::desk::unit::{Run, Unit};
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
use crate::domain::event::{Event, FarmEvent, Harvest, HarvestHow, StreamId};
use crate::domain::question::{Closing, Held};
use crate::domain::said::Weighed;
use crate::units::Grams;
use crate::units::day::FarmDay;

/// Days after stocking on which a weight is a question: flies that emerge on day 0 lay from day 4 on (Julita et al. 2020; Tomberlin &
/// Sheppard 2002), and the pupae may have been older than was said.
pub(crate) const TOO_EARLY_DAYS: i64 = 4;

/// Harvests on record from which a farm's first weights of a cage are looked at as closely as later ones.
const FARM_RECORD: usize = 12;

/// How a weight was meant to stand to the day's other weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meant {
    /// Nothing said.
    Plain,
    /// `add`.
    Add,
    /// `fix`.
    Fix,
}

/// How sure the keeper is of a weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sure {
    /// As any line.
    Judge,
    /// They were asked and said `yes` to this weight.
    Confirmed,
}

impl Work<'_> {
    /// One weight for one unit and day.
    pub(crate) fn eggs(&mut self, unit: UnitCode, day: FarmDay, weight: Weighed, meant: Meant) {
        let harvest = Harvest {
            unit,
            day,
            grams: weight.grams,
            how: match meant {
                Meant::Plain => HarvestHow::First,
                Meant::Add => HarvestHow::Added,
                Meant::Fix => HarvestHow::Replaced,
            },
            gross_tare: weight.gross_tare,
        };
        if !self.in_run(&harvest) {
            return;
        }
        let insisted = self.withdraw(&harvest);
        if self.double_in_one_line(&harvest) {
            return;
        }
        if weight.in_kilograms {
            self.hold_kilograms(harvest, insisted);
            return;
        }
        self.weigh_in(harvest, insisted);
    }

    /// Whether a run can have given it; says why otherwise.
    fn in_run(&mut self, harvest: &Harvest) -> bool {
        let Some(unit) = self.farm.unit(harvest.unit) else {
            return false;
        };
        if self.changed_earlier(unit, harvest) {
            return self.after_change(harvest);
        }
        if unit.run_on(harvest.day).is_some() {
            // An officer may go back as far as the stocking.
            return self.is_officer() || self.in_reach(harvest.day);
        }
        let began = unit
            .running
            .as_ref()
            .or(unit.last.as_ref())
            .map(|r| r.stocked);
        match began {
            Some(stocked) if harvest.day < stocked => self.refuse(Refusal::BeforeStocking {
                unit: harvest.unit,
                stocked,
            }),
            _ if self.in_reach(harvest.day) => {
                self.withdraw(harvest);
                self.hold(Held::NotStocked {
                    harvest: harvest.clone(),
                });
            }
            _ => {}
        }
        false
    }

    /// Whether an earlier message retired or restocked the unit today, and no weight of today stands: the eggs may be the old run's last,
    /// or the code may be wrong.
    fn changed_earlier(&self, unit: &Unit, harvest: &Harvest) -> bool {
        let ended = |run: &&Run| run.retired == Some(harvest.day) && run.on(harvest.day).is_none();
        let now = |(_, event): &(StreamId, Event)| match event {
            Event::Farm(FarmEvent::Retired { unit, .. }) => *unit == harvest.unit,
            Event::Farm(FarmEvent::Stocked(stocking)) => stocking.unit == harvest.unit,
            _ => false,
        };
        harvest.day == self.today
            && unit.last.as_ref().is_some_and(|run| ended(&run))
            && !self.changes.iter().any(now)
    }

    /// Eggs of a day on which the unit changed: a question; never saved where no flies are left.
    fn after_change(&mut self, harvest: &Harvest) -> bool {
        let running = self
            .farm
            .unit(harvest.unit)
            .is_some_and(|unit| unit.running.is_some());
        if self.is_officer() || self.in_reach(harvest.day) {
            self.withdraw(harvest);
            let harvest = harvest.clone();
            self.hold(if running {
                Held::TooEarly { harvest, days: 0 }
            } else {
                Held::NotStocked { harvest }
            });
        }
        false
    }

    /// Closes what was asked about the same unit and day; whether the very same weight was asked about, so that it is now insisted on.
    fn withdraw(&mut self, harvest: &Harvest) -> bool {
        let sender = self.sender_no();
        let mut insisted = false;
        let mut moot = Vec::new();
        for question in &self.farm.questions {
            let asked = match &question.held {
                Held::OtherWeight { harvest, .. }
                | Held::AddAgain { harvest }
                | Held::TooEarly { harvest, .. }
                | Held::NotStocked { harvest } => Some((harvest, false)),
                Held::Implausible { harvest, .. } => Some((harvest, true)),
                Held::Doubt { unit: Some(u), .. } if *u == harvest.unit => {
                    moot.push(question.no);
                    None
                }
                Held::WhichUnit { grams: Some(g), .. }
                    if question.by == Some(sender) && *g == harvest.grams =>
                {
                    moot.push(question.no);
                    None
                }
                Held::Doubt { .. }
                | Held::WhichUnit { .. }
                | Held::WhichUnitFor { .. }
                | Held::Restock { .. }
                | Held::StockSize { .. }
                | Held::Delivery { .. }
                | Held::Forget
                | Held::Pin(_) => None,
            };
            if let Some((old, weight_asked)) = asked
                && old.unit == harvest.unit
                && old.day == harvest.day
            {
                moot.push(question.no);
                insisted |= weight_asked && old.grams == harvest.grams && old.how == harvest.how;
            }
        }
        for no in moot {
            self.close(no, Closing::Withdrawn);
        }
        insisted
    }

    /// Kilograms of eggs are nearly always grams.
    fn hold_kilograms(&mut self, harvest: Harvest, insisted: bool) {
        let Some(run) = self.run_of(&harvest) else {
            return;
        };
        let most = most_on(run, harvest.day);
        let as_grams = harvest
            .grams
            .hundredths()
            .is_multiple_of(1000)
            .then(|| Grams::from_hundredths(harvest.grams.hundredths() / 1000))
            .flatten();
        let likely = [as_grams, Some(harvest.grams)]
            .into_iter()
            .flatten()
            .find(|g| !insisted && *g <= most && *g > Grams::ZERO);
        self.hold(Held::Implausible {
            harvest,
            most,
            likely,
        });
    }

    fn run_of(&self, harvest: &Harvest) -> Option<&Run> {
        self.farm.unit(harvest.unit)?.run_on(harvest.day)
    }

    /// Compares with the day's other weight, then judges.
    pub(crate) fn weigh_in(&mut self, harvest: Harvest, insisted: bool) {
        let Some(run) = self.run_of(&harvest) else {
            return;
        };
        let standing = run.on(harvest.day).copied();
        match (harvest.how, standing) {
            (HarvestHow::First | HarvestHow::Replaced, Some(old)) if old.grams == harvest.grams => {
                let what = SavedWhat::Eggs {
                    grams: harvest.grams,
                    gross_tare: harvest.gross_tare,
                };
                self.already(Some(harvest.unit), what, harvest.day);
            }
            (HarvestHow::First, Some(old)) => self.hold(Held::OtherWeight {
                harvest,
                old: old.grams,
            }),
            (HarvestHow::Added, Some(old)) if old.added == Some(harvest.grams) => {
                self.hold(Held::AddAgain { harvest });
            }
            _ => self.judge_and_save(harvest, insisted, Sure::Judge),
        }
    }

    /// Records a weight, unless it cannot be and nobody has confirmed it.
    pub(crate) fn judge_and_save(&mut self, harvest: Harvest, insisted: bool, sure: Sure) {
        let Some(run) = self.run_of(&harvest) else {
            return;
        };
        let before = run.on(harvest.day).map(|h| h.grams);
        let total = match harvest.how {
            HarvestHow::Added => before.map_or(harvest.grams, |b| b.plus(harvest.grams)),
            HarvestHow::First | HarvestHow::Replaced => harvest.grams,
        };
        let age = run.age(harvest.day);
        if sure == Sure::Judge && age <= TOO_EARLY_DAYS && harvest.grams > Grams::ZERO {
            let days = u16::try_from(age).unwrap_or(0);
            self.hold(Held::TooEarly { harvest, days });
            return;
        }
        let sums = Sums::of(self.rules, &self.farm);
        let awaited = sums.ahead_of(run, harvest.day);
        let verdict = self.verdict(run, harvest.day, total, awaited.as_ref(), &sums);
        if sure == Sure::Judge
            && let Verdict::Held { most, likely } = verdict
        {
            let likely = match harvest.how {
                // What was meant is a part of the day's total, so the part is what a slip shifted.
                HarvestHow::Added => judge_part(run, &harvest, before),
                HarvestHow::First | HarvestHow::Replaced => likely,
            };
            self.hold(Held::Implausible {
                harvest,
                most,
                likely: likely.filter(|_| !insisted),
            });
            return;
        }
        let unit = harvest.unit;
        self.save_harvest(harvest, before);
        self.compare(unit, total, awaited, &sums);
    }

    /// The ceilings' verdict, and what the cage's own forecast says to it.
    fn verdict(
        &self,
        run: &Run,
        day: FarmDay,
        total: Grams,
        awaited: Option<&Awaited>,
        sums: &Sums,
    ) -> Verdict {
        let verdict = judge(run, day, total);
        match verdict {
            // The record was steady, but the cage's course may have been falling.
            Verdict::Held {
                likely: Some(likely),
                ..
            } if likely > total => match awaited {
                Some(awaited) if !is_figure_lost(&awaited.range, total) => Verdict::Plausible,
                _ => verdict,
            },
            Verdict::Plausible => {
                let own = awaited.map(|awaited| awaited.range);
                // A number without decimals may have lost its point.
                // Before a cage has a record of its own, half of what it can give at the most is a reason to look; less where the farm has a
                // record that shows how it writes.
                let half = most_on(run, day).hundredths() / 2;
                let known = harvests_of(&self.farm) >= FARM_RECORD || writes_tenths(&self.farm);
                let much = total.hundredths() > half || (known && total.as_f64() >= 10.0);
                let early = || much.then(|| sums.early_range(run, day)).flatten();
                let range = own.or_else(early);
                let lost = range.and_then(|range| Some((range, point_lost(&range, total)?)));
                if let Some((range, likely)) = lost {
                    let most = Grams::from_f64(range.high.ceil()).unwrap_or(Grams::MAX);
                    let likely = Some(likely);
                    return Verdict::Held { most, likely };
                }
                beyond(awaited, run, total)
                    .map_or(verdict, |most| Verdict::Held { most, likely: None })
            }
            Verdict::Held { .. } => verdict,
        }
    }

    fn save_harvest(&mut self, mut harvest: Harvest, before: Option<Grams>) {
        if before.is_none() && harvest.how == HarvestHow::Replaced {
            harvest.how = HarvestHow::First;
        }
        let note = harvest_note(&harvest, before);
        let saved = Saved {
            unit: Some(harvest.unit),
            what: SavedWhat::Eggs {
                grams: harvest.grams,
                gross_tare: harvest.gross_tare,
            },
            day: harvest.day,
            note,
        };
        self.save(FarmEvent::Harvested(harvest), saved);
    }
}

/// Harvests with eggs on record at a farm.
fn harvests_of(farm: &Farm) -> usize {
    let runs = farm
        .units
        .iter()
        .flat_map(|u| u.running.iter().chain(&u.last));
    runs.flat_map(|run| &run.harvests)
        .filter(|h| h.grams > Grams::ZERO)
        .count()
}

/// The added weight with its decimal point moved, where the day's total is plausible then.
fn judge_part(run: &Run, harvest: &Harvest, before: Option<Grams>) -> Option<Grams> {
    [10, 100]
        .into_iter()
        .filter(|by| harvest.grams.hundredths().is_multiple_of(*by))
        .filter_map(|by| Grams::from_hundredths(harvest.grams.hundredths() / by))
        .find(|part| {
            let total = before.map_or(*part, |b| b.plus(*part));
            *part > Grams::ZERO && is_plausible(run, harvest.day, total)
        })
}
