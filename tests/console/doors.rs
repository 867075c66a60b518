//! Roles, forms, passwords, sessions.

use crate::browser::{Browser, COOP, PASSWORD, house, moment, text, token_of};
use chrono::Duration;
use clutchline::console::routes::{Method, Needs, ROUTES};
use clutchline::console::words::Texts;
use clutchline::domain::lang::Lang;
use clutchline::domain::user::{DeedKind, Login, Power, UserEvent};

/// A path of the route's form; the numbers belong to nobody.
fn path(pattern: &str) -> String {
    pattern.replace("{}", "999999")
}

#[test]
fn every_route_lets_in_whom_its_row_names_and_nobody_else() {
    let house = house();
    let users = [
        None,
        Some(Power::Viewer),
        Some(Power::Officer),
        Some(Power::Manager),
    ];
    for route in ROUTES {
        for power in users {
            let mut browser = match power {
                None => Browser::new(&house),
                Some(power) => Browser::signed_in(&house, power.word()),
            };
            let answer = match route.method {
                Method::Get => browser.get(&path(route.path)),
                Method::Post => {
                    let page = browser.get(if power.is_some() {
                        "/console/account"
                    } else {
                        "/console/sign-in"
                    });
                    let token = token_of(&text(&page)).unwrap();
                    browser.post(&path(route.path), &[("token", &token)])
                }
            };
            let may = match (route.needs, power) {
                (Needs::Nobody, _) => true,
                (Needs::Power(needed), Some(power)) => power >= needed,
                (Needs::Power(_), None) => false,
            };
            let to_sign_in =
                answer.location.as_deref() == Some("/console/sign-in") && power.is_none();
            let turned_away = text(&answer).contains("Your role does not reach") || to_sign_in;
            assert_eq!(
                turned_away, !may,
                "{:?} {} as {power:?}: {}",
                route.method, route.path, answer.status
            );
            if !may && power.is_some() {
                assert_eq!(answer.status, 403, "{}", route.path);
            }
        }
    }
}

#[test]
fn a_form_counts_only_with_its_own_token_and_from_our_page() {
    let house = house();
    let mut browser = Browser::signed_in(&house, "manager");
    let page = text(&browser.get("/console/account"));
    let token = token_of(&page).unwrap();
    let wrong = [("now", "x"), ("new", "a new long password")];
    for bad in ["", "x", &token[..token.len() - 1]] {
        let mut fields = vec![("token", bad)];
        fields.extend(wrong);
        let answer = browser.post("/console/account/password", &fields);
        assert_eq!(answer.status, 403);
        assert!(text(&answer).contains("not ours"));
    }
    let other = Browser::signed_in(&house, "officer").get("/console/account");
    let other = token_of(&text(&other)).unwrap();
    let answer = browser.post("/console/account/password", &[("token", &other)]);
    assert!(
        text(&answer).contains("not ours"),
        "another session's token"
    );
    browser.ours = false;
    let answer = browser.post("/console/account/password", &[("token", &token)]);
    assert!(text(&answer).contains("not ours"), "another site's page");
    browser.ours = true;
    let answer = browser.post(
        "/console/account/password",
        &[("token", &token), ("now", "x")],
    );
    assert!(!text(&answer).contains("not ours"));
}

#[test]
fn wrong_passwords_cost_a_wait_and_the_right_one_does_not_end_it() {
    let house = house();
    let mut browser = Browser::new(&house);
    for _ in 0..5 {
        assert_eq!(browser.try_sign_in("manager", "wrong").status, 403);
    }
    let answer = browser.try_sign_in("manager", PASSWORD);
    assert_eq!(answer.status, 429);
    assert!(browser.session.is_none());
    let mut elsewhere = Browser::new(&house);
    elsewhere.address = "198.51.100.9".to_owned();
    assert_eq!(
        elsewhere.try_sign_in("manager", PASSWORD).status,
        429,
        "the name waits everywhere"
    );
    house.watch.advance(Duration::seconds(31));
    assert_eq!(browser.try_sign_in("manager", PASSWORD).status, 303);
    // Unknown names look like wrong passwords.
    let unknown = text(&browser.try_sign_in("nobody", PASSWORD));
    assert!(unknown.contains("does not fit"));
}

#[test]
fn a_planted_session_is_not_signed_in_and_an_old_one_ends() {
    let house = house();
    let mut browser = Browser::new(&house);
    browser.session = Some("a".repeat(43));
    assert_eq!(
        browser.get("/console/today").location.as_deref(),
        Some("/console/sign-in")
    );
    let planted = browser.session.clone();
    assert_eq!(browser.try_sign_in("viewer", PASSWORD).status, 303);
    assert_ne!(browser.session, planted, "a fresh token at sign-in");
    let first = browser.session.clone();
    assert_eq!(browser.try_sign_in("viewer", PASSWORD).status, 303);
    let mut old = Browser::new(&house);
    old.session = first;
    assert_eq!(
        old.get("/console/today").status,
        303,
        "the session before ended"
    );
    assert_eq!(browser.get("/console/today").status, 200);
    house.watch.advance(Duration::minutes(91));
    assert_eq!(browser.get("/console/today").status, 303);
}

#[test]
fn a_changed_user_is_signed_out_and_a_closed_one_stays_out() {
    let house = house();
    let mut browser = Browser::signed_in(&house, "officer");
    let login = Login::new("officer").unwrap();
    house
        .counter
        .change_user(COOP, &login, vec![UserEvent::PowerSet(Power::Viewer)], None)
        .unwrap();
    assert_eq!(browser.get("/console/today").status, 303);
    house
        .counter
        .change_user(COOP, &login, vec![UserEvent::Closed], None)
        .unwrap();
    assert_eq!(browser.try_sign_in("officer", PASSWORD).status, 403);
}

#[test]
fn a_new_password_replaces_the_old_and_the_trail_names_it() {
    let house = house();
    let mut browser = Browser::signed_in(&house, "manager");
    let new = "mvua-jiwe-samaki";
    let answer = browser.send(
        "/console/account",
        "/console/account/password",
        &[("now", PASSWORD), ("new", new)],
    );
    assert_eq!(answer.status, 303);
    assert_eq!(
        browser.get("/console/today").status,
        200,
        "this browser stays signed in"
    );
    assert_eq!(
        Browser::new(&house).try_sign_in("manager", PASSWORD).status,
        403
    );
    assert_eq!(Browser::new(&house).try_sign_in("manager", new).status, 303);
    let trail = house.counter.trail(COOP, 50).unwrap();
    let deed = |kind| {
        trail
            .iter()
            .any(|row| matches!(&row.event, UserEvent::Did(deed) if deed.kind == kind))
    };
    assert!(deed(DeedKind::UserChanged) && deed(DeedKind::SignedIn));
    assert!(
        trail
            .iter()
            .all(|row| row.at == moment("2026-03-10T17:00:00Z"))
    );
    assert!(text(&browser.get("/console/audit")).contains("manager: password"));
}

#[test]
fn a_language_is_chosen_and_leads_back_to_our_own_pages_only() {
    let house = house();
    let mut browser = Browser::new(&house);
    let answer = browser.get("/console/lang/sw?back=/console/sign-in");
    assert_eq!(answer.location.as_deref(), Some("/console/sign-in"));
    assert!(text(&browser.get("/console/sign-in")).contains("<h1>Ingia</h1>"));
    for away in [
        "https://evil.example/",
        "//evil.example",
        "/console//evil.example@",
        "/other",
    ] {
        let answer = browser.get(&format!("/console/lang/en?back={away}"));
        assert_eq!(answer.location.as_deref(), Some("/console"), "{away}");
    }
    assert_eq!(browser.get("/console/lang/xx").status, 404);
}

#[test]
fn every_language_has_every_text_and_pages_ask_for_none_that_is_not_there() {
    let texts = Texts::builtin();
    let keys = |lang: &str| -> Vec<String> {
        let file = std::fs::read_to_string(format!("grammar/pages/{lang}.ftl")).unwrap();
        file.lines()
            .filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()))
            .filter_map(|line| Some(line.split_once(" =")?.0.to_owned()))
            .collect()
    };
    let english = keys("en");
    assert!(english.len() > 60);
    for file in std::fs::read_dir("grammar/pages").unwrap() {
        let name = file.unwrap().file_name().into_string().unwrap();
        let lang = name.trim_end_matches(".ftl").to_owned();
        let words = texts.of(Lang::new(&lang).unwrap());
        for key in &english {
            assert!(words.has(key), "{name} lacks {key}");
        }
        assert_eq!(
            keys(&lang).len(),
            english.len(),
            "{name} has a text that no page has"
        );
    }
    let mut asked = 0;
    for file in std::fs::read_dir("src/console").unwrap() {
        let source = std::fs::read_to_string(file.unwrap().path()).unwrap();
        for call in [".t(\"", ".say(\""] {
            for rest in source.split(call).skip(1) {
                let key = rest.split_once('"').unwrap().0.to_owned();
                assert!(english.contains(&key), "no text {key}");
                asked += 1;
            }
        }
    }
    assert!(asked > 30);
}
