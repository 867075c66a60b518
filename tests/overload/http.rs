//! Five times more over HTTP than the gateway can take: each is answered at once with 503 and a time to come again, or taken and in the record.
//!
//! The gateway is the built binary with its own memory. Six thousand clients keep their connections and ask again at once, whatever `Retry-After`
//! says; five requests for each that was taken. The long run is
//! OVERLOAD_MINUTES=10 cargo test --test overload over_http -- --nocapture

use crate::child::{Gateway, found};
use crate::{FARMS, QUEUE, TIMES, minutes, phone, resident_mb};
use chrono::{DateTime, Duration, SubsecRound, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::settings::Settings;
use clutchline::domain::message::CoopId;
use serde_json::json;
use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;
use tempfile::tempdir;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::Semaphore;

/// More than the queue and the batch that the writer holds: some always meet a full one.
const CLIENTS: u64 = 6_000;
/// Taken in the short run: some seconds on a slow machine.
const TAKEN_SHORT: u64 = 10_000;
/// From its first full queue on the gateway may grow by this much: the database's cache (16 MB as set here) and its index of what is stored.
const SLACK_MB: u64 = 96;
const SECRET: &str = "a-secret-that-only-this-test-has";

/// What all clients share.
struct Crowd {
    address: SocketAddr,
    pid: u32,
    begun: Instant,
    base: DateTime<Utc>,
    /// One for each request that may be made.
    turns: Semaphore,
    offered: AtomicU64,
    taken: AtomicU64,
    busy: AtomicU64,
    acked: Mutex<Vec<u64>>,
    /// Resident memory: when the queue was first full, at most, and at each minute.
    memory: Mutex<(Option<u64>, u64, Vec<u64>)>,
}

impl Crowd {
    fn is_over(&self) -> bool {
        match minutes() {
            None => self.taken.load(Ordering::SeqCst) >= TAKEN_SHORT,
            Some(minutes) => self.begun.elapsed().as_secs() >= minutes * 60,
        }
    }

    /// Water for one farm's cage. Each round of the farms is eleven minutes later, so that none is another's repetition.
    fn request(&self, no: u64) -> String {
        let rounds = i64::try_from(no / FARMS).unwrap();
        let at = self.base + Duration::minutes(11 * rounds);
        let body = json!({
            "id": format!("o-{no}"),
            "from": phone(no % FARMS).full(),
            "text": "C1 water",
            "sent_at": at.to_rfc3339(),
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
                self.acked.lock().unwrap().push(no);
                self.taken.fetch_add(1, Ordering::SeqCst);
                self.turns.add_permits(usize::try_from(TIMES).unwrap());
            }
            Some("503") => {
                let head = head.to_ascii_lowercase();
                assert!(head.contains("\r\nretry-after: "), "{head}");
                self.busy.fetch_add(1, Ordering::SeqCst);
            }
            _ => panic!("{head}"),
        }
        if self.is_over() {
            self.turns.close();
        }
        if no.is_multiple_of(2_000) {
            self.look_at_memory();
        }
    }

    fn look_at_memory(&self) {
        let now = resident_mb(&self.pid.to_string());
        let (warm, peak, curve) = &mut *self.memory.lock().unwrap();
        if self.busy.load(Ordering::SeqCst) > QUEUE {
            warm.get_or_insert(now);
        }
        *peak = (*peak).max(now);
        if self.begun.elapsed().as_secs() >= 60 * curve.len() as u64 {
            curve.push(now);
        }
    }

    /// One client: asks as often as it may on one connection, and on another one where the gateway closed it because nothing was asked for long.
    async fn ask(&self) {
        let mut stream = None;
        while let Ok(turn) = self.turns.acquire().await {
            turn.forget();
            let no = self.offered.fetch_add(1, Ordering::SeqCst);
            let head = loop {
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
                    stream = Some(open);
                    break head;
                }
            };
            self.counted(no, &head);
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

/// A cooperative with its farms; the settings' file and the folder.
fn cooperative(dir: &Path) -> (PathBuf, PathBuf) {
    let (config, data) = (dir.join("clutchline.toml"), dir.join("data"));
    let text = format!(
        "[server]\nconnections_max = 4096\n[store]\nfolder = {data:?}\ncache_mb = 16\n[flood]\nmessages = 0\n[inbound]\nsent_at_hours_max = 2000\n[links.north]\nsecret = \"{SECRET}\"\n"
    );
    std::fs::write(&config, text).unwrap();
    found(["--config", config.to_str().unwrap()]);
    (config, data)
}

fn join_all(gateway: &Gateway, at: DateTime<Utc>) {
    for farm in 0..FARMS {
        for (no, text) in ["join ZIWANI Asha", "C1 stock 8000"]
            .into_iter()
            .enumerate()
        {
            let answer = gateway.say_by(
                "north",
                SECRET,
                &json!({"id": format!("setup-{farm}-{no}"), "from": phone(farm).full(), "text": text, "sent_at": at.to_rfc3339()}),
            );
            assert_eq!(answer["outcome"], "saved", "{answer}");
        }
    }
}

/// Numbers of the messages that are in the record: by their phone and moment.
fn kept(data: &Path, base: DateTime<Utc>) -> Vec<u64> {
    let counter = Counter::open(data, Settings::default(), Clock::System).unwrap();
    let mut kept = Vec::new();
    counter
        .each_message(CoopId(1), &mut |row| {
            if row.text == "C1 water" {
                let rounds = (row.sent_at - base).num_minutes() / 11;
                let farm = (0..FARMS).find(|farm| phone(*farm) == row.from);
                kept.push(u64::try_from(rounds).unwrap() * FARMS + farm.unwrap());
            }
            true
        })
        .unwrap();
    counter.close().unwrap();
    kept
}

#[test]
fn five_times_too_much_over_http_is_told_to_come_again_and_what_was_taken_is_kept() {
    let dir = tempdir().unwrap();
    let (config, data) = cooperative(dir.path());
    let gateway = Gateway::real(&config);
    let base = Clock::System.now().trunc_subsecs(0) - Duration::days(60);
    join_all(&gateway, base - Duration::days(1));
    let crowd = Crowd {
        address: gateway.address,
        pid: gateway.child.id(),
        begun: Instant::now(),
        base,
        turns: Semaphore::new(usize::try_from(TIMES * QUEUE).unwrap()),
        offered: AtomicU64::new(0),
        taken: AtomicU64::new(0),
        busy: AtomicU64::new(0),
        acked: Mutex::default(),
        memory: Mutex::default(),
    };
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(async {
            let clients = (0..CLIENTS).map(|_| crowd.ask());
            futures_util::future::join_all(clients).await;
        });
    let [offered, taken, busy] =
        [&crowd.offered, &crowd.taken, &crowd.busy].map(|count| count.load(Ordering::SeqCst));
    let (warm, peak, curve) = crowd.memory.into_inner().unwrap();
    println!(
        "offered {offered}, taken {taken}, refused with a time to come again {busy}, resident {warm:?} MB warm, {peak} MB at most, at each minute {curve:?}, {} s",
        crowd.begun.elapsed().as_secs()
    );
    assert_eq!(taken + busy, offered, "each request has one answer");
    assert!(busy > 0, "it was more than could be taken");
    // On a machine with other work the clients are the slower side for some seconds; not for minutes.
    assert!(minutes().is_none() || busy > taken, "five times as much");
    let warm = warm.unwrap_or(peak);
    assert!(peak <= warm + SLACK_MB, "{peak} MB, warm {warm} MB");
    // The same process goes on as if nothing had been.
    let after = gateway.say_by(
        "north",
        SECRET,
        &json!({"id": "o-999999999", "from": phone(0).full(), "text": "C1 water"}),
    );
    assert_eq!(after["outcome"], "saved", "{after}");
    gateway.terminate();
    assert!(gateway.ended().0.success());
    let kept = kept(&data, base);
    let once: BTreeSet<u64> = kept.iter().copied().collect();
    assert_eq!(once.len(), kept.len(), "a message is kept twice");
    let acked: BTreeSet<u64> = crowd.acked.into_inner().unwrap().into_iter().collect();
    assert!(acked.is_subset(&once), "an acknowledged message is gone");
    // Whoever was refused was not taken in silence.
    assert_eq!(kept.len() as u64, taken + 1);
}
