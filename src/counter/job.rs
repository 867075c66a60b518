//! What the writer is asked to do: one entry of its queue.
//!
//! Shapes only; `writer` does the work.

use crate::counter::Done;
use crate::counter::acks::{Ack, Answer};
use crate::counter::answers::{CounterError, OfficeAnswer, OfficeError, OfficeRequest};
use crate::counter::rounds::{Reach, Turn};
use crate::counter::ussd::WaitingStep;
use crate::counter::wording::Heard;
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::user::{Deed, Login};
use crate::store::draft::Draft;
use crate::store::outbox::{Abandoned, OutboxId, OutboxRow, Settled};
use crate::store::wakeups::Wakeup;
use crate::store::{Store, StoreError};
use chrono::{DateTime, Utc};

/// One thing to do.
pub(crate) enum Job {
    /// A message.
    Message(Box<Waiting>),
    /// A step of a USSD session.
    Ussd(Box<WaitingStep>),
    /// An operator's command.
    Office(
        Box<OfficeRequest>,
        Option<Box<(Login, Deed)>>,
        Answer<Result<OfficeAnswer, OfficeError>>,
    ),
    /// The next farms of a round.
    Round(Option<Wakeup>, Reach, Answer<Result<Turn, CounterError>>),
    /// Rows to send.
    Lease(
        LinkName,
        String,
        usize,
        Abandoned,
        Answer<Result<Vec<OutboxRow>, CounterError>>,
    ),
    /// How a row ended.
    Settle(OutboxId, Settled, Answer<Result<(), CounterError>>),
    /// Another change of the outbox.
    Amend(Amend),
    /// Nothing: answers when everything before it is on disk.
    Barrier(Answer<Result<(), CounterError>>),
    /// To be run on the store when everything before it is on disk, before anything after it.
    Hold(Box<dyn FnOnce(&Store) + Send>),
    /// The last job.
    Stop,
}

/// A message that waits for the writer.
pub(crate) struct Waiting {
    pub(crate) coop: CoopId,
    pub(crate) inbound: Inbound,
    pub(crate) heard: Heard,
    pub(crate) done: Done,
}

/// A change of the draft at a moment, or the word that the batch is spoilt; what it answers waits for the flush.
pub(crate) type Amend = Box<
    dyn FnOnce(Result<(&mut Draft<'_>, DateTime<Utc>), &StoreError>) -> Result<Ack, StoreError>
        + Send,
>;
