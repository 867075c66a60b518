//! What a session says, and what it is made of.

use crate::links::modem::faults::Fault;
use crate::links::modem::reply::Registration;

/// Where a message lies.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The memory, such as `SM`.
    pub memory: String,
    /// The place in it.
    pub index: u16,
}

/// How the modem hears its network.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Air {
    /// None: not known, or the modem does not say.
    pub registration: Option<Registration>,
    /// 0 to 31 (TS 27.007 clause 8.5); none: not known.
    pub signal: Option<u8>,
}

impl Air {
    /// Texts can be sent, or the modem does not say that they cannot.
    #[must_use]
    pub fn carries(self) -> bool {
        self.registration.is_none_or(Registration::is_registered)
    }
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// The SIM wants its PIN and says, where it can, how many tries are left. Nothing goes on before [`super::Session::enter_pin`].
    PinWanted {
        /// Tries that are left.
        left: Option<u8>,
    },
    /// The SIM is open.
    SimOpen,
    /// The modem is set up and its storage was listed once.
    Ready,
    /// Signal or registration changed.
    Air(Air),
    /// How full the storage is.
    Storage {
        /// Places taken.
        used: u16,
        /// All places.
        total: u16,
    },
    /// The modem says that it can take no more.
    StorageFull,
    /// A message in storage, with the service centre's address, in hexadecimal. It stays there until [`super::Session::release`] says it is kept.
    Stored {
        /// Where.
        place: Place,
        /// The message.
        hex: String,
    },
    /// A message that is stored nowhere.
    Direct {
        /// The message.
        hex: String,
    },
    /// A message whose length is not what was announced, again and again, or that will not be said again.
    Damaged {
        /// Where it lies; none: nowhere.
        place: Option<Place>,
        /// What was heard of it.
        hex: String,
    },
    /// The network took a text; perhaps after [`Event::Unknown`] of the same token, where the answer came late.
    Taken {
        /// Whose.
        token: u64,
        /// The modem's reference, where it said one.
        reference: Option<u8>,
    },
    /// A text met a fault and did not go out.
    Failed {
        /// Whose.
        token: u64,
        /// What was said.
        fault: Fault,
    },
    /// A text was not given to the modem after all.
    NotSent {
        /// Whose.
        token: u64,
        /// Why.
        why: &'static str,
    },
    /// Nobody knows whether a text went out.
    Unknown {
        /// Whose.
        token: u64,
        /// Why.
        why: String,
    },
    /// Something that a person should see; the session goes on.
    Trouble(String),
    /// The session is over.
    Ended(Ended),
}

/// How a session ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The port is gone.
    Lost,
    /// Nothing answers.
    Silent,
    /// The modem started anew.
    Restarted,
    /// The SIM wants a PIN that is not given, for this reason.
    PinWithheld(String),
    /// The SIM refused the PIN.
    PinRefused,
    /// The SIM wants its PUK.
    Puk,
    /// The SIM or the modem is locked in another way.
    Locked,
    /// The SIM is not there or fails.
    Sim(Fault),
    /// The modem does not do what is needed.
    Refused {
        /// The command.
        what: String,
        /// What it said.
        fault: Fault,
    },
}

impl Ended {
    /// Trying on changes nothing before a person does something.
    #[must_use]
    pub fn needs_person(&self) -> bool {
        match self {
            Self::PinWithheld(_) | Self::PinRefused | Self::Puk | Self::Locked => true,
            Self::Sim(fault) => fault.is_alarm(),
            Self::Lost | Self::Silent | Self::Restarted | Self::Refused { .. } => false,
        }
    }

    /// For people.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Lost => "the port was lost; is the modem plugged in?".to_owned(),
            Self::Silent => {
                "nothing answers on the port; is it the modem's, and the speed right?".to_owned()
            }
            Self::Restarted => "the modem started anew".to_owned(),
            Self::PinWithheld(why) => why.clone(),
            Self::PinRefused => {
                "the SIM refused the PIN; it is not tried again until another one is set".to_owned()
            }
            Self::Puk => {
                "the SIM wants its PUK; unlock it in a phone with the PUK from its card".to_owned()
            }
            Self::Locked => "the SIM or the modem is locked to another network or phone".to_owned(),
            Self::Sim(fault) => fault.said(),
            Self::Refused { what, fault } => format!("{what} was refused: {}", fault.said()),
        }
    }
}
