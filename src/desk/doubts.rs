//! Doubts: what has more than one reading, judged by what exists and is plausible at this farm.
//!
//! Nothing of a doubt is ever recorded here: at best one reading is offered, and `yes` judges it afresh.

use crate::desk::days;
use crate::desk::eggs::TOO_EARLY_DAYS;
use crate::desk::facts::LISTED_MAX;
use crate::desk::plausible::{is_plausible, is_plausible_stock, pupae_of};
use crate::desk::quoting::quoted;
use crate::desk::work::Work;
use crate::domain::UnitKind;
use crate::domain::code::UnitCode;
use crate::domain::event::{DayTemperature, FarmEvent, Harvest, HarvestHow, Stocking};
use crate::domain::question::Held;
use crate::domain::said::{
    DaySaid, Doubt, Fact, NearDay, Reading, Said, StockAmount, UnitSaid, Units, Unread, Why,
};
use crate::units::Grams;
use crate::units::day::FarmDay;

/// Readings that a question lists.
const OPTIONS_MAX: usize = 4;

impl Work<'_> {
    /// Asks about a doubt, with the one possible reading where there is one.
    pub(crate) fn doubt(&mut self, doubt: &Doubt) {
        let possible: Vec<(&Said, Vec<FarmEvent>)> = doubt
            .readings
            .iter()
            .filter(|said| !is_rounded(doubt.why, said))
            .filter_map(|said| Some((said, self.events_of(said)?)))
            .collect();
        let shown: Vec<&Said> = if possible.is_empty() {
            let exact = |said: &&Said| !is_rounded(doubt.why, said);
            doubt.readings.iter().filter(exact).collect()
        } else {
            possible.iter().map(|(said, _)| *said).collect()
        };
        let named: Vec<UnitCode> = shown.iter().flat_map(|said| codes_of(said)).collect();
        let one_unit = named
            .first()
            .filter(|first| named.iter().all(|u| u == *first));
        let mut options: Vec<String> = Vec::new();
        for said in &shown {
            let option = in_words(said, one_unit.is_none());
            if options.len() < OPTIONS_MAX && !option.is_empty() && !options.contains(&option) {
                options.push(option);
            }
        }
        let numbers = matches!(
            doubt.why,
            Why::TwoNumbers | Why::SplitDecimal | Why::WeightForMany | Why::LetterMissing
        );
        let letterless = if numbers {
            self.cages_of_numbers(&doubt.readings)
        } else {
            Vec::new()
        };
        let lost = !letterless.is_empty();
        options.truncate(OPTIONS_MAX - letterless.len().min(OPTIONS_MAX / 2));
        options.extend(
            letterless
                .iter()
                .take(OPTIONS_MAX / 2)
                .map(ToString::to_string),
        );
        let may_be_yes = match doubt.why {
            Why::Unsure | Why::CheckLetter => false,
            Why::WeightForMany => !lost,
            _ => true,
        };
        self.hold(Held::Doubt {
            why: doubt.why,
            // A number that may be a cage makes the question one about more than its cage.
            unit: one_unit
                .copied()
                .filter(|_| !lost && !doubt.text.starts_with(|c: char| c.is_ascii_digit())),
            text: quoted(&doubt.text),
            options,
            likely: match possible.as_slice() {
                // A negated line must not be saved by a careless `yes`, nor one whose letter says that the cage is another.
                [(_, events)] if may_be_yes => events.clone(),
                _ => Vec::new(),
            },
        });
    }

    /// Asks about a whole line at once; what is not possible at this farm has questions of its own.
    pub(crate) fn doubt_line(&mut self, why: Why, text: String, line: &[Said]) {
        let mut likely = Vec::new();
        for said in line {
            match self.events_of(said) {
                Some(events) => likely.extend(events),
                None => self.fact(said),
            }
        }
        self.hold(Held::Doubt {
            why,
            unit: None,
            text: quoted(&text),
            options: Vec::new(),
            likely,
        });
    }

    /// The word that is nearly a day, unless it is what the keeper is called.
    pub(crate) fn day_in_doubt<'r>(&self, reading: &'r Reading) -> Option<&'r NearDay> {
        let past = |near: &&NearDay| days::resolve(near.day, self.today) != Some(self.today);
        reading
            .near_day
            .as_ref()
            .filter(past)
            .filter(|near| !self.is_called(&near.text))
    }

    /// What was not understood; a word that is asked about as a day, or is what the keeper is called, is not named as well.
    pub(crate) fn unread_of(&self, reading: &Reading) -> Vec<Unread> {
        let known = reading
            .near_day
            .as_ref()
            .filter(|near| self.day_in_doubt(reading).is_some() || self.is_called(&near.text));
        let named =
            |piece: &&Unread| known.is_none_or(|near| piece.text.to_lowercase() != near.text);
        // Whoever signs with their own name says nothing that could be lost.
        let told = |unit: UnitCode| {
            let said = reading.said.iter();
            said.flat_map(|said| match &said.units {
                Units::Named(units) => units.as_slice(),
                _ => &[],
            })
            .any(|said| said.code == unit)
        };
        let signed = |piece: &&Unread| {
            let word = piece.text.trim_matches(|c: char| !c.is_alphabetic());
            !(self.is_called(&word.to_lowercase()) && piece.unit.is_none_or(told))
        };
        let pieces = reading.unread.iter();
        pieces.filter(named).filter(signed).cloned().collect()
    }

    /// Whether a word in small letters is a name of the sender's or of the member's.
    pub(crate) fn is_called(&self, word: &str) -> bool {
        [&self.sender.name, &self.owner.name]
            .into_iter()
            .flat_map(|name| name.split_whitespace())
            .any(|part| part.to_lowercase() == word)
    }

    /// The events that a reading would record at this farm; `None` where it is not possible or not plausible.
    pub(crate) fn events_of(&self, said: &Said) -> Option<Vec<FarmEvent>> {
        let day = days::resolve(said.day, self.today)?;
        let reach = match said.fact {
            Fact::Stock { .. } => days::STOCKING_BACK_DAYS,
            _ if self.is_officer() => days::OFFICER_BACK_DAYS,
            _ => self.rules.back_days,
        };
        if days::days_back(day, self.today) > i64::from(reach) {
            return None;
        }
        if let Fact::Temperature { min, max } = said.fact {
            let temperature = DayTemperature { day, min, max };
            return Some(vec![FarmEvent::Temperature(temperature)]);
        }
        let units = self.units_possible(&said.units, &said.fact)?;
        units
            .into_iter()
            .map(|unit| self.event_of(unit, day, &said.fact))
            .collect()
    }

    fn units_possible(&self, units: &Units, fact: &Fact) -> Option<Vec<UnitCode>> {
        let starts = matches!(fact, Fact::Stock { .. });
        let running = || self.farm.running().map(|(unit, _)| unit.code);
        let known = |unit: &UnitSaid| starts || self.farm.unit(unit.code).is_some();
        let found: Vec<UnitCode> = match units {
            Units::Named(named) => {
                let all = named.iter().all(|unit| unit.inside_range || known(unit));
                let units = named.iter().filter(|unit| known(unit));
                units.map(|u| u.code).filter(|_| all).collect()
            }
            Units::All => running().collect(),
            Units::Unsaid => running().take(2).collect(),
        };
        let one = found.len() == 1;
        let needs_one = matches!(
            fact,
            Fact::Eggs { .. } | Fact::FixEggs(_) | Fact::Stock { .. }
        );
        let fits = match units {
            Units::Unsaid => one,
            Units::All | Units::Named(_) => one || (!found.is_empty() && !needs_one),
        };
        fits.then_some(found)
    }

    fn event_of(&self, unit: UnitCode, day: FarmDay, fact: &Fact) -> Option<FarmEvent> {
        Some(match fact {
            Fact::Eggs { weight, add } => {
                let how = if *add {
                    HarvestHow::Added
                } else {
                    HarvestHow::First
                };
                self.harvest_of(unit, day, weight.grams, weight.gross_tare, how)?
            }
            Fact::FixEggs(weight) => {
                let how = HarvestHow::Replaced;
                self.harvest_of(unit, day, weight.grams, weight.gross_tare, how)?
            }
            Fact::Stock { amount, kind } => {
                let stocking = self.stocking_of(unit, day, *amount);
                let kind = kind.unwrap_or(self.rules.stock_kind);
                FarmEvent::Stocked(Stocking { kind, ..stocking? })
            }
            Fact::FixStock { amount, kind } => {
                let run = self.farm.unit(unit)?.running.as_ref()?;
                let stocking = self.stocking_of(unit, run.stocked, *amount)?;
                let kind = kind.unwrap_or(run.kind);
                FarmEvent::StockCorrected(Stocking { kind, ..stocking })
            }
            Fact::Care(job) => FarmEvent::Cared {
                unit,
                job: *job,
                day,
            },
            Fact::Dead(grams) => FarmEvent::DeadFlies {
                unit,
                day,
                grams: *grams,
            },
            Fact::Ants => FarmEvent::AntsSeen { unit, day },
            Fact::Retire => {
                self.farm.unit(unit)?.running.as_ref()?;
                FarmEvent::Retired { unit, day }
            }
            Fact::Temperature { .. } | Fact::Delivered(_) | Fact::State => return None,
        })
    }

    fn harvest_of(
        &self,
        unit: UnitCode,
        day: FarmDay,
        grams: Grams,
        gross_tare: Option<(Grams, Grams)>,
        how: HarvestHow,
    ) -> Option<FarmEvent> {
        let run = self.farm.unit(unit)?.run_on(day)?;
        // Nothing taken is plausible at any age.
        let early = run.age(day) <= TOO_EARLY_DAYS && grams > Grams::ZERO;
        let fits = !early && is_plausible(run, day, grams);
        fits.then_some(FarmEvent::Harvested(Harvest {
            unit,
            day,
            grams,
            how,
            gross_tare,
        }))
    }

    fn stocking_of(
        &self,
        unit: UnitCode,
        day: FarmDay,
        amount: Option<StockAmount>,
    ) -> Option<Stocking> {
        let (pupae, weight) = match amount? {
            StockAmount::Count(pupae) => (pupae, None),
            StockAmount::Weight(grams) => (pupae_of(grams, self.rules.pupa_mg), Some(grams)),
        };
        is_plausible_stock(pupae).then_some(Stocking {
            unit,
            unit_kind: UnitKind::Cage,
            day,
            pupae: Some(pupae),
            weight,
            kind: self.rules.stock_kind,
            prior: None,
        })
    }
}

/// A weight in kilograms cut to two decimals is off by grams: `0.0125 kg` is not 10 g. Nothing of it is offered.
fn is_rounded(why: Why, said: &Said) -> bool {
    let weight = match &said.fact {
        Fact::Eggs { weight, .. } | Fact::FixEggs(weight) => Some(weight),
        _ => None,
    };
    why == Why::TooFine && weight.is_some_and(|weight| weight.in_kilograms)
}

fn codes_of(said: &Said) -> Vec<UnitCode> {
    match &said.units {
        Units::Named(named) => named.iter().map(|u| u.code).take(LISTED_MAX).collect(),
        Units::All | Units::Unsaid => Vec::new(),
    }
}

/// A reading in words short enough to show, the same in every language: `12.5g`, `C4 12.5g`, `8000`.
fn in_words(said: &Said, with_unit: bool) -> String {
    let amount = |amount: &Option<StockAmount>| match amount {
        Some(StockAmount::Weight(grams)) => grams.to_string(),
        Some(StockAmount::Count(pupae)) => pupae.to_string(),
        None => String::new(),
    };
    let what = match &said.fact {
        Fact::Eggs { weight, .. } | Fact::FixEggs(weight) | Fact::Delivered(weight) => {
            weight.grams.to_string()
        }
        Fact::Stock { amount: a, .. } | Fact::FixStock { amount: a, .. } => amount(a),
        Fact::Dead(grams) => grams.map(|g| g.to_string()).unwrap_or_default(),
        Fact::Temperature { min, max } => format!("{min}-{max}"),
        Fact::Care(_) | Fact::Ants | Fact::Retire | Fact::State => String::new(),
    };
    let day = match said.day {
        DaySaid::Back(days) => format!("-{days}"),
        DaySaid::Date { day, month } => format!("{day}/{month}"),
        DaySaid::Dated(date) => date.format("%-d/%-m/%Y").to_string(),
        DaySaid::OfMonth(day) => format!("date {day}"),
        DaySaid::Unsaid | DaySaid::Weekday(_) => String::new(),
    };
    let units = if with_unit {
        let codes: Vec<String> = codes_of(said).iter().map(ToString::to_string).collect();
        codes.join(" ")
    } else {
        String::new()
    };
    let parts = [units, what, day];
    let parts: Vec<&str> = parts
        .iter()
        .map(String::as_str)
        .filter(|p| !p.is_empty())
        .collect();
    parts.join(" ")
}
