//! Settings: what a change would do is shown first, saved once, in the trail; bounds; parameters; a ward's climate; the gateway's own keys.

use crate::browser::{Browser, COOP, House, PASSWORD, house, moment, say, text};
use clutchline::clock::Clock;
use clutchline::console::Console;
use clutchline::console::password;
use clutchline::domain::CareJob;
use clutchline::domain::message::Outcome;
use clutchline::domain::user::{DeedKind, Login, Power, UserEvent};
use clutchline::units::Celsius;

const PAGE: &str = "/console/settings";

/// One cage stocked twelve days ago that has begun to lay, 33 degrees today.
fn laying() -> House {
    let house = house();
    assert_eq!(
        say(&house, 2001, "2026-02-26T05:00:00Z", "C1 stock 8000"),
        Outcome::Saved
    );
    say(&house, 2001, "2026-03-09T05:00:00Z", "C1 4.5");
    assert_eq!(
        say(&house, 2001, "2026-03-10T05:00:00Z", "temp 20-33"),
        Outcome::Saved
    );
    house
}

/// The fields of the form as they stand, with some changed.
fn fields(changed: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let standing = [
        ("name", "Ziwani Fly Growers"),
        ("join_code", "ZIWANI"),
        ("check_letter_required", "no"),
        ("hour", "6"),
        ("back_days", "14"),
        ("question_hours", "24"),
        ("bait", "3"),
        ("water", "1"),
        ("moat", "2"),
        ("traps", ""),
        ("shade", ""),
        ("swept", "5"),
        ("heat", "38"),
        ("cold", "13"),
        ("first_eggs_days", "10"),
        ("retire_days", "42"),
        ("pupa_mg", "150"),
    ];
    let value = |name, stands| {
        let own = changed.iter().find(|(known, _)| *known == name);
        own.map_or(stands, |(_, value)| *value)
    };
    standing
        .into_iter()
        .map(|(name, stands)| (name, value(name, stands)))
        .collect()
}

fn seen(page: &str) -> String {
    let rest = page.split("name=\"seen\" value=\"").nth(1).unwrap();
    rest.split('"').next().unwrap().to_owned()
}

/// Looks at a change and saves it.
fn save(browser: &mut Browser<'_>, action: &str, fields: &[(&str, &str)]) -> String {
    let looked = text(&browser.send(action, action, &[fields, &[("step", "look")]].concat()));
    let seen = seen(&looked);
    let more = [("step", "save"), ("seen", seen.as_str())];
    let answer = browser.send(action, action, &[fields, &more].concat());
    answer.location.clone().unwrap_or_else(|| text(&answer))
}

#[test]
fn a_change_is_shown_with_what_it_would_do_and_then_saved() {
    let house = laying();
    let mut manager = Browser::signed_in(&house, "manager");
    let standing = house.counter.rules(COOP).unwrap();
    let same = [fields(&[]), vec![("step", "look")]].concat();
    let looked = text(&manager.send(PAGE, PAGE, &same));
    assert!(looked.contains("Nothing differs"), "{looked}");
    let changed = fields(&[("heat", "32,5"), ("moat", ""), ("water", "9")]);
    let looked = text(&manager.send(PAGE, PAGE, &[&changed[..], &[("step", "look")]].concat()));
    for row in [
        "<td><code>heat</code></td><td class=\"n\">38</td><td class=\"n\">32.5</td>",
        "<td><code>moat</code></td><td class=\"n\">2</td><td class=\"n\">–</td>",
        "<td>Warnings</td><td class=\"n\">0</td><td class=\"n\"><strong>1</strong></td>",
        "Counted over 3 of 3 farms",
    ] {
        assert!(looked.contains(row), "{row}: {looked}");
    }
    let jobs = looked.split("Jobs named on them").nth(1).unwrap();
    assert!(jobs[..120].contains("<strong>"), "fewer jobs: {jobs}");
    assert_eq!(
        house.counter.rules(COOP).unwrap(),
        standing,
        "nothing is changed by looking"
    );
    assert_eq!(
        save(&mut manager, PAGE, &changed),
        "/console/settings?done=saved"
    );
    let rules = house.counter.rules(COOP).unwrap();
    assert_eq!(rules.heat, Celsius::from_tenths(325).unwrap());
    assert_eq!(rules.care_days.get(&CareJob::Water), Some(&9));
    assert!(!rules.care_days.contains_key(&CareJob::Moat));
    assert_eq!(
        (rules.wards.len(), rules.zone.as_str()),
        (2, "Africa/Dar_es_Salaam")
    );
    let trail = house.counter.trail(COOP, 50).unwrap();
    assert!(trail.iter().any(|row| matches!(&row.event, UserEvent::Did(deed)
        if deed.kind == DeedKind::SettingsChanged && deed.old.contains("heat 38") && deed.new.contains("heat 32.5"))));
    assert_eq!(house.counter.check().unwrap().faults_found, 0);
}

#[test]
fn what_somebody_else_changed_meanwhile_is_shown_before_anything_is_saved() {
    let house = laying();
    let mut manager = Browser::signed_in(&house, "manager");
    let mine = fields(&[("heat", "36")]);
    let looked = text(&manager.send(PAGE, PAGE, &[&mine[..], &[("step", "look")]].concat()));
    let old = seen(&looked);
    save(&mut manager, PAGE, &fields(&[("cold", "15")]));
    let more = [("step", "save"), ("seen", old.as_str())];
    let late = text(&manager.send(PAGE, PAGE, &[&mine[..], &more].concat()));
    assert!(late.contains("changed these settings meanwhile"), "{late}");
    assert!(
        late.contains("<td><code>cold</code></td><td class=\"n\">15</td><td class=\"n\">13</td>"),
        "{late}"
    );
    let rules = house.counter.rules(COOP).unwrap();
    assert_eq!((rules.heat.tenths(), rules.cold.tenths()), (380, 150));
}

#[test]
fn what_is_out_of_bounds_is_refused_with_the_bounds_and_kept_in_the_form() {
    let house = laying();
    let mut manager = Browser::signed_in(&house, "manager");
    for (field, value, why) in [
        ("heat", "80", "from 25 to 50"),
        ("hour", "24", "from 0 to 23"),
        ("retire_days", "", "from 14 to 90"),
        ("bait", "often", "from 1 to 60"),
    ] {
        let wrong = [fields(&[(field, value)]), vec![("step", "save")]].concat();
        let answer = manager.send(PAGE, PAGE, &wrong);
        let page = text(&answer);
        assert!(
            answer.status == 422 && page.contains(why),
            "{field}: {page}"
        );
        assert!(
            value.is_empty() || page.contains(&format!("value=\"{value}\"")),
            "{field}"
        );
    }
    let long = fields(&[("join_code", "a code")]);
    let refused = save(&mut manager, PAGE, &long);
    assert!(refused.contains("join code of 3 to 12"), "{refused}");
}

#[test]
fn settings_are_a_manager_s_who_sees_every_ward() {
    let house = laying();
    let login = Login::new("fenced").unwrap();
    let events = vec![
        UserEvent::Added(Power::Manager),
        UserEvent::PasswordSet(password::hash(PASSWORD).unwrap()),
        UserEvent::WardsSet(vec!["Msitu".to_owned()]),
    ];
    house
        .counter
        .change_user(COOP, &login, events, None)
        .unwrap();
    let standing = house.counter.rules(COOP).unwrap();
    for name in ["fenced", "officer", "viewer"] {
        let mut browser = Browser::signed_in(&house, name);
        for part in ["", "/model", "/climate", "/gateway"] {
            assert_eq!(
                browser.get(&format!("{PAGE}{part}")).status,
                403,
                "{name} {part}"
            );
        }
        for part in ["", "/model", "/climate"] {
            let more = [fields(&[("heat", "36")]), vec![("step", "save")]].concat();
            let answer = browser.send("/console/account", &format!("{PAGE}{part}"), &more);
            assert_eq!(answer.status, 403, "{name} {part}");
        }
    }
    assert_eq!(house.counter.rules(COOP).unwrap(), standing);
}

#[test]
fn a_parameter_stands_with_its_source_and_an_empty_field_takes_the_gateway_s() {
    let house = laying();
    let mut manager = Browser::signed_in(&house, "manager");
    let page = text(&manager.get("/console/settings/model"));
    for row in clutchline::biology::tables::TABLE {
        assert!(
            page.contains(&format!("name=\"{}\"", row.name)),
            "{}",
            row.name
        );
    }
    assert!(page.contains("Chia et al. 2018"), "sources are shown");
    let model = "/console/settings/model";
    let wrong = manager.send(model, model, &[("hatch_share", "70"), ("step", "save")]);
    assert!(wrong.status == 422 && text(&wrong).contains("from 0.05 to 1"));
    assert_eq!(
        save(&mut manager, model, &[("hatch_share", "0.6")]),
        "/console/settings/model?done=saved"
    );
    let set = |house: &House| {
        house
            .counter
            .rules(COOP)
            .unwrap()
            .model
            .get("hatch_share")
            .copied()
    };
    assert_eq!(set(&house), Some(0.6));
    save(&mut manager, model, &[("hatch_share", "")]);
    assert_eq!(set(&house), None);
}

#[test]
fn a_ward_s_climate_is_shown_with_its_effect_and_set() {
    let house = laying();
    say(&house, 2001, "2026-03-10T06:00:00Z", "C2 stock 8000");
    let mut manager = Browser::signed_in(&house, "manager");
    let page = "/console/settings/climate";
    let names: Vec<(String, &str)> = (0..12)
        .flat_map(|at| [(format!("low{at}"), "14"), (format!("high{at}"), "19.5")])
        .collect();
    let mut fields: Vec<(&str, &str)> = names
        .iter()
        .map(|(name, value)| (name.as_str(), *value))
        .collect();
    fields.push(("ward", "Ufukwe"));
    let looked = text(&manager.send(page, page, &[&fields[..], &[("step", "look")]].concat()));
    let ahead = looked.split("Eggs expected").nth(1).unwrap();
    assert!(
        ahead[..120].contains("<strong>"),
        "cold air delays the eggs: {ahead}"
    );
    assert!(house.counter.climate(COOP, "Ufukwe").unwrap().is_empty());
    assert!(save(&mut manager, page, &fields).contains("done=saved"));
    let year = house.counter.climate(COOP, "Ufukwe").unwrap();
    assert_eq!(
        year,
        vec![
            (
                Celsius::from_tenths(140).unwrap(),
                Celsius::from_tenths(195).unwrap()
            );
            12
        ]
    );
    assert!(
        house.counter.climate(COOP, "").unwrap().is_empty(),
        "other wards keep theirs"
    );
    let half = manager.send(
        page,
        page,
        &[("ward", "Ufukwe"), ("low0", "14"), ("step", "save")],
    );
    assert!(half.status == 422 && text(&half).contains("twelve months"));
    assert_eq!(
        manager.get("/console/settings/climate?ward=Mlima").status,
        404
    );
}

#[test]
fn what_only_the_gateway_s_file_sets_is_shown_by_its_key() {
    let mut house = laying();
    let mut settings = clutchline::config::Settings::default();
    let link = clutchline::config::Link {
        secret: "a-secret-of-some-length".to_owned(),
        price_per_part: 0.0175,
        ..Default::default()
    };
    settings.links.insert("north".to_owned(), link);
    let watch = Clock::standing(moment("2026-03-10T17:00:00Z"));
    house.console = Console::new(house.counter.clone(), watch, None).showing(settings.rows());
    let mut manager = Browser::signed_in(&house, "manager");
    let page = text(&manager.get("/console/settings/gateway"));
    assert!(
        page.contains("links.north.price_per_part") && page.contains("0.0175"),
        "{page}"
    );
    assert!(!page.contains("a-secret"), "{page}");
    assert!(!page.contains("<input name"), "read only");
}
