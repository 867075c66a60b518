//! A run's beginning and end: stocking, restocking, correcting a stocking, retiring; and how a unit is.
//!
//! History stays apart: a run that ends is never written to by the next one. This room does not read text.

use crate::desk::days::{STOCKING_BACK_DAYS, days_back};
use crate::desk::farm::UNITS_MAX;
use crate::desk::forecast::{Sums, parameters};
use crate::desk::learning::carried;
use crate::desk::plausible::{is_plausible_stock, likely_stock, pupae_of};
use crate::desk::reply::{CageState, Refusal, SavedNote, SavedWhat, Stage};
use crate::desk::second_look::{is_unlikely_cage, still_lays, tenfold};
use crate::desk::stage::stage;
use crate::desk::unit::Run;
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
use crate::domain::event::{FarmEvent, Stocking};
use crate::domain::question::{Closing, Held};
use crate::domain::said::{StockAmount, Why};
use crate::domain::{StockKind, UnitKind};
use crate::units::Grams;
use crate::units::day::FarmDay;

impl Work<'_> {
    /// `C7 stock 8000`.
    pub(crate) fn stock(
        &mut self,
        unit: UnitCode,
        day: FarmDay,
        amount: Option<StockAmount>,
        kind: Option<StockKind>,
    ) {
        let stocking = self.stocking(unit, day, amount, kind);
        if days_back(day, self.today) > i64::from(STOCKING_BACK_DAYS) && !self.is_officer() {
            self.refuse(Refusal::TooFarBack {
                days: STOCKING_BACK_DAYS,
            });
            return;
        }
        let known = self.farm.unit(unit);
        if known.is_none() && self.farm.units.len() >= UNITS_MAX {
            self.refuse(Refusal::TooManyUnits);
            return;
        }
        let running = known.and_then(|u| u.running.as_ref());
        if running.is_some_and(|run| is_same(run, &stocking)) {
            self.withdraw_stocking(unit);
            let what = SavedWhat::Stock {
                pupae: stocking.pupae,
                weight: stocking.weight,
                kind: stocking.kind,
            };
            self.already(Some(unit), what, day);
            return;
        }
        // A run cannot begin before the one that it follows, nor while that one still ran.
        let earliest = running
            .map(|run| run.stocked)
            .or_else(|| known.and_then(|u| u.last.as_ref()).and_then(|r| r.retired));
        if let Some(stocked) = earliest.filter(|earliest| day < *earliest) {
            self.refuse(Refusal::BeforeStocking { unit, stocked });
            return;
        }
        self.judge_stocking(stocking, false);
    }

    /// `fix C7 stock 9000`.
    pub(crate) fn fix_stock(
        &mut self,
        unit: UnitCode,
        amount: Option<StockAmount>,
        kind: Option<StockKind>,
    ) {
        let Some(run) = self.farm.unit(unit).and_then(|u| u.running.as_ref()) else {
            self.refuse(Refusal::NotRunning(unit));
            return;
        };
        let (day, standing_kind) = (run.stocked, run.kind);
        let (pupae, weight) = (run.pupae, run.weight);
        let mut stocking = self.stocking(unit, day, amount, Some(kind.unwrap_or(standing_kind)));
        if amount.is_none() {
            (stocking.pupae, stocking.weight) = (pupae, weight);
        }
        self.judge_stocking(stocking, true);
    }

    fn stocking(
        &self,
        unit: UnitCode,
        day: FarmDay,
        amount: Option<StockAmount>,
        kind: Option<StockKind>,
    ) -> Stocking {
        let (pupae, weight) = match amount {
            None => (None, None),
            Some(StockAmount::Count(pupae)) => (Some(pupae), None),
            Some(StockAmount::Weight(grams)) => {
                (Some(pupae_of(grams, self.rules.pupa_mg)), Some(grams))
            }
        };
        let kind = kind.unwrap_or(self.rules.stock_kind);
        let parameters = parameters(self.rules);
        Stocking {
            unit,
            unit_kind: UnitKind::Cage,
            day,
            pupae,
            weight,
            kind,
            prior: carried(self.rules, &self.farm, kind, &parameters),
        }
    }

    /// Holds an implausible amount, then a restocking; records the rest.
    fn judge_stocking(&mut self, stocking: Stocking, fix: bool) {
        let insisted = self.withdraw_stocking_of(&stocking);
        if let Some(pupae) = stocking.pupae
            && !is_plausible_stock(pupae)
        {
            let likely = likely_stock(pupae, stocking.weight, self.rules.pupa_mg);
            self.hold(Held::StockSize {
                stocking,
                fix,
                likely: likely.filter(|_| !insisted),
            });
            return;
        }
        if let Some(ten) = stocking
            .pupae
            .filter(|_| !insisted)
            .and_then(|pupae| tenfold(&self.farm, pupae))
        {
            let ten_weight = |grams: Grams| {
                grams
                    .hundredths()
                    .checked_mul(10)
                    .and_then(Grams::from_hundredths)
            };
            let likely = Some((ten, stocking.weight.and_then(ten_weight)));
            self.hold(Held::StockSize {
                stocking,
                fix,
                likely,
            });
            return;
        }
        if !fix && is_unlikely_cage(&self.farm, stocking.unit, self.today) {
            let unit = stocking.unit;
            self.hold_unlikely(Why::NewCage, Some(unit), FarmEvent::Stocked(stocking));
            return;
        }
        self.begin(stocking, fix);
    }

    /// Begins or corrects a run whose amount is settled; a running one is asked about first.
    pub(crate) fn begin(&mut self, stocking: Stocking, fix: bool) {
        let running = self
            .farm
            .unit(stocking.unit)
            .and_then(|u| u.running.as_ref());
        match running {
            Some(run) if fix && is_same(run, &stocking) => {
                let what = SavedWhat::Stock {
                    pupae: stocking.pupae,
                    weight: stocking.weight,
                    kind: stocking.kind,
                };
                self.already(Some(stocking.unit), what, stocking.day);
            }
            Some(run) if fix || (run.pupae.is_none() && run.stocked == stocking.day) => {
                self.save_as(FarmEvent::StockCorrected(stocking), SavedNote::Corrected);
            }
            Some(run) => {
                let since = run.stocked;
                self.hold(Held::Restock { stocking, since });
            }
            None => self.save_plain(FarmEvent::Stocked(stocking)),
        }
    }

    /// `yes` to a restocking: the old run ends. On the day it began that is a correction, not a second run.
    pub(crate) fn restock(&mut self, stocking: Stocking) {
        let running = self
            .farm
            .unit(stocking.unit)
            .and_then(|u| u.running.as_ref());
        match running.map(|run| run.stocked) {
            Some(stocked) if stocked == stocking.day => {
                self.save_as(FarmEvent::StockCorrected(stocking), SavedNote::Corrected);
            }
            Some(stocked) if stocked > stocking.day => self.refuse(Refusal::BeforeStocking {
                unit: stocking.unit,
                stocked,
            }),
            Some(_) | None => self.save_plain(FarmEvent::Stocked(stocking)),
        }
    }

    fn withdraw_stocking(&mut self, unit: UnitCode) -> Vec<Held> {
        let (mut moot, mut held) = (Vec::new(), Vec::new());
        for question in &self.farm.questions {
            if let Held::Restock { stocking, .. } | Held::StockSize { stocking, .. } =
                &question.held
                && stocking.unit == unit
            {
                moot.push(question.no);
                held.push(question.held.clone());
            }
        }
        for no in moot {
            self.close(no, Closing::Withdrawn);
        }
        held
    }

    /// Withdraws what was asked about the unit's stocking; whether the very same amount was asked about.
    fn withdraw_stocking_of(&mut self, new: &Stocking) -> bool {
        self.withdraw_stocking(new.unit).iter().any(|held| {
            matches!(held, Held::StockSize { stocking, .. }
                if stocking.pupae == new.pupae && stocking.weight == new.weight)
        })
    }

    /// `C4 retire`.
    pub(crate) fn retire(&mut self, unit: UnitCode, day: FarmDay) {
        let Some(known) = self.farm.unit(unit) else {
            return;
        };
        let Some(run) = &known.running else {
            if known.last.as_ref().and_then(|last| last.retired) == Some(day) {
                self.already(Some(unit), SavedWhat::Retire, day);
            } else {
                self.refuse(Refusal::NotRunning(unit));
            }
            return;
        };
        let stocked = run.stocked;
        if day < stocked {
            self.refuse(Refusal::BeforeStocking { unit, stocked });
        } else if !self.confirmed && still_lays(&self.farm, unit, day) {
            let event = FarmEvent::Retired { unit, day };
            self.hold_unlikely(Why::StillLays, Some(unit), event);
        } else if self.is_officer() || self.in_reach(day) {
            self.save_plain(FarmEvent::Retired { unit, day });
        }
    }

    /// `C4?`.
    pub(crate) fn state(&mut self, unit: UnitCode) {
        let Some(known) = self.farm.unit(unit) else {
            return;
        };
        let run = known.running.as_ref().or(known.last.as_ref());
        let sums = Sums::of(self.rules, &self.farm);
        let stage = match (&known.running, &known.last) {
            (Some(run), _) => stage(&sums, run, self.today),
            (None, last) => Stage::Empty {
                since: last.as_ref().and_then(|l| l.retired),
            },
        };
        let state = CageState {
            unit,
            stage,
            last_week: run.map(|r| r.week_to(self.today)).unwrap_or_default(),
            last: run.and_then(Run::last_harvest),
            next_week: known
                .running
                .as_ref()
                .and_then(|r| sums.week(r, self.today)),
            retire_by: known
                .running
                .as_ref()
                .map(|r| sums.retire_estimate(r, self.today)),
        };
        if !self.states.iter().any(|s| s.unit == unit) {
            self.states.push(state);
        }
    }
}

fn is_same(run: &Run, stocking: &Stocking) -> bool {
    run.stocked == stocking.day
        && run.pupae == stocking.pupae
        && run.weight == stocking.weight
        && run.kind == stocking.kind
}
