//! `costs`: what was sent, for the bill, as CSV.
//!
//! Prices come from the settings, parts from the ledger. This room sums nothing that the ledger does not hold.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, reach};
use crate::config::Settings;
use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::store::ledger::Month;
use clap::Args;
use std::collections::BTreeMap;
use std::io::Write;

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

/// Writes `month,link,member,texts,parts,price_per_part,cost`; a link without a price has empty cells.
///
/// # Errors
/// In words for the operator.
pub fn write(
    counter: &Counter,
    coop: u16,
    month: Option<&str>,
    prices: &BTreeMap<String, u64>,
    out: &mut dyn Write,
) -> Result<(), String> {
    let month = month.and_then(Month::read);
    let lines = counter
        .ledger(CoopId(coop), month)
        .map_err(|why| why.to_string())?;
    let mut rows = csv::Writer::from_writer(out);
    let failed = |why: csv::Error| why.to_string();
    rows.write_record([
        "month",
        "link",
        "member",
        "texts",
        "parts",
        "price_per_part",
        "cost",
    ])
    .map_err(failed)?;
    for line in lines {
        let price = prices.get(&line.link.0).copied().filter(|price| *price > 0);
        let cost = price.map(|price| price * u64::from(line.sent.parts));
        let money = |millionths: Option<u64>| millionths.map(shown).unwrap_or_default();
        rows.write_record([
            line.month.to_string(),
            line.link.0.clone(),
            line.member
                .map(|member| member.to_string())
                .unwrap_or_default(),
            line.sent.texts.to_string(),
            line.sent.parts.to_string(),
            money(price),
            money(cost),
        ])
        .map_err(failed)?;
    }
    rows.flush().map_err(|why| why.to_string())
}

/// Millionths as a decimal number with two decimals at least.
fn shown(millionths: u64) -> String {
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000);
    let trimmed = text.trim_end_matches('0');
    let least = text.len() - 4;
    text.get(..trimmed.len().max(least))
        .unwrap_or(&text)
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_exact() {
        assert_eq!(shown(15_000), "0.015");
        assert_eq!(shown(15_000 * 40), "0.60");
        assert_eq!(shown(25_000_000), "25.00");
        assert_eq!(shown(1), "0.000001");
    }
}
