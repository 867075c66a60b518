//! One request for records: what its address says, held against what the endpoint takes.
//!
//! What is wrong is told field by field, before anything is read. This room does not know what is given.

use crate::counter::Counter;
use crate::counter::tokens::Bearer;
use crate::domain::MemberNo;
use crate::domain::message::CoopId;
use crate::links::http::posted::FieldFault;
use crate::sheets::Month;
use crate::web::api::table::{Endpoint, Param, Takes};
use crate::web::problem::{Problem, wrong_fields};
use actix_web::web::Query;

/// Rows of a page, where nothing is said.
pub const ROWS: usize = 100;
/// Rows of a page at the most: some 200 kB.
pub const ROWS_MAX: usize = 500;
/// Letters of a name or ward that is looked for.
pub const TEXT_MAX: usize = 60;
/// The pattern of where a page begins.
pub const AFTER: &str = "^[0-9]{1,19}(\\.[0-9]{1,6})?$";
/// The largest member number.
pub const MEMBER_MAX: u32 = u32::MAX - 1;

/// A checked request.
pub struct Call<'c> {
    /// The counter.
    pub counter: &'c Counter,
    /// Who asks.
    pub bearer: Bearer,
    /// For what.
    pub said: Said,
}

impl Call<'_> {
    /// The cooperative.
    #[must_use]
    pub const fn coop(&self) -> CoopId {
        self.bearer.coop
    }

    /// Whether rows of that ward are asked for and may be seen.
    #[must_use]
    pub fn has(&self, ward: Option<&str>) -> bool {
        let wanted = self.said.ward.as_deref();
        self.bearer.user.sees(ward) && wanted.is_none_or(|wanted| ward == Some(wanted))
    }
}

/// What an address says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// Rows of this ward only.
    pub ward: Option<String>,
    /// Rows of this month only.
    pub month: Option<Month>,
    /// Rows of this member only.
    pub member: Option<MemberNo>,
    /// The beginning of a name.
    pub name: Option<String>,
    /// Where the page before ended: a number, and rows already given of it.
    pub after: Option<(u64, usize)>,
    /// Rows of the page.
    pub limit: Option<usize>,
}

impl Said {
    /// Rows of the page.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.limit.unwrap_or(ROWS)
    }
}

/// Reads an address as the endpoint takes it.
///
/// # Errors
/// Every field that is wrong, not known, or there twice.
pub fn asked(endpoint: &Endpoint, places: &[String], query: &str) -> Result<Said, Problem> {
    let (mut said, mut faults) = (Said::default(), Vec::new());
    let in_path = endpoint.takes.iter().filter(|param| param.in_path);
    for (param, text) in in_path.zip(places) {
        faults.extend(read(param, text, &mut said));
    }
    let fields = Query::<Vec<(String, String)>>::from_query(query);
    let fields = fields.map_or_else(|_| Vec::new(), Query::into_inner);
    let mut seen: Vec<&'static str> = Vec::new();
    for (name, text) in &fields {
        let param = endpoint
            .takes
            .iter()
            .find(|param| !param.in_path && param.name == name);
        match param {
            None => faults.push(FieldFault {
                field: "query",
                detail: format!(
                    "{:?} is not known here",
                    name.chars().take(TEXT_MAX).collect::<String>()
                ),
            }),
            Some(param) if seen.contains(&param.name) => faults.push(FieldFault {
                field: param.name,
                detail: "expected once".to_owned(),
            }),
            Some(param) => {
                seen.push(param.name);
                faults.extend(read(param, text, &mut said));
            }
        }
    }
    if faults.is_empty() {
        Ok(said)
    } else {
        Err(wrong_fields(faults))
    }
}

/// Puts one field in its place, or says what is wrong with it.
fn read(param: &Param, text: &str, said: &mut Said) -> Option<FieldFault> {
    let short = |text: &str| !text.is_empty() && text.chars().count() <= TEXT_MAX;
    let kept = |text: &str| Some(text.to_owned()).filter(|text| short(text));
    let right = match param.takes {
        Takes::Ward => {
            said.ward = kept(text);
            said.ward.is_some()
        }
        Takes::Name => {
            said.name = kept(text);
            said.name.is_some()
        }
        Takes::Month => {
            said.month = Month::read(text);
            said.month.is_some()
        }
        Takes::Member => {
            let no = digits(text).filter(|no| *no <= u64::from(MEMBER_MAX));
            said.member = no.and_then(|no| u32::try_from(no).ok()).map(MemberNo);
            said.member.is_some()
        }
        Takes::After => {
            let (no, rows) = text.split_once('.').unwrap_or((text, "0"));
            let rows = digits(rows).filter(|_| rows.len() <= 6);
            let rows = rows.and_then(|rows| usize::try_from(rows).ok());
            said.after = digits(no).zip(rows);
            said.after.is_some()
        }
        Takes::Limit => {
            let limit = digits(text).and_then(|n| usize::try_from(n).ok());
            said.limit = limit.filter(|n| (1..=ROWS_MAX).contains(n));
            said.limit.is_some()
        }
    };
    (!right).then(|| FieldFault {
        field: param.name,
        detail: format!("expected {}", param.takes.expected()),
    })
}

/// At most 19 plain digits, which always fit.
fn digits(text: &str) -> Option<u64> {
    let plain = (1..=19).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// The address of the next page: the same fields with another `after`.
#[must_use]
pub fn next_link(path: &str, query: &str, next: &str) -> String {
    let others = query
        .split('&')
        .filter(|field| !field.is_empty() && !field.starts_with("after="));
    let mut fields: Vec<String> = others.map(str::to_owned).collect();
    fields.push(format!("after={next}"));
    format!("{path}?{}", fields.join("&"))
}
