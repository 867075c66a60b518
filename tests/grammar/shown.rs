//! A reading in one line, as the golden files write it.

use clutchline::domain::said::{
    DaySaid, Fact, Order, Reading, Said, StockAmount, UnitSaid, Units, Weighed,
};

/// Parts in the order for, said, orders, doubts, unread, repaired, parted by `; `.
pub(crate) fn reading(reading: &Reading) -> String {
    let mut parts = Vec::new();
    parts.extend(reading.for_member.map(|m| format!("for {m}")));
    parts.extend(reading.said.iter().map(said));
    parts.extend(reading.orders.iter().map(|o| format!("order {}", order(o))));
    parts.extend(reading.doubts.iter().map(|d| {
        let readings: Vec<String> = d.readings.iter().map(said).collect();
        format!("doubt {:?} {:?} [{}]", d.why, d.text, readings.join(" | "))
    }));
    parts.extend(reading.unread.iter().map(|u| {
        let unit = u.unit.map(|u| format!(" {u}")).unwrap_or_default();
        format!("unread {:?}@{}{unit} {:?}", u.text, u.at, u.expected)
    }));
    parts.extend(reading.near_day.iter().map(|near| {
        let day = match near.day {
            DaySaid::Unsaid => String::new(),
            DaySaid::Back(n) => format!("@-{n}"),
            DaySaid::Weekday(day) => format!("@{day}"),
            DaySaid::Date { day, month } => format!("@{day}/{month}"),
            DaySaid::Dated(date) => date.format("@%-d/%-m/%Y").to_string(),
            DaySaid::OfMonth(day) => format!("@date {day}"),
        };
        format!("near {} {day}", near.text)
    }));
    parts.extend(
        reading
            .repaired
            .iter()
            .map(|r| format!("repaired {}>{}", r.typed, r.read_as)),
    );
    parts.join("; ")
}

fn said(said: &Said) -> String {
    let day = match said.day {
        DaySaid::Unsaid => String::new(),
        DaySaid::Back(n) => format!(" @-{n}"),
        DaySaid::Weekday(day) => format!(" @{day}"),
        DaySaid::Date { day, month } => format!(" @{day}/{month}"),
        DaySaid::Dated(date) => date.format(" @%-d/%-m/%Y").to_string(),
        DaySaid::OfMonth(day) => format!(" @date {day}"),
    };
    format!("{} {}{day}", units(&said.units), fact(&said.fact))
}

fn units(units: &Units) -> String {
    let one = |unit: &UnitSaid| {
        let checked = if unit.checked { "!" } else { "" };
        if unit.inside_range {
            format!("({}{checked})", unit.code)
        } else {
            format!("{}{checked}", unit.code)
        }
    };
    match units {
        Units::Unsaid => "-".to_owned(),
        Units::All => "all".to_owned(),
        Units::Named(named) => named.iter().map(one).collect::<Vec<_>>().join(","),
    }
}

fn weighed(weight: &Weighed) -> String {
    let parts = weight
        .gross_tare
        .map(|(g, t)| format!(" ({g}-{t})"))
        .unwrap_or_default();
    let kilograms = if weight.in_kilograms { " in kg" } else { "" };
    format!("{}{parts}{kilograms}", weight.grams)
}

fn amount(amount: Option<StockAmount>) -> String {
    match amount {
        None => "?".to_owned(),
        Some(StockAmount::Weight(grams)) => grams.to_string(),
        Some(StockAmount::Count(pupae)) => pupae.to_string(),
    }
}

fn fact(fact: &Fact) -> String {
    match fact {
        Fact::Eggs { weight, add } => {
            format!("eggs {}{}", weighed(weight), if *add { " add" } else { "" })
        }
        Fact::Care(job) => format!("{job:?}").to_lowercase(),
        Fact::Stock { amount: a, kind } => {
            format!(
                "stock {}{}",
                amount(*a),
                kind.map(|k| format!(" {k:?}")).unwrap_or_default()
            )
        }
        Fact::Dead(weight) => {
            format!(
                "dead{}",
                weight.map(|w| format!(" {w}")).unwrap_or_default()
            )
        }
        Fact::Ants => "ants".to_owned(),
        Fact::Temperature { min, max } => format!("temp {min}..{max}"),
        Fact::Retire => "retire".to_owned(),
        Fact::Delivered(weight) => format!("delivered {}", weighed(weight)),
        Fact::State => "state".to_owned(),
        Fact::FixEggs(weight) => format!("fix {}", weighed(weight)),
        Fact::FixStock { amount: a, kind } => {
            let kind = kind.map(|k| format!(" {k:?}")).unwrap_or_default();
            format!("fix stock {}{kind}", amount(*a))
        }
    }
}

fn order(order: &Order) -> String {
    match order {
        Order::Join { code, name } => format!("join {code} {name:?}"),
        Order::Plan(Some(grams)) => format!("plan {grams}"),
        other => format!("{other:?}"),
    }
}
