//! The demo's ready line, and a text for each outcome.

use crate::child::{Gateway, printed};
use serde_json::{Value, json};
use tempfile::tempdir;

/// A number that the demo leaves free.
const NEWCOMER: &str = "+255700000190";

/// Sends a text at a moment; the outcome and the reply's text.
struct Phone<'a> {
    gateway: &'a Gateway,
    from: &'a str,
    count: u32,
}

impl Phone<'_> {
    fn say(&mut self, at: &str, text: &str) -> (String, String) {
        self.count += 1;
        let id = format!("{}-{}", self.from, self.count);
        let body = json!({"id": id, "from": self.from, "to": "40123", "text": text, "sent_at": at});
        let answer = self.gateway.say(&body);
        assert_eq!(answer["id"], Value::from(id));
        let replies = answer["replies"].as_array().unwrap();
        assert!(replies.len() <= 1, "{answer}");
        let reply = replies.first().map_or("", |reply| {
            assert_eq!(reply["to"], self.from);
            reply["text"].as_str().unwrap()
        });
        (
            answer["outcome"].as_str().unwrap().to_owned(),
            reply.to_owned(),
        )
    }
}

#[test]
fn the_ready_line_has_the_fields_of_the_contract_in_their_order() {
    let dir = tempdir().unwrap();
    let gateway = Gateway::demo(dir.path());
    let fields = [
        "ready",
        "url",
        "link",
        "secret",
        "join_code",
        "officer_from",
        "console_user",
        "console_password",
    ];
    let mut rest = gateway.ready_line.as_str();
    for field in fields {
        let quoted = format!("\"{field}\":");
        let at = rest
            .find(&quoted)
            .unwrap_or_else(|| panic!("{field}: {rest}"));
        rest = &rest[at..];
    }
    assert_eq!(gateway.ready.as_object().unwrap().len(), fields.len());
    assert_eq!(gateway.ready["ready"], true);
    assert_eq!(gateway.ready["link"], "demo");
    assert!(gateway.secret().len() >= 16);
    let officer = gateway.ready["officer_from"].as_str().unwrap();
    assert!(officer.starts_with("+255"));

    // Started again, the folder is not filled again, and its doors open to the same words.
    let before = printed(&[
        "export",
        "--what",
        "harvests",
        "--data",
        dir.path().to_str().unwrap(),
    ]);
    gateway.terminate();
    let secret = gateway.secret().to_owned();
    let (status, rest) = gateway.ended();
    assert!(status.success());
    assert_eq!(rest, "", "nothing else goes to standard output");
    let again = Gateway::demo(dir.path());
    assert_eq!(again.secret(), secret);
    let after = printed(&[
        "export",
        "--what",
        "harvests",
        "--data",
        dir.path().to_str().unwrap(),
    ]);
    assert_eq!(before, after);
    assert!(before.lines().count() > 1_000);
}

/// One gateway for all: filling it is what takes time.
#[test]
fn phones_are_answered_as_the_contract_says() {
    let dir = tempdir().unwrap();
    let gateway = Gateway::demo(dir.path());
    each_outcome_comes_with_its_word(&gateway);
    let harvests = || {
        let data = dir.path().to_str().unwrap();
        printed(&["export", "--what", "harvests", "--data", data])
    };
    a_redelivery_is_answered_the_same_and_stored_once(&gateway, &harvests);
    a_moment_that_is_missing_or_to_come_counts_as_now(&gateway, &harvests);
}

fn each_outcome_comes_with_its_word(gateway: &Gateway) {
    let mut phone = Phone {
        gateway,
        from: NEWCOMER,
        count: 0,
    };
    let mut expect = |at: &str, text: &str, outcome: &str, in_reply: &str| {
        let (found, reply) = phone.say(at, text);
        assert!(
            outcome.split('|').any(|word| word == found),
            "{text}: {found} {reply}"
        );
        assert!(reply.contains(in_reply), "{text}: {reply}");
        assert!(reply.len() <= 160, "{reply}");
    };
    let (old, now) = ("2026-02-18T05:10:00Z", "2026-03-10T05:10:00Z");
    expect(old, "C1 12.5", "refused", "");
    expect(old, "join WRONG Asha", "refused", "");
    expect(old, "join ZIWANI Asha", "saved", "Asha");
    expect(old, "C4 stock 8000", "saved", "8000");
    // The day follows the message: 20 days later the cage lays.
    expect(now, "C4 4.5", "saved", "C4 4.5g");
    expect(now, "C4?", "answered", "C4");
    expect(now, "C9 5", "refused", "C9");
    expect(now, "C4 water frobnicate", "partly", "frobnicate");
    expect(now, "frobnicate", "unreadable", "frobnicate");
    expect(now, "C4 5.5", "asked", "4.5");
    expect(now, "yes", "saved", "5.5");
    expect(now, "C4 12.5 tomorrow", "asked|refused", "");
}

fn a_redelivery_is_answered_the_same_and_stored_once(
    gateway: &Gateway,
    harvests: &dyn Fn() -> String,
) {
    let body = |id: &str, text: &str, at: &str| json!({"id": id, "from": "+255700000191", "text": text, "sent_at": at});
    gateway.say(&body("r-a", "join ZIWANI Asha", "2026-02-18T05:10:00Z"));
    gateway.say(&body("r-b", "C4 stock 8000", "2026-02-18T05:11:00Z"));
    let first = gateway.say(&body("r-c", "C4 4.5", "2026-03-10T05:10:00Z"));
    assert_eq!(first["outcome"], "saved");
    // The same id; and a network's retry under a new one.
    for id in ["r-c", "r-d"] {
        let again = gateway.say(&body(id, "C4 4.5", "2026-03-10T05:10:00Z"));
        assert_eq!(again["outcome"], "duplicate", "{id}");
        assert_eq!(again["replies"], first["replies"], "{id}");
    }
    let csv = harvests();
    let mine: Vec<&str> = csv.lines().filter(|line| line.ends_with(",r-c")).collect();
    assert_eq!(mine.len(), 1, "{mine:?}");
    assert!(mine[0].contains(",C4,2026-03-10,4.5,"), "{mine:?}");
}

fn a_moment_that_is_missing_or_to_come_counts_as_now(
    gateway: &Gateway,
    harvests: &dyn Fn() -> String,
) {
    gateway.say(&json!({"id": "m-a", "from": "+255700000192", "text": "join ZIWANI Asha", "sent_at": "2026-02-18T05:10:00Z"}));
    gateway.say(&json!({"id": "m-b", "from": "+255700000192", "text": "C4 stock 8000", "sent_at": "2026-02-18T05:11:00Z"}));
    gateway.say(
        &json!({"id": "m-c", "from": "+255700000192", "text": "C4 2.5", "sent_at": "2026-03-08T21:30:00Z"}),
    );
    gateway.say(
        &json!({"id": "m-d", "from": "+255700000192", "text": "C4 3.5", "sent_at": "2027-01-01T00:00:00Z"}),
    );
    gateway.say(&json!({"id": "m-e", "from": "+255700000192", "text": "C4 add 1"}));
    let csv = harvests();
    // 21:30 UTC is half past midnight at the lake: still the farm day that began at three.
    assert!(
        csv.lines()
            .any(|line| line.contains(",C4,2026-03-08,2.5,") && line.ends_with(",m-c")),
        "{csv}"
    );
    assert!(csv.lines().any(|line| line.contains(",C4,2026-03-10,")
        && (line.ends_with(",m-d") || line.ends_with(",m-e"))));
    assert!(!csv.contains(",2027-"));
}

#[test]
fn a_seed_makes_one_history_and_another_seed_another() {
    let history = |seed: &str| {
        let dir = tempdir().unwrap();
        let gateway = Gateway::demo_with(dir.path(), &["--today", "2026-03-10", "--seed", seed]);
        drop(gateway);
        printed(&[
            "export",
            "--what",
            "harvests",
            "--data",
            dir.path().to_str().unwrap(),
        ])
    };
    let first = history("7");
    assert_eq!(first, history("7"));
    assert_ne!(first, history("8"));
    assert!(!first.contains(",2026-03-10,"), "today is the visitor's");
    assert!(first.contains(",2026-03-09,"));
}
