//! `[links.NAME.smpp]`: one account at one message centre.
//!
//! Says what can be set and what each default is for; [`crate::links::smpp::profile`] is what comes of it.

use crate::config::Link;
use crate::links::parts::RefWidth;
use crate::links::smpp::fields::{Address, longest};
use crate::links::smpp::pdu::{Bind, VERSION};
use crate::links::smpp::profile::{Binding, Centre, Ids, Long, Profile, Writing};
use crate::links::smpp::session::Limits;
use crate::links::smpp::transport::Trust;
use crate::links::smpp::ussd::{EndBy, SessionKey, UssdProfile};
use crate::links::ucs2::OctetOrder;
use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// `[links.NAME.smpp]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Smpp {
    /// Host and port of the message centre.
    pub address: String,
    /// `none`, `roots` (the authorities that browsers believe) or the path of a PEM file of authorities.
    pub tls: String,
    /// The name that the certificate must be for; empty: the host of `address`.
    pub tls_name: String,
    /// `transceiver`, or `pair`: a transmitter and a receiver.
    pub bind: String,
    /// The account.
    pub system_id: String,
    /// Its password; SMPP sends it in clear, so use TLS or a tunnel.
    pub password: String,
    /// Empty with most message centres.
    pub system_type: String,
    /// Numbers served; empty with most message centres.
    pub address_range: String,
    /// Texts that wait for their answer.
    pub window: usize,
    /// Messages of the network's that wait for ours.
    pub taking: usize,
    /// Seconds of silence after which the network is asked whether it is there.
    pub enquire_secs: u32,
    /// Seconds that an answer is waited for; then a text is unknown.
    pub answer_secs: u32,
    /// Our number or name, as sender.
    pub source: String,
    /// Type of our number.
    pub source_ton: u8,
    /// Numbering plan of our number.
    pub source_npi: u8,
    /// Type of phones' numbers.
    pub destination_ton: u8,
    /// Numbering plan of phones' numbers.
    pub destination_npi: u8,
    /// `service_type` of texts.
    pub service_type: String,
    /// What `data_coding` 0 means there: `gsm7`, `latin1` or `ascii`.
    pub centre_alphabet: String,
    /// How texts go out: `default`, `latin1` or `ucs2`; what does not fit goes as UCS-2.
    pub send_as: String,
    /// UCS-2 from the message centre: `big` or `little` end first.
    pub ucs2_order: String,
    /// Long texts go out with `udh8`, `udh16`, `sar` or `payload`.
    pub long_by: String,
    /// 0 no receipts, 1 every final one, 2 failures only.
    pub registered_delivery: u8,
    /// `yes`: the network is told how long a text is worth sending; `no`: it is not.
    pub validity: String,
    /// `yes`: our number of a text goes with it, so that a receipt can name one whose answer was lost; `no`: for networks that refuse it.
    pub reference: String,
    /// Ids in answers and in receipts: `same`, `hex-decimal` or `decimal-hex`.
    pub ids: String,
    /// `service_type` of USSD messages.
    pub ussd_service: String,
    /// Operations that begin a dialogue, with commas.
    pub ussd_begins: String,
    /// Operations that bring what was typed, with commas.
    pub ussd_goes_on: String,
    /// The operation of a screen that wants an answer.
    pub ussd_ask: u8,
    /// The operation of the last screen.
    pub ussd_last: u8,
    /// What tells sessions apart: `number` (first octet of `its_session_info`), `both` octets, or the `phone` alone.
    pub ussd_session: String,
    /// What marks the last screen: `operation`, `bit` or `both`.
    pub ussd_end: String,
}

impl Default for Smpp {
    fn default() -> Self {
        Self {
            address: String::new(),
            tls: "none".to_owned(),
            tls_name: String::new(),
            bind: "transceiver".to_owned(),
            system_id: String::new(),
            password: String::new(),
            system_type: String::new(),
            address_range: String::new(),
            // What carriers commonly grant a small account (common practice, no source).
            window: 10,
            // A message centre's own window is rarely larger.
            taking: 256,
            enquire_secs: 30,
            answer_secs: 30,
            source: String::new(),
            source_ton: 0,
            source_npi: 0,
            // International, by the telephone plan: our numbers are E.164.
            destination_ton: 1,
            destination_npi: 1,
            service_type: String::new(),
            centre_alphabet: "gsm7".to_owned(),
            send_as: "default".to_owned(),
            ucs2_order: "big".to_owned(),
            // The form that most message centres and phones read (from memory).
            long_by: "udh8".to_owned(),
            registered_delivery: 1,
            validity: "yes".to_owned(),
            reference: "no".to_owned(),
            ids: "same".to_owned(),
            ussd_service: "USSD".to_owned(),
            ussd_begins: "0,1".to_owned(),
            ussd_goes_on: "18,2,17".to_owned(),
            ussd_ask: 2,
            ussd_last: 17,
            ussd_session: "number".to_owned(),
            ussd_end: "both".to_owned(),
        }
    }
}

/// A value that does not fit: the key below `smpp`, and what was expected.
pub type Misfit = (&'static str, &'static str);

/// What one of the words of `choices` stands for.
pub(crate) fn one_of<T: Copy>(
    key: &'static str,
    wanted: &'static str,
    value: &str,
    choices: &[(&str, T)],
) -> Result<T, Misfit> {
    choices
        .iter()
        .find(|(word, _)| *word == value)
        .map(|(_, choice)| *choice)
        .ok_or((key, wanted))
}

/// `yes` or `no`.
pub(crate) fn yes(key: &'static str, value: &str) -> Result<bool, Misfit> {
    one_of(
        key,
        "\"yes\" or \"no\"",
        value,
        &[("yes", true), ("no", false)],
    )
}

fn short(key: &'static str, value: &str, most: usize) -> Result<String, Misfit> {
    if value.is_ascii() && value.len() < most {
        return Ok(value.to_owned());
    }
    let wanted = match most {
        longest::PASSWORD => "at most 8 ASCII characters: SMPP has no room for more",
        longest::SYSTEM_ID => "at most 15 ASCII characters: SMPP has no room for more",
        longest::SYSTEM_TYPE => "at most 12 ASCII characters: SMPP has no room for more",
        longest::SERVICE_TYPE => "at most 5 ASCII characters: SMPP has no room for more",
        longest::ADDRESS_RANGE => "at most 40 ASCII characters: SMPP has no room for more",
        _ => "at most 20 ASCII characters: SMPP has no room for more",
    };
    Err((key, wanted))
}

fn numbers(key: &'static str, value: &str) -> Result<Vec<u8>, Misfit> {
    let numbers: Result<Vec<u8>, _> = value.split(',').map(|n| n.trim().parse()).collect();
    numbers.map_err(|_| (key, "numbers from 0 to 255 with commas"))
}

impl Smpp {
    /// The same as without the section: it is not shown then.
    #[must_use]
    pub fn is_default(&self) -> bool {
        *self == Self::default()
    }

    /// Whose certificates are believed; none: no TLS.
    #[must_use]
    pub fn trust(&self) -> Option<Trust> {
        match self.tls.as_str() {
            "none" | "" => None,
            "roots" => Some(Trust::WebRoots),
            path => Some(Trust::File(PathBuf::from(path))),
        }
    }

    /// The profile of this account, for `link`.
    ///
    /// # Errors
    /// The first value that does not fit.
    pub fn profile(&self, link: &Link) -> Result<Profile, Misfit> {
        let port = self
            .address
            .rsplit_once(':')
            .map(|(_, port)| port.parse::<u16>());
        if !matches!(port, Some(Ok(1..))) {
            return Err(("address", "a host and a port"));
        }
        if self.system_id.is_empty() {
            return Err(("system_id", "the account's name"));
        }
        let bindings = [
            ("transceiver", Binding::Transceiver),
            ("pair", Binding::Pair),
        ];
        let wanted = "\"transceiver\" or \"pair\"";
        Ok(Profile {
            address: self.address.clone(),
            binding: one_of("bind", wanted, &self.bind, &bindings)?,
            bind: self.bind()?,
            limits: self.limits()?,
            per_second: link.rate_per_second,
            country: link.country.clone(),
            source: Address {
                ton: self.source_ton,
                npi: self.source_npi,
                digits: short("source", &self.source, longest::ADDRESS)?,
            },
            destination_ton: self.destination_ton,
            destination_npi: self.destination_npi,
            service_type: short("service_type", &self.service_type, longest::SERVICE_TYPE)?,
            centre: self.centre()?,
            writing: self.writing()?,
            order: self.order()?,
            long: self.long()?,
            registered_delivery: match self.registered_delivery {
                wanted @ 0..=2 => wanted,
                _ => return Err(("registered_delivery", "0, 1 or 2")),
            },
            validity: yes("validity", &self.validity)?,
            reference: yes("reference", &self.reference)?,
            ids: self.ids()?,
            ussd: self.ussd()?,
        })
    }

    fn bind(&self) -> Result<Bind, Misfit> {
        Ok(Bind {
            system_id: short("system_id", &self.system_id, longest::SYSTEM_ID)?,
            password: short("password", &self.password, longest::PASSWORD)?,
            system_type: short("system_type", &self.system_type, longest::SYSTEM_TYPE)?,
            version: VERSION,
            range: Address {
                ton: 0,
                npi: 0,
                digits: short("address_range", &self.address_range, longest::ADDRESS_RANGE)?,
            },
        })
    }

    fn limits(&self) -> Result<Limits, Misfit> {
        if !(1..=1_000).contains(&self.window) {
            return Err(("window", "from 1 to 1000"));
        }
        if !(1..=4_000).contains(&self.taking) {
            return Err(("taking", "from 1 to 4000"));
        }
        if !(1..=3_600).contains(&self.enquire_secs) {
            return Err(("enquire_secs", "from 1 to 3600"));
        }
        // A lease of two minutes must outlast the wait.
        if !(1..=60).contains(&self.answer_secs) {
            return Err(("answer_secs", "from 1 to 60"));
        }
        let answer_wait = TimeDelta::seconds(i64::from(self.answer_secs));
        Ok(Limits {
            window: self.window,
            taking: self.taking,
            enquire_after: TimeDelta::seconds(i64::from(self.enquire_secs)),
            answer_wait,
            bind_wait: answer_wait.min(TimeDelta::seconds(10)),
        })
    }

    fn centre(&self) -> Result<Centre, Misfit> {
        let choices = [
            ("gsm7", Centre::Gsm7),
            ("latin1", Centre::Latin1),
            ("ascii", Centre::Ascii),
        ];
        let wanted = "\"gsm7\", \"latin1\" or \"ascii\"";
        one_of("centre_alphabet", wanted, &self.centre_alphabet, &choices)
    }

    fn writing(&self) -> Result<Writing, Misfit> {
        let choices = [
            ("default", Writing::Default),
            ("latin1", Writing::Latin1),
            ("ucs2", Writing::Ucs2),
        ];
        let wanted = "\"default\", \"latin1\" or \"ucs2\"";
        one_of("send_as", wanted, &self.send_as, &choices)
    }

    fn order(&self) -> Result<OctetOrder, Misfit> {
        let choices = [("big", OctetOrder::Big), ("little", OctetOrder::Little)];
        one_of(
            "ucs2_order",
            "\"big\" or \"little\"",
            &self.ucs2_order,
            &choices,
        )
    }

    fn long(&self) -> Result<Long, Misfit> {
        let choices = [
            ("udh8", Long::Header(RefWidth::Eight)),
            ("udh16", Long::Header(RefWidth::Sixteen)),
            ("sar", Long::Sar),
            ("payload", Long::Payload),
        ];
        let wanted = "\"udh8\", \"udh16\", \"sar\" or \"payload\"";
        one_of("long_by", wanted, &self.long_by, &choices)
    }

    fn ids(&self) -> Result<Ids, Misfit> {
        let choices = [
            ("same", Ids::Same),
            ("hex-decimal", Ids::HexThenDecimal),
            ("decimal-hex", Ids::DecimalThenHex),
        ];
        let wanted = "\"same\", \"hex-decimal\" or \"decimal-hex\"";
        one_of("ids", wanted, &self.ids, &choices)
    }

    fn ussd(&self) -> Result<UssdProfile, Misfit> {
        let keys = [
            ("number", SessionKey::Number),
            ("both", SessionKey::Both),
            ("phone", SessionKey::Phone),
        ];
        let ends = [
            ("operation", EndBy::Operation),
            ("bit", EndBy::Bit),
            ("both", EndBy::Both),
        ];
        let key = "\"number\", \"both\" or \"phone\"";
        let end = "\"operation\", \"bit\" or \"both\"";
        Ok(UssdProfile {
            service_type: short("ussd_service", &self.ussd_service, longest::SERVICE_TYPE)?,
            begins: numbers("ussd_begins", &self.ussd_begins)?,
            goes_on: numbers("ussd_goes_on", &self.ussd_goes_on)?,
            ask: self.ussd_ask,
            last: self.ussd_last,
            key: one_of("ussd_session", key, &self.ussd_session, &keys)?,
            end: one_of("ussd_end", end, &self.ussd_end, &ends)?,
        })
    }
}
