//! The table of what programs may read: every path, who may, what it takes, what it gives, and what answers.
//!
//! A path is reached through this table or not at all, and the description for programs is made from it. This room makes no answer.

use crate::domain::user::Power;
use crate::web::api::call::{Call, MEMBER_MAX, ROWS, ROWS_MAX, TEXT_MAX};
use crate::web::api::fields::{
    CAGE, CARE, DELIVERY, FARM, FARM_WITH_CAGES, HARVEST, MEMBERS, MESSAGE, MONTH_ROW, SUPPLY,
    TODAY,
};
use crate::web::api::shape::Field;
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
