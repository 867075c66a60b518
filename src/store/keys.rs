//! Where things lie: the keys on the shelves.
//!
//! Every key starts with the cooperative and the stream or number (the two time-ordered shelves with the time before it), big-endian, so that keys
//! written together lie together. This room does not know what lies under a key.

use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::{CoopId, LinkName, MessageNo};
use crate::domain::phone::PhoneNumber;
use crate::domain::user::Login;
use crate::store::outbox::{OutboxId, Urgency};
pub use crate::store::shelf::Shelf;
use chrono::{DateTime, Utc};

const RULES: u8 = 0;
const MEMBER: u8 = 1;
const PHONE: u8 = 2;
const FARM: u8 = 3;
const WARD: u8 = 4;
const USER: u8 = 5;
const DOSSIER: u8 = 7;
const AFFAIRS: u8 = 8;
const BROADCAST: u8 = 9;
const WORDS: u8 = 10;

/// The digits of a number as an integer: at most 15 digits (E.164), never a leading zero.
#[must_use]
pub fn phone_digits(phone: &PhoneNumber) -> u64 {
    phone
        .full()
        .bytes()
        .filter(u8::is_ascii_digit)
        .fold(0, |sum, digit| sum * 10 + u64::from(digit - b'0'))
}

/// The number with these digits.
#[must_use]
pub fn phone_of(digits: u64) -> Option<PhoneNumber> {
    PhoneNumber::new(&format!("+{digits}"))
}

/// A moment in milliseconds; nothing kept lies before 1970.
#[must_use]
pub fn millis(at: DateTime<Utc>) -> u64 {
    u64::try_from(at.timestamp_millis()).unwrap_or(0)
}

/// The moment of these milliseconds; the last that chrono can show, where there are too many.
#[must_use]
pub fn moment(millis: u64) -> DateTime<Utc> {
    i64::try_from(millis)
        .ok()
        .and_then(DateTime::from_timestamp_millis)
        .unwrap_or(DateTime::<Utc>::MAX_UTC)
}

/// The key of a phone's USSD session.
#[must_use]
pub fn session(coop: CoopId, phone: &PhoneNumber) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(phone_digits(phone).to_be_bytes());
    key
}

/// The key of a stream: cooperative, kind, member or phone. No stream's key is the start of another's.
#[must_use]
pub fn stream(coop: CoopId, id: &StreamId) -> Vec<u8> {
    let mut key = Vec::with_capacity(16);
    key.extend(coop.0.to_be_bytes());
    match id {
        StreamId::Rules => key.push(RULES),
        StreamId::Member(MemberNo(no)) => {
            key.push(MEMBER);
            key.extend(no.to_be_bytes());
        }
        StreamId::Phone(phone) => {
            key.push(PHONE);
            key.extend(phone_digits(phone).to_be_bytes());
        }
        StreamId::Farm(MemberNo(no)) => {
            key.push(FARM);
            key.extend(no.to_be_bytes());
        }
        StreamId::Ward(name) => {
            // Ward names are held short where they are set; a longer one would share its prefix here.
            let name = name.as_bytes();
            let name = name.get(..usize::from(u8::MAX)).unwrap_or(name);
            key.push(WARD);
            key.push(u8::try_from(name.len()).unwrap_or(u8::MAX));
            key.extend(name);
        }
        StreamId::User(login) => {
            let name = login.as_str().as_bytes();
            key.push(USER);
            key.push(u8::try_from(name.len()).unwrap_or(u8::MAX));
            key.extend(name);
        }
        StreamId::Dossier(MemberNo(no)) => {
            key.push(DOSSIER);
            key.extend(no.to_be_bytes());
        }
        StreamId::Affairs => key.push(AFFAIRS),
        StreamId::Broadcast(no) => {
            key.push(BROADCAST);
            key.extend(no.to_be_bytes());
        }
        StreamId::Words => key.push(WORDS),
    }
    key
}

/// The start of every key of one kind of stream: that of `Member` for `members`.
#[must_use]
pub fn members(coop: CoopId) -> Vec<u8> {
    let [a, b] = coop.0.to_be_bytes();
    vec![a, b, MEMBER]
}

/// The start of every user's key.
#[must_use]
pub fn users(coop: CoopId) -> Vec<u8> {
    let [a, b] = coop.0.to_be_bytes();
    vec![a, b, USER]
}

/// The start of every farm's key.
#[must_use]
pub fn farms(coop: CoopId) -> Vec<u8> {
    let [a, b] = coop.0.to_be_bytes();
    vec![a, b, FARM]
}

/// Reads a stream's key; what is left over is the version of an event's key.
#[must_use]
pub fn read_stream(key: &[u8]) -> Option<(CoopId, StreamId, &[u8])> {
    let (coop, rest) = key.split_first_chunk::<2>()?;
    let (kind, rest) = rest.split_first()?;
    let member = |rest: &'_ [u8]| {
        rest.first_chunk::<4>()
            .map(|no| MemberNo(u32::from_be_bytes(*no)))
    };
    let (id, used) = match *kind {
        RULES => (StreamId::Rules, 0),
        WORDS => (StreamId::Words, 0),
        MEMBER => (StreamId::Member(member(rest)?), 4),
        FARM => (StreamId::Farm(member(rest)?), 4),
        DOSSIER => (StreamId::Dossier(member(rest)?), 4),
        AFFAIRS => (StreamId::Affairs, 0),
        BROADCAST => {
            let no = u32::from_be_bytes(*rest.first_chunk::<4>()?);
            (StreamId::Broadcast(no), 4)
        }
        PHONE => {
            let digits = u64::from_be_bytes(*rest.first_chunk::<8>()?);
            (StreamId::Phone(phone_of(digits)?), 8)
        }
        WARD => {
            let (len, rest) = rest.split_first()?;
            let name = rest.get(..usize::from(*len))?;
            let name = std::str::from_utf8(name).ok()?.to_owned();
            (StreamId::Ward(name), 1 + usize::from(*len))
        }
        USER => {
            let (len, rest) = rest.split_first()?;
            let name = std::str::from_utf8(rest.get(..usize::from(*len))?).ok()?;
            (StreamId::User(Login::new(name)?), 1 + usize::from(*len))
        }
        _ => return None,
    };
    Some((CoopId(u16::from_be_bytes(*coop)), id, rest.get(used..)?))
}

/// The key of an event: its stream's and its version.
#[must_use]
pub fn event(coop: CoopId, id: &StreamId, version: u32) -> Vec<u8> {
    let mut key = stream(coop, id);
    key.extend(version.to_be_bytes());
    key
}

/// Reads an event's key.
#[must_use]
pub fn read_event(key: &[u8]) -> Option<(CoopId, StreamId, u32)> {
    let (coop, id, rest) = read_stream(key)?;
    Some((coop, id, u32::from_be_bytes(rest.try_into().ok()?)))
}

/// The key of a message.
#[must_use]
pub fn message(coop: CoopId, no: MessageNo) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(no.0.to_be_bytes());
    key
}

/// Reads a message's key.
#[must_use]
pub fn read_message(key: &[u8]) -> Option<(CoopId, MessageNo)> {
    let (coop, no) = key.split_first_chunk::<2>()?;
    let no = u64::from_be_bytes(no.try_into().ok()?);
    Some((CoopId(u16::from_be_bytes(*coop)), MessageNo(no)))
}

/// The key of an outbox row; the row's number starts with its cooperative.
#[must_use]
pub fn outbox(id: OutboxId) -> Vec<u8> {
    id.0.to_be_bytes().to_vec()
}

/// The start of every key of one link: its length and its name.
#[must_use]
pub fn link(link: &LinkName) -> Vec<u8> {
    // Link names come from the settings, which hold them short; a longer one would only share its prefix here.
    let name = link.0.as_bytes();
    let name = name.get(..usize::from(u8::MAX)).unwrap_or(name);
    let mut key = vec![u8::try_from(name.len()).unwrap_or(u8::MAX)];
    key.extend(name);
    key
}

/// The start of every due key of one link and urgency.
#[must_use]
pub fn due_start(to: &LinkName, urgency: Urgency) -> Vec<u8> {
    let mut key = link(to);
    key.push(urgency as u8);
    key
}

/// The key of a row in due order.
#[must_use]
pub fn due(link: &LinkName, urgency: Urgency, at: DateTime<Utc>, id: OutboxId) -> Vec<u8> {
    let mut key = due_start(link, urgency);
    key.extend(millis(at).to_be_bytes());
    key.extend(id.0.to_be_bytes());
    key
}

/// The row of a due key: its last eight bytes.
#[must_use]
pub fn read_due(key: &[u8]) -> Option<OutboxId> {
    key.last_chunk::<8>()
        .map(|id| OutboxId(u64::from_be_bytes(*id)))
}

/// The key of a farm's wake-up.
#[must_use]
pub fn wakeup(at: DateTime<Utc>, coop: CoopId, farm: MemberNo) -> Vec<u8> {
    let mut key = millis(at).to_be_bytes().to_vec();
    key.extend(coop.0.to_be_bytes());
    key.extend(farm.0.to_be_bytes());
    key
}

/// Reads a wake-up's key.
#[must_use]
pub fn read_wakeup(key: &[u8]) -> Option<(DateTime<Utc>, CoopId, MemberNo)> {
    let (at, rest) = key.split_first_chunk::<8>()?;
    let (coop, farm) = rest.split_first_chunk::<2>()?;
    Some((
        moment(u64::from_be_bytes(*at)),
        CoopId(u16::from_be_bytes(*coop)),
        MemberNo(u32::from_be_bytes(farm.try_into().ok()?)),
    ))
}

/// The key of a member's route.
#[must_use]
pub fn route(coop: CoopId, member: MemberNo) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(member.0.to_be_bytes());
    key
}

/// The first key after every key that starts with `start`; none where there is no such key.
#[must_use]
pub fn after(start: &[u8]) -> Option<Vec<u8>> {
    let mut end = start.to_vec();
    while let Some(last) = end.pop() {
        if last < u8::MAX {
            end.push(last + 1);
            return Some(end);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_read_back_and_none_starts_another() {
        let coop = CoopId(7);
        let phone = PhoneNumber::new("+255700000101").unwrap();
        let ids = [
            StreamId::Rules,
            StreamId::Member(MemberNo(2071)),
            StreamId::Phone(phone),
            StreamId::Farm(MemberNo(2071)),
            StreamId::Ward(String::new()),
            StreamId::Ward("Ufukwe".to_owned()),
            StreamId::User(Login::new("amina").unwrap()),
            StreamId::Dossier(MemberNo(2071)),
            StreamId::Affairs,
            StreamId::Broadcast(2071),
            StreamId::Words,
        ];
        for id in &ids {
            let key = event(coop, id, 9);
            assert_eq!(read_event(&key), Some((coop, id.clone(), 9)));
            for other in ids.iter().filter(|other| *other != id) {
                assert!(!key.starts_with(&stream(coop, other)));
            }
        }
        let at = "2026-03-10T05:10:00Z".parse().unwrap();
        assert_eq!(
            read_wakeup(&wakeup(at, coop, MemberNo(5))),
            Some((at, coop, MemberNo(5)))
        );
        assert_eq!(after(&[1, 255, 255]), Some(vec![2]));
        assert_eq!(after(&[255]), None);
    }
}
