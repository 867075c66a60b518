//! What a session takes as limits and says as events.
//!
//! Values only.

use crate::links::smpp::pdu::ShortMessage;
use crate::links::smpp::tlv::Tlv;
use chrono::{DateTime, TimeDelta, Utc};

/// How patient a session is and how much it does at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Texts that wait for their answer.
    pub window: usize,
    /// Texts of the peer's that wait for ours; more are refused for now.
    pub taking: usize,
    /// Silence after which the peer is asked whether it is there.
    pub enquire_after: TimeDelta,
    /// How long an answer is waited for.
    pub answer_wait: TimeDelta,
    /// How long the bind's answer is waited for.
    pub bind_wait: TimeDelta,
}

/// Where a session stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// The bind is out.
    Binding,
    /// Texts may pass.
    Bound,
    /// No new texts; those on their way are waited for until then.
    Ending {
        /// At the latest.
        until: DateTime<Utc>,
        /// Our unbind is still to be sent; otherwise the peer took leave, or was told.
        unbind: bool,
        /// How it will have ended.
        how: Ended,
    },
    /// Nothing more will come of it.
    Closed,
}

/// Why a session is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The bind was refused.
    Refused(u32),
    /// The bind was not answered.
    NoBind,
    /// The peer took leave.
    ByPeer,
    /// We did.
    ByUs,
    /// The peer is silent.
    Silent,
    /// The stream cannot be read any more.
    OutOfStep,
    /// The connection broke.
    Lost,
}

/// Which answer a message of the peer's wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wants {
    /// `deliver_sm_resp`.
    DeliverResp,
    /// `data_sm_resp`.
    DataResp,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// The peer took the bind; its own name, empty where it gave none.
    Bound(String),
    /// A text of ours was answered.
    Answered {
        /// As given to `Session::submit`.
        token: u64,
        /// Its status.
        status: u32,
        /// The network's id; empty with an error.
        id: String,
    },
    /// The answer to a text of ours did not come in time: the network may have it. A late one is still said as [`Event::Answered`].
    Unknown {
        /// As given to `Session::submit`.
        token: u64,
        /// What happened.
        why: &'static str,
    },
    /// A message of the peer's. To be answered by `Session::answer` once it is kept.
    Came {
        /// Whose answer.
        sequence: u32,
        /// Which answer.
        wants: Wants,
        /// The message; a `data_sm` in the same form.
        message: Box<ShortMessage>,
        /// Its parameters.
        tlvs: Vec<Tlv>,
        /// The whole frame, where its end could not be read: to be kept raw.
        flawed: Option<Vec<u8>>,
    },
    /// A frame that cannot be read, to be kept raw; then the answer, where one is wanted.
    Unread {
        /// The octets.
        frame: Vec<u8>,
        /// What is wrong with them.
        why: String,
        /// Sequence and kind of the answer that is owed.
        owed: Option<(u32, Wants)>,
    },
    /// It is over. Nothing follows.
    Ended(Ended),
}
