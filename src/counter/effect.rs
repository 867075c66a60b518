//! What a change of rules or of a ward's climate would do today: lists sent, work asked for, warnings, eggs expected.
//!
//! Counted over the farms themselves, or over an even sample of them where there are many; nothing is changed. This room does not know why
//! somebody wants to change anything.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::desk::ward::Ward;
use crate::desk::{prospect, tasks, warnings};
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::domain::rules::Rules;
use crate::units::Celsius;
use crate::units::day::farm_day;
use chrono_tz::Tz;

/// Farms counted over: some two seconds of sums.
const FARMS_MAX: usize = 400;

/// A change that somebody thinks of.
#[derive(Clone, Debug)]
pub enum Change {
    /// Other rules.
    Rules(Box<Rules>),
    /// Another climate of a ward, under the empty name of the whole cooperative.
    Climate(String, Vec<(Celsius, Celsius)>),
}

/// What a day asks of the farms.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counted {
    /// Farms that get a morning list.
    pub lists: u64,
    /// Cages and jobs named on the lists.
    pub jobs: u64,
    /// Warnings.
    pub warnings: u64,
    /// Eggs expected in the next 14 days, hundredths of a gram.
    pub ahead: i64,
}

/// Before and after.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effect {
    /// Farms there are.
    pub farms: usize,
    /// Farms counted over.
    pub looked_at: usize,
    /// As things stand.
    pub before: Counted,
    /// After the change.
    pub after: Counted,
}

impl Counter {
    /// What a change would do today.
    ///
    /// # Errors
    /// When the store fails.
    pub fn effect(&self, coop: CoopId, change: &Change) -> Result<Effect, CounterError> {
        let farms = self.farms(coop)?;
        let every = farms.len().div_ceil(FARMS_MAX).max(1);
        let mut effect = Effect {
            farms: farms.len(),
            ..Effect::default()
        };
        let now = self.0.clock.now();
        let model = &self.0.settings.model;
        let mut draft = self.0.store.draft();
        let stands = people::rules(&*draft.load(coop, &StreamId::Rules)?)?.clone();
        for no in farms.iter().step_by(every) {
            let stream = draft.load(coop, &StreamId::Member(*no))?;
            let member = people::member(&stream)?;
            let stream = draft.load(coop, &StreamId::Farm(*no))?;
            let farm = people::farm(&stream)?;
            let home = member.ward.as_deref();
            let before = people::rules_over(&mut draft, coop, stands.clone(), home, model, None)?;
            let (rules, other) = match change {
                Change::Rules(rules) => (rules.as_ref().clone(), None),
                Change::Climate(ward, climate) => {
                    let stream = draft.load(coop, &StreamId::Ward(ward.clone()))?;
                    let ward_then = Ward {
                        climate: climate.clone(),
                        ..people::ward(&stream)?.clone()
                    };
                    (stands.clone(), Some((ward.as_str(), ward_then)))
                }
            };
            let after = people::rules_over(&mut draft, coop, rules, home, model, other)?;
            effect.looked_at += 1;
            let zone: Tz = before.zone.parse().unwrap_or(Tz::UTC);
            let today = farm_day(now, zone);
            let told = !member.stopped && farm.away_until.is_none_or(|until| until <= today);
            let count = |rules: &Rules, counted: &mut Counted| {
                let due = tasks::due(rules, farm, today);
                let warned = warnings::standing(rules, farm, today);
                if told {
                    counted.lists += u64::from(!due.is_empty() || !warned.is_empty());
                    counted.jobs += due.iter().map(|task| task.units.len() as u64).sum::<u64>();
                    counted.warnings += warned.len() as u64;
                }
                counted.ahead += prospect::of(rules, farm, today).fortnight.mean;
            };
            count(&before, &mut effect.before);
            count(&after, &mut effect.after);
        }
        Ok(effect)
    }

    /// A ward's climate as it is set, under the empty name the whole cooperative's.
    ///
    /// # Errors
    /// When the store fails.
    pub fn climate(
        &self,
        coop: CoopId,
        ward: &str,
    ) -> Result<Vec<(Celsius, Celsius)>, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Ward(ward.to_owned()))?;
        Ok(people::ward(&stream)?.climate.clone())
    }

    /// The gateway's own value of a parameter of the sums, where its settings have one.
    #[must_use]
    pub fn model_setting(&self, name: &str) -> Option<f64> {
        self.0.settings.model.get(name).copied()
    }
}
