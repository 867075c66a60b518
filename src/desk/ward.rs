//! One ward's state: its air and what its finished runs teach; under the empty name the whole cooperative's.
//!
//! `apply` is the only way it changes. It computes nothing but sums, products and roots, which come out the same on every machine. This room does not
//! know who lives in the ward.

use crate::biology::lesson::Lesson;
use crate::biology::lessons::{Lessons, Whose};
use crate::biology::pooling::Priors;
use crate::biology::prior::MODEL_VERSION;
use crate::biology::tables::Parameters;
use crate::desk::forecast::parameters;
use crate::domain::event::{DayTemperature, ModelBytes, Prior, WardEvent};
use crate::domain::rules::Rules;
use crate::units::Celsius;
use serde::{Deserialize, Serialize};

/// Days of air kept: a run's six weeks and a margin for those recorded late.
pub const AIR_MAX: usize = 90;
/// What the lessons before count for when one more comes: the last fifty runs or so speak.
const KEEPS: f32 = 0.98;

/// A ward.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ward {
    /// Mean lowest and highest air of each month, January first; twelve rows, or none where it is not known.
    pub climate: Vec<(Celsius, Celsius)>,
    /// Readings, by day, oldest first.
    pub air: Vec<DayTemperature>,
    /// Sums over finished runs.
    pub lessons: ModelBytes,
}

impl Ward {
    /// What the event makes of the ward.
    pub fn apply(&mut self, event: &WardEvent) {
        match event {
            WardEvent::ClimateSet(climate) => self.climate.clone_from(climate),
            WardEvent::Air(reading) => self.read(*reading),
            WardEvent::Recounted(lessons) => self.lessons = lessons.clone(),
            WardEvent::Taught(lesson) => {
                let Some(lesson) = lesson_of(lesson) else {
                    return; // Of another version of the model: counted anew at night.
                };
                let mut sum = sum_of(&self.lessons).unwrap_or_default();
                add(&mut sum, &lesson);
                self.lessons = kept(&sum);
            }
        }
    }

    fn read(&mut self, reading: DayTemperature) {
        let at = self.air.partition_point(|known| known.day < reading.day);
        match self
            .air
            .get_mut(at)
            .filter(|known| known.day == reading.day)
        {
            Some(known) => *known = reading,
            None => self.air.insert(at, reading),
        }
        if self.air.len() > AIR_MAX {
            self.air.remove(0);
        }
    }
}

/// Adds a lesson to a ward's sum.
pub fn add(sum: &mut Lessons, lesson: &Lesson) {
    // With the table's spreads: a cooperative's own are not known here, and a sum must not change when they do.
    sum.add(lesson, Whose::Group, KEEPS, &Parameters::default());
}

/// Adds a lesson to a sum that is counted anew: all count the same, whatever their order.
pub fn count(sum: &mut Lessons, lesson: &Lesson) {
    sum.add(lesson, Whose::Group, 1.0, &Parameters::default());
}

/// A sum counted anew, weighing no more than one that grew run by run.
#[must_use]
pub fn counted(mut sum: Lessons) -> Lessons {
    sum.weigh_at_most(1.0 / (1.0 - KEEPS));
    sum
}

/// A sum of lessons as it is kept.
#[must_use]
pub fn kept(sum: &Lessons) -> ModelBytes {
    ModelBytes {
        model: MODEL_VERSION,
        through: sum.runs() as u16,
        bytes: postcard::to_stdvec(sum).unwrap_or_default(),
    }
}

/// The sum that [`kept`] wrote under this version of the model.
#[must_use]
pub fn sum_of(kept: &ModelBytes) -> Option<Lessons> {
    let current = kept.model == MODEL_VERSION;
    current.then(|| postcard::from_bytes(&kept.bytes).ok())?
}

/// A lesson as an event carries it, where this version of the model wrote it.
#[must_use]
pub fn lesson_of(kept: &ModelBytes) -> Option<Lesson> {
    let current = kept.model == MODEL_VERSION;
    current.then(|| Lesson::from_bytes(&kept.bytes))?
}

/// Puts what holds in a ward into the rules: its own climate and air before the cooperative's, and the priors that its finished runs make of the
/// cooperative's, those of the table.
pub fn hold(rules: &mut Rules, whole: &Ward, home: Option<&Ward>) {
    let climates = home.into_iter().chain([whole]);
    if let Some(ward) = climates.into_iter().find(|ward| !ward.climate.is_empty()) {
        rules.climate.clone_from(&ward.climate);
    }
    let mut air = whole.air.clone();
    for reading in home.iter().flat_map(|ward| &ward.air) {
        air.retain(|known| known.day != reading.day);
        air.push(*reading);
    }
    air.sort_by_key(|reading| reading.day);
    rules.ward.air = air;
    let sums = [Some(whole), home].into_iter().flatten();
    let sums: Vec<Lessons> = sums
        .filter_map(|ward| sum_of(&ward.lessons).filter(|sum| sum.runs() > 0.0))
        .collect();
    if sums.is_empty() {
        return;
    }
    let parameters = parameters(rules);
    let table = Priors::of_the_table(&parameters);
    let priors = sums.iter().fold(table, |base, sum| {
        sum.priors(&base, Whose::Group, &parameters)
    });
    let carried = |prior: &crate::biology::prior::Prior| Prior {
        model: MODEL_VERSION,
        numbers: prior.numbers(),
    };
    rules.ward.priors = Some((carried(&priors.one_age), carried(&priors.mixed)));
}
