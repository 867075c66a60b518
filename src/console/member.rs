//! One member's page: what is known of them, their phones, role, consent and when it was given.
//!
//! `member_changes` takes its forms. This room changes nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::members::{lang_choice, role, role_choice, ward_choice};
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::desk::member::Member;
use crate::domain::event::{ConsentHow, Event, MemberEvent, Recorded};
use crate::domain::user::Power;
use chrono_tz::Tz;
use maud::{Markup, html};

/// How consent is given, as forms write it.
pub(crate) const HOWS: [(ConsentHow, &str, &str); 3] = [
    (ConsentHow::Signed, "signed", "consent-signed"),
    (ConsentHow::Spoken, "spoken", "consent-spoken"),
    (ConsentHow::Called, "called", "consent-called"),
];

/// What a member is sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Texts {
    /// Everything.
    All,
    /// Questions and warnings only, for those who pay for each text.
    Questions,
    /// Nothing.
    None,
}

impl Texts {
    pub(crate) const ALL: [Self; 3] = [Self::All, Self::Questions, Self::None];

    pub(crate) const fn of(member: &Member) -> Self {
        match (member.stopped, member.questions_only) {
            (true, _) => Self::None,
            (false, true) => Self::Questions,
            (false, false) => Self::All,
        }
    }

    /// As forms and the trail write it.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::All => "all",
            Self::Questions => "questions",
            Self::None => "none",
        }
    }

    const fn key(self) -> &'static str {
        match self {
            Self::All => "sent-to",
            Self::Questions => "happened-questions-only",
            Self::None => "stopped",
        }
    }
}

/// The page.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    shown(visit, &member, None)
}

pub(crate) fn shown(
    visit: &Visit<'_>,
    member: &Member,
    trouble: Option<&str>,
) -> Result<Answer, Refused> {
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
        (pin(visit, member, zone, may))
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
            dt { (words.t("lang-label")) } dd { (visit.printed().own_name(member.lang)) }
            dt { (words.t("member-hour")) } dd { (format!("{hour:02}:00")) }
            dt { (words.t("role")) } dd { (role(words, member.role)) }
            @match Texts::of(member) {
                Texts::All => {}
                texts => { dt { (words.t("opt-out")) } dd { span.tag { (words.t(texts.key())) } } }
            }
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
            label { (words.t("opt-out")) select name="texts" {
                @for texts in Texts::ALL {
                    option value=(texts.word()) selected[texts == Texts::of(member)] { (words.t(texts.key())) }
                }
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
        @if rows.is_empty() { p { (words.t("no-phone")) } } @else { div.wide tabindex="0" { table {
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

/// Whether there is a PIN, whether it is locked, and how it is ended. Nobody sees it.
fn pin(visit: &Visit<'_>, member: &Member, zone: Tz, may: bool) -> Markup {
    let words = &visit.words;
    let now = visit.counter().clock().now();
    html! {
        h2 { (words.t("pin")) }
        @match &member.pin {
            None => { p { (words.t("pin-none")) } }
            Some(pin) => {
                @match pin.locked(now) {
                    Some(until) => {
                        @let until = until.with_timezone(&zone).format("%d.%m.%Y %H:%M").to_string();
                        p { span.tag { (words.say("pin-locked", &[("until", until.into())])) } }
                    }
                    None => { p { (words.t("pin-there")) } }
                }
                @if may { (frame::form(visit, &format!("/console/members/{}/pin", member.number), html! {
                    p.hint { (words.t("pin-hint")) }
                    button.quiet type="submit" { (words.t("pin-end")) }
                })) }
            }
        }
    }
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
        div.wide tabindex="0" { table {
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
        MemberEvent::Erased => ("happened-erased", none()),
        MemberEvent::PinSet(_) => ("happened-pin-set", none()),
        MemberEvent::PinEnded => ("happened-pin-ended", none()),
        MemberEvent::PinWrong => ("happened-pin-wrong", none()),
        MemberEvent::PinRight => ("happened-pin-right", none()),
        MemberEvent::PinLocked(until) => (
            "happened-pin-locked",
            until.format("%d.%m.%Y %H:%M UTC").to_string(),
        ),
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
