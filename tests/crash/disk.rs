//! A disk that is full or may not be written: nothing is acknowledged that is not safe, and the process says why.
//!
//! The full disk is a limit on the size of a file (`setrlimit(2)`, `RLIMIT_FSIZE`) with its signal ignored, so that writes past it fail as they do
//! on a full disk, without a file system of its own.

use crate::child::{clutchline, printed};
use crate::folder::founded;
use std::process::{Command, Stdio};
use tempfile::tempdir;

/// Kilobytes (`ulimit -f` counts in them under bash): less than one segment of the database.
const SMALL_KB: u32 = 64;

#[test]
fn on_a_full_disk_a_command_fails_with_a_reason_and_the_folder_stays_whole() {
    let dir = tempdir().unwrap();
    let config = founded(dir.path());
    let place = config.to_str().unwrap();
    let full = format!(
        "trap '' XFSZ; ulimit -f {SMALL_KB}; exec {} say --config {place} --from +255700000101 'join ZIWANI Asha'",
        env!("CARGO_BIN_EXE_clutchline")
    );
    let mut refused = 0;
    for _ in 0..3 {
        let output = Command::new("bash")
            .args(["-c", &full])
            .stdin(Stdio::null())
            .output()
            .unwrap();
        refused += usize::from(!output.status.success());
    }
    let welcome = printed(&[
        "say",
        "--config",
        place,
        "--from",
        "+255700000102",
        "join ZIWANI Bahati",
    ]);
    assert!(welcome.starts_with("Welcome Bahati"), "{welcome}");
    assert!(printed(&["check", "--config", place]).contains("all is well"));
    // Whoever was told that it went through is there, whoever was not may send it again.
    let members = printed(&["member", "list", "--config", place]);
    assert!(
        refused == 3 || members.contains("Asha"),
        "{refused} {members}"
    );
}

#[test]
fn a_folder_that_may_not_be_written_is_refused_with_its_name() {
    let dir = tempdir().unwrap();
    let file = dir.path().join("in-the-way");
    std::fs::write(&file, "not a folder").unwrap();
    let data = file.join("data");
    let output = clutchline()
        .args([
            "coop",
            "init",
            "--data",
            data.to_str().unwrap(),
            "--name",
            "Ziwani",
            "--join-code",
            "ZIWANI",
        ])
        .args(["--zone", "Africa/Dar_es_Salaam"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(
        !output.status.success() && said.contains("in-the-way"),
        "{said}"
    );
    assert!(!said.contains("panicked"), "{said}");
}
