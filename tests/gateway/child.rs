//! The built binary as a child process, and the few lines of HTTP/1.1 (RFC 9112) that the tests speak to it.
//!
//! One request a connection, so that the end of the stream ends the answer.

use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, ExitStatus, Output, Stdio};
use std::time::Duration;

/// A server that has not answered by then does not answer.
const PATIENCE: Duration = Duration::from_secs(20);

/// The binary under test.
pub(crate) fn clutchline() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_clutchline"));
    command.env("CLUTCHLINE_LOG", "info,actix_server=warn");
    command
}

/// Runs a command to its end.
pub(crate) fn run(words: &[&str]) -> Output {
    clutchline().args(words).output().unwrap()
}

/// Runs a command that must succeed; what it printed.
pub(crate) fn printed(words: &[&str]) -> String {
    let output = run(words);
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert!(output.status.success(), "{words:?}\n{out}\n{err}");
    out
}

/// Founds the cooperative of the tests: `["--config", file]` or `["--data", folder]` says where.
pub(crate) fn found(place: [&str; 2]) {
    let who = ["--name", "Ziwani Fly Growers", "--join-code", "ZIWANI"];
    let zone = ["--zone", "Africa/Dar_es_Salaam"];
    printed(&[&["coop", "init"][..], &place[..], &who[..], &zone[..]].concat());
}

/// Runs a command that must fail; what it said.
pub(crate) fn complaint(words: &[&str]) -> String {
    let output = run(words);
    assert!(!output.status.success(), "{words:?} went through");
    text(&output.stderr)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A running gateway; killed when dropped.
pub(crate) struct Gateway {
    pub(crate) child: Child,
    pub(crate) address: SocketAddr,
    /// The ready line, where there is one.
    pub(crate) ready: Value,
    pub(crate) ready_line: String,
    out: BufReader<ChildStdout>,
}

impl Gateway {
    /// The demo on 10 March 2026, in a folder.
    pub(crate) fn demo(dir: &Path) -> Self {
        Self::demo_with(dir, &["--today", "2026-03-10"])
    }

    /// The demo with these words more.
    pub(crate) fn demo_with(dir: &Path, words: &[&str]) -> Self {
        let dir = dir.to_str().unwrap();
        let mut command = clutchline();
        command.args(["serve", "--demo", "--listen", "127.0.0.1:0", "--data", dir]);
        command
            .args(words)
            .stdout(Stdio::piped())
            .stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut ready_line = String::new();
        out.read_line(&mut ready_line).unwrap();
        let ready: Value = serde_json::from_str(&ready_line).unwrap();
        let url = ready["url"].as_str().unwrap();
        let address = url.strip_prefix("http://").unwrap().parse().unwrap();
        Self {
            child,
            address,
            ready,
            ready_line,
            out,
        }
    }

    /// A gateway by a settings file; its address is read from its log.
    pub(crate) fn real(config: &Path) -> Self {
        Self::real_at(config, SocketAddr::from(([127, 0, 0, 1], 0)))
    }

    /// [`Gateway::real`] at this address.
    pub(crate) fn real_at(config: &Path, address: SocketAddr) -> Self {
        let mut command = clutchline();
        command
            .args(["serve", "--listen", &address.to_string(), "--config"])
            .arg(config);
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let mut log = BufReader::new(child.stderr.take().unwrap());
        let mut said = String::new();
        let address = loop {
            let before = said.len();
            assert!(
                log.read_line(&mut said).unwrap() > 0,
                "it ended early: {said}"
            );
            if let Some((_, rest)) = said[before..].split_once("http://") {
                let end = rest.find(|c: char| !c.is_ascii_digit() && !".:".contains(c));
                break rest[..end.unwrap_or(rest.len())].parse().unwrap();
            }
        };
        // The log must go on being read, or the gateway would wait for room in the pipe.
        std::thread::spawn(move || std::io::copy(&mut log, &mut std::io::sink()));
        Self {
            child,
            address,
            ready: Value::Null,
            ready_line: String::new(),
            out,
        }
    }

    /// The link's secret.
    pub(crate) fn secret(&self) -> &str {
        self.ready["secret"].as_str().unwrap()
    }

    /// Posts a message by the demo's link; the answer, which must be 200.
    pub(crate) fn say(&self, body: &Value) -> Value {
        self.say_by("demo", self.secret(), body)
    }

    /// Posts a message.
    pub(crate) fn post(&self, path: &str, secret: &str, body: &Value) -> Answer {
        let bearer = format!("Bearer {secret}");
        let headers = [
            ("Authorization", bearer.as_str()),
            ("Content-Type", "application/json"),
        ];
        call(
            self.address,
            "POST",
            path,
            &headers,
            body.to_string().as_bytes(),
        )
        .unwrap()
    }

    /// [`Gateway::say`] by a link of the settings.
    pub(crate) fn say_by(&self, link: &str, secret: &str, body: &Value) -> Value {
        let answer = self.post(&format!("/in/{link}"), secret, body);
        assert_eq!(answer.status, 200, "{}", answer.body);
        answer.json()
    }

    /// Gets a page.
    pub(crate) fn get(&self, path: &str) -> Answer {
        call(self.address, "GET", path, &[], b"").unwrap()
    }

    /// Kills the process where it stands.
    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Asks the process to end.
    pub(crate) fn terminate(&self) {
        let pid = self.child.id().to_string();
        assert!(
            Command::new("kill")
                .args(["-TERM", &pid])
                .status()
                .unwrap()
                .success()
        );
    }

    /// Waits for the end; how it ended, and what else it had put on standard output.
    pub(crate) fn ended(mut self) -> (ExitStatus, String) {
        let mut rest = String::new();
        self.out.read_to_string(&mut rest).unwrap();
        (self.child.wait().unwrap(), rest)
    }
}

impl Drop for Gateway {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

/// What a server answered.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

impl Answer {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap()
    }

    /// A header's value; names in any case (RFC 9110, section 5.1).
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().skip(1).find_map(|line| {
            let (found, value) = line.split_once(':')?;
            found.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }
}

/// One request; an error where the server went away.
pub(crate) fn call(
    address: SocketAddr,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &[u8],
) -> std::io::Result<Answer> {
    let mut head = format!("{method} {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n");
    for (name, value) in headers {
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    if method == "POST" && !headers.iter().any(|(name, _)| *name == "Transfer-Encoding") {
        head.push_str(&format!("Content-Length: {}\r\n", body.len()));
    }
    head.push_str("\r\n");
    let mut stream = TcpStream::connect_timeout(&address, PATIENCE)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.write_all(head.as_bytes())?;
    // A server that refuses a long body may hang up before it has it all.
    let sent = stream.write_all(body);
    let mut answer = Vec::new();
    let read = stream.read_to_end(&mut answer);
    let cut = || std::io::Error::from(std::io::ErrorKind::UnexpectedEof);
    let answer = String::from_utf8(answer).map_err(|_| cut())?;
    let Some((head, body)) = answer.split_once("\r\n\r\n") else {
        sent.and(read)?;
        return Err(cut());
    };
    let status = head.split(' ').nth(1).and_then(|code| code.parse().ok());
    let answer = Answer {
        status: status.ok_or_else(cut)?,
        head: head.to_owned(),
        body: body.to_owned(),
    };
    let length: Option<usize> = answer.header("content-length").and_then(|n| n.parse().ok());
    if method != "HEAD" && length.is_some_and(|length| length != answer.body.len()) {
        return Err(cut());
    }
    Ok(answer)
}
