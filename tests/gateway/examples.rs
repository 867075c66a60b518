//! The worked examples of `docs/http.md`: their settings run a gateway, their requests are made, and everything is answered and sent as they say.

use crate::child::{Gateway, call, printed};
use crate::sending::founded;
use hmac::{Hmac, Mac};
use sha2::Sha256;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpListener;
use std::time::{SystemTime, UNIX_EPOCH};
use tempfile::tempdir;

/// Head and body of a block, or of what came over the wire.
struct Piece {
    first: String,
    headers: Vec<(String, String)>,
    body: String,
}

impl Piece {
    fn read(text: &str) -> Self {
        let (head, body) = text.split_once("\n\n").unwrap_or((text, ""));
        let mut lines = head.lines();
        let first = lines.next().unwrap().to_owned();
        let headers = lines
            .map(|line| line.split_once(": ").unwrap())
            .map(|(name, value)| (name.to_ascii_lowercase(), value.to_owned()))
            .collect();
        Self {
            first,
            headers,
            body: body.trim_end().to_owned(),
        }
    }

    fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(given, _)| given == name);
        found.map(|(_, value)| value.as_str())
    }

    /// Every line of the example is there; `...` stands for anything.
    fn is_as(&self, said: &Self) {
        assert!(
            fits(&said.first, &self.first),
            "{} {}",
            said.first,
            self.first
        );
        for (name, value) in &said.headers {
            let given = self.header(name).unwrap_or_else(|| panic!("no {name}"));
            assert!(fits(value, given), "{name}: {value} {given}");
        }
        assert!(fits(&said.body, &self.body), "{}\n{}", said.body, self.body);
    }
}

fn fits(pattern: &str, text: &str) -> bool {
    let mut pieces = pattern.split("...");
    let Some(mut rest) = text.strip_prefix(pieces.next().unwrap()) else {
        return false;
    };
    let mut open = false;
    for piece in pieces {
        let Some(at) = rest.find(piece) else {
            return false;
        };
        rest = &rest[at + piece.len()..];
        open = piece.is_empty();
    }
    open || rest.is_empty()
}

/// The blocks of a kind in the part of the page that holds the examples.
fn blocks(kind: &str) -> Vec<String> {
    let page = include_str!("../../docs/http.md");
    let (_, examples) = page.split_once("## Example").unwrap();
    let fence = format!("```{kind}\n");
    let starts = examples.split(fence.as_str()).skip(1);
    starts
        .map(|rest| rest.split("\n```").next().unwrap().to_owned())
        .collect()
}

/// Takes one request and answers it as the example says.
fn network(listener: &TcpListener, answer: &str) -> Piece {
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
        head.push_str(line.trim_end());
        head.push('\n');
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body).unwrap();
    let (answered, said) = answer.split_once("\n\n").unwrap();
    let answered = answered.replace('\n', "\r\n");
    let length = said.len();
    let whole =
        format!("{answered}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n{said}");
    reader.into_inner().write_all(whole.as_bytes()).unwrap();
    Piece::read(&format!("{head}\n{}", String::from_utf8(body).unwrap()))
}

/// Puts the time and the sum over it and the body where the example leaves them open.
fn signed(request: &str) -> Piece {
    let mut piece = Piece::read(request);
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    let time = now.as_secs().to_string();
    let mut sum = Hmac::<Sha256>::new_from_slice(b"another-sixteen-letters").unwrap();
    sum.update(format!("{time}.{}", piece.body).as_bytes());
    let sum = sum.finalize().into_bytes();
    let sum: String = sum.iter().map(|byte| format!("{byte:02x}")).collect();
    for (_, value) in &mut piece.headers {
        *value = value.replace("TIME", &time).replace("SIGNATURE", &sum);
    }
    piece
}

#[test]
fn the_worked_examples_of_the_page_are_true() {
    let dir = tempdir().unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let here = format!("http://{}", listener.local_addr().unwrap());
    let links = blocks("toml")
        .join("\n\n")
        .replace("https://sms.example", &here);
    let config = founded(dir.path(), &links);
    let gateway = Gateway::real(&config);
    let mut steps = blocks("http").into_iter();
    let mut made = 0;
    while let Some(request) = steps.next() {
        let answer = steps.next().unwrap();
        if !request.contains(" /in/") {
            network(&listener, &answer).is_as(&Piece::read(&request));
            continue;
        }
        let asked = signed(&request);
        let mut words = asked.first.split(' ');
        let (method, path) = (words.next().unwrap(), words.next().unwrap());
        let send = |headers: &[(&str, &str)]| {
            call(
                gateway.address,
                method,
                path,
                headers,
                asked.body.as_bytes(),
            )
            .unwrap()
        };
        let headers: Vec<_> = asked
            .headers
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        // The same request without its secret or with another body is nobody's.
        let open: Vec<_> = headers
            .iter()
            .filter(|(name, _)| *name != "authorization" && *name != "x-sum")
            .copied()
            .collect();
        assert_eq!(send(&open).status, 401, "{request}");
        let answered = send(&headers);
        let head = answered.head.replace("\r\n", "\n");
        Piece::read(&format!("{}\n\n{}", head.trim_end(), answered.body))
            .is_as(&Piece::read(&answer));
        made += 1;
    }
    assert_eq!(made, 5);
    // Three texts by the link with a price; the fresh month has its own lines.
    let bill = printed(&["costs", "--config", config.to_str().unwrap()]);
    let priced = bill.lines().find(|line| line.contains(",msitu,")).unwrap();
    assert!(
        priced.ends_with(",0.015,0.015") || priced.ends_with(",0.015,0.03"),
        "{bill}"
    );
    assert!(
        bill.lines()
            .any(|line| line.contains(",kisima,") && line.ends_with(",,")),
        "{bill}"
    );
    gateway.terminate();
    assert!(gateway.ended().0.success());
}

#[test]
fn a_page_s_dots_stand_for_anything() {
    assert!(fits("a...b", "a--b") && fits("...x...", "axb") && fits("a", "a"));
    assert!(!fits("a...b", "a--c") && !fits("a", "ab") && !fits("...b", "abc"));
}
