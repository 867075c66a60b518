//! A paper book caught up with: several dated lines for one member, each judged and shown with its answer before anything is saved.
//!
//! Each line takes the way of every text of the officer. This room decides nothing about it.

use crate::console::answer::{Answer, Refused};
use crate::console::entry::{self, is_bare, line_for};
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::console::{frame, sessions};
use crate::desk::member::Member;
use crate::domain::message::{Inbound, Outcome, Receipt};
use crate::domain::phone::PhoneNumber;
use crate::domain::user::{Deed, DeedKind};
use crate::units::day::FarmDay;
use chrono::{Duration, NaiveDate};
use maud::{Markup, html};

/// Lines of one form: a page of a book.
const LINES: usize = 16;
/// A day is said as day and month: before so many days it could be taken for another year's.
const BACK_MAX: i64 = 300;
/// Letters of a line.
const LETTERS_MAX: usize = 120;

/// One line of the form.
#[derive(Clone, Debug, Default)]
struct Line {
    day: String,
    text: String,
}

/// A line as it would be said, or why it cannot be.
type Said = Result<String, &'static str>;

impl Line {
    /// The line with its day behind it, as a keeper writes it.
    fn said(&self, today: FarmDay) -> Said {
        if self.text.chars().count() > LETTERS_MAX {
            return Err("book-long");
        }
        if self.day.is_empty() || is_bare(&self.text) {
            return Ok(self.text.clone());
        }
        let day = NaiveDate::parse_from_str(&self.day, "%Y-%m-%d").map_err(|_| "book-no-day")?;
        if day > today {
            return Err("book-future");
        }
        if today - day > Duration::days(BACK_MAX) {
            return Err("book-old");
        }
        Ok(format!("{} {}", self.text, day.format("%-d/%-m")))
    }
}

fn lines(visit: &Visit<'_>) -> Vec<Line> {
    let days = visit.form.all("day");
    let texts = visit.form.all("line");
    let pairs = days.zip(texts).map(|(day, text)| Line {
        day: day.to_owned(),
        text: text.to_owned(),
    });
    pairs
        .filter(|line| !line.text.is_empty())
        .take(LINES)
        .collect()
}

/// The form, empty.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let nobody = entry::officer_phone(visit)?.is_none();
    let trouble = nobody.then(|| visit.words.t("enters-as-nobody"));
    shown(visit, &member, &[], &[], trouble)
}

/// Looks at the lines or saves them.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn enter(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let lines = lines(visit);
    let Some(phone) = entry::officer_phone(visit)? else {
        let trouble = Some(visit.words.t("enters-as-nobody"));
        return shown(visit, &member, &lines, &[], trouble);
    };
    let today = visit.today()?;
    let said: Vec<Said> = lines.iter().map(|line| line.said(today)).collect();
    let all_right = said.iter().all(Result::is_ok);
    if visit.form.get("step") == "save" && all_right {
        return save(visit, &member, &phone, &said);
    }
    let texts = texts(visit, &member, &phone, &said);
    let judged = visit.counter().rehearse(visit.who()?.coop, texts)?;
    let mut judged = judged.into_iter();
    let told: Vec<Told> = said
        .into_iter()
        .map(|said| match said {
            Ok(_) => Told::Judged(judged.next()),
            Err(key) => Told::Wrong(key),
        })
        .collect();
    shown(visit, &member, &lines, &told, None)
}

/// What is shown beside a line.
enum Told {
    /// Its answer.
    Judged(Option<Receipt>),
    /// Why it is none.
    Wrong(&'static str),
}

/// The lines that can be said, as texts of the officer.
fn texts(visit: &Visit<'_>, member: &Member, phone: &PhoneNumber, said: &[Said]) -> Vec<Inbound> {
    let once = visit.form.get("once");
    let lines = said.iter().enumerate();
    lines
        .filter_map(|(at, said)| {
            let line = said.as_ref().ok()?;
            let once = format!("{once}-{at}");
            Some(line_for(
                visit,
                phone.clone(),
                member.number,
                line,
                (visit.now(), &once),
            ))
        })
        .collect()
}

fn save(
    visit: &Visit<'_>,
    member: &Member,
    phone: &PhoneNumber,
    said: &[Said],
) -> Result<Answer, Refused> {
    let words = &visit.words;
    let mut done = Vec::new();
    for inbound in texts(visit, member, phone, said) {
        let text = inbound.text.clone();
        let receipt = entry::take(visit, inbound)?;
        if receipt.outcome != Outcome::Duplicate {
            visit.note(Deed {
                kind: DeedKind::Entered,
                member: Some(member.number),
                message: Some(receipt.message),
                old: String::new(),
                new: text.clone(),
            })?;
        }
        done.push((text, receipt));
    }
    let page = format!("/console/members/{}/book", member.number);
    let middle = html! {
        p.done role="status" { (words.t("book-saved")) }
        ol.thread { @for (text, receipt) in &done { li { p { span.said { (text) } } (answer(words, receipt)) } } }
        p.hint { (words.t("book-asked-hint")) }
        p.pages {
            a.button href=(page) { (words.t("book-more")) }
            a.button.quiet href=(format!("/console/farms/{}", member.number)) { (words.t("to-farm")) }
        }
    };
    Ok(frame::page(visit, &title(visit, member), middle))
}

fn title(visit: &Visit<'_>, member: &Member) -> String {
    format!(
        "{}: {} {}",
        visit.words.t("book-title"),
        member.name,
        member.number
    )
}

fn answer(words: &Words<'_>, receipt: &Receipt) -> Markup {
    html! {
        p { span.tag { (words.t(outcome_key(receipt.outcome))) } }
        @for reply in &receipt.replies { p.reply { (reply.text) } }
    }
}

const fn outcome_key(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Duplicate => "outcome-duplicate",
        Outcome::Asked => "outcome-asked",
        Outcome::Partly => "outcome-partly",
        Outcome::Unreadable => "outcome-unreadable",
        Outcome::Refused => "outcome-refused",
        Outcome::Saved => "outcome-saved",
        Outcome::Answered => "outcome-answered",
    }
}

fn shown(
    visit: &Visit<'_>,
    member: &Member,
    lines: &[Line],
    told: &[Told],
    trouble: Option<String>,
) -> Result<Answer, Refused> {
    let words = &visit.words;
    let today = visit.today()?.format("%Y-%m-%d").to_string();
    let none = Line::default();
    let once = match visit.form.get("once") {
        "" => sessions::token().unwrap_or_default(),
        once => once.to_owned(),
    };
    let wrong = told.iter().any(|told| matches!(told, Told::Wrong(_)));
    let middle = html! {
        @if let Some(trouble) = &trouble { p.trouble role="alert" { (trouble) } }
        p.hint { (words.t("book-hint")) }
        @if !told.is_empty() { p.done role="status" { (words.t("book-looked")) } }
        (frame::form(visit, &format!("/console/members/{}/book", member.number), html! {
            input type="hidden" name="once" value=(once);
            ol.book { @for at in 0..LINES {
                @let line = lines.get(at).unwrap_or(&none);
                li {
                    div.pair {
                        input name="day" type="date" max=(today) value=(line.day) aria-label=(format!("{} {}", words.t("day"), at + 1));
                        input name="line" value=(line.text) maxlength=(LETTERS_MAX) autocomplete="off" aria-label=(format!("{} {}", words.t("enter-line"), at + 1));
                    }
                    @match told.get(at) {
                        Some(Told::Judged(Some(receipt))) => { (answer(words, receipt)) }
                        Some(Told::Wrong(key)) => { p.trouble { (words.t(key)) } }
                        Some(Told::Judged(None)) | None => {}
                    }
                }
            } }
            p.pages {
                button.quiet type="submit" name="step" value="look" { (words.t("book-look")) }
                @if !told.is_empty() && !wrong { button type="submit" name="step" value="save" { (words.t("book-save")) } }
            }
        }))
    };
    let page = frame::page(visit, &title(visit, member), middle);
    Ok(if wrong { page.with_status(422) } else { page })
}
