//! The record as JSON: tokens, roles, wards, pages, problems, and a description that says what is given.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "console/browser.rs"]
#[allow(dead_code, reason = "shared with the tests of pages")]
mod browser;
#[path = "api/described.rs"]
mod described;
#[path = "api/program.rs"]
mod program;

use crate::browser::{COOP, House, house, moment};
use crate::program::{Program, token};
use chrono::Duration;
use clutchline::domain::user::{Login, Power, TokenNo, UserEvent};
use clutchline::sheets::Sheet;
use clutchline::web::api::shape::{Field, faults};
use clutchline::web::api::table::{ENDPOINTS, Gives};
use serde_json::Value;

fn say(house: &House, no: u32, days_ago: i64, line: &str) {
    let sent_at = moment("2026-03-10T05:00:00Z") - Duration::days(days_ago);
    browser::say(house, no, &sent_at.to_rfc3339(), line);
}

/// Two farms in two wards; that of 2002 gives next to nothing for a week.
pub(crate) fn filled() -> House {
    let house = house();
    for no in [2001, 2002] {
        say(&house, no, 21, "C1 stock 8000");
        say(&house, no, 20, "C2 stock 4000");
        say(&house, no, 3, "C1 water bait");
    }
    let course = [9.1, 14.8, 18.7, 20.6, 19.7, 18.4, 16.3, 14.2, 12.1, 10.4];
    for (days_ago, grams) in (0..10).rev().zip(course) {
        say(&house, 2001, days_ago, &format!("C1 {grams}"));
        let grams = if days_ago < 7 { 0.4 } else { grams };
        say(&house, 2002, days_ago, &format!("C1 {grams}"));
    }
    say(&house, 2001, 2, "temp 19-29");
    say(&house, 2001, 2, "C1 dead 3");
    say(&house, 2002, 0, "qwrt plmk");
    house.counter.follow(COOP, 100).unwrap();
    house
}

/// A path with its places filled.
fn path(pattern: &str) -> String {
    let filled = pattern
        .replace("{member}", "2002")
        .replace("{month}", "2026-03");
    format!("/api/v1{filled}")
}

fn rows(value: &Value) -> &[Value] {
    value["items"].as_array().unwrap()
}

#[test]
fn everything_that_is_given_is_as_the_table_says() {
    let house = filled();
    let program = Program::new(&house, Power::Officer, &[]);
    let mut given = 0;
    for endpoint in ENDPOINTS {
        let answer = program.get(&path(endpoint.path));
        assert_eq!(answer.status, 200, "{}: {}", endpoint.id, answer.body);
        assert_eq!(answer.kind, "application/json");
        let found: Vec<String> = match endpoint.gives {
            Gives::Document => Vec::new(),
            Gives::One(fields) => faults(fields, &answer.body),
            Gives::Page(fields) => rows(&answer.body)
                .iter()
                .inspect(|_| given += 1)
                .flat_map(|row| faults(fields, row))
                .collect(),
        };
        assert!(found.is_empty(), "{}: {found:?}", endpoint.id);
    }
    assert!(given > 40, "only {given} rows were looked at");
    let care = program.get("/api/v1/care").body;
    assert!(
        rows(&care).iter().any(|row| row["value"] == "19 to 29"),
        "{care}"
    );
    assert!(rows(&care).iter().any(|row| row["value"] == 3.0), "{care}");
    let today = program.get("/api/v1/today").body;
    assert_eq!(today["needs"][0]["member"], 2002, "{today}");
    assert_eq!(today["needs"][0]["reasons"][0]["why"], "missing");
    assert_eq!(today["unreadable"], 1);
}

#[test]
fn rows_have_the_columns_of_the_sheets() {
    let fields = |id: &str| -> Vec<&str> {
        let endpoint = ENDPOINTS.iter().find(|endpoint| endpoint.id == id).unwrap();
        let Gives::Page(fields) = endpoint.gives else {
            panic!("{id} gives no rows")
        };
        fields.iter().map(|field: &Field| field.name).collect()
    };
    for sheet in Sheet::ALL {
        assert_eq!(fields(sheet.name()), sheet.columns(), "{}", sheet.name());
    }
}

#[test]
fn without_a_good_token_nothing_is_given_and_a_token_can_be_taken_back() {
    let house = filled();
    let login = Login::new("manager").unwrap();
    let program = Program::new(&house, Power::Officer, &[]);
    for endpoint in ENDPOINTS.iter().filter(|endpoint| endpoint.needs.is_some()) {
        for shown in [None, Some(""), Some("x"), Some("clutchline~1~manager~x")] {
            let answer = Program {
                house: &house,
                token: shown.map(str::to_owned),
            }
            .get(&path(endpoint.path));
            assert_eq!(answer.status, 401, "{} {shown:?}", endpoint.id);
            assert_eq!(answer.kind, "application/problem+json");
            assert!(answer.header("www-authenticate").starts_with("Bearer"));
        }
    }
    assert_eq!(program.get("/api/v1/today").status, 200);
    let used = house.counter.user(COOP, &login).unwrap().tokens[0].used_on;
    assert_eq!(
        used,
        "2026-03-10".parse().ok(),
        "the day of its use is noted"
    );
    let events = house.counter.trail(COOP, 1000).unwrap().len();
    assert_eq!(program.get("/api/v1/today").status, 200);
    assert_eq!(
        house.counter.trail(COOP, 1000).unwrap().len(),
        events,
        "once a day"
    );
    let revoked = vec![UserEvent::TokenRevoked(TokenNo(1))];
    house
        .counter
        .change_user(COOP, &login, revoked, None)
        .unwrap();
    assert_eq!(program.get("/api/v1/today").status, 401);
    let other = Program::new(&house, Power::Officer, &[]);
    assert_eq!(other.get("/api/v1/today").status, 200);
    house
        .counter
        .change_user(COOP, &login, vec![UserEvent::Closed], None)
        .unwrap();
    assert_eq!(
        other.get("/api/v1/today").status,
        401,
        "it ends with its user"
    );
}

#[test]
fn a_token_reaches_no_further_than_its_role_its_wards_and_its_user() {
    let house = filled();
    let viewer = Program::new(&house, Power::Viewer, &[]);
    for endpoint in ENDPOINTS {
        let wanted = if endpoint.needs > Some(Power::Viewer) {
            403
        } else {
            200
        };
        assert_eq!(
            viewer.get(&path(endpoint.path)).status,
            wanted,
            "{}",
            endpoint.id
        );
    }
    let msitu = Program::new(&house, Power::Officer, &["msitu"]);
    for list in ["farms", "cages", "harvests", "care", "members", "messages"] {
        let answer = msitu.get(&format!("/api/v1/{list}")).body;
        assert!(!rows(&answer).is_empty(), "{list}");
        let strange = rows(&answer).iter().filter(|row| row["member"] == 2001);
        assert_eq!(strange.count(), 0, "{list}: {answer}");
        let other = msitu.get(&format!("/api/v1/{list}?ward=Ufukwe")).body;
        assert!(rows(&other).is_empty(), "{list}: {other}");
    }
    assert_eq!(msitu.get("/api/v1/farms/2001").status, 404);
    assert_eq!(msitu.get("/api/v1/farms/2002").status, 200);
    let months = msitu.get("/api/v1/months/2026-03").body;
    assert_eq!(rows(&months).len(), 1, "{months}");
    let whole = viewer.get("/api/v1/supply").body["expected_14_days"]["middle"].as_f64();
    let part = msitu.get("/api/v1/supply").body["expected_14_days"]["middle"].as_f64();
    assert!(part < whole && part > Some(0.0), "{part:?} of {whole:?}");
    // The user's own wards and role bind the token from the next request on.
    let officer = Login::new("officer").unwrap();
    let (text, made) = token(&officer, Power::Officer, &[]);
    house
        .counter
        .change_user(COOP, &officer, vec![made], None)
        .unwrap();
    let program = Program {
        house: &house,
        token: Some(text),
    };
    assert_eq!(program.get("/api/v1/farms/2001").status, 404);
    assert_eq!(program.get("/api/v1/members").status, 200);
    let less = vec![UserEvent::PowerSet(Power::Viewer)];
    house
        .counter
        .change_user(COOP, &officer, less, None)
        .unwrap();
    assert_eq!(program.get("/api/v1/members").status, 403);
    let (_, too_much) = token(&officer, Power::Officer, &[]);
    let refused = house
        .counter
        .change_user(COOP, &officer, vec![too_much], None);
    assert!(
        refused
            .unwrap_err()
            .to_string()
            .contains("no more than its user")
    );
    let (_, elsewhere) = token(&officer, Power::Viewer, &["Ufukwe"]);
    let refused = house
        .counter
        .change_user(COOP, &officer, vec![elsewhere], None);
    assert!(refused.unwrap_err().to_string().contains("who sees Msitu"));
}

#[test]
fn pages_of_any_size_hold_together_what_one_page_holds() {
    let house = filled();
    let program = Program::new(&house, Power::Officer, &[]);
    for list in ["farms", "cages", "harvests", "care", "members", "messages"] {
        let whole = program.get(&format!("/api/v1/{list}?limit=500")).body;
        assert!(whole["next"].is_null() && rows(&whole).len() > 1, "{list}");
        for size in [1, 2, 3, 7] {
            let (mut all, mut next) = (Vec::new(), format!("/api/v1/{list}?limit={size}"));
            loop {
                let answer = program.get(&next);
                assert!(rows(&answer.body).len() <= size, "{list}");
                all.extend(rows(&answer.body).to_vec());
                let Some(after) = answer.body["next"].as_str() else {
                    assert_eq!(answer.header("link"), "");
                    break;
                };
                let link = answer.header("link");
                assert!(
                    link.ends_with(">; rel=\"next\"") && link.contains(&format!("after={after}"))
                );
                link.trim_start_matches('<')
                    .split_once('>')
                    .unwrap()
                    .0
                    .clone_into(&mut next);
            }
            assert_eq!(all, rows(&whole), "{list} by {size}");
        }
    }
    let one = program.get("/api/v1/harvests?member=2001&limit=3").body;
    assert!(rows(&one).iter().all(|row| row["member"] == 2001));
    assert_eq!(
        rows(&program.get("/api/v1/farms?name=ba").body)[0]["name"],
        "Baraka"
    );
    let before = program.get("/api/v1/harvests?month=2026-02").body;
    assert!(rows(&before).is_empty());
}

#[test]
fn what_is_asked_wrongly_is_told_field_by_field() {
    let house = filled();
    let program = Program::new(&house, Power::Officer, &[]);
    for (address, field) in [
        ("/api/v1/farms?limit=0", "limit"),
        ("/api/v1/farms?limit=501", "limit"),
        ("/api/v1/farms?limit=ten", "limit"),
        ("/api/v1/farms?after=-1", "after"),
        ("/api/v1/farms?after=99999999999999999999", "after"),
        ("/api/v1/harvests?month=2026-13", "month"),
        ("/api/v1/harvests?member=x", "member"),
        ("/api/v1/farms?ward=", "ward"),
        ("/api/v1/farms?limit=2&limit=3", "limit"),
        ("/api/v1/farms?colour=red", "query"),
        ("/api/v1/farms/x", "member"),
        ("/api/v1/months/March", "month"),
    ] {
        let answer = program.get(address);
        assert_eq!(answer.status, 400, "{address}");
        assert_eq!(answer.kind, "application/problem+json");
        assert_eq!(answer.body["errors"][0]["field"], field, "{}", answer.body);
        // RFC 9457, section 3.1.
        assert_eq!(answer.body["status"], 400);
        assert!(
            answer.body["type"]
                .as_str()
                .unwrap()
                .starts_with("urn:clutchline:problem:")
        );
    }
    for address in [
        "/api",
        "/api/v1",
        "/api/v1/",
        "/api/v2/today",
        "/api/v1/farms/1/2",
        "/api/v1/farms/",
    ] {
        assert_eq!(program.get(address).status, 404, "{address}");
    }
    assert_eq!(program.get("/api/v1/farms/999999").status, 404);
    let answer = program.ask("POST", "/api/v1/today");
    assert_eq!((answer.status, answer.header("allow")), (405, "GET, HEAD"));
}
