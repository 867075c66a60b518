//! Commands for a folder that a running gateway holds.

use crate::child::{Gateway, complaint, printed, run};
use serde_json::{Value, json};
use tempfile::tempdir;

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
