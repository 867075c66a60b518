//! Operators' commands: what they record and what they refuse.

use crate::village::*;
use clutchline::desk::member::Member;
use clutchline::desk::office::{self, OfficeError};
use clutchline::desk::phone::Phone;
use clutchline::desk::streams::StreamState;
use clutchline::domain::event::StreamId;
use clutchline::domain::message::Outcome;
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;

fn keeper(village: &Village) -> Member {
    match village.state(&StreamId::Member(KEEPER)) {
        StreamState::Member(member) => member,
        _ => panic!("a member"),
    }
}

#[test]
fn a_cooperative_is_founded_once_and_soundly() {
    let none = Rules::new("", "", "UTC");
    let found = |name, code, zone| office::found(&none, Rules::new(name, code, zone));
    assert!(found("Ziwani", "ZIWANI", "Africa/Dar_es_Salaam").is_ok());
    assert_eq!(found(" ", "ZIWANI", "UTC"), Err(OfficeError::NameExpected));
    assert!(matches!(
        found("Z", "a b", "UTC"),
        Err(OfficeError::JoinCode(_))
    ));
    assert!(matches!(
        found("Z", "ZIWANI", "Mars/North"),
        Err(OfficeError::Zone(_))
    ));
    let village = Village::new();
    let again = office::found(&village.rules(), Rules::new("Z", "ZIWANI", "UTC"));
    assert!(matches!(again, Err(OfficeError::AlreadyFounded(_))));
}

#[test]
fn a_lost_sim_is_cut_off_at_once_and_history_stays() {
    let mut village = Village::with(&[("C4", 14)]);
    let number = PhoneNumber::new(KEEPER_PHONE).unwrap();
    let changes = office::cut_phone(&keeper(&village), &number).unwrap();
    village.put(None, None, changes);
    assert_eq!(
        village.keeper(say(&[eggs("C4", 500)])).outcome,
        Outcome::Refused
    );
    assert_eq!(village.farm().units.len(), 1);
    let gone = office::cut_phone(&keeper(&village), &number);
    assert!(matches!(gone, Err(OfficeError::PhoneUnknown(_))));
}

#[test]
fn wards_are_those_of_the_rules() {
    let village = Village::new();
    assert!(office::set_ward(&village.rules(), &keeper(&village), "ufukwe").is_ok());
    let none = office::set_ward(&village.rules(), &keeper(&village), "Mars").unwrap_err();
    assert_eq!(
        none.to_string(),
        "expected one of the wards Ufukwe, but found \"Mars\""
    );
}

#[test]
fn a_phone_serves_only_so_many() {
    let village = Village::new();
    let phone = Phone {
        serves: (1..=8).map(clutchline::domain::MemberNo).collect(),
        ..Phone::default()
    };
    let number = PhoneNumber::new("+255700000150").unwrap();
    let full = office::add_phone(&keeper(&village), &number, &phone);
    assert!(matches!(full, Err(OfficeError::PhoneFull(_))));
}
