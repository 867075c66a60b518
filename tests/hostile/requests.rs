//! Requests that are no honest requests: smuggled, split, wandering out of their folder, replayed.

use crate::child::{Gateway, call, found, printed};
use serde_json::json;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;
use tempfile::{TempDir, tempdir};

const SECRET: &str = "a-secret-of-some-length";

fn gateway() -> (TempDir, Gateway) {
    let dir = tempdir().unwrap();
    let config = dir.path().join("clutchline.toml");
    let data = dir.path().join("data");
    let text = format!("[store]\nfolder = {data:?}\n[links.north]\nsecret = \"{SECRET}\"\n");
    std::fs::write(&config, text).unwrap();
    let place = config.to_str().unwrap();
    found(["--config", place]);
    let gateway = Gateway::real(&config);
    (dir, gateway)
}

/// Bytes as they are; whatever comes back until the server hangs up.
fn raw(gateway: &Gateway, bytes: &str) -> String {
    let mut stream = TcpStream::connect(gateway.address).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(20)))
        .unwrap();
    stream.write_all(bytes.as_bytes()).unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).ok();
    String::from_utf8_lossy(&answer).into_owned()
}

/// RFC 9112, section 6.3: a message with both lengths, or with two that differ, is an attempt to smuggle; it is refused and the connection closed.
#[test]
fn a_request_of_two_lengths_smuggles_nothing() {
    let (_dir, gateway) = gateway();
    let head = format!(
        "POST /in/north HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {SECRET}\r\nContent-Type: application/json\r\n"
    );
    let body = json!({"id": "s-1", "from": "+255700000101", "text": "hello"}).to_string();
    let inner = format!("POST /in/north HTTP/1.1\r\nHost: x\r\n\r\n{body}");
    for lengths in [
        format!("Content-Length: {}\r\nContent-Length: 4\r\n", body.len()),
        format!(
            "Content-Length: {}\r\nTransfer-Encoding: chunked\r\n",
            body.len()
        ),
        "Transfer-Encoding: xchunked\r\n".to_owned(),
        "Content-Length: +5\r\n".to_owned(),
    ] {
        let answer = raw(&gateway, &format!("{head}{lengths}\r\n{body}{inner}"));
        let answers = answer.matches("HTTP/1.1 ").count();
        assert!(!answer.contains("HTTP/1.1 200"), "{lengths}{answer}");
        assert!(answers <= 1, "one request, one answer: {lengths}{answer}");
    }
}

#[test]
fn no_path_leaves_its_place_and_no_header_is_split() {
    let (_dir, gateway) = gateway();
    for path in [
        "/in/..%2f..%2fetc%2fpasswd",
        "/../../etc/passwd",
        "/phone/../../../etc/passwd",
        "/assets/..%2f..%2f..%2fetc%2fpasswd",
        "/in/north%0d%0aSet-Cookie:%20a=b",
        "/%00",
    ] {
        let answer = call(gateway.address, "GET", path, &[], b"").unwrap();
        assert!(
            answer.status >= 400 && answer.status < 500,
            "{path}: {}",
            answer.status
        );
        assert!(!answer.body.contains("root:"), "{path}");
        assert_eq!(answer.header("set-cookie"), None, "{path}");
    }
}

#[test]
fn a_replayed_webhook_is_answered_the_same_and_stored_once() {
    let (dir, gateway) = gateway();
    let say = |id: &str, text: &str| {
        gateway.say_by(
            "north",
            SECRET,
            &json!({"id": id, "from": "+255700000101", "text": text}),
        )
    };
    say("j", "join ZIWANI Asha");
    say("s", "C1 stock 8000");
    let first = say("r", "C1 bait");
    for _ in 0..5 {
        let again = say("r", "C1 bait");
        assert_eq!(again["outcome"], "duplicate");
        assert_eq!(again["replies"], first["replies"]);
    }
    let file = dir.path().join("all.ndjson");
    let config = dir.path().join("clutchline.toml");
    printed(&[
        "export",
        "--config",
        config.to_str().unwrap(),
        "--to",
        file.to_str().unwrap(),
    ]);
    let all = std::fs::read_to_string(file).unwrap();
    let kept = all
        .lines()
        .filter(|line| line.contains("\"messages\"") && line.contains("C1 bait"));
    assert_eq!(kept.count(), 1);
}
