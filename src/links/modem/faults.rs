//! What `+CMS ERROR` and `+CME ERROR` say, and what each means for a text that met it.
//!
//! Numbers stay numbers. Does not know commands.

use crate::links::sending::Meaning;

/// Why a command failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// `+CMS ERROR` of the message service (TS 27.005 clause 3.2.5).
    Cms(u16),
    /// `+CME ERROR` of the modem (TS 27.007 clause 9.2).
    Cme(u16),
    /// The same in words, where the modem does not keep to numbers.
    Words,
    /// `ERROR`.
    Plain,
}

/// What is to become of a text that met a fault after the modem had it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sorted {
    /// It did not go out.
    Known(Meaning),
    /// It may have gone out.
    Unknown,
}

impl Fault {
    /// From what follows `+CMS ERROR:`.
    #[must_use]
    pub fn cms(text: &str) -> Self {
        text.parse().map_or(Self::Words, Self::Cms)
    }

    /// From what follows `+CME ERROR:`. Some modems write their words for a missing or locked SIM whatever they are told.
    #[must_use]
    pub fn cme(text: &str) -> Self {
        let word = match text.to_ascii_lowercase().as_str() {
            "sim not inserted" => 10,
            "sim pin required" => 11,
            "sim puk required" => 12,
            "sim failure" => 13,
            "sim busy" => 14,
            "sim wrong" => 15,
            "incorrect password" => 16,
            _ => return text.parse().map_or(Self::Words, Self::Cme),
        };
        Self::Cme(word)
    }

    /// What it means for a text. A fault that is not listed leaves it open whether the text went out: it is not sent again by itself.
    #[must_use]
    pub const fn sorted(&self) -> Sorted {
        match self {
            // No credit with the number, barred, unknown receiver, refused by a centre: the same again would meet the same.
            Self::Cms(1 | 8 | 10 | 28 | 29 | 30 | 50 | 69 | 195 | 196 | 303 | 304 | 305) => {
                Sorted::Known(Meaning::Refused)
            }
            // Congestion and full queues.
            Self::Cms(22 | 42 | 47 | 192) => Sorted::Known(Meaning::SlowDown),
            // Faults that pass (21 is also what some networks say where the credit is used up), and those of the SIM or the modem: nothing left it.
            Self::Cms(21 | 27 | 38 | 41 | 301 | 302 | 310..=318 | 320..=322 | 330 | 331)
            | Self::Cme(3..=18 | 30) => Sorted::Known(Meaning::TryAgain),
            Self::Cms(_) | Self::Cme(_) | Self::Words | Self::Plain => Sorted::Unknown,
        }
    }

    /// Only a person can help, such as with a SIM that is not there.
    #[must_use]
    pub const fn is_alarm(&self) -> bool {
        matches!(
            self,
            Self::Cms(310..=313 | 316 | 320 | 322 | 330) | Self::Cme(10..=13 | 15)
        )
    }

    /// The SIM is gone, locked or broken: the session must begin anew.
    #[must_use]
    pub const fn is_of_sim(&self) -> bool {
        matches!(self, Self::Cms(310..=313 | 316) | Self::Cme(10..=13 | 15))
    }

    /// It may work in a moment.
    #[must_use]
    pub const fn is_busy(&self) -> bool {
        matches!(self, Self::Cms(301 | 314) | Self::Cme(14))
    }

    /// For people: a word where it has one, the number always.
    #[must_use]
    pub fn said(&self) -> String {
        let word = match self {
            Self::Cms(1) => "number not assigned",
            Self::Cms(8) => "barred by the operator",
            Self::Cms(10) => "barred",
            Self::Cms(21) => "rejected",
            Self::Cms(22 | 42) => "congestion",
            Self::Cms(27) => "receiver out of service",
            Self::Cms(28 | 30) => "receiver unknown",
            Self::Cms(29) => "facility rejected",
            Self::Cms(38) => "network out of order",
            Self::Cms(41) => "temporary failure",
            Self::Cms(47) => "no resources",
            Self::Cms(50) => "not subscribed",
            Self::Cms(300) => "the modem failed",
            Self::Cms(301) => "message service busy",
            Self::Cms(302) => "not allowed now",
            Self::Cms(303) => "not supported",
            Self::Cms(304) => "the modem refuses the message's form",
            Self::Cms(310) | Self::Cme(10) => "no SIM",
            Self::Cms(311) | Self::Cme(11) => "the SIM wants its PIN",
            Self::Cms(313) | Self::Cme(13) => "the SIM fails",
            Self::Cms(314) | Self::Cme(14) => "the SIM is busy",
            Self::Cms(316) | Self::Cme(12) => "the SIM wants its PUK",
            Self::Cms(320) => "message memory fails",
            Self::Cms(321) => "no message in that place",
            Self::Cms(322) => "message memory full",
            Self::Cms(330) => "no service centre number on the SIM",
            Self::Cms(331) | Self::Cme(30) => "no network",
            Self::Cms(332) => "the network did not answer",
            Self::Cms(500) => "unknown error",
            Self::Cme(15) => "wrong SIM",
            Self::Cme(16) => "wrong PIN",
            Self::Cms(_) | Self::Cme(_) | Self::Words | Self::Plain => "error",
        };
        match self {
            Self::Cms(code) => format!("{word} (CMS {code})"),
            Self::Cme(code) => format!("{word} (CME {code})"),
            Self::Words => format!("{word} in words"),
            Self::Plain => word.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Codes by three makers' manuals; 38, 41, 42, 47 and below 128 by TS 24.011, 192 and on by TS 23.040 (from memory). Which of them are worth
    /// another try is common practice, no source.
    #[test]
    fn faults_are_sorted_by_what_can_be_done() {
        let known = |codes: &[u16], meaning| {
            for code in codes {
                assert_eq!(Fault::Cms(*code).sorted(), Sorted::Known(meaning), "{code}");
            }
        };
        known(&[1, 8, 10, 28, 30, 304], Meaning::Refused);
        known(&[22, 42, 47], Meaning::SlowDown);
        let again = [21, 38, 41, 301, 314, 331, 310, 311, 313, 320, 322, 330];
        known(&again, Meaning::TryAgain);
        for code in [332, 500, 512, 255] {
            assert_eq!(Fault::Cms(code).sorted(), Sorted::Unknown, "{code}");
        }
        assert_eq!(Fault::Plain.sorted(), Sorted::Unknown);
        for code in [310, 311, 313, 320, 322, 330] {
            assert!(Fault::Cms(code).is_alarm(), "{code}");
        }
        assert_eq!(Fault::cme("SIM PUK required"), Fault::Cme(12));
        assert_eq!(
            Fault::cms("332").said(),
            "the network did not answer (CMS 332)"
        );
    }
}
