//! The data coding scheme (3GPP TS 23.038 clause 4): alphabet, message class, compression, waiting indication.
//!
//! Keeps the octet; does not decode text.

use crate::links::parts::Alphabet;

/// A data coding scheme octet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Dcs(pub u8);

/// What the high bits select.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// 00xx: general data coding.
    General,
    /// 01xx: the same, and the phone may delete it after reading.
    AutomaticDeletion,
    /// 1000 to 1011.
    Reserved,
    /// 1100: message waiting, text to be discarded.
    WaitingDiscard,
    /// 1101: message waiting, text in GSM-7 to be stored.
    WaitingStore,
    /// 1110: message waiting, text in UCS-2 to be stored.
    WaitingStoreUcs2,
    /// 1111: data coding and message class.
    Class,
}

impl Dcs {
    /// GSM 7-bit without class.
    pub const GSM7: Self = Self(0x00);
    /// 8-bit data without class.
    pub const OCTETS: Self = Self(0x04);
    /// UCS-2 without class.
    pub const UCS2: Self = Self(0x08);

    /// The general scheme of an alphabet, with a message class (0 shows at once and is not kept) or without.
    #[must_use]
    pub const fn of(alphabet: Alphabet, class: Option<u8>) -> Self {
        let plain = match alphabet {
            Alphabet::Gsm7 => Self::GSM7.0,
            Alphabet::Octets => Self::OCTETS.0,
            Alphabet::Ucs2 => Self::UCS2.0,
        };
        match class {
            Some(class) => Self(plain | 0x10 | class & 0b11),
            None => Self(plain),
        }
    }

    /// What the high bits select.
    #[must_use]
    pub const fn group(self) -> Group {
        match self.0 >> 4 {
            0b0000..=0b0011 => Group::General,
            0b0100..=0b0111 => Group::AutomaticDeletion,
            0b1000..=0b1011 => Group::Reserved,
            0b1100 => Group::WaitingDiscard,
            0b1101 => Group::WaitingStore,
            0b1110 => Group::WaitingStoreUcs2,
            _ => Group::Class,
        }
    }

    /// The alphabet; reserved codings are GSM-7, as the standard asks of a receiver.
    #[must_use]
    pub const fn alphabet(self) -> Alphabet {
        match (self.group(), self.0 >> 2 & 0b11) {
            (Group::General | Group::AutomaticDeletion, 0b01) => Alphabet::Octets,
            (Group::General | Group::AutomaticDeletion, 0b10) | (Group::WaitingStoreUcs2, _) => {
                Alphabet::Ucs2
            }
            (Group::Class, bits) if bits & 0b01 != 0 => Alphabet::Octets,
            _ => Alphabet::Gsm7,
        }
    }

    /// The coding is one that the standard keeps for later.
    #[must_use]
    pub const fn is_reserved(self) -> bool {
        match self.group() {
            Group::Reserved => true,
            Group::General | Group::AutomaticDeletion => self.0 >> 2 & 0b11 == 0b11,
            Group::Class => self.0 & 0x08 != 0,
            _ => false,
        }
    }

    /// The text is compressed (3GPP TS 23.042), which this codec does not undo.
    #[must_use]
    pub const fn is_compressed(self) -> bool {
        matches!(self.group(), Group::General | Group::AutomaticDeletion) && self.0 & 0x20 != 0
    }

    /// Message class 0 to 3, where there is one: 0 shows at once, 1 is the phone's, 2 the SIM's, 3 another device's.
    #[must_use]
    pub const fn class(self) -> Option<u8> {
        match self.group() {
            Group::General | Group::AutomaticDeletion if self.0 & 0x10 != 0 => Some(self.0 & 0b11),
            Group::Class => Some(self.0 & 0b11),
            _ => None,
        }
    }

    /// Message waiting: whether messages wait, and of which kind.
    #[must_use]
    pub const fn waiting(self) -> Option<(bool, &'static str)> {
        let kind = match self.0 & 0b11 {
            0 => "voicemail",
            1 => "fax",
            2 => "email",
            _ => "other",
        };
        match self.group() {
            Group::WaitingDiscard | Group::WaitingStore | Group::WaitingStoreUcs2 => {
                Some((self.0 & 0x08 != 0, kind))
            }
            _ => None,
        }
    }
}
