//! Members: found, added, changed within one's wards, phones cut off and linked, consent.

use crate::browser::{Browser, COOP, House, house, say, text};
use clutchline::domain::message::Outcome;
use clutchline::domain::user::{DeedKind, UserEvent};
use clutchline::domain::{MemberNo, Role};

pub(crate) fn say_from(house: &House, no: u32, line: &str) -> Outcome {
    say(house, no, "2026-03-10T05:00:00Z", line)
}

pub(crate) fn deeds(house: &House, kind: DeedKind) -> Vec<(Option<MemberNo>, String, String)> {
    let trail = house.counter.trail(COOP, 500).unwrap();
    trail
        .iter()
        .filter_map(|row| match &row.event {
            UserEvent::Did(deed) if deed.kind == kind => {
                Some((deed.member, deed.old.clone(), deed.new.clone()))
            }
            _ => None,
        })
        .collect()
}

#[test]
fn members_are_found_by_number_name_and_phone_within_the_user_s_wards() {
    let house = house();
    let mut manager = Browser::signed_in(&house, "manager");
    let mut officer = Browser::signed_in(&house, "officer");
    let listed = |browser: &mut Browser<'_>, query: &str| -> Vec<u32> {
        let page = text(&browser.get(&format!("/console/members{query}")));
        (2001..=2003)
            .filter(|no| page.contains(&format!("/console/members/{no}\"")))
            .collect()
    };
    assert_eq!(listed(&mut manager, ""), [2001, 2002, 2003]);
    assert_eq!(listed(&mut manager, "?q=bar"), [2002]);
    assert_eq!(listed(&mut manager, "?q=2001"), [2001]);
    assert_eq!(listed(&mut manager, "?q=%2B255700002003"), [2003]);
    assert_eq!(listed(&mut manager, "?ward=Msitu"), [2002, 2003]);
    assert_eq!(listed(&mut officer, ""), [2002, 2003]);
    assert_eq!(listed(&mut officer, "?q=2001"), [] as [u32; 0]);
    assert_eq!(listed(&mut officer, "?q=%2B255700002001"), [] as [u32; 0]);
    assert_eq!(listed(&mut officer, "?ward=Ufukwe"), [] as [u32; 0]);
}

#[test]
fn every_way_to_a_member_of_another_ward_is_shut() {
    let house = house();
    let mut officer = Browser::signed_in(&house, "officer");
    let before = house.counter.member(COOP, MemberNo(2001)).unwrap();
    for path in ["", "/book"] {
        assert_eq!(
            officer.get(&format!("/console/members/2001{path}")).status,
            404,
            "{path}"
        );
    }
    let everything = [
        ("name", "Wrong"),
        ("ward", "Msitu"),
        ("lang", "sw"),
        ("hour", "3"),
        ("texts", "none"),
        ("phone", "+255700009999"),
        ("given", "no"),
        ("how", "signed"),
        ("day", "2026-03-01"),
        ("line", "C1 stock 9"),
        ("step", "save"),
    ];
    for path in ["", "/phone", "/phone/cut", "/consent", "/book"] {
        let action = format!("/console/members/2001{path}");
        let answer = officer.send("/console/members/2002", &action, &everything);
        assert_eq!(answer.status, 404, "{path}");
    }
    assert_eq!(house.counter.member(COOP, MemberNo(2001)).unwrap(), before);
    // Nor may one of their own be moved out of sight, or a new one be put there.
    let moved = officer.send(
        "/console/members/2002",
        "/console/members/2002",
        &[("ward", "Ufukwe")],
    );
    assert!(moved.status == 422 && text(&moved).contains("none of yours"));
    let fields = [("name", "Neema"), ("ward", "Ufukwe"), ("lang", "sw")];
    let added = officer.send("/console/members/new", "/console/members/new", &fields);
    assert!(added.status == 422 && text(&added).contains("none of yours"));
    let role = officer.send(
        "/console/members/2002",
        "/console/members/2002/role",
        &[("role", "officer")],
    );
    assert_eq!(role.status, 403);
    let fields = [
        ("name", "Neema"),
        ("ward", "Msitu"),
        ("lang", "sw"),
        ("role", "officer"),
    ];
    let added = officer.send("/console/members/new", "/console/members/new", &fields);
    assert_eq!(
        added.location.as_deref(),
        Some("/console/members/2004?done=added")
    );
    let neema = house.counter.member(COOP, MemberNo(2004)).unwrap();
    assert_eq!(
        (neema.role, neema.ward.as_deref()),
        (Role::Keeper, Some("Msitu"))
    );
    for path in ["/console/wards", "/console/wards/rename"] {
        assert_eq!(
            officer
                .send(
                    "/console/account",
                    path,
                    &[("ward", "X"), ("old", "Msitu"), ("new", "X")]
                )
                .status,
            403
        );
    }
}

#[test]
fn a_change_stands_in_the_record_and_in_the_trail() {
    let house = house();
    let mut officer = Browser::signed_in(&house, "officer");
    let page = "/console/members/2002";
    let fields = [
        ("name", "Baraka Mosi"),
        ("ward", "Msitu"),
        ("lang", "sw"),
        ("hour", "5"),
        ("texts", "none"),
    ];
    let answer = officer.send(page, page, &fields);
    assert_eq!(
        answer.location.as_deref(),
        Some("/console/members/2002?done=saved")
    );
    let member = house.counter.member(COOP, MemberNo(2002)).unwrap();
    assert_eq!(
        (
            member.name.as_str(),
            member.lang.to_string().as_str(),
            member.stopped
        ),
        ("Baraka Mosi", "sw", true)
    );
    assert_eq!(
        house.counter.farm(COOP, MemberNo(2002)).unwrap().hour,
        Some(5)
    );
    let changed = deeds(&house, DeedKind::MemberChanged);
    for (old, new) in [
        ("Baraka", "Baraka Mosi"),
        ("en", "sw"),
        ("06:00", "05:00"),
        ("all", "none"),
    ] {
        let row = (Some(MemberNo(2002)), old.to_owned(), new.to_owned());
        assert!(changed.contains(&row), "{old} {new}: {changed:?}");
    }
    officer.send(page, page, &fields);
    assert_eq!(
        deeds(&house, DeedKind::MemberChanged).len(),
        changed.len(),
        "nothing changed, nothing noted"
    );
    assert!(text(&officer.get(page)).contains("wants no messages"));
}

#[test]
fn a_lost_sim_is_cut_off_at_once_and_linked_again() {
    let house = house();
    let mut officer = Browser::signed_in(&house, "officer");
    let page = "/console/members/2002";
    assert_eq!(say_from(&house, 2002, "C1 stock 8000"), Outcome::Saved);
    let lost = [("phone", "+255700002002")];
    officer.send(page, "/console/members/2002/phone/cut", &lost);
    assert_ne!(
        say_from(&house, 2002, "C1 water"),
        Outcome::Saved,
        "the lost SIM speaks for nobody"
    );
    let answer = officer.send(page, "/console/members/2002/phone/cut", &lost);
    assert_eq!(answer.status, 422);
    let wrong = officer.send(
        page,
        "/console/members/2002/phone",
        &[("phone", "0700002002")],
    );
    assert!(
        text(&wrong).contains("+255700000101"),
        "an example is shown"
    );
    officer.send(page, "/console/members/2002/phone", &lost);
    assert_eq!(say_from(&house, 2002, "C1 bait"), Outcome::Saved);
    // One phone, two members; each page names the other.
    officer.send(
        page,
        "/console/members/2002/phone",
        &[("phone", "+255700002003")],
    );
    let shown = text(&officer.get(page));
    assert!(shown.contains("/console/members/2003"), "{shown}");
    assert!(text(&officer.get("/console/members/2003")).contains("/console/members/2002"));
}

#[test]
fn consent_is_noted_with_day_and_how_and_withdrawing_ends_the_texts() {
    let house = house();
    let mut officer = Browser::signed_in(&house, "officer");
    let page = "/console/members/2002";
    let action = "/console/members/2002/consent";
    assert!(text(&officer.get(page)).contains("Nothing is recorded"));
    for day in ["", "2026-03-11", "yesterday"] {
        let answer = officer.send(
            page,
            action,
            &[("given", "yes"), ("how", "signed"), ("day", day)],
        );
        assert_eq!(answer.status, 422, "{day:?}");
    }
    officer.send(
        page,
        action,
        &[("given", "yes"), ("how", "signed"), ("day", "2026-03-01")],
    );
    let shown = text(&officer.get(page));
    assert!(
        shown.contains("Given on 01.03.2026: signed on paper"),
        "{shown}"
    );
    assert!(shown.contains("<td>officer</td>"), "who noted it: {shown}");
    officer.send(
        page,
        action,
        &[("given", "no"), ("how", "called"), ("day", "2026-03-10")],
    );
    let shown = text(&officer.get(page));
    assert!(shown.contains("Withdrawn on 10.03.2026"), "{shown}");
    assert!(house.counter.member(COOP, MemberNo(2002)).unwrap().stopped);
    assert_eq!(house.counter.check().unwrap().faults_found, 0);
    // Who joins by text agreed by it.
    assert_eq!(say_from(&house, 2050, "join ZIWANI Zawadi"), Outcome::Saved);
    let mut manager = Browser::signed_in(&house, "manager");
    let shown = text(&manager.get("/console/members/2004"));
    assert!(shown.contains("by their own text to join"), "{shown}");
}

#[test]
fn the_trail_is_read_a_page_at_a_time_by_user_and_by_member() {
    let house = house();
    let mut manager = Browser::signed_in(&house, "manager");
    for n in 0..130 {
        let no = 2001 + n % 2;
        let page = format!("/console/members/{no}");
        manager.send(
            &page,
            &page,
            &[
                ("name", &format!("Name {n}")),
                ("ward", "Ufukwe"),
                ("lang", "en"),
            ],
        );
    }
    let lines = |browser: &mut Browser<'_>, address: &str| -> (Vec<String>, Option<String>) {
        let page = text(&browser.get(address));
        let trail = page.rsplit("<tbody>").next().unwrap();
        let names = trail.split("Name ").skip(1);
        let names = names.map(|rest| rest.chars().take_while(char::is_ascii_digit).collect());
        let next = page
            .split("href=\"")
            .find(|rest| rest.contains("before=") && rest.starts_with("/console/audit"));
        let next = next.map(|rest| rest.split('"').next().unwrap().replace("&amp;", "&"));
        (names.collect(), next)
    };
    let mut seen = Vec::new();
    let mut at = Some("/console/audit?user=manager".to_owned());
    let mut pages = 0;
    while let Some(address) = at {
        let (names, next) = lines(&mut manager, &address);
        seen.extend(names);
        at = next.filter(|_| pages < 5);
        pages += 1;
    }
    assert!(pages > 1, "130 changes are more than a page");
    let top: Vec<&str> = seen.iter().take(2).map(String::as_str).collect();
    assert!(top.contains(&"129"), "newest first: {top:?}");
    for n in 0..130 {
        assert!(seen.contains(&n.to_string()), "{n} is on no page");
    }
    let (one, _) = lines(&mut manager, "/console/audit?member=2001");
    assert!(!one.is_empty());
    assert!(
        one.iter().all(|name| name.parse::<u32>().unwrap() % 2 == 0),
        "{one:?}"
    );
    let (none, _) = lines(&mut manager, "/console/audit?user=viewer&member=2001");
    assert!(none.is_empty(), "{none:?}");
}

#[test]
fn a_member_is_found_by_name_at_once_however_many_rows_are_behind() {
    let house = house();
    // A night: every row is behind, and nobody has followed up.
    for no in 3_000..3_060 {
        house
            .counter
            .office(clutchline::counter::answers::OfficeRequest::AddMember {
                coop: COOP,
                number: Some(MemberNo(no)),
                name: format!("Keeper {no}"),
                lang: clutchline::domain::lang::Lang::EN,
                role: Role::Keeper,
                ward: Some("Ufukwe".to_owned()),
                phones: Vec::new(),
            })
            .unwrap();
    }
    house.counter.mark_for_the_day(COOP).unwrap();
    let mut manager = Browser::signed_in(&house, "manager");
    let fields = [("name", "Imani"), ("ward", "Ufukwe"), ("lang", "sw")];
    let added = manager.send("/console/members/new", "/console/members/new", &fields);
    assert_eq!(added.status, 303, "{}", text(&added));
    let link = added.location.unwrap();
    let no = link.rsplit('/').next().unwrap().split('?').next().unwrap();
    let found = |browser: &mut Browser<'_>, address: &str| {
        text(&browser.get(address)).contains(&format!("/{no}\""))
    };
    for list in [
        "members?q=iman",
        "farms?q=Imani",
        "members?q=imani&ward=Ufukwe",
    ] {
        assert!(found(&mut manager, &format!("/console/{list}")), "{list}");
    }
    // Another name and another ward are seen at once as well.
    let page = format!("/console/members/{no}");
    let fields = [("name", "Zawadi"), ("ward", "Msitu"), ("lang", "sw")];
    assert_eq!(manager.send(&page, &page, &fields).status, 303);
    assert!(found(&mut manager, "/console/members?q=zaw&ward=Msitu"));
    assert!(!found(&mut manager, "/console/members?q=iman"));
    assert!(!found(
        &mut manager,
        "/console/members?ward=Ufukwe&after=3058"
    ));
    // What was said by phone is followed before what a new day makes behind.
    say_from(&house, 2001, "C1 stock 900");
    house.counter.follow(COOP, 70).unwrap();
    let row = house
        .counter
        .farm_row(COOP, MemberNo(2001))
        .unwrap()
        .unwrap();
    assert_eq!(row.prospect.cages, 1);
}

#[test]
fn one_who_pays_for_replies_can_be_spared_the_plain_ones() {
    let house = house();
    let mut officer = Browser::signed_in(&house, "officer");
    let page = "/console/members/2002";
    say_from(&house, 2002, "C1 stock 8000");
    let mut set = |texts: &str| {
        officer.send(page, page, &[("texts", texts)]);
        house.counter.member(COOP, MemberNo(2002)).unwrap()
    };
    assert!(set("questions").questions_only);
    let member = set("none");
    assert!(member.stopped && member.questions_only);
    assert!(!set("questions").stopped);
    assert!(!set("all").questions_only);
    let told: Vec<_> = deeds(&house, DeedKind::MemberChanged)
        .into_iter()
        .map(|(_, old, new)| format!("{old} {new}"))
        .collect();
    // The newest first.
    let expected = [
        "questions all",
        "none questions",
        "questions none",
        "all questions",
    ];
    assert_eq!(told, expected);
}
