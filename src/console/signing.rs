//! Signing in and out, the account's own page, and the choice of a language.
//!
//! A wrong name and a wrong password look the same and take the same time. This room does not know what lies behind the door.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::names::START;
use crate::console::visit::Visit;
use crate::console::words::Value;
use crate::console::{held, password, totp};
use crate::counter::users::ChangeError;
use crate::desk::user::User;
use crate::domain::lang::Lang;
use crate::domain::message::CoopId;
use crate::domain::user::{Deed, DeedKind, Login, Power, UserEvent};
use maud::{Markup, html};

/// The form.
///
/// # Errors
/// None of its own.
pub fn form(visit: &Visit<'_>) -> Result<Answer, Refused> {
    Ok(sign_in_page(visit, None))
}

fn sign_in_page(visit: &Visit<'_>, trouble: Option<String>) -> Answer {
    let words = &visit.words;
    let failed = trouble.is_some();
    let middle = html! {
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        (frame::form(visit, "/console/sign-in", html! {
            label { (words.t("user")) input name="user" autocomplete="username" autocapitalize="none" required autofocus; }
            label { (words.t("password")) input name="password" type="password" autocomplete="current-password" required; }
            label { (words.t("code")) " " small { (words.t("code-hint")) }
                input name="code" inputmode="numeric" autocomplete="one-time-code" maxlength="7"; }
            button type="submit" { (words.t("sign-in")) }
        }))
    };
    let answer = frame::page(visit, &words.t("sign-in"), middle);
    if failed {
        answer.with_status(403)
    } else {
        answer
    }
}

/// Signs in, after the wait that wrong passwords cost.
///
/// # Errors
/// When the store fails.
pub fn sign_in(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let console = visit.console;
    let now = console.watch.now();
    let name = visit.form.get("user").to_lowercase();
    if let Some(wait) = held(&console.lockout).wait(&name, &visit.address, now) {
        let minutes = wait.num_seconds() / 60 + 1;
        let text = visit
            .words
            .say("sign-in-wait", &[("minutes", minutes.into())]);
        return Ok(sign_in_page(visit, Some(text)).with_status(429));
    }
    let typed = visit.form.exact("password");
    let known = Login::new(&name)
        .map(|login| found(visit, &login))
        .transpose()?;
    let known = known.flatten();
    let hash = known
        .as_ref()
        .map_or("", |(_, _, user)| user.password.as_str());
    let right = password::fits(typed, hash);
    let (Some((coop, login, user)), true) = (known, right) else {
        return Ok(turned_away(visit, &name));
    };
    if let Some(secret) = &user.totp {
        let mut used = held(&console.codes_used);
        let last = used.get(login.as_str()).copied();
        let step = totp::accept(secret, visit.form.get("code"), now.timestamp(), last);
        let Some(step) = step else {
            drop(used);
            return Ok(turned_away(visit, &name));
        };
        used.insert(login.as_str().to_owned(), step);
    }
    held(&console.lockout).right(&name);
    let begun = held(&console.sessions).begin(
        (coop, login.clone(), user.edition),
        visit.cookie.as_deref(),
        now,
    );
    let Ok(token) = begun else {
        return Ok(sign_in_page(visit, Some(visit.words.t("refused-counter"))));
    };
    let deed = Deed {
        kind: DeedKind::SignedIn,
        member: None,
        message: None,
        old: String::new(),
        new: String::new(),
    };
    console.counter.note(coop, &login, deed)?;
    Ok(Answer {
        session: Some(token),
        ..Answer::go(START)
    })
}

fn turned_away(visit: &Visit<'_>, name: &str) -> Answer {
    let now = visit.console.watch.now();
    held(&visit.console.lockout).wrong(name, &visit.address, now);
    sign_in_page(visit, Some(visit.words.t("sign-in-wrong")))
}

/// The user of that name who may sign in, in whichever cooperative of the folder they are.
fn found(visit: &Visit<'_>, login: &Login) -> Result<Option<(CoopId, Login, User)>, Refused> {
    for coop in visit.counter().coops()? {
        let user = visit.counter().user(coop, login)?;
        if user.open {
            return Ok(Some((coop, login.clone(), user)));
        }
    }
    Ok(None)
}

/// Signs out.
///
/// # Errors
/// None of its own.
pub fn sign_out(visit: &Visit<'_>) -> Result<Answer, Refused> {
    if let Some(cookie) = &visit.cookie {
        held(&visit.console.sessions).end(cookie);
    }
    Ok(Answer {
        session: Some(String::new()),
        ..Answer::go("/console/sign-in")
    })
}

/// Keeps the language chosen, and goes back to where it was chosen.
///
/// # Errors
/// [`Refused::NotFound`] where it is not spoken.
pub fn choose_lang(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let wanted = visit.places.first().and_then(|code| Lang::new(code));
    let mut spoken = visit.console.texts.langs();
    let lang = wanted.filter(|lang| spoken.any(|known| known == *lang));
    let lang = lang.ok_or(Refused::NotFound)?;
    // Back to a page of ours only: a path, never another site's address.
    let back = visit.query.get("back");
    let plain = |c: char| c.is_ascii_alphanumeric() || "/-_".contains(c);
    let ours = back.starts_with("/console") && back.chars().all(plain);
    Ok(Answer {
        lang: Some(lang.to_string()),
        ..Answer::go(if ours { back } else { START })
    })
}

/// The user's own page.
///
/// # Errors
/// When nobody is signed in.
pub fn account(visit: &Visit<'_>) -> Result<Answer, Refused> {
    account_page(visit, None)
}

fn account_page(visit: &Visit<'_>, told: Option<Markup>) -> Result<Answer, Refused> {
    let words = &visit.words;
    let who = visit.who()?;
    let wards = if who.user.wards.is_empty() {
        words.t("all-wards")
    } else {
        who.user.wards.join(", ")
    };
    let middle = html! {
        @if let Some(told) = told { (told) }
        dl {
            dt { (words.t("user")) } dd { (who.login.as_str()) }
            dt { (words.t("role")) } dd { (words.t(power_key(&who.user))) }
            dt { (words.t("wards")) } dd { (wards) }
            dt { (words.t("enters-as")) }
            dd {
                @match who.user.member {
                    Some(no) => { (no) }
                    None => { (words.t("enters-as-nobody")) }
                }
            }
            dt { (words.t("second-factor")) }
            dd { (words.t(if who.user.totp.is_some() { "yes" } else { "no" })) }
        }
        h2 { (words.t("new-password")) }
        (frame::form(visit, "/console/account/password", html! {
            label { (words.t("password-now")) input name="now" type="password" autocomplete="current-password" required; }
            label { (words.t("new-password")) input name="new" type="password" autocomplete="new-password" minlength="10" required; }
            button type="submit" { (words.t("save")) }
        }))
    };
    Ok(frame::page(visit, &words.t("account"), middle))
}

/// The key of a role's name.
#[must_use]
pub fn power_key(user: &User) -> &'static str {
    match user.power {
        Power::Viewer => "role-viewer",
        Power::Officer => "role-officer",
        Power::Manager => "role-manager",
    }
}

/// Sets a new password; every session of the user ends with the old one, this one begins anew.
///
/// # Errors
/// When the store fails.
pub fn new_password(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let who = visit.who()?;
    let (typed, new) = (visit.form.exact("now"), visit.form.exact("new"));
    let refuse =
        |text: String| account_page(visit, Some(html! { p.trouble role="alert" { (text) } }));
    let now = visit.console.watch.now();
    if held(&visit.console.lockout)
        .wait(who.login.as_str(), &visit.address, now)
        .is_some()
    {
        return refuse(visit.words.t("sign-in-wrong"));
    }
    if !password::fits(typed, &who.user.password) {
        held(&visit.console.lockout).wrong(who.login.as_str(), &visit.address, now);
        return refuse(visit.words.t("password-wrong"));
    }
    let Ok(hash) = password::hash(new) else {
        let least: Value = (password::PASSWORD_MIN as u32).into();
        return refuse(visit.words.say("password-short", &[("least", least)]));
    };
    let deed = Deed {
        kind: DeedKind::UserChanged,
        member: None,
        message: None,
        old: String::new(),
        new: format!("{}: password", who.login),
    };
    let events = vec![UserEvent::PasswordSet(hash)];
    let changed = visit.counter().change_user(
        who.coop,
        &who.login,
        events,
        Some((who.login.clone(), deed)),
    );
    match changed {
        Ok(()) => {
            let edition = who.user.edition + 1;
            let begun = held(&visit.console.sessions).begin(
                (who.coop, who.login.clone(), edition),
                visit.cookie.as_deref(),
                now,
            );
            Ok(Answer {
                session: Some(begun.unwrap_or_default()),
                ..Answer::go("/console/account")
            })
        }
        Err(ChangeError::Refused(why)) => refuse(why.to_string()),
        Err(ChangeError::Counter(why)) => Err(why.into()),
    }
}
