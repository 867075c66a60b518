//! The forms of a member's page: details, phones, role, consent.
//!
//! This room decides nothing; it makes the desk's requests, each with its line in the trail.

use crate::console::answer::{Answer, Refused};
use crate::console::member::{HOWS, Texts, shown};
use crate::console::members::role_of;
use crate::console::visit::Visit;
use crate::counter::answers::{OfficeError, OfficeRequest};
use crate::desk::member::Member;
use crate::desk::words::langs;
use crate::domain::event::Consent;
use crate::domain::lang::Lang;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::domain::user::{Deed, DeedKind};
use crate::units::day::FarmDay;
use chrono::NaiveDate;

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
    let lang = Lang::new(form.get("lang")).filter(|lang| langs().contains(lang));
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
    let texts = Texts::ALL
        .into_iter()
        .find(|texts| texts.word() == form.get("texts"));
    changes.extend(texts.map_or_else(Vec::new, |texts| to_send(coop, &member, texts)));
    carry_out(visit, &member, changes)
}

/// What makes the member be sent `wanted` from now on.
fn to_send(coop: CoopId, member: &Member, wanted: Texts) -> Changes {
    let (no, stands) = (member.number, Texts::of(member));
    let (stopped, only) = (wanted == Texts::None, wanted == Texts::Questions);
    let mut requests = Vec::new();
    if stopped != member.stopped {
        requests.push(OfficeRequest::SetSilence {
            coop,
            member: no,
            stopped,
        });
    }
    // Whoever wants nothing for a while keeps the choice for afterwards.
    if !stopped && only != member.questions_only {
        requests.push(OfficeRequest::SetQuestionsOnly {
            coop,
            member: no,
            only,
        });
    }
    let words = || (stands.word().to_owned(), wanted.word().to_owned());
    let change = |request| {
        let (old, new) = words();
        (request, old, new)
    };
    requests.into_iter().map(change).collect()
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
