//! The operator's commands, run as an operator runs them: each says what it did, or what it expected instead.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "gateway/child.rs"]
mod child;

use crate::child::{Gateway, clutchline, complaint, printed, run};
use serde_json::{Value, json};
use std::path::Path;
use tempfile::{TempDir, tempdir};

/// A founded cooperative: one keeper with a stocked cage and a harvest.
struct Office {
    dir: TempDir,
}

impl Office {
    fn new() -> Self {
        let office = Self {
            dir: tempdir().unwrap(),
        };
        office.does(&[
            "coop",
            "init",
            "--name",
            "Ziwani Fly Growers",
            "--join-code",
            "ziwani",
            "--zone",
            "Africa/Dar_es_Salaam",
            "--wards",
            "Ufukwe,Mlimani",
        ]);
        office
    }

    fn with_a_harvest() -> Self {
        let office = Self::new();
        office.does(&[
            "member",
            "add",
            "--name",
            "Asha",
            "--phone",
            "+255700000301",
        ]);
        office.say("2026-02-18T05:10:00Z", "C4 stock 8000");
        office.say("2026-03-10T05:10:00Z", "C4 4.5");
        office
    }

    fn data(&self) -> String {
        self.path("data")
    }

    fn path(&self, name: &str) -> String {
        self.dir.path().join(name).to_str().unwrap().to_owned()
    }

    fn does(&self, words: &[&str]) -> String {
        let data = self.data();
        printed(&[words, &["--data", &data]].concat())
    }

    fn refuses(&self, words: &[&str]) -> String {
        let data = self.data();
        complaint(&[words, &["--data", &data]].concat())
    }

    fn say(&self, at: &str, text: &str) -> String {
        self.does(&["say", "--from", "+255700000301", "--at", at, text])
    }
}

#[test]
fn a_cooperative_is_founded_and_its_people_added() {
    let office = Office::new();
    assert!(
        office
            .refuses(&[
                "coop",
                "init",
                "--name",
                "Another",
                "--join-code",
                "OTHER",
                "--zone",
                "Africa/Nairobi"
            ])
            .contains("Ziwani Fly Growers")
    );
    assert!(
        office
            .does(&[
                "member",
                "add",
                "--name",
                "Asha",
                "--phone",
                "+255700000301",
                "--ward",
                "Ufukwe"
            ])
            .contains("1001")
    );
    assert!(
        office
            .does(&[
                "member",
                "add",
                "--name",
                "Ruzimo",
                "--phone",
                "+255 700-000-302",
                "--role",
                "officer",
                "--lang",
                "sw"
            ])
            .contains("1002")
    );
    office.does(&["member", "phone", "1001", "--add", "+255700000303"]);
    office.does(&["member", "phone", "1001", "--cut", "+255700000301"]);
    office.does(&["member", "role", "1001", "collector"]);
    office.does(&["member", "ward", "1001", "Mlimani"]);
    let list = office.does(&["member", "list"]);
    let lines: Vec<Vec<&str>> = list
        .lines()
        .skip(1)
        .map(|line| line.split_whitespace().collect())
        .collect();
    assert_eq!(
        lines[0],
        [
            "1001",
            "collector",
            "en",
            "Mlimani",
            "+255700000303",
            "Asha"
        ]
    );
    assert_eq!(
        lines[1],
        ["1002", "officer", "sw", "-", "+255700000302", "Ruzimo"]
    );
    assert!(
        office
            .refuses(&["member", "ward", "1001", "Nowhere"])
            .contains("Ufukwe, Mlimani")
    );
    assert!(
        office
            .refuses(&["member", "role", "9999", "officer"])
            .contains("9999")
    );
    assert!(
        office
            .refuses(&["member", "add", "--name", "X", "--phone", "12"])
            .contains("+255700000101")
    );
    // The phone that was cut off is nobody's now; the other speaks for the member.
    let answer = office.does(&["say", "--json", "--from", "+255700000301", "C4"]);
    assert_eq!(
        serde_json::from_str::<Value>(&answer).unwrap()["outcome"],
        "refused"
    );
    let answer = office.does(&["say", "--json", "--from", "+255700000303", "C4 stock 8000"]);
    assert_eq!(
        serde_json::from_str::<Value>(&answer).unwrap()["outcome"],
        "saved"
    );
}

#[test]
fn say_prints_the_reply_or_what_a_network_would_be_answered() {
    let office = Office::with_a_harvest();
    let reply = office.say("2026-03-10T05:20:00Z", "C4 ants");
    assert!(
        reply.starts_with("Saved") && reply.lines().count() == 1,
        "{reply}"
    );
    let answer = office.does(&[
        "say",
        "--json",
        "--from",
        "+255700000301",
        "--at",
        "2026-03-10T05:30:00Z",
        "C4?",
    ]);
    let answer: Value = serde_json::from_str(&answer).unwrap();
    assert_eq!(answer["outcome"], "answered");
    assert_eq!(answer["replies"][0]["to"], "+255700000301");
    // The day is that of --at.
    let csv = office.does(&["export", "--what", "harvests"]);
    let lines: Vec<&str> = csv.lines().collect();
    assert_eq!(lines[0], "member,cage,day,grams,entered_by,message_id");
    assert!(
        lines[1].starts_with("1001,C4,2026-03-10,4.5,1001,"),
        "{csv}"
    );
    assert_eq!(lines.len(), 2);
    assert!(
        office
            .refuses(&["say", "--from", "12", "C4"])
            .contains("+255700000101")
    );
    assert!(
        office
            .refuses(&["say", "--from", "+255700000301", "--at", "noon", "C4"])
            .contains("2026-03-10T05:10:00Z")
    );
    let nowhere = office.path("nowhere");
    assert!(
        complaint(&["say", "--data", &nowhere, "--from", "+255700000301", "C4"])
            .contains("coop init")
    );
    assert!(
        !Path::new(&nowhere).exists(),
        "a slip of the pen makes no folder"
    );
}

#[test]
fn what_is_exported_comes_back_byte_for_byte() {
    let office = Office::with_a_harvest();
    let (all, packed, again) = (
        office.path("all.ndjson"),
        office.path("all.ndjson.gz"),
        office.path("again.ndjson"),
    );
    office.does(&["export", "--to", &all]);
    office.does(&["export", "--to", &packed]);
    for (name, file) in [("plain", &all), ("unpacked", &packed)] {
        let data = office.path(name);
        printed(&["import", "--data", &data, file]);
        printed(&["check", "--data", &data]);
        printed(&["export", "--data", &data, "--to", &again]);
        assert_eq!(
            std::fs::read(&all).unwrap(),
            std::fs::read(&again).unwrap(),
            "{name}"
        );
    }
    // A folder that holds something is not written over.
    assert!(!office.refuses(&["import", &all]).is_empty());
    let cut = office.path("cut.ndjson");
    let whole = std::fs::read_to_string(&all).unwrap();
    std::fs::write(&cut, &whole[..whole.len() / 2]).unwrap();
    assert!(complaint(&["import", "--data", &office.path("half"), &cut]).contains("line"));
}

#[test]
fn a_backup_is_restored_into_a_new_folder() {
    let office = Office::with_a_harvest();
    let folder = office.path("backups");
    office.does(&["backup", "--to", &folder]);
    let before = office.does(&["export", "--what", "harvests"]);
    let file = std::fs::read_dir(&folder)
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    let data = office.path("restored");
    printed(&["restore", "--data", &data, file.to_str().unwrap()]);
    assert_eq!(
        printed(&["export", "--what", "harvests", "--data", &data]),
        before
    );
    assert!(printed(&["check", "--data", &data]).contains("all is well"));
    // The restored folder goes on where the old one was.
    let reply = printed(&[
        "say",
        "--data",
        &data,
        "--from",
        "+255700000301",
        "--at",
        "2026-03-11T05:10:00Z",
        "C4 3.5",
    ]);
    assert!(reply.contains("3.5g"), "{reply}");
}

#[test]
fn compacting_and_archiving_change_no_record_of_a_cage() {
    let office = Office::with_a_harvest();
    let before = office.does(&["export", "--what", "harvests"]);
    office.does(&["compact"]);
    assert_eq!(office.does(&["export", "--what", "harvests"]), before);
    let archive = office.path("archive");
    let told = office.does(&["archive", "--days", "1", "--to", &archive]);
    assert!(told.contains("2 messages"), "{told}");
    assert_eq!(std::fs::read_dir(&archive).unwrap().count(), 1);
    let told = office.does(&["archive", "--days", "1", "--to", &archive]);
    assert!(told.contains("no message"), "{told}");
    let after = office.does(&["export", "--what", "harvests"]);
    let grams = |csv: &str| {
        csv.lines()
            .map(|line| line.split(',').take(5).collect::<Vec<_>>().join(","))
            .collect::<Vec<_>>()
    };
    assert_eq!(grams(&after), grams(&before));
    office.does(&["check"]);
}

#[test]
fn a_damaged_store_is_noticed() {
    let office = Office::with_a_harvest();
    let file = office.path("all.ndjson");
    office.does(&["export", "--to", &file]);
    let whole = std::fs::read_to_string(&file).unwrap();
    // A flipped digit of a weight inside a state, which the events then contradict, or a sum that no longer fits.
    let broken = whole.replacen("8000", "9000", 1);
    assert_ne!(broken, whole);
    std::fs::write(&file, broken).unwrap();
    let data = office.path("broken");
    let imported = run(&["import", "--data", &data, &file]);
    assert!(!imported.status.success() || !run(&["check", "--data", &data]).status.success());
}

#[test]
fn commands_reach_a_folder_that_a_gateway_holds() {
    let dir = tempdir().unwrap();
    let gateway = Gateway::demo(dir.path());
    let data = dir.path().to_str().unwrap();
    let say = run(&[
        "say",
        "--json",
        "--data",
        data,
        "--from",
        "+255700000190",
        "--at",
        "2026-03-10T05:10:00Z",
        "join ZIWANI Asha",
    ]);
    assert!(say.status.success());
    let said = String::from_utf8(say.stderr).unwrap();
    assert!(said.contains(data), "it says who did it: {said}");
    let answer: Value = serde_json::from_slice(&say.stdout).unwrap();
    assert_eq!(answer["outcome"], "saved");
    // The gateway knows the member at once, and its own messages are exported.
    let body = json!({"id": "c-1", "from": "+255700000190", "text": "C4 stock 8000", "sent_at": "2026-03-10T05:11:00Z"});
    assert_eq!(gateway.say(&body)["outcome"], "saved");
    assert!(printed(&["member", "list", "--data", data]).contains("+255700000190"));
    assert!(printed(&["check", "--data", data]).contains("all is well"));
    let backups = dir.path().join("backups");
    printed(&["backup", "--data", data, "--to", backups.to_str().unwrap()]);
    assert_eq!(std::fs::read_dir(&backups).unwrap().count(), 1);
    assert!(complaint(&["compact", "--data", data]).contains("in use"));
    assert!(
        complaint(&[
            "say",
            "--data",
            data,
            "--from",
            "+255700000190",
            "--at",
            "2026-03-11T05:10:00Z",
            "C4"
        ])
        .contains("--at")
    );
    gateway.terminate();
    assert!(gateway.ended().0.success());
    // Without the gateway the demo's folder keeps the demo's day: the stocking of today is there.
    let reply = printed(&["say", "--data", data, "--from", "+255700000190", "C4"]);
    assert!(reply.contains("C4"), "{reply}");
    assert!(
        printed(&["say", "--data", data, "--from", "+255700000101", "C4 3.5"]).contains("3.5g")
    );
    let csv = printed(&["export", "--what", "harvests", "--data", data]);
    assert!(
        csv.lines()
            .any(|line| line.starts_with("2001,C4,2026-03-10,3.5,")),
        "{csv}"
    );
}

#[test]
fn links_are_written_into_the_settings_and_secrets_are_shown_once() {
    let dir = tempdir().unwrap();
    let config = dir.path().join("clutchline.toml");
    std::fs::write(
        &config,
        "# ours\n[server]\nlisten = \"127.0.0.1:0\" # any\n",
    )
    .unwrap();
    let place = config.to_str().unwrap();
    let told = printed(&[
        "link",
        "add",
        "north",
        "--config",
        place,
        "--country",
        "255",
    ]);
    let text = std::fs::read_to_string(&config).unwrap();
    assert!(
        text.starts_with("# ours\n") && text.contains("# any"),
        "{text}"
    );
    let parsed: toml::Table = text.parse().unwrap();
    let secret = parsed["links"]["north"]["secret"]
        .as_str()
        .unwrap()
        .to_owned();
    assert!(told.contains(&secret) && secret.len() >= 16);
    assert!(complaint(&["link", "add", "north", "--config", place]).contains("north"));
    assert!(complaint(&["link", "add", "North Star", "--config", place]).contains("small letters"));
    let told = printed(&["link", "secret", "north", "--config", place]);
    let text = std::fs::read_to_string(&config).unwrap();
    assert!(!text.contains(&secret) && !told.contains(&secret));
    let shown = printed(&["serve", "--print-config", "--config", place]);
    let parsed: toml::Table = shown.parse().unwrap();
    assert_eq!(parsed["links"]["north"]["secret"].as_str(), Some("***"));
    assert_eq!(parsed["links"]["north"]["country"].as_str(), Some("255"));
}

#[test]
fn settings_that_are_wrong_are_refused_with_what_was_meant() {
    let dir = tempdir().unwrap();
    let config = dir.path().join("clutchline.toml");
    std::fs::write(&config, "[server]\nlisen = \"127.0.0.1:0\"\n").unwrap();
    let place = config.to_str().unwrap();
    assert!(complaint(&["serve", "--config", place]).contains("did you mean `server.listen`?"));
    let output = clutchline()
        .args(["serve", "--print-config"])
        .env("CLUTCHLINE_SERVER__WORKERS", "3")
        .output()
        .unwrap();
    let shown: toml::Table = String::from_utf8(output.stdout).unwrap().parse().unwrap();
    assert_eq!(shown["server"]["workers"].as_integer(), Some(3));
    let missing = dir.path().join("none.toml");
    assert!(complaint(&["serve", "--config", missing.to_str().unwrap()]).contains("none.toml"));
}
