//! The description for programs: the committed one is the one that the table makes, and testers that are not ours find nothing wrong with it.
//!
//! `BLESS_API=1 cargo test --test api described` writes `docs/openapi.json` anew. The testers come from PyPI (`tests/peers/install`): one
//! holds the description against the specification, the other asks a running gateway whatever the description allows and more.

use clutchline::web::api::describe::document;
use clutchline::web::api::table::{BASE, ENDPOINTS};
use std::path::{Path, PathBuf};

const FILE: &str = "docs/openapi.json";

#[test]
fn the_committed_description_is_the_one_that_is_served() {
    let made = format!("{}\n", serde_json::to_string_pretty(&document()).unwrap());
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(FILE);
    if std::env::var_os("BLESS_API").is_some() {
        std::fs::write(&file, &made).unwrap();
    }
    let committed = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(
        committed == made,
        "{FILE} is another; BLESS_API=1 cargo test --test api described writes it anew"
    );
    let paths = document()["paths"].as_object().unwrap().clone();
    assert_eq!(paths.len(), ENDPOINTS.len());
    for endpoint in ENDPOINTS {
        assert!(paths.contains_key(&format!("{BASE}{}", endpoint.path)));
    }
}

/// Where `tests/peers/install` put things; none where it did not run and need not.
fn installed(what: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("target/peers")
        .join(what);
    if path.exists() {
        return Some(path);
    }
    let required = std::env::var("CLUTCHLINE_PEERS").is_ok_and(|v| v == "required");
    assert!(
        !required,
        "{} is missing; run tests/peers/install",
        path.display()
    );
    eprintln!("left out: {what} is not installed; tests/peers/install does it");
    None
}

#[test]
fn a_validator_that_is_not_ours_takes_the_description() {
    let Some(validator) = installed("venv/bin/openapi-spec-validator") else {
        return;
    };
    let done = std::process::Command::new(validator)
        .args(["--schema", "3.1", FILE])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(
        done.status.success(),
        "{said}{}",
        String::from_utf8_lossy(&done.stderr)
    );
}
