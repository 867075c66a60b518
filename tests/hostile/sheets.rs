//! Files and values that others made: sheets of members, templates of requests to networks.

use chrono::{DateTime, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::message::CoopId;
use clutchline::domain::rules::Rules;
use clutchline::links::http::outgoing::read_headers;
use clutchline::links::http::template::{Target, Template};
use clutchline::sheets::Sheet;
use clutchline::sheets::form::Form;
use clutchline::sheets::members_in::{Fate, carry_out, plan};
use clutchline::sheets::rows::{Wanted, write};
use clutchline::store::memory::MemoryDisk;
use proptest::prelude::*;

const COOP: CoopId = CoopId(1);

fn counter() -> Counter {
    let now: DateTime<Utc> = "2026-03-10T05:00:00Z".parse().unwrap();
    let clock = Clock::standing(now);
    let counter = Counter::in_memory(&MemoryDisk::default(), Settings::default(), clock).unwrap();
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let rules = Box::new(rules);
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    counter
}

/// A real workbook: the cooperative's own.
fn workbook(counter: &Counter) -> Vec<u8> {
    let wanted = Wanted {
        coop: COOP,
        sheet: Sheet::Members,
        form: Form::Xlsx,
        month: None,
        wards: Vec::new(),
    };
    let mut bytes = Vec::new();
    write(counter, &wanted, &mut bytes).unwrap();
    bytes
}

/// Names as they may never be kept: with control characters, or longer than they may be.
fn plausible(counter: &Counter) -> bool {
    counter.members(COOP).unwrap().iter().all(|member| {
        member.name.chars().count() <= 40 && !member.name.chars().any(char::is_control)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_sheet_of_noise_is_refused_or_read(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let counter = counter();
        plan(&counter, COOP, &bytes).ok();
        let zip = [b"PK\x03\x04".as_slice(), &bytes].concat();
        prop_assert!(plan(&counter, COOP, &zip).is_err());
    }

    #[test]
    fn a_sheet_that_nearly_fits_brings_in_nothing_implausible(
        rows in prop::collection::vec("[ -~\u{0}-\u{1f}\u{e9}]{0,60}(,[ -~]{0,20}){0,5}", 0..20),
        head in prop_oneof![Just("name,phones,role,lang,ward"), Just("member;name"), Just("phones"), Just("name,name")],
    ) {
        let counter = counter();
        let file = format!("{head}\n{}", rows.join("\n"));
        if let Ok(mut planned) = plan(&counter, COOP, file.as_bytes()) {
            let added = planned.iter().filter(|row| matches!(row.fate, Fate::Add(_))).count();
            carry_out(&counter, &mut planned).unwrap();
            prop_assert!(counter.members(COOP).unwrap().len() <= added);
        }
        prop_assert!(plausible(&counter));
    }

    #[test]
    fn a_workbook_with_bytes_changed_is_refused_or_read(changes in prop::collection::vec((any::<u16>(), 1_u8..), 1..6), cut in any::<u16>()) {
        let counter = counter();
        let mut file = workbook(&counter);
        for (at, by) in changes {
            let at = usize::from(at) % file.len();
            file[at] ^= by;
        }
        plan(&counter, COOP, &file).ok();
        let cut = usize::from(cut) % file.len();
        plan(&counter, COOP, &file[..cut]).ok();
    }

    /// RFC 9110, section 5.5: a field value holds no line break and no control character.
    #[test]
    fn no_text_adds_a_header_or_leaves_its_place(text in any::<String>()) {
        let template = Template::new("for {to}: {text}", Target::Header, &["to", "text"]).unwrap();
        let line = template.fill(&["+255700000101", &text]);
        prop_assert!(line.bytes().all(|b| (b' '..=b'~').contains(&b)), "{line:?}");
        prop_assert!(line.starts_with("for +255700000101: "));
        let address = Template::new("https://x.example/send?t={text}&u=1", Target::Percent, &["text"]).unwrap();
        let address = address.fill(&[&text]);
        prop_assert_eq!(address.matches('&').count(), 1);
        prop_assert_eq!(address.matches('?').count(), 1);
        prop_assert!(!address.contains('#'));
        let body = Template::new("{\"t\":{text}}", Target::Json, &["text"]).unwrap();
        let read: serde_json::Value = serde_json::from_str(&body.fill(&[&text])).unwrap();
        prop_assert_eq!(read["t"].as_str().unwrap(), text);
    }

    /// RFC 9110, section 5.6.2: a field name is of letters, digits and these fifteen marks.
    #[test]
    fn headers_of_noise_are_refused_or_hold_no_line_break(text in any::<String>()) {
        if let Ok(headers) = read_headers(&text) {
            for (name, value) in headers {
                prop_assert!(name.bytes().all(|b| b.is_ascii_alphanumeric() || b"!#$%&'*+-.^_`|~".contains(&b)));
                prop_assert!(!value.fill(&[]).contains(['\r', '\n']));
            }
        }
    }
}

#[test]
fn a_workbook_as_it_is_reads() {
    let counter = counter();
    assert!(plan(&counter, COOP, &workbook(&counter)).is_ok());
}
