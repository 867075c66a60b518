//! The session as a machine, but for texts on their way out: setting up, listing, deleting, SIM and registration.

use crate::bench::{Bench, fates, piece, stored};
use crate::fake::{Fake, Slip};
use crate::sim;
use clutchline::links::modem::faults::Fault;
use clutchline::links::modem::pin::Pin;
use clutchline::links::modem::reply::Registration;
use clutchline::links::modem::session::{Ended, Event};

#[test]
fn a_modem_is_set_up_in_order_and_its_storage_is_listed() {
    let mut fake = Fake::default();
    fake.arrives(sim::PUBLISHED);
    let mut bench = Bench::new(fake);
    let events = bench.pass(400);
    let expected = [
        "AT",
        "ATE0",
        "AT+CMEE=1",
        "AT+CPIN?",
        "AT+CMGF=0",
        "AT+CSMS=0",
        "AT+CPMS=\"SM\",\"SM\",\"SM\"",
        "AT+CNMI=2,1,0,1,0",
        "AT+CREG?",
        "AT+CSQ",
        "AT+CSCA?",
        "AT+CMGL=4",
    ];
    assert_eq!(bench.fake.heard, expected);
    let [(place, hex)] = &stored(&events)[..] else {
        panic!("one message, not {events:?}");
    };
    assert_eq!((place.index, hex.as_str()), (1, sim::PUBLISHED));
    assert!(events.contains(&Event::Ready) && bench.session.has_room());
    assert_eq!(bench.session.air().registration, Some(Registration::Home));
}

#[test]
fn a_message_is_deleted_only_when_it_is_kept_and_said_again_when_it_was_not() {
    let mut bench = Bench::ready(Fake::default());
    let code = bench.fake.arrives(sim::PUBLISHED);
    let [(place, _)] = &stored(&bench.unsolicited(&code))[..] else {
        panic!("one message");
    };
    // In hand: a listing in between says nothing new.
    assert!(stored(&bench.pass(31_000)).is_empty());
    bench.session.release(place.clone(), false, bench.now);
    assert!(bench.talk().is_empty() && bench.fake.storage.len() == 1);
    assert_eq!(
        stored(&bench.pass(31_000)).len(),
        1,
        "the timer finds it again"
    );
    bench.session.release(place.clone(), true, bench.now);
    bench.talk();
    assert_eq!(bench.fake.times("AT+CMGD=1"), 1);
    assert!(bench.fake.storage.is_empty());
    // The place is used again: another message.
    let code = bench.fake.arrives(sim::PUBLISHED);
    assert_eq!(stored(&bench.unsolicited(&code)).len(), 1);
}

#[test]
fn codes_amid_a_listing_octets_one_by_one_and_an_echo_that_stays_change_nothing() {
    for octet_by_octet in [false, true] {
        let mut fake = Fake {
            keeps_echo: true,
            amid_listing: format!("+CREG: 1\r\n\r\nRING\r\n\r\n+CDS: 25\r\n{REPORT}\r\n"),
            ..Fake::default()
        };
        fake.arrives(sim::PUBLISHED);
        let mut bench = Bench::new(fake);
        bench.octet_by_octet = octet_by_octet;
        let events = bench.pass(400);
        assert_eq!(stored(&events).len(), 1, "{events:?}");
        let report = Event::Direct {
            hex: REPORT.to_owned(),
        };
        assert!(events.contains(&report), "{events:?}");
        let sent = bench.submit(7);
        let taken = Event::Taken {
            token: 7,
            reference: Some(214),
        };
        assert_eq!(fates(&sent), [&taken]);
    }
}

/// Example I of the corpus in `tests/telecom`: reference 214, delivered.
const REPORT: &str = "0006D60B911326880736F4111011719551401110117195714000";

#[test]
fn the_echo_of_our_message_is_not_taken_for_one_that_was_announced() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::TakenInSilence);
    bench.submit(1);
    let echoed = piece().hex;
    let events = bench.unsolicited(&format!("\r\n+CDS: 25\r\n> {echoed}\u{1a}\r\n{REPORT}\r\n"));
    let hex = REPORT.to_owned();
    assert_eq!(events, [Event::Direct { hex }]);
}

#[test]
fn a_line_that_lost_octets_is_not_read_but_listed_again() {
    let mut fake = Fake {
        cuts: 1,
        ..Fake::default()
    };
    fake.arrives(sim::PUBLISHED);
    let mut bench = Bench::new(fake);
    let events = bench.pass(400);
    assert!(stored(&events).is_empty(), "{events:?}");
    assert_eq!(stored(&bench.pass(31_000)).len(), 1);
}

#[test]
fn a_message_that_is_broken_in_storage_is_handed_out_as_broken_once() {
    let mut fake = Fake {
        cuts: 10,
        ..Fake::default()
    };
    fake.arrives(sim::PUBLISHED);
    let mut bench = Bench::new(fake);
    let events = bench.pass(130_000);
    let damaged = events.iter().filter(|e| matches!(e, Event::Damaged { .. }));
    assert_eq!(damaged.count(), 1);
    assert!(stored(&events).is_empty());
}

#[test]
fn a_port_where_nobody_answers_is_given_up() {
    let mut bench = Bench::new(Fake {
        deaf: true,
        ..Fake::default()
    });
    assert!(bench.pass(14_500).is_empty());
    assert_eq!(bench.pass(1_500), [Event::Ended(Ended::Silent)]);
    // And a modem that falls silent later, within two minutes of the next look.
    let mut bench = Bench::ready(Fake::default());
    bench.fake.deaf = true;
    let events = bench.pass(120_000);
    assert!(events.contains(&Event::Ended(Ended::Silent)), "{events:?}");
}

#[test]
fn a_modem_that_starts_anew_ends_the_session() {
    for said in ["\r\n+CPIN: READY\r\n", "\r\nRDY\r\n", "\r\n^BOOT:1,0\r\n"] {
        let mut bench = Bench::ready(Fake::default());
        assert_eq!(bench.unsolicited(said), [Event::Ended(Ended::Restarted)]);
    }
}

#[test]
fn a_text_waits_until_the_modem_is_registered() {
    let mut bench = Bench::ready(Fake {
        registration: "0,2",
        ..Fake::default()
    });
    assert!(!bench.session.has_room());
    bench.fake.registration = "0,5";
    let events = bench.pass(31_000);
    assert!(bench.session.has_room(), "{events:?}");
    // A modem that cannot say it does not keep a text back.
    let mut fake = Fake::default();
    fake.refuses
        .insert("AT+CREG?".to_owned(), "ERROR".to_owned());
    assert!(Bench::ready(fake).session.has_room());
}

#[test]
fn a_modem_that_does_less_is_used_as_far_as_it_goes() {
    let fake = Fake {
        storage_alone: true,
        indications: &["2,1,0,2,0"],
        ..Fake::default()
    };
    let mut bench = Bench::ready(fake);
    assert_eq!(bench.fake.times("AT+CPMS=\"SM\""), 1);
    assert_eq!(bench.fake.times("AT+CNMI=2,1,0,2,0"), 1);
    // Its reports lie in a memory of their own, which is read and emptied, and the storage is selected again.
    bench.fake.reports.insert(4, REPORT.to_owned());
    let [(place, _)] = &stored(&bench.unsolicited("\r\n+CDSI: \"SR\",4\r\n"))[..] else {
        panic!("a report");
    };
    bench.session.release(place.clone(), true, bench.now);
    bench.talk();
    assert!(bench.fake.reports.is_empty());
    let code = bench.fake.arrives(sim::PUBLISHED);
    let [(place, _)] = &stored(&bench.unsolicited(&code))[..] else {
        panic!("a text");
    };
    assert_eq!(place.memory, "SM");
    // One that tells of nothing is looked at on the timer.
    let mut bench = Bench::ready(Fake {
        indications: &[],
        ..Fake::default()
    });
    bench.fake.arrives(sim::PUBLISHED);
    assert_eq!(stored(&bench.pass(31_000)).len(), 1);
}

#[test]
fn a_busy_sim_is_asked_again_and_one_that_is_not_there_needs_a_person() {
    let mut fake = Fake::default();
    fake.refuses
        .insert("AT+CPIN?".to_owned(), "+CME ERROR: 14".to_owned());
    let mut bench = Bench::new(fake);
    assert!(bench.pass(10_000).is_empty());
    bench.fake.refuses.clear();
    assert!(bench.pass(3_000).contains(&Event::Ready));
    let mut bench = Bench::new(Fake {
        sim: "NONE",
        ..Fake::default()
    });
    let ended = Ended::Sim(Fault::Cme(10));
    assert!(ended.needs_person());
    assert_eq!(bench.pass(1_000), [Event::Ended(ended)]);
}

#[test]
fn a_pin_is_entered_when_it_is_given_and_a_puk_ends_it() {
    let mut bench = Bench::new(Fake::locked("1234"));
    assert_eq!(bench.pass(400), [Event::PinWanted { left: Some(3) }]);
    assert!(bench.pass(5_000).is_empty(), "nothing goes on without it");
    bench
        .session
        .enter_pin(Pin::new("1234").unwrap(), bench.now);
    let events = bench.pass(1_500);
    assert!(
        events.contains(&Event::SimOpen) && events.contains(&Event::Ready),
        "{events:?}"
    );
    let mut bench = Bench::new(Fake {
        says_tries: false,
        ..Fake::locked("1234")
    });
    assert_eq!(bench.pass(400), [Event::PinWanted { left: None }]);
    bench
        .session
        .enter_pin(Pin::new("9999").unwrap(), bench.now);
    assert_eq!(bench.pass(1_500), [Event::Ended(Ended::PinRefused)]);
    assert_eq!(bench.fake.tries, 2, "once");
    let mut bench = Bench::new(Fake {
        sim: "SIM PUK",
        ..Fake::default()
    });
    assert_eq!(bench.pass(400), [Event::Ended(Ended::Puk)]);
    assert!(
        bench
            .fake
            .heard
            .iter()
            .all(|line| !line.starts_with("AT+CPIN="))
    );
}
