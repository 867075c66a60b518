//! The commands that a session sends (3GPP TS 27.005 and TS 27.007), and how long each is waited for.
//!
//! Does not know what an answer leads to.

use crate::links::modem::outgoing::Piece;
use crate::links::modem::pin::Pin;
use crate::links::modem::session::event::Place;
use chrono::TimeDelta;

/// Ways to be told of new messages, the best first: texts stored and told of; reports told at once, or stored, or not at all. Not every modem has
/// every one (TS 27.005 clause 3.4.1).
pub(super) const INDICATIONS: [&str; 5] = [
    "2,1,0,1,0",
    "2,1,0,2,0",
    "1,1,0,1,0",
    "2,1,0,0,0",
    "1,1,0,0,0",
];

/// One command.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Command {
    EchoOff,
    NumericErrors,
    PinState,
    PinTries,
    EnterPin(Pin),
    Registration,
    /// The same of the fourth generation.
    PacketRegistration,
    Signal,
    Centre,
    PduMode,
    /// No acknowledgement from us to the network: it is told once a message is stored.
    Service,
    /// All memories at once.
    Storage,
    /// Only the memory that is read: for modems that refuse the other.
    StorageRead,
    /// Of [`INDICATIONS`].
    Indications(usize),
    /// The memory to list and delete from.
    Select(String),
    List(String),
    Delete(Place),
    /// The radio link stays for another message (TS 27.005 clause 3.5.6).
    MoreMessages,
    Submit(u64, Piece),
}

impl Command {
    /// Its line, without its end. A submission has several: this is the first.
    pub(super) fn text(&self, storage: &str) -> String {
        match self {
            Self::EchoOff => "ATE0".to_owned(),
            Self::NumericErrors => "AT+CMEE=1".to_owned(),
            Self::PinState => "AT+CPIN?".to_owned(),
            // Clause 8.65, from memory.
            Self::PinTries => "AT+CPINR=\"SIM PIN\"".to_owned(),
            Self::EnterPin(pin) => format!("AT+CPIN=\"{}\"", pin.digits()),
            Self::Registration => "AT+CREG?".to_owned(),
            Self::PacketRegistration => "AT+CEREG?".to_owned(),
            Self::Signal => "AT+CSQ".to_owned(),
            Self::Centre => "AT+CSCA?".to_owned(),
            // A modem in text mode would take a length for a number: asked for before each text.
            Self::PduMode | Self::Submit(..) => "AT+CMGF=0".to_owned(),
            Self::Service => "AT+CSMS=0".to_owned(),
            Self::Storage => format!("AT+CPMS=\"{storage}\",\"{storage}\",\"{storage}\""),
            Self::StorageRead => format!("AT+CPMS=\"{storage}\""),
            Self::Indications(which) => {
                let values = INDICATIONS.get(*which).copied().unwrap_or_default();
                format!("AT+CNMI={values}")
            }
            Self::Select(memory) => format!("AT+CPMS=\"{memory}\""),
            Self::List(_) => "AT+CMGL=4".to_owned(),
            Self::Delete(place) => format!("AT+CMGD={}", place.index),
            Self::MoreMessages => "AT+CMMS=1".to_owned(),
        }
    }

    /// Its name for people: no PIN in it.
    pub(super) fn name(&self, storage: &str) -> String {
        match self {
            Self::EnterPin(_) => "AT+CPIN".to_owned(),
            other => other.text(storage),
        }
    }

    /// The memory that must be selected before it.
    pub(super) fn memory(&self) -> Option<&str> {
        match self {
            Self::List(memory) => Some(memory),
            Self::Delete(place) => Some(&place.memory),
            _ => None,
        }
    }

    /// Longest time to its answer, or between two lines of one. Modems take seconds where the SIM or the network is asked (common practice, no
    /// source).
    pub(super) fn wait(&self) -> TimeDelta {
        TimeDelta::seconds(match self {
            Self::EnterPin(_) | Self::List(_) | Self::Delete(_) => 20,
            Self::Storage | Self::StorageRead | Self::Select(_) => 20,
            _ => 10,
        })
    }

    /// The session can go on where it is refused.
    pub(super) const fn is_optional(&self) -> bool {
        !matches!(
            self,
            Self::PinState | Self::EnterPin(_) | Self::PduMode | Self::StorageRead | Self::List(_)
        )
    }
}
