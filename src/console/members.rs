//! The list of members, found by number, phone or the beginning of a name, and the form that adds one.
//!
//! This room decides nothing about a member; it makes the desk's requests.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::shown::escaped;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::answers::{OfficeAnswer, OfficeError, OfficeRequest};
use crate::counter::readmodel::rows::FarmRow;
use crate::desk::member::Member;
use crate::desk::words::langs;
use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::user::{Deed, DeedKind, Power};
use crate::domain::{MemberNo, Role};
use maud::{Markup, html};

/// Members on one page: some 30 kB.
const PAGE: usize = 60;

/// The list.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, counter, words) = (visit.who()?, visit.counter(), &visit.words);
    visit.follow()?;
    let ward = visit.query.get("ward");
    let sees = |row: &FarmRow| {
        let home = Some(row.ward.as_str()).filter(|ward| !ward.is_empty());
        who.user.sees(home) && (ward.is_empty() || row.ward == ward)
    };
    // The wards to look in: the one asked for where this user sees it, else all of theirs.
    let within = match ward {
        "" => (!who.user.wards.is_empty()).then(|| who.user.wards.clone()),
        _ if who.user.sees(Some(ward)) => Some(vec![ward.to_owned()]),
        _ => Some(Vec::new()),
    };
    let within = within.as_deref();
    let wanted: String = visit.query.get("q").chars().take(40).collect();
    let after = visit.query.get("after").parse().unwrap_or(0);
    let one = |no: MemberNo| -> Result<Vec<MemberNo>, Refused> {
        let row = counter.farm_row(who.coop, no)?;
        Ok(row.filter(sees).map(|_| no).into_iter().collect())
    };
    let mut found: Vec<MemberNo> = match (wanted.parse(), PhoneNumber::new(&wanted)) {
        _ if wanted.is_empty() => {
            numbers(counter.farm_page(who.coop, MemberNo(after), PAGE + 1, within)?)
        }
        (Ok(no), _) if !wanted.starts_with('+') => one(MemberNo(no))?,
        (_, Some(phone)) => {
            let mut all = Vec::new();
            for no in counter.served_by(who.coop, &phone)? {
                all.extend(one(no)?);
            }
            all
        }
        _ => numbers(counter.farms_named(who.coop, &wanted, PAGE + 1, within)?),
    };
    let more = found.len() > PAGE;
    found.truncate(PAGE);
    let members = found
        .iter()
        .map(|no| counter.member(who.coop, *no))
        .collect::<Result<Vec<_>, _>>()?;
    let wards: Vec<String> = visit
        .wards()?
        .into_iter()
        .filter(|ward| !ward.is_empty())
        .collect();
    let middle = html! {
        (ways(visit))
        form.line method="get" action="/console/members" role="search" {
            label { (words.t("find-member")) input name="q" value=(wanted) placeholder=(words.t("find-member-hint")); }
            label { (words.t("ward")) select name="ward" {
                option value="" { (words.t("all-wards")) }
                @for name in &wards { option value=(name) selected[name == ward] { (name) } }
            } }
            button type="submit" { (words.t("find")) }
        }
        @if members.is_empty() { p { (words.t("members-none")) } } @else { (table(visit, &members)) }
        @if let (true, true, Some(last)) = (more, wanted.is_empty(), members.last()) {
            p.pages { a.button href=(format!("/console/members?after={}&ward={}", last.number, escaped(ward))) { (words.t("next-page")) } }
        }
        @if more && !wanted.is_empty() { p.hint { (words.t("farms-more")) } }
    };
    Ok(frame::page(visit, &words.t("nav-members"), middle))
}

fn numbers(rows: Vec<(MemberNo, FarmRow)>) -> Vec<MemberNo> {
    rows.into_iter().map(|(no, _)| no).collect()
}

/// What else there is about members.
fn ways(visit: &Visit<'_>) -> Markup {
    let words = &visit.words;
    let power = visit.who.as_ref().map(|who| who.user.power);
    html! {
        p.pages {
            @if power >= Some(Power::Officer) {
                a.button href="/console/members/new" { (words.t("member-new")) }
                a.button.quiet href="/console/members/import" { (words.t("import-title")) }
            }
            a.button.quiet href="/console/wards" { (words.t("wards")) }
        }
    }
}

fn table(visit: &Visit<'_>, members: &[Member]) -> Markup {
    let words = &visit.words;
    html! {
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("number")) } th { (words.t("name")) } th { (words.t("ward")) } th { (words.t("lang-label")) } th { (words.t("role")) } th { (words.t("phones")) } th {} } }
            tbody { @for member in members { tr {
                td { a href=(format!("/console/members/{}", member.number)) { (member.number) } }
                td { (member.name) }
                td { (member.ward.as_deref().unwrap_or_default()) }
                td.d { (visit.printed().own_name(member.lang)) }
                td.d { (role(words, member.role)) }
                td { @for phone in &member.phones { (phone.full()) " " } }
                td { @if member.stopped { span.tag { (words.t("stopped")) } } @if member.phones.is_empty() { span.tag { (words.t("no-phone")) } } }
            } } }
        } }
    }
}

/// A role in the reader's words.
#[must_use]
pub fn role(words: &Words<'_>, role: Role) -> String {
    words.t(match role {
        Role::Keeper => "member-keeper",
        Role::Collector => "member-collector",
        Role::Officer => "member-officer",
    })
}

/// The roles as forms write them, by rank.
pub const ROLES: [(Role, &str); 3] = [
    (Role::Keeper, "keeper"),
    (Role::Collector, "collector"),
    (Role::Officer, "officer"),
];

/// The role of a form's word.
#[must_use]
pub fn role_of(word: &str) -> Option<Role> {
    ROLES
        .iter()
        .find(|(_, known)| *known == word)
        .map(|(role, _)| *role)
}

/// A choice of the wards that the user sees.
///
/// # Errors
/// When the store fails.
pub fn ward_choice(visit: &Visit<'_>, chosen: &str) -> Result<Markup, Refused> {
    let wards: Vec<String> = visit
        .wards()?
        .into_iter()
        .filter(|ward| !ward.is_empty())
        .collect();
    Ok(html! {
        label { (visit.words.t("ward")) select name="ward" {
            @for ward in &wards { option value=(ward) selected[ward == chosen] { (ward) } }
        } }
    })
}

/// A choice of languages.
#[must_use]
pub fn lang_choice(visit: &Visit<'_>, chosen: Lang) -> Markup {
    html! {
        label { (visit.words.t("lang-label")) select name="lang" {
            @for lang in langs() { option value=(lang) selected[lang == chosen] { (visit.printed().own_name(lang)) } }
        } }
    }
}

/// The form that adds a member.
///
/// # Errors
/// When the store fails.
pub fn new(visit: &Visit<'_>) -> Result<Answer, Refused> {
    new_page(visit, None)
}

fn new_page(visit: &Visit<'_>, trouble: Option<&str>) -> Result<Answer, Refused> {
    let words = &visit.words;
    let said = |name: &str| visit.form.get(name).to_owned();
    let manager = visit.who()?.user.power >= Power::Manager;
    let lang = Lang::new(visit.form.get("lang")).unwrap_or(words.lang);
    let wards = ward_choice(visit, visit.form.get("ward"))?;
    let middle = html! {
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        (frame::form(visit, "/console/members/new", html! {
            label { (words.t("name")) input name="name" value=(said("name")) required maxlength="40"; }
            label { (words.t("phones")) " " small { (words.t("phones-hint")) } input name="phones" value=(said("phones")) inputmode="tel"; }
            (wards)
            (lang_choice(visit, lang))
            @if manager { (role_choice(words, Role::Keeper)) }
            label { (words.t("number")) " " small { (words.t("number-hint")) } input name="number" value=(said("number")) inputmode="numeric"; }
            button type="submit" { (words.t("member-add")) }
        }))
        p.hint { (words.t("consent-later")) }
    };
    let page = frame::page(visit, &words.t("member-new"), middle);
    Ok(if trouble.is_some() {
        page.with_status(422)
    } else {
        page
    })
}

/// A choice of roles.
#[must_use]
pub fn role_choice(words: &Words<'_>, chosen: Role) -> Markup {
    html! {
        label { (words.t("role")) select name="role" {
            @for (known, word) in ROLES { option value=(word) selected[known == chosen] { (role(words, known)) } }
        } }
    }
}

/// Adds a member.
///
/// # Errors
/// When the store fails.
pub fn add(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, words) = (visit.who()?, &visit.words);
    let ward = Some(visit.form.get("ward").to_owned()).filter(|ward| !ward.is_empty());
    if !who.user.sees(ward.as_deref()) {
        return new_page(visit, Some(&words.t("ward-not-yours")));
    }
    let number = match visit.form.get("number") {
        "" => None,
        text => match text.parse() {
            Ok(no) => Some(MemberNo(no)),
            Err(_) => return new_page(visit, Some(&words.t("number-wrong"))),
        },
    };
    let mut phones = Vec::new();
    for text in visit
        .form
        .get("phones")
        .split([',', ';', '/'])
        .map(str::trim)
        .filter(|t| !t.is_empty())
    {
        match PhoneNumber::new(text) {
            Some(phone) => phones.push(phone),
            None => {
                return new_page(
                    visit,
                    Some(&words.say("phone-wrong", &[("found", text.to_owned().into())])),
                );
            }
        }
    }
    let role = role_of(visit.form.get("role")).filter(|_| who.user.power >= Power::Manager);
    let name = visit.form.get("name").to_owned();
    let request = OfficeRequest::AddMember {
        coop: who.coop,
        number,
        name: name.clone(),
        lang: Lang::new(visit.form.get("lang"))
            .filter(|lang| langs().contains(lang))
            .unwrap_or(Lang::EN),
        role: role.unwrap_or(Role::Keeper),
        ward,
        phones,
    };
    let deed = Deed {
        kind: DeedKind::MemberChanged,
        member: number,
        message: None,
        old: String::new(),
        new: name,
    };
    match visit.counter().office_by(request, &who.login, deed) {
        Ok(OfficeAnswer::Member(no)) => {
            Ok(Answer::go(&format!("/console/members/{no}?done=added")))
        }
        Ok(OfficeAnswer::Done) => Ok(Answer::go("/console/members")),
        Err(OfficeError::Refused(why)) => new_page(visit, Some(&why.to_string())),
        Err(OfficeError::Counter(error)) => Err(error.into()),
    }
}
