//! One line from a modem as a value: result codes, answers and unsolicited codes of 3GPP TS 27.005 and TS 27.007.
//!
//! Never fails: a line that says nothing known is [`Reply::Other`]. Does not know which command a line answers.

use crate::links::modem::faults::Fault;

/// What a line says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reply {
    /// The command is done.
    Ok,
    /// The command failed.
    Failed(Fault),
    /// `+CPIN:` what the SIM waits for.
    Pin(SimWants),
    /// `+CPINR:` tries that are left for the PIN.
    PinTries(u8),
    /// `+CREG:` or `+CEREG:` with one value, unsolicited, or the second of an answer.
    Registration(Registration),
    /// `+CSQ:` 0 to 31; none where the modem does not know.
    Signal(Option<u8>),
    /// `+CSCA:` whether the SIM has a service centre's number.
    Centre(bool),
    /// `+CPMS:` used and total places of the first memory.
    Storage(u16, u16),
    /// `+CMGL:` a message is in this place, in this state; octets of its TPDU. The message is the next line.
    Listed {
        /// Its place.
        index: u16,
        /// 0 unread, 1 read, 2 unsent, 3 sent.
        status: u8,
        /// Octets without the service centre's address.
        length: usize,
    },
    /// `+CMTI:` or `+CDSI:` something was put into this memory.
    Stored(String),
    /// `+CMT:` or `+CDS:` a message that is stored nowhere; it is the next line.
    Direct(usize),
    /// `+CMGS:` the message was taken under this reference.
    Taken(Option<u8>),
    /// The storage is full, in the words of some makers.
    StorageFull,
    /// The modem has just started.
    Started,
    /// Hexadecimal digits: a message.
    Hex(String),
    /// Anything else.
    Other,
}

/// What the SIM waits for (TS 27.007 clause 8.3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SimWants {
    /// Nothing.
    Nothing,
    /// Its PIN.
    Pin,
    /// Its PUK: the PIN was wrong too often.
    Puk,
    /// A code of the phone or the network.
    Other,
}

/// How the modem stands with its network (TS 27.007 clause 7.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Registration {
    /// Not registered, not looking.
    Idle,
    /// Registered at home.
    Home,
    /// Looking for a network.
    Searching,
    /// The network refused it.
    Denied,
    /// Unknown, such as out of reach.
    Unknown,
    /// Registered with another network.
    Roaming,
}

impl Registration {
    const fn of(stat: u8) -> Self {
        match stat {
            0 => Self::Idle,
            // 6 and 7 are for short messages only: all that is wanted here.
            1 | 6 => Self::Home,
            2 => Self::Searching,
            3 => Self::Denied,
            5 | 7 => Self::Roaming,
            _ => Self::Unknown,
        }
    }

    /// Texts can be sent.
    #[must_use]
    pub const fn is_registered(self) -> bool {
        matches!(self, Self::Home | Self::Roaming)
    }

    /// For people.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Idle => "not registered",
            Self::Home => "registered at home",
            Self::Searching => "searching for a network",
            Self::Denied => "refused by the network",
            Self::Unknown => "registration unknown",
            Self::Roaming => "registered, roaming",
        }
    }
}

impl Reply {
    /// Reads a line.
    #[must_use]
    pub fn read(line: &str) -> Self {
        // An echo of a prompt may stand before it.
        let line = line.trim_start_matches(['>', ' ']).trim_end();
        match line {
            "OK" => return Self::Ok,
            "ERROR" | "COMMAND NOT SUPPORT" => return Self::Failed(Fault::Plain),
            "RDY" | "^BOOT" | "*PSREADY" => return Self::Started,
            _ => {}
        }
        let Some((name, rest)) = line.split_once(':') else {
            return Self::bare(line);
        };
        let rest = rest.trim();
        let values = values(rest);
        let first = values.first().map(String::as_str);
        let number = |at: usize| values.get(at).and_then(|v| v.parse::<u16>().ok());
        let last = || values.last().and_then(|v| v.parse::<usize>().ok());
        let read = match name {
            "+CMS ERROR" => Some(Self::Failed(Fault::cms(rest))),
            "+CME ERROR" => Some(Self::Failed(Fault::cme(rest))),
            "+CPIN" => Some(Self::Pin(sim_wants(rest))),
            "+CPINR" => number(1).map(|left| Self::PinTries(u8::try_from(left).unwrap_or(u8::MAX))),
            "+CREG" | "+CEREG" | "+CGREG" => registration(&values),
            "+CSQ" => number(0).map(|rssi| {
                let known = u8::try_from(rssi).ok().filter(|rssi| *rssi <= 31);
                Self::Signal(known)
            }),
            "+CSCA" => Some(Self::Centre(first.is_some_and(|c| !c.is_empty()))),
            "+CPMS" => storage(&values),
            "+CMGL" => listed(&values),
            "+CMTI" | "+CDSI" => first.map(|memory| Self::Stored(memory.to_owned())),
            "+CMT" | "+CDS" => last().map(Self::Direct),
            "+CMGS" => Some(Self::Taken(number(0).and_then(|n| u8::try_from(n).ok()))),
            // Of two makers; the memory that is full follows.
            "+WMGF" | "^SMMEMFULL" => Some(Self::StorageFull),
            "^BOOT" => Some(Self::Started),
            _ => None,
        };
        read.unwrap_or(Self::Other)
    }

    fn bare(line: &str) -> Self {
        // The shortest message has more than four octets, and no word has digits only.
        let is_hex = line.len() >= 8 && line.bytes().all(|b| b.is_ascii_hexdigit());
        if is_hex {
            Self::Hex(line.to_ascii_uppercase())
        } else {
            Self::Other
        }
    }
}

/// Values between commas, without quotes; commas inside quotes do not part.
fn values(text: &str) -> Vec<String> {
    let (mut values, mut value, mut quoted) = (Vec::new(), String::new(), false);
    for letter in text.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => values.push(std::mem::take(&mut value)),
            _ => value.push(letter),
        }
    }
    values.push(value);
    values.iter().map(|v| v.trim().to_owned()).collect()
}

fn sim_wants(text: &str) -> SimWants {
    match text {
        // The second PIN guards dialling lists only.
        "READY" | "SIM PIN2" | "SIM PUK2" => SimWants::Nothing,
        "SIM PIN" => SimWants::Pin,
        "SIM PUK" => SimWants::Puk,
        _ => SimWants::Other,
    }
}

/// An answer is `<n>,<stat>` and what may follow; an unsolicited code `<stat>`, then an area in quotes.
fn registration(values: &[String]) -> Option<Reply> {
    let digit = |at: usize| values.get(at)?.parse::<u8>().ok();
    // An area code such as 1A2B is longer than a state.
    let second = values.get(1).filter(|v| v.len() == 1).and(digit(1));
    let stat = second.or_else(|| digit(0))?;
    Some(Reply::Registration(Registration::of(stat)))
}

/// `AT+CPMS=` answers used and total; `AT+CPMS?` the memory's name before them.
fn storage(values: &[String]) -> Option<Reply> {
    let number = |at: usize| values.get(at)?.parse::<u16>().ok();
    let at = usize::from(number(0).is_none());
    Some(Reply::Storage(number(at)?, number(at + 1)?))
}

/// `<index>,<stat>,[<alpha>],<length>`.
fn listed(values: &[String]) -> Option<Reply> {
    Some(Reply::Listed {
        index: values.first()?.parse().ok()?,
        status: values.get(1)?.parse().ok()?,
        length: values.last()?.parse().ok()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forms of TS 27.005 and TS 27.007 (from memory), and of the makers' manuals that name each.
    #[test]
    fn every_line_that_counts_is_read() {
        let listed = |index, status, length| Reply::Listed {
            index,
            status,
            length,
        };
        for (line, said) in [
            ("OK", Reply::Ok),
            ("ERROR", Reply::Failed(Fault::Plain)),
            ("+CMS ERROR: 332", Reply::Failed(Fault::Cms(332))),
            ("+CME ERROR: 10", Reply::Failed(Fault::Cme(10))),
            ("+CPIN: READY", Reply::Pin(SimWants::Nothing)),
            ("+CPIN: SIM PIN", Reply::Pin(SimWants::Pin)),
            ("+CPIN: SIM PUK", Reply::Pin(SimWants::Puk)),
            ("+CPIN: PH-NET PIN", Reply::Pin(SimWants::Other)),
            ("+CPINR: SIM PIN,3,3", Reply::PinTries(3)),
            ("+CREG: 0,1", Reply::Registration(Registration::Home)),
            ("+CREG: 5", Reply::Registration(Registration::Roaming)),
            (
                "+CREG: 1,\"1A2B\",\"00C3\"",
                Reply::Registration(Registration::Home),
            ),
            (
                "+CREG: 2,2,\"1A2B\",\"00C3\"",
                Reply::Registration(Registration::Searching),
            ),
            ("+CSQ: 21,99", Reply::Signal(Some(21))),
            ("+CSQ: 99,99", Reply::Signal(None)),
            ("+CSCA: \"+27381000015\",145", Reply::Centre(true)),
            ("+CSCA: \"\",129", Reply::Centre(false)),
            ("+CPMS: 3,20,3,20,3,20", Reply::Storage(3, 20)),
            ("+CPMS: \"SM\",3,20,\"SM\",3,20", Reply::Storage(3, 20)),
            ("+CMGL: 3,1,,30", listed(3, 1, 30)),
            ("+CMGL: 3,0,\"A, B\",30", listed(3, 0, 30)),
            ("+CMTI: \"SM\",3", Reply::Stored("SM".to_owned())),
            ("+CDSI: \"SR\",1", Reply::Stored("SR".to_owned())),
            ("+CDS: 25", Reply::Direct(25)),
            ("+CMT: ,24", Reply::Direct(24)),
            ("+CMGS: 214", Reply::Taken(Some(214))),
            ("> +CMGS: 1", Reply::Taken(Some(1))),
            ("^SMMEMFULL: \"SM\"", Reply::StorageFull),
            ("0006d60b911326", Reply::Hex("0006D60B911326".to_owned())),
            ("RING", Reply::Other),
            ("+CMGL: what", Reply::Other),
        ] {
            assert_eq!(Reply::read(line), said, "{line}");
        }
    }
}
