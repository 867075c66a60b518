//! Who moves the writer: a thread of its own, or whoever calls.
//!
//! A simulation needs every turn to happen when it says so, so it holds the writer itself. This room does not know what the writer does.

use crate::clock::Clock;
use crate::counter::answers::{CounterError, Counts};
use crate::counter::beside::Beside;
use crate::counter::flood::FloodGate;
use crate::counter::folder::Folder;
use crate::counter::job::Job;
use crate::counter::settings::Settings;
use crate::counter::wording::Wording;
use crate::counter::writer::Writer;
use crate::counter::{Counter, QUEUE_MOST, Shared, held};
use crate::store::memory::MemoryDisk;
use crate::store::{Sizes, Store};
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, sync_channel};
use std::sync::{Arc, Mutex, RwLock};
use std::thread::JoinHandle;

/// Whose hands the writer is in.
pub(crate) enum Hands {
    /// A thread's.
    Thread(JoinHandle<()>),
    /// The caller's.
    Called(Box<Writer>, Receiver<Job>),
    /// Nobody's: it has ended.
    Gone,
}

impl Counter {
    /// Opens a counter on a disk in memory, without a thread: the caller moves it with [`Counter::step`]; for simulations.
    ///
    /// # Errors
    /// What the store says.
    pub fn in_memory(
        disk: &MemoryDisk,
        settings: Settings,
        clock: Clock,
    ) -> Result<Self, CounterError> {
        let sizes = Sizes {
            cache_bytes: settings.cache_bytes,
            cached_streams: settings.cached_streams,
        };
        Self::on(Store::in_memory(disk, sizes)?, None, settings, clock)
    }

    pub(crate) fn on(
        store: Store,
        folder: Option<Folder>,
        settings: Settings,
        clock: Clock,
    ) -> Result<Self, CounterError> {
        let store = Arc::new(store);
        let (queue, jobs) = sync_channel(QUEUE_MOST);
        let counts = Arc::new(Mutex::new(Counts::default()));
        let wording = Wording::builtin();
        let beside = Arc::new(match &folder {
            Some(folder) => Beside::open(folder.dir(), &store)?,
            None => Beside::nowhere(),
        });
        let writer = Writer {
            store: Arc::clone(&store),
            settings: settings.clone(),
            clock: clock.clone(),
            wording: Arc::clone(&wording),
            counts: Arc::clone(&counts),
            beside: Arc::clone(&beside),
            free: BTreeMap::new(),
        };
        Ok(Self(Arc::new(Shared {
            store,
            queue,
            closed: RwLock::new(false),
            clock,
            settings,
            wording,
            flood: Mutex::new(FloodGate::default()),
            steps: Mutex::new(FloodGate::default()),
            counts,
            hands: Mutex::new(Hands::Called(Box::new(writer), jobs)),
            folder: Mutex::new(folder),
            beside,
        })))
    }

    /// Gives the writer a thread.
    pub(crate) fn with_thread(self) -> Result<Self, CounterError> {
        let mut hands = held(&self.0.hands);
        let taken = std::mem::replace(&mut *hands, Hands::Gone);
        if let Hands::Called(writer, jobs) = taken {
            let thread = std::thread::Builder::new()
                .name("writer".to_owned())
                .spawn(move || writer.run(&jobs))
                .map_err(|why| CounterError::Folder {
                    what: "starting the writer thread".to_owned(),
                    why: why.to_string(),
                })?;
            *hands = Hands::Thread(thread);
        }
        drop(hands);
        Ok(self)
    }

    /// One batch of what waits, where the writer is in the caller's hands. Whether anything waited.
    pub fn step(&self) -> bool {
        match &mut *held(&self.0.hands) {
            Hands::Called(writer, jobs) => writer.turn(jobs),
            Hands::Thread(_) | Hands::Gone => false,
        }
    }

    /// Works off everything that waits, where nobody else would.
    pub(crate) fn lend_hands(&self) {
        while self.step() {}
    }

    /// Waits until the writer has ended.
    pub(crate) fn rest_hands(&self) -> Result<(), CounterError> {
        self.lend_hands();
        let taken = std::mem::replace(&mut *held(&self.0.hands), Hands::Gone);
        match taken {
            Hands::Thread(thread) => thread.join().map_err(|_| CounterError::Folder {
                what: "waiting for the writer thread".to_owned(),
                why: "it had stopped early".to_owned(),
            }),
            Hands::Called(..) | Hands::Gone => Ok(()),
        }
    }
}
