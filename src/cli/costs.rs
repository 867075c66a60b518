//! `costs`: what was sent, for the bill, as CSV.
//!
//! Prices come from the settings. This room does not know the ledger.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, reach};
use crate::config::Settings;
use crate::store::ledger::Month;
use clap::Args;
use std::collections::BTreeMap;

/// `costs`
#[derive(Args)]
pub struct CostsArgs {
    #[command(flatten)]
    place: Place,
    /// Only this month, such as 2026-03 (months are counted in UTC)
    #[arg(long)]
    month: Option<String>,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// Prices are kept to a millionth of the money's unit: parts cost fractions of a cent.
const MILLIONTHS: f64 = 1_000_000.0;

/// Does the command.
///
/// # Errors
/// When the month does not read or the folder cannot be reached.
pub fn run(args: &CostsArgs) -> Result<(), Trouble> {
    if let Some(month) = args.month.as_ref().filter(|m| Month::read(m).is_none()) {
        return Err(Trouble(format!(
            "expected a month such as 2026-03 after --month, but found {month:?}"
        )));
    }
    let settings = args.place.settings()?;
    reach(
        &args.place,
        &Errand::Costs {
            coop: args.coop,
            month: args.month.clone(),
            prices: prices(&settings),
        },
    )
}

/// Price of a part by link, in millionths.
#[must_use]
pub fn prices(settings: &Settings) -> BTreeMap<String, u64> {
    let links = settings.links.iter();
    links
        .map(|(name, link)| {
            // The settings hold it between 0 and 10,000.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let price = (link.price_per_part * MILLIONTHS).round() as u64;
            (name.clone(), price)
        })
        .collect()
}
