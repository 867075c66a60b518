//! What is possible but so unlikely for this farm that it is asked about before it is recorded: a cage that was never there, a cage emptied
//! while it lays, more dead flies than a cage holds, weather that this place has not had.
//!
//! Each question shows what would be saved, so that `yes` suffices. This room asks nothing about weights of eggs.

use crate::desk::farm::Farm;
use crate::desk::unit::{Run, Unit};
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
use crate::domain::event::{DayTemperature, FarmEvent};
use crate::domain::question::Held;
use crate::domain::said::{Fact, Reading, Said, Why};
use crate::grammar::keypad;
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// A new cage is numbered at most so far beyond the last: keepers paint cages in order, and a digit doubled or slipped lands farther off.
const NEXT_CAGES: u16 = 9;
/// A cage emptied so lately is to be stocked again.
const EMPTY_DAYS: i64 = 14;
/// Part of its best day that a cage which is to be emptied no longer gives.
const SPENT_PART: u32 = 5;
/// Below this a cage may be emptied without a question, whatever its best day was, in hundredths of a gram.
const SPENT_HUNDREDTHS: u32 = 50;
/// Days after stocking in which a cage is in its prime: one age lays for one to two weeks, from the second on.
const PRIME_DAYS: i64 = 20;
/// Harvests with eggs that make a record.
const RECORD: usize = 5;
/// Days back that a cage's last weights count as its present state.
const LATELY_DAYS: i64 = 3;
/// Days after stocking before which an empty trap says nothing yet: first eggs come after about a week, cold or old stock later.
const YOUNG_DAYS: i64 = 12;
/// Dead flies that a cage can give where its pupae are unknown: 30,000 pupae of 150 mg.
const DEAD_MOST: u32 = 450_000;
/// Degrees, in tenths, that a day's lowest or highest may differ from the farm's middle one of late.
const WEATHER_TENTHS: i16 = 100;
/// Readings that make a middle, and how many are looked at.
const WEATHER_READINGS: (usize, usize) = (3, 7);
/// A stocking is compared with the farm's others from so many pupae down.
const FEW_PUPAE: u32 = 1000;

impl Work<'_> {
    /// Holds an event with its reason; `likely` is what `yes` saves.
    pub(crate) fn hold_unlikely(&mut self, why: Why, unit: Option<UnitCode>, likely: FarmEvent) {
        self.hold(Held::Doubt {
            why,
            unit,
            text: match (unit, &likely) {
                (Some(unit), _) => unit.to_string(),
                (None, FarmEvent::Temperature(t)) => format!("{}-{}", t.min, t.max),
                (None, _) => String::new(),
            },
            options: Vec::new(),
            likely: vec![likely],
        });
    }
}

/// Whether a cage that the farm has not is an unlikely one to be started: letters unlike those of all its cages by one press or one letter, a
/// number far from theirs (`C311`, or `C3` where they are `C31` to `C38`), or not the next one while a cage stands empty that waits to be stocked again.
pub(crate) fn is_unlikely_cage(farm: &Farm, code: UnitCode, today: FarmDay) -> bool {
    if farm.unit(code).is_some() {
        return false;
    }
    let kin = || {
        farm.units
            .iter()
            .filter(|u| u.code.letters() == code.letters())
    };
    let numbers = || kin().map(|u| u.code.number());
    let (Some(highest), Some(lowest)) = (numbers().max(), numbers().min()) else {
        let near = |u: &Unit| {
            let (own, new) = (u.code.letters(), code.letters());
            one_press_off(&own, &new) || (own.len() != new.len() && new.starts_with(&own))
        };
        return !farm.units.is_empty() && farm.units.iter().all(near);
    };
    let empty = |end: FarmDay| today.signed_duration_since(end).num_days() <= EMPTY_DAYS;
    let mut waits = kin()
        .filter(|u| u.running.is_none())
        .filter(|u| u.last.as_ref().and_then(|r| r.retired).is_some_and(empty));
    let (number, next) = (code.number(), code.number() <= highest.saturating_add(1));
    number > highest.saturating_add(NEXT_CAGES)
        || number.saturating_add(NEXT_CAGES) < lowest
        || (!next && waits.next().is_some())
}

/// Whether two cages' letters differ by one press on the same key.
fn one_press_off(a: &str, b: &str) -> bool {
    let (a, b) = (a.to_ascii_lowercase(), b.to_ascii_lowercase());
    let differs: Vec<(u8, u8)> = a.bytes().zip(b.bytes()).filter(|(x, y)| x != y).collect();
    a.len() == b.len() && matches!(differs[..], [(x, y)] if keypad::key_of(x) == keypad::key_of(y))
}

/// Whether a cage that is to be emptied lays well, or is too young to have laid, while another runs that may have been meant.
pub(crate) fn still_lays(farm: &Farm, code: UnitCode, day: FarmDay) -> bool {
    let with_eggs = |run: &Run| {
        run.harvests
            .iter()
            .filter(|h| h.grams > Grams::ZERO)
            .count()
    };
    let Some(run) = farm.unit(code).and_then(|unit| unit.running.as_ref()) else {
        return false;
    };
    // A cage of three weeks is emptied for its place, whatever it gives.
    if run.age(day) > PRIME_DAYS {
        return false;
    }
    let mut others = farm.running().filter(|(unit, _)| unit.code != code);
    if run.harvests.is_empty() {
        return run.age(day) < YOUNG_DAYS && others.any(|(_, other)| with_eggs(other) >= RECORD);
    }
    let best = run.harvests.iter().map(|h| h.grams.hundredths()).max();
    let lately = run.harvests.iter().rev().take(2);
    let mut lately = lately.filter(|h| run.age(day) - i64::from(h.day) <= LATELY_DAYS);
    with_eggs(run) >= RECORD
        && others.next().is_some()
        && lately.any(|h| {
            let grams = h.grams.hundredths();
            grams >= SPENT_HUNDREDTHS && Some(grams.saturating_mul(SPENT_PART)) >= best
        })
}

/// Harvests with eggs that show how a farm writes its weights: so many at the least, and so many of them are looked at.
const WRITING: (usize, usize) = (3, 20);

/// Whether the farm weighs in tenths: two in three of its weights are not whole.
pub(crate) fn writes_tenths(farm: &Farm) -> bool {
    let (least, most) = WRITING;
    let runs = farm
        .units
        .iter()
        .flat_map(|u| u.running.iter().chain(&u.last));
    let grams: Vec<u32> = runs
        .flat_map(|run| run.harvests.iter().rev())
        .map(|h| h.grams.hundredths())
        .filter(|g| *g > 0)
        .take(most)
        .collect();
    let tenths = grams.iter().filter(|g| !g.is_multiple_of(100)).count();
    grams.len() >= least && tenths * 3 >= grams.len() * 2
}

/// Whether a weight is the line's last and whole, and the line ends with its point, where others are told in tenths: the rest was cut off.
pub(crate) fn is_cut(farm: &Farm, reading: &Reading, said: &Said) -> bool {
    let eggs = |said: &&Said| matches!(said.fact, Fact::Eggs { .. });
    let whole = |said: &Said| match &said.fact {
        Fact::Eggs { weight, .. } => weight.grams.hundredths().is_multiple_of(100),
        _ => false,
    };
    let others = || reading.said.iter().filter(eggs).any(|said| !whole(said));
    reading.ends_in_point
        && whole(said)
        && reading.said.iter().rfind(eggs) == Some(said)
        && (others() || writes_tenths(farm))
}

/// What more dead flies than a cage can hold were probably meant to be.
pub(crate) fn too_many_dead(run: Option<&Run>, grams: Grams, pupa_mg: u16) -> Option<Grams> {
    let most = run.and_then(|run| run.pupae).map_or(DEAD_MOST, |pupae| {
        pupae.count().saturating_mul(u32::from(pupa_mg)) / 10
    });
    (grams.hundredths() > most).then(|| {
        let in_grams = grams.hundredths() / 1000;
        Grams::from_hundredths(in_grams)
            .filter(|g| *g > Grams::ZERO && g.hundredths() <= most)
            .unwrap_or(grams)
    })
}

/// Whether two temperatures are far from what the farm had of late.
pub(crate) fn is_unlikely_weather(farm: &Farm, new: &DayTemperature) -> bool {
    let (least, most) = WEATHER_READINGS;
    let lately: Vec<&DayTemperature> = farm
        .temperatures
        .iter()
        .rev()
        .filter(|t| t.day < new.day)
        .take(most)
        .collect();
    if lately.len() < least {
        return false;
    }
    let middle = |of: fn(&DayTemperature) -> i16| {
        let mut all: Vec<i16> = lately.iter().map(|t| of(t)).collect();
        all.sort_unstable();
        all.get(all.len() / 2).copied().unwrap_or_default()
    };
    let far = |of: fn(&DayTemperature) -> i16| (of(new) - middle(of)).abs() > WEATHER_TENTHS;
    far(|t| t.min.tenths()) || far(|t| t.max.tenths())
}

/// What a stocking far smaller than the farm's others was probably meant to be: a figure was lost at its end.
pub(crate) fn tenfold(farm: &Farm, pupae: Pupae) -> Option<Pupae> {
    let others: Vec<u32> = farm
        .units
        .iter()
        .flat_map(|u| u.running.iter().chain(&u.last))
        .filter_map(|run| run.pupae.map(Pupae::count))
        .collect();
    let (least, most) = (others.iter().min()?, others.iter().max()?);
    let ten = pupae.count().checked_mul(10)?;
    let few = pupae.count() < FEW_PUPAE && pupae.count().saturating_mul(2) < *least;
    (few && ten <= most.saturating_mul(2))
        .then(|| Pupae::new(ten))
        .flatten()
}
