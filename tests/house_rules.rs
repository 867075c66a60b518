//! The rules of the house, held to like any other behaviour.
//!
//! The floors are read from `src/lib.rs`, where each `mod` stands under a `// Floor N` line, so the plan that people read is the plan that is
//! checked. Text is looked at, not syntax: a macro could hide from it, a reviewer should not let it. Every rule has a test that bites.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "house_rules/bites.rs"]
mod bites;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Rooms on this floor and below do not touch the world.
const TOP_PURE_FLOOR: u8 = 5;

/// Longest file, in lines: what one sitting can review.
const LINES_MAX: usize = 400;

/// The one file that may ask what time it is.
const CLOCK: &str = "clock.rs";

/// What a pure room does without. Hash maps are here because their order is drawn by chance.
const WORLDLY: &[&str] = &[
    "async ",
    ".await",
    "HashMap",
    "HashSet",
    "std::env",
    "std::fs",
    "std::net",
    "std::thread",
    "actix_web::",
    "getrandom::",
    "rand::",
    "reqwest::",
    "sled::",
    "tokio::",
];

/// Ways to read the clock.
const CLOCK_READS: &[&str] = &["SystemTime::now", "Instant::now", "Utc::now", "Local::now"];

/// Names that refuse nothing and so collect everything.
const JUNK_DRAWERS: &[&str] = &[
    "mod", "util", "utils", "helper", "helpers", "common", "misc",
];

/// What is forgotten in a file when its author goes home. Cut in two, so that this file passes its own test.
const LEFTOVERS: &[&str] = &[
    concat!("FIX", "ME"),
    concat!("TO", "DO"),
    concat!("XX", "X:"),
    concat!("dbg", "!("),
    concat!("todo", "!("),
];

/// Words that say something about where the program was written rather than what it does.
const FOREIGN: &[&str] = &[
    concat!("trans", "cript"),
    concat!("epi", "sode"),
    concat!("seed ", "document"),
    concat!("/wo", "rk/"),
    concat!("/tmp/", "wt"),
    concat!(".lib", "rary"),
    concat!("blue", "print"),
];

/// Room name to floor.
type Floors = BTreeMap<String, u8>;

/// One file under the rules.
struct Page<'a> {
    /// Relative to `src/`, or to the project where it lies elsewhere.
    path: &'a str,
    text: &'a str,
}

impl Page<'_> {
    fn room(&self) -> &str {
        let first = self.path.split('/').next().unwrap_or_default();
        first.trim_end_matches(".rs")
    }

    fn file_name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or_default()
    }

    /// A door file lies directly under `src/`; its `super` is the crate root.
    fn is_door(&self) -> bool {
        !self.path.contains('/')
    }

    fn numbered(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text.lines().enumerate().map(|(i, l)| (i + 1, l))
    }

    /// Lines that are not comments as a whole.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        self.numbered()
            .filter(|(_, line)| !line.trim_start().starts_with("//"))
    }

    fn complain_of(&self, words: &[&str], why: &str) -> Vec<String> {
        let mut found = Vec::new();
        for (at, line) in self.code() {
            for word in words.iter().filter(|word| line.contains(**word)) {
                found.push(format!("{}:{at}: `{}` {why}", self.path, word.trim()));
            }
        }
        found
    }
}

/// A rule looks at one file of `src/` and says what is wrong with it.
type Rule = fn(&Floors, &Page<'_>) -> Vec<String>;

/// All of them.
const RULES: &[Rule] = &[
    imports_go_down,
    pure_rooms_stay_pure,
    time_is_an_argument,
    one_path_per_use,
    nothing_is_left_over,
];

/// Those that tests and benches are held to as well.
const RULES_FOR_ALL: &[Rule] = &[
    files_have_a_head,
    files_are_short,
    files_are_named_after_what_they_hold,
];

fn read_floors(lib: &str) -> Floors {
    let mut floors = Floors::new();
    let mut floor = None;
    for line in lib.lines().map(str::trim) {
        if let Some(rest) = line.strip_prefix("// Floor ") {
            floor = rest.split(':').next().and_then(|n| n.trim().parse().ok());
        }
        let Some(name) = line.strip_prefix("pub mod ").or(line.strip_prefix("mod ")) else {
            continue;
        };
        let floor = floor.expect("a `mod` in lib.rs stands under a `// Floor N` line");
        floors.insert(name.trim_end_matches(';').to_owned(), floor);
    }
    floors
}

/// The room names that a line of code reaches by `crate::`.
fn rooms_reached(line: &str) -> impl Iterator<Item = &str> {
    line.split("crate::").skip(1).map(|after| {
        let end = after
            .find(|c: char| !c.is_alphanumeric() && c != '_')
            .unwrap_or(after.len());
        &after[..end]
    })
}

fn imports_go_down(floors: &Floors, page: &Page<'_>) -> Vec<String> {
    let room = page.room();
    let Some(own) = floors.get(room) else {
        // `lib.rs` and `main.rs` tie the floors together and stand on none.
        return Vec::new();
    };
    let mut found = Vec::new();
    for (at, line) in page.code() {
        for other in rooms_reached(line).filter(|other| *other != room) {
            if let Some(floor) = floors.get(other).filter(|floor| *floor >= own) {
                found.push(format!(
                    "{}:{at}: {room} (floor {own}) may not use {other} (floor {floor})",
                    page.path
                ));
            }
        }
    }
    found
}

fn pure_rooms_stay_pure(floors: &Floors, page: &Page<'_>) -> Vec<String> {
    match floors.get(page.room()) {
        Some(floor) if *floor <= TOP_PURE_FLOOR => {
            page.complain_of(WORLDLY, "touches the world; this floor is pure")
        }
        _ => Vec::new(),
    }
}

fn time_is_an_argument(_: &Floors, page: &Page<'_>) -> Vec<String> {
    if page.path == CLOCK {
        return Vec::new();
    }
    page.complain_of(CLOCK_READS, "reads the clock; take the time as an argument")
}

fn one_path_per_use(_: &Floors, page: &Page<'_>) -> Vec<String> {
    let mut found = page.complain_of(
        &["crate::{", "super::super"],
        "hides where it points; write one whole path per `use`",
    );
    // A test module inside a door file may take everything of its parent.
    let reaches_root = |line: &str| line.contains("super::") && line.trim() != "use super::*;";
    for (at, _) in page
        .code()
        .filter(|(_, line)| page.is_door() && reaches_root(line))
    {
        found.push(format!(
            "{}:{at}: `super::` is the crate root in a door file; write `crate::`",
            page.path
        ));
    }
    found
}

fn files_have_a_head(_: &Floors, page: &Page<'_>) -> Vec<String> {
    if page.text.starts_with("//! ") {
        return Vec::new();
    }
    vec![format!(
        "{}:1: begin with `//! ` and say what is in here, and what it does not know",
        page.path
    )]
}

fn files_are_short(_: &Floors, page: &Page<'_>) -> Vec<String> {
    let lines = page.text.lines().count();
    if lines <= LINES_MAX {
        return Vec::new();
    }
    vec![format!(
        "{}: {lines} lines, {LINES_MAX} are allowed; split it by subject",
        page.path
    )]
}

fn files_are_named_after_what_they_hold(_: &Floors, page: &Page<'_>) -> Vec<String> {
    let stem = page.file_name().trim_end_matches(".rs");
    if !JUNK_DRAWERS.contains(&stem) {
        return Vec::new();
    }
    vec![format!(
        "{}: `{stem}` is a junk drawer; name the file after what it holds",
        page.path
    )]
}

fn nothing_is_left_over(_: &Floors, page: &Page<'_>) -> Vec<String> {
    let mut found = Vec::new();
    for (at, line) in page.numbered() {
        for word in LEFTOVERS.iter().filter(|word| line.contains(**word)) {
            found.push(format!("{}:{at}: `{word}` was left over", page.path));
        }
        let lower = line.to_lowercase();
        for word in FOREIGN.iter().filter(|word| lower.contains(**word)) {
            found.push(format!("{}:{at}: `{word}` does not belong here", page.path));
        }
    }
    found
}

/// Calls `visit` with each text file below `dir` and its path relative to `base`, in order of name.
fn walk(base: &Path, dir: &Path, visit: &mut dyn FnMut(&Page<'_>)) {
    let Ok(entries) = fs::read_dir(dir) else {
        return;
    };
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            walk(base, &path, visit);
        } else if let Ok(text) = fs::read_to_string(&path) {
            let relative = path.strip_prefix(base).unwrap().to_str().unwrap();
            visit(&Page {
                path: &relative.replace('\\', "/"),
                text: &text,
            });
        }
    }
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn the_source_keeps_every_rule() {
    let src = project().join("src");
    let floors = read_floors(&fs::read_to_string(src.join("lib.rs")).unwrap());
    assert!(floors.len() > 8, "the floor plan was not found: {floors:?}");
    let (mut read, mut found) = (0, Vec::new());
    walk(&src, &src, &mut |page| {
        if page.path.ends_with(".rs") {
            read += 1;
            let rules = RULES.iter().chain(RULES_FOR_ALL);
            found.extend(rules.flat_map(|rule| rule(&floors, page)));
        }
    });
    assert!(read > floors.len(), "only {read} files were read");
    assert!(found.is_empty(), "\n{}\n", found.join("\n"));
}

#[test]
fn what_lies_around_the_source_is_in_order_too() {
    let none = Floors::new();
    let (mut read, mut found) = (0, Vec::new());
    for dir in ["tests", "benches", "grammar", "docs", ".ci"] {
        walk(project(), &project().join(dir), &mut |page| {
            read += 1;
            found.extend(nothing_is_left_over(&none, page));
            if page.path.ends_with(".rs") {
                found.extend(RULES_FOR_ALL.iter().flat_map(|rule| rule(&none, page)));
            }
        });
    }
    for file in ["Cargo.toml", "README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(project().join(file)).unwrap();
        let page = Page {
            path: file,
            text: &text,
        };
        found.extend(nothing_is_left_over(&none, &page));
    }
    assert!(read > 2, "only {read} files were read");
    assert!(found.is_empty(), "\n{}\n", found.join("\n"));
}
