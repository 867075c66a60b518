//! Visits and calls, rows that rest and come back, permits about to lapse.

use crate::browser::{Browser, COOP, House, moment, text, token_of};
use crate::pages::{filled, say};
use chrono::Duration;
use clutchline::clock::Clock;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::counter::{Counter, keeping};
use clutchline::domain::MemberNo;
use clutchline::domain::user::{DeedKind, UserEvent};

const TODAY: &str = "/console/today";

/// Days go by; every farm's row is made again, as the night does.
fn later(house: &House, days: i64) {
    house.counter.clock().advance(Duration::days(days));
    house.counter.mark_for_the_day(COOP).unwrap();
    house.counter.follow(COOP, 1_000).unwrap();
}

/// The farms that stand on the morning's list.
fn listed(browser: &mut Browser<'_>) -> Vec<String> {
    let page = text(&browser.get(TODAY));
    let list = page.split("<ol class=\"needs\">").nth(1).unwrap();
    let list = list.split("</ol>").next().unwrap();
    let rows = list.split("<h3><a href=\"/console/farms/").skip(1);
    rows.map(|row| row.split('"').next().unwrap().to_owned())
        .collect()
}

fn mark(browser: &mut Browser<'_>, no: u32, how: &str, until: &str) -> String {
    let action = format!("/console/farms/{no}/mark");
    let answer = browser.send(TODAY, &action, &[("how", how), ("until", until)]);
    answer.location.unwrap_or_else(|| answer.status.to_string())
}

#[test]
fn a_visit_stands_on_the_farms_page_and_its_follow_up_on_today_from_its_day_on() {
    let house = filled();
    let mut officer = Browser::signed_in(&house, "officer");
    let (page, action) = ("/console/farms/2002", "/console/farms/2002/visits");
    let fields = [
        ("touch", "visit"),
        ("day", "2026-03-10"),
        ("seen", "water <dry> in C1"),
        ("done", "filled it"),
        ("what", "see whether eggs are back"),
        ("by", "2026-03-12"),
    ];
    let answer = officer.send(page, action, &fields);
    assert_eq!(
        answer.location.as_deref(),
        Some("/console/farms/2002#visits")
    );
    let shown = text(&officer.get(page));
    assert!(
        shown.contains("water &lt;dry&gt; in C1") && shown.contains("filled it"),
        "{shown}"
    );
    assert!(shown.contains("To follow up by Thu 12.03.: see whether eggs are back"));
    assert!(
        !text(&officer.get(TODAY)).contains("To follow up today"),
        "two days ahead"
    );
    later(&house, 2);
    let today = text(&officer.get(TODAY));
    assert!(today.contains("To follow up today") && today.contains("see whether eggs are back"));
    // Nobody of another ward sees it; a viewer sees it without a button.
    assert!(!text(&Browser::signed_in(&house, "viewer").get(TODAY)).contains("visits/done"));
    officer.send(
        TODAY,
        "/console/farms/2002/visits/done",
        &[("back", "today")],
    );
    assert!(!text(&officer.get(TODAY)).contains("To follow up today"));
    // A later call ends what was to be followed up before.
    let trail = house.counter.trail(COOP, 20).unwrap();
    let visited = trail.iter().filter(|row| {
        matches!(&row.event, UserEvent::Did(deed) if deed.kind == DeedKind::Visited && deed.member == Some(MemberNo(2002)))
    });
    assert_eq!(visited.count(), 2);
}

#[test]
fn a_visit_without_words_or_of_tomorrow_or_of_another_ward_is_not_noted() {
    let house = filled();
    let mut officer = Browser::signed_in(&house, "officer");
    let (page, action) = ("/console/farms/2002", "/console/farms/2002/visits");
    for (fields, key) in [
        (
            [("day", "2026-03-10"), ("seen", ""), ("what", "")],
            "keep-empty",
        ),
        (
            [("day", "2026-03-11"), ("seen", "x"), ("what", "")],
            "keep-day",
        ),
        ([("day", "soon"), ("seen", "x"), ("what", "")], "keep-day"),
        (
            [("day", "2026-03-10"), ("seen", "x"), ("what", "no day")],
            "keep-day",
        ),
    ] {
        let answer = officer.send(page, action, &fields);
        let to = answer.location.unwrap();
        assert_eq!(to, format!("{page}?trouble={key}#visits"), "{fields:?}");
        let (shown, _) = to.split_once('#').unwrap();
        assert!(
            text(&officer.get(shown)).contains("role=\"alert\""),
            "{key}"
        );
    }
    let dossier = house.counter.dossier(COOP, MemberNo(2002)).unwrap();
    assert!(dossier.notes.is_empty());
    let fields = [("day", "2026-03-10"), ("seen", "x")];
    let other = officer.send(page, "/console/farms/2001/visits", &fields);
    assert_eq!(other.status, 404, "another ward's farm");
    let mut viewer = Browser::signed_in(&house, "viewer");
    assert_eq!(viewer.send("/console/account", action, &fields).status, 403);
}

#[test]
fn a_marked_row_rests_and_comes_back_on_its_day() {
    let house = filled();
    let mut officer = Browser::signed_in(&house, "officer");
    assert_eq!(listed(&mut officer), ["2002"]);
    for (how, until, days) in [("called", "", 2), ("resolved", "", 7), ("snoozed", "", 3)] {
        assert_eq!(mark(&mut officer, 2002, how, until), TODAY);
        assert!(listed(&mut officer).is_empty(), "{how}");
        let page = text(&officer.get(TODAY));
        assert!(
            page.contains("One farm rests") && page.contains("by officer, back"),
            "{page}"
        );
        let dossier = house.counter.dossier(COOP, MemberNo(2002)).unwrap();
        let until = dossier.mark.unwrap().until;
        assert_eq!(
            (until - house.counter.clock().now().date_naive()).num_days(),
            days,
            "{how}"
        );
        // Brought back by hand.
        mark(&mut officer, 2002, "back", "");
        assert_eq!(listed(&mut officer), ["2002"], "{how}");
    }
    // Five days without a word are a reason of their own.
    mark(&mut officer, 2002, "called", "2026-03-17");
    later(&house, 6);
    assert!(listed(&mut officer).is_empty(), "the day before");
    later(&house, 1);
    assert_eq!(listed(&mut officer), ["2002"], "its day");
    for wrong in ["2026-03-17", "2026-03-01", "2026-06-30"] {
        assert!(
            mark(&mut officer, 2002, "snoozed", wrong).contains("keep-rest"),
            "{wrong}"
        );
    }
    assert_eq!(
        mark(&mut officer, 2001, "called", ""),
        "404",
        "another ward's farm"
    );
}

#[test]
fn a_row_that_was_called_comes_back_early_when_it_gets_worse_but_not_one_that_was_put_off() {
    for (how, back) in [("called", true), ("resolved", true), ("snoozed", false)] {
        let house = filled();
        let mut manager = Browser::signed_in(&house, "manager");
        assert_eq!(listed(&mut manager), ["2002"]);
        // The farm does well when it is marked; then it gives next to nothing for a week.
        mark(&mut manager, 2001, how, "2026-04-20");
        for _ in 0..7 {
            house.counter.clock().advance(Duration::days(1));
            let ago = (moment("2026-03-10T17:00:00Z") - house.counter.clock().now()).num_days();
            say(&house, 2001, ago, "C1 0.2");
        }
        later(&house, 0);
        let row = house
            .counter
            .farm_row(COOP, MemberNo(2001))
            .unwrap()
            .unwrap();
        assert!(row.prospect.at_stake() > 500, "{}", row.prospect.at_stake());
        assert_eq!(
            listed(&mut manager).contains(&"2001".to_owned()),
            back,
            "{how}"
        );
    }
}

#[test]
fn permits_about_to_lapse_stand_on_today_until_they_are_renewed() {
    let house = filled();
    let mut officer = Browser::signed_in(&house, "officer");
    let (page, action) = ("/console/farms/2002", "/console/farms/2002/permits");
    let keep = |browser: &mut Browser<'_>, number: &str, until: &str| {
        let fields = [
            ("kind", "feed premises"),
            ("number", number),
            ("until", until),
        ];
        browser.send(page, action, &fields).location.unwrap()
    };
    keep(&mut officer, "FP 114", "2026-04-10");
    assert!(
        !text(&officer.get(TODAY)).contains("about to lapse"),
        "31 days ahead"
    );
    keep(&mut officer, "FP 114", "2026-04-09");
    let today = text(&officer.get(TODAY));
    assert!(today.contains("feed premises FP 114, 30 days"), "{today}");
    assert!(
        today.contains("the local authority says"),
        "a caution stands beside it"
    );
    later(&house, 31);
    assert!(text(&officer.get(TODAY)).contains("lapsed yesterday"));
    assert_eq!(
        text(&officer.get(page)).matches("FP 114").count(),
        2,
        "one row and its button"
    );
    keep(&mut officer, "FP 114", "2027-04-09");
    assert!(!text(&officer.get(TODAY)).contains("about to lapse"));
    assert!(keep(&mut officer, " ", "2026-04-09").contains("keep-permit"));
    officer.send(
        page,
        action,
        &[
            ("drop", "yes"),
            ("kind", "feed premises"),
            ("number", "FP 114"),
        ],
    );
    assert!(
        house
            .counter
            .dossier(COOP, MemberNo(2002))
            .unwrap()
            .permits
            .is_empty()
    );
}

#[test]
fn the_cooperatives_permits_are_the_managers() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    let page = "/console/permits";
    let fields = [
        ("kind", "egg transport"),
        ("number", "7/2026"),
        ("until", "2026-03-20"),
    ];
    assert_eq!(
        manager.send(page, page, &fields).location.as_deref(),
        Some(page)
    );
    let mut officer = Browser::signed_in(&house, "officer");
    assert!(text(&officer.get(TODAY)).contains("egg transport 7/2026, 10 days"));
    let answer = officer.send("/console/account", page, &fields);
    assert_eq!(answer.status, 403);
    assert!(
        !text(&officer.get(page)).contains("<button type=\"submit\">"),
        "nothing to press"
    );
    let trail = house.counter.trail(COOP, 20).unwrap();
    assert!(trail.iter().any(|row| matches!(&row.event, UserEvent::Did(deed)
        if deed.kind == DeedKind::SettingsChanged && deed.new == "egg transport 7/2026, 2026-03-20")));
}

#[test]
fn deadlines_follow_a_member_to_another_ward_and_a_folder_made_from_an_export() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    mark(&mut manager, 2002, "snoozed", "2026-03-20");
    let fields = [
        ("kind", "feed premises"),
        ("number", "1"),
        ("until", "2026-03-20"),
    ];
    manager.send(
        "/console/farms/2002",
        "/console/farms/2002/permits",
        &fields,
    );
    // Noted after the move and before the row followed it: the form was open already.
    let token = token_of(&text(&manager.get("/console/farms/2002"))).unwrap();
    let moved = OfficeRequest::SetWard {
        coop: COOP,
        member: MemberNo(2002),
        ward: "Ufukwe".to_owned(),
    };
    house.counter.office(moved).unwrap();
    let fields = [
        ("token", token.as_str()),
        ("day", "2026-03-10"),
        ("seen", "x"),
        ("what", "again"),
        ("by", "2026-03-10"),
    ];
    let answer = manager.post("/console/farms/2002/visits", &fields);
    assert_eq!(answer.status, 303);
    house.counter.follow(COOP, 1_000).unwrap();
    let today = "2026-03-10".parse().unwrap();
    let soon = "2026-04-01".parse().unwrap();
    let count = |counter: &Counter, ward: &str| {
        let wards = [ward.to_owned()];
        [
            counter.resting(COOP, &wards, today).unwrap().len(),
            counter.to_follow_up(COOP, &wards, today).unwrap().len(),
            counter.lapsing(COOP, &wards, soon).unwrap().len(),
        ]
    };
    assert_eq!(count(&house.counter, "Msitu"), [0, 0, 0]);
    assert_eq!(count(&house.counter, "Ufukwe"), [1, 1, 1]);
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("all.ndjson");
    house.counter.export_to(&file).unwrap();
    let copy = dir.path().join("copy");
    keeping::import(&copy, &file).unwrap();
    let clock = Clock::standing(moment("2026-03-10T17:00:00Z"));
    let copied = Counter::open(&copy, Settings::default(), clock).unwrap();
    assert_eq!(count(&copied, "Ufukwe"), [0, 0, 0], "rows follow");
    copied.mark_for_the_day(COOP).unwrap();
    copied.follow(COOP, 1_000).unwrap();
    assert_eq!(count(&copied, "Ufukwe"), [1, 1, 1]);
    assert!(copied.check().unwrap().faults.is_empty());
}
