//! A load of posts over connections that stay open, and the little HTTP/1.1 that it takes.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt, AsyncWriteExt};

/// What a run took.
pub(crate) struct Done {
    pub(crate) seconds: f64,
    pub(crate) waits_ms: Vec<f64>,
}

/// The bytes of one post.
pub(crate) fn post(path: &str, secret: &str, body: &str) -> Vec<u8> {
    format!(
        "POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer {secret}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
    .into_bytes()
}

/// Returns when something listens; panics after ten seconds.
pub(crate) fn wait_for(address: &str) {
    for _ in 0..400 {
        if TcpStream::connect(address).is_ok() {
            return;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("nothing listens on {address}");
}

/// The body of a page.
pub(crate) fn get(address: &str, path: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    write!(
        stream,
        "GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    let mut text = String::new();
    stream.read_to_string(&mut text).unwrap();
    text.split_once("\r\n\r\n").unwrap().1.to_owned()
}

/// Sends every request once, one at a time on each of `connections`; every answer must be 200.
pub(crate) fn run(address: &str, connections: usize, requests: &[Vec<u8>]) -> Done {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let next = AtomicUsize::new(0);
    let started = Instant::now();
    let waits_ms = runtime.block_on(async {
        let all = (0..connections).map(|_| one(address, &next, requests));
        futures_util::future::join_all(all).await.concat()
    });
    Done {
        seconds: started.elapsed().as_secs_f64(),
        waits_ms,
    }
}

async fn one(address: &str, next: &AtomicUsize, requests: &[Vec<u8>]) -> Vec<f64> {
    let mut stream = tokio::net::TcpStream::connect(address).await.unwrap();
    stream.set_nodelay(true).unwrap();
    let mut waits = Vec::new();
    let mut buffer = Vec::with_capacity(4096);
    while let Some(request) = requests.get(next.fetch_add(1, Ordering::Relaxed)) {
        let sent = Instant::now();
        stream.write_all(request).await.unwrap();
        buffer.clear();
        loop {
            assert!(
                stream.read_buf(&mut buffer).await.unwrap() > 0,
                "the server hung up"
            );
            if whole(&buffer) {
                break;
            }
        }
        assert!(
            buffer.starts_with(b"HTTP/1.1 200"),
            "{}",
            String::from_utf8_lossy(&buffer)
        );
        waits.push(sent.elapsed().as_secs_f64() * 1000.0);
    }
    waits
}

/// Whether an answer has come whole, by its content-length.
fn whole(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let Some((head, body)) = text.split_once("\r\n\r\n") else {
        return false;
    };
    let length = head.lines().find_map(|line| {
        line.to_ascii_lowercase()
            .strip_prefix("content-length:")?
            .trim()
            .parse::<usize>()
            .ok()
    });
    length.is_some_and(|length| body.len() >= length)
}
