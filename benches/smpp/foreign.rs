//! Message centres that are not ours in place of the bench's own, where `tests/peers/install` has put them: npm smpp 0.5.1 and PyPI smpp34 1.5.0.
//!
//! A real centre is slower than octets over loopback: against it the share is what a carrier would see.

use std::io::{BufRead, BufReader};
use std::net::{SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

/// Whose centre.
#[derive(Clone, Copy)]
pub(crate) enum Maker {
    /// By npm smpp, in JavaScript.
    Npm,
    /// By PyPI smpp34, in Python.
    Pypi,
}

impl Maker {
    /// As a row of the bench names it.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Npm => "npm",
            Self::Pypi => "PyPI",
        }
    }

    /// The command that runs its program; none where it is not installed.
    fn command(self, root: &Path) -> Option<Command> {
        let there = |path: &str| Some(root.join(path)).filter(|path: &PathBuf| path.exists());
        match self {
            Self::Npm => {
                let modules = there("target/peers/node_modules/smpp")?;
                let mut command = Command::new("node");
                command.env("NODE_PATH", modules.parent()?);
                command.arg(root.join("tests/peers/load.js"));
                Some(command)
            }
            Self::Pypi => {
                let mut command = Command::new(there("target/peers/venv/bin/python")?);
                command.arg(root.join("tests/peers/load.py"));
                Some(command)
            }
        }
    }
}

/// A running centre; killed when dropped.
pub(crate) struct Foreign {
    child: Child,
    says: BufReader<ChildStdout>,
    pub(crate) address: SocketAddr,
}

impl Foreign {
    /// Starts one that `delivers` or `takes` so many; none where it is not installed.
    pub(crate) fn start(maker: Maker, what: &str, many: usize, first: usize) -> Option<Self> {
        let mut command = maker.command(Path::new(env!("CARGO_MANIFEST_DIR")))?;
        let address = TcpListener::bind("127.0.0.1:0").ok()?.local_addr().ok()?;
        let mut child = command
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

impl Drop for Foreign {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}
