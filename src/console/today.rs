//! Today: the farms that need a person, those with most eggs at stake first.
//!
//! This room ranks nothing; the counter's ledgers do.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::visit::Visit;
use maud::html;

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
    let who = visit.who()?;
    let rules = visit.counter().rules(who.coop)?;
    let middle = html! { p { (rules.name) ", " (visit.today()?) } };
    Ok(frame::page(visit, &visit.words.t("nav-today"), middle))
}
