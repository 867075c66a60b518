//! The menu over HTTP: the contract's fields, a network that sends the whole path and wants plain text, the same keys, and what is refused.

use crate::child::{Gateway, call, found, printed};
use serde_json::{Value, json};
use std::fs;
use tempfile::tempdir;

const SECRET: &str = "a-secret-of-some-length";

fn step(gateway: &Gateway, session: &str, input: &str, last: bool) -> Value {
    let body = json!({"session": session, "from": "+255700000101", "code": "*40123#", "input": input, "final": last});
    let answer = gateway.post("/ussd/north", SECRET, &body);
    assert_eq!(answer.status, 200, "{}", answer.body);
    answer.json()
}

fn text(answer: &Value) -> String {
    answer["text"].as_str().unwrap().to_owned()
}

#[test]
fn a_morning_goes_by_the_contract_and_by_a_network_of_whole_paths() {
    let dir = tempdir().unwrap();
    let (data, config) = (dir.path().join("data"), dir.path().join("clutchline.toml"));
    let folder = data.to_str().unwrap();
    found(["--data", folder]);
    for (name, phone) in [("Asha", "+255700000101"), ("Baraka", "+255700000102")] {
        printed(&[
            "member", "add", "--data", folder, "--name", name, "--phone", phone,
        ]);
        for line in ["C4 stock 8000 -18", "C4 4.5 -1"] {
            printed(&["say", "--data", folder, "--from", phone, line]);
        }
    }
    let settings = format!(
        "[store]\nfolder = \"{folder}\"\n[links.north]\nsecret = \"{SECRET}\"\n[links.lake]\nsecret = \"{SECRET}\"\n[links.lake.ussd]\nformat = \"form\"\nsession = \"dialogue\"\nfrom = \"subscriber\"\ncode = \"dialled\"\ninput = \"keys\"\npath = \"*\"\ngo_on = \"MORE \"\nstop = \"DONE \"\n"
    );
    fs::write(&config, settings).unwrap();
    let gateway = Gateway::real(&config);
    let first = step(&gateway, "s-1", "", false);
    assert_eq!(first["end"], false);
    assert!(text(&first).starts_with("Ziwani Fly Growers: 1 cage to weigh\n1 Eggs"));
    assert!(text(&step(&gateway, "s-1", "1", false)).starts_with("C4: eggs"));
    assert!(text(&step(&gateway, "s-1", "12*5", false)).starts_with("C4 12.5g: is it right?"));
    // The network says that the phone hung up; dialled again, it goes on there.
    assert_eq!(step(&gateway, "s-1", "", true)["end"], true);
    assert!(text(&step(&gateway, "s-2", "", false)).starts_with("Go on"));
    assert!(text(&step(&gateway, "s-2", "1", false)).starts_with("C4 12.5g: is it right?"));
    let listed = || printed(&["export", "--data", folder, "--what", "harvests"]);
    assert!(
        !listed().contains(",12.5,"),
        "nothing is saved before it is confirmed"
    );
    assert!(text(&step(&gateway, "s-2", "1", false)).contains("C4 12.5g"));
    assert!(listed().contains(",12.5,"));

    let lake = |keys: &str| {
        let bearer = format!("Bearer {SECRET}");
        let headers = [
            ("Authorization", bearer.as_str()),
            ("Content-Type", "application/x-www-form-urlencoded"),
        ];
        let body =
            format!("dialogue=d-1&subscriber=%2B255700000102&dialled=%2A40123%23&keys={keys}");
        let answer = call(
            gateway.address,
            "POST",
            "/ussd/lake",
            &headers,
            body.as_bytes(),
        )
        .unwrap();
        assert_eq!(answer.status, 200, "{}", answer.body);
        answer.body
    };
    assert!(lake("").starts_with("MORE Ziwani"));
    assert!(lake("1").starts_with("MORE C4: eggs"));
    assert_eq!(lake("1"), lake("1"), "a step that comes again");
    assert!(lake("1%2A5.5").starts_with("MORE C4 5.5g: is it right?"));
    assert!(lake("1%2A5.5%2A1").contains("C4 5.5g"));

    let refused = gateway.post("/ussd/north", "another", &json!({}));
    assert_eq!(refused.status, 401);
    let nobody = json!({"session": "s-9", "input": ""});
    assert_eq!(gateway.post("/ussd/north", SECRET, &nobody).status, 400);
    assert_eq!(gateway.post("/ussd/nowhere", SECRET, &nobody).status, 404);
}
