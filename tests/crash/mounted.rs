//! A file system of its own under a serving gateway: the kernel makes it read-only, or it is full. What was acknowledged before is there after.
//!
//! Needs root, a loop device and ext4, so it runs by itself:
//! `cargo test --test crash mounted -- --ignored --nocapture`
//!
//! A remount by hand is refused while a file is open for writing; what happens on real machines is that ext4 meets an error and makes itself
//! read-only (`errors=remount-ro`, ext4(5)), which the kernel does for a test through `trigger_fs_error`.

use crate::child::{Gateway, printed};
use crate::folder::{SECRET, founded};
use serde_json::json;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::{TempDir, tempdir};

const IMAGE_MB: &str = "96";

fn run(program: &str, args: &[&str]) -> String {
    let output = Command::new(program).args(args).output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).trim().to_owned();
    let wrong = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{program} {args:?}: {said}{wrong}");
    said
}

/// A small disk; it goes when it is dropped.
struct Disk {
    dir: TempDir,
}

impl Disk {
    fn new() -> Self {
        let dir = tempdir().unwrap();
        let disk = Self { dir };
        let image = disk.image();
        run("truncate", &["-s", &format!("{IMAGE_MB}M"), &image]);
        run("mkfs.ext4", &["-q", "-F", &image]);
        std::fs::create_dir(disk.mount_point()).unwrap();
        disk.mount();
        disk
    }

    fn image(&self) -> String {
        self.dir.path().join("image").display().to_string()
    }

    fn mount_point(&self) -> PathBuf {
        self.dir.path().join("disk")
    }

    fn mount(&self) {
        let at = self.mount_point().display().to_string();
        run(
            "mount",
            &["-o", "loop,errors=remount-ro", &self.image(), &at],
        );
    }

    /// The kernel finds an error on it and writes nothing any more.
    fn fails(&self) {
        let at = self.mount_point().display().to_string();
        let device = run("findmnt", &["-no", "SOURCE", &at]);
        let name = device.trim_start_matches("/dev/");
        let trigger = format!("/sys/fs/ext4/{name}/trigger_fs_error");
        std::fs::write(trigger, "drill").unwrap();
        assert!(std::fs::write(self.mount_point().join("probe"), "x").is_err());
    }

    /// Repaired, as after a restart of the machine.
    fn repaired(&self) {
        let at = self.mount_point().display().to_string();
        run("umount", &[&at]);
        // It ends with 1 where it mended something.
        let checked = Command::new("e2fsck").args(["-fy", &self.image()]).output();
        assert!(checked.unwrap().status.code().is_some_and(|code| code <= 1));
        self.mount();
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        Command::new("umount").arg(self.mount_point()).output().ok();
    }
}

/// Says one message after another; those that were acknowledged as saved.
struct Keeper {
    no: usize,
    acked: BTreeSet<String>,
}

impl Keeper {
    fn new() -> Self {
        let (no, acked) = (0, BTreeSet::new());
        Self { no, acked }
    }

    /// The status of one more.
    fn say(&mut self, gateway: &Gateway) -> u16 {
        self.no += 1;
        let id = format!("drill-{}", self.no);
        let text = match self.no {
            1 => "join ZIWANI Asha".to_owned(),
            no => format!("C{} stock 8000", no - 1),
        };
        let body = json!({"id": id, "from": "+255700000101", "text": text});
        let status = gateway.post("/in/north", SECRET, &body).status;
        if status == 200 {
            self.acked.insert(format!("\"{id}\""));
        }
        status
    }

    fn is_all_kept(&self, config: &Path, dir: &Path) {
        let file = dir.join("all.ndjson").display().to_string();
        let place = config.to_str().unwrap();
        printed(&["export", "--config", place, "--to", &file]);
        let lines = std::fs::read_to_string(&file).unwrap();
        let messages: Vec<&str> = lines
            .lines()
            .filter(|l| l.contains("\"messages\""))
            .collect();
        for id in &self.acked {
            let times = messages.iter().filter(|line| line.contains(id)).count();
            assert_eq!(times, 1, "{id} was acknowledged");
        }
        assert!(printed(&["check", "--config", place]).contains("all is well"));
    }
}

/// The gateway over a data folder on the disk, with some messages taken.
fn serving(disk: &Disk) -> (TempDir, PathBuf, Gateway, Keeper) {
    let home = tempdir().unwrap();
    let config = founded(disk.mount_point().as_path());
    let kept = home.path().join("clutchline.toml");
    std::fs::copy(&config, &kept).unwrap();
    let gateway = Gateway::real(&kept);
    let mut keeper = Keeper::new();
    for _ in 0..40 {
        assert_eq!(keeper.say(&gateway), 200);
    }
    (home, kept, gateway, keeper)
}

/// A gateway on the mended disk takes messages, and everything acknowledged is there.
fn goes_on(config: &Path, keeper: &mut Keeper, home: &Path) {
    let gateway = Gateway::real(config);
    for _ in 0..10 {
        assert_eq!(keeper.say(&gateway), 200, "it goes on");
    }
    gateway.terminate();
    assert!(gateway.ended().0.success());
    keeper.is_all_kept(config, home);
}

#[test]
#[ignore = "needs root, a loop device and ext4"]
fn a_disk_that_becomes_read_only_under_a_gateway_loses_nothing_that_was_acknowledged() {
    let disk = Disk::new();
    let (home, config, mut gateway, mut keeper) = serving(&disk);
    disk.fails();
    let after: Vec<u16> = (0..20).map(|_| keeper.say(&gateway)).collect();
    println!("read-only: answered {after:?}");
    assert!(
        after.iter().all(|status| matches!(status, 500 | 503)),
        "{after:?}"
    );
    assert_eq!(keeper.acked.len(), 40);
    assert_eq!(gateway.get("/readyz").status, 503, "somebody is to come");
    gateway.kill();
    disk.repaired();
    goes_on(&config, &mut keeper, home.path());
}

#[test]
#[ignore = "needs root, a loop device and ext4"]
fn a_disk_that_fills_under_a_gateway_loses_nothing_that_was_acknowledged() {
    let disk = Disk::new();
    let (home, config, mut gateway, mut keeper) = serving(&disk);
    let filler = disk.mount_point().join("filler");
    // Until there is no room at all.
    Command::new("dd")
        .args(["if=/dev/zero", "bs=4k", &format!("of={}", filler.display())])
        .output()
        .unwrap();
    let full: Vec<u16> = (0..2_000)
        .map(|_| keeper.say(&gateway))
        .skip_while(|status| *status == 200)
        .take(20)
        .collect();
    println!("full: {} acknowledged, then {full:?}", keeper.acked.len());
    assert!(!full.is_empty(), "the disk never filled");
    std::fs::remove_file(&filler).unwrap();
    // Whether it goes on by itself is the database's to say; where it does not, it ends, and what runs it starts it again.
    let again: Vec<u16> = (0..5).map(|_| keeper.say(&gateway)).collect();
    let ready = gateway.get("/readyz").status;
    println!("room again: {again:?}, /readyz {ready}");
    assert_eq!(ready == 200, again.last() == Some(&200));
    if ready == 200 {
        gateway.kill();
    } else {
        let (status, _) = gateway.ended();
        println!("it ended by itself: {status}");
        assert_eq!(status.code(), Some(1));
    }
    goes_on(&config, &mut keeper, home.path());
}
