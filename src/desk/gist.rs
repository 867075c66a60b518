//! What a message says, in short and in the keywords' own words: for people who look at how the gateway reads.
//!
//! No reply uses it. This room judges nothing.

use crate::domain::CareJob;
use crate::domain::lang::Lang;
use crate::domain::said::{DaySaid, Fact, Order, Reading, Said, StockAmount, Units, Verb, Weighed};
use crate::grammar::Lexicon;
use crate::grammar::registry;

/// `C4 bait; C5 12.5g -1; not read: xyz`, with the keywords of a language.
#[must_use]
pub fn gist(reading: &Reading, lang: Lang) -> String {
    let mut parts: Vec<String> = Vec::new();
    if let Some(no) = reading.for_member {
        parts.push(format!("{} {no}", word(Verb::For, lang)));
    }
    parts.extend(reading.orders.iter().map(|one| order(one, lang)));
    parts.extend(reading.said.iter().map(|one| said(one, lang)));
    parts.extend(
        reading
            .doubts
            .iter()
            .map(|doubt| format!("{}??", doubt.text)),
    );
    parts.extend(
        reading
            .unread
            .iter()
            .map(|piece| format!("{}?", piece.text)),
    );
    parts.join("; ")
}

fn word(verb: Verb, lang: Lang) -> &'static str {
    Lexicon::builtin().word(verb, lang)
}

fn said(said: &Said, lang: Lang) -> String {
    let units = match &said.units {
        Units::Unsaid => String::new(),
        Units::All => "all ".to_owned(),
        Units::Named(units) => {
            let codes: Vec<String> = units.iter().map(|unit| unit.code.to_string()).collect();
            format!("{} ", codes.join(" "))
        }
    };
    let day = match said.day {
        DaySaid::Unsaid => String::new(),
        DaySaid::Back(days) => format!(" -{days}"),
        DaySaid::Weekday(day) => format!(" {day}"),
        DaySaid::Date { day, month } => format!(" {day}/{month}"),
        DaySaid::Dated(date) => date.format(" %-d/%-m/%Y").to_string(),
        DaySaid::OfMonth(day) => format!(" date {day}"),
    };
    format!("{units}{}{day}", fact(&said.fact, lang))
}

fn fact(fact: &Fact, lang: Lang) -> String {
    let verb = |verb| word(verb, lang).to_owned();
    let with = |verb, what: String| format!("{} {what}", word(verb, lang)).trim_end().to_owned();
    match fact {
        Fact::Eggs { weight, add: false } => weighed(weight),
        Fact::Eggs { weight, add: true } => with(Verb::Add, weighed(weight)),
        Fact::Care(job) => verb(care(*job)),
        Fact::Stock { amount, .. } => with(Verb::Stock, stocked(*amount)),
        Fact::Dead(grams) => with(Verb::Dead, grams.map(|g| g.to_string()).unwrap_or_default()),
        Fact::Ants => verb(Verb::Ants),
        Fact::Temperature { min, max } => with(Verb::Temp, format!("{min} {max}")),
        Fact::Retire => verb(Verb::Retire),
        Fact::Delivered(weight) => with(Verb::Got, weighed(weight)),
        Fact::State => "?".to_owned(),
        Fact::FixEggs(weight) => with(Verb::Fix, weighed(weight)),
        Fact::FixStock { amount, .. } => with(Verb::Fix, with(Verb::Stock, stocked(*amount))),
    }
}

fn weighed(weight: &Weighed) -> String {
    weight.grams.to_string()
}

fn stocked(amount: Option<StockAmount>) -> String {
    match amount {
        None => String::new(),
        Some(StockAmount::Weight(grams)) => grams.to_string(),
        Some(StockAmount::Count(pupae)) => pupae.to_string(),
    }
}

/// The verb of a job.
fn care(job: CareJob) -> Verb {
    let row = registry::VERBS.iter().find(|row| row.care == Some(job));
    row.map_or(Verb::Bait, |row| row.verb)
}

/// The verb of an order.
pub(crate) fn verb_of(order: &Order) -> Verb {
    match order {
        Order::Tasks => Verb::Tasks,
        Order::Undo => Verb::Undo,
        Order::Yes => Verb::Yes,
        Order::No => Verb::No,
        Order::Add => Verb::Add,
        Order::Join { .. } => Verb::Join,
        Order::Lang(_) | Order::LangUnknown => Verb::Lang,
        Order::Stop => Verb::Stop,
        Order::Start => Verb::Start,
        Order::Help(_) => Verb::Help,
        Order::Plan(_) => Verb::Plan,
        Order::EggsSum => Verb::Eggs,
        Order::Away(_) => Verb::Away,
        Order::Back => Verb::Back,
        Order::Hour(_) => Verb::Hour,
        Order::MyData => Verb::Data,
        Order::Forget => Verb::Forget,
        Order::Lessons(_) => Verb::Lessons,
        Order::Pin(_) => Verb::Pin,
    }
}

fn order(order: &Order, lang: Lang) -> String {
    let verb = verb_of(order);
    let more = match order {
        Order::Join { code, name } => format!(" {code} {name}"),
        Order::Help(Some(verb)) => format!(" {}", word(*verb, lang)),
        Order::Lang(lang) => format!(" {lang}"),
        Order::Plan(Some(grams)) => format!(" {grams}"),
        Order::Away(days) => format!(" {days}"),
        Order::Hour(hour) => format!(" {hour}"),
        _ => String::new(),
    };
    format!("{}{more}", word(verb, lang))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grammar::read;

    #[test]
    fn a_line_s_gist_names_what_is_said_and_what_is_not_read() {
        let shown = |text| gist(&read(text, Lexicon::builtin()), Lang::EN);
        assert_eq!(shown("c4 chambo, C5 8 jana"), "C4 bait -1; C5 8g -1");
        assert_eq!(shown("for 2071 C7 stock 8000"), "for 2071; C7 stock 8000");
        assert_eq!(shown("qwrtz"), "qwrtz?");
        assert_eq!(shown("help maji"), "help water");
    }
}
