//! The one driver of an SMPP link: keeps its sessions bound, and hands what they say to the counter and back.
//!
//! A message of the network's is answered when the counter has it on disk, and refused for now when the counter cannot take it. This room reads
//! the clock and owns the sockets; the rules of a session and of sending are elsewhere.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::links::board::{Seat, Standing};
use crate::links::pace::Rebind;
use crate::links::smpp::clerk::Clerk;
use crate::links::smpp::outgoing::Piece;
use crate::links::smpp::pdu::BindAs;
use crate::links::smpp::profile::{Binding, Profile};
use crate::links::smpp::pump::Pump;
use crate::links::smpp::session::Ended;
use crate::links::smpp::status;
use crate::links::smpp::transport::Transport;
use crate::links::smpp::ussd::Menu;
use chrono::TimeDelta;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::{mpsc, watch};

/// Screens that wait for the session that sends; a dialogue that waits longer is dead anyway.
const SCREENS_MOST: usize = 1_024;
/// Between two looks at long texts: those to be given up, and those that the counter could not take.
const LOOK_AFTER_PARTS: Duration = Duration::from_secs(2);

/// What all sessions of one link share.
pub(crate) struct Shared {
    pub(crate) seat: Seat,
    pub(crate) profile: Profile,
    pub(crate) counter: Counter,
    pub(crate) clock: Clock,
    pub(crate) menu: Option<Menu>,
    pub(crate) screens: mpsc::Sender<Piece>,
    pub(crate) clerk: Clerk,
    transport: Transport,
    bound: Mutex<Vec<BindAs>>,
    /// Spreads the pauses; seeded by the caller.
    chance: AtomicU64,
}

/// One link's driver.
pub struct Driver {
    shared: Arc<Shared>,
    screens: mpsc::Receiver<Piece>,
}

/// What a driver is made of.
pub struct Parts {
    /// The link's row on the board.
    pub seat: Seat,
    /// What the account wants.
    pub profile: Profile,
    /// How it is reached.
    pub transport: Transport,
    /// Where messages go and texts come from.
    pub counter: Counter,
    /// The cooperative whose link it is.
    pub coop: CoopId,
    /// The menu behind USSD dialogues; none: they are refused.
    pub menu: Option<Menu>,
    /// Spreads the pauses.
    pub seed: u64,
}

pub(crate) fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Driver {
    /// A driver that keeps parts of long texts and unreadable octets in `dir`.
    ///
    /// # Errors
    /// When the files in `dir` cannot be used.
    pub fn new(parts: Parts, dir: &Path) -> std::io::Result<Self> {
        let clock = parts.counter.clock().clone();
        let seat = parts.seat.clone();
        let clerk = Clerk::new(dir, seat, parts.counter.clone(), parts.coop)?;
        let (sender, screens) = mpsc::channel(SCREENS_MOST);
        let shared = Shared {
            seat: parts.seat,
            profile: parts.profile,
            counter: parts.counter,
            clock,
            menu: parts.menu,
            screens: sender,
            clerk,
            transport: parts.transport,
            bound: Mutex::new(Vec::new()),
            chance: AtomicU64::new(parts.seed),
        };
        Ok(Self {
            shared: Arc::new(shared),
            screens,
        })
    }

    /// Runs until `stop` turns true; texts on their way are waited for a second.
    pub async fn run(self, stop: watch::Receiver<bool>) {
        let shared = self.shared;
        let main = match shared.profile.binding {
            Binding::Transceiver => BindAs::Transceiver,
            Binding::Pair => BindAs::Transmitter,
        };
        let sending = keep_bound(shared.clone(), main, Some(self.screens), stop.clone());
        let parts = look_after_parts(shared.clone(), stop.clone());
        if shared.profile.binding == Binding::Pair {
            let receiving = keep_bound(shared.clone(), BindAs::Receiver, None, stop);
            tokio::join!(sending, receiving, parts);
        } else {
            tokio::join!(sending, parts);
        }
    }
}

/// One session after the other.
async fn keep_bound(
    shared: Arc<Shared>,
    bind_as: BindAs,
    screens: Option<mpsc::Receiver<Piece>>,
    mut stop: watch::Receiver<bool>,
) {
    let mut pump = Pump::new(shared.clone(), bind_as, screens);
    let mut rebind = Rebind::default();
    while goes_on(&stop) {
        let connected = tokio::select! {
            connected = shared.transport.connect() => connected,
            _ = stop.changed() => continue,
        };
        let (held, refused) = match connected {
            Ok(wire) => {
                let (ended, since) = pump.run(wire, &mut stop).await;
                shared.unbound(bind_as, ended);
                let now = shared.clock.now();
                let refused =
                    matches!(ended, Ended::Refused(s) if status::is_refusal_of_account(s));
                (since.map(|since| now - since), refused)
            }
            Err(error) => {
                let now = shared.clock.now();
                shared.seat.stand(Standing::Down, "", now);
                shared.seat.fault(&format!("no connection: {error}"), now);
                (None, false)
            }
        };
        if !goes_on(&stop) {
            break;
        }
        let pause = rebind.pause(held, refused, shared.chance());
        let pause = pause.to_std().unwrap_or_default();
        // Both ends of the wait are fine: a word to stop, or time for the next bind.
        tokio::time::timeout(pause, stop.changed()).await.ok();
    }
    pump.finish().await;
}

/// A sender that is gone counts as the word to stop.
fn goes_on(stop: &watch::Receiver<bool>) -> bool {
    !*stop.borrow() && stop.has_changed().is_ok()
}

/// Gives up what never completes, and tries again what the counter could not take.
async fn look_after_parts(shared: Arc<Shared>, mut stop: watch::Receiver<bool>) {
    while goes_on(&stop) {
        let turn = shared.clone();
        tokio::task::spawn_blocking(move || turn.clerk.parts_due())
            .await
            .ok();
        tokio::time::timeout(LOOK_AFTER_PARTS, stop.changed())
            .await
            .ok();
    }
}

impl Shared {
    /// Even over 0.0 to 1.0.
    pub(crate) fn chance(&self) -> f64 {
        let draw = self.chance.fetch_add(1, Ordering::Relaxed);
        ChaCha8Rng::seed_from_u64(draw).random_range(0.0..1.0)
    }

    pub(crate) fn bound(&self, bind_as: BindAs) {
        let mut bound = held(&self.bound);
        bound.push(bind_as);
        let words: Vec<_> = bound.iter().map(|b| b.word()).collect();
        let whole = match self.profile.binding {
            Binding::Transceiver => 1,
            Binding::Pair => 2,
        };
        let standing = if bound.len() >= whole {
            Standing::Up
        } else {
            Standing::Down
        };
        let detail = format!("{} as {}", self.profile.address, words.join(" and "));
        self.seat.stand(standing, &detail, self.clock.now());
        tracing::info!(link = %self.seat.link(), bind = bind_as.word(), "bound");
    }

    fn unbound(&self, bind_as: BindAs, ended: Ended) {
        held(&self.bound).retain(|bound| *bound != bind_as);
        let now = self.clock.now();
        let (standing, why) = match ended {
            Ended::Refused(code) if status::is_refusal_of_account(code) => {
                let why = format!("the bind was refused: {}", status::said(code));
                (Standing::Stuck, why)
            }
            Ended::Refused(code) => {
                let why = format!("the bind was refused: {}", status::said(code));
                (Standing::Down, why)
            }
            Ended::NoBind => (Standing::Down, "the bind was not answered".to_owned()),
            Ended::ByPeer => (Standing::Down, "the network took leave".to_owned()),
            Ended::ByUs => return self.seat.stand(Standing::Down, "", now),
            Ended::Silent => (Standing::Down, "the network is silent".to_owned()),
            Ended::OutOfStep => (Standing::Down, "the stream could not be read".to_owned()),
            Ended::Lost => (Standing::Down, "the connection was lost".to_owned()),
        };
        tracing::warn!(link = %self.seat.link(), bind = bind_as.word(), why, "not bound");
        self.seat.stand(standing, "", now);
        self.seat.fault(&why, now);
    }

    /// How long texts on their way are waited for when the program stops.
    pub(crate) const fn leave_wait() -> TimeDelta {
        TimeDelta::milliseconds(1_000)
    }
}
