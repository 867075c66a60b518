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

#[test]
fn sheets_come_in_three_forms_and_a_workbook_has_typed_cells() {
    use calamine::{Data, Reader, Xlsx, open_workbook};
    let office = Office::with_a_harvest();
    office.does(&["member", "ward", "1001", "Mlimani"]);
    for sheet in [
        "members",
        "cages",
        "harvests",
        "care",
        "deliveries",
        "messages",
        "month",
    ] {
        let csv = office.does(&["export", "--what", sheet]);
        let head = csv.lines().next().unwrap_or_default();
        assert!(head.contains(','), "{sheet}: {csv}");
    }
    let march = ["export", "--what", "month", "--month", "2026-03"];
    let csv = office.does(&march);
    let row = csv.lines().nth(1).unwrap();
    assert_eq!(row, "2026-03,Mlimani,1,1,1,4.5,0,0,");
    let none = office.does(&[&march[..], &["--ward", "Ufukwe"]].concat());
    assert_eq!(none.lines().count(), 1);
    let lines = office.does(&["export", "--what", "harvests", "--form", "ndjson"]);
    let row: serde_json::Value = serde_json::from_str(lines.trim()).unwrap();
    assert_eq!(row["grams"], 4.5);
    assert_eq!(row["day"], "2026-03-10");
    let file = office.path("harvests.xlsx");
    office.does(&["export", "--what", "harvests", "--to", &file]);
    let mut book: Xlsx<_> = open_workbook(&file).unwrap();
    let sheet = book.worksheet_range("harvests").unwrap();
    assert_eq!(sheet.get((0, 3)), Some(&Data::String("grams".to_owned())));
    assert_eq!(sheet.get((1, 3)), Some(&Data::Float(4.5)));
    let Some(Data::DateTime(day)) = sheet.get((1, 2)) else {
        panic!("{:?}", sheet.get((1, 2)));
    };
    let (year, month, day, ..) = day.to_ymd_hms_milli();
    assert_eq!((year, month, day), (2026, 3, 10));
    assert!(
        office
            .refuses(&["export", "--what", "flies"])
            .contains("harvests")
    );
    assert!(
        office
            .refuses(&["export", "--what", "cages", "--form", "pdf"])
            .contains("xlsx")
    );
}

#[test]
fn a_name_that_looks_like_a_formula_is_a_text_in_every_form() {
    use calamine::{Data, Reader, Xlsx, open_workbook};
    let office = Office::new();
    let name = "=HYPERLINK(1)";
    office.does(&["member", "add", "--name", name, "--phone", "+255700000302"]);
    let csv = office.does(&["export", "--what", "members"]);
    assert!(
        csv.contains("'=HYPERLINK(1)") && csv.contains("'+255700000302"),
        "{csv}"
    );
    let file = office.path("members.xlsx");
    office.does(&["export", "--what", "members", "--to", &file]);
    let mut book: Xlsx<_> = open_workbook(&file).unwrap();
    let sheet = book.worksheet_range("members").unwrap();
    assert_eq!(sheet.get((1, 1)), Some(&Data::String(name.to_owned())));
    let formulas = book.worksheet_formula("members").unwrap();
    assert!(formulas.is_empty());
}
