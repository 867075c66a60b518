//! Labels, pocket cards and wall sheets: what stands on them, for whom, in which language, and how many sheets.

use crate::browser::{Browser, COOP, House, house, say, text};
use chrono::NaiveDate;
use clutchline::console::labels::{self, Label};
use clutchline::console::printed::{KEYS, Printed};
use clutchline::console::{cards, wall};
use clutchline::counter::answers::OfficeRequest;
use clutchline::domain::MemberNo;
use clutchline::domain::code::UnitCode;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::Outcome;
use clutchline::domain::pin::PinSaid;
use clutchline::domain::said::{Fact, Order, Reading, Verb};
use clutchline::domain::user::{DeedKind, UserEvent};
use clutchline::grammar::{self, Lexicon};

/// Asha keeps thirteen cages, Baraka, who speaks French, one.
fn stocked() -> House {
    let house = house();
    for cage in 1..=13 {
        let line = format!("C{cage} stock 8000");
        if say(&house, 2001, "2026-02-17T05:00:00Z", &line) == Outcome::Asked {
            say(&house, 2001, "2026-02-17T05:00:30Z", "yes");
        }
    }
    house
        .counter
        .office(OfficeRequest::SetLang {
            coop: COOP,
            member: MemberNo(2002),
            lang: Lang::new("fr").unwrap(),
        })
        .unwrap();
    say(&house, 2002, "2026-02-20T05:00:00Z", "C1 peupler 6000");
    house
}

fn sheets(page: &str) -> usize {
    page.matches("<section class=\"sheet ").count()
}

#[test]
fn labels_carry_the_code_its_letter_both_days_and_a_code_to_scan() {
    let house = stocked();
    let mut browser = Browser::signed_in(&house, "manager");
    let page = text(&browser.get("/console/print/labels?member=2001"));
    assert_eq!(page.matches("class=\"label\"").count(), 13);
    assert_eq!(sheets(&page), 13_usize.div_ceil(labels::ON_SHEET));
    let letter = UnitCode::new("C", 4).unwrap().check_letter();
    assert!(
        page.contains(&format!("<p class=\"code\">C4<b>{letter}</b></p>")),
        "{page}"
    );
    assert!(page.contains("Stocked 2026-02-17") && page.contains("2001 Asha"));
    // Retired by: six weeks after stocking (the rules' default).
    assert!(page.contains("Retire by 2026-03-31"), "{page}");
    assert_eq!(page.matches("<svg class=\"qr\"").count(), 13);
    let french = text(&browser.get("/console/print/labels?member=2002"));
    assert!(french.contains("Peuplée le 2026-02-20") && french.contains("lang=\"fr\""));
}

#[test]
fn a_code_to_scan_says_what_the_label_says() {
    let house = stocked();
    let printed = Printed::builtin().unwrap();
    let day = |text: &str| text.parse::<NaiveDate>().unwrap();
    let mut label = Label {
        member: house.counter.member(COOP, MemberNo(2001)).unwrap(),
        code: UnitCode::new("C", 4).unwrap(),
        run: Some((day("2026-02-17"), day("2026-03-31"))),
    };
    let letter = label.code.check_letter();
    assert_eq!(
        label.text(&printed),
        format!("C4{letter}\n2001 Asha\nStocked 2026-02-17\nRetire by 2026-03-31")
    );
    label.run = None;
    assert_eq!(label.text(&printed), format!("C4{letter}\n2001 Asha"));
    assert!(label.lines(&printed)[1].contains("____"));
}

#[test]
fn labels_of_new_cages_are_printed_before_they_are_stocked_and_a_ward_goes_batch_by_batch() {
    let house = stocked();
    let mut browser = Browser::signed_in(&house, "manager");
    let page = text(&browser.get("/console/print/labels?member=2002&codes=D1-D3"));
    assert_eq!(page.matches("class=\"label\"").count(), 3);
    assert!(page.contains("D3<b>"));
    // Three sheets a batch: forty cages take two batches, and none is printed twice or left out.
    for cage in 14..=40 {
        let line = format!("C{cage} stock 8000");
        if say(&house, 2001, "2026-02-18T05:00:00Z", &line) == Outcome::Asked {
            say(&house, 2001, "2026-02-18T05:00:30Z", "yes");
        }
    }
    let mut next = Some("/console/print/labels?month=".to_owned());
    let (mut codes, mut batches) = (Vec::new(), 0);
    while let Some(to) = next {
        let page = text(&browser.get(&to));
        assert!(page.len() < 100_000, "{} bytes", page.len());
        for label in page.split("<div class=\"label\"").skip(1) {
            let code = label.split("class=\"code\">").nth(1).unwrap();
            let owner = label.split("<p>").nth(1).unwrap();
            codes.push((
                owner.split('<').next().unwrap().to_owned(),
                code.split('<').next().unwrap().to_owned(),
            ));
        }
        batches += 1;
        next = page
            .split("<a href=\"")
            .filter_map(|rest| rest.split('"').next())
            .find(|to| to.contains("after="))
            .map(|to| to.replace("&amp;", "&"));
    }
    let all = codes.len();
    codes.sort();
    codes.dedup();
    assert_eq!((all, codes.len(), batches), (41, 41, 2));
}

/// What the grammar makes of a line.
fn verb_of(reading: &Reading) -> Option<Verb> {
    let clean =
        reading.doubts.is_empty() && reading.unread.is_empty() && reading.repaired.is_empty();
    if !clean || reading.said.len() + reading.orders.len() != 1 {
        return None;
    }
    let order = reading.orders.first().map(|order| match order {
        Order::Undo => Some(Verb::Undo),
        Order::Tasks => Some(Verb::Tasks),
        Order::Help(None) => Some(Verb::Help),
        Order::Pin(PinSaid::Bare) => Some(Verb::Pin),
        Order::Stop => Some(Verb::Stop),
        _ => None,
    });
    order.unwrap_or_else(|| {
        Some(match &reading.said.first()?.fact {
            Fact::Eggs { .. } => Verb::Eggs,
            Fact::Care(job) => {
                let row = grammar::registry::VERBS
                    .iter()
                    .find(|row| row.care == Some(*job));
                row?.verb
            }
            Fact::Dead(_) => Verb::Dead,
            Fact::Ants => Verb::Ants,
            Fact::Stock { .. } => Verb::Stock,
            Fact::Retire => Verb::Retire,
            Fact::FixEggs(_) => Verb::Fix,
            _ => return None,
        })
    })
}

#[test]
fn every_line_of_a_pocket_card_is_read_as_what_the_card_says() {
    let printed = Printed::builtin().unwrap();
    let spoken: Vec<Lang> = Lexicon::builtin().langs();
    assert_eq!(printed.langs().collect::<Vec<_>>(), spoken);
    for lang in spoken {
        let lines = printed.entry_lines(lang, "C4");
        assert!(lines.len() >= 12);
        for line in lines {
            let reading = grammar::read(&line.line, Lexicon::builtin());
            assert_eq!(verb_of(&reading), Some(line.verb), "{lang}: {}", line.line);
            assert!(
                !line.says.is_empty() && line.says.len() < 32,
                "{lang}: {}",
                line.says
            );
        }
    }
    // Every file has every text and no other, and the same number of names of days and months.
    for file in std::fs::read_dir("grammar/cards").unwrap() {
        let path = file.unwrap().path();
        let source = std::fs::read_to_string(&path).unwrap();
        let keys = source.lines().filter(|line| line.contains(" = ")).count();
        assert_eq!(keys, KEYS.len(), "{}", path.display());
        let count = |key: &str| {
            let line = source.lines().find(|line| line.starts_with(key)).unwrap();
            line.split_whitespace().count() - 2
        };
        assert_eq!(
            (count("weekdays"), count("months")),
            (7, 12),
            "{}",
            path.display()
        );
    }
}

#[test]
fn a_card_is_in_the_members_language_and_of_the_members_own_cage() {
    let house = stocked();
    let mut browser = Browser::signed_in(&house, "manager");
    let page = text(&browser.get("/console/print/cards"));
    assert_eq!(
        page.matches("class=\"card\"").count(),
        3,
        "two keepers and an officer"
    );
    assert_eq!(sheets(&page), 3_usize.div_ceil(cards::ON_SHEET));
    assert!(page.contains("<div class=\"card\" lang=\"fr\">"));
    assert!(
        page.contains("<dt>C1 appat</dt>") && page.contains("mouches mortes"),
        "{page}"
    );
    assert!(page.contains("<dt>C1 bait</dt>") && page.contains("Ziwani Fly Growers"));
}

#[test]
fn a_wall_sheet_has_every_day_of_its_month_and_marks_what_is_known() {
    let house = stocked();
    let mut browser = Browser::signed_in(&house, "manager");
    let page = text(&browser.get("/console/print/wall?member=2001&month=2026-03"));
    assert_eq!(sheets(&page), 13_usize.div_ceil(wall::ON_SHEET));
    assert_eq!(
        page.matches("<small>Sun</small>").count(),
        5 * 2,
        "March 2026 has five Sundays"
    );
    assert_eq!(
        page.matches("<td>R</td>").count(),
        13,
        "all are to be retired by the 31st"
    );
    assert_eq!(page.matches("<td>S</td>").count(), 0);
    assert!(page.contains("March 2026"));
    let february = text(&browser.get("/console/print/wall?member=2001&month=2026-02"));
    assert_eq!(february.matches("<td>S</td>").count(), 13);
    // Twenty-eight days, a head and a sum, on each of two sheets.
    assert_eq!(february.matches("<tr").count(), 2 * (28 + 2));
}

#[test]
fn printing_stays_in_the_users_wards_and_goes_into_the_trail() {
    let house = stocked();
    let mut officer = Browser::signed_in(&house, "officer");
    let page = text(&officer.get("/console/print/cards"));
    assert!(page.contains("Baraka") && !page.contains("Asha"));
    for path in ["labels?member=2001", "cards?ward=Ufukwe", "posters"] {
        let answer = officer.get(&format!("/console/print/{path}"));
        assert_eq!(answer.status, 404, "{path}");
    }
    let fields = [("kind", "labels"), ("member", "2002"), ("codes", "c1-c2")];
    let answer = officer.send("/console/print", "/console/print", &fields);
    let to = answer.location.unwrap();
    let page = text(&officer.get(&to));
    assert_eq!(page.matches("class=\"label\"").count(), 2, "{to}");
    let trail = house.counter.trail(COOP, 20).unwrap();
    let printed = trail.iter().filter_map(|row| match &row.event {
        UserEvent::Did(deed) if deed.kind == DeedKind::Printed => Some(deed.clone()),
        _ => None,
    });
    let printed: Vec<_> = printed.collect();
    assert_eq!(printed.len(), 1);
    assert_eq!(
        (printed[0].member, printed[0].new.as_str()),
        (Some(MemberNo(2002)), "labels, C1 C2")
    );
    for (field, wrong) in [("codes", "C1-"), ("member", "2001"), ("month", "March")] {
        let fields = [("kind", "labels"), (field, wrong)];
        let answer = officer.send("/console/print", "/console/print", &fields);
        let to = answer.location.unwrap();
        assert!(to.contains("trouble="), "{field}: {to}");
        assert!(text(&officer.get(&to)).contains("role=\"alert\""));
    }
}
