//! A session with a scripted modem in front of it, both in memory: time is what a test says.

use crate::fake::Fake;
use chrono::{DateTime, TimeDelta, Utc};
use clutchline::domain::phone::PhoneNumber;
use clutchline::links::modem::outgoing::Piece;
use clutchline::links::modem::profile::Limits;
use clutchline::links::modem::session::{Event, Place, Session};

pub(crate) fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_773_100_000 + second, 0).unwrap()
}

pub(crate) fn limits() -> Limits {
    Limits {
        storage: "SM".to_owned(),
        poll_every: TimeDelta::seconds(30),
        send_wait: TimeDelta::seconds(60),
    }
}

/// A session with a modem in front of it, and a clock of its own.
pub(crate) struct Bench {
    pub(crate) session: Session,
    pub(crate) fake: Fake,
    pub(crate) now: DateTime<Utc>,
    pub(crate) octet_by_octet: bool,
}

impl Bench {
    pub(crate) fn new(fake: Fake) -> Self {
        let session = Session::new(limits(), at(0));
        Self {
            session,
            fake,
            now: at(0),
            octet_by_octet: false,
        }
    }

    /// Set up: past the greeting.
    pub(crate) fn ready(fake: Fake) -> Self {
        let mut bench = Self::new(fake);
        let events = bench.pass(400);
        assert!(events.contains(&Event::Ready), "{events:?}");
        bench
    }

    /// Both talk until neither has anything to say; what happened.
    pub(crate) fn talk(&mut self) -> Vec<Event> {
        let mut events = Vec::new();
        loop {
            let octets = self.session.take_octets();
            if octets.is_empty() {
                return events;
            }
            let said = self.fake.hear(&octets);
            self.says(&said);
            events.extend(std::iter::from_fn(|| self.session.next_event()));
        }
    }

    pub(crate) fn says(&mut self, octets: &[u8]) {
        if self.octet_by_octet {
            octets
                .iter()
                .for_each(|o| self.session.feed(&[*o], self.now));
        } else {
            self.session.feed(octets, self.now);
        }
    }

    /// The modem says something by itself.
    pub(crate) fn unsolicited(&mut self, text: &str) -> Vec<Event> {
        self.says(text.as_bytes());
        let mut events: Vec<Event> = std::iter::from_fn(|| self.session.next_event()).collect();
        events.extend(self.talk());
        events
    }

    /// So many milliseconds pass, half a second at a time.
    pub(crate) fn pass(&mut self, ms: i64) -> Vec<Event> {
        let mut events = self.talk();
        let until = self.now + TimeDelta::milliseconds(ms);
        while self.now < until {
            self.now = until.min(self.now + TimeDelta::milliseconds(500));
            self.session.tick(self.now);
            events.extend(std::iter::from_fn(|| self.session.next_event()));
            events.extend(self.talk());
        }
        events
    }

    pub(crate) fn submit(&mut self, token: u64) -> Vec<Event> {
        assert!(self.session.submit(token, piece(), self.now));
        self.talk()
    }
}

/// Example B of the corpus in `tests/telecom` to another number: 23 octets behind the service centre's.
pub(crate) fn piece() -> Piece {
    Piece {
        to: PhoneNumber::new("+46708251358").unwrap(),
        length: 23,
        hex: "0011000B916407281553F80000AA0AE8329BFD4697D9EC37".to_owned(),
        of_several: false,
    }
}

pub(crate) fn stored(events: &[Event]) -> Vec<(Place, String)> {
    let stored = |event: &Event| match event {
        Event::Stored { place, hex } => Some((place.clone(), hex.clone())),
        _ => None,
    };
    events.iter().filter_map(stored).collect()
}

pub(crate) fn fates(events: &[Event]) -> Vec<&Event> {
    let is_fate = |event: &&Event| {
        matches!(
            event,
            Event::Taken { .. }
                | Event::Failed { .. }
                | Event::NotSent { .. }
                | Event::Unknown { .. }
        )
    };
    events.iter().filter(is_fate).collect()
}
