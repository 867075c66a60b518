//! Messages judged one after the other without keeping anything: what each would be answered.
//!
//! Runs between two batches, so that it sees one moment. This room does not know why somebody wants to know.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::bench::Bench;
use crate::counter::judge::{self, Verdict};
use crate::counter::moments::accept_sent_at;
use crate::domain::message::{CoopId, Inbound, Receipt};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Messages judged at once: some 50 ms in which others wait.
const REHEARSED_MAX: usize = 60;

impl Counter {
    /// What these messages would be answered, each on top of the ones before it; nothing is kept, nobody is told.
    ///
    /// # Errors
    /// When the store fails.
    pub fn rehearse(
        &self,
        coop: CoopId,
        inbounds: Vec<Inbound>,
    ) -> Result<Vec<Receipt>, CounterError> {
        let settings = self.0.settings.clone();
        let wording = Arc::clone(&self.0.wording);
        let now = self.0.clock.now();
        self.between_batches(move |store| {
            let mut draft = store.draft();
            let mut bench = Bench {
                settings: &settings,
                wording: &wording,
                by_menu: false,
                now,
                free: &mut BTreeMap::new(),
            };
            let mut receipts = Vec::with_capacity(inbounds.len());
            for mut inbound in inbounds.into_iter().take(REHEARSED_MAX) {
                accept_sent_at(&mut inbound, &settings, now);
                let reading = wording.read_in(&mut draft, coop, &inbound.text)?;
                let verdict = judge::judge(&mut bench, &mut draft, coop, inbound, &reading)?;
                receipts.push(match verdict {
                    Verdict::Again(receipt) => receipt,
                    Verdict::New(judged) => judge::write(&mut bench, &mut draft, *judged)?,
                });
            }
            Ok(receipts)
        })
    }
}
