//! Settings: rules, care, thresholds, parameters of the sums, ward climates; what only the gateway's file sets is shown beside its key.
//!
//! A change is shown with what it would do today before it is saved. Managers of the whole cooperative only. This room decides nothing.

use crate::biology::tables::TABLE;
use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::settings_fields::{
    CARE, Field, NotInBounds, RULES, THRESHOLDS, differences, shown, typed,
};
use crate::console::shown::grams;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::answers::{OfficeError, OfficeRequest};
use crate::counter::effect::{Change, Effect};
use crate::domain::rules::Rules;
use crate::domain::user::{Deed, DeedKind};
use maud::{Markup, html};

/// The pages of this room: path and key of its name.
const PARTS: [(&str, &str); 4] = [
    ("/console/settings", "settings-rules"),
    ("/console/settings/model", "settings-model"),
    ("/console/settings/climate", "settings-climate"),
    ("/console/settings/gateway", "settings-gateway"),
];

/// Links to the other parts, and whether something was saved.
pub fn parts(visit: &Visit<'_>) -> Markup {
    let words = &visit.words;
    html! {
        p.pages { @for (path, key) in PARTS {
            a.button.quiet href=(path) aria-current=[(visit.path == path).then_some("page")] { (words.t(key)) }
        } }
        @if visit.query.get("done") == "saved" { p.done role="status" { (words.t("saved")) } }
    }
}

/// Rules, care and thresholds.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let rules = visit.counter().rules(visit.who()?.coop)?;
    rules_page(visit, &rules, &[])
}

fn rules_page(visit: &Visit<'_>, rules: &Rules, wrong: &[String]) -> Result<Answer, Refused> {
    let words = &visit.words;
    let middle = html! {
        (parts(visit))
        (troubles(wrong))
        (frame::form(visit, "/console/settings", html! {
            label { (words.t("coop-name")) input name="name" value=(said(visit, "name", &rules.name)) required maxlength="40"; }
            label { (words.t("join-code")) input name="join_code" value=(said(visit, "join_code", &rules.join_code)) required maxlength="12"; }
            label { (words.t("check-letter")) select name="check_letter_required" {
                option value="no" selected[!rules.check_letter_required] { (words.t("no")) }
                option value="yes" selected[rules.check_letter_required] { (words.t("yes")) }
            } }
            p.hint { (words.say("zone-fixed", &[("zone", rules.zone.clone().into())])) }
            (numbers(visit, rules, "settings-texts", RULES))
            (numbers(visit, rules, "settings-care", CARE))
            p.hint { (words.t("care-hint")) }
            (numbers(visit, rules, "settings-thresholds", THRESHOLDS))
            button type="submit" name="step" value="look" { (words.t("settings-look")) }
        }))
    };
    let page = frame::page(visit, &words.t("nav-settings"), middle);
    Ok(if wrong.is_empty() {
        page
    } else {
        page.with_status(422)
    })
}

fn troubles(wrong: &[String]) -> Markup {
    html! { @for why in wrong { p.trouble role="alert" { (why) } } }
}

/// What the form says, else what stands.
fn said(visit: &Visit<'_>, name: &str, stands: &str) -> String {
    match visit.form.get(name) {
        "" => stands.to_owned(),
        said => said.to_owned(),
    }
}

fn numbers(visit: &Visit<'_>, rules: &Rules, title: &str, fields: &[Field]) -> Markup {
    let words = &visit.words;
    let defaults = Rules::new("", "", "");
    html! {
        h2 { (words.t(title)) }
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("setting")) } th { (words.t("value")) } th.n { (words.t("usual")) } th.n { (words.t("bounds")) } } }
            tbody { @for field in fields { tr {
                td { (words.t(field.key)) }
                td { input name=(field.name) value=(said(visit, field.name, &shown((field.get)(rules)))) inputmode="decimal" required[!field.optional] aria-label=(words.t(field.key)); }
                td.n { (shown((field.get)(&defaults))) }
                td.n { (field.bounds.0) " – " (field.bounds.1) }
            } } }
        } }
    }
}

/// Shows what other rules would do, or saves them.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn change(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let from = visit.counter().rules(visit.who()?.coop)?;
    let mut to = from.clone();
    let words = &visit.words;
    let mut wrong = Vec::new();
    to.name = visit.form.get("name").to_owned();
    to.join_code = visit.form.get("join_code").to_ascii_uppercase();
    to.check_letter_required = visit.form.get("check_letter_required") == "yes";
    for field in RULES.iter().chain(CARE).chain(THRESHOLDS) {
        match typed(visit.form.get(field.name), field.bounds) {
            Ok(None) if !field.optional => {
                wrong.push(out_of_bounds(words, &words.t(field.key), field.bounds));
            }
            Ok(value) => (field.set)(&mut to, value),
            Err(NotInBounds) => wrong.push(out_of_bounds(words, &words.t(field.key), field.bounds)),
        }
    }
    if !wrong.is_empty() {
        return rules_page(visit, &from, &wrong);
    }
    match settle(visit, "/console/settings", from.clone(), to)? {
        Ok(answer) => Ok(answer),
        Err(why) => rules_page(visit, &from, &[why]),
    }
}

fn out_of_bounds(words: &Words<'_>, name: &str, (low, high): (f64, f64)) -> String {
    words.say(
        "setting-wrong",
        &[
            ("name", name.to_owned().into()),
            ("low", low.to_string().into()),
            ("high", high.to_string().into()),
        ],
    )
}

/// Parameters of the sums.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn model(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let rules = visit.counter().rules(visit.who()?.coop)?;
    model_page(visit, &rules, &[])
}

fn model_page(visit: &Visit<'_>, rules: &Rules, wrong: &[String]) -> Result<Answer, Refused> {
    let (words, counter) = (&visit.words, visit.counter());
    let middle = html! {
        (parts(visit))
        (troubles(wrong))
        p.hint { (words.t("model-hint")) }
        (frame::form(visit, "/console/settings/model", html! {
            div.wide tabindex="0" { table {
                thead { tr { th { (words.t("setting")) } th { (words.t("value")) } th.n { (words.t("usual")) } th.n { (words.t("bounds")) } th { (words.t("source")) } } }
                tbody { @for row in TABLE {
                    @let gateway = counter.model_setting(row.name).unwrap_or(row.default);
                    tr {
                        td { code { (row.name) } " " small { (unit(row.unit)) } }
                        td { input.short name=(row.name) value=(said(visit, row.name, &shown(rules.model.get(row.name).copied()))) placeholder=(gateway) inputmode="decimal" aria-label=(row.name); }
                        td.n { (gateway) }
                        td.n { (row.low) " – " (row.high) }
                        td.source { small { (row.source) } }
                    }
                } }
            } }
            button type="submit" name="step" value="look" { (words.t("settings-look")) }
        }))
    };
    let page = frame::page(visit, &words.t("settings-model"), middle);
    Ok(if wrong.is_empty() {
        page
    } else {
        page.with_status(422)
    })
}

/// A unit as people write it; the table's file keeps to ASCII.
fn unit(unit: &'static str) -> &'static str {
    match unit {
        "C" => "°C",
        "1" => "",
        unit => unit,
    }
}

/// Shows what other parameters would do, or saves them.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn change_model(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let from = visit.counter().rules(visit.who()?.coop)?;
    let mut to = from.clone();
    let mut wrong = Vec::new();
    for row in TABLE {
        match typed(visit.form.get(row.name), (row.low, row.high)) {
            Ok(Some(value)) => {
                to.model.insert(row.name.to_owned(), value);
            }
            Ok(None) => {
                to.model.remove(row.name);
            }
            Err(NotInBounds) => {
                wrong.push(out_of_bounds(&visit.words, row.name, (row.low, row.high)));
            }
        }
    }
    if !wrong.is_empty() {
        return model_page(visit, &from, &wrong);
    }
    match settle(visit, "/console/settings/model", from.clone(), to)? {
        Ok(answer) => Ok(answer),
        Err(why) => model_page(visit, &from, &[why]),
    }
}

/// Tells rules apart that somebody changed meanwhile.
fn fingerprint(rules: &Rules) -> String {
    format!("{:08x}", crc32fast::hash(format!("{rules:?}").as_bytes()))
}

/// What a change would do, or the way on after it was saved; inside, why it is refused.
fn settle(
    visit: &Visit<'_>,
    action: &str,
    from: Rules,
    to: Rules,
) -> Result<Result<Answer, String>, Refused> {
    let who = visit.who()?;
    let changed = differences(&from, &to);
    let seen = fingerprint(&from);
    let list = |what: fn(&(String, String, String)) -> (&String, &String)| -> String {
        let rows = changed.iter().map(what);
        let rows: Vec<String> = rows
            .map(|(name, value)| format!("{name} {value}"))
            .collect();
        rows.join("; ")
    };
    let save = visit.form.get("step") == "save" && visit.form.get("seen") == seen;
    if !save || changed.is_empty() {
        let moved = visit.form.get("step") == "save";
        let change = Change::Rules(Box::new(to));
        return look(visit, action, &changed, &seen, (&change, moved)).map(Ok);
    }
    let deed = Deed {
        kind: DeedKind::SettingsChanged,
        member: None,
        message: None,
        old: list(|(name, old, _)| (name, old)),
        new: list(|(name, _, new)| (name, new)),
    };
    let request = OfficeRequest::ChangeRules {
        coop: who.coop,
        from: Box::new(from),
        to: Box::new(to),
    };
    match visit.counter().office_by(request, &who.login, deed) {
        Ok(_) => Ok(Ok(Answer::go(&format!("{action}?done=saved")))),
        Err(OfficeError::Refused(why)) => Ok(Err(why.to_string())),
        Err(OfficeError::Counter(error)) => Err(error.into()),
    }
}

/// The page between the form and the change: what differs, and what it would do today.
pub fn look(
    visit: &Visit<'_>,
    action: &str,
    changed: &[(String, String, String)],
    seen: &str,
    (change, moved): (&Change, bool),
) -> Result<Answer, Refused> {
    let words = &visit.words;
    let effect = if changed.is_empty() {
        Effect::default()
    } else {
        visit.counter().effect(visit.who()?.coop, change)?
    };
    let middle = html! {
        (parts(visit))
        @if moved && !changed.is_empty() { p.trouble role="alert" { (words.t("settings-moved")) } }
        @if changed.is_empty() { p { (words.t("settings-same")) } } @else {
            div.wide tabindex="0" { table {
                thead { tr { th { (words.t("setting")) } th.n { (words.t("before")) } th.n { (words.t("after")) } } }
                tbody { @for (name, old, new) in changed { tr { td { code { (name) } } td.n { (dash(old)) } td.n { (dash(new)) } } } }
            } }
            h2 { (words.t("effect-title")) }
            (told(words, &effect))
            p.hint { (words.t("effect-hint")) }
            (frame::form(visit, action, html! {
                @for (name, value) in visit.form.pairs().filter(|(name, _)| !["token", "step", "seen"].contains(name)) {
                    input type="hidden" name=(name) value=(value);
                }
                input type="hidden" name="seen" value=(seen);
                button type="submit" name="step" value="save" { (words.t("save")) }
            }))
        }
        p { a href=(action) { (words.t("settings-back")) } }
    };
    Ok(frame::page(visit, &words.t("settings-look-title"), middle))
}

fn dash(value: &str) -> &str {
    if value.is_empty() { "–" } else { value }
}

fn told(words: &Words<'_>, effect: &Effect) -> Markup {
    let cg = |cg: i64| grams(u64::try_from(cg).unwrap_or(0));
    let (before, after) = (&effect.before, &effect.after);
    let rows = [
        (
            "effect-lists",
            before.lists.to_string(),
            after.lists.to_string(),
        ),
        (
            "effect-jobs",
            before.jobs.to_string(),
            after.jobs.to_string(),
        ),
        (
            "effect-warnings",
            before.warnings.to_string(),
            after.warnings.to_string(),
        ),
        ("effect-ahead", cg(before.ahead), cg(after.ahead)),
    ];
    html! {
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("effect-today")) } th.n { (words.t("before")) } th.n { (words.t("after")) } } }
            tbody { @for (key, before, after) in &rows { tr { td { (words.t(key)) } td.n { (before) } td.n { @if before == after { (after) } @else { strong { (after) } } } } } }
        } }
        p.hint { (words.say("effect-farms", &[("looked", effect.looked_at.into()), ("farms", effect.farms.into())])) }
    }
}

/// What only the gateway's own file or environment sets, by key.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn gateway(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let words = &visit.words;
    let middle = html! {
        (parts(visit))
        p.hint { (words.t("gateway-hint")) }
        @if visit.console.settings.is_empty() { p { (words.t("gateway-none")) } }
        @else { div.wide tabindex="0" { table {
            thead { tr { th { (words.t("setting")) } th { (words.t("value")) } } }
            tbody { @for (key, value) in &visit.console.settings { tr { td { code { (key) } } td { (value) } } } }
        } } }
    };
    Ok(frame::page(visit, &words.t("settings-gateway"), middle))
}
