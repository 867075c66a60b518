//! A sheet of members on its way in: what each row would change, or why it is refused, before anything is changed.
//!
//! Takes what the members sheet writes, and any sheet with some of its columns. A row names a member by number or by a phone; one that names nobody
//! known is a new member. This room decides nothing that the desk decides: it makes its requests.

mod said;
mod table;

use crate::counter::Counter;
use crate::counter::answers::{CounterError, OfficeAnswer, OfficeError, OfficeRequest};
use crate::desk::member::Member;
use crate::domain::lang::Lang;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use crate::sheets::members_in::said::{Meant, Said, meant};
use crate::sheets::members_in::table::{columns, table};
use std::collections::BTreeSet;

/// Bytes of a file: a cooperative of 100,000 in a workbook takes a third of it.
pub const BYTES_MOST: usize = 8 * 1024 * 1024;
/// Rows of a file; more go in several.
pub const ROWS_MOST: usize = 100_000;
/// Bytes that a workbook may unpack to, so that a small file cannot fill the memory.
const UNPACKED_MOST: u64 = 256 * 1024 * 1024;
/// Columns that are read. Those of the members sheet that only tell something are passed over.
const READ: [&str; 6] = ["member", "name", "role", "lang", "ward", "phones"];
const PASSED_OVER: [&str; 2] = ["stopped", "cages"];

/// Why a file is no sheet of members.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// Too large.
    #[error("the file has more than {} MB or {ROWS_MOST} rows: bring it in parts", BYTES_MOST / 1024 / 1024)]
    TooLarge,
    /// Neither CSV in UTF-8 nor a workbook.
    #[error("expected CSV in UTF-8 or an .xlsx workbook: {0}")]
    Form(String),
    /// A column that nothing is known of.
    #[error("row 1, column {column}: expected one of {}, but found {found:?}", READ.join(", "))]
    Column {
        /// Counted from one.
        column: usize,
        /// As found.
        found: String,
    },
    /// No column that says who.
    #[error("row 1: expected a column `member`, `phones` or `name`")]
    Nobody,
    /// The record could not be read.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

/// What becomes of one row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its line in the file, counted from one, the head included.
    pub line: usize,
    /// Who, as the file says: number, name or phone.
    pub who: String,
    /// What it means.
    pub fate: Fate,
}

/// What a row means.
#[derive(Clone, Debug, PartialEq)]
pub enum Fate {
    /// A new member.
    Add(OfficeRequest),
    /// A member is changed: what, in words, and the requests that do it.
    Change(Vec<(String, OfficeRequest)>),
    /// Everything stands so already.
    Same,
    /// Not taken: which column, and why.
    Refused {
        /// The column's name.
        column: &'static str,
        /// Why, with an example.
        why: String,
    },
}

/// What a file would change: nothing is changed yet.
///
/// # Errors
/// When the file as a whole cannot be read.
pub fn plan(counter: &Counter, coop: CoopId, file: &[u8]) -> Result<Vec<Row>, ImportError> {
    if file.len() > BYTES_MOST {
        return Err(ImportError::TooLarge);
    }
    let table = table(file)?;
    let mut rows = table.into_iter();
    let head = rows.next().unwrap_or_default();
    let columns = columns(&head)?;
    let rules = counter.rules(coop)?;
    let mut seen = Seen::default();
    let mut planned = Vec::new();
    for (at, cells) in rows.enumerate() {
        let said = Said::read(&columns, &cells);
        if said.is_empty() {
            continue;
        }
        let fate = fate(counter, coop, &rules, &said, &mut seen)?;
        planned.push(Row {
            line: at + 2,
            who: said.who(),
            fate,
        });
    }
    Ok(planned)
}

/// Does what was planned, row by row; a row that the desk refuses is told and the rest goes on.
///
/// # Errors
/// When the counter fails.
pub fn carry_out(counter: &Counter, rows: &mut [Row]) -> Result<(), CounterError> {
    for row in rows {
        let requests: Vec<OfficeRequest> = match &row.fate {
            Fate::Add(request) => vec![request.clone()],
            Fate::Change(changes) => changes.iter().map(|(_, request)| request.clone()).collect(),
            Fate::Same | Fate::Refused { .. } => continue,
        };
        for request in requests {
            match counter.office(request) {
                Ok(OfficeAnswer::Member(no)) => row.who = format!("{no} {}", row.who),
                Ok(OfficeAnswer::Done) => {}
                Err(OfficeError::Counter(error)) => return Err(error),
                Err(OfficeError::Refused(why)) => {
                    row.fate = Fate::Refused {
                        column: "member",
                        why: why.to_string(),
                    };
                    break;
                }
            }
        }
    }
    Ok(())
}

/// Whom the file has named so far.
#[derive(Default)]
struct Seen {
    members: BTreeSet<MemberNo>,
    phones: BTreeSet<PhoneNumber>,
}

fn refused(column: &'static str, why: impl Into<String>) -> Fate {
    Fate::Refused {
        column,
        why: why.into(),
    }
}

fn fate(
    counter: &Counter,
    coop: CoopId,
    rules: &Rules,
    said: &Said,
    seen: &mut Seen,
) -> Result<Fate, CounterError> {
    let meant = match meant(rules, said) {
        Ok(meant) => meant,
        Err(fate) => return Ok(fate),
    };
    let standing = match standing(counter, coop, &meant)? {
        Ok(standing) => standing,
        Err(fate) => return Ok(fate),
    };
    let no = standing
        .as_ref()
        .map(|member| member.number)
        .or(meant.number);
    if no.is_some_and(|no| !seen.members.insert(no)) {
        return Ok(refused(
            "member",
            "this member stands in an earlier row of the file",
        ));
    }
    if meant
        .phones
        .iter()
        .any(|phone| !seen.phones.insert(phone.clone()))
        && standing.is_none()
    {
        return Ok(refused(
            "phones",
            "this phone stands in an earlier row of the file",
        ));
    }
    Ok(match standing {
        Some(member) => changes(coop, &member, said, &meant),
        None => add(coop, said, meant),
    })
}

/// The member whom a row names; none: a new one.
fn standing(
    counter: &Counter,
    coop: CoopId,
    meant: &Meant,
) -> Result<Result<Option<Member>, Fate>, CounterError> {
    if let Some(no) = meant.number {
        let member = counter.member(coop, no)?;
        return Ok(Ok(member.joined.then_some(member)));
    }
    let Some(phone) = meant.phones.first() else {
        return Ok(Ok(None));
    };
    Ok(match counter.served_by(coop, phone)?.as_slice() {
        [] => Ok(None),
        [only] => Ok(Some(counter.member(coop, *only)?)),
        _ => Err(refused(
            "member",
            "this phone serves several members: give the member's number too",
        )),
    })
}

fn add(coop: CoopId, said: &Said, meant: Meant) -> Fate {
    if said.name.is_empty() {
        return refused(
            "name",
            "there is no such member yet, and a new one needs a name",
        );
    }
    Fate::Add(OfficeRequest::AddMember {
        coop,
        number: meant.number,
        name: said.name.clone(),
        lang: meant.lang.unwrap_or(Lang::EN),
        role: meant.role.unwrap_or(Role::Keeper),
        ward: meant.ward,
        phones: meant.phones,
    })
}

fn changes(coop: CoopId, member: &Member, said: &Said, meant: &Meant) -> Fate {
    let no = member.number;
    let mut changes = Vec::new();
    if !said.name.is_empty() && said.name != member.name {
        let name = said.name.clone();
        let words = format!("name {:?} to {name:?}", member.name);
        changes.push((
            words,
            OfficeRequest::SetName {
                coop,
                member: no,
                name,
            },
        ));
    }
    if let Some(role) = meant.role.filter(|role| *role != member.role) {
        let words = format!("role {:?} to {role:?}", member.role);
        changes.push((
            words,
            OfficeRequest::SetRole {
                coop,
                member: no,
                role,
            },
        ));
    }
    if let Some(lang) = meant.lang.filter(|lang| *lang != member.lang) {
        let words = format!("language {} to {lang}", member.lang);
        changes.push((
            words,
            OfficeRequest::SetLang {
                coop,
                member: no,
                lang,
            },
        ));
    }
    if let Some(ward) = meant
        .ward
        .clone()
        .filter(|ward| member.ward.as_ref() != Some(ward))
    {
        let before = member.ward.as_deref().unwrap_or("none");
        let words = format!("ward {before} to {ward}");
        changes.push((
            words,
            OfficeRequest::SetWard {
                coop,
                member: no,
                ward,
            },
        ));
    }
    for phone in meant
        .phones
        .iter()
        .filter(|phone| !member.phones.contains(phone))
    {
        let words = format!("phone {} added", phone.full());
        let phone = phone.clone();
        changes.push((
            words,
            OfficeRequest::AddPhone {
                coop,
                member: no,
                phone,
            },
        ));
    }
    if changes.is_empty() {
        Fate::Same
    } else {
        Fate::Change(changes)
    }
}
