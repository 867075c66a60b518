//! Which messages are the same message again.
//!
//! A message is known by its link and id, and by its sender and text. Keys lie on a shelf per span of days, so that old ones go a shelf at a time.
//! This room does not answer anything.

use crate::domain::message::{CoopId, Inbound, MessageNo};
use crate::domain::phone::PhoneNumber;
use crate::store::StoreError;
use crate::store::codec;
use crate::store::draft::Draft;
use crate::store::keys::{Shelf, millis, phone_digits};
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Days of redelivery keys on one shelf. This shelf and the one before are searched, so that a message is known again for at least three days:
/// the longest that networks commonly keep trying (common practice, no source).
pub const SPAN_DAYS: i64 = 3;

/// The same sender and text within this time is a redelivery, where the first recorded facts.
const REPEAT: Duration = Duration::minutes(10);

/// Ids up to this long are kept as they are, longer ones as a hash.
const ID_KEPT: usize = 64;

const BY_ID: u8 = b'i';
const BY_TEXT: u8 = b't';

/// A message's id on its link: which message had it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeenId {
    pub(crate) message: MessageNo,
    from: u64,
    text: u64,
    sent: u64,
    sent_known: bool,
}

/// A message's sender and text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeenText {
    message: MessageNo,
    sent_known: bool,
    covers_repeats: bool,
}

/// Whether a key of a redelivery shelf stands for an id; else for a text.
#[must_use]
pub fn is_by_id(key: &[u8]) -> bool {
    key.get(2) == Some(&BY_ID)
}

/// Whether a redelivery key was made for a message from that number.
pub(crate) fn is_from(
    shelf: Shelf,
    key: &[u8],
    bytes: &[u8],
    phone: &PhoneNumber,
) -> Result<bool, StoreError> {
    let digits = phone_digits(phone);
    if is_by_id(key) {
        let seen: SeenId = codec::unseal(shelf, key, bytes)?;
        return Ok(seen.from == digits);
    }
    Ok(key.get(3..11) == Some(digits.to_be_bytes().as_slice()))
}

/// The shelf of redelivery keys made at `now`.
#[must_use]
pub fn span(now: DateTime<Utc>) -> u32 {
    u32::try_from(now.timestamp().div_euclid(SPAN_DAYS * 86_400)).unwrap_or(0)
}

/// 64 bits of a text that blanks around it and, for `folded`, case and spacing do not change.
fn text_hash(text: &str, folded: bool) -> u64 {
    let digest = if folded {
        let plain: String = text.to_lowercase().split_whitespace().collect();
        Sha256::digest(plain.as_bytes())
    } else {
        Sha256::digest(text.trim().as_bytes())
    };
    digest
        .first_chunk::<8>()
        .map_or(0, |bytes| u64::from_be_bytes(*bytes))
}

fn id_key(coop: CoopId, inbound: &Inbound) -> Option<Vec<u8>> {
    let id = inbound.id.as_ref()?.as_bytes();
    let link = inbound.link.0.as_bytes();
    let mut key = coop.0.to_be_bytes().to_vec();
    key.push(BY_ID);
    key.extend(u32::try_from(link.len()).unwrap_or(u32::MAX).to_be_bytes());
    key.extend(link);
    if id.len() <= ID_KEPT {
        key.push(0);
        key.extend(id);
    } else {
        key.push(1);
        key.extend(Sha256::digest(id));
    }
    Some(key)
}

fn text_start(coop: CoopId, inbound: &Inbound) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.push(BY_TEXT);
    key.extend(phone_digits(&inbound.from).to_be_bytes());
    key.extend(text_hash(&inbound.text, false).to_be_bytes());
    key
}

/// A message that was there before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Found {
    /// Which.
    pub message: MessageNo,
    /// Known by its id; else by sender and text.
    pub by_id: bool,
}

/// The message of which this is a redelivery, if it is one; `now` is the gateway's.
///
/// An id that comes back from another sender, or from the same one with another text and another time, is a counter that began anew: its message
/// is judged as a new one, because a lost weight is worse than one that is found to be recorded already.
///
/// Of several with the same text it is the one recorded first, whatever they say of when they were sent: what is recorded later does not
/// change what a copy was told before. A copy known by its text alone is to be remembered by its id too ([`remember_copy`]): when it comes again,
/// the clock may have been put back, so that its moment is no longer believed.
pub fn find(
    draft: &Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    now: DateTime<Utc>,
) -> Result<Option<Found>, StoreError> {
    let newest = span(now);
    // The shelf ahead is there where the clock was put back over a change of shelves.
    let spans = [newest, newest.saturating_sub(1), newest.saturating_add(1)].map(Shelf::Seen);
    for shelf in spans {
        if let Some(message) = find_id(draft, shelf, coop, inbound)? {
            let by_id = true;
            return Ok(Some(Found { message, by_id }));
        }
    }
    let mut first: Option<MessageNo> = None;
    for shelf in spans {
        let found = find_text(draft, shelf, coop, inbound)?;
        first = first.into_iter().chain(found).min();
    }
    let by_id = false;
    Ok(first.map(|message| Found { message, by_id }))
}

fn find_id(
    draft: &Draft<'_>,
    shelf: Shelf,
    coop: CoopId,
    inbound: &Inbound,
) -> Result<Option<MessageNo>, StoreError> {
    let Some(key) = id_key(coop, inbound) else {
        return Ok(None);
    };
    let Some(seen) = draft.get::<SeenId>(shelf, &key)? else {
        return Ok(None);
    };
    let same_time =
        seen.sent_known && inbound.sent_at_known && seen.sent == millis(inbound.sent_at);
    let same_text = seen.text == text_hash(&inbound.text, true);
    let same = seen.from == phone_digits(&inbound.from) && (same_text || same_time);
    Ok(same.then_some(seen.message))
}

fn find_text(
    draft: &Draft<'_>,
    shelf: Shelf,
    coop: CoopId,
    inbound: &Inbound,
) -> Result<Option<MessageNo>, StoreError> {
    let bound = |at: DateTime<Utc>| {
        let mut key = text_start(coop, inbound);
        key.extend(millis(at).to_be_bytes());
        key
    };
    let mut end = bound(inbound.sent_at + REPEAT);
    // Past every message number of that millisecond.
    end.extend([u8::MAX; 9]);
    let mut found: Option<MessageNo> = None;
    draft.scan(
        shelf,
        &bound(inbound.sent_at - REPEAT),
        Some(&end),
        |key, bytes| {
            let seen: SeenText = codec::unseal(shelf, key, bytes)?;
            let sent = key
                .get(19..27)
                .and_then(|bytes| bytes.try_into().ok())
                .map(u64::from_be_bytes);
            let same_time =
                seen.sent_known && inbound.sent_at_known && sent == Some(millis(inbound.sent_at));
            if seen.covers_repeats || same_time {
                found = found.into_iter().chain([seen.message]).min();
            }
            Ok(true)
        },
    )?;
    Ok(found)
}

/// Remembers a message that is taken as a new one.
pub fn remember(
    draft: &mut Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    message: MessageNo,
    covers_repeats: bool,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    remember_copy(draft, coop, inbound, message, now)?;
    let shelf = Shelf::Seen(span(now));
    if covers_repeats || inbound.sent_at_known {
        let mut key = text_start(coop, inbound);
        key.extend(millis(inbound.sent_at).to_be_bytes());
        key.extend(message.0.to_be_bytes());
        let seen = SeenText {
            message,
            sent_known: inbound.sent_at_known,
            covers_repeats,
        };
        draft.put(shelf, key, &seen)?;
    }
    Ok(())
}

/// Remembers that the message of this id is that one, or a copy of it.
pub fn remember_copy(
    draft: &mut Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    message: MessageNo,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let Some(key) = id_key(coop, inbound) else {
        return Ok(());
    };
    let seen = SeenId {
        message,
        from: phone_digits(&inbound.from),
        text: text_hash(&inbound.text, true),
        sent: millis(inbound.sent_at),
        sent_known: inbound.sent_at_known,
    };
    draft.put(Shelf::Seen(span(now)), key, &seen)
}
