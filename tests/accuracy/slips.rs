//! The kinds of slip and how often each is made: one table, with its reasons, fixed before any result was seen.
//!
//! A slip's kind says how it was made. What comes out of it, and whether anybody can see it, is for the judge.

/// A kind of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slip {
    MultiTap,
    NeighbourKey,
    Twin,
    Transposed,
    LetterLostOrDoubled,
    Abbreviated,
    SpaceMissing,
    SpaceExtra,
    LetterForDigit,
    DigitForLetter,
    PointLost,
    PointAwry,
    UnitWrong,
    CodeLetterMissing,
    OtherCage,
    AbsentCage,
    YesterdaysLine,
    SentTwice,
    CutInHalf,
    TwoThoughts,
    NotDone,
    WrongNumber,
}

/// One row of the mix.
pub struct Row {
    pub slip: Slip,
    /// Lines in 10,000 that carry it.
    pub per_10_000: u32,
    /// How it is made, for the report.
    pub made: &'static str,
    /// Why it is given that share.
    pub reason: &'static str,
}

/// Lines of which one in five carries a slip, touching about one of its three values: 6.7 % of values, which is the 4.5 to 4.8 % of values
/// that were wrong by SMS (Patnaik, Brunskill and Thies 2009) and the slips that only spoil the form (3 % of reports, Githinji et al. 2013).
/// The shares inside it are judged, where no source is named.
pub const MIX: [Row; 22] = [
    row(
        Slip::MultiTap,
        250,
        "one press too many or too few on a letter of a word",
        "the commonest letter slip of keypads with three letters a key",
    ),
    row(
        Slip::NeighbourKey,
        200,
        "the key beside, above or below, for a letter of a word",
        "a thumb that lands off; a little rarer than a miscount",
    ),
    row(
        Slip::Twin,
        100,
        "another word with the same keys",
        "predictive text offers the commoner word first; few keywords have twins",
    ),
    row(
        Slip::Transposed,
        100,
        "two neighbouring letters of a word swapped",
        "known from typists; rare with one thumb",
    ),
    row(
        Slip::LetterLostOrDoubled,
        150,
        "a letter of a word left out or typed twice",
        "key presses that do not register, or bounce",
    ),
    row(
        Slip::Abbreviated,
        250,
        "a keyword cut to 2 to 4 letters, or written without its vowels",
        "habit of paying by the letter",
    ),
    row(
        Slip::SpaceMissing,
        200,
        "one gap left out",
        "the space is one key press like any other, and hardly looks needed",
    ),
    row(
        Slip::SpaceExtra,
        150,
        "a gap doubled, or a space inside a word, code or number",
        "bouncing keys",
    ),
    row(
        Slip::LetterForDigit,
        60,
        "a look-alike letter, or the key's first letter, for a digit",
        "the wrong input mode",
    ),
    row(
        Slip::DigitForLetter,
        60,
        "a look-alike digit, or the key's digit, for a letter of a word",
        "the wrong input mode",
    ),
    row(
        Slip::PointLost,
        60,
        "the decimal point left out",
        "the point hides behind a long press or a menu",
    ),
    row(
        Slip::PointAwry,
        60,
        "the point doubled, spaced, or typed as a space",
        "the same",
    ),
    row(
        Slip::UnitWrong,
        40,
        "a unit that is another, misspelt, or missing where it is needed",
        "most lines carry no unit to slip on",
    ),
    row(
        Slip::CodeLetterMissing,
        40,
        "the letter of a cage code left out",
        "the number is what the keeper thinks of",
    ),
    row(
        Slip::OtherCage,
        25,
        "another cage of the farm",
        "one field in 400, as for a wrong number; codes are painted on the cage",
    ),
    row(
        Slip::AbsentCage,
        40,
        "a cage that the farm has not: code letter one press off, or number slipped",
        "as above, and one letter more to slip on",
    ),
    row(
        Slip::YesterdaysLine,
        10,
        "yesterday's line sent instead of today's",
        "one in three years of daily lines; judged",
    ),
    row(
        Slip::SentTwice,
        120,
        "the same line again 15 minutes to 3 hours later",
        "no answer seen: 5.1 % of messages fail or are late (Meng et al. 2007), a few of them are sent again",
    ),
    row(
        Slip::CutInHalf,
        30,
        "a line cut at any letter",
        "sent too early, or its second part lost; most lines are one part",
    ),
    row(
        Slip::TwoThoughts,
        60,
        "something else said in the same line",
        "a letter to a person, not to a machine",
    ),
    row(
        Slip::NotDone,
        25,
        "something said not to be done, or not yet",
        "the same",
    ),
    row(
        Slip::WrongNumber,
        60,
        "a digit of a weight, count or temperature slipped: neighbouring key, lost, doubled, swapped",
        "22 in 10,000 fields typed once (Reynolds-Haertle and McBride 1992, from memory), three values a line",
    ),
];

const fn row(slip: Slip, per_10_000: u32, made: &'static str, reason: &'static str) -> Row {
    Row {
        slip,
        per_10_000,
        made,
        reason,
    }
}

/// The slip of a line, by a number from 0 to 9,999; most lines have none.
pub fn slip_at(draw: u32) -> Option<Slip> {
    let mut below = 0;
    MIX.iter().find_map(|row| {
        below += row.per_10_000;
        (draw < below).then_some(row.slip)
    })
}
