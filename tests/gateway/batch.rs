//! Networks that bring several messages in one post, and what the `links` command says of http links.

use crate::child::{Answer, Gateway, complaint, printed};
use crate::sending::{SECRET, founded};
use serde_json::{Value, json};
use tempfile::tempdir;

const MAPPED: &str = r#"[links.north.inbound]
format = "json"
id = "uid"
from = "/msisdn"
text = "/content/0/body"
"#;

fn message(uid: u64, from: &str, text: &str) -> Value {
    json!({"uid": uid, "msisdn": from, "content": [{"body": text}]})
}

fn taken(answer: &Answer) -> (u16, Value, Value) {
    let said = answer.json();
    (
        answer.status,
        said["taken"].clone(),
        said["refused"].clone(),
    )
}

/// Nobody listens there.
const SENDS: &str = "reply = \"send\"\nsend_url = \"http://127.0.0.1:9/\"\n";

fn north(more: &str) -> String {
    format!("[links.north]\nsecret = \"{SECRET}\"\ncountry = \"255\"\n{more}")
}

#[test]
fn each_message_of_one_post_is_kept_once_and_a_wrong_one_keeps_none_out() {
    let dir = tempdir().unwrap();
    let settings = north(&format!(
        "{SENDS}{MAPPED}each = \"/data\"\n[links.north.receipts]\nformat = \"json\"\neach = \".\"\n[links.quiet]\nsecret = \"{SECRET}\"\n"
    ));
    let config = founded(dir.path(), &settings);
    let gateway = Gateway::real(&config);
    let post = |list: &Value| gateway.post("/in/north", SECRET, &json!({ "data": list }));
    let first = json!([
        message(1, "+255700000101", "join ZIWANI Asha"),
        {"uid": 2},
        message(3, "0700000102", "join ZIWANI Juma"),
    ]);
    assert_eq!(taken(&post(&first)), (200, 2.into(), 1.into()));
    assert_eq!(taken(&post(&first)), (200, 2.into(), 1.into()), "again");
    assert_eq!(post(&json!([{"uid": 2}])).status, 400);
    assert_eq!(
        taken(&post(&json!([]))),
        (200, 0.into(), 0.into()),
        "nothing new"
    );
    assert_eq!(post(&json!({})).status, 400);
    // Numbers that a double cannot hold: no ids, and so not one.
    let long = br#"{"data":[{"uid":123456789012345678901,"msisdn":"+255700000103","content":[{"body":"join ZIWANI Neema"}]},{"uid":123456789012345678902,"msisdn":"+255700000104","content":[{"body":"join ZIWANI Baraka"}]}]}"#;
    let long: Value = serde_json::from_slice(long).unwrap();
    assert_eq!(
        taken(&gateway.post("/in/north", SECRET, &long)),
        (200, 2.into(), 0.into())
    );
    let told = json!([{"id": "n-1", "state": "delivered"}, {"id": "n-2", "state": "failed"}, {}]);
    let kept = gateway.post("/in/north/receipt", SECRET, &told);
    assert_eq!((kept.status, kept.json()), (200, json!({"kept": true})));
    let place = config.to_str().unwrap();
    let members = printed(&["member", "list", "--config", place]);
    for name in ["Asha", "Juma", "Neema", "Baraka"] {
        assert_eq!(members.matches(name).count(), 1, "{members}");
    }
    // Two posts of two, and one of two; two receipts.
    let links = printed(&["links", "--config", place]);
    let row = |name: &str| {
        let row = links.lines().find(|line| line.starts_with(name));
        let words = row.unwrap().split_whitespace();
        words.map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(
        (row("north")[5].as_str(), row("north")[8].as_str()),
        ("6", "2")
    );
    assert_eq!(row("quiet")[2], "up", "{links}");
    assert!(links.contains("sends none"), "{links}");
    let place = ["links", "send", "--config", place, "--link", "quiet"];
    let try_it = |text| complaint(&[&place[..], &["+255700000101", text]].concat());
    assert!(try_it("a try").contains("no way out"));
    assert!(try_it(" ").contains("empty"));
}

#[test]
fn a_second_message_is_never_passed_over_in_silence() {
    let dir = tempdir().unwrap();
    let mapped = MAPPED
        .replace("\"uid\"", "\"/data/0/uid\"")
        .replace("\"/msisdn\"", "\"/data/0/msisdn\"")
        .replace("\"/content", "\"/data/0/content");
    let config = founded(dir.path(), &north(&mapped));
    let gateway = Gateway::real(&config);
    let one = message(1, "+255700000101", "join ZIWANI Asha");
    let two = message(2, "+255700000102", "join ZIWANI Juma");
    let post = |list: Value| gateway.post("/in/north", SECRET, &json!({ "data": list }));
    assert_eq!(post(json!([one])).status, 200);
    let refused = post(json!([one, two]));
    assert_eq!(refused.status, 400);
    let detail = refused.json()["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("inbound.each = \"/data\""), "{detail}");
}

#[test]
fn a_list_whose_answers_would_have_no_place_is_refused_at_the_start() {
    for (more, said) in [
        (format!("{MAPPED}each = \"/data\"\n"), "inbound.each"),
        (
            format!("{SENDS}{MAPPED}each = \"/data\"\nanswer_body = '{{\"ref\":{{id}}}}'\n"),
            "inbound.answer_body",
        ),
        (
            format!(
                "{SENDS}{}each = \"/data\"\n",
                MAPPED.replace("json", "form")
            ),
            "inbound.each",
        ),
    ] {
        let dir = tempdir().unwrap();
        let config = dir.path().join("clutchline.toml");
        std::fs::write(&config, north(&more)).unwrap();
        let why = complaint(&["serve", "--config", config.to_str().unwrap()]);
        assert!(why.contains(said), "{more}\n{why}");
    }
}
