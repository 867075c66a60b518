//! Who moves the writer: a thread of its own, or whoever calls.
//!
//! A simulation needs every turn to happen when it says so, so it holds the writer itself. This room does not know what the writer does.

use crate::counter::answers::CounterError;
use crate::counter::writer::{Job, Writer};
use crate::counter::{Counter, held};
use std::sync::mpsc::Receiver;
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
