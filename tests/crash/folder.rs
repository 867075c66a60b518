//! Torn and flipped bytes in the database of a gateway that was killed: each folder opens whole, or says what is wrong and what to do.

use crate::child::{Gateway, clutchline, found, printed};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::json;
use std::path::{Path, PathBuf};
use tempfile::{TempDir, tempdir};

pub(crate) const SECRET: &str = "a-secret-of-some-length";
/// Damages of each kind: some seconds.
const DAMAGES: usize = 14;
const SEED: u64 = 20_260_310;

/// A settings file and a founded folder beside it.
pub(crate) fn founded(dir: &Path) -> PathBuf {
    let data = dir.join("data");
    let config = dir.join("clutchline.toml");
    let text = format!(
        "[store]\nfolder = {:?}\n[flood]\nmessages = 0\n[links.north]\nsecret = \"{SECRET}\"\n",
        data.to_str().unwrap()
    );
    std::fs::write(&config, text).unwrap();
    let place = config.to_str().unwrap();
    found(["--config", place]);
    config
}

pub(crate) fn say(gateway: &Gateway, id: &str, text: &str) -> u16 {
    let body = json!({"id": id, "from": "+255700000101", "text": text});
    gateway.post("/in/north", SECRET, &body).status
}

/// A folder as a kill leaves it, and the backup taken before its last words.
struct Killed {
    dir: TempDir,
    backup: PathBuf,
    events: String,
}

fn events(data: &Path) -> Option<String> {
    let file = data.with_extension("ndjson");
    let output = clutchline()
        .args(["export", "--data", data.to_str()?, "--to", file.to_str()?])
        .output()
        .unwrap();
    let text = std::fs::read_to_string(&file).ok()?;
    let kept = |line: &&str| line.contains("\"events\"") || line.contains("\"messages\"");
    output
        .status
        .success()
        .then(|| text.lines().filter(kept).collect::<Vec<_>>().join("\n"))
}

fn killed() -> Killed {
    let dir = tempdir().unwrap();
    let config = founded(dir.path());
    let backup = dir.path().join("backup.ndjson.gz");
    let mut gateway = Gateway::real(&config);
    assert_eq!(say(&gateway, "j", "join ZIWANI Asha"), 200);
    for cage in 1..=30 {
        assert_eq!(
            say(
                &gateway,
                &format!("s{cage}"),
                &format!("C{cage} stock 8000")
            ),
            200
        );
    }
    let place = config.to_str().unwrap();
    printed(&[
        "export",
        "--config",
        place,
        "--to",
        backup.to_str().unwrap(),
    ]);
    for cage in 1..=10 {
        assert_eq!(
            say(&gateway, &format!("b{cage}"), &format!("C{cage} bait")),
            200
        );
    }
    gateway.kill();
    let whole = dir.path().join("whole");
    copy(&dir.path().join("data"), &whole);
    let events = events(&whole).unwrap();
    Killed {
        dir,
        backup,
        events,
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else if path.is_file() {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}

/// What a damaged copy says when it is checked.
#[derive(Debug, PartialEq)]
enum Said {
    Whole,
    Complained(String),
}

fn check(killed: &Killed, name: &str, damage: impl Fn(&mut Vec<u8>)) -> Said {
    let data = killed.dir.path().join(name);
    copy(&killed.dir.path().join("data"), &data);
    let db = data.join("store/db");
    let mut bytes = std::fs::read(&db).unwrap();
    damage(&mut bytes);
    std::fs::write(&db, bytes).unwrap();
    let output = clutchline()
        .args(["check", "--data", data.to_str().unwrap()])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!said.contains("panicked"), "{name}: {said}");
    if !output.status.success() {
        return Said::Complained(said);
    }
    assert_eq!(
        events(&data).as_ref(),
        Some(&killed.events),
        "{name}: all is well, it says, and something is gone"
    );
    Said::Whole
}

/// What is done to a file's bytes.
type Damage<'d> = &'d dyn Fn(&mut Vec<u8>);

#[test]
fn damage_is_told_and_never_a_silent_loss_and_the_backup_is_a_way_back() {
    let killed = killed();
    let bytes = std::fs::read(killed.dir.path().join("data/store/db")).unwrap();
    let end = bytes.iter().rposition(|byte| *byte != 0).unwrap();
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    assert_eq!(check(&killed, "untouched", |_| ()), Said::Whole);
    let mut complaints = Vec::new();
    for no in 0..DAMAGES {
        let at = rng.random_range(0..=end);
        let tail = end - rng.random_range(0..end / 2);
        let kinds: [(&str, Damage<'_>); 3] = [
            ("flipped", &|bytes| bytes[at] ^= 0x55),
            ("cut", &|bytes| bytes.truncate(tail)),
            ("zeroed", &|bytes| bytes[tail..].fill(0)),
        ];
        for (kind, damage) in kinds {
            if let Said::Complained(why) = check(&killed, &format!("{kind}-{no}"), damage) {
                complaints.push(why);
            }
        }
    }
    println!("{} damages, {} complaints", 3 * DAMAGES, complaints.len());
    assert!(complaints.len() > DAMAGES, "most of such damage hurts");
    for why in &complaints {
        let helps = why.contains("clutchline restore") || why.contains("fault");
        assert!(helps, "what is to be done? {why}");
    }
    let restored = killed.dir.path().join("restored");
    let place = restored.to_str().unwrap();
    printed(&["restore", "--data", place, killed.backup.to_str().unwrap()]);
    assert!(printed(&["check", "--data", place]).contains("all is well"));
    let kept = events(&restored).unwrap();
    assert!(kept.contains("\"s30\"") && !kept.contains("\"b1\""));
}
