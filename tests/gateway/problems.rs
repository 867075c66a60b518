//! Every request that is turned away, as problem details (RFC 9457), and that it leaves nothing behind.

use crate::child::{Answer, Gateway, call, printed};
use crate::sending::{SECRET, founded};
use serde_json::json;
use std::path::Path;
use tempfile::tempdir;

const GOOD: &str = r#"{"id":"p-1","from":"+255700000101","text":"C4 12.5"}"#;

/// A problem is a problem document whose status is the response's (RFC 9457, section 3.1.3).
fn expect(answer: &Answer, status: u16, word: &str) {
    assert_eq!(answer.status, status, "{word}: {}", answer.body);
    assert_eq!(
        answer.header("content-type"),
        Some("application/problem+json"),
        "{word}"
    );
    let problem = answer.json();
    assert_eq!(problem["status"], status);
    assert_eq!(problem["type"], format!("urn:clutchline:problem:{word}"));
    assert!(
        problem["title"].is_string() && problem["detail"].is_string(),
        "{problem}"
    );
}

/// A gateway with one link.
fn north(dir: &Path) -> Gateway {
    Gateway::real(&founded(
        dir,
        &format!("[links.north]\nsecret = \"{SECRET}\"\n"),
    ))
}

fn everything(dir: &Path, name: &str) -> Vec<u8> {
    let file = dir.join(name);
    let data = dir.join("data");
    printed(&[
        "export",
        "--data",
        data.to_str().unwrap(),
        "--to",
        file.to_str().unwrap(),
    ]);
    std::fs::read(file).unwrap()
}

#[test]
fn each_refusal_has_its_status_and_leaves_no_trace() {
    let dir = tempdir().unwrap();
    let gateway = north(dir.path());
    let before = everything(dir.path(), "before.ndjson");
    let bearer = format!("Bearer {SECRET}");
    let json = ("Content-Type", "application/json");
    let known = ("Authorization", bearer.as_str());
    let post = |path: &str, headers: &[(&str, &str)], body: &[u8]| {
        call(gateway.address, "POST", path, headers, body).unwrap()
    };
    let good = GOOD.as_bytes();

    let answer = post("/in/north", &[json], good);
    expect(&answer, 401, "unauthorised");
    assert_eq!(answer.header("www-authenticate"), Some("Bearer"));
    expect(
        &post(
            "/in/north",
            &[json, ("Authorization", "Bearer wrong")],
            good,
        ),
        401,
        "unauthorised",
    );
    expect(&post("/in/other", &[json, known], good), 404, "not-found");
    expect(&post("/elsewhere", &[json, known], good), 404, "not-found");
    expect(&post("/in/north", &[known], good), 415, "media-type");
    expect(
        &post("/in/north", &[known, ("Content-Type", "text/plain")], good),
        415,
        "media-type",
    );
    expect(
        &post("/in/north", &[known, json], b"{\"from\":"),
        400,
        "not-json",
    );
    expect(&post("/in/north", &[known, json], b"[]"), 400, "not-json");
    expect(
        &post("/in/north", &[known, json], b"\xff\xfe{}"),
        400,
        "not-json",
    );

    let answer = post(
        "/in/north",
        &[known, json],
        br#"{"from":"12","text":7,"sent_at":"noon"}"#,
    );
    expect(&answer, 400, "fields");
    let problem = answer.json();
    let wrong: Vec<&str> = problem["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| e["field"].as_str().unwrap())
        .collect();
    assert_eq!(wrong, ["from", "text", "sent_at"]);
    assert!(
        !answer.body.contains("noon"),
        "what was sent is not sent back"
    );

    let long = json!({"from": "+255700000101", "text": "x".repeat(20_000)}).to_string();
    expect(
        &post("/in/north", &[known, json], long.as_bytes()),
        413,
        "too-large",
    );
    let chunked = format!("{:x}\r\n{long}\r\n0\r\n\r\n", long.len());
    expect(
        &post(
            "/in/north",
            &[known, json, ("Transfer-Encoding", "chunked")],
            chunked.as_bytes(),
        ),
        413,
        "too-large",
    );

    let answer = call(gateway.address, "GET", "/in/north", &[known], b"").unwrap();
    expect(&answer, 405, "method");
    assert_eq!(answer.header("allow"), Some("POST"));
    let answer = post("/healthz", &[], b"");
    expect(&answer, 405, "method");
    assert_eq!(answer.header("allow"), Some("GET, HEAD"));
    for (page, status) in [("/console/sign-in", 200), ("/console/today", 303)] {
        let answer = call(gateway.address, "HEAD", page, &[], b"").unwrap();
        assert_eq!(answer.status, status, "{page}");
        assert!(answer.body.is_empty(), "{page}");
    }
    let answer = call(gateway.address, "HEAD", "/healthz", &[], b"").unwrap();
    assert_eq!((answer.status, answer.body.as_str()), (200, ""));
    let proxied = [("X-Forwarded-For", "192.0.2.7")];
    expect(
        &call(gateway.address, "GET", "/metrics", &proxied, b"").unwrap(),
        403,
        "loopback-only",
    );

    assert_eq!(
        everything(dir.path(), "after.ndjson"),
        before,
        "a refused request left something behind"
    );
    let page = gateway.get("/metrics").body;
    for line in [
        "clutchline_requests_refused_total{reason=\"unauthorised\"} 2",
        "clutchline_requests_refused_total{reason=\"not-json\"} 3",
        "clutchline_requests_refused_total{reason=\"too-large\"} 2",
        "clutchline_answer_seconds_count 0",
    ] {
        assert!(page.lines().any(|found| found == line), "{line}\n{page}");
    }
}

#[test]
fn health_and_metrics_read_as_monitors_expect() {
    let dir = tempdir().unwrap();
    let gateway = north(dir.path());
    assert_eq!(
        (
            gateway.get("/healthz").status,
            gateway.get("/readyz").status
        ),
        (200, 200)
    );
    gateway.say_by(
        "north",
        SECRET,
        &json!({"from": "+255700000199", "text": "C4 12.5"}),
    );
    let answer = gateway.get("/metrics");
    assert_eq!(
        answer.header("content-type"),
        Some("text/plain; version=0.0.4; charset=utf-8")
    );
    assert!(
        !answer.body.contains("255700000"),
        "no label carries a number"
    );
    let mut typed = Vec::new();
    for line in answer.body.lines() {
        // Prometheus text format 0.0.4: a comment, or a name with optional labels and a number.
        if let Some(rest) = line.strip_prefix("# TYPE ") {
            typed.push(rest.split(' ').next().unwrap().to_owned());
        } else if !line.starts_with("# HELP ") {
            let (name, value) = line.rsplit_once(' ').unwrap();
            assert!(value.parse::<f64>().is_ok(), "{line}");
            let name = name.split('{').next().unwrap();
            assert!(
                typed.iter().any(|t| name.starts_with(t.as_str())),
                "{line} has no type"
            );
        }
    }
    assert!(answer.body.contains("clutchline_answer_seconds_count 1\n"));
}
