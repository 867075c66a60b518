//! A message centre on loopback that does what a test tells it, and the gateway's driver in front of it.
//!
//! Nothing sleeps: each side waits for the other's next PDU, ten seconds at most.

use chrono::{DateTime, Utc};
use clutchline::clock::Clock;
use clutchline::config::Link;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::UssdProfile;
use clutchline::counter::settings::{LinkRule, ReplyBy, Settings};
use clutchline::domain::message::{CoopId, LinkName};
use clutchline::domain::rules::Rules;
use clutchline::links::board::{Board, LinkKind, LinkState};
use clutchline::links::smpp::dialogues;
use clutchline::links::smpp::driver::{Driver, Parts};
use clutchline::links::smpp::fields::Address;
use clutchline::links::smpp::frames::Frames;
use clutchline::links::smpp::pdu::{BindAs, Body, Pdu, ShortMessage};
use clutchline::links::smpp::tlv::Tlv;
use clutchline::links::smpp::transport::{Transport, Trust};
use clutchline::links::smpp::ussd::Menu;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::time::Duration;
use tokio::runtime::Runtime;
use tokio::sync::watch;
use tokio::task::JoinHandle;

const PATIENCE: Duration = Duration::from_secs(10);

/// The centre's door.
pub(crate) struct Centre(TcpListener);

impl Centre {
    pub(crate) fn open() -> Self {
        Self(TcpListener::bind("127.0.0.1:0").unwrap())
    }

    pub(crate) fn address(&self) -> String {
        self.0.local_addr().unwrap().to_string()
    }

    /// The next connection, before its bind.
    pub(crate) fn accept(&self) -> Peer {
        let (stream, _) = self.0.accept().unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_nodelay(true).unwrap();
        Peer {
            stream,
            frames: Frames::default(),
            sequence: 0,
        }
    }

    /// The next connection, bound.
    pub(crate) fn bound(&self) -> Peer {
        let mut peer = self.accept();
        peer.bind(0);
        peer
    }
}

/// The centre's end of one session.
pub(crate) struct Peer {
    stream: TcpStream,
    frames: Frames,
    sequence: u32,
}

impl Peer {
    pub(crate) fn next(&mut self) -> Pdu {
        self.next_if_any().expect("the gateway hung up")
    }

    /// None at the end of the connection.
    pub(crate) fn next_if_any(&mut self) -> Option<Pdu> {
        let mut input = [0; 4096];
        loop {
            if let Some(frame) = self.frames.next_frame().unwrap() {
                return Some(Pdu::read(&frame).unwrap().pdu);
            }
            match self
                .stream
                .read(&mut input)
                .expect("the gateway said nothing in time")
            {
                0 => return None,
                n => self.frames.push(&input[..n]),
            }
        }
    }

    pub(crate) fn send_octets(&mut self, octets: &[u8]) {
        self.stream.write_all(octets).unwrap();
    }

    pub(crate) fn send(&mut self, sequence: u32, status: u32, body: Body, tlvs: Vec<Tlv>) {
        let mut pdu = Pdu::new(sequence, body);
        (pdu.status, pdu.tlvs) = (status, tlvs);
        let octets = pdu.write().unwrap();
        self.send_octets(&octets);
    }

    pub(crate) fn bind(&mut self, status: u32) -> (BindAs, String) {
        let pdu = self.next();
        let Body::Bind(how, bind) = pdu.body else {
            panic!("a bind, not {pdu:?}");
        };
        self.send(
            pdu.sequence,
            status,
            Body::BindResp(how, "centre".to_owned()),
            Vec::new(),
        );
        (how, bind.password)
    }

    /// Sends a text; its sequence number.
    pub(crate) fn deliver(&mut self, message: ShortMessage, tlvs: Vec<Tlv>) -> u32 {
        self.sequence += 1;
        self.send(self.sequence, 0, Body::Deliver(message), tlvs);
        self.sequence
    }

    /// The status with which the gateway answers; what comes between is an error.
    pub(crate) fn delivered(&mut self) -> (u32, u32) {
        match self.next() {
            Pdu {
                sequence,
                status,
                body: Body::DeliverResp(_),
                ..
            } => (sequence, status),
            other => panic!("an answer, not {other:?}"),
        }
    }

    pub(crate) fn submitted(&mut self) -> (u32, ShortMessage, Vec<Tlv>) {
        match self.next() {
            Pdu {
                sequence,
                body: Body::Submit(message),
                tlvs,
                ..
            } => (sequence, message, tlvs),
            other => panic!("a text, not {other:?}"),
        }
    }

    pub(crate) fn answer(&mut self, sequence: u32, status: u32, id: &str) {
        self.send(
            sequence,
            status,
            Body::SubmitResp(id.to_owned()),
            Vec::new(),
        );
    }
}

/// A text from the phone `+2557000NNNNN`.
pub(crate) fn text_from(phone: u32, text: &str) -> ShortMessage {
    ShortMessage {
        source: Address {
            ton: 1,
            npi: 1,
            digits: format!("2557{phone:08}"),
        },
        destination: Address {
            ton: 0,
            npi: 1,
            digits: "40123".to_owned(),
        },
        text: text.as_bytes().to_vec(),
        ..ShortMessage::default()
    }
}

/// A receipt for the id.
pub(crate) fn receipt(id: &str, stat: &str) -> ShortMessage {
    let text = format!(
        "id:{id} sub:001 dlvrd:001 submit date:2603100900 done date:2603100901 stat:{stat} err:000 text:"
    );
    ShortMessage {
        esm_class: 0x04,
        ..text_from(101, &text)
    }
}

/// A gateway with one link and a founded cooperative.
pub(crate) struct Rig {
    pub(crate) counter: Counter,
    board: Board,
    stop: watch::Sender<bool>,
    running: JoinHandle<()>,
    runtime: Runtime,
}

pub(crate) const COOP: CoopId = CoopId(1);

impl Rig {
    pub(crate) fn start(dir: &Path, address: &str, change: impl FnOnce(&mut Link)) -> Self {
        Self::with(dir, address, None, change)
    }

    /// With the counter's own menu behind its dialogues.
    pub(crate) fn with_own_menu(dir: &Path, address: &str) -> Self {
        let menu = |counter: &Counter| Some(dialogues::behind(counter.clone(), COOP));
        Self::open(dir, address, &menu, |_| ())
    }

    pub(crate) fn with(
        dir: &Path,
        address: &str,
        menu: Option<Menu>,
        change: impl FnOnce(&mut Link),
    ) -> Self {
        Self::open(dir, address, &|_| menu.clone(), change)
    }

    fn open(
        dir: &Path,
        address: &str,
        menu: &dyn Fn(&Counter) -> Option<Menu>,
        change: impl FnOnce(&mut Link),
    ) -> Self {
        let link = LinkName("north".to_owned());
        let rule = LinkRule {
            reply: ReplyBy::Send,
            flood: true,
            ussd: UssdProfile::default(),
        };
        let settings = Settings {
            links: [(link.clone(), rule)].into(),
            flood: None,
            ..Settings::default()
        };
        let counter = Counter::open(dir, settings, Clock::System).unwrap();
        let now: DateTime<Utc> = Clock::System.now();
        let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
        // Founded before, where the folder is opened again.
        let rules = Box::new(rules);
        counter
            .office(OfficeRequest::Found { coop: COOP, rules })
            .ok();
        let mut trust: Option<Trust> = None;
        let profile = crate::texts::profile(|settings| {
            settings.smpp.address = address.to_owned();
            settings.rate_per_second = 10_000.0;
            change(settings);
            trust = settings.smpp.trust();
        });
        let board = Board::default();
        let parts = Parts {
            seat: board.seat(&link, LinkKind::Smpp, now),
            profile,
            transport: Transport::new(address, trust.as_ref(), "").unwrap(),
            counter: counter.clone(),
            coop: COOP,
            menu: menu(&counter),
            seed: 1,
        };
        let driver = Driver::new(parts, &dir.join("links")).unwrap();
        let runtime = Runtime::new().unwrap();
        let (stop, stopped) = watch::channel(false);
        let running = runtime.spawn(driver.run(stopped));
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

    /// Asks until it is so: what a driver notes beside a session has no PDU to wait for.
    pub(crate) fn until(&self, what: &str, mut is_so: impl FnMut(&Self) -> bool) {
        let begun = std::time::Instant::now();
        while !is_so(self) {
            assert!(begun.elapsed() < PATIENCE, "{what}: {:?}", self.state());
            std::thread::yield_now();
        }
    }

    /// Tells the driver to stop.
    pub(crate) fn stop(&self) {
        self.stop.send(true).unwrap();
    }

    /// Stops everything and lets go of the folder.
    pub(crate) fn close(self) {
        self.stop.send(true).ok();
        let running = self.running;
        self.runtime.block_on(async {
            tokio::time::timeout(PATIENCE, running)
                .await
                .unwrap()
                .unwrap();
        });
        self.counter.close().unwrap();
    }
}
