//! The scripted modem on a pseudo-terminal, and the gateway's driver in front of it.
//!
//! Nothing sleeps: each side waits for the other, ten seconds at most. The port's path is a symbolic link, for the system gives the number of a
//! terminal that was closed to the next one.

use crate::fake::Fake;
use clutchline::clock::Clock;
use clutchline::config::Link;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::UssdProfile;
use clutchline::counter::settings::{LinkRule, ReplyBy, Settings};
use clutchline::domain::message::{CoopId, LinkName};
use clutchline::domain::rules::Rules;
use clutchline::links::board::{Board, LinkKind, LinkState};
use clutchline::links::modem::driver::{Driver, Parts};
use serialport::{SerialPort, TTYPort};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};
use tokio::runtime::Runtime;
use tokio::sync::watch;

pub(crate) const PATIENCE: Duration = Duration::from_secs(20);
pub(crate) const COOP: CoopId = CoopId(1);

type Held = Arc<(Mutex<Fake>, Condvar)>;

/// A modem that is plugged in.
pub(crate) struct Plugged {
    held: Held,
    codes: Option<Sender<String>>,
    thread: Option<JoinHandle<()>>,
    pub(crate) path: PathBuf,
}

impl Plugged {
    /// Plugs a modem in at `path`.
    pub(crate) fn at(path: &Path, fake: Fake) -> Self {
        let (mut master, slave) = TTYPort::pair().unwrap();
        std::os::unix::fs::symlink(slave.name().unwrap(), path).unwrap();
        drop(slave);
        master.set_timeout(Duration::from_millis(5)).unwrap();
        let held: Held = Arc::new((Mutex::new(fake), Condvar::new()));
        let (codes, said) = channel();
        let (shared, link) = (held.clone(), path.to_owned());
        let thread = std::thread::spawn(move || {
            converse(&mut master, &shared, &said);
            // The name goes before the terminal, or another test's would be opened by it.
            std::fs::remove_file(link).ok();
        });
        Self {
            held,
            codes: Some(codes),
            thread: Some(thread),
            path: path.to_owned(),
        }
    }

    /// Looks at the modem, or changes it.
    pub(crate) fn with<T>(&self, what: impl FnOnce(&mut Fake) -> T) -> T {
        let done = what(&mut self.held.0.lock().unwrap());
        self.held.1.notify_all();
        done
    }

    /// A message comes by air.
    pub(crate) fn arrives(&self, hex: &str) {
        let code = self.with(|fake| fake.arrives(hex));
        self.says(&code);
    }

    /// The modem says something by itself.
    pub(crate) fn says(&self, code: &str) {
        self.codes.as_ref().unwrap().send(code.to_owned()).unwrap();
    }

    /// Waits until the modem has seen it.
    pub(crate) fn until(&self, what: &str, is_so: impl Fn(&Fake) -> bool) {
        let fake = self.held.0.lock().unwrap();
        let waited = self
            .held
            .1
            .wait_timeout_while(fake, PATIENCE, |fake| !is_so(fake));
        let (fake, timeout) = waited.unwrap();
        assert!(!timeout.timed_out(), "{what}: {fake:?}");
    }

    /// Pulls the modem out; its SIM and all.
    pub(crate) fn pull(mut self) -> Fake {
        self.with(|fake| fake.gone = true);
        self.ended();
        let fake = std::mem::take(&mut *self.held.0.lock().unwrap());
        Fake {
            gone: false,
            ..fake
        }
    }

    fn ended(&mut self) {
        self.codes = None;
        if let Some(thread) = self.thread.take() {
            thread.join().unwrap();
        }
    }
}

impl Drop for Plugged {
    fn drop(&mut self) {
        if let Ok(mut fake) = self.held.0.lock() {
            fake.gone = true;
        }
        self.codes = None;
        if let Some(thread) = self.thread.take() {
            thread.join().ok();
        }
    }
}

fn converse(master: &mut TTYPort, held: &Held, codes: &Receiver<String>) {
    let mut input = [0; 512];
    loop {
        if held.0.lock().unwrap().gone {
            return;
        }
        match master.read(&mut input) {
            Ok(n) => {
                let said = held.0.lock().unwrap().hear(&input[..n]);
                held.1.notify_all();
                master.write_all(&said).ok();
            }
            Err(error) if error.kind() == ErrorKind::TimedOut => {}
            // Nobody has the other end open: a code that is awaited paces the next try.
            Err(_) => {
                if let Ok(code) = codes.recv_timeout(Duration::from_millis(5)) {
                    master.write_all(code.as_bytes()).ok();
                }
            }
        }
        while let Ok(code) = codes.try_recv() {
            master.write_all(code.as_bytes()).ok();
        }
    }
}

/// A gateway with modem links, north first, and a founded cooperative.
pub(crate) struct Rig {
    pub(crate) counter: Counter,
    pub(crate) board: Board,
    stop: watch::Sender<bool>,
    running: Vec<tokio::task::JoinHandle<()>>,
    runtime: Runtime,
}

pub(crate) fn north() -> LinkName {
    LinkName("north".to_owned())
}

impl Rig {
    pub(crate) fn start(dir: &Path, port: &Path, change: impl FnOnce(&mut Link)) -> Self {
        Self::with(dir, &[("north", port)], change)
    }

    /// With a link for each port; `change` is for all of them.
    pub(crate) fn with(
        dir: &Path,
        ports: &[(&str, &Path)],
        change: impl FnOnce(&mut Link),
    ) -> Self {
        let rule = LinkRule {
            reply: ReplyBy::Send,
            flood: true,
            ussd: UssdProfile::default(),
        };
        let settings = Settings {
            links: ports
                .iter()
                .map(|(name, _)| (LinkName((*name).to_owned()), rule.clone()))
                .collect(),
            flood: None,
            ..Settings::default()
        };
        let counter = Counter::open(dir, settings, Clock::System).unwrap();
        let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
        let rules = Box::new(rules);
        // Founded before, where the folder is opened again.
        counter
            .office(OfficeRequest::Found { coop: COOP, rules })
            .ok();
        let mut link = Link {
            kind: "modem".to_owned(),
            country: "255".to_owned(),
            ..Link::default()
        };
        link.modem.poll_secs = 1;
        change(&mut link);
        let board = Board::default();
        let runtime = Runtime::new().unwrap();
        let (stop, stopped) = watch::channel(false);
        let mut running = Vec::new();
        for (name, port) in ports {
            let name = LinkName((*name).to_owned());
            port.to_str().unwrap().clone_into(&mut link.modem.path);
            let parts = Parts {
                seat: board.seat(&name, LinkKind::Modem, Clock::System.now()),
                profile: link.modem.profile(&link).unwrap(),
                counter: counter.clone(),
                coop: COOP,
                seed: 1,
            };
            let driver = Driver::new(parts, &dir.join("links")).unwrap();
            running.push(runtime.spawn(driver.run(stopped.clone())));
        }
        Self {
            counter,
            board,
            stop,
            running,
            runtime,
        }
    }

    pub(crate) fn state(&self) -> LinkState {
        self.board.seen().remove(0).1
    }

    /// Asks until it is so: what a driver notes beside the modem has no answer to wait for.
    pub(crate) fn until(&self, what: &str, mut is_so: impl FnMut(&Self) -> bool) {
        let begun = Instant::now();
        while !is_so(self) {
            assert!(begun.elapsed() < PATIENCE, "{what}: {:?}", self.state());
            std::thread::yield_now();
        }
    }

    /// Stops everything and lets go of the folder.
    pub(crate) fn close(self) {
        let counter = self.counter.clone();
        self.close_link();
        counter.close().unwrap();
    }

    /// Stops the link, where the counter is closed already.
    pub(crate) fn close_link(self) {
        self.stop.send(true).ok();
        let running = self.running;
        self.runtime.block_on(async {
            for link in running {
                tokio::time::timeout(PATIENCE, link).await.unwrap().unwrap();
            }
        });
    }
}
