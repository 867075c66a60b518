//! Members from a file, CSV or a workbook: first what each row would change or why it is refused, then the change.
//!
//! The file waits here between the two. What it means is read elsewhere; this room holds it to the user's wards and role.

use crate::console::answer::{Answer, Refused};
use crate::console::names::FORM_TOKEN;
use crate::console::visit::Visit;
use crate::console::{frame, held, sessions, upload};
use crate::counter::answers::OfficeRequest;
use crate::desk::user::User;
use crate::domain::message::CoopId;
use crate::domain::user::{Deed, DeedKind, Login, Power};
use crate::domain::{MemberNo, Role};
use crate::sheets::members_in::{self, Fate, ImportError, Row};
use chrono::{DateTime, Duration, Utc};
use maud::{Markup, html};

/// Rows shown: some 50 kB.
const SHOWN_MAX: usize = 200;
/// Files that wait at once: 4 MB each at the most.
const WAITING_MAX: usize = 8;
/// How long a file waits to be brought in.
fn keeps() -> Duration {
    Duration::hours(1)
}

/// A file between its dry run and its change.
#[derive(Clone, Debug)]
pub struct Waiting {
    coop: CoopId,
    login: Login,
    bytes: Vec<u8>,
    since: DateTime<Utc>,
}

/// The form.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    Ok(choose(visit, None))
}

fn choose(visit: &Visit<'_>, trouble: Option<&str>) -> Answer {
    let words = &visit.words;
    let token = visit.who.as_ref().map_or("", |who| who.form_token.as_str());
    let middle = html! {
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        p { (words.t("import-hint")) }
        p.hint { (words.t("import-columns")) }
        form method="post" enctype="multipart/form-data" action=(format!("/console/members/import?{FORM_TOKEN}={token}")) {
            input type="hidden" name=(FORM_TOKEN) value=(token);
            label { (words.t("import-file")) input name="file" type="file" required accept=".csv,.xlsx,text/csv"; }
            button type="submit" { (words.t("import-look")) }
        }
    };
    let page = frame::page(visit, &words.t("import-title"), middle);
    if trouble.is_some() {
        page.with_status(422)
    } else {
        page
    }
}

/// The dry run: nothing is changed.
///
/// # Errors
/// When the store fails.
pub fn look(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let who = visit.who()?;
    let Some(bytes) = upload::file(&visit.body, &visit.body_kind, "file") else {
        return Ok(choose(visit, Some(&visit.words.t("import-no-file"))));
    };
    let rows = match planned(visit, bytes)? {
        Ok(rows) => rows,
        Err(why) => return Ok(choose(visit, Some(&why))),
    };
    let Ok(name) = sessions::token() else {
        return Ok(choose(visit, Some(&visit.words.t("import-no-file"))));
    };
    let now = visit.console.watch.now();
    let mut files = held(&visit.console.imports);
    files.retain(|_, file| now - file.since < keeps());
    while files.len() >= WAITING_MAX {
        let oldest = files
            .iter()
            .min_by_key(|(_, file)| file.since)
            .map(|(name, _)| name.clone());
        oldest.map(|name| files.remove(&name));
    }
    let waiting = Waiting {
        coop: who.coop,
        login: who.login.clone(),
        bytes: bytes.to_vec(),
        since: now,
    };
    files.insert(name.clone(), waiting);
    drop(files);
    Ok(shown(visit, &name, &rows, None))
}

/// What the file means for this user; or why it is no sheet of members.
fn planned(visit: &Visit<'_>, bytes: &[u8]) -> Result<Result<Vec<Row>, String>, Refused> {
    let who = visit.who()?;
    let mut rows = match members_in::plan(visit.counter(), who.coop, bytes) {
        Ok(rows) => rows,
        Err(ImportError::Counter(error)) => return Err(error.into()),
        Err(why) => return Ok(Err(why.to_string())),
    };
    for row in &mut rows {
        if let Some((column, key)) = fenced(visit, &who.user, &row.fate)? {
            row.fate = Fate::Refused {
                column,
                why: visit.words.t(key),
            };
        }
    }
    Ok(Ok(rows))
}

/// Why a user may not do what a row means: the wards and the role that they are held to.
fn fenced(
    visit: &Visit<'_>,
    user: &User,
    fate: &Fate,
) -> Result<Option<(&'static str, &'static str)>, Refused> {
    let requests: Vec<&OfficeRequest> = match fate {
        Fate::Add(request) => vec![request],
        Fate::Change(changes) => changes.iter().map(|(_, request)| request).collect(),
        Fate::Same | Fate::Refused { .. } => return Ok(None),
    };
    let home = |no: MemberNo| -> Result<bool, Refused> {
        let member = visit.counter().member(visit.who()?.coop, no)?;
        Ok(user.sees(member.ward.as_deref()))
    };
    for request in requests {
        let (ward, seen, rank) = match request {
            OfficeRequest::AddMember { ward, role, .. } => {
                (user.sees(ward.as_deref()), true, *role > Role::Keeper)
            }
            OfficeRequest::SetWard { member, ward, .. } => {
                (user.sees(Some(ward)), home(*member)?, false)
            }
            OfficeRequest::SetRole { member, .. } => (true, home(*member)?, true),
            OfficeRequest::SetName { member, .. }
            | OfficeRequest::SetLang { member, .. }
            | OfficeRequest::AddPhone { member, .. } => (true, home(*member)?, false),
            _ => (true, true, false),
        };
        if !seen {
            return Ok(Some(("member", "member-not-yours")));
        }
        if !ward {
            return Ok(Some(("ward", "ward-not-yours")));
        }
        if rank && user.power < Power::Manager {
            return Ok(Some(("role", "role-not-yours")));
        }
    }
    Ok(None)
}

/// Tells apart what was shown from what the file means now.
fn fingerprint(rows: &[Row]) -> String {
    format!("{:08x}", crc32fast::hash(format!("{rows:?}").as_bytes()))
}

/// Brings in what was shown.
///
/// # Errors
/// When the store fails.
pub fn apply(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, words) = (visit.who()?, &visit.words);
    let name = visit.form.get("file").to_owned();
    let now = visit.console.watch.now();
    let waiting = held(&visit.console.imports).get(&name).cloned();
    let own = |file: &Waiting| {
        file.login == who.login && file.coop == who.coop && now - file.since < keeps()
    };
    let Some(file) = waiting.filter(own) else {
        return Ok(choose(visit, Some(&words.t("import-gone"))));
    };
    let mut rows = match planned(visit, &file.bytes)? {
        Ok(rows) => rows,
        Err(why) => return Ok(choose(visit, Some(&why))),
    };
    if fingerprint(&rows) != visit.form.get("seen") {
        return Ok(shown(visit, &name, &rows, Some(words.t("import-moved"))));
    }
    held(&visit.console.imports).remove(&name);
    let counts = Counts::of(&rows);
    members_in::carry_out(visit.counter(), &mut rows)?;
    visit.note(Deed {
        kind: DeedKind::Imported,
        member: None,
        message: None,
        old: String::new(),
        new: format!("+{} ~{}", counts.added, counts.changed),
    })?;
    rows.retain(|row| matches!(row.fate, Fate::Refused { .. }));
    let middle = html! {
        p.done role="status" { (counts.told(visit, "import-done")) }
        (table(visit, &rows))
        p { a href="/console/members" { (words.t("nav-members")) } }
    };
    Ok(frame::page(visit, &words.t("import-title"), middle))
}

/// How many rows of each fate.
#[derive(Clone, Copy, Default)]
struct Counts {
    added: usize,
    changed: usize,
    same: usize,
    refused: usize,
}

impl Counts {
    fn of(rows: &[Row]) -> Self {
        let mut counts = Self::default();
        for row in rows {
            match row.fate {
                Fate::Add(_) => counts.added += 1,
                Fate::Change(_) => counts.changed += 1,
                Fate::Same => counts.same += 1,
                Fate::Refused { .. } => counts.refused += 1,
            }
        }
        counts
    }

    fn told(self, visit: &Visit<'_>, key: &str) -> String {
        let values = [
            ("added", self.added.into()),
            ("changed", self.changed.into()),
            ("same", self.same.into()),
            ("refused", self.refused.into()),
        ];
        visit.words.say(key, &values)
    }
}

fn shown(visit: &Visit<'_>, name: &str, rows: &[Row], trouble: Option<String>) -> Answer {
    let words = &visit.words;
    let counts = Counts::of(rows);
    let middle = html! {
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        p { (counts.told(visit, "import-would")) }
        @if counts.added + counts.changed > 0 { (frame::form(visit, "/console/members/import/apply", html! {
            input type="hidden" name="file" value=(name);
            input type="hidden" name="seen" value=(fingerprint(rows));
            button type="submit" { (words.t("import-apply")) }
        })) }
        (table(visit, rows))
        p { a href="/console/members/import" { (words.t("import-other")) } }
    };
    frame::page(visit, &words.t("import-title"), middle)
}

/// Refused rows first, then those that change something.
fn table(visit: &Visit<'_>, rows: &[Row]) -> Markup {
    let words = &visit.words;
    let refused = rows
        .iter()
        .filter(|row| matches!(row.fate, Fate::Refused { .. }));
    let changing = rows
        .iter()
        .filter(|row| matches!(row.fate, Fate::Add(_) | Fate::Change(_)));
    let listed: Vec<&Row> = refused.chain(changing).collect();
    html! {
        @if !listed.is_empty() { div.wide tabindex="0" { table {
            thead { tr { th.n { (words.t("row")) } th { (words.t("import-who")) } th { (words.t("import-fate")) } } }
            tbody { @for row in listed.iter().take(SHOWN_MAX) { tr {
                td.n { (row.line) } td { (row.who) }
                td { @match &row.fate {
                    Fate::Add(_) => { (words.t("import-new")) }
                    Fate::Change(changes) => { @for (what, _) in changes { (what) br; } }
                    Fate::Refused { column, why } => { span.tag { (words.t("import-refused")) } " " (column) ": " (why) }
                    Fate::Same => {}
                } }
            } } }
        } } }
        @if listed.len() > SHOWN_MAX { p.hint { (words.say("import-more", &[("n", (listed.len() - SHOWN_MAX).into())])) } }
    }
}
