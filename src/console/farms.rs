//! The list of farms: by number, a page at a time, found by number or by the beginning of a name.
//!
//! This room reads rows; it computes nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::shown::tenths;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::readmodel::rows::FarmRow;
use crate::domain::MemberNo;
use maud::{Markup, html};

/// Farms on one page: some 25 kB.
const PAGE: usize = 60;

/// What the page shows.
#[derive(Clone, Debug)]
pub struct View {
    /// What was looked for; empty: all, by number.
    pub wanted: String,
    /// The farms found.
    pub rows: Vec<(MemberNo, FarmRow)>,
    /// There are more after the last.
    pub more: bool,
}

/// The page.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, counter) = (visit.who()?, visit.counter());
    visit.follow()?;
    let sees = |row: &FarmRow| {
        who.user
            .sees(Some(row.ward.as_str()).filter(|ward| !ward.is_empty()))
    };
    let wards = (!who.user.wards.is_empty()).then_some(who.user.wards.as_slice());
    let wanted: String = visit.query.get("q").chars().take(40).collect();
    let after = visit.query.get("after").parse().unwrap_or(0);
    let mut rows = match wanted.parse() {
        _ if wanted.is_empty() => counter.farm_page(who.coop, MemberNo(after), PAGE + 1, wards)?,
        Ok(no) => {
            let found = counter.farm_row(who.coop, MemberNo(no))?;
            found
                .filter(sees)
                .into_iter()
                .map(|row| (MemberNo(no), row))
                .collect()
        }
        Err(_) => counter.farms_named(who.coop, &wanted, PAGE + 1, wards)?,
    };
    let more = rows.len() > PAGE;
    rows.truncate(PAGE);
    let view = View { wanted, rows, more };
    Ok(frame::page(
        visit,
        &visit.words.t("nav-farms"),
        render(&visit.words, &view),
    ))
}

/// The page's middle.
#[must_use]
pub fn render(words: &Words<'_>, view: &View) -> Markup {
    html! {
        form.line method="get" action="/console/farms" role="search" {
            label { (words.t("search")) input name="q" value=(view.wanted) placeholder=(words.t("search-hint")); }
            button type="submit" { (words.t("find")) }
        }
        @if view.rows.is_empty() { p { (words.t("farms-none")) } }
        @else { div.wide tabindex="0" { table {
            thead { tr {
                th { (words.t("number")) } th { (words.t("name")) } th { (words.t("ward")) } th.n { (words.t("cages-running")) }
                th.n { (words.t("last-7-days")) } th.n { (words.t("at-stake")) } th { (words.t("last-entry")) }
            } }
            tbody {
                @for (no, row) in &view.rows {
                    @let week: u64 = row.prospect.taken.iter().rev().take(7).map(|cg| u64::from(*cg)).sum();
                    tr {
                        td { a href=(format!("/console/farms/{no}")) { (no) } }
                        td { (row.name) } td { (row.ward) } td.n { (row.prospect.cages) } td.n { (tenths(week)) }
                        td.n { @if row.prospect.at_stake() > 0 { (tenths(u64::from(row.prospect.at_stake()))) } }
                        td { @if let Some(day) = row.prospect.last_entry { (day.format("%d.%m.%Y")) } }
                    }
                }
            }
        } } }
        @if view.more && view.wanted.is_empty() {
            @if let Some((last, _)) = view.rows.last() {
                p.pages { a.button href=(format!("/console/farms?after={last}")) { (words.t("next-page")) } }
            }
        }
        @if view.more && !view.wanted.is_empty() { p.hint { (words.t("farms-more")) } }
    }
}
