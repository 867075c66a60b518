//! The cooperative's room in the browser: who needs help today, what eggs are coming, what is owed to the record.
//!
//! Every page is one row of the route table, which names who may open it; every page is made on the server by a pure function from a view. It
//! speaks to the counter and decides nothing about eggs. It does not know networks or how a message is read.

pub mod answer;
pub mod audit;
pub mod book;
pub mod chart;
pub mod climate;
pub mod entrance;
pub mod entry;
pub mod farm;
pub mod farms;
pub mod fields;
pub mod frame;
pub mod lockout;
pub mod member;
pub mod member_changes;
pub mod members;
pub mod members_import;
pub mod password;
pub mod routes;
pub mod sessions;
pub mod settings;
pub mod settings_fields;
pub mod shown;
pub mod signing;
pub mod supply;
pub mod teach;
pub mod today;
pub mod totp;
pub mod upload;
pub mod visit;
pub mod wards;
pub mod words;

use crate::clock::Clock;
use crate::console::lockout::Lockout;
use crate::console::members_import::Waiting;
use crate::console::sessions::Sessions;
use crate::console::words::Texts;
use crate::counter::Counter;
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Everything that the pages share.
pub struct Console {
    pub(crate) counter: Counter,
    /// What sessions, waits and codes go by; the counter's own clock may be moved or stand still in the demo.
    watch: Clock,
    /// Shown at the top of every page, such as that everything is invented.
    pub(crate) notice: Option<&'static str>,
    pub(crate) texts: Texts,
    sessions: Mutex<Sessions>,
    lockout: Mutex<Lockout>,
    /// The last step of the second factor that each user has used: a code counts once.
    codes_used: Mutex<BTreeMap<String, i64>>,
    /// What only the gateway's file sets, by key; secrets masked.
    pub(crate) settings: Vec<(String, String)>,
    /// Files of members between their dry run and their change.
    files: Mutex<BTreeMap<String, Waiting>>,
}

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
            sessions: Mutex::new(Sessions::default()),
            lockout: Mutex::new(Lockout::default()),
            codes_used: Mutex::new(BTreeMap::new()),
            settings: Vec::new(),
            files: Mutex::new(BTreeMap::new()),
        }
    }

    /// The same, showing what only the gateway's own settings say: rows of key and value, secrets masked.
    #[must_use]
    pub fn showing(self, settings: Vec<(String, String)>) -> Self {
        Self { settings, ..self }
    }
}
