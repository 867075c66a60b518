//! One farm: every cage as a lane, why somebody should look, the thread as on the phone, and a line to enter for the member.
//!
//! This room enters nothing itself; `entry` does.

use crate::console::answer::{Answer, Refused};
use crate::console::chart::round_up;
use crate::console::entry::asked_yes_or_no;
use crate::console::frame;
use crate::console::permits;
use crate::console::sessions;
use crate::console::shown::{grams, reason};
use crate::console::visit::Visit;
use crate::console::visits;
use crate::console::words::Words;
use crate::counter::answers::MessageRow;
use crate::desk::lanes::{Lane, LaneRun};
use crate::desk::member::Member;
use crate::desk::prospect::Prospect;
use crate::domain::user::Power;
use crate::domain::{CareJob, StockKind};
use crate::units::day::FarmDay;
use chrono::Duration;
use chrono_tz::Tz;
use maud::{Markup, html};

/// Messages of the thread.
const THREAD_MAX: usize = 40;
/// Cages drawn: a page of fewer than 100 kB; a farm of more shows the rest as a list.
const DRAWN_MAX: usize = 24;

/// The page.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let (who, counter) = (visit.who()?, visit.counter());
    counter.follow_farm(who.coop, member.number)?;
    let row = counter.farm_row(who.coop, member.number)?;
    let lanes = counter.lanes(who.coop, member.number)?;
    let thread = counter.thread(who.coop, member.number, THREAD_MAX)?;
    let (today, zone, words) = (visit.today()?, visit.zone()?, &visit.words);
    let may_enter = who.user.power >= Power::Officer;
    let dossier = counter.dossier(who.coop, member.number)?;
    let permit_action = format!("/console/farms/{}/permits", member.number);
    let middle = html! {
        (about(visit, &member))
        @if let Some(row) = &row { (why(words, &row.prospect, today)) }
        @if may_enter { (enter(visit, &member, &thread)) }
        (visits::section(visit, &member, &dossier, today))
        h2 { (words.t("cages")) }
        p { a href=(format!("/console/print?member={}", member.number)) { (words.t("print-for")) } }
        (key(words))
        @for lane in lanes.iter().take(DRAWN_MAX) { (cage(words, lane, today)) }
        @if lanes.len() > DRAWN_MAX {
            p { @for lane in lanes.iter().skip(DRAWN_MAX) { (lane.unit.to_string()) " " } }
        }
        h2 { (words.t("thread")) }
        (messages(words, &thread, zone))
        h2 #permits { (words.t("permits")) }
        (visits::trouble_at(visit, true))
        p.hint { (words.t("permits-hint")) }
        (permits::table(visit, &permit_action, &dossier.permits, today, may_enter))
        @if who.user.power >= Power::Manager {
            p { a href=(format!("/console/farms/{}/data", member.number)) { (words.t("data-title")) } }
        }
    };
    Ok(frame::page(
        visit,
        &format!("{} {}", member.name, member.number),
        middle,
    ))
}

fn about(visit: &Visit<'_>, member: &Member) -> Markup {
    let words = &visit.words;
    html! {
        dl {
            dt { (words.t("ward")) } dd { (member.ward.as_deref().unwrap_or("-")) }
            dt { (words.t("phones")) }
            dd { @for phone in &member.phones { a href=(format!("tel:{}", phone.full())) { (phone.full()) } " " } }
            dt { (words.t("lang-label")) } dd { (visit.printed().own_name(member.lang)) @if member.stopped { " " span.tag { (words.t("stopped")) } } }
        }
    }
}

fn why(words: &Words<'_>, prospect: &Prospect, today: FarmDay) -> Markup {
    let (low, _, high) = prospect.fortnight.range();
    html! {
        ul.figures {
            li { b { (grams(prospect.taken.iter().rev().take(7).map(|cg| u64::from(*cg)).sum())) } (words.t("last-7-days")) }
            li { b { (crate::console::shown::grams_of(low)) " – " (crate::console::shown::grams_of(high)) } (words.t("next-14-days")) }
            li { b { (grams(u64::from(prospect.at_stake()))) } (words.t("at-stake")) }
        }
        @for one in &prospect.reasons { p.trouble { (reason(words, one, today)) } }
        @if prospect.questions > 0 { p { (words.say("questions-open", &[("n", prospect.questions.into())])) } }
    }
}

/// A line for the member, as an officer would text it; after a question, its answer.
fn enter(visit: &Visit<'_>, member: &Member, thread: &[MessageRow]) -> Markup {
    let words = &visit.words;
    let said = visit.query.get("said").parse().ok();
    let said = thread.iter().find(|row| Some(row.message.0) == said);
    let action = format!("/console/farms/{}/enter", member.number);
    let once =
        || html! { input type="hidden" name="once" value=(sessions::token().unwrap_or_default()); };
    html! {
        h2 { (words.t("enter-title")) }
        @if let Some(said) = said {
            div.done role="status" {
                p { span.said { (said.text) } }
                @for reply in &said.replies { p { (reply.text) } }
                @if asked_yes_or_no(said) {
                    (frame::form(visit, &action, html! {
                        (once())
                        button type="submit" name="line" value="yes" { (words.t("yes")) } " "
                        button.quiet type="submit" name="line" value="no" { (words.t("no")) }
                    }))
                }
            }
        }
        @if visit.query.get("trouble") == "nobody" { p.trouble role="alert" { (words.t("enters-as-nobody")) } }
        (frame::form(visit, &action, html! {
            (once())
            label { (words.t("enter-line")) " " small { (words.t("enter-hint")) } input name="line" maxlength="140" required autocomplete="off"; }
            button type="submit" { (words.t("enter-send")) }
        }))
    }
}

fn key(words: &Words<'_>) -> Markup {
    html! {
        ul.key {
            li { svg viewBox="0 0 20 12" aria-hidden="true" { rect.band x="0" y="0" width="20" height="12" {} } (words.t("expected-band")) }
            li { svg viewBox="0 0 20 12" aria-hidden="true" { rect.bar x="7" y="0" width="6" height="12" {} } (words.t("taken")) }
            li { svg viewBox="0 0 20 12" aria-hidden="true" { circle.care cx="10" cy="6" r="4" {} } (words.t("care-done")) }
            li { svg viewBox="0 0 20 12" aria-hidden="true" { rect.warn x="6" y="2" width="8" height="8" {} } (words.t("warning-seen")) }
        }
    }
}

fn cage(words: &Words<'_>, lane: &Lane, today: FarmDay) -> Markup {
    html! {
        h3 { (lane.unit.to_string()) }
        @match &lane.run {
            None => { p.quiet-text { (words.t("cage-empty")) } }
            Some(run) => {
                p.quiet-text {
                    (words.say("cage-run", &[
                        ("stocked", run.stocked.format("%d.%m.").to_string().into()),
                        ("retire", run.retire_by.format("%d.%m.").to_string().into()),
                        ("pupae", run.pupae.map_or("?".to_owned(), |pupae| pupae.count().to_string()).into()),
                    ]))
                    @if run.kind == StockKind::Mixed { " " span.tag { (words.t("mixed")) } }
                }
                div.wide.chart tabindex="0" { (draw(words, lane, run, today)) }
            }
        }
    }
}

const WIDTH: f64 = 960.0;
const HEIGHT: f64 = 108.0;
const LEFT: f64 = 52.0;
const FLOOR: f64 = 76.0;

fn draw(words: &Words<'_>, lane: &Lane, run: &LaneRun, today: FarmDay) -> Markup {
    let days = run
        .retire_by
        .signed_duration_since(run.stocked)
        .num_days()
        .max(1)
        + 1;
    let step = (WIDTH - LEFT - 6.0) / days as f64;
    let age = |day: FarmDay| day.signed_duration_since(run.stocked).num_days();
    let x = |age: i64| LEFT + step * age as f64;
    let inside = |day: &FarmDay| (0..days).contains(&age(*day));
    let taken = run.harvests.iter().map(|(_, grams)| grams.as_f64());
    let most = round_up(
        run.band
            .iter()
            .map(|day| day.2)
            .chain(taken)
            .fold(0.5, f64::max),
    );
    let y = |grams: f64| FLOOR - (FLOOR - 8.0) * (grams / most).clamp(0.0, 1.0);
    let band: Vec<(f64, f64, f64)> = (0..days)
        .zip(&run.band)
        .map(|(at, (low, _, high))| (x(at) + step / 2.0, y(*low), y(*high)))
        .collect();
    let mut edge: Vec<String> = band
        .iter()
        .map(|(x, _, high)| format!("{x:.1},{high:.1}"))
        .collect();
    edge.extend(
        band.iter()
            .rev()
            .map(|(x, low, _)| format!("{x:.1},{low:.1}")),
    );
    let title = words.say("lane-title", &[("cage", lane.unit.to_string().into())]);
    let seen = lane.ants.iter().chain(&lane.dead).filter(|day| inside(day));
    html! {
        svg viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) role="img" aria-label=(title) {
            title { (title) }
            line.axis x1=(LEFT) x2=(WIDTH - 6.0) y1=(FLOOR) y2=(FLOOR) {}
            text x=(LEFT - 6.0) y="16" text-anchor="end" { (most) "g" }
            polygon.band points=(edge.join(" ")) {}
            @for (day, grams) in run.harvests.iter().filter(|(day, _)| inside(day)) {
                rect.bar x=(one(x(age(*day)) + step * 0.25)) width=(one(step * 0.5)) y=(one(y(grams.as_f64()))) height=(one((FLOOR - y(grams.as_f64())).max(1.0))) {
                    title { (day.format("%d.%m.")) " " (grams) }
                }
            }
            @for (job, day) in lane.care.iter().filter(|(_, day)| inside(day)) {
                circle.care cx=(one(x(age(*day)) + step / 2.0)) cy=(FLOOR + 9.0) r="4" { title { (words.t(care_key(*job))) " " (day.format("%d.%m.")) } }
            }
            @for day in seen {
                rect.warn x=(one(x(age(*day)) + step / 2.0 - 4.0)) y=(FLOOR + 5.0) width="8" height="8" {}
            }
            @if inside(&today) { line.now x1=(one(x(age(today) + 1))) x2=(one(x(age(today) + 1))) y1="4" y2=(FLOOR) {} }
            @for week in (0..days).step_by(7) {
                // The last date ends where the lane does.
                @let last = x(week) > WIDTH - 60.0;
                text.quiet x=(one(if last { WIDTH - 4.0 } else { x(week) })) y=(HEIGHT - 3.0) text-anchor=[last.then_some("end")] { ((run.stocked + Duration::days(week)).format("%d.%m.")) }
            }
        }
    }
}

fn one(value: f64) -> String {
    format!("{value:.1}")
}

/// The key of a job's name.
const fn care_key(job: CareJob) -> &'static str {
    match job {
        CareJob::Bait => "care-bait",
        CareJob::Water => "care-water",
        CareJob::Moat => "care-moat",
        CareJob::Traps => "care-traps",
        CareJob::Shade => "care-shade",
        CareJob::Swept => "care-swept",
    }
}

fn messages(words: &Words<'_>, thread: &[MessageRow], zone: Tz) -> Markup {
    html! {
        @if thread.is_empty() { p { (words.t("reason-never")) } }
        ul.thread {
            @for row in thread {
                li #(format!("m{}", row.message.0)) {
                    small { (row.sent_at.with_timezone(&zone).format("%d.%m. %H:%M")) " " } span.said { (row.text) }
                    @for reply in &row.replies { p.reply { (reply.text) } }
                }
            }
        }
    }
}
