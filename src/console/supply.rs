//! Supply: what came, what comes in the next fortnight, and how good the last fortnight's forecast was.
//!
//! Sums are the counter's. This room adds wards up and draws.

use crate::console::answer::{Answer, Refused};
use crate::console::chart::{ChartDay, days};
use crate::console::frame;
use crate::console::promises::{self, Promised};
use crate::console::shown::{day, escaped, grams, grams_of, tenths, tenths_of};
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::readmodel::rows::WardDay;
use crate::domain::user::Power;
use crate::units::day::FarmDay;
use chrono::Duration;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Days of eggs shown before today, today among them.
const BACK: i64 = 28;
/// Days ahead.
const AHEAD: i64 = 14;

/// What the page shows.
#[derive(Clone, Debug)]
pub struct View {
    /// The farm day.
    pub today: FarmDay,
    /// The ward chosen; none: all that the user sees.
    pub ward: Option<String>,
    /// The days shown.
    pub days: BTreeMap<FarmDay, WardDay>,
    /// The fortnight ahead of all of them.
    pub fortnight: WardDay,
    /// Every ward: eggs of seven days, and its fortnight.
    pub wards: Vec<(String, u64, WardDay)>,
    /// What was promised.
    pub promised: Promised,
}

/// The page.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, counter) = (visit.who()?, visit.counter());
    visit.follow()?;
    let today = visit.today()?;
    let all = visit.wards()?;
    let chosen = Some(visit.query.get("ward").to_owned()).filter(|ward| all.contains(ward));
    let chosen = chosen.filter(|ward| !ward.is_empty());
    let mut view = View {
        today,
        ward: chosen.clone(),
        days: BTreeMap::new(),
        fortnight: WardDay::default(),
        wards: Vec::new(),
        promised: Promised::read(visit, chosen.as_deref())?,
    };
    for ward in all {
        let whole = counter.ward_fortnight(who.coop, &ward)?;
        let rows = counter.ward_days(
            who.coop,
            &ward,
            today - Duration::days(BACK - 1),
            today + Duration::days(AHEAD),
        )?;
        let week = today - Duration::days(6);
        let last = rows
            .iter()
            .filter(|(on, _)| (week..=today).contains(on))
            .map(|(_, row)| row.taken)
            .sum();
        if chosen.as_ref().is_none_or(|chosen| *chosen == ward) {
            view.fortnight.change(&whole, false);
            for (on, row) in rows {
                view.days.entry(on).or_default().change(&row, false);
            }
        }
        if whole.farms > 0 || !ward.is_empty() {
            view.wards.push((ward, last, whole));
        }
    }
    Ok(frame::page(
        visit,
        &visit.words.t("nav-supply"),
        render(visit, &view),
    ))
}

/// The page's middle.
#[must_use]
pub fn render(visit: &Visit<'_>, view: &View) -> Markup {
    let words = &visit.words;
    let promised = view.promised.daily(view.today);
    let ahead = (1..=AHEAD).map(|days| view.promised.daily(view.today + Duration::days(days)));
    let ahead: Option<f64> = ahead.flatten().reduce(|sum, day| sum + day);
    let manager = visit
        .who
        .as_ref()
        .is_some_and(|who| who.user.power >= Power::Manager);
    let names: Vec<&str> = view.wards.iter().map(|(ward, ..)| ward.as_str()).collect();
    let (low, middle, high) = view.fortnight.expected.range();
    let title = view.ward.clone().unwrap_or_else(|| words.t("all-wards"));
    html! {
        ul.figures {
            li { b { (grams_of(low)) " – " (grams_of(high)) } (words.t("next-14-days")) }
            li { b { (grams_of(middle)) } (words.t("middle")) }
            @if let Some(ahead) = ahead { li { b { (grams_of(ahead)) } (words.t("promised-14-days")) } }
            li { b { (view.fortnight.farms) } (words.t("farms")) }
            li { b { (view.fortnight.cages) } (words.t("cages-running")) }
        }
        p.hint { (words.t("band-hint")) }
        h2 { (title) }
        div.wide.chart tabindex="0" { (days(&words.t("supply-chart"), &chart(view), view.today, promised, 280.0)) }
        ul.key {
            li { svg viewBox="0 0 20 12" aria-hidden="true" { rect.bar x="5" y="0" width="10" height="12" {} } (words.t("taken")) }
            li { svg viewBox="0 0 20 12" aria-hidden="true" { rect.band x="0" y="0" width="20" height="12" {} } (words.t("expected-band")) }
            @if promised.is_some() { li { svg viewBox="0 0 20 12" aria-hidden="true" { line.promise x1="0" x2="20" y1="6" y2="6" {} } (words.t("promised")) } }
        }
        @if manager { (promises::form(visit, view.today, &names)) }
        h2 { (words.t("by-ward")) }
        (by_ward(words, view))
        h2 { (words.t("looked-back")) }
        (looked_back(words, view))
        h2 { (words.t("by-day")) }
        (by_day(words, view))
    }
}

fn chart(view: &View) -> Vec<ChartDay> {
    let from = view.today - Duration::days(BACK - 1);
    let until = view.today + Duration::days(AHEAD);
    let row = |on: FarmDay| view.days.get(&on).copied().unwrap_or_default();
    from.iter_days()
        .take_while(|on| *on <= until)
        .map(|on| ChartDay {
            day: on,
            came: (on <= view.today).then(|| row(on).taken as f64 / 100.0),
            expected: (on > view.today).then(|| row(on).expected.range()),
        })
        .collect()
}

fn by_ward(words: &Words<'_>, view: &View) -> Markup {
    html! {
        div.wide tabindex="0" { table {
            thead { tr {
                th { (words.t("ward")) } th.n { (words.t("farms")) } th.n { (words.t("cages-running")) }
                th.n { (words.t("last-7-days")) } th.n { (words.t("next-14-days")) }
            } }
            tbody {
                @for (ward, last, whole) in &view.wards {
                    @let (low, _, high) = whole.expected.range();
                    tr {
                        td { @if ward.is_empty() { (words.t("no-ward")) } @else { a href=(format!("/console/supply?ward={}", escaped(ward))) { (ward) } } }
                        td.n { (whole.farms) } td.n { (whole.cages) } td.n { (tenths(*last)) }
                        td.n { (tenths_of(low)) " – " (tenths_of(high)) }
                    }
                }
            }
        } }
        @if view.ward.is_some() { p { a href="/console/supply" { (words.t("all-wards")) } } }
    }
}

fn looked_back(words: &Words<'_>, view: &View) -> Markup {
    let past = view
        .days
        .range(..=view.today)
        .rev()
        .take(usize::try_from(AHEAD).unwrap_or(0));
    let (mut expected, mut came, mut inside, mut count) = (0_u64, 0_u64, 0_u32, 0_u32);
    for (_, row) in past.filter(|(_, row)| row.was_expected.mean > 0) {
        let (low, _, high) = row.was_expected.range();
        let grams = row.came as f64 / 100.0;
        expected += u64::try_from(row.was_expected.mean).unwrap_or(0);
        came += row.came;
        count += 1;
        inside += u32::from((low..=high).contains(&grams));
    }
    let values = [
        ("expected", grams(expected).into()),
        ("came", grams(came).into()),
        ("inside", inside.into()),
        ("count", count.into()),
    ];
    html! { p { @if count == 0 { (words.t("looked-back-none")) } @else { (words.say("looked-back-told", &values)) } } }
}

fn by_day(words: &Words<'_>, view: &View) -> Markup {
    html! {
        div.wide tabindex="0" { table {
            thead { tr {
                th { (words.t("day")) } th.n { (words.t("taken")) } th.n { (words.t("expected-band")) } th.n { (words.t("was-expected")) } th.n { (words.t("promised")) }
            } }
            tbody {
                @for (on, row) in view.days.iter().rev() {
                    tr {
                        td.d { (day(words, *on)) }
                        td.n { @if *on <= view.today { (tenths(row.taken)) } }
                        td.n { @if *on > view.today { @let (low, _, high) = row.expected.range(); (tenths_of(low)) " – " (tenths_of(high)) } }
                        td.n { @if row.was_expected.mean > 0 { @let (low, _, high) = row.was_expected.range(); (tenths_of(low)) " – " (tenths_of(high)) } }
                        td.n { @if let Some(promised) = view.promised.daily(*on) { (tenths_of(promised)) } }
                    }
                }
            }
        } }
    }
}
