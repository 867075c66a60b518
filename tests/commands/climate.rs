//! Air and finished cages of a ward, from the outside: what an office sets and what neighbours' cages taught reach a keeper's replies.

use crate::office::Office;

/// Eight degree-days a day less than the table's stand-in.
const COOL: &str = "15-21,15-21,15-21,15-21,15-21,15-21,15-21,15-21,15-21,15-21,15-21,15-21";

fn say(office: &Office, from: &str, day: &str, text: &str) -> String {
    let at = format!("{day}T05:10:00Z");
    office.does(&["say", "--from", from, "--at", &at, text])
}

fn joins(office: &Office, name: &str, phone: &str, ward: &str) {
    let words = ["member", "add", "--name", name, "--phone", phone];
    office.does(&[&words[..], &["--ward", ward]].concat());
}

#[test]
fn a_cool_ward_s_first_eggs_are_due_later() {
    let office = Office::new();
    joins(&office, "Asha", "+255700000301", "Ufukwe");
    joins(&office, "Juma", "+255700000302", "Mlimani");
    let told = office.does(&["climate", "set", "--ward", "mlimani", COOL]);
    assert!(told.contains("mlimani"), "{told}");
    for phone in ["+255700000301", "+255700000302"] {
        say(&office, phone, "2026-02-18", "C1 stock 8000");
    }
    let state = |phone| say(&office, phone, "2026-02-20", "C1");
    // Ten days at 26 C are 140 degree-days above 12; at 18 C a day has 6 of them.
    let warm = state("+255700000301");
    assert!(warm.contains("first eggs about 28/2"), "{warm}");
    let cool = state("+255700000302");
    assert!(cool.contains("first eggs about 1"), "{cool}");
    assert!(cool.contains("/3"), "{cool}");
    // A warm spell read off the ward's thermometer brings them nearer.
    let read = ["climate", "read", "--ward", "Mlimani", "--day"];
    for day in ["2026-02-18", "2026-02-19", "2026-02-20"] {
        office.does(&[&read[..], &[day, "--air", "24-36"]].concat());
    }
    let warmed = say(&office, "+255700000302", "2026-02-20", "C1?");
    assert!(warmed.contains("first eggs about"), "{warmed}");
    assert_ne!(warmed, cool);
}

#[test]
fn air_that_cannot_be_is_refused_with_an_example() {
    let office = Office::new();
    let refused = office.refuses(&["climate", "set", "--ward", "Nowhere", COOL]);
    assert!(refused.contains("Ufukwe, Mlimani"), "{refused}");
    let refused = office.refuses(&["climate", "set", "19-29,19-30"]);
    assert!(refused.contains("twelve months"), "{refused}");
    let refused = office.refuses(&["climate", "set", "warm"]);
    assert!(refused.contains("18-31"), "{refused}");
    let read = ["climate", "read", "--ward", "Ufukwe", "--day"];
    let refused = office.refuses(&[&read[..], &["2226-02-18", "--air", "18-31"]].concat());
    assert!(refused.contains("up to today"), "{refused}");
}

/// Grams that the next seven days may reach, from a reply such as `Next 7 days about 12-44g.`
fn reach(state: &str) -> f64 {
    let range = state.split("about ").nth(1).unwrap();
    let high = range.split(['-', 'g']).nth(1).unwrap();
    high.parse().unwrap()
}

#[test]
fn a_new_farm_starts_from_what_its_ward_s_cages_taught() {
    let reached = |weights: f64| {
        let office = Office::new();
        joins(&office, "Asha", "+255700000301", "Ufukwe");
        joins(&office, "Juma", "+255700000302", "Ufukwe");
        let cages = ["C1", "C2", "C3", "C4", "C5", "C6"];
        let every = |what: &str| cages.map(|cage| format!("{cage} {what}")).join(" ");
        let day = |age: i64| {
            let stocked: chrono::NaiveDate = "2026-02-01".parse().unwrap();
            (stocked + chrono::Duration::days(age)).to_string()
        };
        let asha = |age: i64, text: &str| say(&office, "+255700000301", &day(age), text);
        asha(0, &every("stock 8000"));
        let good = [6.0, 13.0, 21.0, 26.0, 29.0, 30.0, 27.0, 23.0, 18.0, 14.0];
        for (age, tenths) in (10..).zip(good) {
            asha(age, &every(&format!("{:.1}", tenths * weights / 10.0)));
        }
        let told = asha(22, &every("retire"));
        if told.contains("yes") {
            asha(22, "yes");
        }
        say(&office, "+255700000302", &day(23), "C1 stock 8000");
        reach(&say(&office, "+255700000302", &day(33), "C1"))
    };
    let (poor, rich) = (reached(0.5), reached(1.5));
    assert!(rich > 1.4 * poor, "{poor} {rich}");
}
