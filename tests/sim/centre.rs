//! A message centre by SMPP that misbehaves as the seed says: octets in, octets out.
//!
//! It throttles, has faults, refuses; answers late or never; tells texts again after a lost session; says receipts twice, late, early and in any
//! order. It watches that no text is given to it twice.

use crate::sms::Sms;
use chrono::{DateTime, Duration, Utc};
use clutchline::links::smpp::fields::Address;
use clutchline::links::smpp::frames::Frames;
use clutchline::links::smpp::pdu::{Body, Pdu, ShortMessage};
use clutchline::links::smpp::status;
use clutchline::links::smpp::tlv::{self, Tlv};
use rand::Rng;
use rand_chacha::ChaCha8Rng;
use std::collections::{BTreeMap, VecDeque};

/// A row's number as far as a message repeats it, and which part of it.
pub(crate) type Key = (u16, u8);

/// A part of a text that was submitted.
#[derive(Clone, Debug, Default)]
pub(crate) struct Submitted {
    /// It came at least once.
    given: bool,
    /// Under this id, where it was taken.
    pub(crate) taken: Option<String>,
    pub(crate) refused: bool,
    /// The gateway heard that it may try again.
    pub(crate) again: bool,
    /// Whether the phone got it, where that is known.
    pub(crate) delivered: Option<bool>,
}

/// A delivery receipt.
#[derive(Clone, Debug)]
pub(crate) struct Due {
    pub(crate) key: Key,
    pub(crate) id: String,
    delivered: bool,
    at: DateTime<Utc>,
    given: bool,
    pub(crate) acked: bool,
}

#[derive(Clone, Copy, Debug)]
enum Item {
    Part(usize, usize),
    Receipt(usize),
}

/// A frame for the gateway.
struct Letter {
    octets: Vec<u8>,
    not_before: DateTime<Utc>,
    /// Hearing it, the gateway may submit that part again.
    allows: Option<Key>,
}

/// One connection.
#[derive(Default)]
struct Line {
    bound: bool,
    frames: Frames,
    out: VecDeque<Letter>,
    sequence: u32,
    given: BTreeMap<u32, (Item, DateTime<Utc>)>,
}

#[derive(Default)]
pub(crate) struct Centre {
    pub(crate) sms: Vec<Sms>,
    pub(crate) submitted: BTreeMap<Key, Submitted>,
    pub(crate) receipts: Vec<Due>,
    /// Texts told again.
    pub(crate) told_again: u64,
    line: Option<Line>,
    ids: u32,
    /// Everything works: the end of a story.
    pub(crate) well: bool,
}

impl Centre {
    pub(crate) fn connect(&mut self) {
        self.cut();
        self.line = Some(Line::default());
    }

    /// The connection is gone; what was not answered will be told again.
    pub(crate) fn cut(&mut self) {
        let Some(line) = self.line.take() else { return };
        for (item, _) in line.given.into_values() {
            self.untold(item);
        }
    }

    fn untold(&mut self, item: Item) {
        self.told_again += 1;
        match item {
            Item::Part(no, part) => self.sms[no].parts[part].given = false,
            Item::Receipt(no) => self.receipts[no].given = false,
        }
    }

    fn fails(&self, rng: &mut ChaCha8Rng, often: f64) -> bool {
        !self.well && rng.random_bool(often)
    }

    /// Octets of the gateway's.
    pub(crate) fn hear(&mut self, octets: &[u8], rng: &mut ChaCha8Rng, now: DateTime<Utc>) {
        let Some(line) = &mut self.line else { return };
        line.frames.push(octets);
        while let Some(frame) = self
            .line
            .as_mut()
            .and_then(|line| line.frames.next_frame().unwrap())
        {
            let pdu = Pdu::read(&frame).unwrap().pdu;
            self.pdu(pdu, rng, now);
        }
    }

    fn say(&mut self, pdu: &Pdu, not_before: DateTime<Utc>, allows: Option<Key>) {
        if let Some(line) = &mut self.line {
            line.out.push_back(Letter {
                octets: pdu.write().unwrap(),
                not_before,
                allows,
            });
        }
    }

    fn pdu(&mut self, pdu: Pdu, rng: &mut ChaCha8Rng, now: DateTime<Utc>) {
        let answer = |body, status| Pdu {
            status,
            ..Pdu::new(pdu.sequence, body)
        };
        match pdu.body {
            Body::Bind(how, _) => {
                if self.fails(rng, 0.05) {
                    return;
                }
                let status = match self.fails(rng, 0.1) {
                    true => [status::ALREADY_BOUND, status::SYSTEM_ERROR][rng.random_range(0..2)],
                    false => status::OK,
                };
                if let Some(line) = &mut self.line {
                    line.bound = status == status::OK;
                }
                let resp = answer(Body::BindResp(how, "centre".to_owned()), status);
                self.say(&resp, now, None);
            }
            Body::EnquireLink if !self.fails(rng, 0.1) => {
                self.say(&answer(Body::EnquireLinkResp, 0), now, None);
            }
            Body::Unbind => self.say(&answer(Body::UnbindResp, 0), now, None),
            Body::Submit(message) => {
                let key = key_of(&message, &pdu.tlvs);
                let (status, id) = self.submit(key, rng, now);
                let resp = answer(Body::SubmitResp(id), status);
                if !self.fails(rng, 0.1) {
                    let late = if self.fails(rng, 0.15) { 90 } else { 3 };
                    let at = now + Duration::milliseconds(rng.random_range(0..late * 1_000));
                    let again = status::meaning(status);
                    let again = !matches!(
                        again,
                        clutchline::links::sending::Meaning::Taken
                            | clutchline::links::sending::Meaning::Refused
                    );
                    self.say(&resp, at, again.then_some(key));
                }
            }
            Body::DeliverResp(_) => {
                let line = self.line.as_mut().unwrap();
                let Some((item, _)) = line.given.remove(&pdu.sequence) else {
                    return;
                };
                if pdu.status != status::OK {
                    return self.untold(item);
                }
                match item {
                    Item::Part(no, part) => self.sms[no].parts[part].acked = true,
                    Item::Receipt(no) => self.receipts[no].acked = true,
                }
            }
            _ => {}
        }
    }

    /// A text comes: nobody may give one twice who cannot know that it is not here yet.
    fn submit(&mut self, key: Key, rng: &mut ChaCha8Rng, now: DateTime<Utc>) -> (u32, String) {
        let before = self.submitted.entry(key).or_default();
        assert!(
            before.taken.is_none(),
            "row {} part {} was taken and is sent again",
            key.0,
            key.1
        );
        assert!(
            !before.given || before.again,
            "row {} part {} is sent again though nobody told the gateway that it may",
            key.0,
            key.1
        );
        (before.given, before.again) = (true, false);
        let draw = rng.random_range(0..100);
        let status = match draw {
            _ if self.well => status::OK,
            0..8 => status::THROTTLED,
            8..11 => status::QUEUE_FULL,
            11..15 => status::SYSTEM_ERROR,
            15..18 => status::BAD_DESTINATION,
            _ => status::OK,
        };
        if status == status::OK {
            self.ids += 1;
            let id = format!("{:08x}", 0x00A0_0000 + self.ids);
            before.taken = Some(id.clone());
            self.receipts_of(key, &id, rng, now);
            return (status, id);
        }
        before.refused = status == status::BAD_DESTINATION;
        (status, String::new())
    }

    fn receipts_of(&mut self, key: Key, id: &str, rng: &mut ChaCha8Rng, now: DateTime<Utc>) {
        let delivered = rng.random_bool(0.85);
        self.submitted.get_mut(&key).unwrap().delivered = Some(delivered);
        for _ in 0..rng.random_range(1..3) {
            self.receipts.push(Due {
                key,
                id: id.to_owned(),
                delivered,
                at: now + Duration::seconds(rng.random_range(0..200)),
                given: false,
                acked: false,
            });
        }
    }

    /// Tells texts and receipts, asks whether somebody is there, takes leave.
    pub(crate) fn turn(&mut self, rng: &mut ChaCha8Rng, now: DateTime<Utc>) {
        if !self.line.as_ref().is_some_and(|line| line.bound) {
            return;
        }
        self.lose_patience(now);
        for no in 0..self.sms.len() {
            for part in 0..self.sms[no].parts.len() {
                let state = &self.sms[no].parts[part];
                if state.acked || state.given || self.fails(rng, 0.4) {
                    continue;
                }
                let pdu = deliver(&self.sms[no], part);
                // Now and then one is told twice at once.
                for _ in 0..if self.fails(rng, 0.1) { 2 } else { 1 } {
                    self.tell(pdu.clone(), Item::Part(no, part), now);
                }
                self.sms[no].parts[part].given = true;
            }
        }
        for no in 0..self.receipts.len() {
            let due = &self.receipts[no];
            if due.acked || due.given || due.at > now || self.fails(rng, 0.4) {
                continue;
            }
            let pdu = receipt(due, rng);
            self.tell(pdu, Item::Receipt(no), now);
            self.receipts[no].given = true;
        }
        if self.fails(rng, 0.05) {
            self.ask(Body::EnquireLink, now);
        }
        if self.fails(rng, 0.02) {
            self.ask(Body::Unbind, now);
        }
    }

    fn ask(&mut self, body: Body, now: DateTime<Utc>) {
        let sequence = self.next_sequence();
        self.say(&Pdu::new(sequence, body), now, None);
    }

    fn next_sequence(&mut self) -> u32 {
        let line = self.line.as_mut().unwrap();
        line.sequence += 1;
        line.sequence
    }

    fn tell(&mut self, mut pdu: Pdu, item: Item, now: DateTime<Utc>) {
        pdu.sequence = self.next_sequence();
        let line = self.line.as_mut().unwrap();
        line.given.insert(pdu.sequence, (item, now));
        self.say(&pdu, now, None);
    }

    /// What was not answered within a minute is told again in the same session.
    fn lose_patience(&mut self, now: DateTime<Utc>) {
        let line = self.line.as_mut().unwrap();
        let late = |at: DateTime<Utc>| now - at > Duration::seconds(60);
        let old: Vec<u32> = line
            .given
            .iter()
            .filter(|(_, (_, at))| late(*at))
            .map(|(sequence, _)| *sequence)
            .collect();
        for sequence in old {
            let given = self.line.as_mut().unwrap().given.remove(&sequence);
            self.untold(given.unwrap().0);
        }
    }

    /// The next frame whose time has come.
    pub(crate) fn next_octets(&mut self, now: DateTime<Utc>) -> Option<Vec<u8>> {
        let line = self.line.as_mut()?;
        let ready = line
            .out
            .iter()
            .position(|letter| letter.not_before <= now)?;
        let letter = line.out.remove(ready)?;
        if let Some(key) = letter.allows {
            self.submitted.get_mut(&key).unwrap().again = true;
        }
        Some(letter.octets)
    }

    /// The beginning of the next frame: all that comes of it when the line breaks.
    pub(crate) fn last_octets(&mut self) -> Vec<u8> {
        let letter = self.line.as_mut().and_then(|line| line.out.pop_front());
        letter.map_or_else(Vec::new, |letter| letter.octets[..7].to_vec())
    }
}

/// Which part of which row: our number is in `user_message_reference`, the part in the user data header.
fn key_of(message: &ShortMessage, tlvs: &[Tlv]) -> Key {
    let row = tlv::number(tlvs, tlv::USER_MESSAGE_REFERENCE).unwrap();
    let part = if message.has_header() {
        message.text[5]
    } else {
        1
    };
    (row, part)
}

fn address(digits: &str) -> Address {
    Address {
        ton: 1,
        npi: 1,
        digits: digits.trim_start_matches('+').to_owned(),
    }
}

fn deliver(sms: &Sms, part: usize) -> Pdu {
    let total = u8::try_from(sms.parts.len()).unwrap();
    let mut message = ShortMessage {
        source: address(sms.from().full()),
        destination: address("20880"),
        text: sms.part(part).as_bytes().to_vec(),
        ..ShortMessage::default()
    };
    if total > 1 {
        message.esm_class = 0x40;
        let no = u8::try_from(part + 1).unwrap();
        let header = [5, 0, 3, sms.reference, total, no];
        message.text = [header.as_slice(), &message.text].concat();
    }
    Pdu::new(0, Body::Deliver(message))
}

/// By text as SMPP 3.4 appendix B has it, or by parameters, or both.
fn receipt(due: &Due, rng: &mut ChaCha8Rng) -> Pdu {
    let word = if due.delivered { "DELIVRD" } else { "UNDELIV" };
    let mut pdu = Pdu::new(
        0,
        Body::Deliver(ShortMessage {
            source: address("255700000100"),
            destination: address("20880"),
            esm_class: 0x04,
            text: format!(
                "id:{} sub:001 dlvrd:001 submit date:2603100510 done date:2603100511 stat:{word} err:000 text:",
                due.id
            )
            .into_bytes(),
            ..ShortMessage::default()
        }),
    );
    if rng.random_bool(0.5) {
        let state = if due.delivered { 2 } else { 5 };
        pdu.tlvs.push(Tlv::octet(tlv::MESSAGE_STATE, state));
    }
    // Only of a text of one part: the number stands for the whole.
    if rng.random_bool(0.5) && due.key.1 == 1 {
        pdu.tlvs
            .push(Tlv::pair(tlv::USER_MESSAGE_REFERENCE, due.key.0));
    }
    pdu
}
