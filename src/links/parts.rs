//! One text in several parts (3GPP TS 23.040 clause 9.2.3.24.1): counting, cutting where nothing breaks, and joining.
//!
//! Knows alphabets and room, not headers in octets, networks or time; waiting for the missing parts is
//! [`reassembly`]'s business.

pub mod reassembly;

use crate::links::gsm7;
use crate::links::gsm7::Shift;
use crate::links::ucs2;
use crate::units::septets::septets_of;
use serde::Deserialize;
use serde::Serialize;

/// Most parts that a concatenation header can number.
pub const MOST_PARTS: usize = 255;

/// Octets of user data in one message.
pub const USER_DATA_OCTETS: usize = 140;

/// How characters are carried.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Alphabet {
    /// GSM 7-bit, one septet or two a character.
    Gsm7,
    /// 8-bit data: no characters.
    #[serde(rename = "8bit")]
    Octets,
    /// UCS-2, one unit or two a character.
    Ucs2,
}

/// Width of the number that the parts of one text share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum RefWidth {
    /// 8 bits: a header of 6 octets.
    Eight,
    /// 16 bits: a header of 7 octets.
    Sixteen,
}

impl RefWidth {
    /// Octets of a header that holds nothing else, its length octet included.
    #[must_use]
    pub const fn header_octets(self) -> usize {
        match self {
            Self::Eight => 6,
            Self::Sixteen => 7,
        }
    }

    /// Septets or UCS-2 units that fit beside the header: 153, 152; 67, 66. For octets, 134 and 133.
    #[must_use]
    pub const fn room(self, alphabet: Alphabet) -> usize {
        let octets = USER_DATA_OCTETS - self.header_octets();
        match alphabet {
            Alphabet::Gsm7 => octets * 8 / 7,
            Alphabet::Octets => octets,
            Alphabet::Ucs2 => octets / 2,
        }
    }
}

/// Septets, units or octets in a message without a header: 160, 70, 140.
#[must_use]
pub const fn room_alone(alphabet: Alphabet) -> usize {
    match alphabet {
        Alphabet::Gsm7 => USER_DATA_OCTETS * 8 / 7,
        Alphabet::Octets => USER_DATA_OCTETS,
        Alphabet::Ucs2 => USER_DATA_OCTETS / 2,
    }
}

/// Which part of which text a message is. Always `1 <= part <= total`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Concat {
    reference: u16,
    width: RefWidth,
    total: u8,
    part: u8,
}

impl Concat {
    /// `None` where the standard says to ignore the header: no parts, part 0, a part beyond the total
    /// (TS 23.040 clause 9.2.3.24.1). An 8-bit reference above 255 is `None` too.
    #[must_use]
    pub fn new(reference: u16, width: RefWidth, total: u8, part: u8) -> Option<Self> {
        let fits = width == RefWidth::Sixteen || u8::try_from(reference).is_ok();
        (fits && part >= 1 && part <= total).then_some(Self {
            reference,
            width,
            total,
            part,
        })
    }

    /// The number that the parts share.
    #[must_use]
    pub const fn reference(self) -> u16 {
        self.reference
    }

    /// Its width.
    #[must_use]
    pub const fn width(self) -> RefWidth {
        self.width
    }

    /// How many parts there are.
    #[must_use]
    pub const fn total(self) -> u8 {
        self.total
    }

    /// Which one this is, from 1.
    #[must_use]
    pub const fn part(self) -> u8 {
        self.part
    }
}

/// What one message carries, before it is read as characters: a cut may have gone through a pair.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Body {
    /// GSM 7-bit septets, one in each octet, and the tables they are in.
    Septets(Vec<u8>, Shift),
    /// 8-bit data.
    Octets(Vec<u8>),
    /// UCS-2 units.
    Units(Vec<u16>),
}

impl Body {
    /// How the characters are carried.
    #[must_use]
    pub const fn alphabet(&self) -> Alphabet {
        match self {
            Self::Septets(..) => Alphabet::Gsm7,
            Self::Octets(_) => Alphabet::Octets,
            Self::Units(_) => Alphabet::Ucs2,
        }
    }

    /// The text; `None` for 8-bit data.
    #[must_use]
    pub fn text(&self) -> Option<String> {
        match self {
            Self::Septets(septets, shift) => Some(gsm7::decode(septets, *shift)),
            Self::Octets(_) => None,
            Self::Units(units) => Some(ucs2::text(units)),
        }
    }
}

/// Joins the parts of one text, in order, before reading them, so that a pair which a careless sender cut is whole again.
/// `None` where a part is 8-bit data.
#[must_use]
pub fn join<'a>(bodies: impl IntoIterator<Item = &'a Body>) -> Option<String> {
    let mut text = String::new();
    let mut run: Option<Body> = None;
    for body in bodies {
        run = match (run.take(), body) {
            (Some(Body::Septets(mut have, shift)), Body::Septets(more, same)) if shift == *same => {
                have.extend(more);
                Some(Body::Septets(have, shift))
            }
            (Some(Body::Units(mut have)), Body::Units(more)) => {
                have.extend(more);
                Some(Body::Units(have))
            }
            (before, body) => {
                if let Some(before) = before {
                    text.push_str(&before.text()?);
                }
                Some(body.clone())
            }
        };
    }
    if let Some(last) = run {
        text.push_str(&last.text()?);
    }
    Some(text)
}

/// A text that needs more parts than a header can number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the text needs {parts} parts; at most {MOST_PARTS} can be numbered: shorten it")]
pub struct TooManyParts {
    /// How many it would need.
    pub parts: usize,
}

/// Cuts a text into parts: one without a header where it fits, else as many as `width` leaves room for. Cuts greedily and
/// never inside an escape or a surrogate pair, which can cost a part one septet or unit of its room.
///
/// # Errors
/// More than [`MOST_PARTS`] parts.
pub fn split(text: &str, width: RefWidth) -> Result<Vec<Body>, TooManyParts> {
    let gsm7_fits = text.chars().all(|c| septets_of(c).is_some());
    let alphabet = if gsm7_fits {
        Alphabet::Gsm7
    } else {
        Alphabet::Ucs2
    };
    split_in(text, alphabet, width)
}

/// As [`split`], in UCS-2 whatever the text: for a phone or network that mishandles GSM-7.
///
/// # Errors
/// More than [`MOST_PARTS`] parts.
pub fn split_ucs2(text: &str, width: RefWidth) -> Result<Vec<Body>, TooManyParts> {
    split_in(text, Alphabet::Ucs2, width)
}

fn split_in(text: &str, alphabet: Alphabet, width: RefWidth) -> Result<Vec<Body>, TooManyParts> {
    let cost = |c: char| match alphabet {
        Alphabet::Gsm7 => septets_of(c).unwrap_or_default(),
        _ => c.len_utf16(),
    };
    let whole: usize = text.chars().map(cost).sum();
    if whole <= room_alone(alphabet) {
        return Ok(vec![carried(text, alphabet)]);
    }
    let room = width.room(alphabet);
    let (mut parts, mut begin, mut used) = (Vec::new(), 0, 0);
    for (at, character) in text.char_indices() {
        if used + cost(character) > room {
            parts.push(carried(text.get(begin..at).unwrap_or_default(), alphabet));
            (begin, used) = (at, 0);
        }
        used += cost(character);
    }
    parts.push(carried(text.get(begin..).unwrap_or_default(), alphabet));
    if parts.len() > MOST_PARTS {
        return Err(TooManyParts { parts: parts.len() });
    }
    Ok(parts)
}

/// How many parts a text goes out as, with 8-bit references; counts on where [`split`] would refuse.
#[must_use]
pub fn count(text: &str) -> usize {
    split(text, RefWidth::Eight).map_or_else(|refused| refused.parts, |parts| parts.len())
}

fn carried(text: &str, alphabet: Alphabet) -> Body {
    match gsm7::encode(text) {
        Ok(septets) if alphabet == Alphabet::Gsm7 => Body::Septets(septets, Shift::default()),
        _ => Body::Units(text.encode_utf16().collect()),
    }
}
