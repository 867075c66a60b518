//! What a command asks of a data folder: done here where nobody has the folder, or by the gateway that runs on it.
//!
//! An errand is plain data, so that it can go through the side door. This room does not know how it was typed.

use crate::counter::Counter;
use crate::counter::answers::{OfficeAnswer, OfficeRequest};
use crate::counter::keeping::Kept;
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::links::http::posted::write_answer;
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use std::io::{self, Write};
use std::path::PathBuf;

/// Why an errand was not done.
#[derive(Debug, thiserror::Error)]
pub enum ErrandError {
    /// In words.
    #[error("{0}")]
    Refused(String),
    /// What was to be printed could not be.
    #[error("the output could not be written: {0}")]
    Output(#[from] io::Error),
}

fn refused(why: impl ToString) -> ErrandError {
    ErrandError::Refused(why.to_string())
}

/// One thing to do with a data folder.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Errand {
    /// One message through the whole engine.
    Say(Saying),
    /// An operator's command.
    Office(OfficeRequest),
    /// The members as a table.
    Members(CoopId),
    /// Every harvest as CSV.
    Harvests(CoopId),
    /// Everything, into a file.
    Export(PathBuf),
    /// Whether the store holds together.
    Check,
    /// A dated backup into a folder.
    Backup {
        /// Where.
        folder: PathBuf,
        /// The newest so many stay.
        keep: usize,
        /// Others for so many days.
        keep_days: u32,
    },
    /// Old messages into a dated file.
    Archive {
        /// Where.
        folder: PathBuf,
        /// Messages received earlier go.
        before: DateTime<Utc>,
    },
}

/// A message as `say` was given it.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Saying {
    /// Whose.
    pub coop: CoopId,
    /// By which link.
    pub link: LinkName,
    /// The network's id.
    pub id: Option<String>,
    /// Who.
    pub from: PhoneNumber,
    /// What.
    pub text: String,
    /// When; none: now.
    pub at: Option<DateTime<Utc>>,
    /// How far back `at` may lie; none: any time.
    pub oldest: Option<Duration>,
    /// The answer as `POST /in` gives it.
    pub json: bool,
}

/// Does it and prints what it gives to `out`.
///
/// # Errors
/// In words for the operator.
pub fn run(counter: &Counter, errand: Errand, out: &mut dyn Write) -> Result<(), ErrandError> {
    match errand {
        Errand::Say(saying) => say(counter, saying, out),
        Errand::Office(request) => match counter.office(request).map_err(refused)? {
            OfficeAnswer::Done => Ok(()),
            OfficeAnswer::Member(number) => Ok(writeln!(out, "{number}")?),
        },
        Errand::Members(coop) => members(counter, coop, out),
        Errand::Harvests(coop) => {
            founded(counter, coop)?;
            counter.harvests(coop, out).map(drop).map_err(refused)
        }
        Errand::Export(file) => {
            let records = counter.export_to(&file).map_err(refused)?;
            tracing::info!(records, "exported");
            Ok(())
        }
        Errand::Check => check(counter, out),
        Errand::Backup {
            folder,
            keep,
            keep_days,
        } => {
            let kept = Kept {
                count: keep,
                age: Duration::days(i64::from(keep_days)),
            };
            let (file, removed) = counter.backup(&folder, kept).map_err(refused)?;
            tracing::info!(removed, "backup made, old ones removed");
            Ok(writeln!(out, "{}", file.display())?)
        }
        Errand::Archive { folder, before } => {
            match counter.archive(&folder, before).map_err(refused)? {
                Some((file, moved)) => {
                    writeln!(out, "{moved} messages moved to {}", file.display())?;
                }
                None => writeln!(out, "no message is that old")?,
            }
            Ok(())
        }
    }
}

/// A cooperative that is not there is told, rather than answered like one without members.
fn founded(counter: &Counter, coop: CoopId) -> Result<(), ErrandError> {
    let rules = counter.rules(coop).map_err(refused)?;
    if rules.join_code.is_empty() {
        return Err(refused(format!(
            "there is no cooperative {} in this folder; found one with `coop init`, or fill an empty folder with `serve --demo --data FOLDER`",
            coop.0
        )));
    }
    Ok(())
}

fn say(counter: &Counter, saying: Saying, out: &mut dyn Write) -> Result<(), ErrandError> {
    founded(counter, saying.coop)?;
    let now = counter.clock().now();
    if let Some(at) = saying.at {
        // A posted message would be entered for today instead; here somebody can be asked.
        let too_old = saying.oldest.is_some_and(|oldest| at < now - oldest);
        if at > now || too_old {
            return Err(refused(format!(
                "--at must not be after the gateway's now ({now}), nor older than it believes"
            )));
        }
    }
    let inbound = Inbound {
        link: saying.link,
        id: saying.id,
        from: saying.from,
        to: None,
        text: saying.text,
        sent_at: saying.at.unwrap_or(now),
        sent_at_known: saying.at.is_some(),
        received_at: now,
    };
    let id = inbound.id.clone();
    let receipt = counter.take(saying.coop, inbound).map_err(refused)?;
    if saying.json {
        writeln!(out, "{}", write_answer(id.as_deref(), &receipt))?;
    } else {
        for reply in &receipt.replies {
            writeln!(out, "{}", reply.text)?;
        }
    }
    Ok(())
}

fn members(counter: &Counter, coop: CoopId, out: &mut dyn Write) -> Result<(), ErrandError> {
    founded(counter, coop)?;
    writeln!(out, "member,name,role,ward,language,phones,stopped")?;
    for member in counter.members(coop).map_err(refused)? {
        let phones: Vec<&str> = member.phones.iter().map(PhoneNumber::full).collect();
        writeln!(
            out,
            "{},{},{},{},{},{},{}",
            member.number,
            quoted(&member.name),
            format!("{:?}", member.role).to_lowercase(),
            quoted(member.ward.as_deref().unwrap_or_default()),
            member.lang,
            phones.join(" "),
            member.stopped,
        )?;
    }
    Ok(())
}

/// A CSV field (RFC 4180).
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

fn check(counter: &Counter, out: &mut dyn Write) -> Result<(), ErrandError> {
    let report = counter.check().map_err(refused)?;
    for (shelf, records) in &report.records {
        writeln!(out, "{shelf}: {records} records")?;
    }
    for fault in &report.faults {
        writeln!(out, "fault: {fault}")?;
    }
    match report.faults_found {
        0 => Ok(writeln!(out, "everything holds together")?),
        found => Err(refused(format!("{found} faults found"))),
    }
}
