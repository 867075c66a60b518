//! A stop: open requests are answered, what was acknowledged is kept, and the process ends within five seconds.

use crate::child::{Gateway, call, printed};
use crate::sending::{SECRET, founded};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use tempfile::tempdir;

/// Clients that keep posting while the gateway is told to stop.
const CLIENTS: usize = 8;
/// Answers that must have been given before the stop.
const ENOUGH: usize = 200;

#[test]
fn a_stop_under_load_loses_nothing_that_was_acknowledged() {
    let dir = tempdir().unwrap();
    let gateway = Gateway::demo(dir.path());
    let (address, secret) = (gateway.address, gateway.secret().to_owned());
    let (answered, over) = (AtomicUsize::new(0), AtomicBool::new(false));
    let bearer = format!("Bearer {secret}");
    let mut kept: Vec<String> = Vec::new();
    let mut took = Duration::MAX;
    std::thread::scope(|scope| {
        let clients: Vec<_> = (0..CLIENTS)
            .map(|client| {
                let (bearer, answered, over) = (&bearer, &answered, &over);
                scope.spawn(move || {
                    let headers = [("Authorization", bearer.as_str()), ("Content-Type", "application/json")];
                    let mut mine = Vec::new();
                    for count in 0.. {
                        if over.load(Ordering::Relaxed) {
                            break;
                        }
                        let id = format!("d-{client}-{count}");
                        let body = json!({"id": id, "from": format!("+25570000019{client}"), "text": "help"}).to_string();
                        match call(address, "POST", "/in/demo", &headers, body.as_bytes()) {
                            Ok(answer) if answer.status == 200 => {
                                mine.push(id);
                                answered.fetch_add(1, Ordering::Relaxed);
                            }
                            Ok(answer) => assert_eq!(answer.status, 503, "{}", answer.body),
                            Err(_) => break,
                        }
                    }
                    mine
                })
            })
            .collect();
        while answered.load(Ordering::Relaxed) < ENOUGH {
            std::thread::yield_now();
        }
        let begun = Instant::now();
        gateway.terminate();
        let (status, _) = gateway.ended();
        took = begun.elapsed();
        over.store(true, Ordering::Relaxed);
        assert!(status.success());
        for client in clients {
            kept.extend(client.join().unwrap());
        }
    });
    assert!(took < Duration::from_secs(5), "{took:?}");
    let file = dir.path().join("all.ndjson");
    printed(&[
        "export",
        "--data",
        dir.path().to_str().unwrap(),
        "--to",
        file.to_str().unwrap(),
    ]);
    let all = std::fs::read_to_string(file).unwrap();
    let mut stored: Vec<String> = all
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter_map(|value| find_id(&value))
        .collect();
    stored.sort();
    let whole = stored.len();
    stored.dedup();
    assert_eq!(stored.len(), whole, "a message is stored twice");
    for id in kept {
        assert!(
            stored.binary_search(&id).is_ok(),
            "{id} was acknowledged and is gone"
        );
    }
}

#[test]
fn a_stop_does_not_wait_for_those_who_hoard_connections() {
    let dir = tempdir().unwrap();
    let link = format!("[links.north]\nsecret = \"{SECRET}\"\n");
    let gateway = Gateway::real(&founded(dir.path(), &link));
    let open = || TcpStream::connect(gateway.address).unwrap();
    let (idle, mut kept, mut half) = (open(), open(), open());
    // One that was answered and stays; one that never sends the body it promised.
    kept.write_all(b"GET /readyz HTTP/1.1\r\nHost: x\r\n\r\n")
        .unwrap();
    let mut first = [0; 12];
    kept.read_exact(&mut first).unwrap();
    assert_eq!(&first, b"HTTP/1.1 200");
    let head = format!(
        "POST /in/north HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {SECRET}\r\nContent-Type: application/json\r\nContent-Length: 50\r\n\r\n{{"
    );
    half.write_all(head.as_bytes()).unwrap();
    let begun = Instant::now();
    gateway.terminate();
    let (status, _) = gateway.ended();
    let took = begun.elapsed();
    assert!(status.success());
    assert!(took < Duration::from_secs(5), "{took:?}");
    drop((idle, kept, half));
}

/// The network's id of an exported message of this test.
fn find_id(value: &Value) -> Option<String> {
    match value {
        Value::Object(fields) => {
            let own = fields.get("id").and_then(Value::as_str);
            own.filter(|id| id.starts_with("d-"))
                .map(str::to_owned)
                .or_else(|| fields.values().find_map(find_id))
        }
        _ => None,
    }
}
