//! The driver over a pseudo-terminal: texts in and out, parts, reports, and a modem that is pulled out.

use crate::fake::{Fake, Slip};
use crate::rig::{COOP, Plugged, Rig, north};
use crate::sim;
use chrono::{DateTime, TimeDelta, Utc};
use clutchline::clock::Clock;
use clutchline::domain::message::LinkName;
use clutchline::domain::phone::PhoneNumber;
use clutchline::links::board::Standing;
use clutchline::links::failover::Failover;
use clutchline::store::delivery::DeliveryState;
use clutchline::store::outbox::OutboxId;
use tempfile::tempdir;

pub(crate) fn now() -> DateTime<Utc> {
    Clock::System.now()
}

pub(crate) fn queue(rig: &Rig, text: &str) -> OutboxId {
    let to = PhoneNumber::new(&sim::number(101)).unwrap();
    let expires = now() + TimeDelta::hours(1);
    rig.counter
        .queue(COOP, north(), to, text.to_owned(), expires)
        .unwrap()
}

#[test]
fn a_text_comes_in_is_deleted_and_its_answer_goes_out() {
    let dir = tempdir().unwrap();
    let modem = Plugged::at(&dir.path().join("port"), Fake::default());
    let rig = Rig::start(dir.path(), &modem.path, |_| ());
    modem.arrives(&sim::text(101, "join ZIWANI Asha", now()));
    modem.until("the welcome", |fake| fake.sent.len() == 1);
    let (to, text) = sim::submitted(&modem.with(|fake| fake.sent[0].clone()));
    assert_eq!(to, sim::number(101));
    assert!(text.contains("Asha"), "{text}");
    modem.until("the message is deleted", |fake| fake.storage.is_empty());
    rig.until("the row", |rig| {
        let state = rig.state();
        state.standing == Standing::Up && state.passed.taken == 1 && state.passed.sent == 1
    });
    let state = rig.state();
    assert!(
        state
            .detail
            .starts_with("registered at home; signal 21 of 31 (-71 dBm)"),
        "{}",
        state.detail
    );
    assert_eq!(state.gauges.signal, Some(21));
    rig.close();
}

#[test]
fn parts_of_a_text_are_deleted_as_they_come_and_a_long_text_goes_out_in_parts() {
    let dir = tempdir().unwrap();
    let modem = Plugged::at(&dir.path().join("port"), Fake::default());
    let rig = Rig::start(dir.path(), &modem.path, |_| ());
    modem.arrives(&sim::part(101, "Asha", [2, 2], now()));
    modem.until("the part is deleted", |fake| {
        fake.storage.is_empty() && fake.heard.iter().any(|line| line == "AT+CMGD=1")
    });
    assert_eq!(rig.state().passed.taken, 0);
    modem.arrives(&sim::part(101, "join ZIWANI ", [2, 1], now()));
    modem.until("the welcome", |fake| fake.sent.len() == 1);
    assert_eq!(rig.state().passed.taken, 1);
    queue(&rig, &"long ".repeat(50));
    modem.until("both parts", |fake| fake.sent.len() == 3);
    let parts = modem.with(|fake| fake.sent[1..].to_vec());
    let texts: Vec<String> = parts.iter().map(|hex| sim::submitted(hex).1).collect();
    assert_eq!(texts.concat(), "long ".repeat(50));
    rig.close();
}

#[test]
fn a_report_finds_its_text() {
    let dir = tempdir().unwrap();
    let modem = Plugged::at(&dir.path().join("port"), Fake::default());
    let rig = Rig::start(dir.path(), &modem.path, |_| ());
    let row = queue(&rig, "C4 is due");
    modem.until("the text", |fake| fake.sent.len() == 1);
    // Of the same reference to another phone: not this one's.
    let report = sim::report(214, &sim::number(102), 0x40, now());
    modem.says(&format!(
        "\r\n+CDS: {}\r\n{report}\r\n",
        crate::fake::tpdu_octets(&report)
    ));
    let report = sim::report(214, &sim::number(101), 0x00, now());
    modem.says(&format!(
        "\r\n+CDS: {}\r\n{report}\r\n",
        crate::fake::tpdu_octets(&report)
    ));
    rig.until("delivered", |rig| {
        rig.counter.delivery(row).unwrap() == Some(DeliveryState::Delivered)
    });
    rig.until("both counted", |rig| rig.state().passed.receipts == 2);
    rig.close();
}

#[test]
fn a_modem_that_is_pulled_out_and_plugged_in_again_goes_on_and_doubles_nothing() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let modem = Plugged::at(&port, Fake::default());
    let rig = Rig::start(dir.path(), &port, |_| ());
    rig.until("up", |rig| rig.state().standing == Standing::Up);
    modem.with(|fake| fake.slips.push_back(Slip::Unplugged));
    queue(&rig, "once");
    rig.until("in doubt", |rig| {
        rig.counter.sent(COOP, true, 10).unwrap().len() == 1
    });
    let mut fake = modem.pull();
    rig.until("down", |rig| rig.state().standing == Standing::Down);
    assert_eq!(fake.sent.len(), 1);
    // A text came meanwhile and lies on the SIM.
    fake.arrives(&sim::text(101, "join ZIWANI Asha", now()));
    let modem = Plugged::at(&port, fake);
    modem.until("the welcome", |fake| {
        fake.sent.len() == 2 && fake.storage.is_empty()
    });
    let (_, text) = sim::submitted(&modem.with(|fake| fake.sent[1].clone()));
    assert!(text.contains("Asha"), "{text}");
    rig.close();
}

#[test]
fn where_one_of_two_links_dies_the_other_sends_what_nobody_can_have() {
    let dir = tempdir().unwrap();
    let [north_port, south_port] = ["north", "south"].map(|name| dir.path().join(name));
    let first = Plugged::at(&north_port, Fake::default());
    let second = Plugged::at(&south_port, Fake::default());
    let ports = [
        ("north", north_port.as_path()),
        ("south", south_port.as_path()),
    ];
    let rig = Rig::with(dir.path(), &ports, |_| ());
    let up = |rig: &Rig| {
        let seen = rig.board.seen();
        seen.iter().all(|(_, state)| state.standing == Standing::Up)
    };
    rig.until("both up", up);
    first.with(|fake| fake.slips.push_back(Slip::Unplugged));
    queue(&rig, "in doubt");
    rig.until("in doubt", |rig| {
        rig.counter.sent(COOP, true, 10).unwrap().len() == 1
    });
    first.pull();
    rig.until("down", |rig| rig.state().standing == Standing::Down);
    queue(&rig, "moved");
    let rule = Failover {
        from: north(),
        to: LinkName("south".to_owned()),
        after: 3,
    };
    // A link that has been down for a minute, by a clock that is ahead.
    let later = now() + TimeDelta::seconds(61);
    assert_eq!(rule.overflow(&rig.board, &rig.counter, later).unwrap(), 1);
    second.until("the other link's text", |fake| fake.sent.len() == 1);
    let (_, text) = sim::submitted(&second.with(|fake| fake.sent[0].clone()));
    assert_eq!(text, "moved", "what the first may have sent stays in doubt");
    rig.close();
}

#[test]
fn a_text_that_was_taken_late_leaves_the_doubts() {
    let dir = tempdir().unwrap();
    let modem = Plugged::at(&dir.path().join("port"), Fake::default());
    let rig = Rig::start(dir.path(), &modem.path, |link| link.modem.send_secs = 5);
    modem.with(|fake| fake.slips.push_back(Slip::TakenInSilence));
    let row = queue(&rig, "slow network");
    rig.until("in doubt", |rig| {
        rig.counter.sent(COOP, true, 10).unwrap().len() == 1
    });
    modem.says("\r\n+CMGS: 214\r\n\r\nOK\r\n");
    rig.until("known", |rig| {
        rig.counter.sent(COOP, true, 10).unwrap().is_empty()
    });
    let report = sim::report(214, &sim::number(101), 0x00, now());
    let octets = crate::fake::tpdu_octets(&report);
    modem.says(&format!("\r\n+CDS: {octets}\r\n{report}\r\n"));
    rig.until("delivered", |rig| {
        rig.counter.delivery(row).unwrap() == Some(DeliveryState::Delivered)
    });
    assert_eq!(modem.with(|fake| fake.sent.len()), 1);
    rig.close();
}
