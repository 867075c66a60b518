//! Pages from messages: what is at stake, sums that follow the record, entering for a member, unreadable messages.

use crate::browser::{self, Browser, COOP, House, house, moment, text};
use chrono::{Duration, NaiveDate};
use clutchline::domain::MemberNo;
use clutchline::domain::message::Outcome;
use clutchline::domain::user::{DeedKind, UserEvent};

/// The house's farm day.
fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 10).unwrap()
}

/// A text of so many days ago, at eight in the morning.
pub(crate) fn say(house: &House, no: u32, days_ago: i64, line: &str) -> Outcome {
    let sent_at = moment("2026-03-10T05:00:00Z") - Duration::days(days_ago);
    browser::say(house, no, &sent_at.to_rfc3339(), line)
}

/// Two farms stocked alike: one goes on laying, the other gives next to nothing for a week.
pub(crate) fn filled() -> House {
    let house = house();
    for no in [2001, 2002] {
        assert_eq!(say(&house, no, 21, "C1 stock 8000"), Outcome::Saved);
    }
    let course = [
        4.2, 9.1, 14.8, 18.7, 20.6, 19.7, 18.4, 16.3, 14.2, 12.1, 10.4, 9.2, 8.1,
    ];
    for (at, grams) in course.into_iter().enumerate() {
        let days_ago = 12 - i64::try_from(at).unwrap();
        let outcome = say(&house, 2001, days_ago, &format!("C1 {grams}"));
        if outcome == Outcome::Asked {
            say(&house, 2001, days_ago, "yes");
        }
        let grams = if days_ago < 7 { 0.4 } else { grams };
        say(&house, 2002, days_ago, &format!("C1 {grams}"));
    }
    house
}

/// Keys that are put together: the word before them says which.
const PUT_TOGETHER: [&str; 2] = ["sheet-", "form-"];

#[test]
fn every_text_of_the_pages_stands_on_one() {
    fn sources(dir: &std::path::Path, all: &mut String) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, all);
            } else {
                all.push_str(&std::fs::read_to_string(path).unwrap());
            }
        }
    }
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = String::new();
    sources(&root.join("src/console"), &mut all);
    let texts = std::fs::read_to_string(root.join("grammar/pages/en.ftl")).unwrap();
    let keys = texts
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()));
    let keys: Vec<&str> = keys
        .filter_map(|line| line.split_once(" ="))
        .map(|(key, _)| key)
        .collect();
    assert!(keys.len() > 400);
    for key in keys {
        let put_together = PUT_TOGETHER.iter().any(|start| key.starts_with(start));
        assert!(
            put_together || all.contains(&format!("\"{key}\"")),
            "{key} stands on no page"
        );
    }
}

#[test]
fn the_farm_that_fails_stands_first_with_its_reason_and_only_where_its_ward_is_seen() {
    let house = filled();
    let page = text(&Browser::signed_in(&house, "viewer").get("/console/today"));
    let needs = page.split("<ol class=\"needs\">").nth(1).unwrap();
    assert!(needs.contains("/console/farms/2002"), "{needs}");
    assert!(needs.contains("C1 gave"), "{needs}");
    assert!(needs.contains("C1 0.4"), "the last message: {needs}");
    assert!(!needs.contains("/console/farms/2001"), "{needs}");
    let row = house
        .counter
        .farm_row(COOP, MemberNo(2002))
        .unwrap()
        .unwrap();
    let [missing, ahead] = row.prospect.missing;
    assert!(missing > 2_000 && ahead > 0, "{missing} {ahead}");
    let mut officer = Browser::signed_in(&house, "officer");
    assert!(text(&officer.get("/console/today")).contains("/console/farms/2002"));
    assert_eq!(
        officer.get("/console/farms/2001").status,
        404,
        "another ward's farm"
    );
    assert_eq!(officer.get("/console/farms/2002").status, 200);
    assert!(!text(&officer.get("/console/farms")).contains("Asha"));
}

#[test]
fn sums_of_wards_are_those_of_the_record_after_corrections_and_moves() {
    let house = filled();
    house.counter.follow(COOP, 1_000).unwrap();
    say(&house, 2001, 0, "C1 7.5");
    say(&house, 2001, 0, "C1 6.5");
    say(&house, 2002, 0, "undo");
    house.counter.follow(COOP, 1_000).unwrap();
    let moved = clutchline::counter::answers::OfficeRequest::SetWard {
        coop: COOP,
        member: MemberNo(2002),
        ward: "Ufukwe".to_owned(),
    };
    house.counter.office(moved).unwrap();
    house.counter.follow(COOP, 1_000).unwrap();
    let mut record = 0_u64;
    for no in house.counter.farms(COOP).unwrap() {
        house
            .counter
            .harvests_of(COOP, no, &mut |row| {
                record += u64::from(row.grams.hundredths());
            })
            .unwrap();
    }
    let from = today() - Duration::days(40);
    let until = today() + Duration::days(20);
    let sum = |ward: &str| -> u64 {
        let days = house.counter.ward_days(COOP, ward, from, until).unwrap();
        days.iter().map(|(_, day)| day.taken).sum()
    };
    assert!(record > 10_000);
    assert_eq!((sum("Ufukwe"), sum("Msitu")), (record, 0));
    let whole = house.counter.ward_fortnight(COOP, "Ufukwe").unwrap();
    assert_eq!((whole.farms, whole.cages), (2, 2));
    let expected: i64 = ["Ufukwe", "Msitu"]
        .iter()
        .flat_map(|ward| house.counter.ward_days(COOP, ward, from, until).unwrap())
        .map(|(_, day)| day.expected.mean)
        .sum();
    let rows = [2001, 2002].map(|no| house.counter.farm_row(COOP, MemberNo(no)).unwrap().unwrap());
    let of_rows: i64 = rows
        .iter()
        .flat_map(|row| &row.prospect.ahead)
        .map(|day| day.mean)
        .sum();
    assert_eq!(expected, of_rows);
    assert!(expected > 0);
    let left = house.counter.ward_fortnight(COOP, "Msitu").unwrap();
    assert_eq!(
        (left.farms, left.expected.mean, left.expected.own),
        (1, 0, 0),
        "the officer's own empty farm"
    );
}

#[test]
fn every_page_is_whole_small_and_without_style_in_it() {
    let house = filled();
    say(&house, 2002, 0, "qwrt plmk");
    let mut browser = Browser::signed_in(&house, "manager");
    for path in [
        "/console/today",
        "/console/supply",
        "/console/supply?ward=Msitu",
        "/console/farms",
        "/console/farms?q=ba",
        "/console/farms/2002",
        "/console/unreadable",
        "/console/print",
        "/console/deliveries",
        "/console/permits",
        "/console/broadcast",
        "/console/account",
        "/console/export",
        "/console/export?month=2026-03",
        "/console/tokens",
        "/console/audit",
        "/console/words",
        "/console/words/try?word=qwrt&means=water&lang=sw",
        "/console/members",
        "/console/members/new",
        "/console/members/import",
        "/console/members/2002",
        "/console/members/2002/book",
        "/console/wards",
        "/console/settings",
        "/console/settings/model",
        "/console/settings/climate",
        "/console/settings/climate?ward=Msitu",
        "/console/settings/gateway",
    ] {
        for lang in ["en", "sw"] {
            browser.lang = Some(lang.to_owned());
            let answer = browser.get(path);
            let page = text(&answer);
            assert_eq!(answer.status, 200, "{path}");
            assert!(page.len() < 100_000, "{path}: {} bytes", page.len());
            assert!(
                !page.contains(" style=") && !page.contains("<style"),
                "{path}"
            );
            assert!(!page.contains(" on") || !page.contains("onclick"), "{path}");
            assert_eq!(page.matches("<h1>").count(), 1, "{path}");
            assert_eq!(page.matches("<main ").count(), 1, "{path}");
            assert!(page.contains(&format!("<html lang=\"{lang}\">")), "{path}");
            let count = |what: &str| page.matches(what).count();
            for tag in ["table", "form", "svg", "li", "div", "tr", "td", "p"] {
                let open = count(&format!("<{tag}>")) + count(&format!("<{tag} "));
                assert_eq!(open, count(&format!("</{tag}>")), "{path} {tag}");
            }
            // Every form that changes something carries a token.
            assert_eq!(
                page.matches("method=\"post\"").count(),
                page.matches("name=\"token\"").count(),
                "{path}"
            );
        }
    }
    let supply = text(&browser.get("/console/supply"));
    assert!(supply.matches("class=\"bar\"").count() > 28 && supply.contains("class=\"band\""));
}

#[test]
fn an_officer_enters_for_a_member_and_the_record_names_the_officer() {
    let house = filled();
    let mut officer = Browser::signed_in(&house, "officer");
    let fields = [("line", "C2 stock 5000"), ("once", "a-form")];
    let answer = officer.send("/console/farms/2002", "/console/farms/2002/enter", &fields);
    let shown = text(&officer.get(&answer.location.unwrap()));
    assert!(shown.contains("for 2002 C2 stock 5000"), "{shown}");
    let again = officer.send("/console/farms/2002", "/console/farms/2002/enter", &fields);
    assert_eq!(again.status, 303);
    let mut stocked = Vec::new();
    house
        .counter
        .farm_events(COOP, MemberNo(2002), &mut |event| {
            if event.by == Some(MemberNo(2003)) {
                stocked.push(event.event.clone());
            }
        })
        .unwrap();
    assert_eq!(stocked.len(), 1, "sent twice, recorded once: {stocked:?}");
    let trail = house.counter.trail(COOP, 20).unwrap();
    assert!(trail.iter().any(|row| matches!(&row.event, UserEvent::Did(deed)
        if deed.kind == DeedKind::Entered && deed.member == Some(MemberNo(2002)) && deed.new == "C2 stock 5000")));
    let fields = [("line", "C1 stock 9"), ("once", "b")];
    let other = officer.send("/console/farms/2002", "/console/farms/2001/enter", &fields);
    assert_eq!(other.status, 404, "another ward's farm");
}

#[test]
fn an_unreadable_message_is_recorded_for_its_own_day_and_waits_no_more() {
    let house = filled();
    assert_eq!(say(&house, 2002, 2, "qwrt plmk"), Outcome::Unreadable);
    let mut officer = Browser::signed_in(&house, "officer");
    let page = text(&officer.get("/console/unreadable"));
    assert!(page.contains("qwrt plmk"));
    let no = page
        .split("/console/unreadable/")
        .nth(1)
        .unwrap()
        .split(['"', '/'])
        .next()
        .unwrap()
        .to_owned();
    let action = format!("/console/unreadable/{no}");
    let fields = [("line", "C1 water"), ("once", "x")];
    let answer = officer.send("/console/unreadable", &action, &fields);
    let shown = text(&officer.get(&answer.location.unwrap()));
    assert!(
        shown.contains("for 2002 C1 water") && !shown.contains("qwrt plmk"),
        "{shown}"
    );
    let farm = house.counter.farm(COOP, MemberNo(2002)).unwrap();
    let done = farm.units[0].last_care(clutchline::domain::CareJob::Water);
    assert_eq!(done, Some(today() - Duration::days(2)));
    // What is not understood either waits on; what was laid aside does not.
    assert_eq!(say(&house, 2002, 1, "zzkl vvbn"), Outcome::Unreadable);
    let page = text(&officer.get("/console/unreadable"));
    let no = page
        .split("/console/unreadable/")
        .nth(1)
        .unwrap()
        .split(['"', '/'])
        .next()
        .unwrap()
        .to_owned();
    let action = format!("/console/unreadable/{no}");
    officer.send(
        "/console/unreadable",
        &action,
        &[("line", "ttgh bbnm"), ("once", "y")],
    );
    assert!(text(&officer.get("/console/unreadable")).contains("zzkl vvbn"));
    officer.send("/console/unreadable", &format!("{action}/aside"), &[]);
    assert!(!text(&officer.get("/console/unreadable")).contains("zzkl vvbn"));
}

#[test]
fn a_manager_erases_a_member_with_a_reason_and_nobody_else_does() {
    let house = filled();
    let path = "/console/farms/2002/data";
    assert_eq!(Browser::signed_in(&house, "officer").get(path).status, 403);
    let mut manager = Browser::signed_in(&house, "manager");
    let token = browser::token_of(&text(&manager.get(path))).unwrap();
    let file = manager.get(&format!("{path}/file"));
    let lines = text(&file);
    assert!(lines.contains("C1 stock 8000") && lines.contains("\"shelf\":\"states\""));
    let mut erase = |reason: &str, number: &str| {
        let form = [
            ("token", token.as_str()),
            ("reason", reason),
            ("number", number),
        ];
        manager.post(&format!("{path}/forget"), &form)
    };
    for (reason, number) in [("", "2002"), ("asked by letter", "2001")] {
        let back = erase(reason, number).location.unwrap();
        assert!(back.contains("trouble=unsure"), "{back}");
    }
    let member = |no| house.counter.member(COOP, MemberNo(no)).unwrap();
    assert!(member(2002).joined);
    erase("asked by letter", "2002");
    assert!(!member(2002).joined && member(2002).name.is_empty());
    assert!(member(2001).joined);
    assert_eq!(manager.get(path).status, 404);
    assert!(text(&manager.get("/console/audit")).contains("asked by letter"));
}

#[test]
fn a_cooperative_without_farms_is_told_how_one_begins() {
    let house = house();
    let mut manager = Browser::signed_in(&house, "manager");
    for no in ["2001", "2002", "2003"] {
        let page = format!("/console/farms/{no}/data");
        let fields = [("number", no), ("reason", "left")];
        manager.send(&page, &format!("{page}/forget"), &fields);
    }
    let page = text(&manager.get("/console/today"));
    assert!(page.contains("No farm yet."), "{page}");
    assert!(!page.contains("No farm stands out"));
}

#[test]
fn every_language_that_members_read_stands_under_its_own_name() {
    let house = filled();
    let mut browser = Browser::signed_in(&house, "manager");
    for path in ["/console/broadcast", "/console/members/2001"] {
        let page = text(&browser.get(path));
        for name in ["English", "Kiswahili", "Français"] {
            assert!(page.contains(&format!(">{name}</option>")), "{path} {name}");
        }
    }
}
