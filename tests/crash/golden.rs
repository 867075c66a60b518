//! Folders of every released record version stay readable: `tests/fixtures/stores/vN/`, made by `make.sh` there with the program of that version.

use crate::child::printed;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::tempdir;

fn versions() -> Vec<PathBuf> {
    let stores = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/stores");
    let mut found: Vec<PathBuf> = std::fs::read_dir(stores)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_dir())
        .collect();
    found.sort();
    found
}

fn harvests(data: &Path) -> String {
    printed(&[
        "export",
        "--what",
        "harvests",
        "--data",
        data.to_str().unwrap(),
    ])
}

/// A store of that version says what it said when it was made, and takes the next message.
fn reads_as_it_was(data: &Path, version: &Path) {
    let place = data.to_str().unwrap();
    assert!(printed(&["check", "--data", place]).contains("all is well"));
    let kept = std::fs::read_to_string(version.join("harvests.csv")).unwrap();
    assert_eq!(harvests(data), kept, "{}", version.display());
    let next = [
        "say",
        "--data",
        place,
        "--from",
        "+255700000101",
        "--at",
        "2026-03-07T05:10:00Z",
        "C2 8",
    ];
    assert!(
        printed(&next).starts_with("Saved C2 8g"),
        "{}",
        printed(&next)
    );
    assert_eq!(harvests(data).lines().count(), kept.lines().count() + 1);
    assert!(printed(&["check", "--data", place]).contains("all is well"));
}

#[test]
fn a_folder_of_every_record_version_opens_as_it_was() {
    assert!(!versions().is_empty());
    for version in versions() {
        let dir = tempdir().unwrap();
        let packed = version.join("folder.tar.gz");
        let unpacked = Command::new("tar")
            .args(["-xzf", packed.to_str().unwrap(), "-C"])
            .arg(dir.path())
            .status()
            .unwrap();
        assert!(unpacked.success());
        reads_as_it_was(&dir.path().join("data"), &version);
    }
}

#[test]
fn an_export_of_every_record_version_is_imported_as_it_was() {
    for version in versions() {
        let dir = tempdir().unwrap();
        let data = dir.path().join("data");
        let file = version.join("export.ndjson.gz");
        let place = data.to_str().unwrap();
        printed(&["import", "--data", place, file.to_str().unwrap()]);
        reads_as_it_was(&data, &version);
    }
}
