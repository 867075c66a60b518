//! The PIN: one try each, written down before it is made, and never the last.

use crate::bench::at;
use crate::fake::Fake;
use crate::rig::{Plugged, Rig};
use clutchline::links::board::Standing;
use clutchline::links::modem::pin::{Pin, PinFileError, PinRecord, Withheld, from_file};
use std::os::unix::fs::PermissionsExt;
use tempfile::tempdir;

fn pin(digits: &str) -> Pin {
    Pin::new(digits).unwrap()
}

#[test]
fn each_pin_is_tried_once_until_a_sim_opens() {
    let dir = tempdir().unwrap();
    let record = || PinRecord::new(dir.path(), "north");
    assert_eq!(
        record().may_try(Some(&pin("1111")), Some(3), at(0)),
        Ok(pin("1111"))
    );
    // Whatever became of the try, and in another process too.
    let again = record().may_try(Some(&pin("1111")), Some(3), at(1));
    assert!(matches!(again, Err(Withheld::TriedBefore(_))), "{again:?}");
    assert_eq!(
        record().may_try(Some(&pin("2222")), Some(2), at(2)),
        Ok(pin("2222"))
    );
    record().opened().unwrap();
    assert_eq!(
        record().may_try(Some(&pin("1111")), Some(3), at(3)),
        Ok(pin("1111"))
    );
    let path = dir.path().join("north.pin");
    let mode = std::fs::metadata(&path).unwrap().permissions().mode();
    assert_eq!(mode & 0o077, 0);
    assert!(!std::fs::read_to_string(&path).unwrap().contains("1111"));
}

#[test]
fn the_last_try_is_never_made() {
    let dir = tempdir().unwrap();
    let record = PinRecord::new(dir.path(), "north");
    for left in [0, 1] {
        let fate = record.may_try(Some(&pin("1111")), Some(left), at(0));
        assert_eq!(fate, Err(Withheld::LastTry(left)));
    }
    assert_eq!(record.may_try(None, Some(3), at(0)), Err(Withheld::None));
    // A SIM that does not say: two wrong ones leave one of three.
    assert!(record.may_try(Some(&pin("1111")), None, at(0)).is_ok());
    assert!(record.may_try(Some(&pin("2222")), None, at(0)).is_ok());
    let third = record.may_try(Some(&pin("3333")), None, at(0));
    assert!(matches!(third, Err(Withheld::TriedOthers(_))), "{third:?}");
}

#[test]
fn a_record_that_cannot_be_read_withholds_the_pin() {
    let dir = tempdir().unwrap();
    std::fs::write(dir.path().join("north.pin"), "half a re").unwrap();
    let record = PinRecord::new(dir.path(), "north");
    let fate = record.may_try(Some(&pin("1111")), Some(3), at(0));
    assert!(matches!(fate, Err(Withheld::Unwritten { .. })), "{fate:?}");
}

#[test]
fn a_pin_file_is_for_its_owner_and_holds_a_pin() {
    let dir = tempdir().unwrap();
    let path = dir.path().join("sim.pin");
    assert!(matches!(from_file(&path), Err(PinFileError::Unread { .. })));
    std::fs::write(&path, "1234\n").unwrap();
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).unwrap();
    let said = from_file(&path).unwrap_err().to_string();
    assert!(
        said.contains("chmod 600") && !said.contains("1234"),
        "{said}"
    );
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o600)).unwrap();
    assert_eq!(from_file(&path).unwrap(), pin("1234"));
    std::fs::write(&path, "12a4").unwrap();
    let said = from_file(&path).unwrap_err().to_string();
    assert!(
        said.contains("such as 1234") && !said.contains("12a4"),
        "{said}"
    );
    assert_eq!(format!("{:?}", pin("1234")), "***");
}

#[test]
fn the_driver_tries_a_wrong_pin_once_however_often_it_is_started() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let modem = Plugged::at(&port, Fake::locked("1234"));
    for start in 0..2 {
        let rig = Rig::start(dir.path(), &port, |link| link.modem.pin = "9999".to_owned());
        rig.until("stuck", |rig| rig.state().standing == Standing::Stuck);
        let (_, said) = rig.state().last_error.unwrap();
        let expected = ["refused the PIN", "tried before"][start];
        assert!(said.contains(expected), "{said}");
        rig.close();
        assert_eq!(modem.with(|fake| fake.tries), 2);
    }
    // The right one opens it, and the record is gone.
    let rig = Rig::start(dir.path(), &port, |link| link.modem.pin = "1234".to_owned());
    rig.until("up", |rig| rig.state().standing == Standing::Up);
    rig.close();
    assert!(!dir.path().join("links/north.pin").exists());
}

#[test]
fn the_driver_leaves_the_last_try_and_a_puk_to_people() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let fake = Fake {
        tries: 1,
        ..Fake::locked("1234")
    };
    let modem = Plugged::at(&port, fake);
    let change = |link: &mut clutchline::config::Link| link.modem.pin = "1234".to_owned();
    let rig = Rig::start(dir.path(), &port, change);
    rig.until("stuck", |rig| rig.state().standing == Standing::Stuck);
    rig.close();
    assert_eq!(modem.with(|fake| fake.tries), 1);
    modem.with(|fake| fake.sim = "SIM PUK");
    let rig = Rig::start(dir.path(), &port, change);
    rig.until("stuck", |rig| rig.state().standing == Standing::Stuck);
    let (_, said) = rig.state().last_error.unwrap();
    assert!(said.contains("PUK"), "{said}");
    rig.close();
    let tried = |line: &String| line.starts_with("AT+CPIN=");
    assert!(!modem.with(|fake| fake.heard.iter().any(tried)));
}
