//! Our client in front of two message centres that are not ours, from npm and PyPI; versions and installation: `tests/peers/install`.
//!
//! Left out where nothing is installed, so that `cargo test` needs only Rust; with `CLUTCHLINE_PEERS=required` that is a failure.

use crate::centre::{COOP, Rig};
use clutchline::links::smpp::ussd::{Menu, Screen};
use clutchline::store::delivery::DeliveryState;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use tempfile::tempdir;

const PATIENCE: Duration = Duration::from_secs(30);

/// Where `tests/peers/install` put things; none where it did not run and need not.
pub(crate) fn installed(what: &str) -> Option<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = root.join("target/peers").join(what);
    if path.exists() {
        return Some(path);
    }
    let required = std::env::var("CLUTCHLINE_PEERS").is_ok_and(|v| v == "required");
    assert!(
        !required,
        "{} is missing; run tests/peers/install",
        path.display()
    );
    eprintln!("left out: {what} is not installed; tests/peers/install does it");
    None
}

/// A message centre in a process of its own.
struct Foreign {
    child: Child,
    orders: ChildStdin,
    events: Receiver<Value>,
}

impl Foreign {
    fn start(command: &dyn Fn() -> Command, port: u16) -> Self {
        let mut child = command()
            .arg(port.to_string())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (orders, lines) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        let (send, events) = channel();
        std::thread::spawn(move || {
            for line in BufReader::new(lines).lines().map_while(Result::ok) {
                if let Ok(event) = serde_json::from_str(&line) {
                    send.send(event).ok();
                }
            }
        });
        let centre = Self {
            child,
            orders,
            events,
        };
        centre.wait("listening");
        centre
    }

    fn order(&mut self, order: &Value) {
        writeln!(self.orders, "{order}").unwrap();
        self.orders.flush().unwrap();
    }

    /// The next event of that name; others are passed over.
    fn wait(&self, name: &str) -> Value {
        loop {
            let event = self.events.recv_timeout(PATIENCE);
            let event = event.unwrap_or_else(|_| panic!("no {name:?} from the message centre"));
            if event["event"] == name {
                return event;
            }
        }
    }

    fn deliver(&mut self, order: Value) {
        let mut whole = json!({"do": "deliver", "from": "255700000101", "to": "40123"});
        for (key, value) in order.as_object().unwrap() {
            whole[key] = value.clone();
        }
        self.order(&whole);
    }
}

impl Drop for Foreign {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

fn menu() -> Menu {
    Arc::new(|step| {
        let text = format!("Code {}", step.code);
        Box::pin(async move { Some(Screen { text, end: false }) })
    })
}

/// Bind, text in, text out, receipt, throttling, USSD, a line that breaks, leave.
fn a_day_with(command: &dyn Fn() -> Command) {
    let port = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap()
        .port();
    let mut centre = Foreign::start(command, port);
    let dir = tempdir().unwrap();
    let rig = Rig::with(
        dir.path(),
        &format!("127.0.0.1:{port}"),
        Some(menu()),
        |link| {
            link.smpp.password = "geheim".to_owned();
        },
    );
    assert_eq!(centre.wait("bound")["system_id"], "ziwani");
    centre.deliver(json!({"text": "join ZIWANI Asha"}));
    let welcome = centre.wait("submit");
    assert_eq!(
        (&welcome["to"], &welcome["from"]),
        (&json!("255700000101"), &json!("40123"))
    );
    assert!(
        welcome["text"].as_str().unwrap().contains("Asha"),
        "{welcome}"
    );
    rig.until("the welcome is settled", |rig| {
        !rig.counter.sent(COOP, false, 9).unwrap().is_empty()
    });
    let id = welcome["id"].as_str().unwrap();
    let receipt = format!(
        "id:{id} sub:001 dlvrd:001 submit date:2603100900 done date:2603100901 stat:DELIVRD err:000 text:"
    );
    centre.deliver(json!({"text": receipt, "esm_class": 4}));
    rig.until("the receipt has found it", |rig| {
        rig.counter.sent(COOP, false, 9).unwrap()[0].state() == DeliveryState::Delivered
    });
    centre.order(&json!({"do": "status", "code": 0x58}));
    centre.deliver(json!({"text": "help", "from": "255700000102"}));
    let (throttled, taken) = (centre.wait("submit"), centre.wait("submit"));
    assert_eq!(
        (&throttled["status"], &taken["status"]),
        (&json!(0x58), &json!(0))
    );
    assert_eq!(throttled["text"], taken["text"]);
    centre.deliver(json!({"text": "*384#", "service_type": "USSD", "op": 1, "session": "2a00"}));
    let screen = centre.wait("submit");
    assert_eq!(
        (&screen["service_type"], &screen["text"]),
        (&json!("USSD"), &json!("Code *384#"))
    );
    assert_eq!(screen["tlvs"], json!({"1281": "02", "4995": "2a02"}));
    rig.until("both texts are settled", |rig| rig.state().passed.sent == 2);
    centre.order(&json!({"do": "hold"}));
    centre.deliver(json!({"text": "help", "from": "255700000103"}));
    centre.wait("submit");
    drop(centre);
    rig.until("it is in doubt", |rig| {
        rig.counter.sent(COOP, true, 9).unwrap().len() == 1
    });
    let mut centre = Foreign::start(command, port);
    centre.wait("bound");
    centre.deliver(json!({"text": "help", "from": "255700000104"}));
    assert_eq!(centre.wait("delivered")["status"], 0);
    let rest = centre.wait("submit");
    assert_eq!(
        rest["to"], "255700000104",
        "the text in doubt is not sent again"
    );
    rig.until("it is settled", |rig| rig.state().passed.sent == 3);
    rig.close();
    centre.wait("unbound");
}

#[test]
fn a_day_with_the_message_centre_of_npm() {
    let Some(modules) = installed("node_modules") else {
        return;
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers/centre.js");
    a_day_with(&|| command("node", &[("NODE_PATH", modules.to_str().unwrap())], &script));
}

#[test]
fn a_day_with_the_message_centre_of_pypi() {
    let Some(python) = installed("venv/bin/python") else {
        return;
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers/centre.py");
    a_day_with(&|| command(python.to_str().unwrap(), &[], &script));
}

fn command(program: &str, variables: &[(&str, &str)], script: &Path) -> Command {
    let mut command = Command::new(program);
    command.arg(script).envs(variables.iter().copied());
    command
}
