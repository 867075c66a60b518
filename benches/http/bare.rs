//! The baseline: a web handler that keeps the same number of bytes at like keys of the same trees with one transaction and one flush a group, and nothing else.

use actix_web::web::{Bytes, Data};
use actix_web::{App, HttpResponse, HttpServer, web};
use serde::{Deserialize, Serialize};
use sled::Transactional;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use tokio::sync::oneshot;

/// Where it listens.
pub(crate) const ADDRESS: &str = "127.0.0.1:18932";
/// The gateway's own largest group.
const GROUP_MOST: usize = 256;

/// What one message writes: for each tree, how many records of how many bytes (key and value), and where.
#[derive(Clone, Serialize, Deserialize)]
pub(crate) struct Shape(Vec<Part>);

#[derive(Clone, Serialize, Deserialize)]
struct Part {
    tree: String,
    records: usize,
    key: usize,
    value: usize,
    place: Place,
}

/// Where a message's records lie.
#[derive(Clone, Copy, Serialize, Deserialize)]
enum Place {
    /// After the message before it.
    InTurn,
    /// After the farm's earlier ones.
    ByFarm,
    /// In place of the farm's earlier one.
    OnePerFarm,
}

impl Shape {
    pub(crate) fn bytes(&self) -> usize {
        self.0
            .iter()
            .map(|part| part.records * (part.key + part.value))
            .sum()
    }

    pub(crate) fn records(&self) -> usize {
        self.0.iter().map(|part| part.records).sum()
    }
}

/// How many records each tree holds.
pub(crate) fn lengths(store: &Path) -> BTreeMap<String, usize> {
    let db = sled::open(store).unwrap();
    let names = db.tree_names().into_iter();
    names
        .map(|name| {
            let length = db.open_tree(&name).unwrap().len();
            (String::from_utf8_lossy(&name).into_owned(), length)
        })
        .collect()
}

/// What the gateway wrote for each of its last `messages` messages, from its trees as they were before and are now.
pub(crate) fn shape(
    store: &Path,
    before: &BTreeMap<String, usize>,
    [farms, messages]: [usize; 2],
) -> Shape {
    let db = sled::open(store).unwrap();
    let mut parts = Vec::new();
    for name in db.tree_names() {
        let tree = db.open_tree(&name).unwrap();
        let name = String::from_utf8_lossy(&name).into_owned();
        let added = tree.len() - before.get(&name).copied().unwrap_or(0).min(tree.len());
        let added = (added as f64 / messages as f64).round() as usize;
        let (records, place) = match name.as_str() {
            "messages" => (added, Place::InTurn),
            "events" | "threads" => (added, Place::ByFarm),
            // A farm's state, and the word that its row is old.
            "states" | "stale" => (1, Place::OnePerFarm),
            _ if name.starts_with("seen-") => (added, Place::ByFarm),
            _ => continue,
        };
        // The last thousands speak for a message of this run; farms' states are the last of all states.
        let last = match place {
            Place::OnePerFarm => farms,
            Place::InTurn | Place::ByFarm => 20_000,
        };
        let (mut count, mut key, mut value) = (0, 0, 0);
        for entry in tree.iter().rev().take(last) {
            let (k, v) = entry.unwrap();
            (count, key, value) = (count + 1, key + k.len(), value + v.len());
        }
        let mean = |sum: usize| sum.checked_div(count).unwrap_or(0);
        if count > 0 {
            parts.push(Part {
                tree: name,
                records,
                key: mean(key),
                value: mean(value),
                place,
            });
        }
    }
    Shape(parts)
}

struct Job(oneshot::Sender<()>);

/// Serves until killed; `what` is the folder, how many farms there are, and the shape.
pub(crate) fn serve(what: &str) {
    let [dir, farms, shape] = what.splitn(3, '|').collect::<Vec<_>>()[..] else {
        panic!("a folder, a number of farms and a shape are wanted");
    };
    let farms: u64 = farms.parse().unwrap();
    let shape: Shape = serde_json::from_str(shape).unwrap();
    let db = sled::Config::new()
        .path(dir)
        .cache_capacity(64 * 1024 * 1024)
        .open()
        .unwrap();
    let commits = Arc::new(AtomicU64::new(0));
    let (queue, jobs) = sync_channel(4096);
    let counted = commits.clone();
    std::thread::spawn(move || write(&db, farms, &shape, &jobs, &counted));
    actix_web::rt::System::new().block_on(async move {
        HttpServer::new(move || {
            App::new()
                .app_data(Data::new(queue.clone()))
                .app_data(Data::from(commits.clone()))
                .route("/in/bench", web::post().to(take))
                .route("/metrics", web::get().to(count))
        })
        .bind(ADDRESS)
        .unwrap()
        .run()
        .await
        .unwrap();
    });
}

async fn take(_body: Bytes, queue: Data<SyncSender<Job>>) -> HttpResponse {
    let (done, wait) = oneshot::channel();
    queue.try_send(Job(done)).unwrap();
    wait.await.unwrap();
    HttpResponse::Ok()
        .content_type("application/json")
        .body("{\"id\":\"m-1\",\"outcome\":\"saved\",\"replies\":[]}")
}

async fn count(commits: Data<AtomicU64>) -> String {
    commits.load(Ordering::Relaxed).to_string()
}

fn write(db: &sled::Db, farms: u64, shape: &Shape, jobs: &Receiver<Job>, commits: &AtomicU64) {
    let trees: Vec<sled::Tree> = shape
        .0
        .iter()
        .map(|part| db.open_tree(&part.tree).unwrap())
        .collect();
    let mut number = 0_u64;
    while let Ok(first) = jobs.recv() {
        let mut group = vec![first];
        while group.len() < GROUP_MOST
            && let Ok(next) = jobs.try_recv()
        {
            group.push(next);
        }
        let start = number;
        number += group.len() as u64;
        trees
            .as_slice()
            .transaction(|trees| {
                for (tree, part) in trees.iter().zip(&shape.0) {
                    for no in start..number {
                        for record in 0..part.records as u64 {
                            let farm = (no % farms).to_be_bytes();
                            let turn = (no * 8 + record).to_be_bytes();
                            let mut key = match part.place {
                                Place::InTurn => turn.to_vec(),
                                Place::ByFarm => [&farm[4..], &turn].concat(),
                                Place::OnePerFarm => farm[4..].to_vec(),
                            };
                            key.resize(part.key.max(key.len()), 0);
                            tree.insert(key, vec![no as u8; part.value])?;
                        }
                    }
                }
                Ok::<(), sled::transaction::ConflictableTransactionError>(())
            })
            .unwrap();
        db.flush().unwrap();
        commits.fetch_add(1, Ordering::Relaxed);
        for Job(done) in group {
            done.send(()).ok();
        }
    }
}
