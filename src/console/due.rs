//! What officers have to do by a day, on the morning's page: visits to follow up, permits about to lapse, rows that rest and when they come back.
//!
//! This room reads rows and decides nothing.

use crate::console::answer::Refused;
use crate::console::frame;
use crate::console::permits::{WARN_DAYS, left};
use crate::console::shown::day;
use crate::console::visit::Visit;
use crate::console::visits::handled_key;
use crate::counter::readmodel::deadlines::{Deadline, DeadlineRow};
use crate::desk::dossier::rests;
use crate::domain::MemberNo;
use crate::domain::dossier::{Mark, Permit};
use crate::domain::user::Power;
use crate::units::day::FarmDay;
use chrono::Duration;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Rows of one kind shown: a day's work.
const SHOWN_MAX: usize = 20;

/// Everything with a day.
#[derive(Clone, Debug, Default)]
pub struct Due {
    /// Rows that rest, by farm; some may be back already because they got worse.
    pub resting: BTreeMap<MemberNo, Mark>,
    /// To be followed up today or before.
    pub follow_ups: Vec<DeadlineRow>,
    /// Permits of farms that lapse soon or have.
    pub permits: Vec<DeadlineRow>,
    /// And of the cooperative.
    pub own_permits: Vec<Permit>,
}

impl Due {
    /// Reads it.
    ///
    /// # Errors
    /// When the store fails.
    pub fn read(visit: &Visit<'_>, wards: &[String], today: FarmDay) -> Result<Self, Refused> {
        let (coop, counter) = (visit.who()?.coop, visit.counter());
        let soon = today + Duration::days(WARN_DAYS);
        let resting = counter.resting(coop, wards, today)?.into_iter();
        let mut own_permits = counter.affairs(coop)?.permits;
        own_permits.retain(|permit| permit.valid_until <= soon);
        Ok(Self {
            resting: resting
                .filter_map(|row| match row.what {
                    Deadline::Rests(mark) => Some((row.farm, mark)),
                    Deadline::FollowUp(_) | Deadline::Permit(_) => None,
                })
                .collect(),
            follow_ups: counter.to_follow_up(coop, wards, today)?,
            permits: counter.lapsing(coop, wards, soon)?,
            own_permits,
        })
    }

    /// Whether a farm's row rests.
    #[must_use]
    pub fn rests(&self, farm: MemberNo, at_stake: u32, today: FarmDay) -> bool {
        let mark = self.resting.get(&farm);
        mark.is_some_and(|mark| rests(mark, today, at_stake))
    }
}

/// A farm's number as a link to its page.
fn farm(no: MemberNo, place: &str) -> Markup {
    html! { a href=(format!("/console/farms/{no}{place}")) { (no) } }
}

/// The sections; nothing where nothing is due.
///
/// # Errors
/// When nobody is signed in.
pub fn render(visit: &Visit<'_>, due: &Due, today: FarmDay) -> Result<Markup, Refused> {
    let words = &visit.words;
    let may = visit.who()?.user.power >= Power::Officer;
    let more = |all: usize| all.saturating_sub(SHOWN_MAX);
    Ok(html! {
        @if !due.follow_ups.is_empty() {
            h2 { (words.t("follow-ups-title")) }
            ul.due {
                @for row in due.follow_ups.iter().take(SHOWN_MAX) {
                    @if let Deadline::FollowUp(what) = &row.what {
                        li {
                            (farm(row.farm, "#visits")) " "
                            (words.say("follow-up-by", &[("day", day(words, row.day).into()), ("what", what.clone().into())]))
                            @if may { (frame::form(visit, &format!("/console/farms/{}/visits/done", row.farm), html! {
                                input type="hidden" name="back" value="today";
                                button.quiet type="submit" { (words.t("follow-up-done")) }
                            })) }
                        }
                    }
                }
            }
            (rest(visit, more(due.follow_ups.len())))
        }
        @if !due.permits.is_empty() || !due.own_permits.is_empty() {
            h2 { (words.t("permits-title")) }
            p.hint { (words.t("permits-hint")) }
            ul.due {
                @for permit in &due.own_permits {
                    li { a href="/console/permits" { (words.t("permits-coop")) } ": " (permit.kind) " " (permit.number) ", " (left(visit, permit, today)) }
                }
                @for row in due.permits.iter().take(SHOWN_MAX) {
                    @if let Deadline::Permit(permit) = &row.what {
                        li { (farm(row.farm, "#permits")) ": " (permit.kind) " " (permit.number) ", " (left(visit, permit, today)) }
                    }
                }
            }
            (rest(visit, more(due.permits.len())))
        }
    })
}

fn rest(visit: &Visit<'_>, more: usize) -> Markup {
    html! { @if more > 0 { p.hint { (visit.words.say("due-more", &[("n", more.into())])) } } }
}

/// Rows that rest, with the day on which they come back.
///
/// # Errors
/// When nobody is signed in.
pub fn render_resting(
    visit: &Visit<'_>,
    resting: &[(MemberNo, String, Mark)],
) -> Result<Markup, Refused> {
    let words = &visit.words;
    let may = visit.who()?.user.power >= Power::Officer;
    Ok(html! {
        @if !resting.is_empty() { details.resting {
            summary { (words.say("resting-title", &[("n", resting.len().into())])) }
            ul.due {
                @for (no, name, mark) in resting.iter().take(SHOWN_MAX) {
                    li {
                        a href=(format!("/console/farms/{no}")) { (name) " " (no) } " "
                        (words.say("resting-until", &[
                            ("how", words.t(handled_key(mark.how)).into()),
                            ("by", mark.by.to_string().into()),
                            ("day", day(words, mark.until).into()),
                        ]))
                        @if may { (frame::form(visit, &format!("/console/farms/{no}/mark"), html! {
                            button.quiet type="submit" name="how" value="back" { (words.t("mark-back")) }
                        })) }
                    }
                }
            }
            (rest(visit, resting.len().saturating_sub(SHOWN_MAX)))
        } }
    })
}

/// The three ways to deal with a row, and until when.
#[must_use]
pub fn mark_form(visit: &Visit<'_>, no: MemberNo) -> Markup {
    let words = &visit.words;
    html! {
        div.mark { (frame::form(visit, &format!("/console/farms/{no}/mark"), html! {
            button.quiet type="submit" name="how" value="called" { (words.t("mark-called")) }
            button.quiet type="submit" name="how" value="resolved" { (words.t("mark-resolved")) }
            button.quiet type="submit" name="how" value="snoozed" { (words.t("mark-snoozed")) }
            label { (words.t("mark-until")) input name="until" type="date"; }
        })) }
    }
}
