//! The message centre of npm smpp 0.5.1 in place of the bench's own, where `tests/peers/install` has put it.
//!
//! A real centre is slower than octets over loopback: against it the share is what a carrier would see.

use std::io::{BufRead, BufReader};
use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

/// A running centre; killed when dropped.
pub(crate) struct Npm {
    child: Child,
    says: BufReader<ChildStdout>,
    pub(crate) address: SocketAddr,
}

impl Npm {
    /// Starts one that `delivers` or `takes` so many; none where it is not installed.
    pub(crate) fn start(what: &str, many: usize, first: usize) -> Option<Self> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let modules = root.join("target/peers/node_modules");
        if !modules.exists() {
            return None;
        }
        let address = TcpListener::bind("127.0.0.1:0").ok()?.local_addr().ok()?;
        let mut child = Command::new("node")
            .env("NODE_PATH", modules)
            .arg(root.join("tests/peers/load.js"))
            .args([
                address.port().to_string(),
                what.to_owned(),
                many.to_string(),
                first.to_string(),
            ])
            .stdout(Stdio::piped())
            .spawn()
            .ok()?;
        let mut says = BufReader::new(child.stdout.take()?);
        says.read_line(&mut String::new()).ok()?;
        Some(Self {
            child,
            says,
            address,
        })
    }

    /// What it measured.
    pub(crate) fn rate(&mut self) -> f64 {
        let mut line = String::new();
        self.says.read_line(&mut line).unwrap();
        let said: serde_json::Value =
            serde_json::from_str(&line).expect("the centre measured nothing");
        said["rate"].as_f64().unwrap()
    }
}

impl Drop for Npm {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}
