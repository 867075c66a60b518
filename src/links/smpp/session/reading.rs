//! What a session does with one frame of the peer's.
//!
//! Does not know where frames come from.

use crate::links::smpp::pdu::{Body, DataMessage, Head, Pdu, ShortMessage};
use crate::links::smpp::session::{Ended, Event, Pending, Session, State, Wants};
use crate::links::smpp::status;
use crate::links::smpp::tlv::{self, Tlv};
use chrono::{DateTime, Utc};

impl Session {
    pub(super) fn frame(&mut self, frame: Vec<u8>, now: DateTime<Utc>) {
        let Some(head) = Head::read(&frame) else {
            return;
        };
        let read = match Pdu::read(&frame) {
            Ok(read) => read,
            Err(why) => return self.unread(head, frame, &why.to_string()),
        };
        let flawed = read.broken_tail.map(|_| frame.clone());
        let Pdu {
            status,
            sequence,
            body,
            tlvs,
        } = read.pdu;
        match body {
            Body::BindResp(_, id) => self.bound(status, id),
            Body::SubmitResp(id) => self.answered(sequence, status, id),
            Body::GenericNack => self.nacked(sequence, status),
            Body::Deliver(message) => {
                self.came(sequence, Wants::DeliverResp, message, tlvs, flawed);
            }
            Body::Data(data) => {
                let message = as_message(data, &tlvs);
                self.came(sequence, Wants::DataResp, message, tlvs, flawed);
            }
            Body::EnquireLink => self.say(sequence, Body::EnquireLinkResp, status::OK),
            Body::Unbind => {
                self.say(sequence, Body::UnbindResp, status::OK);
                self.state = State::Ending {
                    until: now + self.limits.answer_wait,
                    unbind: false,
                    how: Ended::ByPeer,
                };
            }
            Body::UnbindResp => self.end(Ended::ByUs),
            // Nothing to do: a sign of life, an answer to nothing of ours, or a courtesy.
            Body::EnquireLinkResp
            | Body::Alert
            | Body::Outbind(_)
            | Body::DeliverResp(_)
            | Body::DataResp(_)
            | Body::QueryResp(..) => {}
            Body::Bind(..) | Body::Submit(_) | Body::Query(..) | Body::Other(_) => {
                self.unread(head, frame, "a command that a client does not take");
            }
        }
        self.go_on_leaving();
    }

    fn bound(&mut self, status: u32, id: String) {
        if self.state != State::Binding {
            return;
        }
        if status == status::OK {
            self.state = State::Bound;
            self.events.push_back(Event::Bound(id));
        } else {
            self.end(Ended::Refused(status));
        }
    }

    fn answered(&mut self, sequence: u32, status: u32, id: String) {
        let pending = self.pending.remove(&sequence).map(|p| p.token);
        // One that comes too late is said all the same: its text was reported as unknown.
        if let Some(token) = pending.or_else(|| self.overdue.remove(&sequence)) {
            self.events.push_back(Event::Answered { token, status, id });
        }
    }

    fn nacked(&mut self, sequence: u32, status: u32) {
        if self.state == State::Binding {
            return self.end(Ended::Refused(status));
        }
        let status = if status == status::OK {
            status::BAD_COMMAND
        } else {
            status
        };
        self.answered(sequence, status, String::new());
    }

    fn came(
        &mut self,
        sequence: u32,
        wants: Wants,
        message: ShortMessage,
        tlvs: Vec<Tlv>,
        flawed: Option<Vec<u8>>,
    ) {
        if self.taking >= self.limits.taking {
            return self.reply(sequence, wants, status::RECEIVER_BUSY);
        }
        self.taking += 1;
        self.events.push_back(Event::Came {
            sequence,
            wants,
            message: Box::new(message),
            tlvs,
            flawed,
        });
    }

    fn unread(&mut self, head: Head, frame: Vec<u8>, why: &str) {
        let owed = match head.command {
            0x05 => Some((head.sequence, Wants::DeliverResp)),
            0x103 => Some((head.sequence, Wants::DataResp)),
            _ => None,
        };
        if owed.is_some() {
            self.taking += 1;
        } else if !head.is_response() {
            self.nack(head.sequence, status::BAD_COMMAND);
        } else if let Some(Pending { token, .. }) = self.pending.remove(&head.sequence) {
            let why = "the network's answer cannot be read";
            self.events.push_back(Event::Unknown { token, why });
        }
        let why = why.to_owned();
        self.events.push_back(Event::Unread { frame, why, owed });
    }
}

fn as_message(data: DataMessage, tlvs: &[Tlv]) -> ShortMessage {
    ShortMessage {
        service_type: data.service_type,
        source: data.source,
        destination: data.destination,
        esm_class: data.esm_class,
        registered_delivery: data.registered_delivery,
        data_coding: data.data_coding,
        text: tlv::find(tlvs, tlv::MESSAGE_PAYLOAD)
            .unwrap_or_default()
            .to_vec(),
        ..ShortMessage::default()
    }
}
