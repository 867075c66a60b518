//! `clutchline forecast`: eggs of the coming days from files of cages, harvests and weather.
//!
//! Prints CSV on standard output; refusals and progress go to standard error. This room does not know how anything is computed.

pub mod chart;
pub mod files;
pub mod table;

use crate::biology::history::Run;
use crate::biology::history::priors_by;
use crate::biology::mixture::Range;
use crate::biology::outlook::Forecast;
use crate::biology::outlook::MOST_DAYS;
use crate::biology::pooling::Priors;
use crate::biology::tables::Parameters;
use crate::biology::warmth::Temperatures;
use crate::biology::warning::low_yield;
use crate::cli::forecast::chart::MOST_PANELS;
use crate::cli::forecast::chart::Panel;
use crate::cli::forecast::chart::draw;
use crate::cli::forecast::files::NamedCage;
use crate::cli::forecast::files::read_cages;
use crate::cli::forecast::files::read_harvests;
use crate::cli::forecast::files::read_weather;
use crate::cli::forecast::table::FileError;
use chrono::NaiveDate;
use clap::Args;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;
use thiserror::Error;

/// Cages after which progress is told: some two seconds' work.
const PROGRESS_EVERY: usize = 1000;

/// What `clutchline forecast` asks for.
#[derive(Args, Clone, Debug)]
pub struct ForecastArgs {
    /// CSV of cages: cage,stocked_on,pupae,stock_kind,retired_on (stock_kind one-age or mixed; retired_on may be empty)
    #[arg(long, value_name = "FILE")]
    pub cages: PathBuf,
    /// CSV of harvests: cage,date,grams
    #[arg(long, value_name = "FILE")]
    pub harvests: PathBuf,
    /// CSV of temperatures: date,tmin_c,tmax_c; days after --as-of are taken as a weather forecast
    #[arg(long, value_name = "FILE")]
    pub weather: Option<PathBuf>,
    /// The last day whose harvests are known, such as 2026-03-10
    #[arg(long, value_name = "DATE")]
    pub as_of: NaiveDate,
    /// Days to forecast after --as-of, 1 to 31
    #[arg(long, default_value_t = 7, value_parser = clap::value_parser!(u8).range(1..=MOST_DAYS as i64))]
    pub days: u8,
    /// Print low-yield warnings up to --as-of instead: cage,date,reason
    #[arg(long)]
    pub warnings: bool,
    /// Also draw expected bands and harvests of each running cage
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
}

/// Why there is no forecast.
#[derive(Debug, Error)]
pub enum ForecastError {
    /// A file cannot be used.
    #[error(transparent)]
    File(#[from] FileError),
    /// The answer cannot be written.
    #[error("cannot write the answer: {0}")]
    Output(#[from] std::io::Error),
    /// The answer cannot be written as CSV.
    #[error("cannot write the answer: {0}")]
    Csv(#[from] csv::Error),
}

/// Everything read.
struct Farm {
    cages: Vec<NamedCage>,
    temperatures: Temperatures,
    parameters: Parameters,
    priors: Priors,
}

/// Reads the files and prints the forecast, or the warnings.
///
/// # Errors
/// The first file or row that cannot be used, or an output that cannot be written.
pub fn run(args: ForecastArgs) -> Result<(), ForecastError> {
    let farm = read(&args)?;
    let out = std::io::stdout().lock();
    if args.warnings {
        write_warnings(&farm, args.as_of, out)?;
    } else {
        write_forecast(&farm, &args, out)?;
    }
    if let Some(file) = &args.svg {
        let panels = panels(&farm, &args);
        std::fs::write(file, draw(&panels)).map_err(|source| FileError::Unreadable {
            file: file.clone(),
            source,
        })?;
        if panels.len() > MOST_PANELS {
            eprintln!(
                "the drawing shows the first {MOST_PANELS} of {} running cages",
                panels.len()
            );
        }
    }
    Ok(())
}

fn read(args: &ForecastArgs) -> Result<Farm, ForecastError> {
    let parameters = Parameters::default();
    let mut cages = read_cages(&args.cages)?;
    let added = read_harvests(&args.harvests, &mut cages, &parameters)?;
    if added > 0 {
        eprintln!("{added} second weights of one cage and day were added to the first");
    }
    let weather = match &args.weather {
        Some(file) => read_weather(file)?,
        None => BTreeMap::new(),
    };
    let temperatures = Temperatures {
        farm: weather,
        ..Temperatures::default()
    };
    let runs: Vec<_> = cages.iter().map(|cage| cage.run.clone()).collect();
    let base = Priors::of_the_table(&parameters);
    let priors = priors_by(&base, &runs, &temperatures, &parameters, args.as_of);
    Ok(Farm {
        cages,
        temperatures,
        parameters,
        priors,
    })
}

impl Farm {
    fn replay(
        &self,
        cage: &NamedCage,
        on: NaiveDate,
    ) -> Option<(Run, Vec<crate::biology::warning::Seen>)> {
        let prior = self.priors.of(cage.run.kind);
        Run::replay(&cage.run, prior, &self.temperatures, &self.parameters, on)
    }
}

fn write_forecast(farm: &Farm, args: &ForecastArgs, out: impl Write) -> Result<(), ForecastError> {
    let mut out = csv::Writer::from_writer(out);
    out.write_record(["cage", "date", "expected_g", "low_g", "high_g"])?;
    let running =
        |cage: &&NamedCage| cage.run.stocked_on <= args.as_of && !cage.run.finished(args.as_of);
    for (done, cage) in farm.cages.iter().filter(running).enumerate() {
        if done > 0 && done % PROGRESS_EVERY == 0 {
            eprintln!("{done} cages forecast");
        }
        let forecast = match farm.replay(cage, args.as_of) {
            Some((run, _)) => run.forecast(
                &farm.parameters,
                args.days.into(),
                cage.run.days_left(args.as_of),
            ),
            // Stocked so long ago that no fly of it can be alive.
            None => Forecast::nothing(args.days.into()),
        };
        for (date, range) in args.as_of.iter_days().skip(1).zip(&forecast.days) {
            write_row(&mut out, &cage.name, &date.to_string(), *range)?;
        }
        write_row(&mut out, &cage.name, "total", forecast.total)?;
    }
    out.flush()?;
    Ok(())
}

fn write_row(
    out: &mut csv::Writer<impl Write>,
    cage: &str,
    date: &str,
    range: Range,
) -> Result<(), csv::Error> {
    let grams = |value: f64| format!("{value:.2}");
    out.write_record([
        cage,
        date,
        &grams(range.middle),
        &grams(range.low),
        &grams(range.high),
    ])
}

fn write_warnings(farm: &Farm, as_of: NaiveDate, out: impl Write) -> Result<(), ForecastError> {
    let mut out = csv::Writer::from_writer(out);
    out.write_record(["cage", "date", "reason"])?;
    for cage in farm
        .cages
        .iter()
        .filter(|cage| cage.run.stocked_on <= as_of)
    {
        let until = cage
            .run
            .retired_on
            .map_or(as_of, |retired| retired.min(as_of));
        let Some((_, seen)) = farm.replay(cage, until) else {
            continue;
        };
        for low in low_yield(
            &seen,
            farm.priors.of(cage.run.kind).noise_memory.into(),
            &farm.parameters,
        ) {
            let reason = format!(
                "low: {:.1} g taken where about {:.1} g was expected",
                low.grams, low.expected
            );
            out.write_record([&cage.name, &low.day.to_string(), &reason])?;
        }
    }
    out.flush()?;
    Ok(())
}

fn panels(farm: &Farm, args: &ForecastArgs) -> Vec<Panel> {
    let running =
        |cage: &&NamedCage| cage.run.stocked_on <= args.as_of && !cage.run.finished(args.as_of);
    let panel = |cage: &NamedCage| {
        let (run, _) = farm.replay(cage, args.as_of)?;
        let mut from = 0;
        let harvests = cage
            .run
            .lines(args.as_of)
            .map(|(_, day, grams)| {
                let (first, day) = (from, usize::from(day));
                from = day + 1;
                let days = f64::from(u32::try_from(day + 1 - first.min(day)).unwrap_or(1));
                (first.min(day), day, grams / days)
            })
            .collect();
        Some(Panel {
            name: cage.name.clone(),
            stocked_on: cage.run.stocked_on.to_string(),
            today: run.today.into(),
            expected: run.band(&farm.parameters, args.days.into()),
            harvests,
        })
    };
    farm.cages
        .iter()
        .filter(running)
        .filter_map(panel)
        .collect()
}
