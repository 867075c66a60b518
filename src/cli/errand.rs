//! What one command asks of a data folder, done on an open counter and printed line by line.
//!
//! The same code runs in the command's own process and, through the side door, in the running gateway. This room does not parse a command line.

mod costs;
pub mod links;
mod lists;
mod sheets;

use crate::cli::errand::links::Ask;
use crate::cli::errand::sheets::{members_in, write_sheet};
use crate::counter::Counter;
use crate::counter::answers::{OfficeAnswer, OfficeRequest};
use crate::counter::keeping::Kept;
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::domain::user::{Login, UserEvent};
use crate::links::board::Board;
use crate::links::http::posted::write_answer;
use crate::sheets::form::Form;
use crate::sheets::rows::Wanted;
use crate::sheets::{Month, Sheet};
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

/// The link that `say` speaks by: answers come in the response.
pub const SAY_LINK: &str = "say";

/// One errand.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Errand {
    /// A message.
    Say(Said),
    /// An operator's command, and what to print when it is done (`{member}` stands for the member's number).
    Office(Box<OfficeRequest>, String),
    /// A change of who may sign in, and what to print when it is done.
    User {
        /// Which cooperative.
        coop: u16,
        /// Who.
        login: Login,
        /// What changes.
        events: Vec<UserEvent>,
        /// What to print.
        then: String,
    },
    /// Who may sign in.
    Users {
        /// Which cooperative.
        coop: u16,
    },
    /// Tokens of programs.
    Tokens {
        /// Which cooperative.
        coop: u16,
    },
    /// What is kept of a member.
    About {
        /// Which cooperative.
        coop: u16,
        /// Whom.
        member: u32,
    },
    /// The cooperative's members.
    Members {
        /// Which cooperative.
        coop: u16,
    },
    /// A sheet of members: what it would change, and where `really`, that it does.
    MembersIn {
        /// Which cooperative.
        coop: u16,
        /// The file.
        file: PathBuf,
        /// Change it.
        really: bool,
    },
    /// Check everything.
    Check,
    /// Everything as lines of JSON.
    Export {
        /// The file.
        to: PathBuf,
    },
    /// Rows for a spreadsheet or a program.
    Sheet {
        /// Which cooperative.
        coop: u16,
        /// Which sheet, by name.
        sheet: String,
        /// In which form, by name.
        form: String,
        /// Such as `2026-03`.
        month: Option<String>,
        /// One ward's.
        ward: Option<String>,
        /// The file; none: printed.
        to: Option<PathBuf>,
    },
    /// What was sent, for the bill.
    Links {
        /// Whose texts.
        coop: u16,
        /// What.
        ask: Ask,
    },
    /// What was sent, as CSV.
    Costs {
        /// Which cooperative.
        coop: u16,
        /// Such as `2026-03`; none: all.
        month: Option<String>,
        /// Millionths of the money's unit for a part, by link.
        prices: BTreeMap<String, u64>,
    },
    /// A dated backup.
    Backup {
        /// The folder.
        to: PathBuf,
        /// The newest so many stay.
        keep: usize,
        /// Others stay until this old.
        keep_days: u32,
    },
    /// Old messages into dated files.
    Archive {
        /// Older than.
        days: u32,
        /// The folder.
        to: PathBuf,
    },
}

/// A message for `say`.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Said {
    /// Which cooperative.
    pub coop: u16,
    /// The sender.
    pub from: String,
    /// When.
    pub at: Option<String>,
    /// As the contract's JSON.
    pub json: bool,
    /// The text.
    pub text: String,
}

/// Where an errand is done.
pub struct Here {
    /// Open on the folder.
    pub counter: Counter,
    /// How the links stand; only a gateway that serves has links.
    pub board: Option<Board>,
}

impl Errand {
    /// The moment that the errand is said to be of, where it says one that reads.
    #[must_use]
    pub fn moment(&self) -> Option<DateTime<Utc>> {
        match self {
            Self::Say(said) => said.at.as_ref()?.parse().ok(),
            _ => None,
        }
    }

    /// Whether it makes sense on a folder that is not there yet.
    #[must_use]
    pub fn may_make_folder(&self) -> bool {
        matches!(self, Self::Office(request, _) if matches!(**request, OfficeRequest::Found { .. }))
    }
}

/// Reads an errand that came through the side door and does it.
///
/// # Errors
/// In words for the operator.
pub fn run_bytes(bytes: &[u8], here: &Here, out: &mut dyn Write) -> Result<(), String> {
    let errand: Errand = serde_json::from_slice(bytes).map_err(|_| {
        "this gateway does not know that errand; is it of another version?".to_owned()
    })?;
    run(&errand, here, out)
}

/// Does an errand.
///
/// # Errors
/// In words for the operator.
pub fn run(errand: &Errand, here: &Here, out: &mut dyn Write) -> Result<(), String> {
    let counter = &here.counter;
    let mut print = |text: String| writeln!(out, "{text}").map_err(|why| why.to_string());
    match errand {
        Errand::Say(said) => print(say(said, counter)?),
        Errand::Office(request, then) => {
            let answer = counter
                .office((**request).clone())
                .map_err(|why| why.to_string())?;
            let member = match answer {
                OfficeAnswer::Member(no) => no.to_string(),
                OfficeAnswer::Done => String::new(),
            };
            print(then.replace("{member}", &member))
        }
        Errand::User {
            coop,
            login,
            events,
            then,
        } => {
            let done = counter.change_user(CoopId(*coop), login, events.clone(), None);
            done.map_err(|why| why.to_string())?;
            print(then.clone())
        }
        Errand::Users { coop } => print(lists::users(CoopId(*coop), counter)?),
        Errand::Tokens { coop } => print(lists::tokens(CoopId(*coop), counter)?),
        Errand::About { coop, member } => {
            let written = counter.about(CoopId(*coop), MemberNo(*member), out);
            written.map(drop).map_err(|why| why.to_string())
        }
        Errand::Members { coop } => print(lists::members(CoopId(*coop), counter)?),
        Errand::MembersIn { coop, file, really } => {
            members_in(counter, CoopId(*coop), file, *really, out)
        }
        Errand::Check => check(counter, out),
        Errand::Export { to } => {
            let records = counter.export_to(to).map_err(|why| why.to_string())?;
            print(format!("{records} records in {}", to.display()))
        }
        Errand::Sheet {
            coop,
            sheet,
            form,
            month,
            ward,
            to,
        } => {
            let wanted = Wanted {
                coop: CoopId(*coop),
                sheet: Sheet::named(sheet).ok_or("there is no such sheet")?,
                form: Form::named(form).ok_or("there is no such form")?,
                month: month.as_deref().and_then(Month::read),
                wards: ward.iter().cloned().collect(),
            };
            write_sheet(counter, &wanted, to.as_ref(), out)
        }
        Errand::Links { coop, ask } => links::answer(here, CoopId(*coop), ask, out),
        Errand::Costs {
            coop,
            month,
            prices,
        } => costs::write(counter, *coop, month.as_deref(), prices, out),
        Errand::Backup {
            to,
            keep,
            keep_days,
        } => {
            let kept = Kept {
                count: *keep,
                age: Duration::days(i64::from(*keep_days)),
            };
            let (file, removed) = counter.backup(to, kept).map_err(|why| why.to_string())?;
            print(format!(
                "{} written, {removed} old ones removed",
                file.display()
            ))?;
            let again = counter.erase_in_files(to).map_err(|why| why.to_string())?;
            if again > 0 {
                print(format!(
                    "{again} older files written again without erased members"
                ))?;
            }
            print(format!(
                "To go back to it: clutchline restore --data NEW_FOLDER {}",
                file.display()
            ))
        }
        Errand::Archive { days, to } => {
            let before = counter.clock().now() - Duration::days(i64::from(*days));
            match counter.archive(to, before).map_err(|why| why.to_string())? {
                Some((file, moved)) => {
                    print(format!("{moved} messages moved to {}", file.display()))
                }
                None => print(format!("no message is older than {days} days")),
            }
        }
    }
}

fn say(said: &Said, counter: &Counter) -> Result<String, String> {
    let from = PhoneNumber::new(&said.from).ok_or_else(|| {
        format!(
            "expected a number such as +255700000101 after --from, but found {:?}",
            said.from
        )
    })?;
    let now = counter.clock().now();
    let at: Option<DateTime<Utc>> = match &said.at {
        None => None,
        Some(text) => Some(text.parse().map_err(|_| {
            format!("expected a time such as 2026-03-10T05:10:00Z after --at, but found {text:?}")
        })?),
    };
    // A network's message would count for now instead; here somebody can be asked.
    if at.is_some_and(|at| !counter.believes(at)) {
        return Err(format!(
            "this gateway takes no message of {}: --at must be neither after its now ({now}) nor older than its settings allow",
            said.at.as_deref().unwrap_or_default()
        ));
    }
    let coop = CoopId(said.coop);
    if counter
        .rules(coop)
        .map_err(|why| why.to_string())?
        .name
        .is_empty()
    {
        return Err(
            "there is no cooperative here yet: found it first with `clutchline coop init`"
                .to_owned(),
        );
    }
    let receipt = counter
        .take(
            coop,
            Inbound {
                link: LinkName(SAY_LINK.to_owned()),
                id: None,
                from,
                to: None,
                text: said.text.clone(),
                sent_at: at.unwrap_or(now),
                sent_at_known: at.is_some(),
                received_at: now,
            },
        )
        .map_err(|why| why.to_string())?;
    Ok(if said.json {
        write_answer(None, &receipt)
    } else {
        let texts: Vec<&str> = receipt
            .replies
            .iter()
            .map(|reply| reply.text.as_str())
            .collect();
        texts.join("\n")
    })
}

fn check(counter: &Counter, out: &mut dyn Write) -> Result<(), String> {
    let report = counter.check().map_err(|why| why.to_string())?;
    for (shelf, count) in &report.records {
        writeln!(out, "{shelf:<12} {count:>10} records").map_err(|why| why.to_string())?;
    }
    for fault in &report.faults {
        writeln!(out, "FAULT {fault}").map_err(|why| why.to_string())?;
    }
    if report.faults_found == 0 {
        return writeln!(out, "all is well").map_err(|why| why.to_string());
    }
    Err(format!(
        "{} faults. Keep a copy of the folder, then restore the last backup into a new one: clutchline restore --data NEW_FOLDER FILE",
        report.faults_found
    ))
}
