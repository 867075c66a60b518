//! What every page has: head, notice, the way around, the foot; and the pages of refusals.
//!
//! No style and no script stands in a page; both are files of their own. This room does not know what a page is about.

use crate::console::answer::{Answer, Refused};
use crate::console::names::FORM_TOKEN;
use crate::console::visit::Visit;
use maud::{DOCTYPE, Markup, html};

/// The way around: path and key of its name, in the order of a morning. What a user may not open is not shown.
const WAYS: &[(&str, &str)] = &[
    ("/console/today", "nav-today"),
    ("/console/supply", "nav-supply"),
    ("/console/farms", "nav-farms"),
    ("/console/deliveries", "nav-deliveries"),
    ("/console/unreadable", "nav-unreadable"),
    ("/console/members", "nav-members"),
    ("/console/print", "nav-print"),
    ("/console/broadcast", "nav-broadcast"),
    ("/console/export", "nav-export"),
    ("/console/settings", "nav-settings"),
    ("/console/audit", "nav-audit"),
];

/// A whole page: its title's text and what stands in its middle.
#[must_use]
pub fn page(visit: &Visit<'_>, title: &str, middle: Markup) -> Answer {
    let words = &visit.words;
    let power = visit.who.as_ref().map(|who| who.user.power);
    let ways = WAYS
        .iter()
        .filter(|(path, _)| power.is_some_and(|power| (visit.opens)(path, power)));
    Answer::page(html! {
        (DOCTYPE)
        html lang=(words.lang.to_string()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · " (words.t("room")) }
                link rel="stylesheet" href="/console/console.css";
                script src="/console/console.js" defer {}
            }
            body {
                a.skip href="#main" { (words.t("skip")) }
                @if let Some(notice) = visit.console.notice { aside.notice { (notice) } }
                header.top {
                    p.room { (words.t("room")) }
                    @if power.is_some() {
                        nav aria-label=(words.t("nav-label")) {
                            ul {
                                @for (path, key) in ways {
                                    li { a href=(path) aria-current=[here(visit, path)] { (words.t(key)) } }
                                }
                            }
                        }
                    }
                    (corner(visit))
                }
                main #main tabindex="-1" {
                    h1 { (title) }
                    (middle)
                }
            }
        }
    })
}

/// Pages that stand below another's name in the way around.
const BELOW: &[(&str, &str)] = &[
    ("/console/permits", "/console/today"),
    ("/console/words", "/console/unreadable"),
    ("/console/wards", "/console/members"),
    ("/console/tokens", "/console/audit"),
];

fn here(visit: &Visit<'_>, path: &str) -> Option<&'static str> {
    let below = BELOW
        .iter()
        .any(|(page, way)| *way == path && visit.path.starts_with(page));
    if below {
        return Some("true");
    }
    let below = visit.path.strip_prefix(path)?;
    (below.is_empty() || below.starts_with('/')).then_some("page")
}

/// Languages, the user's name, the way out.
fn corner(visit: &Visit<'_>) -> Markup {
    let words = &visit.words;
    html! {
        div.corner {
            ul.langs aria-label=(words.t("lang-label")) {
                @for lang in visit.console.texts.langs() {
                    li {
                        a href=(format!("/console/lang/{lang}?back={}", visit.path)) lang=(lang.to_string())
                            aria-current=[(lang == words.lang).then_some("true")] {
                            (visit.printed().own_name(lang))
                        }
                    }
                }
            }
            @if let Some(who) = &visit.who {
                a.who href="/console/account" { (who.login.as_str()) }
                (form(visit, "/console/sign-out", html! {
                    button.quiet type="submit" { (words.t("sign-out")) }
                }))
            }
        }
    }
}

/// Sheets to be printed: a bar for the screen, then each sheet of A4; `next` is where the next batch is.
#[must_use]
pub fn sheets(visit: &Visit<'_>, title: &str, next: Option<&str>, sheets: Vec<Markup>) -> Answer {
    let words = &visit.words;
    let bar = html! {
        @if sheets.is_empty() { p { (words.t("print-none")) } }
        @else { p { (words.say("print-sheets", &[("n", sheets.len().into())])) } }
        p {
            a href="/console/print" { (words.t("print-other")) }
            @if let Some(next) = next { a href=(next) { (words.t("print-next")) } }
        }
    };
    paper(visit, title, &bar, &sheets)
}

/// One sheet that may run over several pages, with a form above it; `back` is where it was opened from.
#[must_use]
pub fn sheet(
    visit: &Visit<'_>,
    title: &str,
    back: &(String, String),
    form: Markup,
    sheet: Markup,
) -> Answer {
    let bar = html! {
        (form)
        p { a href=(back.0) { (back.1) } }
    };
    paper(visit, title, &bar, &[sheet])
}

fn paper(visit: &Visit<'_>, title: &str, bar: &Markup, sheets: &[Markup]) -> Answer {
    let words = &visit.words;
    Answer::page(html! {
        (DOCTYPE)
        html lang=(words.lang.to_string()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " · " (words.t("room")) }
                link rel="stylesheet" href="/console/print.css";
            }
            body {
                @if let Some(notice) = visit.console.notice { p.notice { (notice) } }
                header.bar {
                    h1 { (title) }
                    (bar)
                }
                main #main .scroll tabindex="0" { @for sheet in sheets { (sheet) } }
            }
        }
    })
}

/// A form that changes something: it carries the session's token.
#[must_use]
pub fn form(visit: &Visit<'_>, action: &str, middle: Markup) -> Markup {
    let token = match &visit.who {
        Some(who) => who.form_token.clone(),
        None => visit.form.get(FORM_TOKEN).to_owned(),
    };
    html! {
        form method="post" action=(action) {
            input type="hidden" name=(FORM_TOKEN) value=(token);
            (middle)
        }
    }
}

/// The page of a refusal.
#[must_use]
pub fn refusal(visit: &Visit<'_>, refused: &Refused) -> Answer {
    if let Refused::Counter(error) = refused {
        tracing::error!(%error, path = visit.path, "a page could not be made");
    }
    let text = visit.words.t(refused.key());
    let middle = html! {
        p { (text) }
        p { a href="/console" { (visit.words.t("go-home")) } }
    };
    page(visit, &visit.words.t("refused-title"), middle).with_status(refused.status())
}
