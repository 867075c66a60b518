//! The driver over a pseudo-terminal against a modem that misbehaves: no text is lost and none is doubled.

use crate::driving::{now, queue};
use crate::fake::{Fake, Slip};
use crate::rig::{COOP, PATIENCE, Plugged, Rig};
use crate::sim;
use clutchline::links::board::Standing;
use clutchline::links::modem::port::Port;
use serialport::{SerialPort, TTYPort};
use std::io::Write;
use std::sync::mpsc::{channel, sync_channel};
use tempfile::tempdir;

#[test]
fn after_a_crash_between_commit_and_deletion_a_message_counts_once() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let hex = sim::text(101, "join ZIWANI Asha", now());
    let mut fake = Fake::default();
    fake.arrives(&hex);
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    modem.until("answered and deleted", |fake| {
        fake.sent.len() == 1 && fake.storage.is_empty()
    });
    rig.close();
    // As if the power had gone before the deletion.
    modem.arrives(&hex);
    let rig = Rig::start(dir.path(), &port, |_| ());
    modem.until("deleted again", |fake| fake.storage.is_empty());
    let code = sim::text(102, "join ZIWANI Juma", now());
    modem.arrives(&code);
    modem.until("the next answer", |fake| fake.sent.len() == 2);
    let (to, _) = sim::submitted(&modem.with(|fake| fake.sent[1].clone()));
    assert_eq!(to, sim::number(102), "the first was not answered again");
    rig.until("the count", |rig| rig.state().passed.taken == 1);
    rig.close();
}

#[test]
fn a_text_in_doubt_is_never_sent_again_and_a_congested_one_is() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let mut fake = Fake::default();
    fake.slips.push_back(Slip::Says("+CMS ERROR: 332"));
    fake.slips.push_back(Slip::Says("+CMS ERROR: 42"));
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    let doubtful = queue(&rig, "doubtful");
    rig.until("in doubt", |rig| {
        let doubts = rig.counter.sent(COOP, true, 10).unwrap();
        doubts.iter().any(|record| record.row.id == doubtful)
    });
    queue(&rig, "congested");
    modem.until("the second try", |fake| fake.sent.len() == 1);
    rig.until("its answer", |rig| rig.state().passed.sent == 1);
    let (_, text) = sim::submitted(&modem.with(|fake| fake.sent[0].clone()));
    assert_eq!(text, "congested");
    let state = rig.state();
    assert_eq!(state.passed.throttled, 1);
    assert!(state.last_error.unwrap().1.contains("CMS 42"));
    rig.close();
}

#[test]
fn a_refused_text_is_dead_with_the_networks_word() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let mut fake = Fake::default();
    fake.slips.push_back(Slip::Says("+CMS ERROR: 28"));
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    queue(&rig, "to nobody");
    rig.until("dead", |rig| {
        let dead = rig.counter.dead(COOP, 10).unwrap();
        dead.iter()
            .any(|record| record.dead.as_deref() == Some("receiver unknown (CMS 28)"))
    });
    assert!(modem.with(|fake| fake.sent.is_empty()));
    rig.close();
}

#[test]
fn a_full_storage_is_emptied_and_said() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let mut fake = Fake {
        capacity: 4,
        ..Fake::default()
    };
    for phone in 101..105 {
        fake.arrives(&sim::text(phone, "join ZIWANI Asha", now()));
    }
    let full = fake.arrives(&sim::text(105, "join ZIWANI Asha", now()));
    assert!(full.contains("SMMEMFULL"));
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    modem.until("emptied and answered", |fake| {
        fake.storage.is_empty() && fake.sent.len() == 4
    });
    modem.says(&full);
    rig.until("said", |rig| {
        let said = rig.state().last_error;
        said.is_some_and(|(_, said)| said.contains("storage is full"))
    });
    rig.close();
    // What cannot be deleted stays, and the share is said.
    let fake = modem.with(|fake| {
        for phone in 101..104 {
            fake.arrives(&sim::text(phone, "tasks", now()));
        }
        for index in 1..=4 {
            let refused = "+CMS ERROR: 320".to_owned();
            fake.refuses.insert(format!("AT+CMGD={index}"), refused);
        }
        fake.capacity
    });
    let rig = Rig::start(dir.path(), &port, |_| ());
    rig.until("the share", |rig| {
        let said = rig.state().last_error;
        said.is_some_and(|(_, said)| said.contains(&format!("holds 3 of {fake}")))
    });
    rig.until("the gauge", |rig| rig.state().gauges.stored == Some((3, 4)));
    rig.close();
}

#[test]
fn what_nobody_can_read_is_kept_raw_and_deleted() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let mut fake = Fake::default();
    fake.arrives(&sim::text_from("Operator", "Win a prize", now()));
    // Its time stamp is cut off.
    fake.arrives("07917283010010F5040BC87238880900F10000993092");
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    modem.until("deleted", |fake| fake.storage.is_empty());
    rig.until("counted", |rig| rig.state().passed.quarantined == 2);
    let raw = std::fs::read_to_string(dir.path().join("links/north.raw")).unwrap();
    assert_eq!(raw.lines().count(), 2);
    assert!(raw.contains("07917283010010f5040bc87238880900f10000993092"));
    rig.close();
}

#[test]
fn noise_an_echo_that_stays_and_half_a_line_before_a_pull_change_nothing() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let fake = Fake {
        keeps_echo: true,
        amid_listing: "\r\nRING\r\n+CREG: 1\r\n".to_owned(),
        ..Fake::default()
    };
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    rig.until("up", |rig| rig.state().standing == Standing::Up);
    modem.says("\u{0}\u{7f}garbage \u{1b}\r\n\r\nNO CARRIER\r\n");
    modem.arrives(&sim::text(101, "join ZIWANI Asha", now()));
    modem.until("the answer", |fake| {
        fake.sent.len() == 1 && fake.storage.is_empty()
    });
    modem.says("\r\n+CMTI: \"S");
    let mut fake = modem.pull();
    fake.arrives(&sim::text(101, "tasks", now()));
    let modem = Plugged::at(&port, fake);
    modem.until("the next answer", |fake| {
        fake.sent.len() == 2 && fake.storage.is_empty()
    });
    rig.close();
}

#[test]
fn a_modem_left_in_the_middle_of_a_message_is_brought_back_and_sends_nothing_of_it() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    // As a process left it that died behind the prompt.
    let mut fake = Fake {
        text_mode: false,
        ..Fake::default()
    };
    fake.hear(b"AT+CMGS=23\r0011000B91");
    let modem = Plugged::at(&port, fake);
    let rig = Rig::start(dir.path(), &port, |_| ());
    rig.until("up", |rig| rig.state().standing == Standing::Up);
    assert!(modem.with(|fake| fake.sent.is_empty()));
    rig.close();
}

#[test]
fn a_store_that_takes_nothing_leaves_the_message_on_the_sim() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let modem = Plugged::at(&port, Fake::default());
    let rig = Rig::start(dir.path(), &port, |_| ());
    rig.until("up", |rig| rig.state().standing == Standing::Up);
    rig.counter.clone().close().unwrap();
    modem.arrives(&sim::text(101, "join ZIWANI Asha", now()));
    rig.until("refused", |rig| rig.state().passed.failed > 0);
    assert_eq!(modem.with(|fake| fake.storage.len()), 1);
    rig.close_link();
    // The next gateway has it.
    let rig = Rig::start(dir.path(), &port, |_| ());
    modem.until("the answer", |fake| {
        fake.sent.len() == 1 && fake.storage.is_empty()
    });
    rig.close();
}

#[test]
fn a_port_that_floods_can_be_closed() {
    let dir = tempdir().unwrap();
    let path = dir.path().join("port");
    let (mut master, slave) = TTYPort::pair().unwrap();
    std::os::unix::fs::symlink(slave.name().unwrap(), &path).unwrap();
    drop(slave);
    let (tell, notes) = sync_channel(1);
    let port = Port::open(&path, 115_200, tell, |said| said).unwrap();
    let (closed, told) = channel();
    // The channel has room for one; the rest is more than one read brings, and nobody takes it.
    master.write_all(&[b'x'; 3_500]).unwrap();
    notes.recv().unwrap();
    std::thread::spawn(move || {
        drop(port);
        closed.send(()).unwrap();
    });
    told.recv_timeout(PATIENCE).expect("the port closes");
}
