//! Whatever is posted, a mapping reads it or says what is wrong; nothing panics and nothing is taken that is longer than it may be.

use clutchline::domain::message::LinkName;
use clutchline::links::http::fields::{Each, Format, Place, Posted};
use clutchline::links::http::mapping::{Message, MessageMapping, ReceiptMapping, TimeForm};
use clutchline::links::http::ussd::{Typed, UssdInput, UssdMapping};
use proptest::prelude::*;

const FORMATS: [Format; 3] = [Format::Json, Format::Form, Format::Query];

/// JSON that nearly fits, a form that nearly fits, or anything.
fn bodies() -> impl Strategy<Value = String> {
    let value = prop_oneof![
        any::<String>().prop_map(|text| serde_json::Value::from(text).to_string()),
        "[0-9]{1,20}",
        Just("[{\"from\":null}]".to_owned()),
        "\"[+0]?[0-9 ()-]{2,16}\"",
    ];
    let json = (value.clone(), value.clone(), value).prop_map(|(from, text, at)| {
        format!("{{\"from\":{from},\"a\":{{\"text\":{text}}},\"at\":{at},\"id\":\"1\"}}")
    });
    let form = "from=[+%0-9]{0,20}&text=[ -~]{0,40}&at=[0-9%: ]{0,20}(&id=[a-z]{0,200})?";
    prop_oneof![json, form, any::<String>()]
}

fn message(format: Format, pointer: bool, pattern: &str) -> MessageMapping {
    let name = |text: &str| Place::Name(text.to_owned());
    MessageMapping {
        format,
        each: Each::Whole,
        id: name("id"),
        from: name("from"),
        to: Place::Constant("40123".to_owned()),
        text: if pointer {
            Place::Pointer("/a/text".to_owned())
        } else {
            name("text")
        },
        sent_at: name("at"),
        time: TimeForm::new(pattern, "Africa/Dar_es_Salaam").unwrap(),
    }
}

proptest! {
    #[test]
    fn messages_receipts_and_steps_are_read_or_refused(
        body in bodies(),
        query in "[ -~]{0,80}",
        pointer in any::<bool>(),
        pattern in prop_oneof![Just("rfc3339"), Just("seconds"), Just("milliseconds"), Just("%d/%m/%Y %H:%M")],
        country in prop_oneof![Just(""), Just("255"), Just("TZ"), Just("999")],
    ) {
        let now = "2026-03-10T05:10:00Z".parse().unwrap();
        let link = LinkName("north".to_owned());
        for format in FORMATS {
            let step = UssdMapping { format, typed: Typed::Path("*".to_owned()), ..UssdMapping::default() };
            if let Ok(asked) = step.read(body.as_bytes(), &query, country) {
                prop_assert!((1..=128).contains(&asked.session.len()));
                prop_assert!(asked.input != UssdInput::Path(Vec::new()));
            }
            let Ok(posted) = Posted::read(format, body.as_bytes(), &query) else { continue };
            if let Ok(Message::FromPhone(inbound)) =
                message(format, pointer, pattern).read(&posted, &link, country, None, now)
            {
                prop_assert!(inbound.from.full().starts_with('+'));
                prop_assert!(inbound.text.chars().count() <= 1_600);
                prop_assert!(inbound.id.is_none_or(|id| (1..=128).contains(&id.len())));
            }
            let receipt = ReceiptMapping {
                format,
                each: Each::Whole,
                only: Some((Place::Name("from".to_owned()), vec!["x".to_owned()])),
                id: Place::Name("id".to_owned()),
                state: Place::Name("text".to_owned()),
                why: Place::Pointer("/a/text".to_owned()),
                at: Place::Name("at".to_owned()),
                time: TimeForm::new(pattern, "").unwrap(),
                words: [vec!["D".to_owned()], vec![], vec![], vec![]],
            };
            prop_assert!(!receipt.is_one(&posted) || posted.text(&Place::Name("from".to_owned())).is_some());
            if let Ok(told) = receipt.read(&posted, now) {
                prop_assert!(told.at <= now);
            }
        }
    }
}
