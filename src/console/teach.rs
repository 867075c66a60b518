//! Teaching a word: what it would do to the messages received, switching it on, and taking it back.
//!
//! A word holds for the whole cooperative, so that only who sees all wards may teach one. This room does not know how a message is read.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::visit::Visit;
use crate::console::words::Words as Texts;
use crate::counter::words::{TeachError, Trial, Tried, Wish};
use crate::desk::gist::gist;
use crate::desk::words::{Words, WordsError, keywords, langs};
use crate::domain::lang::Lang;
use crate::domain::user::Power;
use maud::{Markup, html};

/// The words that hold, and the form that teaches one.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let words = &visit.words;
    let own = visit.counter().words(visit.who()?.coop)?;
    let middle = html! {
        @if visit.query.get("done") == "taught" { p.done role="status" { (words.say("word-taught", &[("word", visit.query.get("word").to_owned().into())])) } }
        @if visit.query.get("done") == "gone" { p.done role="status" { (words.say("word-gone", &[("word", visit.query.get("word").to_owned().into())])) } }
        (form(visit, &Wish { word: String::new(), means: String::new(), lang: words.lang }))
        (table(visit, &own)?)
    };
    Ok(frame::page(visit, &words.t("words-title"), middle))
}

/// For the page of unreadable messages: the form, where the user may teach.
#[must_use]
pub fn section(visit: &Visit<'_>) -> Markup {
    let words = &visit.words;
    let may = visit
        .who
        .as_ref()
        .is_some_and(|who| who.user.power >= Power::Officer && who.user.wards.is_empty());
    html! {
        @if may {
            h2 { (words.t("teach-title")) }
            (form(visit, &Wish { word: String::new(), means: String::new(), lang: words.lang }))
            p { a href="/console/words" { (words.t("words-title")) } }
        }
    }
}

/// The form that tries a word; it changes nothing.
fn form(visit: &Visit<'_>, wish: &Wish) -> Markup {
    let words = &visit.words;
    html! {
        p.hint { (words.t("teach-hint")) }
        form.line method="get" action="/console/words/try" {
            label { (words.t("word")) input name="word" value=(wish.word) required maxlength="20" autocomplete="off" autocapitalize="none"; }
            label { (words.t("word-means")) select name="means" {
                @for (key, word) in keywords(words.lang) { option value=(key) selected[key == wish.means] { (word) } }
            } }
            label { (words.t("word-lang")) select name="lang" {
                @for lang in langs() { option value=(lang) selected[lang == wish.lang] { (visit.printed().own_name(lang)) } }
            } }
            button type="submit" { (words.t("word-try")) }
        }
    }
}

/// The words that hold, with who taught each.
fn table(visit: &Visit<'_>, own: &Words) -> Result<Markup, Refused> {
    let words = &visit.words;
    let zone = visit.zone()?;
    let mut rows: Vec<_> = own.standing().collect();
    rows.sort_by(|a, b| a.taught.word.cmp(&b.taught.word));
    Ok(html! {
        h2 { (words.t("words-own")) }
        @if rows.is_empty() { p { (words.t("words-none")) } }
        @else { div.wide tabindex="0" { table {
            thead { tr { th { (words.t("word")) } th { (words.t("word-means")) } th { (words.t("word-lang")) } th { (words.t("word-by")) } th { (words.t("when")) } th {} } }
            tbody { @for row in rows { tr {
                td { span.said { (row.taught.word) } }
                td { (word_of(&row.taught.means, words.lang)) }
                td { (visit.printed().own_name(row.taught.lang)) }
                td { (row.taught.by.as_str()) }
                td { (row.at.with_timezone(&zone).format("%d.%m.%Y %H:%M")) }
                td { (frame::form(visit, "/console/words/let-go", html! {
                    input type="hidden" name="word" value=(row.taught.word);
                    button.quiet type="submit" { (words.t("word-let-go")) }
                })) }
            } } }
        } } }
    })
}

fn word_of(means: &str, lang: Lang) -> String {
    let found = keywords(lang).into_iter().find(|(key, _)| *key == means);
    found.map_or_else(|| means.to_owned(), |(_, word)| word)
}

fn wish(visit: &Visit<'_>, fields: &crate::console::fields::Fields) -> Wish {
    let lang = Lang::new(fields.get("lang")).filter(|lang| langs().contains(lang));
    Wish {
        word: fields.get("word").chars().take(40).collect(),
        means: fields.get("means").to_owned(),
        lang: lang.unwrap_or(visit.words.lang),
    }
}

/// What the word in the address would do to every message received.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn try_word(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let wish = wish(visit, &visit.query);
    let tried = visit.counter().try_word(visit.who()?.coop, &wish);
    told(visit, &wish, tried)
}

/// Switches the word on where no message gets another meaning by it.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn teach(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let who = visit.who()?;
    let wish = wish(visit, &visit.form);
    match visit.counter().teach(who.coop, &who.login, &wish) {
        Ok(trial) => Ok(Answer::go(&format!(
            "/console/words?done=taught&word={}",
            trial.word
        ))),
        refused => told(visit, &wish, refused),
    }
}

/// Takes a word back.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards, [`Refused::NotFound`] where it was not taught.
pub fn let_go(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let who = visit.who()?;
    let word = visit.form.get("word");
    match visit.counter().let_go(who.coop, &who.login, word) {
        Ok(()) => Ok(Answer::go(&format!("/console/words?done=gone&word={word}"))),
        Err(TeachError::Counter(error)) => Err(error.into()),
        Err(TeachError::Refused(_) | TeachError::Changes(_)) => Err(Refused::NotFound),
    }
}

/// A trial, or why there is none.
fn told(
    visit: &Visit<'_>,
    wish: &Wish,
    tried: Result<Trial, TeachError>,
) -> Result<Answer, Refused> {
    let words = &visit.words;
    let (trial, trouble) = match tried {
        Ok(trial) => (Some(trial), None),
        Err(TeachError::Changes(trial)) => (Some(*trial), None),
        Err(TeachError::Refused(why)) => (None, Some(trouble(words, &why))),
        Err(TeachError::Counter(error)) => return Err(error.into()),
    };
    let middle = html! {
        @if let Some(trouble) = &trouble { p.trouble role="alert" { (trouble) } }
        @if let Some(trial) = &trial { (shown(visit, wish, trial)?) }
        h2 { (words.t("teach-title")) }
        (form(visit, wish))
        p { a href="/console/words" { (words.t("words-title")) } " · " a href="/console/unreadable" { (words.t("nav-unreadable")) } }
    };
    let title = words.say(
        "word-try-title",
        &[
            ("word", wish.word.clone().into()),
            ("means", word_of(&wish.means, words.lang).into()),
        ],
    );
    let page = frame::page(visit, &title, middle);
    Ok(if trouble.is_some() {
        page.with_status(422)
    } else {
        page
    })
}

fn trouble(words: &Texts<'_>, why: &WordsError) -> String {
    let say = |key: &str, word: &str| words.say(key, &[("word", word.to_owned().into())]);
    match why {
        WordsError::NoWord { found } => say("word-none", found),
        WordsError::Known(word) => say("word-known", word),
        WordsError::Clash(word) => say("word-clash", word),
        WordsError::NoKeyword(found) => say("word-no-keyword", found),
        WordsError::TooMany => words.t("word-too-many"),
        WordsError::NotTaught(word) => say("word-not-taught", word),
    }
}

fn shown(visit: &Visit<'_>, wish: &Wish, trial: &Trial) -> Result<Markup, Refused> {
    let words = &visit.words;
    let count = |key: &str, n: u64| {
        let n = i64::try_from(n).unwrap_or(i64::MAX);
        words.say(key, &[("n", n.into())])
    };
    Ok(html! {
        p { (count("trial-tried", trial.tried)) }
        @if trial.changed > 0 {
            p.trouble role="alert" { (count("trial-changed", trial.changed)) }
            (rows(visit, &trial.changes)?)
        } @else {
            p.done role="status" { (words.t("trial-none-changed")) }
            (frame::form(visit, "/console/words/teach", html! {
                input type="hidden" name="word" value=(trial.word);
                input type="hidden" name="means" value=(wish.means);
                input type="hidden" name="lang" value=(wish.lang);
                button type="submit" { (words.t("word-teach")) }
            }))
        }
        @if trial.gained > 0 {
            h2 { (count("trial-gained", trial.gained)) }
            p.hint { (words.t("trial-gained-hint")) }
            (rows(visit, &trial.gains)?)
        }
    })
}

fn rows(visit: &Visit<'_>, rows: &[Tried]) -> Result<Markup, Refused> {
    let words = &visit.words;
    let zone = visit.zone()?;
    Ok(html! {
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("when")) } th { (words.t("member")) } th { (words.t("what")) } th { (words.t("was-read")) } th { (words.t("would-read")) } } }
            tbody { @for row in rows { tr {
                td { (row.sent_at.with_timezone(&zone).format("%d.%m.%Y %H:%M")) }
                td { @if let Some(no) = row.member { a href=(format!("/console/farms/{no}")) { (no) } } }
                td { span.said { (row.text) } }
                td { (gist(&row.was, words.lang)) } td { (gist(&row.would, words.lang)) }
            } } }
        } }
    })
}
