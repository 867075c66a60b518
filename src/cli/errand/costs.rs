//! What was sent, for the bill: the ledger as CSV.
//!
//! This room sums nothing that the ledger does not hold, and does not know where prices come from.

use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::store::ledger::Month;
use std::collections::BTreeMap;
use std::io::Write;

/// Writes `month,link,member,texts,parts,price_per_part,cost`; a link without a price has empty cells.
///
/// # Errors
/// In words for the operator.
pub(super) fn write(
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
