//! `climate`: a ward's monthly climate and its thermometer's readings, second and third to a farm's own `temp` lines.
//!
//! This room reads what was typed; what is allowed is the desk's to say.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, reach};
use crate::cli::forecast::files::read_weather;
use crate::counter::answers::OfficeRequest;
use crate::domain::event::DayTemperature;
use crate::domain::message::CoopId;
use crate::units::Celsius;
use crate::units::day::FarmDay;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `climate ...`
#[derive(Subcommand)]
pub enum ClimateCommand {
    /// Set the mean lowest and highest air of each month
    Set(ClimateSet),
    /// Record the air of one day, or of the days of a file
    Read(ClimateRead),
}

/// `climate set`
#[derive(Args)]
pub struct ClimateSet {
    #[command(flatten)]
    place: Place,
    /// Ward; the whole cooperative, where not given
    #[arg(long)]
    ward: Option<String>,
    /// Twelve times lowest-highest, January first, separated by commas: 19-29,19-30,...
    months: String,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `climate read`
#[derive(Args)]
pub struct ClimateRead {
    #[command(flatten)]
    place: Place,
    /// Ward; the whole cooperative, where not given
    #[arg(long)]
    ward: Option<String>,
    /// The day: 2026-03-10
    #[arg(long, requires = "air", conflicts_with = "weather")]
    day: Option<FarmDay>,
    /// Lowest-highest: 18-31
    #[arg(long, requires = "day")]
    air: Option<String>,
    /// CSV of many days instead: date,tmin_c,tmax_c
    #[arg(long)]
    weather: Option<PathBuf>,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// Does a `climate` command.
///
/// # Errors
/// In words for the operator.
pub fn run(command: ClimateCommand) -> Result<(), Trouble> {
    match command {
        ClimateCommand::Set(args) => {
            let months = args.months.split(',').map(air);
            let climate = months.collect::<Result<Vec<_>, _>>()?;
            let request = OfficeRequest::SetClimate {
                coop: CoopId(args.coop),
                ward: args.ward.clone(),
                climate,
            };
            let then = format!("The climate of {} is set.", place_of(args.ward.as_deref()));
            reach(&args.place, &Errand::Office(Box::new(request), then))
        }
        ClimateCommand::Read(args) => read(&args),
    }
}

fn read(args: &ClimateRead) -> Result<(), Trouble> {
    let readings = match (&args.day, &args.air, &args.weather) {
        (Some(day), Some(text), None) => {
            let (min, max) = air(text)?;
            vec![DayTemperature {
                day: *day,
                min,
                max,
            }]
        }
        (None, None, Some(file)) => {
            let weather = read_weather(file).map_err(Trouble::of)?;
            let days = weather.into_iter().map(|(day, range)| {
                let (min, max) = (degrees(range.min()), degrees(range.max()));
                min.zip(max)
                    .map(|(min, max)| DayTemperature { day, min, max })
            });
            days.collect::<Option<Vec<_>>>()
                .ok_or_else(|| Trouble("a temperature is out of range".to_owned()))?
        }
        _ => {
            let example = "clutchline climate read --ward Ufukwe --day 2026-03-10 --air 18-31";
            return Err(Trouble(format!(
                "give a day and its air, or a file of them, for example: {example}"
            )));
        }
    };
    let then = format!(
        "{} day(s) of air recorded for {}.",
        readings.len(),
        place_of(args.ward.as_deref())
    );
    let request = OfficeRequest::ReadAir {
        coop: CoopId(args.coop),
        ward: args.ward.clone(),
        readings,
    };
    reach(&args.place, &Errand::Office(Box::new(request), then))
}

fn place_of(ward: Option<&str>) -> String {
    ward.map_or_else(
        || "the whole cooperative".to_owned(),
        |ward| format!("ward {ward}"),
    )
}

/// `18-31`, `-2-9`, `18.5-31`.
fn air(text: &str) -> Result<(Celsius, Celsius), Trouble> {
    let text = text.trim();
    let apart = text
        .char_indices()
        .skip(1)
        .find(|(_, letter)| *letter == '-')
        .and_then(|(at, _)| Some((text.get(..at)?, text.get(at + 1..)?)));
    let number = |text: &str| degrees(text.trim().parse().ok()?);
    apart
        .and_then(|(min, max)| number(min).zip(number(max)))
        .filter(|(min, max)| min <= max)
        .ok_or_else(|| {
            Trouble(format!(
                "expected lowest-highest in degrees Celsius, such as 18-31, but found {text:?}"
            ))
        })
}

fn degrees(celsius: f64) -> Option<Celsius> {
    let tenths = (celsius * 10.0).round();
    let fits = (f64::from(i16::MIN)..=f64::from(i16::MAX)).contains(&tenths);
    fits.then(|| Celsius::from_tenths(tenths as i16)).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_of_air_is_read_below_zero_too() {
        let tenths = |tenths| Celsius::from_tenths(tenths).unwrap();
        assert_eq!(air("18-31").unwrap(), (tenths(180), tenths(310)));
        assert_eq!(air(" -2.5-9 ").unwrap(), (tenths(-25), tenths(90)));
        for wrong in ["18", "31-18", "18-", "18--", "a-b", "", "18-3100"] {
            assert!(air(wrong).is_err(), "{wrong}");
        }
    }
}
