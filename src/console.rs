//! The cooperative's room in the browser: who needs help today, what eggs are coming, what is owed to the record.
//!
//! Every page is one row of the route table, which names who may open it; every page is made on the server by a pure function from a view. It
//! speaks to the counter and decides nothing about eggs. It does not know networks or how a message is read.

pub mod answer;
pub mod audit;
pub mod batch;
pub mod book;
pub mod broadcast;
pub mod cards;
pub mod chart;
pub mod climate;
pub mod data;
pub mod deliveries;
pub mod due;
pub mod entrance;
pub mod entry;
pub mod export;
pub mod farm;
pub mod farms;
pub mod fields;
pub mod frame;
pub mod labels;
pub mod live;
pub mod lockout;
pub mod member;
pub mod member_changes;
pub mod members;
pub mod members_import;
mod names;
pub mod password;
pub mod permits;
pub mod printed;
pub mod printing;
pub mod promises;
pub mod qr;
pub mod routes;
mod sent;
pub mod sessions;
pub mod settings;
pub mod settings_fields;
pub mod shown;
pub mod signing;
pub mod supply;
pub mod teach;
pub mod today;
pub mod tokens;
pub mod totp;
pub mod upload;
pub mod visit;
pub mod visits;
pub mod wall;
pub mod wards;
pub mod words;

use crate::clock::Clock;
use crate::console::lockout::Lockout;
use crate::console::members_import::Waiting;
use crate::console::printed::Printed;
use crate::console::sessions::Sessions;
use crate::console::words::Texts;
use crate::counter::Counter;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::Semaphore;

/// Everything that the pages share.
pub struct Console {
    pub(crate) counter: Counter,
    /// What sessions, waits and codes go by; the counter's own clock may be moved or stand still in the demo.
    watch: Clock,
    /// Shown at the top of every page, such as that everything is invented.
    pub(crate) notice: Option<&'static str>,
    pub(crate) texts: Texts,
    /// Texts of what is printed for members.
    pub(crate) printed: Printed,
    /// Price of a part by link, in millionths of the money's unit.
    pub(crate) prices: BTreeMap<String, u64>,
    sessions: Mutex<Sessions>,
    lockout: Mutex<Lockout>,
    /// The last step of the second factor that each user has used: a code counts once.
    codes_used: Mutex<BTreeMap<String, i64>>,
    /// Files that are made at once.
    pub(crate) files: Arc<Semaphore>,
    /// Streams of events that are open at once.
    pub(crate) streams: Arc<Semaphore>,
    /// What only the gateway's file sets, by key; secrets masked.
    pub(crate) settings: Vec<(String, String)>,
    /// Files of members between their dry run and their change.
    imports: Mutex<BTreeMap<String, Waiting>>,
}

/// Files made at once: each holds a thread and reads every farm; a cooperative's month end asks for a few, one after the other.
const FILES_MAX: usize = 2;
/// Open streams: a cooperative's staff with some pages each. Whoever comes later has a page that stands still.
const STREAMS_MAX: usize = 64;

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Console {
    /// A room on this counter.
    #[must_use]
    pub fn new(counter: Counter, watch: Clock, notice: Option<&'static str>) -> Self {
        Self {
            counter,
            watch,
            notice,
            texts: Texts::builtin(),
            printed: Printed::builtin()
                .expect("the files built in read; a test of this room proves it"),
            prices: BTreeMap::new(),
            sessions: Mutex::new(Sessions::default()),
            lockout: Mutex::new(Lockout::default()),
            codes_used: Mutex::new(BTreeMap::new()),
            files: Arc::new(Semaphore::new(FILES_MAX)),
            streams: Arc::new(Semaphore::new(STREAMS_MAX)),
            settings: Vec::new(),
            imports: Mutex::new(BTreeMap::new()),
        }
    }

    /// With what a part costs on each link, in millionths of the money's unit.
    #[must_use]
    pub fn with_prices(self, prices: BTreeMap<String, u64>) -> Self {
        Self { prices, ..self }
    }

    /// The same, showing what only the gateway's own settings say: rows of key and value, secrets masked.
    #[must_use]
    pub fn showing(self, settings: Vec<(String, String)>) -> Self {
        Self { settings, ..self }
    }
}
