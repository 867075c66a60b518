//! Today: the farms that need a person, those with most eggs at stake first; what waits for an answer; what nobody could read.
//!
//! This room ranks nothing; the counter's rows do.

use crate::console::answer::{Answer, Refused};
use crate::console::due::{self, Due};
use crate::console::frame;
use crate::console::live;
use crate::console::shown::{day, grams, reason};
use crate::console::visit::Visit;
use crate::console::visits;
use crate::console::words::Words;
use crate::counter::answers::MessageRow;
use crate::counter::readmodel::rows::FarmRow;
use crate::domain::MemberNo;
use crate::domain::dossier::Mark;
use crate::domain::phone::PhoneNumber;
use crate::domain::user::Power;
use crate::units::day::FarmDay;
use chrono_tz::Tz;
use maud::{Markup, html};

/// Farms on the page: a morning's calls, and some 20 kB.
const FARMS_MAX: usize = 30;
/// Unreadable messages shown here; the rest have their own page.
const UNREAD_MAX: usize = 5;
/// Hundredths of a gram that would be shown as none.
const NOTHING: u32 = 5;

/// One farm that needs somebody.
#[derive(Clone, Debug)]
pub struct Need {
    /// Whose.
    pub no: MemberNo,
    /// Its row.
    pub row: FarmRow,
    /// The last message of its thread.
    pub last: Option<MessageRow>,
    /// The phone to call.
    pub phone: Option<PhoneNumber>,
}

/// What the page shows.
#[derive(Clone, Debug)]
pub struct View {
    /// The farm day.
    pub today: FarmDay,
    /// For clock times.
    pub zone: Tz,
    /// Farms, cages, grams of the last seven days, grams expected of the next seven.
    pub figures: [u64; 4],
    /// Most at stake first.
    pub needs: Vec<Need>,
    /// What is to be done by a day.
    pub due: Due,
    /// Farms whose rows rest: number, name and until when.
    pub resting: Vec<(MemberNo, String, Mark)>,
    /// Newest first.
    pub unread: Vec<MessageRow>,
}

/// The room's own address leads to today.
///
/// # Errors
/// None of its own.
pub fn home(_visit: &Visit<'_>) -> Result<Answer, Refused> {
    Ok(Answer::go("/console/today"))
}

/// The page.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let mark = visit.counter().mark();
    let view = view(visit)?;
    let middle = live::marked(mark, &render(visit, &view)?);
    Ok(frame::page(visit, &visit.words.t("nav-today"), middle))
}

fn view(visit: &Visit<'_>) -> Result<View, Refused> {
    let (who, counter) = (visit.who()?, visit.counter());
    let coop = who.coop;
    visit.follow()?;
    let (today, wards) = (visit.today()?, visit.wards()?);
    let mut figures = [0; 4];
    let week = chrono::Duration::days(7);
    for ward in &wards {
        let whole = counter.ward_fortnight(coop, ward)?;
        let last =
            counter.ward_days(coop, ward, today - week + chrono::Duration::days(1), today)?;
        let next =
            counter.ward_days(coop, ward, today.succ_opt().unwrap_or(today), today + week)?;
        figures[0] += whole.farms;
        figures[1] += whole.cages;
        figures[2] += last.iter().map(|(_, day)| day.taken).sum::<u64>();
        figures[3] += next
            .iter()
            .map(|(_, day)| u64::try_from(day.expected.mean).unwrap_or(0))
            .sum::<u64>();
    }
    let mut needs = Vec::new();
    let due = Due::read(visit, &wards, today)?;
    let mut resting = Vec::new();
    for (no, row) in counter.ranked(coop, &wards, FARMS_MAX + due.resting.len())? {
        let mark = due.resting.get(&no);
        if let Some(mark) = mark.filter(|_| due.rests(no, row.prospect.at_stake(), today)) {
            resting.push((no, row.name, mark.clone()));
            continue;
        }
        if needs.len() >= FARMS_MAX {
            continue;
        }
        let last = counter.thread(coop, no, 1)?.into_iter().next();
        let phone = counter.member(coop, no)?.phones.into_iter().next();
        needs.push(Need {
            no,
            row,
            last,
            phone,
        });
    }
    let sees = |ward: Option<&str>| who.user.sees(ward);
    Ok(View {
        today,
        zone: visit.zone()?,
        figures,
        needs,
        due,
        resting,
        unread: counter.unread(coop, UNREAD_MAX + 1, &sees)?,
    })
}

/// The page's middle.
///
/// # Errors
/// When nobody is signed in.
pub fn render(visit: &Visit<'_>, view: &View) -> Result<Markup, Refused> {
    let words = &visit.words;
    let may = visit.who()?.user.power >= Power::Officer;
    let rules = visit.counter().rules(visit.who()?.coop)?;
    let [farms, cages, last, next] = view.figures;
    let (looked_at, asked): (Vec<&Need>, Vec<&Need>) = view
        .needs
        .iter()
        .partition(|need| need.row.prospect.needs_somebody());
    Ok(html! {
        p.quiet-text { (day(words, view.today)) (view.today.format("%Y")) }
        ul.figures {
            li { b { (grams(last)) } (words.t("last-7-days")) }
            li { b { (grams(next)) } (words.t("next-7-days")) }
            li { b { (farms) } (words.t("farms")) }
            li { b { (cages) } (words.t("cages-running")) }
        }
        h2 { (words.t("needs-title")) }
        p.hint { (words.t("needs-hint")) }
        (visits::trouble(visit))
        @if farms == 0 {
            p { (words.say("needs-no-farm", &[("code", rules.join_code.into())])) }
        } @else if looked_at.is_empty() {
            p.done { (words.t("needs-none")) }
        }
        ol.needs { @for need in &looked_at { (farm(words, need, view, &html! { @if may { (due::mark_form(visit, need.no)) } })) } }
        (due::render_resting(visit, &view.resting)?)
        (due::render(visit, &view.due, view.today)?)
        @if !asked.is_empty() {
            h2 { (words.t("asked-title")) }
            ul {
                @for need in &asked {
                    li { a href=(format!("/console/farms/{}", need.no)) { (need.row.name) " " (need.no) } (in_ward(&need.row.ward)) ": "
                        (words.say("questions-open", &[("n", need.row.prospect.questions.into())])) }
                }
            }
        }
        h2 { (words.t("unread-title")) }
        @if view.unread.is_empty() { p.done { (words.t("unread-none")) } }
        ul {
            @for message in view.unread.iter().take(UNREAD_MAX) {
                li { span.said { (message.text) } " " small { (message.sent_at.with_timezone(&view.zone).format("%d.%m. %H:%M")) } }
            }
        }
        @if !view.unread.is_empty() { p { a href="/console/unreadable" { (words.t("unread-all")) } } }
    })
}

/// A farm's ward behind its name; some have none yet.
fn in_ward(ward: &str) -> String {
    if ward.is_empty() {
        String::new()
    } else {
        format!(", {ward}")
    }
}

fn farm(words: &Words<'_>, need: &Need, view: &View, deal: &Markup) -> Markup {
    let prospect = &need.row.prospect;
    let [missing, ahead] = prospect.missing;
    let shown = |cg: u32| grams(u64::from(cg)).into();
    let stake = [("missing", shown(missing)), ("ahead", shown(ahead))];
    html! {
        li {
            h3 { a href=(format!("/console/farms/{}", need.no)) { (need.row.name) " " (need.no) } (in_ward(&need.row.ward)) }
            @if let Some(phone) = &need.phone { p { a href=(format!("tel:{}", phone.full())) { (words.t("call")) " " (phone.full()) } } }
            div.grams {
                b { (grams(u64::from(prospect.at_stake()))) }
                small { (words.say(if ahead < NOTHING { "stake-missing" } else { "stake-split" }, &stake)) }
            }
            ul {
                @for why in &prospect.reasons { li { (reason(words, why, view.today)) } }
                @if prospect.questions > 0 { li { (words.say("questions-open", &[("n", prospect.questions.into())])) } }
            }
            @if let Some(last) = &need.last {
                p { small { (words.t("last-message")) " " (last.sent_at.with_timezone(&view.zone).format("%d.%m. %H:%M")) " " } span.said { (last.text) } }
            }
            (deal)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_comma_waits_for_a_ward() {
        assert_eq!(in_ward("Msitu"), ", Msitu");
        assert_eq!(in_ward(""), "");
    }
}
