//! Who may speak for whom: strangers, joining, silence, officers, shared phones.

use crate::village::*;
use clutchline::desk::reply::{Answer, Ask, Fragment, Refusal};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::Outcome;
use clutchline::domain::said::Order;
use clutchline::domain::{MemberNo, Role};

const STRANGER: &str = "+255700000195";

fn join(code: &str) -> clutchline::domain::said::Reading {
    order(Order::Join {
        code: code.to_owned(),
        name: "Neema  M".to_owned(),
    })
}

#[test]
fn a_stranger_gets_a_few_answers_a_day_and_then_silence() {
    let mut village = Village::new();
    for _ in 0..3 {
        let decision = village.send(STRANGER, say(&[eggs("C4", 100)]));
        assert_eq!(decision.outcome, Outcome::Refused);
        assert_eq!(refusals(&decision), [Refusal::NotMember]);
    }
    let silent = village.send(STRANGER, say(&[eggs("C4", 100)]));
    assert!(silent.reply.is_none() && silent.changes.is_empty());
    village.days_pass(1);
    assert!(village.send(STRANGER, join("WRONG")).reply.is_some());
}

#[test]
fn joining_opens_a_farm_of_its_own() {
    let mut village = Village::new();
    let joined = village.send(STRANGER, join("ziwani"));
    assert_eq!(joined.outcome, Outcome::Saved);
    assert!(
        matches!(&answers(&joined)[..], [Answer::Joined { member: MemberNo(3000), name, .. }] if name == "Neema M")
    );
    village.send(STRANGER, say(&[stock("C1", 8000)]));
    assert_eq!(village.farm_of(MemberNo(3000)).units.len(), 1);
    let again = village.send(STRANGER, join("ZIWANI"));
    assert_eq!(refusals(&again), [Refusal::AlreadyMember(MemberNo(3000))]);
}

#[test]
fn stop_silences_all_but_start_and_entries_still_count() {
    let mut village = Village::with(&[("C4", 14)]);
    assert_eq!(
        answers(&village.keeper(order(Order::Stop))),
        [Answer::Stopped]
    );
    let entry = village.keeper(say(&[eggs("C4", 750)]));
    assert_eq!((entry.outcome, entry.reply), (Outcome::Saved, None));
    assert_eq!(village.grams("C4", 0), Some(750));
    assert_eq!(
        answers(&village.keeper(order(Order::Start))),
        [Answer::Started]
    );
    assert!(village.keeper(order(Order::Tasks)).reply.is_some());
}

#[test]
fn a_language_holds_from_its_own_answer_on() {
    let mut village = Village::with(&[("C4", 14)]);
    let sw = Lang::new("sw").unwrap();
    let set = village.keeper(order(Order::Lang(sw)));
    assert_eq!((set.outcome, set.reply.unwrap().lang), (Outcome::Saved, sw));
    assert_eq!(village.keeper(order(Order::Tasks)).reply.unwrap().lang, sw);
    let none = village.keeper(order(Order::Lang(Lang::new("xx").unwrap())));
    assert_eq!(none.outcome, Outcome::Refused);
}

#[test]
fn an_officer_enters_for_a_member_who_is_told() {
    let mut village = Village::with(&[("C4", 14)]);
    let decision = village.officer(for_member(KEEPER, say(&[eggs("C4", 750)])));
    assert_eq!(decision.by, Some(OFFICER));
    assert!(
        matches!(&fragments(&decision)[0], Fragment::For(m, name) if *m == KEEPER && name == "Asha")
    );
    let [(told, notice)] = &decision.notices[..] else {
        panic!("one notice")
    };
    assert_eq!(*told, KEEPER);
    assert!(
        matches!(&notice.fragments[..], [Fragment::EnteredBy(name), Fragment::Saved(_)] if name == "Juma")
    );
    assert_eq!(village.grams("C4", 0), Some(750));
    // The officer's bare `undo` finds that farm; the keeper is told again.
    let undo = village.officer(order(Order::Undo));
    assert_eq!(undo.notices.len(), 1);
    assert_eq!(village.grams("C4", 0), None);
}

#[test]
fn an_officers_bare_yes_answers_what_the_officer_was_asked() {
    let mut village = Village::with(&[("C4", 14)]);
    village.officer(for_member(KEEPER, say(&[eggs("C4", 7500)])));
    assert_eq!(village.keeper(order(Order::Yes)).outcome, Outcome::Refused);
    village.officer(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), Some(750));
}

#[test]
fn for_needs_an_officer_and_a_member() {
    let mut village = Village::with(&[("C4", 14)]);
    let keeper = village.keeper(for_member(OFFICER, say(&[eggs("C4", 100)])));
    assert_eq!(refusals(&keeper), [Refusal::NotAllowed]);
    let nobody = village.officer(for_member(MemberNo(9), say(&[eggs("C4", 100)])));
    assert_eq!(refusals(&nobody), [Refusal::NoSuchMember(MemberNo(9))]);
}

#[test]
fn a_shared_phone_is_told_apart_by_cages() {
    let mut village = Village::with(&[("C4", 14), ("D1", 14)]);
    village.member(MemberNo(2072), "Baraka", Role::Keeper, &[KEEPER_PHONE]);
    let now = village.now;
    village.days_pass(-14);
    for unit in ["C4", "C6"] {
        village.keeper(for_member(MemberNo(2072), say(&[stock(unit, 8000)])));
    }
    village.now = now;
    let own = village.keeper(say(&[eggs("C6", 500)]));
    assert_eq!(
        (own.by, own.outcome),
        (Some(MemberNo(2072)), Outcome::Saved)
    );
    assert!(matches!(
        fragments(&own)[0],
        Fragment::For(MemberNo(2072), _)
    ));
    assert_eq!(village.keeper(say(&[eggs("D1", 500)])).by, Some(KEEPER));
    let both = village.keeper(say(&[eggs("C4", 500)]));
    assert!(matches!(&asks(&both)[..], [Ask::Whose(list)] if list.len() == 2));
    assert_eq!((both.outcome, both.changes.len()), (Outcome::Asked, 0));
}

#[test]
fn questions_only_means_no_plain_confirmations() {
    let mut village = Village::with(&[("C4", 14)]);
    let clutchline::desk::streams::StreamState::Member(member) =
        village.state(&clutchline::domain::event::StreamId::Member(KEEPER))
    else {
        panic!("a member")
    };
    let changes = clutchline::desk::membership::set_questions_only(&member, true).unwrap();
    village.put(None, None, changes);
    assert_eq!(village.keeper(say(&[eggs("C4", 200)])).reply, None);
    assert!(village.keeper(say(&[eggs("C4", 750)])).reply.is_some());
    assert!(village.keeper(order(Order::Tasks)).reply.is_some());
}
