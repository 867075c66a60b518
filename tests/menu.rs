//! The menu: every verb has its way, no key sequence saves what was not shown, every screen fits and leads back; golden sessions key by key.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "menu/golden.rs"]
mod golden;
#[path = "menu/phones.rs"]
mod phones;

use clutchline::desk::farm::Farm;
use clutchline::desk::member::Member;
use clutchline::domain::code::UnitCode;
use clutchline::domain::event::{Event, FarmEvent, Harvest, HarvestHow, Recorded, Stocking};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::Outcome;
use clutchline::domain::rules::Rules;
use clutchline::domain::said::{Fact, Order, Verb};
use clutchline::domain::{MemberNo, Role, StockKind, UnitKind};
use clutchline::grammar::registry::VERBS;
use clutchline::grammar::{Lexicon, read};
use clutchline::menu::{
    Command, Menus, Place, Question, Session, Told, Typing, View, begin, press, show, told,
};
use clutchline::units::septets::septets;
use clutchline::units::{Grams, Pupae};
use proptest::prelude::*;
use std::collections::{BTreeSet, VecDeque};
use std::sync::LazyLock;

static MENUS: LazyLock<Menus> = LazyLock::new(Menus::builtin);
const SESSION: Typing = Typing::Session {
    star_is_point: true,
};

fn today() -> chrono::NaiveDate {
    "2026-03-10".parse().unwrap()
}

/// A farm of twelve laying cages and one empty.
fn farm() -> Farm {
    let mut farm = Farm::default();
    let mut put = |event: FarmEvent| {
        let recorded = Recorded {
            at: "2026-03-09T05:00:00Z".parse().unwrap(),
            by: Some(MemberNo(2071)),
            message: None,
            event: Event::Farm(event.clone()),
        };
        farm.apply(&recorded, &event);
    };
    put(FarmEvent::Opened);
    for number in 1..=13 {
        let unit = UnitCode::new("C", number).unwrap();
        put(FarmEvent::Stocked(Stocking {
            unit,
            unit_kind: UnitKind::Cage,
            day: "2026-02-20".parse().unwrap(),
            pupae: Pupae::new(8_000),
            weight: None,
            kind: StockKind::OneAge,
            prior: None,
        }));
        put(FarmEvent::Harvested(Harvest {
            unit,
            day: "2026-03-09".parse().unwrap(),
            grams: Grams::from_hundredths(450).unwrap(),
            how: HarvestHow::First,
            gross_tare: None,
        }));
    }
    put(FarmEvent::Retired {
        unit: UnitCode::new("C", 13).unwrap(),
        day: "2026-03-09".parse().unwrap(),
    });
    farm
}

#[derive(Debug)]
struct World {
    rules: Rules,
    people: Vec<Member>,
    farm: Farm,
    question: Option<Question>,
}

impl World {
    fn of(role: Option<Role>) -> Self {
        let mut member = Member::empty(MemberNo(2071));
        member.joined = true;
        member.name = "Asha".to_owned();
        member.role = role.unwrap_or(Role::Keeper);
        Self {
            rules: Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam"),
            people: role.map(|_| member).into_iter().collect(),
            farm: farm(),
            question: None,
        }
    }

    fn asked(mut self) -> Self {
        self.question = Some(Question {
            text:
                "C4 has 4.5g for today. Now 5g: \"yes\" replaces, \"add\" adds, \"no\" keeps 4.5g."
                    .to_owned(),
            addable: true,
            answerable: true,
            pin: false,
        });
        self
    }

    fn view(&self, lang: Lang, septets: usize) -> View<'_> {
        View {
            lang,
            texts: MENUS.of(lang),
            rules: &self.rules,
            people: self.people.iter().collect(),
            speaker: self.people.first(),
            farm: &self.farm,
            today: today(),
            question: self.question.clone(),
            septets,
        }
    }
}

fn langs() -> Vec<Lang> {
    MENUS.langs().collect()
}

/// Every verb that a line says, its requests included.
fn verbs_of(line: &str) -> BTreeSet<Verb> {
    let reading = read(line, Lexicon::builtin());
    assert!(reading.unread.is_empty(), "{line}: {reading:?}");
    let mut verbs: BTreeSet<Verb> = reading.for_member.map(|_| Verb::For).into_iter().collect();
    for said in &reading.said {
        verbs.extend(match &said.fact {
            Fact::Eggs { add, .. } => vec![if *add { Verb::Add } else { Verb::Eggs }],
            Fact::Care(job) => VERBS
                .iter()
                .filter(|r| r.care == Some(*job))
                .map(|r| r.verb)
                .collect(),
            Fact::Stock { .. } => vec![Verb::Stock],
            Fact::Dead(_) => vec![Verb::Dead],
            Fact::Ants => vec![Verb::Ants],
            Fact::Temperature { .. } => vec![Verb::Temp],
            Fact::Retire => vec![Verb::Retire],
            Fact::FixEggs(_) | Fact::FixStock { .. } => vec![Verb::Fix],
            Fact::Delivered(_) => vec![Verb::Got],
            Fact::State => vec![],
        });
    }
    for order in &reading.orders {
        verbs.extend(match order {
            Order::Help(_) => vec![Verb::Help],
            other => VERBS
                .iter()
                .filter(|row| {
                    let word = Lexicon::builtin().word(row.verb, Lang::EN);
                    let of = read(word, Lexicon::builtin()).orders;
                    let kind = |o: &Order| std::mem::discriminant(o);
                    of.first().is_some_and(|o| kind(o) == kind(other))
                        || matches!(
                            (row.verb, other),
                            (Verb::Away, Order::Away(_))
                                | (Verb::Hour, Order::Hour(_))
                                | (Verb::Join, Order::Join { .. })
                                | (Verb::Lang, Order::Lang(_))
                                | (Verb::Plan, Order::Plan(_))
                        )
                })
                .map(|row| row.verb)
                .collect(),
        });
    }
    verbs
}

/// Walks every way of at most `deep` keys and collects what can be said.
fn reachable(world: &World, deep: usize) -> BTreeSet<Verb> {
    let view = world.view(Lang::EN, 160);
    let mut said = BTreeSet::new();
    let mut seen = BTreeSet::new();
    let mut waiting = VecDeque::from([(begin(&view, None), 0)]);
    while let Some((session, depth)) = waiting.pop_front() {
        let name = format!("{:?} {:?}", session.places.last(), session.speaks_for);
        if depth > deep || !seen.insert(name) {
            continue;
        }
        for typed in [
            "1", "2", "3", "4", "5", "#", "12.5", "18", "2071", "ZIWANI", "Asha",
        ] {
            let mut next = session.clone();
            if let Some(Command::Say(line)) = press(&view, &mut next, typed, SESSION) {
                said.extend(verbs_of(&line));
            } else {
                waiting.push_back((next, depth + 1));
            }
        }
    }
    said
}

#[test]
fn everything_that_can_be_texted_can_be_done_by_menu() {
    let mut said = reachable(&World::of(Some(Role::Officer)).asked(), 9);
    said.extend(reachable(&World::of(None), 6));
    for row in VERBS {
        assert!(
            said.contains(&row.verb),
            "{:?} has no way in the menu",
            row.verb
        );
    }
}

#[test]
fn one_cage_takes_one_weight_one() {
    let world = World::of(Some(Role::Keeper));
    let view = world.view(Lang::EN, 160);
    let mut session = begin(&view, None);
    assert_eq!(press(&view, &mut session, "1", SESSION), None);
    assert_eq!(press(&view, &mut session, "12,5", SESSION), None);
    let said = press(&view, &mut session, "1", SESSION);
    assert_eq!(said, Some(Command::Say("C1 12.5g".to_owned())));
}

fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => (0..=9_u8).prop_map(|n| n.to_string()),
        1 => Just("00".to_owned()),
        1 => Just("000".to_owned()),
        1 => Just("#".to_owned()),
        1 => Just(String::new()),
        2 => "[0-9]{1,4}[.,*]?[0-9]{0,2}",
        1 => "\\PC{0,40}",
    ]
}

fn worlds() -> impl Strategy<Value = World> {
    (0..5_u8).prop_map(|kind| match kind {
        0 => World::of(None),
        1 => World::of(Some(Role::Collector)),
        2 => World::of(Some(Role::Officer)).asked(),
        3 => World::of(Some(Role::Keeper)).asked(),
        _ => World::of(Some(Role::Keeper)),
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn any_keys_give_a_screen_that_fits_and_the_first_one_is_two_keys_away(
        world in worlds(),
        keys in proptest::collection::vec(typed(), 0..24),
        lang in proptest::sample::select(langs()),
        septets_most in proptest::sample::select(vec![100_usize, 160, 182]),
        answers in "\\PC{0,160}",
    ) {
        let view = world.view(lang, septets_most);
        let mut session = begin(&view, None);
        for key in &keys {
            let before = session.place();
            let command = press(&view, &mut session, key, SESSION);
            if let Some(Command::Say(line)) = &command {
                let reading = read(line, Lexicon::builtin());
                let facts = reading.said.iter().any(|said| said.fact != Fact::State);
                let sets = reading.orders.iter().any(|o| {
                    matches!(o, Order::Away(_) | Order::Hour(_) | Order::Join { .. })
                });
                if facts || sets {
                    let shown = matches!(before, Place::Sure { .. });
                    prop_assert!(shown && key.trim() == "1", "{line} from {before:?} by {key}");
                }
                let outcome = if key.len() % 2 == 0 { Outcome::Saved } else { Outcome::Asked };
                told(&view, &mut session, &Told { outcome, text: answers.clone() });
            }
            let screen = show(&view, &session);
            prop_assert!(!screen.trim().is_empty(), "{:?}", session.place());
            let length = septets(&screen).unwrap_or(screen.chars().count() * 2);
            prop_assert!(length <= septets_most, "{length}: {screen}");
            let mut home = session.clone();
            press(&view, &mut home, "00", SESSION);
            let first = show(&view, &home);
            let mut start = begin(&view, None);
            start.owner = home.owner;
            prop_assert_eq!(first, show(&view, &start));
            // Back always ends at the first screen too.
            let mut out = session.clone();
            for _ in 0..40 {
                press(&view, &mut out, "0", SESSION);
            }
            prop_assert!(out.places.len() <= 1);
        }
    }
}

#[test]
fn a_session_is_small_and_comes_back_as_it_was() {
    let world = World::of(Some(Role::Keeper));
    let view = world.view(Lang::EN, 160);
    let mut session = begin(&view, None);
    for key in ["1", "#", "#", "8.5", "2"] {
        press(&view, &mut session, key, SESSION);
    }
    let bytes = postcard::to_allocvec(&session).unwrap();
    assert!(bytes.len() < 200, "{}", bytes.len());
    let back: Session = postcard::from_bytes(&bytes).unwrap();
    assert_eq!(back, session);
}
