//! Which networks a seed has beside http: a message centre, a modem, or neither.
//!
//! Files of the links (parts of long texts) lie in a folder in memory: what is written there survives a crash of the process.

use crate::carrier::{Carrier, Turn};
use crate::scene::LINKS;
use crate::sms::Sms;
use crate::stick::Stick;
use crate::tally::Tally;
use clutchline::counter::Counter;
use clutchline::store::outbox::{OutboxId, OutboxRow};
use rand::Rng;
use std::collections::BTreeMap;
use tempfile::TempDir;

/// Times that both ends of a link are moved in one turn of a mended story, some seconds apart.
pub(crate) const MENDED_ROUNDS: usize = 30;

pub(crate) enum Network {
    Http,
    Centre(Box<Carrier>),
    Modem(Box<Stick>),
}

pub(crate) struct Ways {
    pub(crate) network: Network,
    dir: Option<TempDir>,
}

/// In memory where the system has such a folder: a story takes milliseconds, and each would wait for a disk.
fn folder() -> TempDir {
    TempDir::new_in("/dev/shm")
        .or_else(|_| TempDir::new())
        .unwrap()
}

impl Ways {
    /// A third of the seeds each.
    pub(crate) fn new(seed: u64, counter: &Counter) -> Self {
        let dir = (!seed.is_multiple_of(3)).then(folder);
        let network = match (seed % 3, &dir) {
            (1, Some(dir)) => Network::Centre(Box::new(Carrier::new(counter, dir.path()))),
            (2, Some(dir)) => Network::Modem(Box::new(Stick::new(counter, dir.path()))),
            _ => Network::Http,
        };
        Self { network, dir }
    }

    /// The links that phones speak by.
    pub(crate) const fn links(&self) -> [&'static str; 3] {
        match self.network {
            Network::Http => [LINKS[0], LINKS[1], LINKS[1]],
            Network::Centre(_) => [LINKS[0], "smpp", "smpp"],
            Network::Modem(_) => [LINKS[1], "gsm", "gsm"],
        }
    }

    pub(crate) const fn is_http(&self) -> bool {
        matches!(self.network, Network::Http)
    }

    /// Texts of phones on the seed's own network.
    pub(crate) fn sms(&self) -> &[Sms] {
        match &self.network {
            Network::Http => &[],
            Network::Centre(carrier) => &carrier.centre.sms,
            Network::Modem(stick) => &stick.sms,
        }
    }

    /// Rows that its link was given.
    pub(crate) fn shown(&self) -> BTreeMap<OutboxId, OutboxRow> {
        match &self.network {
            Network::Http => BTreeMap::new(),
            Network::Centre(carrier) => carrier.shown.clone(),
            Network::Modem(stick) => stick.shown.clone(),
        }
    }

    pub(crate) fn say(&mut self, phone: u32, text: String, turn: &mut Turn<'_>) {
        let sms = Sms::new(phone, text, self.sms().len(), turn.rng);
        match &mut self.network {
            Network::Http => {}
            Network::Centre(carrier) => carrier.centre.sms.push(sms),
            Network::Modem(stick) => stick.say(sms, turn.now()),
        }
    }

    /// A few times around both ends; now and then the line breaks.
    pub(crate) fn turn(&mut self, turn: &mut Turn<'_>) {
        for _ in 0..turn.rng.random_range(1..5) {
            match &mut self.network {
                Network::Http => {}
                Network::Centre(carrier) => {
                    carrier.turn(turn);
                    if turn.rng.random_bool(0.04) {
                        carrier.cut(turn);
                    }
                    if turn.rng.random_bool(0.2) {
                        carrier.look_after_parts();
                    }
                }
                Network::Modem(stick) => {
                    stick.turn(turn);
                    if turn.rng.random_bool(0.03) {
                        stick.unplug(turn);
                    }
                }
            }
            if turn.rng.random_bool(0.5) {
                turn.counter.step();
            }
            let by = chrono::Duration::milliseconds(turn.rng.random_range(0..1_500));
            turn.counter.clock().advance(by);
        }
    }

    pub(crate) fn restart(&mut self, turn: &mut Turn<'_>) {
        let Some(dir) = &self.dir else { return };
        match &mut self.network {
            Network::Http => {}
            Network::Centre(carrier) => carrier.restart(dir.path(), turn),
            Network::Modem(stick) => stick.restart(dir.path(), turn),
        }
    }

    pub(crate) fn mend(&mut self, turn: &mut Turn<'_>) {
        match &mut self.network {
            Network::Http => {}
            Network::Centre(carrier) => carrier.mend(),
            Network::Modem(stick) => stick.mend(turn),
        }
    }

    /// One round of a mended story.
    pub(crate) fn round(&mut self, turn: &mut Turn<'_>) {
        match &mut self.network {
            Network::Http => {}
            Network::Centre(carrier) => {
                carrier.turn(turn);
                carrier.look_after_parts();
            }
            Network::Modem(stick) => stick.turn(turn),
        }
        while turn.counter.step() {}
    }

    /// What was promised, told again and carried.
    pub(crate) fn count(&self, tally: &mut Tally) {
        let acked = self.sms().iter().filter(|sms| sms.is_acked());
        tally.acked += acked.count() as u64;
        match &self.network {
            Network::Http => {}
            Network::Centre(carrier) => {
                let parts = carrier.centre.submitted.values();
                tally.carried += parts.filter(|part| part.taken.is_some()).count() as u64;
                tally.told_again += carrier.centre.told_again;
            }
            Network::Modem(stick) => tally.carried += stick.taken.len() as u64,
        }
    }
}
