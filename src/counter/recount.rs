//! What wards know of their finished cages, counted anew from the farms: lessons taken back, members moved, sums of an older model.
//!
//! Runs at night on the caller's thread, one farm after the other; the writer only takes the sums. A run that ends meanwhile is counted the
//! next night. This room does not know what a lesson says.

use crate::biology::lessons::Lessons;
use crate::counter::Counter;
use crate::counter::answers::{CounterError, OfficeError, OfficeRequest};
use crate::counter::people;
use crate::desk::ward;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use std::collections::BTreeMap;

impl Counter {
    /// Counts the lessons of a cooperative's farms anew; how many.
    ///
    /// # Errors
    /// When the store fails.
    pub fn recount(&self, coop: CoopId) -> Result<usize, OfficeError> {
        let failed = |error| OfficeError::Counter(CounterError::from(error));
        let store = &self.0.store;
        // Every ward, so that one whose lessons are gone is told so.
        let wards = self.rules(coop).map_err(OfficeError::Counter)?.wards;
        let wards = wards.into_iter().chain([String::new()]);
        let mut sums: BTreeMap<String, Lessons> =
            wards.map(|name| (name, Lessons::default())).collect();
        let mut counted = 0;
        for no in store.farms(coop).map_err(failed)? {
            let stream = store.load(coop, &StreamId::Farm(no)).map_err(failed)?;
            let farm = people::farm(&stream).map_err(failed)?;
            if farm.lessons.is_empty() {
                continue;
            }
            let stream = store.load(coop, &StreamId::Member(no)).map_err(failed)?;
            let home = people::member(&stream).map_err(failed)?.ward.clone();
            let kept = farm.lessons.iter();
            for lesson in kept.filter_map(|kept| ward::lesson_of(&kept.lesson)) {
                counted += 1;
                let home = home.clone().filter(|name| !name.is_empty());
                for name in home.into_iter().chain([String::new()]) {
                    ward::count(sums.entry(name).or_default(), &lesson);
                }
            }
        }
        let lessons = sums.into_iter();
        let lessons = lessons.map(|(name, sum)| (name, ward::kept(&ward::counted(sum))));
        let request = OfficeRequest::Recount {
            coop,
            lessons: lessons.collect(),
        };
        self.office(request).map(|_| counted)
    }
}
