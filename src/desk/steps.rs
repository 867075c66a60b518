//! What each sender's last message changed, step by step, each with what was there before.
//!
//! Shapes only: `record` makes them, `undo` takes them back.

use crate::desk::delivery::DayDelivery;
use crate::desk::unit::{DayHarvest, DeadFlies, Displaced, Run};
use crate::domain::code::UnitCode;
use crate::domain::compact;
use crate::domain::event::DayTemperature;
use crate::domain::message::MessageNo;
use crate::domain::{CareJob, MemberNo, StockKind};
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Senders whose last message a farm remembers: the keeper, someone of the household, an officer or two.
pub const SENDERS_MAX: usize = 4;
/// The last recording message of one sender.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LastMessage {
    /// Sender.
    pub by: MemberNo,
    /// Message.
    pub message: MessageNo,
    /// When it was sent.
    #[serde(with = "compact::moment")]
    pub at: DateTime<Utc>,
    /// What it changed, in order.
    pub steps: Vec<Step>,
}

/// One change, with what was there before.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Step {
    /// A day's weight.
    Weight {
        /// Unit.
        unit: UnitCode,
        /// When the run began.
        #[serde(with = "compact::day")]
        stocked: FarmDay,
        /// Before.
        before: Option<DayHarvest>,
        /// After.
        after: DayHarvest,
    },
    /// A care job.
    Care {
        /// Unit.
        unit: UnitCode,
        /// Job.
        job: CareJob,
        /// Before.
        #[serde(with = "compact::day_or_none")]
        before: Option<FarmDay>,
        /// After.
        #[serde(with = "compact::day")]
        after: FarmDay,
    },
    /// Ants.
    Ants {
        /// Unit.
        unit: UnitCode,
        /// Before.
        #[serde(with = "compact::day_or_none")]
        before: Option<FarmDay>,
        /// After.
        #[serde(with = "compact::day")]
        after: FarmDay,
    },
    /// Dead flies.
    Dead {
        /// Unit.
        unit: UnitCode,
        /// Before.
        before: Option<DeadFlies>,
        /// After.
        after: DeadFlies,
    },
    /// Temperature.
    Temperature {
        /// Before.
        before: Option<DayTemperature>,
        /// After.
        after: DayTemperature,
    },
    /// A run began.
    Began {
        /// Unit.
        unit: UnitCode,
        /// When.
        #[serde(with = "compact::day")]
        stocked: FarmDay,
        /// With how much.
        amount: Stock,
        /// The unit did not exist before.
        new_unit: bool,
    },
    /// The stocking was corrected.
    Corrected {
        /// Unit.
        unit: UnitCode,
        /// When the run began.
        #[serde(with = "compact::day")]
        stocked: FarmDay,
        /// Before.
        before: Stock,
        /// After.
        after: Stock,
    },
    /// A run ended.
    Ended {
        /// Unit.
        unit: UnitCode,
        /// When.
        #[serde(with = "compact::day")]
        day: FarmDay,
        /// What that displaced.
        displaced: Box<Displaced>,
    },
    /// Eggs received.
    Delivery {
        /// Received then.
        grams: Grams,
        /// The day's row before.
        before: Option<DayDelivery>,
        /// After.
        after: DayDelivery,
    },
}

/// The amount of a stocking.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stock {
    /// How many pupae, where known.
    pub pupae: Option<Pupae>,
    /// By weight, where said so.
    pub weight: Option<Grams>,
    /// One age or mixed.
    pub kind: StockKind,
}

impl Stock {
    /// Of a run.
    #[must_use]
    pub fn of(run: &Run) -> Self {
        Self {
            pupae: run.pupae,
            weight: run.weight,
            kind: run.kind,
        }
    }

    pub(crate) fn put(self, run: &mut Run) {
        run.pupae = self.pupae;
        run.weight = self.weight;
        run.kind = self.kind;
        run.learned = None;
    }
}
