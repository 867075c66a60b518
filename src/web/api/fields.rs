//! What each list and object of the record has in it: names, kinds, and what they say.
//!
//! Rows have the columns of the sheets, which a test holds them to. This room does not know which path gives what.

use crate::web::api::shape::{Field, Kind, field, maybe};

/// A forecast: four chances in five.
pub(crate) const RANGE: [Field; 3] = [
    field(
        "low",
        Kind::Number,
        "Grams; one chance in ten that it is less",
    ),
    field("middle", Kind::Number, "Grams; as likely more as less"),
    field(
        "high",
        Kind::Number,
        "Grams; one chance in ten that it is more",
    ),
];

/// Rows that several lists share.
const MEMBER: Field = field("member", Kind::Whole, "The member's number");
const NAME: Field = field("name", Kind::Text, "The member's name");
const DAY: Field = field("day", Kind::Day, "Day");
const TODAY_IS: Field = field("day", Kind::Day, "The farm day");
const FARMS: Field = field("farms", Kind::Whole, "Farms");
const CAGES: Field = field("cages", Kind::Whole, "Cages in use");
const TAKEN: Field = field(
    "taken_7_days",
    Kind::Number,
    "Grams taken in the last seven days",
);
const EXPECTED: Field = field(
    "expected_14_days",
    Kind::Object(&RANGE),
    "Expected in the next fourteen days",
);
const MESSAGE_ID: Field = field(
    "message_id",
    Kind::Text,
    "The network's id of that message, or its number here",
);

/// Why somebody should look at a farm.
pub(crate) const REASON: &[Field] = &[
    field(
        "why",
        Kind::Word(&["missing", "silent", "water", "bait", "heat", "ants"]),
        "What stands out",
    ),
    field("cages", Kind::Texts, "Cages that gave less than expected"),
    maybe(
        "grams",
        Kind::Number,
        "Grams that they gave less in seven days",
    ),
    maybe(
        "since",
        Kind::Day,
        "The day of the last entry of a silent farm",
    ),
];

/// A farm as lists show it.
pub(crate) const FARM: &[Field] = &[
    MEMBER,
    NAME,
    maybe("ward", Kind::Text, "The ward"),
    CAGES,
    TAKEN,
    EXPECTED,
    field(
        "at_stake",
        Kind::Number,
        "Grams missing this week and in the week ahead, an estimate",
    ),
    field(
        "reasons",
        Kind::List(REASON),
        "Why somebody should look; empty where nobody need",
    ),
    field(
        "questions",
        Kind::Whole,
        "Questions that wait for an answer",
    ),
    maybe("last_entry", Kind::Day, "The day of the last entry"),
];

/// The page Today.
pub(crate) const TODAY: &[Field] = &[
    TODAY_IS,
    FARMS,
    CAGES,
    TAKEN,
    field(
        "expected_7_days",
        Kind::Number,
        "Grams expected in the next seven days, the mean",
    ),
    field(
        "needs",
        Kind::List(FARM),
        "Farms that somebody should look at, most at stake first, thirty at the most",
    ),
    field(
        "unreadable",
        Kind::Whole,
        "Messages that nobody could read and nobody has dealt with, a hundred at the most",
    ),
];

/// A day of supply.
pub(crate) const SUPPLY_DAY: &[Field] = &[
    DAY,
    maybe("taken", Kind::Number, "Grams taken; null of days to come"),
    maybe(
        "expected",
        Kind::Object(&RANGE),
        "Expected; null of days gone",
    ),
    maybe(
        "was_expected",
        Kind::Object(&RANGE),
        "What was expected of it a fortnight before, of the cages that stood then",
    ),
    maybe("came", Kind::Number, "Grams that those cages gave"),
];

/// The page Supply.
pub(crate) const SUPPLY: &[Field] = &[
    TODAY_IS,
    maybe("ward", Kind::Text, "The ward asked for"),
    FARMS,
    CAGES,
    EXPECTED,
    field(
        "days",
        Kind::List(SUPPLY_DAY),
        "Four weeks back and a fortnight ahead; days without anything are left out",
    ),
];

/// A cage's row, as the sheet has it.
pub(crate) const CAGE: &[Field] = &[
    MEMBER,
    field("cage", Kind::Text, "The cage, such as C4"),
    field(
        "check_letter",
        Kind::Text,
        "The letter that guards its code",
    ),
    field("stocked_on", Kind::Day, "Stocked"),
    maybe("retired_on", Kind::Day, "Retired; null while it runs"),
    maybe("pupae", Kind::Whole, "Pupae put in"),
    maybe(
        "stock_kind",
        Kind::Word(&["one-age", "mixed"]),
        "Whether the pupae were of one age; null of a run of which only totals are kept",
    ),
    field("grams", Kind::Number, "Grams taken in this run"),
    maybe("last_harvest", Kind::Day, "The last harvest"),
];

/// One farm.
pub(crate) const FARM_WITH_CAGES: &[Field] = &[
    field("farm", Kind::Object(FARM), "The farm"),
    field("cages", Kind::List(CAGE), "Its cages' runs"),
];

/// A harvest's row, as the sheet has it.
pub(crate) const HARVEST: &[Field] = &[
    MEMBER,
    field("cage", Kind::Text, "The cage"),
    DAY,
    field("grams", Kind::Number, "All of that day that stands, grams"),
    maybe(
        "entered_by",
        Kind::Whole,
        "The member who entered the last of it",
    ),
    MESSAGE_ID,
];

/// Care or something seen, as the sheet has it.
pub(crate) const CARE: &[Field] = &[
    MEMBER,
    maybe(
        "cage",
        Kind::Text,
        "The cage; null of what concerns the farm",
    ),
    DAY,
    field("what", Kind::Text, "What was done or seen"),
    maybe(
        "value",
        Kind::NumberOrText,
        "Grams of dead flies, or the least and the most of a thermometer, such as 19 to 29",
    ),
    maybe("entered_by", Kind::Whole, "The member who entered it"),
    maybe("message", Kind::Whole, "The message's number"),
];

/// A delivery's row, as the sheet has it.
pub(crate) const DELIVERY: &[Field] = &[
    MEMBER,
    DAY,
    field("grams", Kind::Number, "Grams received"),
    maybe(
        "own_grams",
        Kind::Number,
        "Grams as the farm had weighed them",
    ),
    maybe(
        "difference",
        Kind::Number,
        "Grams received more than weighed at the farm",
    ),
    maybe("received_by", Kind::Whole, "The member who received them"),
    MESSAGE_ID,
];

/// A member's row, as the sheet has it.
pub(crate) const MEMBERS: &[Field] = &[
    MEMBER,
    field("name", Kind::Text, "Name"),
    field(
        "role",
        Kind::Word(&["keeper", "collector", "officer"]),
        "What they may do by text",
    ),
    field("lang", Kind::Text, "Language of replies (ISO 639-1)"),
    maybe("ward", Kind::Text, "Ward"),
    field(
        "phones",
        Kind::Text,
        "Numbers in full, a space between them",
    ),
    field("stopped", Kind::Flag, "Wants no messages"),
    CAGES,
];

/// A message's row, as the sheet has it.
pub(crate) const MESSAGE: &[Field] = &[
    field("message", Kind::Whole, "Its number; later ones are higher"),
    field("sent_at", Kind::Moment, "Sent"),
    field("received_at", Kind::Moment, "Received"),
    field("from", Kind::Text, "The sender's number in full"),
    maybe("member", Kind::Whole, "The member who spoke"),
    field("text", Kind::Text, "As it came"),
    field(
        "outcome",
        Kind::Word(&[
            "duplicate",
            "asked",
            "partly",
            "unreadable",
            "refused",
            "saved",
            "answered",
        ]),
        "What became of it",
    ),
    field("answer", Kind::Text, "What was answered"),
];

/// A ward's month, as the sheet has it.
pub(crate) const MONTH_ROW: &[Field] = &[
    field("month", Kind::Month, "The month"),
    field("ward", Kind::Text, "The ward; empty of members without one"),
    field("members", Kind::Whole, "Members"),
    field("farms_active", Kind::Whole, "Farms with a harvest"),
    field(
        "cages_run",
        Kind::Whole,
        "Stockings that ran on any day of it",
    ),
    field("grams", Kind::Number, "Grams weighed by the farms"),
    field("delivered", Kind::Number, "Grams received from them"),
    field(
        "grams_month_before",
        Kind::Number,
        "Grams weighed by the farms in the month before",
    ),
    maybe(
        "change_percent",
        Kind::Number,
        "How much more than the month before",
    ),
];
