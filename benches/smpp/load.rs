//! The message centre of the bench: keeps a window of messages unanswered, and answers texts at once.
//!
//! It is the same for every client.

use clutchline::links::smpp::fields::Address;
use clutchline::links::smpp::frames::Frames;
use clutchline::links::smpp::pdu::{Body, Pdu, ShortMessage};
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::time::Instant;

/// A door on loopback.
pub(crate) fn door() -> TcpListener {
    TcpListener::bind("127.0.0.1:0").unwrap()
}

/// One bound client.
pub(crate) struct Centre {
    stream: TcpStream,
    frames: Frames,
    input: Vec<u8>,
}

impl Centre {
    /// Takes the next client and its bind.
    pub(crate) fn accept(door: &TcpListener) -> Self {
        let (stream, _) = door.accept().unwrap();
        stream.set_nodelay(true).unwrap();
        let mut centre = Self {
            stream,
            frames: Frames::default(),
            input: vec![0; 64 * 1024],
        };
        let pdus = centre.some();
        let Body::Bind(how, _) = pdus[0].body else {
            panic!("a bind, not {:?}", pdus[0]);
        };
        centre.write(&[Pdu::new(
            pdus[0].sequence,
            Body::BindResp(how, "bench".to_owned()),
        )]);
        centre
    }

    /// What has come, at least one PDU.
    fn some(&mut self) -> Vec<Pdu> {
        self.some_if_any().expect("the client hung up")
    }

    fn some_if_any(&mut self) -> Option<Vec<Pdu>> {
        let mut pdus = Vec::new();
        while pdus.is_empty() {
            match self.stream.read(&mut self.input).unwrap() {
                0 => return None,
                n => self.frames.push(&self.input[..n]),
            }
            while let Some(frame) = self.frames.next_frame().unwrap() {
                pdus.push(Pdu::read(&frame).unwrap().pdu);
            }
        }
        Some(pdus)
    }

    fn write(&mut self, pdus: &[Pdu]) {
        let octets: Vec<u8> = pdus.iter().flat_map(|pdu| pdu.write().unwrap()).collect();
        self.stream.write_all(&octets).unwrap();
    }

    /// Brings every text, with a window unanswered; answers a second.
    pub(crate) fn delivers(&mut self, texts: &[(String, String)]) -> f64 {
        let begun = Instant::now();
        let (mut next, mut answered) = (0, 0);
        while answered < texts.len() {
            let mut out = Vec::new();
            while next < texts.len() && next - answered < crate::WINDOW {
                out.push(deliver(next, &texts[next]));
                next += 1;
            }
            self.write(&out);
            for pdu in self.some() {
                match pdu.body {
                    Body::DeliverResp(_) => {
                        assert_eq!(pdu.status, 0, "refused");
                        answered += 1;
                    }
                    _ => self.answer(&pdu),
                }
            }
        }
        rate(answered, begun)
    }

    /// Takes so many texts, each answered at once; texts a second from the first to the last.
    pub(crate) fn takes(&mut self, many: usize) -> f64 {
        let (mut taken, mut begun) = (0, None);
        while taken < many {
            let pdus = self.some();
            begun.get_or_insert_with(Instant::now);
            let texts = pdus
                .iter()
                .filter(|pdu| matches!(pdu.body, Body::Submit(_)));
            taken += texts.count();
            self.answer_all(&pdus);
        }
        rate(taken, begun.unwrap())
    }

    fn answer(&mut self, pdu: &Pdu) {
        self.answer_all(std::slice::from_ref(pdu));
    }

    fn answer_all(&mut self, pdus: &[Pdu]) {
        let answers = pdus.iter().filter_map(|pdu| {
            let body = match pdu.body {
                Body::Submit(_) => Body::SubmitResp(format!("{:08x}", pdu.sequence)),
                Body::EnquireLink => Body::EnquireLinkResp,
                Body::Unbind => Body::UnbindResp,
                _ => return None,
            };
            Some(Pdu::new(pdu.sequence, body))
        });
        let answers: Vec<Pdu> = answers.collect();
        self.write(&answers);
    }

    /// Answers until the client is gone.
    pub(crate) fn lets_go(&mut self) {
        while let Some(pdus) = self.some_if_any() {
            self.answer_all(&pdus);
        }
    }
}

fn deliver(number: usize, (from, text): &(String, String)) -> Pdu {
    let message = ShortMessage {
        source: Address {
            ton: 1,
            npi: 1,
            digits: from.clone(),
        },
        destination: Address {
            ton: 0,
            npi: 1,
            digits: "40123".to_owned(),
        },
        text: text.as_bytes().to_vec(),
        ..ShortMessage::default()
    };
    Pdu::new(u32::try_from(number).unwrap() + 1, Body::Deliver(message))
}

#[allow(clippy::cast_precision_loss)]
fn rate(many: usize, begun: Instant) -> f64 {
    many as f64 / begun.elapsed().as_secs_f64()
}
