//! The cooperative's room in a browser that is not ours: a morning's work, then every page under axe-core, in light and dark, at 1280 and 360 px.
//!
//! Left out where the browser is not installed, so that `cargo test` needs only Rust; with `CLUTCHLINE_PEERS=required` that is a failure. Pictures
//! of every page lie in `target/pages` afterwards, to be looked at.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "gateway/child.rs"]
#[allow(dead_code, reason = "shared with the tests of the gateway")]
mod child;

use crate::child::{Gateway, printed};
use clutchline::console::routes::{Method, ROUTES};
use clutchline::sheets::Sheet;
use serde_json::json;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Some three minutes on two busy cores; a browser that hangs is ended.
const SECONDS_MAX: &str = "560";

/// Where `tests/peers/install` put things; none where it did not run and need not.
fn installed(path: PathBuf) -> Option<PathBuf> {
    if path.exists() {
        return Some(path);
    }
    let required = std::env::var("CLUTCHLINE_PEERS").is_ok_and(|v| v == "required");
    assert!(
        !required,
        "{} is missing; run tests/peers/install",
        path.display()
    );
    eprintln!(
        "left out: {} is not there; tests/peers/install does it",
        path.display()
    );
    None
}

fn peers(what: &str) -> Option<PathBuf> {
    installed(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("target/peers")
            .join(what),
    )
}

#[test]
fn a_morning_in_the_room_and_every_page_of_it() {
    let found = (
        peers("venv/bin/python"),
        peers("node_modules/axe-core/axe.min.js"),
        peers("venv/lib"),
        installed(PathBuf::from("/usr/bin/chromedriver")),
    );
    let (Some(python), Some(axe), Some(_), Some(driver)) = found else {
        return;
    };
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let gateway = Gateway::demo(folder.path());
    let of = |key: &str| gateway.ready[key].clone();
    let gets = ROUTES.iter().filter(|route| route.method == Method::Get);
    let told = json!({
        "url": of("url"),
        "user": of("console_user"),
        "password": of("console_password"),
        "link": of("link"),
        "secret": of("secret"),
        "sender": "+255700000101",
        "routes": gets.map(|route| route.path).collect::<Vec<_>>(),
        "columns": Sheet::Harvests.columns(),
        "axe": axe,
        "driver": driver,
        "out": root.join("target/pages"),
    });
    let mut browser = Command::new("timeout")
        .arg(SECONDS_MAX)
        .arg(python)
        .arg(root.join("tests/peers/browser.py"))
        .stdin(Stdio::piped())
        .spawn()
        .unwrap();
    let mut orders = browser.stdin.take().unwrap();
    orders.write_all(told.to_string().as_bytes()).unwrap();
    drop(orders);
    assert!(
        browser.wait().unwrap().success(),
        "see above what the browser found"
    );
}

#[test]
fn a_tester_that_is_not_ours_asks_for_everything_and_finds_it_as_described() {
    let Some(tester) = peers("venv/bin/schemathesis") else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let gateway = Gateway::demo(folder.path());
    let data = folder.path().to_str().unwrap();
    let made = printed(&[
        "token", "make", "manager", "--about", "a tester", "--role", "officer", "--data", data,
    ]);
    let token = made.split("once: ").nth(1).unwrap().lines().next().unwrap();
    let url = gateway.ready["url"].as_str().unwrap();
    let done = Command::new("timeout")
        .args([SECONDS_MAX])
        .arg(tester)
        .args(["run", &format!("{url}/api/v1/openapi.json")])
        .args(["--header", &format!("Authorization: Bearer {token}")])
        .args(["--checks", "all", "--phases", "examples,coverage,fuzzing"])
        .args([
            "--max-examples",
            "15",
            "--max-time",
            "90",
            "--seed",
            "1",
            "--workers",
            "1",
        ])
        .args(["--generation-database", "none", "--no-color"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(
        done.status.success(),
        "{said}{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let list = printed(&["token", "list", "--data", data]);
    assert!(
        list.contains("a tester") && list.contains("2026-03-10"),
        "{list}"
    );
    printed(&["token", "revoke", "manager", "1", "--data", data]);
    assert!(!printed(&["token", "list", "--data", data]).contains("a tester"));
}
