//! How long the service centre tries to deliver (3GPP TS 23.040 clause 9.2.3.12): absent, relative, enhanced or absolute.
//!
//! Does not know when the period begins; that is when the service centre takes the message.

use crate::links::pdu::PduError;
use crate::links::pdu::reader::Reader;
use crate::links::pdu::stamp::Stamp;
use crate::links::pdu::stamp::swapped;
use chrono::TimeDelta;

/// A validity period as sent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Validity {
    /// None: the service centre's own.
    #[default]
    Absent,
    /// One octet on a scale that grows coarser.
    Relative(u8),
    /// Seven octets of which the first says how the others count.
    Enhanced([u8; 7]),
    /// Until a moment.
    Absolute(Stamp),
}

/// The steps of the relative scale: up to this octet, octet minus `from` plus one times `minutes`, beyond `base` minutes.
struct Step {
    last: u8,
    from: i64,
    minutes: i64,
    base: i64,
}

const HOUR: i64 = 60;
const DAY: i64 = 24 * HOUR;

/// (v+1) x 5 min to 143; 12 h + (v-143) x 30 min to 167; (v-166) days to 196; (v-192) weeks to 255.
const STEPS: [Step; 4] = [
    Step {
        last: 143,
        from: -1,
        minutes: 5,
        base: 0,
    },
    Step {
        last: 167,
        from: 143,
        minutes: 30,
        base: 12 * HOUR,
    },
    Step {
        last: 196,
        from: 166,
        minutes: DAY,
        base: 0,
    },
    Step {
        last: 255,
        from: 192,
        minutes: 7 * DAY,
        base: 0,
    },
];

/// The period of a relative octet.
#[must_use]
pub fn relative(octet: u8) -> TimeDelta {
    let step = STEPS.iter().find(|step| octet <= step.last);
    let minutes = step.map_or(0, |step| {
        step.base + (i64::from(octet) - step.from) * step.minutes
    });
    TimeDelta::minutes(minutes)
}

impl Validity {
    /// The shortest relative period that is not below `period`; 63 weeks at most.
    #[must_use]
    pub fn at_least(period: TimeDelta) -> Self {
        Self::Relative(
            (0..=u8::MAX)
                .find(|octet| relative(*octet) >= period)
                .unwrap_or(u8::MAX),
        )
    }

    /// A period to the second in the enhanced format, as seconds to 255 and else as hours, minutes and seconds (clause 9.2.3.12.3).
    /// `None` beyond 99:59:59.
    #[must_use]
    pub fn enhanced(period: TimeDelta, single_shot: bool) -> Option<Self> {
        let shot = if single_shot { 0x40 } else { 0 };
        let whole = u32::try_from(period.num_seconds()).ok()?;
        if let Ok(seconds) = u8::try_from(whole) {
            return Some(Self::Enhanced([shot | 0b010, seconds, 0, 0, 0, 0, 0]));
        }
        let (hours, minutes, seconds) = (whole / 3600, whole / 60 % 60, whole % 60);
        let [hours, minutes, seconds] =
            (hours < 100).then(|| [hours, minutes, seconds].map(swapped))?;
        Some(Self::Enhanced([
            shot | 0b011,
            hours,
            minutes,
            seconds,
            0,
            0,
            0,
        ]))
    }

    /// The two format bits (bits 4 and 3 of the first octet).
    #[must_use]
    pub const fn format_bits(self) -> u8 {
        match self {
            Self::Absent => 0,
            Self::Enhanced(_) => 0b0_1000,
            Self::Relative(_) => 0b1_0000,
            Self::Absolute(_) => 0b1_1000,
        }
    }

    /// Reads the period that the first octet announces.
    ///
    /// # Errors
    /// The octets end.
    pub fn read(first: u8, reader: &mut Reader<'_>) -> Result<Self, PduError> {
        const FIELD: &str = "validity period";
        Ok(match first & 0b1_1000 {
            0 => Self::Absent,
            0b0_1000 => Self::Enhanced(reader.array(FIELD)?),
            0b1_0000 => Self::Relative(reader.octet(FIELD)?),
            _ => Self::Absolute(Stamp(reader.array(FIELD)?)),
        })
    }

    /// Its octets.
    #[must_use]
    pub fn octets(&self) -> &[u8] {
        match self {
            Self::Absent => &[],
            Self::Relative(octet) => std::slice::from_ref(octet),
            Self::Enhanced(octets) => octets,
            Self::Absolute(stamp) => &stamp.0,
        }
    }

    /// The period, where it is one and is counted in a way that the standard defines (clause 9.2.3.12.3).
    #[must_use]
    pub fn period(&self) -> Option<TimeDelta> {
        match self {
            Self::Absent | Self::Absolute(_) => None,
            Self::Relative(octet) => Some(relative(*octet)),
            Self::Enhanced([how, rest @ ..]) => enhanced(*how, rest),
        }
    }

    /// The service centre is to try once only.
    #[must_use]
    pub const fn single_shot(&self) -> bool {
        matches!(self, Self::Enhanced([how, ..]) if *how & 0x40 != 0)
    }
}

/// Bit 7 of the functionality indicator announces another indicator octet, which no version defines so far.
fn enhanced(how: u8, rest: &[u8]) -> Option<TimeDelta> {
    let rest = if how & 0x80 == 0 {
        rest
    } else {
        rest.get(1..)?
    };
    let two_digits = |octet: u8| {
        let (tens, ones) = (octet & 0xF, octet >> 4);
        (tens < 10 && ones < 10).then(|| i64::from(tens) * 10 + i64::from(ones))
    };
    match (how & 0b111, rest) {
        (0b001, [octet, ..]) => Some(relative(*octet)),
        (0b010, [seconds, ..]) => Some(TimeDelta::seconds(i64::from(*seconds))),
        (0b011, [hours, minutes, seconds, ..]) => Some(
            TimeDelta::hours(two_digits(*hours)?)
                + TimeDelta::minutes(two_digits(*minutes)?)
                + TimeDelta::seconds(two_digits(*seconds)?),
        ),
        _ => None,
    }
}
