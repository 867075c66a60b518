//! Reads the three files: cages, their harvests, and the weather.
//!
//! A row that cannot be right is refused with its file, line, column and what was expected; nothing is skipped silently.
//! This room does not know what is computed from the rows.

use crate::biology::degree_days::DayRange;
use crate::biology::history::CageHistory;
use crate::biology::tables::Parameters;
use crate::cli::forecast::table::FileError;
use crate::cli::forecast::table::Table;
use crate::domain::StockKind;
use crate::units::Celsius;
use crate::units::Grams;
use crate::units::Pupae;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::path::Path;

/// Traps are often pulled once more on the morning after a cage is emptied.
const DAYS_AFTER_RETIRING: i64 = 1;
/// A weight above this many lives' worth of eggs is another unit.
const LIVES: f64 = 3.0;

/// Stocked, retired, line in the file.
type Spell = (NaiveDate, Option<NaiveDate>, u64);

/// One run of a named cage.
#[derive(Clone, Debug)]
pub struct NamedCage {
    /// As written in the file.
    pub name: String,
    /// Its record.
    pub run: CageHistory,
}

/// Reads `cage,stocked_on,pupae,stock_kind,retired_on`, in the order of the file.
///
/// # Errors
/// The first row that is wrong, or two runs of one cage that overlap.
pub fn read_cages(file: &Path) -> Result<Vec<NamedCage>, FileError> {
    let columns = ["cage", "stocked_on", "pupae", "stock_kind", "retired_on"];
    let table = Table::read(file, columns, 1)?;
    let mut cages = Vec::with_capacity(table.rows.len());
    let mut runs: BTreeMap<&str, Vec<Spell>> = BTreeMap::new();
    for (line, row) in &table.rows {
        let [name, stocked_on, pupae, kind, retired_on] = row;
        if name.is_empty() {
            return Err(table.refuse(
                *line,
                0,
                "expected a cage's name such as C4, found nothing".to_owned(),
            ));
        }
        let stocked_on = table.date(*line, 1, stocked_on)?;
        let pupae = if pupae.is_empty() {
            None
        } else {
            Some(count(&table, *line, pupae)?)
        };
        let kind = match kind.to_ascii_lowercase().replace(['_', ' '], "-").as_str() {
            "one-age" => StockKind::OneAge,
            "mixed" => StockKind::Mixed,
            other => {
                return Err(table.refuse(
                    *line,
                    3,
                    format!("expected one-age or mixed, found `{other}`"),
                ));
            }
        };
        let retired_on = match retired_on.as_str() {
            "" => None,
            text => Some(table.date(*line, 4, text)?),
        };
        if let Some(retired) = retired_on.filter(|it| *it < stocked_on) {
            return Err(table.refuse(
                *line,
                4,
                format!("expected a day from {stocked_on} on, when the cage was stocked; found {retired}"),
            ));
        }
        runs.entry(name)
            .or_default()
            .push((stocked_on, retired_on, *line));
        let run = CageHistory {
            stocked_on,
            pupae,
            kind,
            retired_on,
            harvests: Vec::new(),
        };
        cages.push(NamedCage {
            name: name.clone(),
            run,
        });
    }
    for (name, mut runs) in runs {
        runs.sort_unstable();
        for pair in runs.windows(2) {
            let [(first, end, _), (second, _, line)] = pair else {
                continue;
            };
            if end.is_none_or(|end| end > *second) || first == second {
                return Err(table.refuse(
                    *line,
                    1,
                    format!("cage {name} is stocked again on {second} while its run of {first} goes on; give that run a retired_on"),
                ));
            }
        }
    }
    Ok(cages)
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn count<const N: usize>(table: &Table<'_, N>, line: u64, text: &str) -> Result<Pupae, FileError> {
    let number = table.number(line, 2, text, "8000")?;
    let whole = (number.fract() == 0.0 && (1.0..=1e6).contains(&number)).then_some(number as u32);
    whole.and_then(Pupae::new).ok_or_else(|| {
        table.refuse(
            line,
            2,
            format!("expected a whole number from 1 to 1000000, found `{text}`"),
        )
    })
}

/// Reads `cage,date,grams` into the cages' records; says how many second weights of one day were added up.
///
/// # Errors
/// The first row that is wrong, names a cage that is not in the cages file, or stands outside its runs.
pub fn read_harvests(
    file: &Path,
    cages: &mut [NamedCage],
    parameters: &Parameters,
) -> Result<usize, FileError> {
    let table = Table::read(file, ["cage", "date", "grams"], 0)?;
    let mut places: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, cage) in cages.iter().enumerate() {
        places.entry(cage.name.clone()).or_default().push(index);
    }
    let mut lines: BTreeMap<(usize, NaiveDate), (u64, f64)> = BTreeMap::new();
    let mut added = 0;
    for (line, [name, date, grams]) in &table.rows {
        let Some(runs) = places.get(name) else {
            return Err(table.refuse(
                *line,
                0,
                format!("no cage `{name}` in the cages file; add its row there first"),
            ));
        };
        let date = table.date(*line, 1, date)?;
        let index = run_of(cages, runs, date).ok_or_else(|| {
            table.refuse(*line, 1, format!("cage {name} was not stocked on {date}; expected a day between its stocked_on and retired_on"))
        })?;
        let weight = table.number(*line, 2, grams, "12.5")?;
        let most = cages
            .get(index)
            .map_or(f64::MAX, |cage| most_grams(&cage.run, parameters));
        if weight < 0.0 || weight > most {
            return Err(table.refuse(
                *line,
                2,
                format!(
                    "expected grams of eggs from 0 to {most:.0} for this cage, found `{grams}`"
                ),
            ));
        }
        match lines.get_mut(&(index, date)) {
            None => {
                lines.insert((index, date), (*line, weight));
            }
            Some((first, before)) if (*before - weight).abs() < 1e-9 => {
                return Err(table.refuse(*line, 2, format!("the same weight of the same cage and day as line {first}; expected each harvest once")));
            }
            Some((_, before)) => {
                *before += weight;
                added += 1;
            }
        }
    }
    for ((index, date), (_, grams)) in lines {
        if let (Some(cage), Some(grams)) = (cages.get_mut(index), Grams::from_f64(grams)) {
            cage.run.harvests.push((date, grams));
        }
    }
    Ok(added)
}

/// The run of a cage that a day belongs to: the latest that was stocked by then.
fn run_of(cages: &[NamedCage], runs: &[usize], date: NaiveDate) -> Option<usize> {
    let run = |index: &usize| cages.get(*index).map(|cage| &cage.run);
    let latest = runs
        .iter()
        .filter(|index| run(index).is_some_and(|it| it.stocked_on <= date))
        .max_by_key(|index| run(index).map(|it| it.stocked_on))?;
    let end = run(latest)?.retired_on;
    end.is_none_or(|end| (date - end).num_days() <= DAYS_AFTER_RETIRING)
        .then_some(*latest)
}

fn most_grams(run: &CageHistory, parameters: &Parameters) -> f64 {
    run.pupae.map_or(Grams::MAX.as_f64(), |pupae| {
        (LIVES * parameters.life_ceiling_g * f64::from(pupae.count()) / 1000.0)
            .max(1.0)
            .ceil()
    })
}

/// Reads `date,tmin_c,tmax_c`.
///
/// # Errors
/// The first row that is wrong, or a day that stands twice.
pub fn read_weather(file: &Path) -> Result<BTreeMap<NaiveDate, DayRange>, FileError> {
    let table = Table::read(file, ["date", "tmin_c", "tmax_c"], 0)?;
    let mut weather = BTreeMap::new();
    for (line, [date, low, high]) in &table.rows {
        let date = table.date(*line, 0, date)?;
        if low.is_empty() && high.is_empty() {
            continue; // A day without readings is a gap, as if its row were missing.
        }
        let degrees = |column: usize, text: &str| {
            let value = table.number(*line, column, text, "18.5")?;
            let bounds = Celsius::MIN.as_f64()..=Celsius::MAX.as_f64();
            if bounds.contains(&value) {
                return Ok(value);
            }
            Err(table.refuse(
                *line,
                column,
                format!("expected degrees Celsius from -20 to 60, found `{text}`"),
            ))
        };
        let (low, high) = (degrees(1, low)?, degrees(2, high)?);
        let range = DayRange::new(low, high).ok_or_else(|| {
            table.refuse(
                *line,
                1,
                format!(
                    "the lowest temperature, {low}, is above the highest, {high}; are they swapped?"
                ),
            )
        })?;
        if weather.insert(date, range).is_some() {
            return Err(table.refuse(
                *line,
                0,
                format!("{date} stands twice; expected each day once"),
            ));
        }
    }
    Ok(weather)
}
