//! Tokens of programs: a manager makes one, sees it once, and takes it back.
//!
//! What a token may do is the desk's to say. This room keeps no secret.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::tokens::fresh;
use crate::counter::users::ChangeError;
use crate::desk::user::{ABOUT_MAX, KeptToken};
use crate::domain::user::{Deed, DeedKind, Login, Power, Token, TokenNo, UserEvent};
use maud::{Markup, html};

/// The tokens, and a form for another.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    show(visit, html! {})
}

fn show(visit: &Visit<'_>, told: Markup) -> Result<Answer, Refused> {
    let words = &visit.words;
    let who = visit.who()?;
    let users = visit.counter().users(who.coop)?;
    let kept: Vec<(&Login, &KeptToken)> = users
        .iter()
        .flat_map(|(login, user)| user.tokens.iter().map(move |kept| (login, kept)))
        .collect();
    let middle = html! {
        (told)
        p.hint { (words.t("tokens-hint")) }
        @if kept.is_empty() { p { (words.t("tokens-none")) } }
        @else { div.wide tabindex="0" { table {
            thead { tr {
                th { (words.t("token-about")) } th { (words.t("user")) } th { (words.t("role")) } th { (words.t("wards")) }
                th { (words.t("token-made")) } th { (words.t("token-used")) } th { (words.t("token-revoke")) }
            } }
            tbody { @for (login, kept) in kept { (line(visit, login, kept)) } }
        } } }
        h2 { (words.t("token-new")) }
        (form(visit)?)
    };
    Ok(frame::page(visit, &words.t("tokens"), middle))
}

fn line(visit: &Visit<'_>, login: &Login, kept: &KeptToken) -> Markup {
    let (words, token) = (&visit.words, &kept.token);
    let action = format!("/console/tokens/{login}/{}/revoke", token.no);
    html! {
        tr {
            td { (token.about) } td { (login.as_str()) } td { (words.t(role(token.power))) }
            td { @if token.wards.is_empty() { (words.t("token-all-wards")) } @else { (token.wards.join(", ")) } }
            td { (kept.made_at.format("%Y-%m-%d")) }
            td { @match kept.used_on { Some(day) => { (day) } None => { (words.t("token-never")) } } }
            td { (frame::form(visit, &action, html! {
                button.quiet type="submit" aria-label=(format!("{}: {}", words.t("token-revoke"), token.about)) { (words.t("token-revoke")) }
            })) }
        }
    }
}

const fn role(power: Power) -> &'static str {
    match power {
        Power::Viewer => "token-reads-figures",
        Power::Officer | Power::Manager => "token-reads-all",
    }
}

fn form(visit: &Visit<'_>) -> Result<Markup, Refused> {
    let words: &Words<'_> = &visit.words;
    let wards = visit.wards()?;
    Ok(frame::form(
        visit,
        "/console/tokens",
        html! {
            label { (words.t("token-about")) " " small { (words.t("token-about-hint")) } input name="about" maxlength=(ABOUT_MAX) required autocomplete="off"; }
            label { (words.t("role")) select name="role" {
                @for power in [Power::Viewer, Power::Officer] { option value=(power.word()) { (words.t(role(power))) } }
            } }
            fieldset {
                legend { (words.t("wards")) }
                p.hint { (words.t("token-wards-hint")) }
                @for ward in wards.iter().filter(|ward| !ward.is_empty()) {
                    label.tick { input type="checkbox" name="ward" value=(ward); " " (ward) }
                }
            }
            button type="submit" { (words.t("token-make")) }
        },
    ))
}

/// Makes a token and shows it.
///
/// # Errors
/// When the store fails.
pub fn make(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, words) = (visit.who()?, &visit.words);
    let trouble = |text: String| html! { p.trouble role="alert" { (text) } };
    let Ok((text, digest)) = fresh(who.coop, &who.login) else {
        return show(visit, trouble(words.t("refused-counter")));
    };
    let token = Token {
        no: TokenNo(0),
        about: visit.form.get("about").to_owned(),
        digest,
        power: Power::of_word(visit.form.get("role")).unwrap_or(Power::Viewer),
        wards: visit.form.all("ward").map(str::to_owned).collect(),
    };
    let about = token.about.clone();
    match change(visit, &who.login, UserEvent::TokenMade(token), about) {
        Ok(()) => {
            // The list is shown as it is now, so the user is read again.
            let told = html! {
                div.done role="status" {
                    p { (words.t("token-shown-once")) }
                    p { span.said { (text) } }
                    p.hint { (words.t("token-how")) " " span.said { "curl -H \"Authorization: Bearer TOKEN\" …/api/v1/today" } }
                }
            };
            show(visit, told)
        }
        Err(ChangeError::Refused(why)) => show(visit, trouble(why.to_string())),
        Err(ChangeError::Counter(why)) => Err(why.into()),
    }
}

/// Takes a token back.
///
/// # Errors
/// [`Refused::NotFound`] where there is none.
pub fn revoke(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let login = visit.places.first().and_then(|name| Login::new(name));
    let no = visit.places.get(1).and_then(|no| no.parse().ok());
    let (login, no) = login.zip(no.map(TokenNo)).ok_or(Refused::NotFound)?;
    match change(
        visit,
        &login,
        UserEvent::TokenRevoked(no),
        format!("{login}: -{no}"),
    ) {
        Ok(()) => Ok(Answer::go("/console/tokens")),
        Err(ChangeError::Refused(_)) => Err(Refused::NotFound),
        Err(ChangeError::Counter(why)) => Err(why.into()),
    }
}

fn change(
    visit: &Visit<'_>,
    login: &Login,
    event: UserEvent,
    new: String,
) -> Result<(), ChangeError> {
    // A visit that got so far is signed in; nobody's deed would only be left unnoted.
    let Ok(who) = visit.who() else { return Ok(()) };
    let deed = Deed {
        kind: DeedKind::TokenChanged,
        member: None,
        message: None,
        old: String::new(),
        new,
    };
    let by = (who.login.clone(), deed);
    visit
        .counter()
        .change_user(who.coop, login, vec![event], Some(by))
}
