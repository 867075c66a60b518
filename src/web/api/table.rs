//! The table of what programs may read: every path, who may, what it takes, what it gives, and what answers.
//!
//! A path is reached through this table or not at all, and the description for programs is made from it. This room makes no answer.

use crate::domain::user::Power;
use crate::web::api::call::{Call, MEMBER_MAX, ROWS, ROWS_MAX, TEXT_MAX};
use crate::web::api::shape::{Field, Kind, field, maybe};
use crate::web::api::{figures, records};
use crate::web::problem::Problem;
use serde_json::{Value, json};

/// Where everything begins; another number once an answer changes so that programs would break.
pub const BASE: &str = "/api/v1";

/// One path.
#[derive(Debug)]
pub struct Endpoint {
    /// Its name among the paths.
    pub id: &'static str,
    /// The path after [`BASE`]; `{member}` and the like stand for one place.
    pub path: &'static str,
    /// What it gives, in a sentence.
    pub about: &'static str,
    /// Who may; none: anybody.
    pub needs: Option<Power>,
    /// What it takes.
    pub takes: &'static [Param],
    /// What it gives.
    pub gives: Gives,
    /// What answers.
    pub answer: fn(&Call<'_>) -> Result<Given, Problem>,
}

/// What a path gives.
#[derive(Clone, Copy, Debug)]
pub enum Gives {
    /// The description itself.
    Document,
    /// One object.
    One(&'static [Field]),
    /// A page of rows under `items`, and under `next` where the next one begins.
    Page(&'static [Field]),
}

/// One field of an address.
#[derive(Debug)]
pub struct Param {
    /// Its name.
    pub name: &'static str,
    /// It stands in the path.
    pub in_path: bool,
    /// What it may be.
    pub takes: Takes,
}

/// What a field of an address may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A ward's name.
    Ward,
    /// The beginning of a name.
    Name,
    /// A month.
    Month,
    /// A member's number.
    Member,
    /// Where a page before ended.
    After,
    /// Rows of a page.
    Limit,
}

impl Takes {
    /// In words, with an example.
    #[must_use]
    pub fn expected(self) -> String {
        match self {
            Self::Ward => format!("a ward's name of at most {TEXT_MAX} letters, such as Msitu"),
            Self::Name => {
                format!("the beginning of a name, at most {TEXT_MAX} letters, such as Asha")
            }
            Self::Month => "a month such as 2026-03".to_owned(),
            Self::Member => format!("a member's number up to {MEMBER_MAX}, such as 2071"),
            Self::After => "what `next` of the page before says, such as 2071.12".to_owned(),
            Self::Limit => format!("rows of a page from 1 to {ROWS_MAX}, such as {ROWS}"),
        }
    }
}

/// What was given.
#[derive(Clone, Debug)]
pub struct Given {
    /// An object, or rows.
    what: Value,
    /// Where the next page begins; none on the last, and of one object.
    pub next: Option<String>,
}

impl Given {
    /// One object.
    #[must_use]
    pub const fn one(what: Value) -> Self {
        Self { what, next: None }
    }

    /// A page of rows.
    #[must_use]
    pub fn page(items: Vec<Value>, next: Option<String>) -> Self {
        Self {
            what: json!({"items": items, "next": next}),
            next,
        }
    }

    /// As it is sent.
    #[must_use]
    pub const fn body(&self) -> &Value {
        &self.what
    }
}

const fn query(name: &'static str, takes: Takes) -> Param {
    Param {
        name,
        in_path: false,
        takes,
    }
}

const fn place(name: &'static str, takes: Takes) -> Param {
    Param {
        name,
        in_path: true,
        takes,
    }
}

const WARD: Param = query("ward", Takes::Ward);
const MONTH: Param = query("month", Takes::Month);
const MEMBER: Param = query("member", Takes::Member);
const AFTER: Param = query("after", Takes::After);
const LIMIT: Param = query("limit", Takes::Limit);

const RANGE: [Field; 3] = [
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

const REASON: &[Field] = &[
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

const FARM: &[Field] = &[
    field("member", Kind::Whole, "The member's number"),
    field("name", Kind::Text, "The member's name"),
    maybe("ward", Kind::Text, "The ward"),
    field("cages", Kind::Whole, "Cages in use"),
    field(
        "taken_7_days",
        Kind::Number,
        "Grams taken in the last seven days",
    ),
    field(
        "expected_14_days",
        Kind::Object(&RANGE),
        "Expected in the next fourteen days",
    ),
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

const TODAY: &[Field] = &[
    field("day", Kind::Day, "The farm day"),
    field("farms", Kind::Whole, "Farms"),
    field("cages", Kind::Whole, "Cages in use"),
    field(
        "taken_7_days",
        Kind::Number,
        "Grams taken in the last seven days",
    ),
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

const SUPPLY_DAY: &[Field] = &[
    field("day", Kind::Day, "Day"),
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

const SUPPLY: &[Field] = &[
    field("day", Kind::Day, "The farm day"),
    maybe("ward", Kind::Text, "The ward asked for"),
    field("farms", Kind::Whole, "Farms"),
    field("cages", Kind::Whole, "Cages in use"),
    field(
        "expected_14_days",
        Kind::Object(&RANGE),
        "Expected in the next fourteen days",
    ),
    field(
        "days",
        Kind::List(SUPPLY_DAY),
        "Four weeks back and a fortnight ahead; days without anything are left out",
    ),
];

/// A cage's row, as the sheet has it.
pub const CAGE: &[Field] = &[
    field("member", Kind::Whole, "The member's number"),
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

const FARM_WITH_CAGES: &[Field] = &[
    field("farm", Kind::Object(FARM), "The farm"),
    field("cages", Kind::List(CAGE), "Its cages' runs"),
];

const HARVEST: &[Field] = &[
    field("member", Kind::Whole, "The member's number"),
    field("cage", Kind::Text, "The cage"),
    field("day", Kind::Day, "Day"),
    field("grams", Kind::Number, "All of that day that stands, grams"),
    maybe(
        "entered_by",
        Kind::Whole,
        "The member who entered the last of it",
    ),
    field(
        "message_id",
        Kind::Text,
        "The network's id of that message, or its number here",
    ),
];

const CARE: &[Field] = &[
    field("member", Kind::Whole, "The member's number"),
    maybe(
        "cage",
        Kind::Text,
        "The cage; null of what concerns the farm",
    ),
    field("day", Kind::Day, "Day"),
    field("what", Kind::Text, "What was done or seen"),
    maybe(
        "value",
        Kind::NumberOrText,
        "Grams of dead flies, or the least and the most of a thermometer, such as 19 to 29",
    ),
    maybe("entered_by", Kind::Whole, "The member who entered it"),
    maybe("message", Kind::Whole, "The message's number"),
];

const DELIVERY: &[Field] = &[
    field("member", Kind::Whole, "The member's number"),
    field("day", Kind::Day, "Day"),
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
    field(
        "message_id",
        Kind::Text,
        "The network's id of that message, or its number here",
    ),
];

const MEMBERS: &[Field] = &[
    field("member", Kind::Whole, "The member's number"),
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
    field("cages", Kind::Whole, "Cages in use"),
];

const MESSAGE: &[Field] = &[
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

const MONTH_ROW: &[Field] = &[
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

const VIEWER: Option<Power> = Some(Power::Viewer);
/// Phone numbers and texts of everybody are for those who work with them.
const OFFICER: Option<Power> = Some(Power::Officer);

const fn row(
    (id, path, needs): (&'static str, &'static str, Option<Power>),
    about: &'static str,
    takes: &'static [Param],
    gives: Gives,
    answer: fn(&Call<'_>) -> Result<Given, Problem>,
) -> Endpoint {
    Endpoint {
        id,
        path,
        about,
        needs,
        takes,
        gives,
        answer,
    }
}

/// Every path.
pub const ENDPOINTS: &[Endpoint] = &[
    row(
        ("description", "/openapi.json", None),
        "This description.",
        &[],
        Gives::Document,
        records::nothing,
    ),
    row(
        ("today", "/today", VIEWER),
        "Who needs somebody today, as the page Today.",
        &[WARD],
        Gives::One(TODAY),
        figures::today,
    ),
    row(
        ("supply", "/supply", VIEWER),
        "What came and what is expected, as the page Supply.",
        &[WARD],
        Gives::One(SUPPLY),
        figures::supply,
    ),
    row(
        ("farms", "/farms", VIEWER),
        "Farms by number; with `name`, those whose member's name begins so, by name, without further pages.",
        &[WARD, query("name", Takes::Name), AFTER, LIMIT],
        Gives::Page(FARM),
        figures::farms,
    ),
    row(
        ("farm", "/farms/{member}", VIEWER),
        "One farm and its cages.",
        &[place("member", Takes::Member)],
        Gives::One(FARM_WITH_CAGES),
        figures::farm,
    ),
    row(
        ("cages", "/cages", VIEWER),
        "Runs of cages, from stocking to retirement.",
        &[WARD, MEMBER, AFTER, LIMIT],
        Gives::Page(CAGE),
        records::cages,
    ),
    row(
        ("harvests", "/harvests", VIEWER),
        "Harvests that stand, by member, cage and day.",
        &[WARD, MEMBER, MONTH, AFTER, LIMIT],
        Gives::Page(HARVEST),
        records::harvests,
    ),
    row(
        ("care", "/care", VIEWER),
        "Care done and things seen.",
        &[WARD, MEMBER, MONTH, AFTER, LIMIT],
        Gives::Page(CARE),
        records::care,
    ),
    row(
        ("deliveries", "/deliveries", VIEWER),
        "Eggs received from farms.",
        &[WARD, MEMBER, MONTH, AFTER, LIMIT],
        Gives::Page(DELIVERY),
        records::deliveries,
    ),
    row(
        ("members", "/members", OFFICER),
        "Members with their phones.",
        &[WARD, MEMBER, AFTER, LIMIT],
        Gives::Page(MEMBERS),
        records::members_page,
    ),
    row(
        ("messages", "/messages", OFFICER),
        "Messages received, in the order in which they came.",
        &[WARD, MEMBER, MONTH, AFTER, LIMIT],
        Gives::Page(MESSAGE),
        records::messages,
    ),
    row(
        ("month", "/months/{month}", VIEWER),
        "A month by ward, beside the month before.",
        &[place("month", Takes::Month), WARD],
        Gives::Page(MONTH_ROW),
        records::month,
    ),
];

/// The row of a path, and what stands in its places.
#[must_use]
pub fn find(path: &str) -> Option<(&'static Endpoint, Vec<String>)> {
    let path = path.strip_prefix(BASE)?;
    ENDPOINTS
        .iter()
        .find_map(|endpoint| Some((endpoint, places(endpoint.path, path)?)))
}

fn places(pattern: &str, path: &str) -> Option<Vec<String>> {
    let (mut pattern, mut path) = (pattern.split('/'), path.split('/'));
    let mut places = Vec::new();
    loop {
        match (pattern.next(), path.next()) {
            (None, None) => return Some(places),
            (Some(a), Some(b)) if a.starts_with('{') && !b.is_empty() => places.push(b.to_owned()),
            (Some(a), Some(b)) if a == b => {}
            _ => return None,
        }
    }
}
