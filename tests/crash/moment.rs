//! A backup that is taken while messages come in shows one moment: every message up to some number, whole, and none after it.

use crate::child::{Gateway, printed};
use crate::folder::{founded, say};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use tempfile::tempdir;

const BACKUPS: usize = 5;
/// A writer that nobody stops ends by itself.
const MESSAGES_MOST: usize = 5_000;

/// The numbers of a link's ids in an export, in rising order.
fn ids(export: &str) -> Vec<usize> {
    let messages = export.lines().filter(|line| line.contains("\"messages\""));
    let mut ids: Vec<usize> = messages
        .filter_map(|line| {
            line.split_once("\"id\":\"n")?
                .1
                .split('"')
                .next()?
                .parse()
                .ok()
        })
        .collect();
    ids.sort_unstable();
    ids
}

#[test]
fn a_backup_taken_while_serving_restores_to_one_moment() {
    let dir = tempdir().unwrap();
    let config = founded(dir.path());
    let gateway = Gateway::real(&config);
    assert_eq!(say(&gateway, "j", "join ZIWANI Asha"), 200);
    assert_eq!(say(&gateway, "s", "C1 stock 8000"), 200);
    let stop = AtomicBool::new(false);
    let acked = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for no in 0..MESSAGES_MOST {
                if stop.load(Ordering::Acquire) {
                    return;
                }
                // Another text each time, so that none passes for a repetition.
                assert_eq!(
                    say(&gateway, &format!("n{no}"), &format!("message {no}")),
                    200
                );
                acked.store(no + 1, Ordering::Release);
            }
        });
        for no in 0..BACKUPS {
            let file = dir.path().join(format!("{no}.ndjson"));
            let before = acked.load(Ordering::Acquire);
            printed(&[
                "export",
                "--config",
                config.to_str().unwrap(),
                "--to",
                file.to_str().unwrap(),
            ]);
            let after = acked.load(Ordering::Acquire);
            let found = ids(&std::fs::read_to_string(&file).unwrap());
            let whole: Vec<usize> = (0..found.len()).collect();
            assert_eq!(found, whole, "a message is missing from the middle");
            assert!(found.len() >= before && found.len() <= after + 1);
            let data = dir.path().join(format!("restored-{no}"));
            printed(&[
                "restore",
                "--data",
                data.to_str().unwrap(),
                file.to_str().unwrap(),
            ]);
            assert!(printed(&["check", "--data", data.to_str().unwrap()]).contains("all is well"));
            let again = dir.path().join(format!("{no}-again.ndjson"));
            printed(&[
                "export",
                "--data",
                data.to_str().unwrap(),
                "--to",
                again.to_str().unwrap(),
            ]);
            assert!(
                std::fs::read(&file).unwrap() == std::fs::read(&again).unwrap(),
                "restored is another"
            );
        }
        stop.store(true, Ordering::Release);
    });
    assert!(acked.load(Ordering::Acquire) > BACKUPS);
}
