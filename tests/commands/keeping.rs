//! Exports, backups, archives, compacting.

use crate::child::{complaint, printed, run};
use crate::office::Office;

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
fn deliveries_are_listed_with_the_difference_by_month() {
    let office = Office::with_a_harvest();
    let collector = "+255700000309";
    let words = ["member", "add", "--role", "collector", "--name", "Rehema"];
    office.does(&[&words[..], &["--phone", collector]].concat());
    let says = |at: &str, text: &str| office.does(&["say", "--from", collector, "--at", at, text]);
    let reply = says("2026-03-10T08:10:00Z", "got 1001 4.2");
    assert!(
        reply.contains("received 4.2g (farm's own 4.5g, -0.3g)"),
        "{reply}"
    );
    let sheet = || office.does(&["export", "--what", "deliveries"]);
    let rows = sheet();
    let rows: Vec<&str> = rows.lines().collect();
    let [head, row] = rows[..] else {
        panic!("{rows:?}");
    };
    assert_eq!(
        head,
        "member,day,grams,own_grams,difference,received_by,message_id"
    );
    assert!(
        row.starts_with("1001,2026-03-10,4.2,4.5,-0.3,1002,"),
        "{row}"
    );
    let april = ["export", "--what", "deliveries", "--month", "2026-04"];
    assert_eq!(office.does(&april).lines().count(), 1);
    let no_month = ["export", "--what", "deliveries", "--month", "March"];
    assert!(office.refuses(&no_month).contains("2026-03"));
    says("2026-03-10T08:20:00Z", "undo");
    assert_eq!(sheet().lines().count(), 1);
}
