//! Whose farm a message is about, and who speaks: an own phone, a shared phone, an officer, or nobody the cooperative knows.
//!
//! This room chooses and turns away; it judges no fact.

use crate::desk::Decision;
use crate::desk::Person;
use crate::desk::Scene;
use crate::desk::member::clean_name;
use crate::desk::pin;
use crate::desk::reply::{Answer, Ask, Fragment, Refusal, Reply};
use crate::domain::code::UnitCode;
use crate::domain::event::{Event, FarmEvent, MemberEvent, PhoneEvent, StreamId};
use crate::domain::lang::Lang;
use crate::domain::message::Outcome;
use crate::domain::said::{Fact, Order, Reading, Said, Units};
use crate::domain::{MemberNo, Role};
use crate::units::day::{FarmDay, farm_day};
use chrono_tz::Tz;

/// Who speaks, for whose farm.
#[derive(Clone, Copy)]
pub(crate) struct Speaker<'a> {
    /// Who speaks.
    pub(crate) sender: Person<'a>,
    /// Whose farm it is.
    pub(crate) owner: Person<'a>,
    /// The phone serves several members: the reply says whose farm it was.
    pub(crate) shared: bool,
}

/// Finds the speaker and the farm, or the answer that says why there is none.
pub(crate) fn speaker<'a>(
    scene: &Scene<'a>,
    reading: &Reading,
) -> Result<Speaker<'a>, Box<Decision>> {
    let shared = scene.people.len() > 1;
    let own = |person: Person<'a>| Speaker {
        sender: person,
        owner: person,
        shared,
    };
    if let Some(wanted) = reading.for_member {
        let receives = |said: &Said| matches!(said.fact, Fact::Delivered(_));
        let only = reading.doubts.is_empty() && reading.orders.is_empty();
        let least = if only && reading.said.iter().all(receives) {
            Role::Collector
        } else {
            Role::Officer
        };
        return named(scene, wanted, least);
    }
    let bare = reading.said.is_empty()
        && reading.doubts.is_empty()
        && reading.orders.iter().any(Order::is_answer);
    if bare && let Some(last) = scene.phone.spoke_for {
        if let Some(person) = of_phone(scene, last) {
            return Ok(own(person));
        }
        // Whoever received eggs there may answer for it.
        if let Ok(speaker) = named(scene, last, Role::Collector) {
            return Ok(speaker);
        }
    }
    // A PIN goes where it was asked for.
    if pin::is_only(reading)
        && let Some(last) = scene.phone.spoke_for
    {
        let asked = |sender: &Person<'_>| pin::is_asked(scene, sender.member.number, last);
        if scene.people.iter().any(asked) {
            return named(scene, last, Role::Officer);
        }
    }
    match scene.people.as_slice() {
        [only] => Ok(own(*only)),
        people => match fitting(people, reading).as_slice() {
            [only] => Ok(own(*only)),
            several => Err(Box::new(whose(scene, several))),
        },
    }
}

fn of_phone<'a>(scene: &Scene<'a>, number: MemberNo) -> Option<Person<'a>> {
    scene
        .people
        .iter()
        .copied()
        .find(|person| person.member.number == number)
}

/// `for 2071`: one of the phone's own members, or any for whoever may do at least `least`.
fn named<'a>(
    scene: &Scene<'a>,
    wanted: MemberNo,
    least: Role,
) -> Result<Speaker<'a>, Box<Decision>> {
    if let Some(person) = of_phone(scene, wanted) {
        return Ok(Speaker {
            sender: person,
            owner: person,
            shared: scene.people.len() > 1,
        });
    }
    let officer = scene
        .people
        .iter()
        .copied()
        .find(|person| person.member.role >= least);
    let Some(sender) = officer else {
        return Err(Box::new(turned_down(scene, Refusal::NotAllowed)));
    };
    let found = scene
        .named
        .filter(|person| person.member.number == wanted && person.member.joined);
    match found {
        Some(owner) => Ok(Speaker {
            sender,
            owner,
            shared: false,
        }),
        None => Err(Box::new(turned_down(scene, Refusal::NoSuchMember(wanted)))),
    }
}

/// The members of a shared phone that a line may be about: those who have the cages that it names.
fn fitting<'a>(people: &[Person<'a>], reading: &Reading) -> Vec<Person<'a>> {
    let named = codes(reading);
    if named.is_empty() {
        return people.to_vec();
    }
    let has = |person: &&Person<'_>, code: &UnitCode| person.farm.unit(*code).is_some();
    let some: Vec<Person<'a>> = people
        .iter()
        .filter(|person| named.iter().any(|code| has(person, code)))
        .copied()
        .collect();
    if some.len() == 1 {
        return some;
    }
    let all: Vec<Person<'a>> = some
        .iter()
        .filter(|person| named.iter().all(|code| has(person, code)))
        .copied()
        .collect();
    match (all.is_empty(), some.is_empty()) {
        (false, _) => all,
        (true, false) => some,
        (true, true) => people.to_vec(),
    }
}

fn codes(reading: &Reading) -> Vec<UnitCode> {
    let doubtful = reading.doubts.iter().flat_map(|doubt| &doubt.readings);
    let mut codes = Vec::new();
    for said in reading.said.iter().chain(doubtful) {
        if let Units::Named(named) = &said.units {
            codes.extend(named.iter().filter(|u| !u.inside_range).map(|u| u.code));
        }
    }
    codes.extend(reading.unread.iter().filter_map(|unread| unread.unit));
    codes
}

/// Whose farm? Nothing is held: the line is sent again with `for`.
fn whose(scene: &Scene<'_>, people: &[Person<'_>]) -> Decision {
    let list = people
        .iter()
        .map(|person| (person.member.number, person.member.name.clone()))
        .collect();
    let mut decision = alone(scene, Outcome::Asked, Fragment::Ask(Ask::Whose(list)));
    decision.by = None;
    decision
}

/// A member's message that is answered without any farm.
fn turned_down(scene: &Scene<'_>, refusal: Refusal) -> Decision {
    alone(scene, Outcome::Refused, Fragment::Refused(refusal))
}

/// A decision that only says one thing.
fn alone(scene: &Scene<'_>, outcome: Outcome, fragment: Fragment) -> Decision {
    let speaks = scene.people.first().map(|person| person.member);
    let silent = !scene.people.is_empty() && scene.people.iter().all(|p| p.member.stopped);
    Decision {
        by: speaks.map(|member| member.number),
        outcome,
        covers_repeats: false,
        changes: Vec::new(),
        reply: (!silent).then(|| Reply {
            lang: speaks.map_or(Lang::EN, |member| member.lang),
            today: office_day(scene),
            fragments: vec![fragment],
        }),
        notices: Vec::new(),
    }
}

/// The day where there is no farm.
fn office_day(scene: &Scene<'_>) -> FarmDay {
    farm_day(scene.now, scene.rules.zone.parse().unwrap_or(Tz::UTC))
}

/// A message from a number that serves nobody.
pub(crate) fn stranger(scene: &Scene<'_>, reading: &Reading) -> Decision {
    for order in &reading.orders {
        match order {
            Order::Join { code, name } if is_join_code(scene, code) => return join(scene, name),
            Order::Join { .. } => return turn_away(scene, Refusal::WrongJoinCode),
            Order::Stop => return silence(scene, true, Answer::Stopped),
            Order::Start => return silence(scene, false, Answer::Started),
            _ => {}
        }
    }
    turn_away(scene, Refusal::NotMember)
}

fn is_join_code(scene: &Scene<'_>, code: &str) -> bool {
    !scene.rules.join_code.is_empty() && scene.rules.join_code.eq_ignore_ascii_case(code)
}

/// One short answer, and silence after a few in one day.
fn turn_away(scene: &Scene<'_>, refusal: Refusal) -> Decision {
    let today = office_day(scene);
    let mut decision = alone(scene, Outcome::Refused, Fragment::Refused(refusal));
    if scene.phone.silent || scene.phone.answered_enough(today) {
        decision.reply = None;
    } else {
        let event = Event::Phone(PhoneEvent::TurnedAway(today));
        decision
            .changes
            .push((StreamId::Phone(scene.from.clone()), event));
    }
    decision
}

fn silence(scene: &Scene<'_>, silent: bool, answer: Answer) -> Decision {
    if scene.phone.silent == silent {
        // Nothing changes; `start` from a number that was never silent is a stranger's text like any other.
        return turn_away(scene, Refusal::NotMember);
    }
    let mut decision = alone(scene, Outcome::Saved, Fragment::Answer(answer));
    let of = || StreamId::Phone(scene.from.clone());
    let event = Event::Phone(PhoneEvent::SilenceSet(silent));
    decision.changes.push((of(), event));
    // `stop` and `start` in turn change something each time: done each time, and answered no oftener than anything else.
    let today = office_day(scene);
    if scene.phone.answered_enough(today) {
        decision.reply = None;
    } else {
        let event = Event::Phone(PhoneEvent::TurnedAway(today));
        decision.changes.push((of(), event));
    }
    decision
}

fn join(scene: &Scene<'_>, name: &str) -> Decision {
    let member = scene.free_member;
    let name = clean_name(name);
    let fragment = Fragment::Answer(Answer::Joined {
        member,
        name: name.clone(),
        coop: scene.rules.name.clone(),
    });
    let mut decision = alone(scene, Outcome::Saved, fragment);
    decision.by = Some(member);
    decision.covers_repeats = true;
    let joined = MemberEvent::Joined {
        name,
        lang: Lang::EN,
        role: Role::Keeper,
    };
    let from = scene.from.clone();
    decision.changes = vec![
        (StreamId::Member(member), Event::Member(joined)),
        (
            StreamId::Member(member),
            Event::Member(MemberEvent::PhoneAdded(from.clone())),
        ),
        (
            StreamId::Phone(from),
            Event::Phone(PhoneEvent::Serves(member)),
        ),
        (StreamId::Farm(member), Event::Farm(FarmEvent::Opened)),
    ];
    decision
}

/// `stop`, `start` and `lang` from a shared phone hold for all of its members.
pub(crate) fn for_everyone(scene: &Scene<'_>, reading: &Reading) -> bool {
    let phone_wide = |o: &Order| matches!(o, Order::Stop | Order::Start | Order::Lang(_));
    scene.people.len() > 1
        && reading.for_member.is_none()
        && reading.said.is_empty()
        && !reading.orders.is_empty()
        && reading.orders.iter().all(phone_wide)
}
