//! A modem as a value: octets in, octets out. It does what a test tells it, good or bad.
//!
//! Written from 3GPP TS 27.005 and TS 27.007 as the facts of makers' manuals show them, not from the driver.

use clutchline::links::pdu;
use std::collections::{BTreeMap, VecDeque};

/// What goes wrong with the next text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Slip {
    /// No prompt, no answer.
    NoPrompt,
    /// An error in place of the prompt.
    ErrorForPrompt(&'static str),
    /// The message is taken by the network, and nothing is said of it.
    TakenInSilence,
    /// The message is taken, a reference is said, and then nothing.
    TakenWithoutOk,
    /// An answer in place of the reference.
    Says(&'static str),
    /// The modem is pulled out with the message in it.
    Unplugged,
}

/// A modem and its SIM.
#[derive(Debug)]
pub(crate) struct Fake {
    pub(crate) pin: Option<String>,
    pub(crate) tries: u8,
    pub(crate) says_tries: bool,
    pub(crate) sim: &'static str,
    pub(crate) keeps_echo: bool,
    pub(crate) registration: &'static str,
    pub(crate) signal: u8,
    pub(crate) capacity: u16,
    pub(crate) storage: BTreeMap<u16, (u8, String)>,
    pub(crate) reports: BTreeMap<u16, String>,
    /// Said between the announcement of a listed message and the message.
    pub(crate) amid_listing: String,
    /// The next listed messages lose this many digits at their end.
    pub(crate) cuts: u8,
    pub(crate) indications: &'static [&'static str],
    pub(crate) storage_alone: bool,
    pub(crate) refuses: BTreeMap<String, String>,
    pub(crate) slips: VecDeque<Slip>,
    pub(crate) sent: Vec<String>,
    pub(crate) heard: Vec<String>,
    pub(crate) gone: bool,
    pub(crate) deaf: bool,
    pub(crate) echo: bool,
    pub(crate) text_mode: bool,
    pub(crate) memory: String,
    pub(crate) reference: u8,
    pub(crate) line: Vec<u8>,
    pub(crate) message: Option<usize>,
}

impl Default for Fake {
    fn default() -> Self {
        Self {
            pin: None,
            tries: 3,
            says_tries: true,
            sim: "READY",
            keeps_echo: false,
            registration: "0,1",
            signal: 21,
            capacity: 20,
            storage: BTreeMap::new(),
            reports: BTreeMap::new(),
            amid_listing: String::new(),
            cuts: 0,
            indications: &["2,1,0,1,0"],
            storage_alone: false,
            refuses: BTreeMap::new(),
            slips: VecDeque::new(),
            sent: Vec::new(),
            heard: Vec::new(),
            gone: false,
            deaf: false,
            echo: true,
            text_mode: true,
            memory: "SM".to_owned(),
            reference: 213,
            line: Vec::new(),
            message: None,
        }
    }
}

impl Fake {
    /// A locked SIM.
    pub(crate) fn locked(pin: &str) -> Self {
        Self {
            pin: Some(pin.to_owned()),
            sim: "SIM PIN",
            ..Self::default()
        }
    }

    /// A message comes by air: stored, and told of where that was asked for. The unsolicited code.
    pub(crate) fn arrives(&mut self, hex: &str) -> String {
        let taken = |index: &u16| self.storage.contains_key(index);
        let Some(index) = (1..=self.capacity).find(|index| !taken(index)) else {
            return "\r\n^SMMEMFULL: \"SM\"\r\n".to_owned();
        };
        self.storage.insert(index, (0, hex.to_owned()));
        format!("\r\n+CMTI: \"SM\",{index}\r\n")
    }

    /// How often a command was heard.
    pub(crate) fn times(&self, command: &str) -> usize {
        self.heard.iter().filter(|heard| *heard == command).count()
    }

    /// Octets from the gateway; what the modem says to them.
    pub(crate) fn hear(&mut self, octets: &[u8]) -> Vec<u8> {
        let mut said = Vec::new();
        for octet in octets {
            if self.gone || self.deaf {
                continue;
            }
            if self.echo {
                said.push(*octet);
            }
            said.extend(self.octet(*octet).into_bytes());
        }
        said
    }

    fn octet(&mut self, octet: u8) -> String {
        match (octet, self.message) {
            (0x1B, Some(_)) => {
                self.message = None;
                self.line.clear();
                "\r\nOK\r\n".to_owned()
            }
            (0x1A, Some(length)) => {
                let text = std::mem::take(&mut self.line);
                self.message = None;
                self.send(&String::from_utf8(text).unwrap(), length)
            }
            (b'\r', None) => {
                let line = String::from_utf8_lossy(&self.line).into_owned();
                self.line.clear();
                let begun_and_left = line.trim_start_matches(|c: char| c.is_control());
                let line = line.trim_matches(|c: char| c.is_control());
                if line.is_empty() {
                    return String::new();
                }
                // A line that a process before had begun is no command, whatever its beginning would have meant.
                if begun_and_left.contains('\u{1B}') {
                    return "\r\nERROR\r\n".to_owned();
                }
                self.heard.push(line.to_owned());
                self.command(line)
            }
            _ => {
                self.line.push(octet);
                String::new()
            }
        }
    }

    fn command(&mut self, line: &str) -> String {
        let ok = "\r\nOK\r\n".to_owned();
        let error = |code: &str| format!("\r\n{code}\r\n");
        if let Some(why) = self.refuses.get(line) {
            return error(why);
        }
        if let Some(pin) = line.strip_prefix("AT+CPIN=") {
            return self.try_pin(pin.trim_matches('"'));
        }
        if self.sim != "READY" && (line.starts_with("AT+CM") || line.starts_with("AT+CPMS")) {
            return error("+CMS ERROR: 311");
        }
        if let Some(length) = line.strip_prefix("AT+CMGS=") {
            return self.ask(length.parse().unwrap());
        }
        if let Some(index) = line.strip_prefix("AT+CMGD=") {
            let index = index.parse().unwrap();
            let was_there = match self.memory.as_str() {
                "SR" => self.reports.remove(&index).is_some(),
                _ => self.storage.remove(&index).is_some(),
            };
            return if was_there {
                ok
            } else {
                error("+CMS ERROR: 321")
            };
        }
        if let Some(memories) = line.strip_prefix("AT+CPMS=") {
            if self.storage_alone && memories.contains(',') {
                return error("+CMS ERROR: 302");
            }
            memories
                .split(',')
                .next()
                .unwrap()
                .trim_matches('"')
                .clone_into(&mut self.memory);
            let (used, total) = (self.storage.len(), self.capacity);
            return format!(
                "\r\n+CPMS: {used},{total},{used},{total},{used},{total}\r\n\r\nOK\r\n"
            );
        }
        if let Some(wanted) = line.strip_prefix("AT+CNMI=") {
            let known = self.indications.contains(&wanted);
            return if known { ok } else { error("+CMS ERROR: 303") };
        }
        match line {
            "AT" | "AT+CMEE=1" | "AT+CSMS=0" | "AT+CMMS=1" => ok,
            "ATE0" => {
                self.echo = self.keeps_echo;
                ok
            }
            "AT+CPIN?" if self.sim == "NONE" => error("+CME ERROR: 10"),
            "AT+CPIN?" => format!("\r\n+CPIN: {}\r\n\r\nOK\r\n", self.sim),
            "AT+CPINR=\"SIM PIN\"" if self.says_tries => {
                format!("\r\n+CPINR: SIM PIN,{},3\r\n\r\nOK\r\n", self.tries)
            }
            "AT+CREG?" => format!("\r\n+CREG: {}\r\n\r\nOK\r\n", self.registration),
            "AT+CSQ" => format!("\r\n+CSQ: {},99\r\n\r\nOK\r\n", self.signal),
            "AT+CSCA?" => "\r\n+CSCA: \"+27381000015\",145\r\n\r\nOK\r\n".to_owned(),
            "AT+CMGF=0" => {
                self.text_mode = false;
                ok
            }
            "AT+CMGL=4" => self.listing(),
            _ => error("ERROR"),
        }
    }

    fn try_pin(&mut self, pin: &str) -> String {
        if self.pin.as_deref() == Some(pin) {
            (self.sim, self.tries) = ("READY", 3);
            return "\r\nOK\r\n\r\n+CPIN: READY\r\n".to_owned();
        }
        self.tries -= 1;
        if self.tries == 0 {
            self.sim = "SIM PUK";
        }
        "\r\n+CME ERROR: 16\r\n".to_owned()
    }

    fn listing(&mut self) -> String {
        let mut said = String::new();
        let cut = usize::from(self.cuts > 0);
        self.cuts = self.cuts.saturating_sub(1);
        let stored: Vec<(u16, u8, String)> = match self.memory.as_str() {
            "SR" => self
                .reports
                .iter()
                .map(|(i, hex)| (*i, 0, hex.clone()))
                .collect(),
            _ => self
                .storage
                .iter()
                .map(|(i, (stat, hex))| (*i, *stat, hex.clone()))
                .collect(),
        };
        for (index, status, hex) in stored {
            let length = tpdu_octets(&hex);
            let amid = std::mem::take(&mut self.amid_listing);
            let hex = &hex[..hex.len() - 2 * cut];
            said.push_str(&format!(
                "\r\n+CMGL: {index},{status},,{length}\r\n{amid}{hex}\r\n"
            ));
        }
        said + "\r\nOK\r\n"
    }

    fn ask(&mut self, length: usize) -> String {
        assert!(!self.text_mode, "a text was sent in text mode");
        match self.slips.front() {
            Some(Slip::NoPrompt) => {
                self.slips.pop_front();
                String::new()
            }
            Some(Slip::ErrorForPrompt(why)) => {
                let said = format!("\r\n{why}\r\n");
                self.slips.pop_front();
                said
            }
            _ => {
                self.message = Some(length);
                "\r\n> ".to_owned()
            }
        }
    }

    fn send(&mut self, hex: &str, length: usize) -> String {
        assert_eq!(
            tpdu_octets(hex),
            length,
            "the length that was said is not the message's"
        );
        let slip = self.slips.pop_front();
        if !matches!(slip, Some(Slip::Says(_))) {
            self.sent.push(hex.to_owned());
            self.reference = self.reference.wrapping_add(1);
        }
        let reference = self.reference;
        match slip {
            None => format!("\r\n+CMGS: {reference}\r\n\r\nOK\r\n"),
            Some(Slip::TakenWithoutOk) => format!("\r\n+CMGS: {reference}\r\n"),
            Some(Slip::Says(what)) => format!("\r\n{what}\r\n"),
            Some(Slip::Unplugged) => {
                self.gone = true;
                String::new()
            }
            Some(_) => String::new(),
        }
    }
}

/// Octets of a message without the service centre's address.
pub(crate) fn tpdu_octets(hex: &str) -> usize {
    let octets = pdu::octets(hex).unwrap();
    octets.len() - 1 - usize::from(octets[0])
}
