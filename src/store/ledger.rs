//! What was sent, for the bill: texts and parts by cooperative, month, link and member.
//!
//! A month is counted in UTC. This room does not know prices.

use crate::domain::MemberNo;
use crate::domain::message::{CoopId, LinkName};
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::outbox::OutboxRow;
use crate::store::{Store, StoreError, codec};
use chrono::{DateTime, Datelike, Utc};
use serde::{Deserialize, Serialize};

/// What one member cost in one month on one link.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LedgerRecord {
    /// Texts that the network took.
    pub texts: u32,
    /// Their parts.
    pub parts: u32,
}

/// A line of the ledger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LedgerLine {
    /// Year and month.
    pub month: Month,
    /// The link.
    pub link: LinkName,
    /// To whom; none: a number that is no member's.
    pub member: Option<MemberNo>,
    /// What was sent.
    pub sent: LedgerRecord,
}

/// A calendar month: year times a hundred and the month, as in 202603.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Month(u32);

impl Month {
    /// The month of a moment, in UTC.
    #[must_use]
    pub fn of(at: DateTime<Utc>) -> Self {
        Self(u32::try_from(at.year()).unwrap_or(0) * 100 + at.month())
    }

    /// From `2026-03`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let (year, month) = text.split_once('-')?;
        let digits = |text: &str, n| text.len() == n && text.bytes().all(|b| b.is_ascii_digit());
        let plausible = digits(year, 4) && digits(month, 2);
        let month: u32 = month.parse().ok().filter(|m| (1..=12).contains(m))?;
        plausible.then_some(Self(year.parse::<u32>().ok()? * 100 + month))
    }
}

impl std::fmt::Display for Month {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}", self.0 / 100, self.0 % 100)
    }
}

/// Cooperative, month, link, member; 0 is nobody's number.
fn key(coop: CoopId, month: Month, link: &LinkName, member: Option<MemberNo>) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(month.0.to_be_bytes());
    key.extend(keys::link(link));
    key.extend(member.map_or(0, |member| member.0).to_be_bytes());
    key
}

fn read_key(key: &[u8]) -> Option<(Month, LinkName, Option<MemberNo>)> {
    let (_, rest) = key.split_first_chunk::<2>()?;
    let (month, rest) = rest.split_first_chunk::<4>()?;
    let (length, rest) = rest.split_first()?;
    let (link, member) = rest.split_at_checked(usize::from(*length))?;
    let member = u32::from_be_bytes(member.try_into().ok()?);
    Some((
        Month(u32::from_be_bytes(*month)),
        LinkName(String::from_utf8(link.to_vec()).ok()?),
        (member != 0).then_some(MemberNo(member)),
    ))
}

impl Draft<'_> {
    /// Adds a text to the bill.
    pub(crate) fn charge(
        &mut self,
        row: &OutboxRow,
        parts: u16,
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let key = key(row.coop, Month::of(now), &row.link, row.outbound.member);
        let mut line: LedgerRecord = self.get(Shelf::Ledger, &key)?.unwrap_or_default();
        line.texts = line.texts.saturating_add(1);
        line.parts = line.parts.saturating_add(u32::from(parts.max(1)));
        self.put(Shelf::Ledger, key, &line)
    }
}

impl Store {
    /// The bill of a cooperative, of one month or of all, by month, link and member.
    ///
    /// # Errors
    /// When the database fails or a record is damaged.
    pub fn ledger(
        &self,
        coop: CoopId,
        month: Option<Month>,
    ) -> Result<Vec<LedgerLine>, StoreError> {
        let mut start = coop.0.to_be_bytes().to_vec();
        if let Some(month) = month {
            start.extend(month.0.to_be_bytes());
        }
        let mut lines = Vec::new();
        for entry in self.range(Shelf::Ledger, &start, keys::after(&start).as_deref()) {
            let (key, bytes) = entry?;
            let (month, link, member) =
                read_key(&key).ok_or_else(|| StoreError::Key(Shelf::Ledger.name()))?;
            lines.push(LedgerLine {
                month,
                link,
                member,
                sent: codec::unseal(Shelf::Ledger, &key, &bytes)?,
            });
        }
        Ok(lines)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_and_keys_read_back() {
        let month = Month::read("2026-03").unwrap();
        assert_eq!(month.to_string(), "2026-03");
        assert_eq!(Month::of("2026-03-31T23:59:59Z".parse().unwrap()), month);
        for wrong in ["2026-13", "2026-00", "26-03", "2026-3", "2026", "+026-03"] {
            assert_eq!(Month::read(wrong), None, "{wrong}");
        }
        let north = LinkName("north".to_owned());
        for member in [None, Some(MemberNo(1001))] {
            let key = key(CoopId(1), month, &north, member);
            assert_eq!(read_key(&key), Some((month, north.clone(), member)));
        }
    }
}
