//! The baseline: a web handler that keeps the same number of bytes in the same trees with one transaction and one flush a group, and nothing else.

use actix_web::web::{Bytes, Data};
use actix_web::{App, HttpResponse, HttpServer, web};
use serde::{Deserialize, Serialize};
use sled::Transactional;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use tokio::sync::oneshot;

/// Where it listens.
pub(crate) const ADDRESS: &str = "127.0.0.1:18932";
/// The gateway's own largest group.
const GROUP_MOST: usize = 256;

/// What one message writes: for each tree, how many records of how many bytes (key and value).
#[derive(Clone, Serialize, Deserialize)]
pub(crate) struct Shape(Vec<Part>);

#[derive(Clone, Serialize, Deserialize)]
struct Part {
    tree: String,
    records: usize,
    key: usize,
    value: usize,
    /// Overwritten in turn rather than added: a farm's state.
    distinct: Option<usize>,
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

/// What the gateway wrote for each of its last `messages` messages, read from its trees.
pub(crate) fn shape(store: &Path, messages: usize) -> Shape {
    let db = sled::open(store).unwrap();
    let mut parts = Vec::new();
    for name in db.tree_names() {
        let name = String::from_utf8_lossy(&name).into_owned();
        let tree = db.open_tree(&name).unwrap();
        let (mut count, mut key, mut value) = (0, 0, 0);
        // The newest thousands speak for a message of this run.
        for entry in tree.iter().rev().take(20_000) {
            let (k, v) = entry.unwrap();
            (count, key, value) = (count + 1, key + k.len(), value + v.len());
        }
        let (records, distinct) = match name.as_str() {
            "messages" => (1, None),
            // Two weights and two jobs.
            "events" => (4, None),
            "states" => (1, Some(tree.len().min(messages))),
            _ if name.starts_with("seen-") => (2, None),
            _ => continue,
        };
        let mean = |sum: usize| sum.checked_div(count).unwrap_or(0);
        if count > 0 {
            parts.push(Part {
                tree: name,
                records,
                key: mean(key),
                value: mean(value),
                distinct,
            });
        }
    }
    Shape(parts)
}

struct Job(oneshot::Sender<()>);

/// Serves until killed; `what` is the folder and the shape.
pub(crate) fn serve(what: &str) {
    let (dir, shape) = what.split_once('|').unwrap();
    let shape: Shape = serde_json::from_str(shape).unwrap();
    let db = sled::Config::new()
        .path(dir)
        .cache_capacity(64 * 1024 * 1024)
        .open()
        .unwrap();
    let commits = Arc::new(AtomicU64::new(0));
    let (queue, jobs) = sync_channel(4096);
    let counted = commits.clone();
    std::thread::spawn(move || write(&db, &shape, &jobs, &counted));
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

fn write(db: &sled::Db, shape: &Shape, jobs: &Receiver<Job>, commits: &AtomicU64) {
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
                            let at = part
                                .distinct
                                .map_or(no * 8 + record, |distinct| no % distinct as u64);
                            let mut key = at.to_be_bytes().to_vec();
                            key.resize(part.key.max(8), 0);
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
