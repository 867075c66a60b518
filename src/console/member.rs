//! One member: what is known of them, phones cut off and linked, role, consent and when it was given.
//!
//! This room decides nothing; it makes the desk's requests, each with its line in the trail.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::members::{lang_choice, lang_name, role, role_choice, role_of, ward_choice};
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::answers::{OfficeError, OfficeRequest};
use crate::desk::member::Member;
use crate::domain::event::{Consent, ConsentHow, Event, MemberEvent, Recorded};
use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::user::{Deed, DeedKind, Power};
use crate::units::day::FarmDay;
use chrono::NaiveDate;
use chrono_tz::Tz;
use maud::{Markup, html};

/// How consent is given, as forms write it.
const HOWS: [(ConsentHow, &str, &str); 3] = [
    (ConsentHow::Signed, "signed", "consent-signed"),
    (ConsentHow::Spoken, "spoken", "consent-spoken"),
    (ConsentHow::Called, "called", "consent-called"),
];

/// The page.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    shown(visit, &member, None)
}

fn shown(visit: &Visit<'_>, member: &Member, trouble: Option<&str>) -> Result<Answer, Refused> {
    let (who, words) = (visit.who()?, &visit.words);
    let may = who.user.power >= Power::Officer;
    let no = member.number;
    let farm = visit.counter().farm(who.coop, no)?;
    let rules = visit.counter().rules(who.coop)?;
    let hour = farm.hour.unwrap_or(rules.hour);
    let events = visit.counter().member_events(who.coop, no)?;
    let zone = visit.zone()?;
    let middle = html! {
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        @match visit.query.get("done") {
            "saved" => { p.done role="status" { (words.t("saved")) } }
            "added" => { p.done role="status" { (words.t("member-added")) } }
            _ => {}
        }
        p.pages {
            a.button.quiet href=(format!("/console/farms/{no}")) { (words.t("to-farm")) }
            @if may { a.button.quiet href=(format!("/console/members/{no}/book")) { (words.t("book-title")) } }
        }
        (about(visit, member, hour))
        @if may { (details(visit, member, hour)?) }
        (phones(visit, member, may)?)
        @if who.user.power >= Power::Manager { (frame::form(visit, &format!("/console/members/{no}/role"), html! {
            (role_choice(words, member.role))
            p.hint { (words.t("role-hint")) }
            button type="submit" { (words.t("save")) }
        })) }
        (consent(visit, member, &events, may)?)
        (history(words, &events, zone))
    };
    let page = frame::page(visit, &format!("{} {no}", member.name), middle);
    Ok(if trouble.is_some() {
        page.with_status(422)
    } else {
        page
    })
}

fn about(visit: &Visit<'_>, member: &Member, hour: u8) -> Markup {
    let words = &visit.words;
    html! {
        dl {
            dt { (words.t("number")) } dd { (member.number) }
            dt { (words.t("ward")) } dd { (member.ward.as_deref().unwrap_or("-")) }
            dt { (words.t("lang-label")) } dd { (lang_name(visit, member.lang)) }
            dt { (words.t("member-hour")) } dd { (format!("{hour:02}:00")) }
            dt { (words.t("role")) } dd { (role(words, member.role)) }
            @if member.stopped { dt { (words.t("opt-out")) } dd { span.tag { (words.t("stopped")) } } }
        }
    }
}

fn details(visit: &Visit<'_>, member: &Member, hour: u8) -> Result<Markup, Refused> {
    let words = &visit.words;
    let wards = match &member.ward {
        Some(ward) => ward_choice(visit, ward)?,
        None => html! {
            label { (words.t("ward")) select name="ward" {
                option value="" { "-" }
                @for ward in visit.wards()?.iter().filter(|ward| !ward.is_empty()) { option value=(ward) { (ward) } }
            } }
        },
    };
    Ok(html! {
        h2 { (words.t("member-change")) }
        (frame::form(visit, &format!("/console/members/{}", member.number), html! {
            label { (words.t("name")) input name="name" value=(member.name) required maxlength="40"; }
            (wards)
            (lang_choice(visit, member.lang))
            label { (words.t("member-hour")) select name="hour" {
                @for at in 0..24_u8 { option value=(at) selected[at == hour] { (format!("{at:02}:00")) } }
            } }
            label { (words.t("opt-out")) select name="stopped" {
                option value="no" selected[!member.stopped] { (words.t("sent-to")) }
                option value="yes" selected[member.stopped] { (words.t("stopped")) }
            } }
            button type="submit" { (words.t("save")) }
        }))
    })
}

fn phones(visit: &Visit<'_>, member: &Member, may: bool) -> Result<Markup, Refused> {
    let (who, words, no) = (visit.who()?, &visit.words, member.number);
    let mut rows = Vec::new();
    for phone in &member.phones {
        let mut others = visit.counter().served_by(who.coop, phone)?;
        others.retain(|other| *other != no);
        rows.push((phone, others));
    }
    let action = format!("/console/members/{no}/phone");
    Ok(html! {
        h2 { (words.t("phones")) }
        @if rows.is_empty() { p { (words.t("no-phone")) } } @else { div.wide { table {
            thead { tr { th { (words.t("phone")) } th { (words.t("serves-too")) } th {} } }
            tbody { @for (phone, others) in &rows { tr {
                td { a href=(format!("tel:{}", phone.full())) { (phone.full()) } }
                td { @for other in others { a href=(format!("/console/members/{other}")) { (other) } " " } }
                td { @if may { (frame::form(visit, &format!("{action}/cut"), html! {
                    input type="hidden" name="phone" value=(phone.full());
                    button.quiet type="submit" { (words.t("phone-cut")) }
                })) } }
            } } }
        } } }
        @if may { (frame::form(visit, &action, html! {
            label { (words.t("phone-add")) " " small { (words.t("phone-add-hint")) } input name="phone" required inputmode="tel" placeholder="+255700000101"; }
            button type="submit" { (words.t("phone-link")) }
        })) }
    })
}

/// What the events say of consent: the latest word, and how it was given.
fn standing(events: &[Recorded]) -> Option<(bool, String, String)> {
    events
        .iter()
        .rev()
        .find_map(|recorded| match &recorded.event {
            Event::Member(MemberEvent::ConsentNoted(consent)) => {
                let day = consent.day.format("%d.%m.%Y").to_string();
                Some((consent.given, how_key(consent.how).to_owned(), day))
            }
            Event::Member(MemberEvent::Joined { .. }) if recorded.message.is_some() => {
                let day = recorded.at.format("%d.%m.%Y").to_string();
                Some((true, "consent-own-message".to_owned(), day))
            }
            _ => None,
        })
}

fn how_key(how: ConsentHow) -> &'static str {
    HOWS.iter()
        .find(|(known, ..)| *known == how)
        .map_or("consent-spoken", |(_, _, key)| key)
}

fn consent(
    visit: &Visit<'_>,
    member: &Member,
    events: &[Recorded],
    may: bool,
) -> Result<Markup, Refused> {
    let words = &visit.words;
    let today = visit.today()?;
    let told = match standing(events) {
        None => words.t("consent-none"),
        Some((given, how, day)) => {
            let key = if given {
                "consent-given"
            } else {
                "consent-withdrawn"
            };
            words.say(key, &[("how", words.t(&how).into()), ("day", day.into())])
        }
    };
    Ok(html! {
        h2 { (words.t("consent")) }
        p { (told) }
        @if may { (frame::form(visit, &format!("/console/members/{}/consent", member.number), html! {
            label { (words.t("consent-what")) select name="given" {
                option value="yes" { (words.t("consent-gave")) }
                option value="no" { (words.t("consent-withdrew")) }
            } }
            label { (words.t("consent-how")) select name="how" {
                @for (_, word, key) in HOWS { option value=(word) { (words.t(key)) } }
            } }
            label { (words.t("day")) input name="day" type="date" value=(today.format("%Y-%m-%d")) max=(today.format("%Y-%m-%d")) required; }
            p.hint { (words.t("consent-hint")) }
            button type="submit" { (words.t("consent-note")) }
        })) }
    })
}

/// Joining, opting out and in, consent and phones, newest first: when, what, and how.
fn history(words: &Words<'_>, events: &[Recorded], zone: Tz) -> Markup {
    html! {
        h2 { (words.t("member-history")) }
        div.wide { table {
            thead { tr { th { (words.t("when")) } th { (words.t("what")) } th {} th { (words.t("history-how")) } } }
            tbody { @for recorded in events.iter().rev() {
                @if let Event::Member(event) = &recorded.event {
                    @let (key, detail) = happened(words, event);
                    tr {
                        td { (recorded.at.with_timezone(&zone).format("%d.%m.%Y %H:%M")) }
                        td { (words.t(key)) } td { (detail) }
                        td { @if recorded.message.is_some() { (words.t("by-message")) } @else if let MemberEvent::ConsentNoted(consent) = event { (consent.by.as_str()) } @else { (words.t("by-office")) } }
                    }
                }
            } }
        } }
    }
}

fn happened(words: &Words<'_>, event: &MemberEvent) -> (&'static str, String) {
    let none = String::new;
    match event {
        MemberEvent::Joined { name, .. } => ("happened-joined", name.clone()),
        MemberEvent::Named(name) => ("happened-named", name.clone()),
        MemberEvent::LangSet(lang) => ("happened-lang", lang.to_string()),
        MemberEvent::RoleSet(now) => ("happened-role", role(words, *now)),
        MemberEvent::WardSet(ward) => ("happened-ward", ward.clone().unwrap_or_default()),
        MemberEvent::PhoneAdded(phone) => ("happened-phone-added", phone.full().to_owned()),
        MemberEvent::PhoneCut(phone) => ("happened-phone-cut", phone.full().to_owned()),
        MemberEvent::Stopped => ("happened-stopped", none()),
        MemberEvent::Started => ("happened-started", none()),
        MemberEvent::QuestionsOnlySet(_) => ("happened-questions-only", none()),
        MemberEvent::MenuCopiesSet(_) => ("happened-copies", none()),
        MemberEvent::ConsentNoted(consent) => {
            let day = consent.day.format("%d.%m.%Y");
            let key = if consent.given {
                "happened-consent"
            } else {
                "happened-no-consent"
            };
            (key, format!("{day}, {}", words.t(how_key(consent.how))))
        }
    }
}

/// Requests, each with what stood before and what is to stand.
type Changes = Vec<(OfficeRequest, String, String)>;

/// Carries changes out and goes back to the page; a refusal is shown on it.
fn carry_out(visit: &Visit<'_>, member: &Member, changes: Changes) -> Result<Answer, Refused> {
    let who = visit.who()?;
    for (request, old, new) in changes {
        let deed = Deed {
            kind: DeedKind::MemberChanged,
            member: Some(member.number),
            message: None,
            old,
            new,
        };
        match visit.counter().office_by(request, &who.login, deed) {
            Ok(_) => {}
            Err(OfficeError::Refused(why)) => return shown(visit, member, Some(&why.to_string())),
            Err(OfficeError::Counter(error)) => return Err(error.into()),
        }
    }
    Ok(Answer::go(&format!(
        "/console/members/{}?done=saved",
        member.number
    )))
}

/// Changes name, ward, language, hour and whether texts are wanted.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn change(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let who = visit.who()?;
    let (coop, no, form) = (who.coop, member.number, &visit.form);
    let mut changes: Changes = Vec::new();
    let ward = form.get("ward").to_owned();
    if !ward.is_empty() && member.ward.as_ref() != Some(&ward) {
        if !who.user.sees(Some(&ward)) {
            return shown(visit, &member, Some(&visit.words.t("ward-not-yours")));
        }
        let old = member.ward.clone().unwrap_or_default();
        let request = OfficeRequest::SetWard {
            coop,
            member: no,
            ward: ward.clone(),
        };
        changes.push((request, old, ward));
    }
    let name = form.get("name").to_owned();
    if !name.is_empty() && name != member.name {
        let request = OfficeRequest::SetName {
            coop,
            member: no,
            name: name.clone(),
        };
        changes.push((request, member.name.clone(), name));
    }
    let lang =
        Lang::new(form.get("lang")).filter(|lang| crate::desk::words::langs().contains(lang));
    if let Some(lang) = lang.filter(|lang| *lang != member.lang) {
        let request = OfficeRequest::SetLang {
            coop,
            member: no,
            lang,
        };
        changes.push((request, member.lang.to_string(), lang.to_string()));
    }
    let farm = visit.counter().farm(coop, no)?;
    let stands = farm.hour.unwrap_or(visit.counter().rules(coop)?.hour);
    if let Ok(hour) = form.get("hour").parse::<u8>()
        && hour != stands
    {
        let request = OfficeRequest::SetHour {
            coop,
            member: no,
            hour,
        };
        changes.push((request, format!("{stands:02}:00"), format!("{hour:02}:00")));
    }
    let stopped = match form.get("stopped") {
        "yes" => true,
        "no" => false,
        _ => member.stopped,
    };
    if stopped != member.stopped {
        let request = OfficeRequest::SetSilence {
            coop,
            member: no,
            stopped,
        };
        let word = |stopped: bool| if stopped { "stop" } else { "start" }.to_owned();
        changes.push((request, word(member.stopped), word(stopped)));
    }
    carry_out(visit, &member, changes)
}

/// Lets a phone speak for the member.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn link_phone(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let typed = visit.form.get("phone");
    let Some(phone) = PhoneNumber::new(typed) else {
        let found = [("found", typed.chars().take(40).collect::<String>().into())];
        return shown(
            visit,
            &member,
            Some(&visit.words.say("phone-wrong", &found)),
        );
    };
    let new = phone.full().to_owned();
    let request = OfficeRequest::AddPhone {
        coop: visit.who()?.coop,
        member: member.number,
        phone,
    };
    carry_out(visit, &member, vec![(request, String::new(), new)])
}

/// Cuts a phone off, such as one that was lost.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards, or no such phone.
pub fn cut_phone(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let phone = PhoneNumber::new(visit.form.get("phone")).ok_or(Refused::NotFound)?;
    let old = phone.full().to_owned();
    let request = OfficeRequest::CutPhone {
        coop: visit.who()?.coop,
        member: member.number,
        phone,
    };
    carry_out(visit, &member, vec![(request, old, String::new())])
}

/// Sets a role: an officer enters for others, so that only managers make one.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn set_role(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let new = role_of(visit.form.get("role")).ok_or(Refused::NotFound)?;
    let words = |role| format!("{role:?}").to_lowercase();
    let request = OfficeRequest::SetRole {
        coop: visit.who()?.coop,
        member: member.number,
        role: new,
    };
    let change = (request, words(member.role), words(new));
    carry_out(visit, &member, vec![change])
}

/// Notes that the member agreed, or withdrew it.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn note_consent(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let who = visit.who()?;
    let how = HOWS
        .iter()
        .find(|(_, word, _)| *word == visit.form.get("how"));
    let day: Option<FarmDay> = NaiveDate::parse_from_str(visit.form.get("day"), "%Y-%m-%d").ok();
    let today = visit.today()?;
    let (Some((how, word, _)), Some(day)) = (how, day.filter(|day| *day <= today)) else {
        return shown(visit, &member, Some(&visit.words.t("consent-wrong")));
    };
    let given = visit.form.get("given") == "yes";
    let consent = Consent {
        given,
        how: *how,
        day,
        by: who.login.clone(),
    };
    let request = OfficeRequest::NoteConsent {
        coop: who.coop,
        member: member.number,
        consent,
    };
    let new = format!(
        "consent {} {day} {word}",
        if given { "given" } else { "withdrawn" }
    );
    carry_out(visit, &member, vec![(request, String::new(), new)])
}
