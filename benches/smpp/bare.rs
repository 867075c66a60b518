//! A client that stores nothing: the same session as the gateway's, on a blocking socket, with nothing behind it.
//!
//! It is what durable work is measured against.

use crate::load::{Centre, door};
use clutchline::clock::Clock;
use clutchline::links::smpp::fields::Address;
use clutchline::links::smpp::pdu::{Bind, BindAs, ShortMessage};
use clutchline::links::smpp::session::{Event, Limits, Session};
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::thread::JoinHandle;

/// Answers a second for texts that nobody keeps.
pub(crate) fn receives(texts: &[(String, String)]) -> f64 {
    against(0, |centre| centre.delivers(texts))
}

/// Texts a second that nobody kept.
pub(crate) fn sends(many: usize) -> f64 {
    against(many, |centre| centre.takes(many))
}

fn against(to_send: usize, measure: impl FnOnce(&mut Centre) -> f64) -> f64 {
    let door = door();
    let address = door.local_addr().unwrap();
    let client = std::thread::spawn(move || run(TcpStream::connect(address).unwrap(), to_send));
    let mut centre = Centre::accept(&door);
    let rate = measure(&mut centre);
    drop(centre);
    client.join().unwrap();
    rate
}

/// The same in front of a centre at an address; ends when the centre hangs up.
pub(crate) fn against_address(address: SocketAddr, to_send: usize) -> JoinHandle<()> {
    std::thread::spawn(move || run(TcpStream::connect(address).unwrap(), to_send))
}

fn text() -> ShortMessage {
    let address = |digits: &str| Address {
        ton: 1,
        npi: 1,
        digits: digits.to_owned(),
    };
    ShortMessage {
        source: address("40123"),
        destination: address("255700000101"),
        registered_delivery: 1,
        text: b"Saved C1 4.5 g and C2 5 g for today. Wrong? Send: undo".to_vec(),
        ..ShortMessage::default()
    }
}

fn run(mut stream: TcpStream, to_send: usize) {
    stream.set_nodelay(true).unwrap();
    let wait = chrono::TimeDelta::seconds(30);
    let limits = Limits {
        window: crate::WINDOW,
        taking: 256,
        enquire_after: wait,
        answer_wait: wait,
        bind_wait: wait,
    };
    let mut session = Session::new(
        BindAs::Transceiver,
        Bind::default(),
        limits,
        Clock::System.now(),
    );
    let (mut input, mut sent) = (vec![0; 64 * 1024], 0);
    loop {
        while let Some(event) = session.next_event() {
            if let Event::Came {
                sequence, wants, ..
            } = event
            {
                session.answer(sequence, wants, 0);
            }
        }
        while sent < to_send && session.room() > 0 {
            sent += 1;
            session
                .submit(1, text(), Vec::new(), Clock::System.now())
                .unwrap();
        }
        let out = session.take_octets();
        if stream.write_all(&out).is_err() {
            return;
        }
        match stream.read(&mut input) {
            Ok(n) if n > 0 => session.feed(&input[..n], Clock::System.now()),
            _ => return,
        }
    }
}
