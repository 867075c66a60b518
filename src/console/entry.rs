//! Entering for a member, and saying what an unreadable message meant: both as a text of the user's own officer phone, so that the record keeps
//! who said it, when, and what stood before.
//!
//! The line takes the same way as any message. This room decides nothing about it.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::sessions;
use crate::console::teach;
use crate::console::visit::Visit;
use crate::counter::answers::{CounterError, MessageRow, TakeError};
use crate::domain::MemberNo;
use crate::domain::message::{Inbound, LinkName, MessageNo, Outcome, Receipt};
use crate::domain::phone::PhoneNumber;
use crate::domain::user::{Deed, DeedKind, Power};
use chrono::{DateTime, Utc};
use maud::html;

/// What is typed here came in by this link: the record shows that no phone sent it.
pub const LINK: &str = "console";
/// Letters of a line at the most: one part less the words before it.
const LINE_MAX: usize = 140;
/// Unreadable messages on one page: some 30 kB.
const UNREAD_MAX: usize = 40;

/// Whether the message was answered by a question that yes or no answers.
#[must_use]
pub fn asked_yes_or_no(row: &MessageRow) -> bool {
    row.outcome == Outcome::Asked
}

/// The officer's phone in whose name the user enters.
pub(crate) fn officer_phone(visit: &Visit<'_>) -> Result<Option<PhoneNumber>, Refused> {
    let who = visit.who()?;
    let Some(no) = who.user.member else {
        return Ok(None);
    };
    let member = visit.counter().member(who.coop, no)?;
    Ok(member.phones.into_iter().next())
}

/// A line for a member as a text of the officer, of that moment. `once` makes a form sent twice count once.
pub(crate) fn line_for(
    visit: &Visit<'_>,
    phone: PhoneNumber,
    member: MemberNo,
    line: &str,
    (sent_at, once): (DateTime<Utc>, &str),
) -> Inbound {
    let line: String = line.chars().take(LINE_MAX).collect();
    // Yes and no answer what the officer was asked last, whomever it was about.
    let text = if is_bare(&line) {
        line
    } else {
        format!("for {member} {line}")
    };
    Inbound {
        link: LinkName(LINK.to_owned()),
        id: Some(format!("console-{once}")),
        from: phone,
        to: None,
        text,
        sent_at,
        sent_at_known: true,
        received_at: visit.counter().clock().now(),
    }
}

/// Whether a line is an answer and nothing else.
pub(crate) fn is_bare(line: &str) -> bool {
    matches!(
        line.to_lowercase().as_str(),
        "yes" | "no" | "ndiyo" | "hapana"
    )
}

/// Says a text of the officer.
pub(crate) fn take(visit: &Visit<'_>, inbound: Inbound) -> Result<Receipt, Refused> {
    let taken = visit.counter().take(visit.who()?.coop, inbound);
    taken.map_err(|error| {
        let why = match &error {
            TakeError::Closing => CounterError::Closing,
            _ => CounterError::Store(error.to_string()),
        };
        Refused::Counter(why)
    })
}

/// Says a line for a member.
fn say(
    visit: &Visit<'_>,
    phone: PhoneNumber,
    member: MemberNo,
    line: &str,
    moment: (DateTime<Utc>, &str),
) -> Result<Receipt, Refused> {
    take(visit, line_for(visit, phone, member, line, moment))
}

/// Enters a line for the member in the address.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn enter(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let page = format!("/console/farms/{}", member.number);
    let line = visit.form.get("line");
    let Some(phone) = officer_phone(visit)? else {
        return Ok(Answer::go(&format!("{page}?trouble=nobody")));
    };
    if line.is_empty() {
        return Ok(Answer::go(&page));
    }
    let moment = (visit.now(), visit.form.get("once"));
    let receipt = say(visit, phone, member.number, line, moment)?;
    visit.note(Deed {
        kind: DeedKind::Entered,
        member: Some(member.number),
        message: Some(receipt.message),
        old: String::new(),
        new: line.to_owned(),
    })?;
    Ok(Answer::go(&format!("{page}?said={}", receipt.message.0)))
}

/// The messages that nobody could read.
///
/// # Errors
/// When the store fails.
pub fn unreadable(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, words) = (visit.who()?, &visit.words);
    let sees = |ward: Option<&str>| who.user.sees(ward);
    let rows = visit.counter().unread(who.coop, UNREAD_MAX, &sees)?;
    let zone = visit.zone()?;
    let said = visit.query.get("said").parse().ok().map(MessageNo);
    let said = said
        .map(|no| visit.counter().message(who.coop, no))
        .transpose()?
        .flatten();
    let said = said.filter(|row| row.text.starts_with("for "));
    let middle = html! {
        @if who.user.power >= Power::Officer { p.hint { (words.t("unread-hint")) } }
        @if visit.query.get("trouble") == "nobody" { p.trouble role="alert" { (words.t("enters-as-nobody")) } }
        @if let Some(said) = said {
            div.done role="status" { p { span.said { (said.text) } } @for reply in &said.replies { p { (reply.text) } } }
        }
        @if rows.is_empty() { p.done { (words.t("unread-none")) } }
        ol.needs {
            @for row in &rows {
                @let action = format!("/console/unreadable/{}", row.message.0);
                li #(format!("m{}", row.message.0)) { div {
                    h3 { span.said { (row.text) } }
                    p { small {
                        (row.sent_at.with_timezone(&zone).format("%d.%m. %H:%M")) ", " a href=(format!("tel:{}", row.from.full())) { (row.from.full()) } ", "
                        @match row.member { Some(no) => { a href=(format!("/console/farms/{no}")) { (no) } } None => { (words.t("no-member")) } }
                    } }
                    @if who.user.power >= Power::Officer {
                    (frame::form(visit, &action, html! {
                        input type="hidden" name="once" value=(sessions::token().unwrap_or_default());
                        @if row.member.is_none() { label { (words.t("member")) input name="member" inputmode="numeric" required; } }
                        label { (words.t("meant")) " " small { (words.t("enter-hint")) } input name="line" maxlength="140" required autocomplete="off"; }
                        button type="submit" { (words.t("meant-send")) }
                    }))
                    (frame::form(visit, &format!("{action}/aside"), html! { button.quiet type="submit" { (words.t("lay-aside")) } }))
                    }
                } }
            }
        }
        (teach::section(visit))
    };
    Ok(frame::page(visit, &words.t("nav-unreadable"), middle))
}

/// The unreadable message in the address, where it waits and the user sees it.
fn waiting(visit: &Visit<'_>) -> Result<MessageRow, Refused> {
    let no = visit.message_in(0)?;
    let who = visit.who()?;
    let row = visit
        .counter()
        .message(who.coop, no)?
        .ok_or(Refused::NotFound)?;
    let ward = match row.member {
        Some(member) => visit.counter().member(who.coop, member)?.ward,
        None => None,
    };
    if row.outcome == Outcome::Unreadable && who.user.sees(ward.as_deref()) {
        Ok(row)
    } else {
        Err(Refused::NotFound)
    }
}

/// Says what an unreadable message meant: recorded as if it had been sent then, by the officer.
///
/// # Errors
/// [`Refused::NotFound`] where no such message waits.
pub fn interpret(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let row = waiting(visit)?;
    let who = visit.who()?;
    let typed = visit.form.get("member").parse().ok().map(MemberNo);
    let no = row.member.or(typed).ok_or(Refused::NotFound)?;
    let member = visit.counter().member(who.coop, no)?;
    if !member.joined || !who.user.sees(member.ward.as_deref()) {
        return Err(Refused::NotFound);
    }
    let line = visit.form.get("line");
    let Some(phone) = officer_phone(visit)? else {
        return Ok(Answer::go("/console/unreadable?trouble=nobody"));
    };
    if line.is_empty() {
        return Ok(Answer::go("/console/unreadable"));
    }
    let receipt = say(
        visit,
        phone,
        no,
        line,
        (row.sent_at, visit.form.get("once")),
    )?;
    visit.note(Deed {
        kind: DeedKind::Interpreted,
        member: Some(no),
        message: Some(row.message),
        old: row.text.clone(),
        new: line.to_owned(),
    })?;
    // What was not understood either waits on.
    if !matches!(receipt.outcome, Outcome::Unreadable | Outcome::Refused) {
        visit.counter().lay_aside(who.coop, row.message)?;
    }
    Ok(Answer::go(&format!(
        "/console/unreadable?said={}",
        receipt.message.0
    )))
}

/// Lays an unreadable message aside: there was nothing to record in it.
///
/// # Errors
/// [`Refused::NotFound`] where no such message waits.
pub fn aside(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let row = waiting(visit)?;
    visit.counter().lay_aside(visit.who()?.coop, row.message)?;
    visit.note(Deed {
        kind: DeedKind::LaidAside,
        member: row.member,
        message: Some(row.message),
        old: row.text,
        new: String::new(),
    })?;
    Ok(Answer::go("/console/unreadable"))
}
