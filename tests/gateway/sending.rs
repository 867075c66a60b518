//! A gateway by a settings file: flood limits, and a link that answers by sending.

use crate::child::{Gateway, found};
use clutchline::config::Link;
use clutchline::domain::message::{CoopId, LinkName, Outbound};
use clutchline::domain::phone::PhoneNumber;
use clutchline::store::outbox::{OutboxId, OutboxRow, Urgency};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpListener;
use std::path::Path;
use tempfile::tempdir;

pub(crate) const SECRET: &str = "a-secret-of-some-length";

/// A founded cooperative with these links; where the settings are.
pub(crate) fn founded(dir: &Path, links: &str) -> std::path::PathBuf {
    let data = dir.join("data");
    let config = dir.join("clutchline.toml");
    let text = format!(
        "[store]\nfolder = {:?}\n[flood]\nmessages = 3\nwindow_minutes = 10\n{links}",
        data.to_str().unwrap()
    );
    std::fs::write(&config, text).unwrap();
    let place = config.to_str().unwrap();
    found(["--config", place]);
    config
}

#[test]
fn one_number_is_held_back_and_told_for_how_long() {
    let dir = tempdir().unwrap();
    let config = founded(
        dir.path(),
        &format!("[links.north]\nsecret = \"{SECRET}\"\ncountry = \"255\"\n"),
    );
    let gateway = Gateway::real(&config);
    let say = |from: &str, count: u32| {
        gateway.post(
            "/in/north",
            SECRET,
            &json!({"id": format!("{from}{count}"), "from": from, "text": "help"}),
        )
    };
    for count in 0..3 {
        assert_eq!(say("+255700000101", count).status, 200);
    }
    // The national form is the same number.
    let held = say("0700000101", 3);
    assert_eq!(held.status, 429);
    assert_eq!(held.json()["type"], "urn:clutchline:problem:flooded");
    let wait: u32 = held.header("retry-after").unwrap().parse().unwrap();
    assert!((1..=600).contains(&wait), "{wait}");
    assert_eq!(say("+255700000102", 0).status, 200);
    gateway.terminate();
    assert!(gateway.ended().0.success());
}

/// Takes one posted text, answers 200, and hands over its head and body.
fn network(listener: &TcpListener) -> (String, Value) {
    let (stream, _) = listener.accept().unwrap();
    let mut reader = BufReader::new(stream);
    let (mut head, mut length) = (String::new(), 0);
    loop {
        let mut line = String::new();
        reader.read_line(&mut line).unwrap();
        if line.trim().is_empty() {
            break;
        }
        if let Some(value) = line.to_ascii_lowercase().strip_prefix("content-length:") {
            length = value.trim().parse().unwrap();
        }
        head.push_str(&line);
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body).unwrap();
    let mut stream = reader.into_inner();
    stream
        .write_all(b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")
        .unwrap();
    (head, serde_json::from_slice(&body).unwrap())
}

#[test]
fn a_link_that_sends_posts_the_answer_and_keeps_it_out_of_the_response() {
    let dir = tempdir().unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let url = format!("http://{}/send", listener.local_addr().unwrap());
    let link = format!(
        "[links.north]\nsecret = \"{SECRET}\"\nreply = \"send\"\nsend_url = \"{url}\"\nauth = \"bearer\"\ntoken = \"their-token\"\nbody = '{{\"msisdn\":{{to}},\"message\":{{text}},\"ref\":{{id}}}}'\n"
    );
    let config = founded(dir.path(), &link);
    let gateway = Gateway::real(&config);
    let answer = gateway.post(
        "/in/north",
        SECRET,
        &json!({"id": "s-1", "from": "+255700000101", "text": "join ZIWANI Asha"}),
    );
    assert_eq!(
        answer.json(),
        json!({"id": "s-1", "outcome": "saved", "replies": []})
    );
    let (head, sent) = network(&listener);
    assert!(head.starts_with("POST /send HTTP/1.1"), "{head}");
    assert!(
        head.to_ascii_lowercase()
            .contains("authorization: bearer their-token"),
        "{head}"
    );
    assert_eq!(sent["msisdn"], "+255700000101");
    assert!(sent["message"].as_str().unwrap().contains("Asha"), "{sent}");
    assert!(sent["ref"].as_str().unwrap().starts_with("out-"), "{sent}");
    gateway.terminate();
    assert!(gateway.ended().0.success());
}

/// The sum is Python's `hmac` over the query string.
#[test]
fn a_get_is_signed_over_its_query_and_typography_costs_no_alphabet() {
    let mut link = Link {
        send_url: "https://sms.example/s?to={to}&t={text}&n={parts}".to_owned(),
        auth: "hmac".to_owned(),
        token: "their-key".to_owned(),
        ..Link::default()
    };
    link.outbound.method = "GET".to_owned();
    let now = "2026-03-10T05:10:00Z".parse().unwrap();
    let row = OutboxRow {
        id: OutboxId(1),
        coop: CoopId(1),
        link: LinkName("north".to_owned()),
        urgency: Urgency::Answer,
        outbound: Outbound {
            to: PhoneNumber::new("+255700000101").unwrap(),
            member: None,
            text: "ng\u{2019}ombe \u{2013} 12".to_owned(),
        },
        answers: None,
        due: now,
        expires: now,
        attempts: 0,
        owner: None,
    };
    let ready = link.send_by().unwrap().unwrap().request(&row, now);
    assert_eq!(
        ready.url,
        "https://sms.example/s?to=%2B255700000101&t=ng%27ombe%20-%2012&n=1"
    );
    let sum = "ecb32086447f881543786e63d6206faf5771cb9e05ec7e26971959d215d222a5";
    assert_eq!(ready.headers, [("x-signature".to_owned(), sum.to_owned())]);
}
