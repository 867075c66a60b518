//! Deliveries side by side, the sheet that is paid from, and what was promised beside what is expected.

use crate::browser::{Browser, COOP, House, phone, text};
use crate::pages::{filled, say};
use clutchline::counter::answers::OfficeRequest;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::Outcome;
use clutchline::domain::user::{DeedKind, UserEvent};
use clutchline::domain::{MemberNo, Role};

/// Two farms, and a collector who has received from both.
fn delivered() -> House {
    let house = filled();
    house
        .counter
        .office(OfficeRequest::AddMember {
            coop: COOP,
            number: Some(MemberNo(2004)),
            name: "Chausiku".to_owned(),
            lang: Lang::EN,
            role: Role::Collector,
            ward: Some("Ufukwe".to_owned()),
            phones: vec![phone(2004)],
        })
        .unwrap();
    // The farm's last seven days are 88.7 g: a little less arrives.
    assert_eq!(say(&house, 2004, 0, "got 2001 85"), Outcome::Saved);
    // From the other farm comes ten times what it had weighed.
    assert_eq!(say(&house, 2004, 0, "got 2002 30"), Outcome::Asked);
    say(&house, 2004, 0, "yes");
    house
}

#[test]
fn a_list_from_rows_is_the_list_from_events_also_after_taking_back_and_in_a_folder_from_a_backup() {
    let house = delivered();
    let march = "2026-03-01".parse().unwrap();
    let of = |counter: &clutchline::counter::Counter| -> Vec<_> {
        let farms = counter
            .received_after(COOP, march, MemberNo(0), 100)
            .unwrap();
        let rows = |no: &MemberNo| counter.received(COOP, *no, march).unwrap();
        farms.iter().map(|no| (*no, rows(no))).collect()
    };
    let listed = of(&house.counter);
    assert_eq!(listed.len(), 2);
    let from_events = |no: MemberNo| -> Vec<_> {
        let rows = house.counter.deliveries_of(COOP, no).unwrap();
        rows.iter()
            .map(|row| (row.day, row.grams, row.own, row.by))
            .collect()
    };
    let flat = |rows: &[clutchline::counter::received::ReceivedRow]| -> Vec<_> {
        rows.iter()
            .map(|row| (row.day, row.grams, row.own, row.by))
            .collect()
    };
    for (no, rows) in &listed {
        assert_eq!(flat(rows), from_events(*no), "{no}");
    }
    let dir = tempfile::tempdir().unwrap();
    let (file, data) = (dir.path().join("all.ndjson"), dir.path().join("data"));
    house.counter.export_to(&file).unwrap();
    clutchline::counter::keeping::import(&data, &file).unwrap();
    let settings = clutchline::counter::settings::Settings::default();
    let copy = clutchline::counter::Counter::open(&data, settings, house.watch.clone()).unwrap();
    assert!(of(&copy).is_empty(), "an export leaves rows out");
    assert!(
        !copy.fill_received(COOP, 0).unwrap(),
        "and the list says so"
    );
    assert!(copy.fill_received(COOP, 1_000).unwrap());
    assert_eq!(of(&copy), listed);
    assert!(copy.fill_deeds(COOP, 100_000).unwrap());
    say(&house, 2004, 0, "undo");
    say(&house, 2004, 0, "yes");
    for no in [2001, 2002].map(MemberNo) {
        let rows = house.counter.received(COOP, no, march).unwrap();
        assert_eq!(flat(&rows), from_events(no), "{no} after taking back");
    }
    assert!(of(&house.counter) != listed, "something was taken back");
}

#[test]
fn both_figures_stand_side_by_side_and_a_large_difference_stands_out() {
    let house = delivered();
    let mut viewer = Browser::signed_in(&house, "viewer");
    let page = text(&viewer.get("/console/deliveries?month=2026-03"));
    let row = |name: &str| -> String {
        let rest = page.split(&format!("<td>{name}")).nth(1).unwrap();
        rest.split("</tr>").next().unwrap().to_owned()
    };
    let asha = row("Asha 2001");
    for figure in [
        "<td class=\"n\">85g</td>",
        "<td class=\"n\">88.7g</td>",
        "−3.7g",
    ] {
        assert!(asha.contains(figure), "{figure}: {asha}");
    }
    assert!(!asha.contains("<strong>"), "within a tenth: {asha}");
    let baraka = row("Baraka 2002");
    assert!(
        baraka.contains("<td class=\"n\">2.8g</td>") && baraka.contains("<strong>+27.2g</strong>"),
        "{baraka}"
    );
    assert!(
        page.contains("<td class=\"n\">115g</td>"),
        "the sum: {page}"
    );
    assert!(
        text(&viewer.get("/console/deliveries?month=2026-02")).contains("Nothing was received")
    );
    let ward = text(&viewer.get("/console/deliveries?month=2026-03&ward=Msitu"));
    assert!(ward.contains("Baraka") && !ward.contains("Asha"));
    let officer =
        text(&Browser::signed_in(&house, "officer").get("/console/deliveries?month=2026-03"));
    assert!(
        officer.contains("Baraka") && !officer.contains("Asha"),
        "another ward's farm"
    );
}

#[test]
fn a_members_sheet_can_be_paid_from() {
    let house = delivered();
    let mut viewer = Browser::signed_in(&house, "viewer");
    let sheet = text(&viewer.get("/console/deliveries/2001?month=2026-03&price=12"));
    for told in [
        "<td>85g</td>",
        "<td>88.7g</td>",
        "<td>2004 </td>",
        "<th>1020.00</th>",
        "Paid by",
    ] {
        assert!(sheet.contains(told), "{told}: {sheet}");
    }
    // Ten of the farm's thirteen weights are of March.
    assert!(
        sheet.contains("own weights in this month: 147.7g"),
        "{sheet}"
    );
    let without = text(&viewer.get("/console/deliveries/2001?month=2026-03"));
    assert!(!without.contains("1020.00"));
    let wrong = text(&viewer.get("/console/deliveries/2001?month=2026-03&price=1,5"));
    assert!(wrong.contains("Expected a price such as"));
    let mut officer = Browser::signed_in(&house, "officer");
    assert_eq!(
        officer.get("/console/deliveries/2001?month=2026-03").status,
        404
    );
}

#[test]
fn what_was_taken_back_is_not_paid_for() {
    let house = delivered();
    say(&house, 2004, 0, "undo");
    let mut viewer = Browser::signed_in(&house, "viewer");
    let page = text(&viewer.get("/console/deliveries?month=2026-03"));
    assert!(page.contains("Asha") && !page.contains("Baraka"), "{page}");
}

#[test]
fn a_promise_is_a_line_and_a_column_from_its_day_on() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    let path = "/console/supply";
    assert!(!text(&manager.get(path)).contains("class=\"promise\""));
    let fields = [("ward", ""), ("weekly", "700"), ("from", "2026-03-10")];
    let answer = manager.send(path, "/console/supply/promise", &fields);
    assert_eq!(answer.location.as_deref(), Some(path));
    let page = text(&manager.get(path));
    assert!(
        page.contains("<line class=\"promise\" x1=\"58\""),
        "on the chart"
    );
    assert!(
        page.contains("1.4kg</b>promised in the next 14 days"),
        "{page}"
    );
    // A hundred grams a day, today and the fourteen days to come.
    assert_eq!(
        page.matches("<td class=\"n\">100.0g</td>").count(),
        15,
        "{page}"
    );
    // A ward's officer does not answer for the whole cooperative, but for the ward.
    let mut officer = Browser::signed_in(&house, "officer");
    assert!(!text(&officer.get(path)).contains("class=\"promise\""));
    let fields = [
        ("ward", "Msitu"),
        ("weekly", "70.7"),
        ("from", "2026-03-10"),
    ];
    manager.send(path, "/console/supply/promise", &fields);
    assert!(text(&officer.get(path)).contains("<td class=\"n\">10.1g</td>"));
    let denied = officer.send("/console/account", "/console/supply/promise", &fields);
    assert_eq!(denied.status, 403);
    for (weekly, ward, from) in [
        ("4,500", "", "2026-03-10"),
        ("x", "", "2026-03-10"),
        ("7", "", "soon"),
    ] {
        let fields = [("ward", ward), ("weekly", weekly), ("from", from)];
        let to = manager
            .send(path, "/console/supply/promise", &fields)
            .location
            .unwrap();
        assert!(to.ends_with("trouble=promise"), "{weekly} {from}: {to}");
        assert!(text(&manager.get(&to)).contains("role=\"alert\""));
    }
    let trail = house.counter.trail(COOP, 20).unwrap();
    assert!(
        trail
            .iter()
            .any(|row| matches!(&row.event, UserEvent::Did(deed)
        if deed.kind == DeedKind::SettingsChanged && deed.new == "700g 2026-03-10"))
    );
}
