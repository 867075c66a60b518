//! Exports, tokens and live refresh from a browser.

use crate::browser::{Browser, COOP, House, text, token_of};
use crate::pages::filled;
use calamine::{Data, Reader, Xlsx};
use chrono::Duration;
use clutchline::console::answer::{Answer, Stream};
use clutchline::domain::user::{DeedKind, Login, UserEvent};
use std::io::Cursor;

/// A file, whole.
fn taken(answer: &Answer) -> Vec<u8> {
    let Some(Stream::File(flow)) = &answer.stream else {
        panic!("no file: {} {:?}", answer.status, answer.location)
    };
    let mut bytes = Vec::new();
    (flow.write)(&mut bytes).unwrap();
    bytes
}

fn csv(browser: &mut Browser<'_>, query: &str) -> String {
    let answer = browser.get(&format!("/console/export/file?form=csv&{query}"));
    String::from_utf8(taken(&answer)).unwrap()
}

fn with_formula() -> House {
    let house = filled();
    crate::pages::say(&house, 2002, 1, "=HYPERLINK(\"http://x\")");
    house
}

#[test]
fn a_manager_takes_every_sheet_in_every_form_and_the_trail_says_so() {
    let house = filled();
    let mut browser = Browser::signed_in(&house, "manager");
    for sheet in [
        "members",
        "cages",
        "harvests",
        "care",
        "deliveries",
        "messages",
        "month",
    ] {
        let answer = browser.get(&format!("/console/export/file?sheet={sheet}&form=ndjson"));
        assert_eq!(
            answer.file.as_deref(),
            Some(format!("{sheet}.ndjson").as_str())
        );
        for line in String::from_utf8(taken(&answer)).unwrap().lines() {
            assert!(
                serde_json::from_str::<serde_json::Value>(line)
                    .unwrap()
                    .is_object()
            );
        }
    }
    let answer = browser.get("/console/export/file?sheet=harvests&form=xlsx&month=2026-03");
    assert_eq!(answer.file.as_deref(), Some("harvests-2026-03.xlsx"));
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(taken(&answer))).unwrap();
    let range = book.worksheet_range("harvests").unwrap();
    assert!(range.height() > 10);
    let row: Vec<&Data> = range.rows().nth(1).unwrap().iter().collect();
    assert!(matches!(row[0], Data::Float(2001.0)), "{row:?}");
    assert!(matches!(row[2], Data::DateTime(_)), "{row:?}");
    assert!(matches!(row[3], Data::Float(_)), "{row:?}");
    let trail = house.counter.trail(COOP, 50).unwrap();
    assert!(
        trail
            .iter()
            .any(|row| matches!(&row.event, UserEvent::Did(deed)
        if deed.kind == DeedKind::Exported && deed.new == "harvests, 2026-03 (xlsx)"))
    );
    for wrong in [
        "sheet=x&form=csv",
        "sheet=cages&form=x",
        "sheet=cages&form=csv&month=x",
        "sheet=cages&form=csv&ward=Nowhere",
    ] {
        assert_eq!(
            browser.get(&format!("/console/export/file?{wrong}")).status,
            404,
            "{wrong}"
        );
    }
}

#[test]
fn an_officer_of_one_ward_takes_that_ward_s_rows_only() {
    let house = filled();
    for no in [2001, 2002] {
        crate::pages::say(&house, no, 0, "C1 water");
    }
    let mut officer = Browser::signed_in(&house, "officer");
    for sheet in ["members", "cages", "harvests", "care", "messages"] {
        let file = csv(&mut officer, &format!("sheet={sheet}"));
        assert!(file.contains("2002"), "{sheet}: {file}");
        assert!(!file.contains("2001"), "{sheet}: {file}");
    }
    let month = csv(&mut officer, "sheet=month&month=2026-03");
    assert!(
        month.contains("Msitu") && !month.contains("Ufukwe"),
        "{month}"
    );
    let other = officer.get("/console/export/file?sheet=cages&form=csv&ward=Ufukwe");
    assert_eq!(other.status, 404);
    let page = text(&officer.get("/console/export?month=2026-03"));
    assert!(page.contains("Msitu") && !page.contains("Ufukwe"), "{page}");
    assert_eq!(
        Browser::signed_in(&house, "viewer")
            .get("/console/export")
            .status,
        403
    );
}

#[test]
fn the_month_on_the_page_is_the_sum_of_the_record_beside_the_month_before() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    let mut grams = [0_u64; 2];
    for no in house.counter.farms(COOP).unwrap() {
        house
            .counter
            .harvests_of(COOP, no, &mut |row| {
                let at = usize::from(row.day.to_string().starts_with("2026-03"));
                grams[at] += u64::from(row.grams.hundredths());
            })
            .unwrap();
    }
    let page = text(&manager.get("/console/export?month=2026-03"));
    let total = page.split("<tfoot>").nth(1).unwrap();
    let [before, now] = grams.map(clutchline::console::shown::tenths);
    assert!(
        total.contains(&format!(">{now}<")) && total.contains(&format!(">{before}<")),
        "{now} {before} {total}"
    );
    assert!(grams[0] > 0 && grams[1] > grams[0]);
}

#[test]
fn no_field_is_a_formula_to_a_spreadsheet() {
    let house = with_formula();
    let mut manager = Browser::signed_in(&house, "manager");
    let file = csv(&mut manager, "sheet=messages");
    assert!(file.contains("'=HYPERLINK"), "{file}");
    // OWASP, "CSV Injection": = + - @ tab and carriage return begin a formula.
    let mut reader = csv::Reader::from_reader(file.as_bytes());
    for record in reader.records() {
        for field in &record.unwrap() {
            let number = field.parse::<f64>().is_ok();
            assert!(
                number || !field.starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{field}"
            );
        }
    }
}

#[test]
fn two_files_at_once_and_no_more() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    let address = "/console/export/file?sheet=cages&form=csv";
    let (one, two) = (manager.get(address), manager.get(address));
    assert_eq!(
        manager.get(address).location.as_deref(),
        Some("/console/export?trouble=busy")
    );
    drop(one);
    assert!(!taken(&two).is_empty());
    assert!(!taken(&manager.get(address)).is_empty());
}

#[test]
fn a_token_is_shown_once_and_taken_back_by_any_manager() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    let answer = manager.send(
        "/console/tokens",
        "/console/tokens",
        &[
            ("about", "office sheet"),
            ("role", "officer"),
            ("ward", "Msitu"),
        ],
    );
    let page = text(&answer);
    let token = page
        .split("clutchline~")
        .nth(1)
        .unwrap()
        .split('<')
        .next()
        .unwrap();
    let token = format!("clutchline~{token}");
    let bearer = house.counter.bearer(&token).unwrap().unwrap();
    assert_eq!(
        (bearer.login.as_str(), &*bearer.user.wards),
        ("manager", &["Msitu".to_owned()][..])
    );
    let page = text(&manager.get("/console/tokens"));
    assert!(page.contains("office sheet") && page.contains("2026-03-10") && !page.contains(&token));
    let form = token_of(&page).unwrap();
    let nobody = manager.post("/console/tokens/manager/7/revoke", &[("token", &form)]);
    assert_eq!(nobody.status, 404);
    let done = manager.post("/console/tokens/manager/1/revoke", &[("token", &form)]);
    assert_eq!(done.status, 303);
    assert!(house.counter.bearer(&token).unwrap().is_none());
    let user = house
        .counter
        .user(COOP, &Login::new("manager").unwrap())
        .unwrap();
    assert!(user.tokens.is_empty() && user.tokens_made == 1);
    assert!(text(&manager.get("/console/audit")).contains("Made or took back a token"));
    let empty = manager.send(
        "/console/tokens",
        "/console/tokens",
        &[("about", " "), ("role", "viewer")],
    );
    assert!(text(&empty).contains("what the token is for"));
}

#[test]
fn streams_are_bounded_and_do_not_keep_anybody_signed_in() {
    let house = filled();
    let mut manager = Browser::signed_in(&house, "manager");
    let page = text(&manager.get("/console/today"));
    let mark = page
        .split("data-mark=\"")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    assert_eq!(mark.parse::<u64>().unwrap(), house.counter.mark());
    let address = format!("/console/live?live=1&mark={mark}");
    let streams: Vec<Answer> = (0..64).map(|_| manager.get(&address)).collect();
    assert!(
        streams
            .iter()
            .all(|answer| matches!(answer.stream, Some(Stream::Moved(..))))
    );
    assert_eq!(
        manager.get(&address).status,
        204,
        "the browser does not ask again"
    );
    drop(streams);
    assert_eq!(manager.get(&address).status, 200);
    crate::pages::say(&house, 2001, 0, "C2 water");
    assert_ne!(mark.parse::<u64>().unwrap(), house.counter.mark());
    for _ in 0..10 {
        house.watch.advance(Duration::minutes(10));
        manager.get(&address);
        manager.get("/console/today?live=1");
    }
    assert_eq!(
        manager.get("/console/today").status,
        303,
        "signed out by idleness"
    );
}
