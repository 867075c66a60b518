//! Days at the end of a line that may not be the facts': of something still to come, or after words that were not understood.
//!
//! This room binds no day; it loosens or drops what may be none of the facts'.

use crate::domain::said::DaySaid;
use crate::grammar::binding::{Choices, Places};
use crate::grammar::facts::Group;
use crate::grammar::meanings::{Blur, Meaning};
use crate::grammar::tokens::{Kind, Token};

/// `C4 12.5 yesterday, see you friday`: a day after the line's own and after words that were not understood is not the facts' day.
pub(crate) fn drop_later_day(groups: &[Group], places: &mut [Places]) {
    let mut days: Vec<usize> = places.iter().flat_map(|p| &p.days).map(|d| d.0).collect();
    days.sort_unstable();
    let facts = places.iter().flat_map(|p| p.facts.iter().copied()).max();
    let ([.., own, later], Some(fact)) = (days.as_slice(), facts) else {
        return;
    };
    let words = groups
        .iter()
        .flat_map(|g| &g.items)
        .any(|(at, t)| (own..later).contains(&at) && t.kind == Kind::Unknown);
    if *own > fact && words {
        for group in places {
            group.days.retain(|(at, _)| at != later);
        }
    }
}

/// `C4 12.5 see you friday`: the one day ends the line after words that were not understood, so it may not be the day of the facts.
pub(crate) fn loosen_last_day(groups: &[Group], places: &[Places], days: &mut [Vec<Choices>]) {
    let mut all = places.iter().flat_map(|p| p.days.iter());
    let (Some((day_at, Some(day))), None) = (all.next(), all.next()) else {
        return;
    };
    let Some(last_fact) = places.iter().flat_map(|p| p.facts.iter().copied()).max() else {
        return;
    };
    let between = |(at, _): &&(usize, Token)| (last_fact..*day_at).contains(at);
    let items = || groups.iter().flat_map(|g| g.items.iter()).filter(between);
    // `C4 12.5 tutaonana ijumaa`: the day of something still to come.
    let to_come = |(at, t): &(usize, Token)| {
        at + 1 == *day_at && t.kind == Kind::Word(Meaning::Blur(Blur::Unsure)) && t.text.len() > 4
    };
    if items().any(to_come) {
        days.iter_mut()
            .flatten()
            .for_each(|fact| *fact = vec![Some(DaySaid::Unsaid)]);
        return;
    }
    // Today is what a line without a day says too.
    if *day == DaySaid::Back(0) {
        return;
    }
    let unread =
        |(_, t): &(usize, Token)| matches!(t.kind, Kind::Unknown | Kind::Letters | Kind::Near(_));
    if items().any(unread) {
        let choices = vec![Some(DaySaid::Unsaid), Some(*day)];
        days.iter_mut()
            .flatten()
            .for_each(|fact| fact.clone_from(&choices));
    }
}
