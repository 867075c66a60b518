//! Founding, members, and a message by hand.

use crate::child::complaint;
use crate::office::Office;
use serde_json::Value;
use std::path::Path;

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
fn members_come_from_a_sheet_after_a_dry_run() {
    let office = Office::with_a_harvest();
    let file = office.path("members.csv");
    let text = "name;phones;ward;role;lang\n\
        Baraka;255700000311;mlimani;;sw\n\
        Asha;+255700000301;Ufukwe;;\n\
        Neema;+255700000312;Nowhere;;\n\
        ;+255700000313;;;\n\
        Juma;07000;;;\n\
        Baraka;255700000311;;;\n";
    std::fs::write(&file, text).unwrap();
    let before = office.does(&["export", "--what", "members"]);
    let told = office.does(&["member", "import", &file, "--dry-run"]);
    for line in [
        "row 2: Baraka: new",
        "row 3: Asha: ward none to Ufukwe",
        "row 4, ward: Neema: REFUSED, expected one of Ufukwe, Mlimani, but found \"Nowhere\"",
        "row 5, name:",
        "row 6, phones:",
        "row 7, phones:",
        "1 new, 1 changed, 0 as they were, 4 refused",
    ] {
        assert!(told.contains(line), "{line}\n{told}");
    }
    assert_eq!(office.does(&["export", "--what", "members"]), before);
    let done = office.does(&["member", "import", &file]);
    assert!(done.contains("1 new, 1 changed"), "{done}");
    let after = office.does(&["export", "--what", "members"]);
    assert!(after.contains("1002,Baraka,keeper,sw,Mlimani,"), "{after}");
    // What was exported is what stands: nothing changes, in each form.
    for form in ["csv", "xlsx"] {
        let out = office.path(&format!("out.{form}"));
        office.does(&["export", "--what", "members", "--to", &out]);
        let again = office.does(&["member", "import", &out]);
        assert!(
            again.contains("0 new, 0 changed, 2 as they were, 0 refused"),
            "{form}: {again}"
        );
    }
    std::fs::write(&file, "name,colour\nAsha,red\n").unwrap();
    assert!(
        office
            .refuses(&["member", "import", &file])
            .contains("row 1, column 2")
    );
    std::fs::write(&file, [0x50, 0x4b, 3, 4, 0, 0]).unwrap();
    assert!(
        office
            .refuses(&["member", "import", &file])
            .contains("workbook")
    );
}
