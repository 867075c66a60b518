//! Many at once: members from a file, lines from a paper book, a ward with another name.

use crate::browser::{Browser, COOP, house, text};
use crate::members::{deeds, say_from};
use clutchline::domain::user::{DeedKind, Login};
use clutchline::domain::{CareJob, MemberNo, Role};

fn uploaded(browser: &mut Browser<'_>, file: &[u8]) -> String {
    let page = text(&browser.get("/console/members/import"));
    let token = crate::browser::token_of(&page).unwrap();
    let mut body = b"--b0undary\r\nContent-Disposition: form-data; name=\"file\"; filename=\"m.csv\"\r\nContent-Type: text/csv\r\n\r\n".to_vec();
    body.extend(file);
    body.extend(b"\r\n--b0undary--\r\n");
    text(&browser.post_body(
        &format!("/console/members/import?token={token}"),
        "multipart/form-data; boundary=b0undary",
        body,
    ))
}

fn applied(browser: &mut Browser<'_>, looked: &str) -> String {
    let value = |name: &str| {
        let rest = looked.split(&format!("name=\"{name}\" value=\"")).nth(1);
        rest.map(|rest| rest.split('"').next().unwrap().to_owned())
            .unwrap_or_default()
    };
    let (file, seen) = (value("file"), value("seen"));
    let fields = [("file", file.as_str()), ("seen", seen.as_str())];
    text(&browser.send(
        "/console/members/import",
        "/console/members/import/apply",
        &fields,
    ))
}

#[test]
fn a_file_is_looked_at_first_and_then_brought_in_once() {
    let house = house();
    let mut manager = Browser::signed_in(&house, "manager");
    let csv = b"member,name,ward,phones,role\n,Neema,Msitu,+255700002010,\n2001,Asha Juma,,,\n2002,,Mlima,,\n,Zawadi,Ufukwe,+255700002003,officer\n";
    let looked = uploaded(&mut manager, csv);
    assert!(
        looked.contains("1 new, 2 changed, 0 as they stand, 1 refused"),
        "{looked}"
    );
    assert!(
        looked.contains("expected one of Ufukwe, Msitu"),
        "why: {looked}"
    );
    assert_eq!(
        house.counter.members(COOP).unwrap().len(),
        3,
        "nothing is changed by looking"
    );
    // Somebody changes what the file would change: it is shown again.
    manager.send(
        "/console/members/2001",
        "/console/members/2001",
        &[("name", "Asha Omari")],
    );
    let again = applied(&mut manager, &looked);
    assert!(again.contains("changed meanwhile"), "{again}");
    let done = applied(&mut manager, &again);
    assert!(done.contains("Brought in: 1 new, 2 changed"), "{done}");
    assert_eq!(house.counter.members(COOP).unwrap().len(), 4);
    assert!(
        applied(&mut manager, &again).contains("waited too long"),
        "a file counts once"
    );
    assert_eq!(deeds(&house, DeedKind::Imported).len(), 1);
    let wrong = uploaded(&mut manager, b"colour,shape\nred,round\n");
    assert!(wrong.contains("row 1, column 1"), "{wrong}");
}

#[test]
fn a_workbook_is_read_and_an_officer_s_wards_and_role_hold_for_its_rows() {
    let house = house();
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    let rows = [
        ["member", "name", "ward", "role"],
        ["2001", "Stolen", "", ""],
        ["2002", "", "Ufukwe", ""],
        ["2002", "Baraka Mosi", "", ""],
        ["2003", "", "", "keeper"],
        ["", "Neema", "Msitu", ""],
        ["", "Zuri", "", ""],
    ];
    for (at, row) in (0..).zip(rows) {
        for (column, cell) in (0..).zip(row) {
            sheet.write_string(at, column, cell).unwrap();
        }
    }
    let file = book.save_to_buffer().unwrap();
    let mut officer = Browser::signed_in(&house, "officer");
    let looked = uploaded(&mut officer, &file);
    assert!(
        looked.contains("not in your wards")
            && looked.contains("none of yours")
            && looked.contains("Only a manager"),
        "{looked}"
    );
    assert!(
        !looked.contains("Asha"),
        "nothing of another ward's member: {looked}"
    );
    assert!(looked.contains("1 new, 0 changed"), "{looked}");
    let done = applied(&mut officer, &looked);
    assert!(done.contains("Brought in: 1 new"), "{done}");
    assert_eq!(
        house.counter.member(COOP, MemberNo(2001)).unwrap().name,
        "Asha"
    );
    assert_eq!(
        house.counter.member(COOP, MemberNo(2003)).unwrap().role,
        Role::Officer
    );
}

#[test]
fn a_book_s_lines_are_judged_first_and_then_saved_for_their_days() {
    let house = house();
    let mut officer = Browser::signed_in(&house, "officer");
    let page = "/console/members/2002/book";
    let lines = [
        ("day", "2026-02-20"),
        ("line", "C1 stock 8000"),
        ("day", "2026-03-04"),
        ("line", "C1 12.5 water"),
        ("day", ""),
        ("line", ""),
        ("day", "2026-03-05"),
        ("line", "C1 qwrtz"),
        ("once", "one-book"),
    ];
    let looked = text(&officer.send(page, page, &[&lines[..], &[("step", "look")]].concat()));
    assert!(
        looked.contains("Nothing is saved yet") && looked.contains("not understood"),
        "{looked}"
    );
    assert!(
        looked.matches("class=\"reply\"").count() == 3,
        "each with its answer: {looked}"
    );
    assert!(
        house
            .counter
            .farm(COOP, MemberNo(2002))
            .unwrap()
            .units
            .is_empty(),
        "nothing is saved by looking"
    );
    assert!(
        house
            .counter
            .messages(COOP, MemberNo(2003), 10)
            .unwrap()
            .is_empty()
    );
    // A line that names a day of its own keeps it, or is asked about; it never goes to the row's day unseen.
    let own = [
        ("day", "2026-03-05"),
        ("line", "C1 stock 8000 9/3"),
        ("step", "look"),
    ];
    let own = text(&officer.send(page, page, &own));
    assert!(!own.contains("Thu 5") && !own.contains("5 Mar"), "{own}");
    let future = text(&officer.send(
        page,
        page,
        &[("day", "2026-03-11"), ("line", "C1 3"), ("step", "save")],
    ));
    assert!(future.contains("has not been yet"), "{future}");
    let old = text(&officer.send(
        page,
        page,
        &[("day", "2025-03-11"), ("line", "C1 3"), ("step", "save")],
    ));
    assert!(old.contains("too long ago"), "{old}");
    let save = [&lines[..], &[("step", "save")]].concat();
    let saved = text(&officer.send(page, page, &save));
    assert!(saved.contains("for 2002 C1 12.5 water 4/3"), "{saved}");
    let farm = house.counter.farm(COOP, MemberNo(2002)).unwrap();
    let day = |month, day| chrono::NaiveDate::from_ymd_opt(2026, month, day).unwrap();
    let unit = &farm.units[0];
    assert_eq!(unit.running.as_ref().unwrap().stocked, day(2, 20));
    assert_eq!(unit.last_care(CareJob::Water), Some(day(3, 4)));
    assert_eq!(
        unit.running.as_ref().unwrap().last_harvest().unwrap().0,
        day(3, 4)
    );
    let entered = deeds(&house, DeedKind::Entered).len();
    assert_eq!(entered, 3);
    officer.send(page, page, &save);
    assert_eq!(
        deeds(&house, DeedKind::Entered).len(),
        entered,
        "sent twice, saved once"
    );
    // The dry run said what the saving did.
    for reply in house.counter.messages(COOP, MemberNo(2003), 10).unwrap() {
        let told = &reply.replies[0].text;
        let told = told
            .replace('&', "&amp;")
            .replace('"', "&quot;")
            .replace('<', "&lt;")
            .replace('>', "&gt;");
        assert!(looked.contains(&told), "{told}");
    }
}

#[test]
fn a_ward_s_members_air_and_users_go_with_its_name() {
    let house = house();
    let mut manager = Browser::signed_in(&house, "manager");
    let climate = vec![
        (
            clutchline::units::Celsius::from_tenths(180).unwrap(),
            clutchline::units::Celsius::from_tenths(290).unwrap()
        );
        12
    ];
    let request = clutchline::counter::answers::OfficeRequest::SetClimate {
        coop: COOP,
        ward: Some("Msitu".to_owned()),
        climate,
    };
    house.counter.office(request).unwrap();
    say_from(&house, 2002, "qwrt plmk");
    let answer = manager.send("/console/wards", "/console/wards", &[("ward", "Kisima")]);
    assert_eq!(answer.status, 303);
    for (new, why) in [("ufukwe", "already"), ("  ", "expected a name")] {
        let refused = manager.send(
            "/console/wards",
            "/console/wards/rename",
            &[("old", "Msitu"), ("new", new)],
        );
        assert!(
            refused.status == 422 && text(&refused).contains(why),
            "{new}"
        );
    }
    let answer = manager.send(
        "/console/wards",
        "/console/wards/rename",
        &[("old", "Msitu"), ("new", "Mwitu")],
    );
    assert_eq!(answer.status, 303, "{}", text(&answer));
    assert_eq!(
        house.counter.rules(COOP).unwrap().wards,
        ["Ufukwe", "Mwitu", "Kisima"]
    );
    assert_eq!(
        house
            .counter
            .member(COOP, MemberNo(2002))
            .unwrap()
            .ward
            .as_deref(),
        Some("Mwitu")
    );
    let user = house
        .counter
        .user(COOP, &Login::new("officer").unwrap())
        .unwrap();
    assert_eq!(user.wards, ["Mwitu"]);
    let page = text(&manager.get("/console/wards"));
    assert!(
        page.contains("?ward=Mwitu") && !page.contains("Msitu"),
        "{page}"
    );
    let mut officer = Browser::signed_in(&house, "officer");
    assert!(text(&officer.get("/console/unreadable")).contains("qwrt plmk"));
    assert_eq!(officer.get("/console/members/2002").status, 200);
    assert_eq!(house.counter.check().unwrap().faults_found, 0);
}
