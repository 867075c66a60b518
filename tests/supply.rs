//! What the program is made of: every dependency's licence is one that was agreed to, and every metric stands in the page that says when to wake
//! somebody. Asks `cargo` offline, so that it holds where nothing can be fetched.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

use std::collections::BTreeSet;
use std::process::Command;

/// Licences that may be linked into a program of MIT or Apache-2.0, by SPDX name.
const ALLOWED: [&str; 14] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-1-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MPL-2.0",
    "Unicode-3.0",
    "Unlicense",
];

/// Of an expression such as `MIT OR (Apache-2.0 AND ISC)`: one alternative of each conjunct must be allowed.
fn allowed(expression: &str) -> bool {
    let flat = expression.replace(['(', ')'], "").replace('/', " OR ");
    let ok = |name: &str| ALLOWED.contains(&name.trim()) || name.trim() == "Zlib";
    // Parentheses bind conjuncts tighter in every expression that is met; without them AND binds tighter, which this is stricter than.
    flat.split(" AND ").all(|part| part.split(" OR ").any(ok))
}

/// The system that this was built on, as the compiler names it.
fn host() -> String {
    let rustc = Command::new("rustc").arg("-vV").output().unwrap();
    let said = String::from_utf8(rustc.stdout).unwrap();
    let host = said.lines().find_map(|line| line.strip_prefix("host: "));
    host.unwrap().to_owned()
}

#[test]
fn every_licence_is_one_that_was_agreed_to() {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--locked", "--offline", "--format-version", "1"])
        // What other systems would need is not on this disk.
        .args(["--filter-platform", &host()])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    assert!(packages.len() > 100);
    let wrong: BTreeSet<String> = packages
        .iter()
        .filter(|package| !package["license"].as_str().is_some_and(allowed))
        .map(|package| format!("{} {}", package["name"], package["license"]))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(!allowed("GPL-3.0-only") && !allowed("MIT AND AGPL-3.0-only"));
}

#[test]
fn every_metric_stands_in_the_page_of_alerts() {
    let page = include_str!("../docs/operate.md");
    let source = include_str!("../src/web/metrics.rs");
    let program = source.split("#[cfg(test)]").next().unwrap();
    let names: BTreeSet<&str> = program
        .split('"')
        .filter(|text| text.starts_with("clutchline_"))
        .map(|name| {
            name.trim_end_matches("_bucket")
                .trim_end_matches("_count")
                .trim_end_matches("_sum")
        })
        .filter(|name| name.bytes().all(|b| b.is_ascii_lowercase() || b == b'_'))
        .collect();
    assert!(names.len() >= 8, "{names:?}");
    for name in &names {
        assert!(page.contains(&format!("| `{name}` |")), "{name} has no row");
    }
    let rows = page
        .lines()
        .filter(|line| line.starts_with("| `clutchline_"));
    assert_eq!(rows.count(), names.len(), "a row for what is no metric");
}
