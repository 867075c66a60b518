//! `clutchline plan`: what to stock, how often and in how many cages for a wanted supply of eggs.
//!
//! Prints CSV `what,value,unit` on standard output. With a farm's files it plans with that farm's own yield and timing, otherwise with the table's.
//! This room does not know how a plan is worked out.

use crate::biology::degree_days::DayRange;
use crate::biology::history::priors_by;
use crate::biology::plan::Limit;
use crate::biology::plan::Plan;
use crate::biology::plan::PlanError;
use crate::biology::plan::Wanted;
use crate::biology::plan::plan;
use crate::biology::pooling::Priors;
use crate::biology::stages::Stage;
use crate::biology::tables::Parameters;
use crate::biology::warmth::Temperatures;
use crate::cli::forecast::files::read_cages;
use crate::cli::forecast::files::read_harvests;
use crate::cli::forecast::files::read_weather;
use crate::cli::forecast::table::FileError;
use crate::domain::StockKind;
use chrono::NaiveDate;
use clap::Args;
use std::path::PathBuf;
use thiserror::Error;

/// What `clutchline plan` asks for.
#[derive(Args, Clone, Debug)]
pub struct PlanArgs {
    /// Grams of eggs wanted a week
    #[arg(value_name = "GRAMS_A_WEEK")]
    pub weekly_g: f64,
    /// Cages that there are or can be
    #[arg(long, value_name = "N")]
    pub cages: Option<u32>,
    /// Cubic metres of one cage
    #[arg(long, value_name = "M3")]
    pub cage_m3: Option<f64>,
    /// Pupae that can be had a week
    #[arg(long, value_name = "N")]
    pub pupae_a_week: Option<f64>,
    /// Stock of mixed ages instead of one age
    #[arg(long)]
    pub mixed: bool,
    /// Usual lowest and highest temperature, such as 19-31
    #[arg(long, value_name = "MIN-MAX", value_parser = temperature)]
    pub temp: Option<DayRange>,
    /// Plan with what this farm's finished cages gave: its cages, as for `forecast`
    #[arg(long, value_name = "FILE", requires = "harvests")]
    pub cages_file: Option<PathBuf>,
    /// Its harvests, as for `forecast`
    #[arg(long, value_name = "FILE", requires = "cages_file")]
    pub harvests: Option<PathBuf>,
    /// Its temperatures, as for `forecast`
    #[arg(long, value_name = "FILE", requires = "cages_file")]
    pub weather: Option<PathBuf>,
    /// The last day that counts, such as 2026-03-10; everything in the files where left out
    #[arg(long, value_name = "DATE", requires = "cages_file")]
    pub as_of: Option<NaiveDate>,
}

/// Why there is no plan.
#[derive(Debug, Error)]
pub enum PlanCommandError {
    /// A file cannot be used.
    #[error(transparent)]
    File(#[from] FileError),
    /// The want cannot be met.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The answer cannot be written.
    #[error("cannot write the answer: {0}")]
    Csv(#[from] csv::Error),
}

/// Reads `19-31` or `-2-14.5`.
fn temperature(text: &str) -> Result<DayRange, String> {
    let wrong =
        || format!("expected lowest-highest in degrees Celsius such as 19-31, found `{text}`");
    let dash = text
        .char_indices()
        .skip(1)
        .find(|(_, mark)| *mark == '-')
        .ok_or_else(wrong)?
        .0;
    let number = |part: &str| {
        part.parse::<f64>()
            .ok()
            .filter(|it| (-20.0..=60.0).contains(it))
    };
    let (low, high) = (number(&text[..dash]), number(&text[dash + 1..]));
    low.zip(high)
        .and_then(|(low, high)| DayRange::new(low, high))
        .ok_or_else(wrong)
}

/// Works out the plan and prints it.
///
/// # Errors
/// When a file or row cannot be used, the want cannot be met (the limit that binds is named), or the output cannot be written.
pub fn run(args: PlanArgs) -> Result<(), PlanCommandError> {
    let parameters = Parameters::default();
    let (temperatures, priors) = farm(&args, &parameters)?;
    let day = args.temp.unwrap_or_else(|| {
        let last = temperatures
            .farm
            .keys()
            .next_back()
            .copied()
            .unwrap_or_default();
        temperatures.on(last, &parameters).0
    });
    let kind = if args.mixed {
        StockKind::Mixed
    } else {
        StockKind::OneAge
    };
    let wanted = Wanted {
        weekly_g: args.weekly_g,
        cages: args.cages,
        cage_m3: args.cage_m3.unwrap_or(parameters.cage_m3),
        weekly_pupae: args.pupae_a_week,
        kind,
        warmth: Stage::Pupa.degree_days(&parameters, day),
    };
    let plan = plan(&wanted, priors.of(kind), &parameters)?;
    print(&plan)?;
    Ok(())
}

fn farm(
    args: &PlanArgs,
    parameters: &Parameters,
) -> Result<(Temperatures, Priors), PlanCommandError> {
    let base = Priors::of_the_table(parameters);
    let mut temperatures = Temperatures::default();
    if let Some(file) = &args.weather {
        temperatures.farm = read_weather(file)?;
    }
    let (Some(cages), Some(harvests)) = (&args.cages_file, &args.harvests) else {
        return Ok((temperatures, base));
    };
    let mut cages = read_cages(cages)?;
    read_harvests(harvests, &mut cages, parameters)?;
    let runs: Vec<_> = cages.into_iter().map(|cage| cage.run).collect();
    let last = args.as_of.unwrap_or(NaiveDate::MAX);
    let priors = priors_by(&base, &runs, &temperatures, parameters, last);
    Ok((temperatures, priors))
}

fn print(plan: &Plan) -> Result<(), csv::Error> {
    let mut out = csv::Writer::from_writer(std::io::stdout().lock());
    let binds = match plan.binds {
        Limit::Cages => "cages",
        Limit::Crowding => "crowding",
        Limit::Pupae => "pupae",
        Limit::HoldBack => "hold-back",
    };
    let percent = |share: f64| format!("{:.1}", 100.0 * share);
    let whole = |value: f64| format!("{value:.0}");
    out.write_record(["what", "value", "unit"])?;
    for (what, value, unit) in [
        ("pupae_per_stocking", plan.pupae_each.to_string(), "pupae"),
        (
            "cages_per_stocking",
            plan.cages_at_once.to_string(),
            "cages",
        ),
        ("days_between_stockings", plan.days_between.to_string(), "d"),
        ("cages", plan.cages.to_string(), "cages"),
        ("days_in_use_per_cage", plan.days_each.to_string(), "d"),
        ("adults_per_m3", whole(plan.adults_per_m3), "adults/m3"),
        (
            "weeks_until_steady",
            plan.weeks_until_steady.to_string(),
            "weeks",
        ),
        ("eggs_per_week", format!("{:.1}", plan.weekly_g), "g"),
        (
            "pupae_to_hold_back_per_week",
            whole(plan.hold_back.pupae),
            "pupae",
        ),
        (
            "larvae_to_hold_back_bare",
            percent(plan.hold_back.share),
            "% of five-day-olds",
        ),
        (
            "larvae_to_hold_back_advised",
            percent(plan.hold_back.advised),
            "% of five-day-olds",
        ),
        ("binds_first", binds.to_owned(), ""),
    ] {
        out.write_record([what, value.as_str(), unit])?;
    }
    out.flush()?;
    Ok(())
}
