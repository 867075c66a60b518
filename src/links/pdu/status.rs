//! The status octet of a report (3GPP TS 23.040 clause 9.2.3.15) and what it means for the message.
//!
//! Does not know which message it is about.

/// A status octet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Status(pub u8);

/// What a status means for the one who sent the message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It arrived, or was replaced by a newer one.
    Delivered,
    /// The service centre sent it on and will hear no more.
    Forwarded,
    /// Not yet; the service centre goes on trying.
    Trying,
    /// It will never arrive.
    Failed,
    /// The service centre stopped trying, for a reason that may pass.
    GivenUp,
}

impl Fate {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Delivered => "delivered",
            Self::Forwarded => "forwarded",
            Self::Trying => "trying",
            Self::Failed => "failed",
            Self::GivenUp => "given up",
        }
    }
}

impl Status {
    /// What it means. Reserved values, those below 0x80 too, are read as "service rejected", as the standard asks (from memory): an
    /// unknown word must not say that a text arrived.
    #[must_use]
    pub const fn fate(self) -> Fate {
        match self.0 {
            0x01 => Fate::Forwarded,
            0x00 | 0x02 | 0x10..=0x1F => Fate::Delivered,
            0x20..=0x25 | 0x30..=0x3F => Fate::Trying,
            0x40..=0x49 | 0x50..=0x5F => Fate::Failed,
            _ => Fate::GivenUp,
        }
    }

    /// The standard's words for it, shortened.
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self.0 {
            0x00 => "delivered",
            0x01 => "forwarded, delivery not confirmed",
            0x02 => "replaced by the service centre",
            0x20 | 0x60 => "congestion",
            0x21 | 0x61 => "phone busy",
            0x22 | 0x62 => "no answer from the phone",
            0x23 | 0x63 => "service rejected",
            0x24 | 0x44 | 0x64 => "quality of service not available",
            0x25 | 0x65 => "error in the phone",
            0x40 => "remote procedure error",
            0x41 => "incompatible destination",
            0x42 => "connection rejected by the phone",
            0x43 => "not obtainable",
            0x45 => "no interworking",
            0x46 => "validity period expired",
            0x47 => "deleted by the sender",
            0x48 => "deleted by the service centre",
            0x49 => "message does not exist",
            0x10..=0x1F | 0x30..=0x3F | 0x50..=0x5F | 0x70..=0x7F => "service centre specific",
            _ => "reserved",
        }
    }
}
