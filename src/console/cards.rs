//! Pocket cards: the lines that a keeper texts, in the keeper's language, on a card of the size that fits a purse.
//!
//! The lines are made of the entry language's own words, so that a card never teaches a line that is not read. This room stores nothing.

use crate::console::answer::Refused;
use crate::console::batch::{Batch, Chosen, members};
use crate::console::printed::Printed;
use crate::console::visit::Visit;
use crate::desk::member::Member;
use maud::{Markup, html};

/// Cards on one sheet: two by five of 85.6 by 54 mm (ISO/IEC 7810, ID-1).
pub const ON_SHEET: usize = 10;
/// Cards of one batch: four sheets, some 70 kB.
const PAGE: usize = 40;
/// The cage that a card tells of where the member has none yet.
const NO_CAGE: &str = "C1";

/// A batch of card sheets.
///
/// # Errors
/// When the store fails.
pub fn sheets(visit: &Visit<'_>, chosen: &Chosen) -> Result<Batch, Refused> {
    let (coop, counter) = (visit.who()?.coop, visit.counter());
    let name = counter.rules(coop)?.name;
    let found = members(visit, chosen, PAGE)?;
    let next = (found.len() > PAGE)
        .then(|| found.get(PAGE - 1).map(ToString::to_string))
        .flatten();
    let mut cards = Vec::new();
    for no in found.into_iter().take(PAGE) {
        let member = counter.member(coop, no)?;
        let farm = counter.farm(coop, no)?;
        let mut units = farm.running().map(|(unit, _)| unit.code);
        let first = units.next().or(farm.units.first().map(|unit| unit.code));
        let cage = first.map_or_else(|| NO_CAGE.to_owned(), |code| code.to_string());
        cards.push(draw(visit.printed(), &name, &member, &cage));
    }
    let sheets = cards
        .chunks(ON_SHEET)
        .map(|some| html! { section.sheet.cards { @for card in some { (card) } } })
        .collect();
    Ok(Batch { sheets, next })
}

fn draw(printed: &Printed, coop: &str, member: &Member, cage: &str) -> Markup {
    let lang = member.lang;
    html! {
        div.card lang=(lang.to_string()) {
            p.head { b { (member.number) " " (member.name) } span { (coop) } }
            dl {
                @for line in printed.entry_lines(lang, cage) { dt { (line.line) } dd { (line.says) } }
            }
            p.foot { (printed.put(lang, "send-to", &[])) " " (printed.put(lang, "blank", &[])) }
        }
    }
}
