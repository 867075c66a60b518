//! Five times more over HTTP than is taken: each request is answered at once with 503 and a time to come again, or taken and in the record.
//!
//! The web server and the counter are the gateway's own, in this process; the writer is moved by the test, one batch for each five batches of
//! requests, so that the load is five times what is taken on any machine. More clients than the queue holds keep their connections and ask again at
//! once, whatever `Retry-After` says.

use crate::{COOP, FARMS, QUEUE, TIMES, link, phone, start};
use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::settings::UssdProfile;
use clutchline::counter::settings::{LinkRule, ReplyBy, Settings};
use clutchline::store::memory::MemoryDisk;
use clutchline::web::Routes;
use clutchline::web::gate::{Door, Doors};
use clutchline::web::inbound::Intake;
use clutchline::web::server::{self, Sizes};
use serde_json::json;
use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::Notify;

/// What one web worker serves unless the settings say otherwise, and a little less, for those that come again: more than the queue holds.
const CLIENTS: u64 = 2_000;
/// What the writer takes in one batch.
const BATCH: u64 = 256;
/// Taken before it ends.
const TAKEN: u64 = 10_000;
const SECRET: &str = "a-secret-that-only-this-test-has";

/// What all clients share.
struct Crowd {
    address: SocketAddr,
    counter: Counter,
    offered: AtomicU64,
    taken: AtomicU64,
    busy: AtomicU64,
    over: AtomicBool,
    ended: Notify,
    acked: Mutex<BTreeSet<u64>>,
}

/// The moment of that message. Each round of the farms is eleven minutes later, so that none is another's repetition.
fn moment(no: u64) -> DateTime<Utc> {
    start() + Duration::minutes(11 * i64::try_from(no / FARMS).unwrap())
}

impl Crowd {
    fn request(&self, no: u64) -> String {
        let body = json!({
            "id": format!("o-{no}"),
            "from": phone(no % FARMS).full(),
            "text": "C1 water",
            "sent_at": moment(no).to_rfc3339(),
        })
        .to_string();
        format!(
            "POST /in/north HTTP/1.1\r\nHost: gateway\r\nAuthorization: Bearer {SECRET}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        )
    }

    fn counted(&self, no: u64, head: &str) {
        match head.get(9..12) {
            Some("200") => {
                assert!(self.acked.lock().unwrap().insert(no));
                if self.taken.fetch_add(1, Ordering::SeqCst) + 1 >= TAKEN {
                    self.over.store(true, Ordering::SeqCst);
                    self.ended.notify_one();
                }
            }
            Some("503") => {
                let head = head.to_ascii_lowercase();
                assert!(head.contains("\r\nretry-after: "), "{head}");
                self.busy.fetch_add(1, Ordering::SeqCst);
            }
            _ => panic!("{head}"),
        }
    }

    /// One client: asks on one connection until it is over; on another one where the gateway closed it because nothing was asked for long.
    async fn ask(&self) {
        let mut stream = None;
        while !self.over.load(Ordering::SeqCst) {
            let no = self.offered.fetch_add(1, Ordering::SeqCst);
            if no.is_multiple_of(TIMES * BATCH) {
                self.counter.step();
            }
            self.ask_one(no, &mut stream).await;
        }
    }

    async fn ask_one(&self, no: u64, stream: &mut Option<TcpStream>) {
        loop {
            let mut open = match stream.take() {
                Some(open) => open,
                None => TcpStream::connect(self.address).await.unwrap(),
            };
            let asked = open.write_all(self.request(no).as_bytes()).await;
            let head = match asked {
                Ok(()) => answer(&mut open).await,
                Err(error) => Err(error),
            };
            if let Ok(head) = head
                && head.get(9..12) != Some("408")
            {
                *stream = Some(open);
                return self.counted(no, &head);
            }
        }
    }

    /// All clients to their end, then one more: the same process goes on as if nothing had been.
    async fn run(&self) {
        futures_util::future::join_all((0..CLIENTS).map(|_| self.ask())).await;
        let (taken, no) = (self.taken.load(Ordering::SeqCst), u64::from(u32::MAX));
        let no = no / FARMS / 1_000 * FARMS;
        self.ask_one(no, &mut None).await;
        assert_eq!(self.taken.load(Ordering::SeqCst), taken + 1);
    }

    /// The load is over: the writer works off what waits.
    async fn work_off(&self) {
        self.ended.notified().await;
        loop {
            self.counter.step();
            tokio::task::yield_now().await;
        }
    }
}

/// The head of one answer; its body is read away (RFC 9112 section 6).
async fn answer(stream: &mut TcpStream) -> std::io::Result<String> {
    let mut octets = Vec::new();
    let mut piece = [0; 2_048];
    loop {
        let text = String::from_utf8_lossy(&octets).into_owned();
        if let Some((head, body)) = text.split_once("\r\n\r\n") {
            let length = head.to_ascii_lowercase();
            let length = length.split("content-length: ").nth(1).unwrap();
            let length: usize = length.lines().next().unwrap().parse().unwrap();
            if body.len() >= length {
                return Ok(head.to_owned());
            }
        }
        let n = stream.read(&mut piece).await?;
        if n == 0 {
            return Err(ErrorKind::UnexpectedEof.into());
        }
        octets.extend(&piece[..n]);
    }
}

fn open(disk: &MemoryDisk) -> Counter {
    let rule = LinkRule {
        reply: ReplyBy::Response,
        flood: false,
        ussd: UssdProfile::default(),
    };
    let settings = Settings {
        links: [(link(), rule)].into(),
        flood: None,
        oldest_sent_at: None,
        ..Settings::default()
    };
    // Long after every message, so that each moment is believed.
    let clock = Clock::standing(start() + Duration::days(400));
    Counter::in_memory(disk, settings, clock).unwrap()
}

/// The web server on a thread of its own, until the process ends.
fn serve(counter: &Counter) -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let intake = Intake {
        counter: counter.clone(),
        doors: Doors::new(vec![Door::new("north", COOP, "255", SECRET)]),
        clock: counter.clock().clone(),
        body_bytes_max: 16 * 1024,
    };
    let routes = Routes {
        intake: Arc::new(intake),
        draining: Arc::default(),
        metrics: Arc::default(),
        handset: None,
        console: None,
    };
    let sizes = Sizes {
        // The fewest that a machine has: with more, a full queue is met sooner.
        workers: 1,
        ..Sizes::default()
    };
    std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async {
            let (server, _) = server::start(routes, listener, sizes).unwrap();
            server.await.unwrap();
        });
    });
    address
}

/// Numbers of the messages that are in the record.
fn kept(counter: &Counter) -> Vec<u64> {
    let mut kept = Vec::new();
    counter
        .each_message(COOP, &mut |row| {
            if row.text == "C1 water" {
                let rounds = (row.sent_at - start()).num_minutes() / 11;
                let farm = (0..FARMS).find(|farm| phone(*farm) == row.from);
                kept.push(u64::try_from(rounds).unwrap() * FARMS + farm.unwrap());
            }
            true
        })
        .unwrap();
    kept
}

#[test]
fn five_times_too_much_over_http_is_told_to_come_again_and_what_was_taken_is_kept() {
    let disk = MemoryDisk::default();
    let counter = open(&disk);
    crate::people(&counter, start() - Duration::days(1));
    let crowd = Crowd {
        address: serve(&counter),
        counter,
        offered: AtomicU64::new(0),
        taken: AtomicU64::new(0),
        busy: AtomicU64::new(0),
        over: AtomicBool::new(false),
        ended: Notify::new(),
        acked: Mutex::default(),
    };
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(async {
            tokio::select! {
                () = crowd.run() => {}
                () = crowd.work_off() => {}
            }
        });
    let [offered, taken, busy] =
        [&crowd.offered, &crowd.taken, &crowd.busy].map(|count| count.load(Ordering::SeqCst));
    println!("offered {offered}, taken {taken}, refused with a time to come again {busy}");
    assert_eq!(taken + busy, offered + 1, "each request has one answer");
    assert!(busy > 2 * taken, "it was far more than could be taken");
    assert_eq!(crowd.counter.counts().busy, busy);
    assert!(taken >= TAKEN && busy > QUEUE);
    // What the system's memory held is gone; what was acknowledged is not.
    disk.restart(0);
    let kept = kept(&open(&disk));
    let once: BTreeSet<u64> = kept.iter().copied().collect();
    assert_eq!(once.len(), kept.len(), "a message is kept twice");
    let acked = crowd.acked.into_inner().unwrap();
    assert!(acked.is_subset(&once), "an acknowledged message is gone");
    assert_eq!(kept.len() as u64, taken, "who was refused was not taken");
}
