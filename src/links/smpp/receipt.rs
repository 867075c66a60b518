//! Delivery receipts: by parameters where there are any, else by text (SMPP 3.4 appendix B, which calls it vendor specific): keys in any order and case.
//!
//! Ids are brought to one form, for message centres write them one way in an answer and another in a receipt. Does not know which message an id
//! stands for.

use crate::links::smpp::profile::Ids;
use crate::links::smpp::tlv::{self, Tlv};
use crate::store::delivery::DeliveryState;

/// What a receipt says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The message's id in the one form that [`answer_id`] writes too.
    pub id: Option<String>,
    /// Our own number of the message, where the network repeats it.
    pub reference: Option<u16>,
    /// What became of it.
    pub state: DeliveryState,
}

/// The receipt that a text and parameters make; none without a state, or with neither an id nor our own number.
#[must_use]
pub fn of(text: &str, tlvs: &[Tlv], ids: Ids) -> Option<Receipt> {
    let said = read(text);
    let id =
        tlv::text(tlvs, tlv::RECEIPTED_MESSAGE_ID).or_else(|| said.as_ref().map(|s| s.id.clone()));
    let reference = tlv::number(tlvs, tlv::USER_MESSAGE_REFERENCE);
    let error = network_error(tlvs).or_else(|| said.as_ref().and_then(|s| s.error.clone()));
    let state = match (tlv::number(tlvs, tlv::MESSAGE_STATE), &said) {
        (Some(number), _) => of_number(number, error.as_deref()),
        (None, Some(said)) => of_word(&said.state, error.as_deref()),
        (None, None) => return None,
    };
    if id.is_none() && reference.is_none() {
        return None;
    }
    Some(Receipt {
        id: id.map(|id| receipt_id(&id, ids)),
        reference,
        state,
    })
}

/// A receipt that the message centre did not mark as one. Taken for a person's text it would be answered, and the answer bring the next receipt, without
/// end. Four of its keys in one text are no person's.
#[must_use]
pub fn is_unmarked(text: &str, tlvs: &[Tlv]) -> bool {
    let lower = text.to_ascii_lowercase();
    tlv::find(tlvs, tlv::RECEIPTED_MESSAGE_ID).is_some()
        || (lower.starts_with("id:")
            && [" sub:", " dlvrd:", " stat:"]
                .iter()
                .all(|key| lower.contains(key)))
}

/// An id of an answer, in one form: decimal where the profile knows how ids are written, else small letters without leading zeros.
#[must_use]
pub fn answer_id(id: &str, ids: Ids) -> String {
    match ids {
        Ids::Same | Ids::DecimalThenHex => plain(id),
        Ids::HexThenDecimal => from_hex(id),
    }
}

/// The same of a receipt.
fn receipt_id(id: &str, ids: Ids) -> String {
    match ids {
        Ids::Same | Ids::HexThenDecimal => plain(id),
        Ids::DecimalThenHex => from_hex(id),
    }
}

fn plain(id: &str) -> String {
    let id = id.trim().to_ascii_lowercase();
    let short = id.trim_start_matches('0');
    if short.is_empty() {
        id
    } else {
        short.to_owned()
    }
}

fn from_hex(id: &str) -> String {
    let digits = id.trim();
    let digits = digits.strip_prefix("0x").unwrap_or(digits);
    u128::from_str_radix(digits, 16).map_or_else(|_| plain(id), |number| number.to_string())
}

/// `network_error_code`: one octet of network kind, two of the code.
fn network_error(tlvs: &[Tlv]) -> Option<String> {
    match tlv::find(tlvs, tlv::NETWORK_ERROR_CODE)? {
        [kind, high, low] => {
            let code = u16::from_be_bytes([*high, *low]);
            (code != 0).then(|| format!("{code} of network {kind}"))
        }
        _ => None,
    }
}

/// SMPP 3.4 clause 5.2.28.
fn of_number(state: u16, error: Option<&str>) -> DeliveryState {
    let word = match state {
        1 => "ENROUTE",
        2 => "DELIVRD",
        3 => "EXPIRED",
        4 => "DELETED",
        5 => "UNDELIV",
        6 => "ACCEPTD",
        8 => "REJECTD",
        _ => "UNKNOWN",
    };
    of_word(word, error)
}

fn of_word(word: &str, error: Option<&str>) -> DeliveryState {
    let why = || match error.filter(|e| e.bytes().any(|b| b != b'0')) {
        Some(error) => format!("{word}, error {error}"),
        None => word.to_owned(),
    };
    let is = |start: &str| word.starts_with(start);
    if is("DELIV") {
        DeliveryState::Delivered
    } else if is("EXPIR") {
        DeliveryState::Expired
    } else if is("UNDELIV") || is("REJEC") || is("DELET") || is("FAIL") {
        DeliveryState::Failed { why: why() }
    } else if is("ACCEP") || is("ENROUTE") || is("BUFFER") {
        DeliveryState::OnItsWay
    } else {
        DeliveryState::Unknown { why: why() }
    }
}

/// What a receipt's text says. Values are as sent: an error `075` keeps its zero.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReceiptText {
    /// The message centre's id.
    pub id: String,
    /// The state's word, upper case, such as `DELIVRD`.
    pub state: String,
    /// The error code, where there is one.
    pub error: Option<String>,
    /// `done date` as sent, 10 or 12 digits without a zone.
    pub done: Option<String>,
}

/// The value after `key:`, up to the next space; `key` in lower case.
fn value<'a>(text: &'a str, lower: &str, key: &str) -> Option<&'a str> {
    let mut from = 0;
    while let Some(found) = lower.get(from..)?.find(key) {
        let (begin, end) = (from + found, from + found + key.len());
        let starts_word = lower
            .get(..begin)
            .is_some_and(|s| s.is_empty() || s.ends_with([' ', '\n']));
        if starts_word {
            let rest = text.get(end..)?.trim_start_matches(' ');
            return rest
                .split([' ', '\r', '\n'])
                .next()
                .filter(|v| !v.is_empty());
        }
        from = end;
    }
    None
}

/// Reads a receipt's text; `None` without an id and a state. What follows `text:` is the message's own and not searched.
#[must_use]
pub fn read(text: &str) -> Option<ReceiptText> {
    let lower = text.to_ascii_lowercase();
    let end = lower.find(" text:").unwrap_or(lower.len());
    let (text, lower) = (text.get(..end)?, lower.get(..end)?);
    Some(ReceiptText {
        id: value(text, lower, "id:")?.to_owned(),
        state: value(text, lower, "stat:")?.to_ascii_uppercase(),
        error: value(text, lower, "err:").map(str::to_owned),
        done: value(text, lower, "done date:").map(str::to_owned),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Receipts seen in public questions (the second at https://e-com-net.com/article/2299106.htm).
    #[test]
    fn receipts_are_read_as_they_vary() {
        let read_in = |text: &str| read(text).map(|r| (r.id, r.state, r.error));
        let given = |id: &str, state: &str, error: &str| {
            Some((id.to_owned(), state.to_owned(), Some(error.to_owned())))
        };
        let plain = "id:40072910491427628 sub:001 dlvrd:001 submit date:1007291049 done date:1007291049 stat:DELIVRD err:000";
        assert_eq!(read_in(plain), given("40072910491427628", "DELIVRD", "000"));
        assert_eq!(read(plain).unwrap().done.as_deref(), Some("1007291049"));
        let other = "STAT:undeliv err:075 ID:0911897980 Text:id:7 stat:DELIVRD";
        assert_eq!(read_in(other), given("0911897980", "UNDELIV", "075"));
        assert_eq!(read_in("C4 12.5"), None);
    }

    /// States by number: SMPP 3.4 clause 5.2.28. Hexadecimal answers with decimal receipts are common practice (vendors' help pages).
    #[test]
    fn parameters_come_before_the_text_and_ids_have_one_form() {
        let tlvs = [
            Tlv {
                tag: tlv::RECEIPTED_MESSAGE_ID,
                value: b"00AB12\0".to_vec(),
            },
            Tlv::octet(tlv::MESSAGE_STATE, 5),
            Tlv {
                tag: tlv::NETWORK_ERROR_CODE,
                value: vec![3, 0, 27],
            },
            Tlv::pair(tlv::USER_MESSAGE_REFERENCE, 513),
        ];
        let both = of("id:9 stat:DELIVRD err:000", &tlvs, Ids::Same).unwrap();
        assert_eq!(both.id.as_deref(), Some("ab12"));
        assert_eq!(both.reference, Some(513));
        let why = "UNDELIV, error 27 of network 3".to_owned();
        assert_eq!(both.state, DeliveryState::Failed { why });
        assert_eq!(answer_id("00AB12", Ids::Same), "ab12");
        let decimal = of("id:0043794 stat:DELIVRD err:000", &[], Ids::HexThenDecimal).unwrap();
        assert_eq!(decimal.id, Some(answer_id("AB12", Ids::HexThenDecimal)));
        let hex = of("id:0000AB12 stat:ENROUTE", &[], Ids::DecimalThenHex).unwrap();
        assert_eq!(hex.id, Some(answer_id("43794", Ids::DecimalThenHex)));
        assert_eq!(hex.state, DeliveryState::OnItsWay);
        assert_eq!(answer_id("a-b", Ids::HexThenDecimal), "a-b", "no number");
        assert_eq!(answer_id("000", Ids::Same), "000");
        assert_eq!(of("hello", &tlvs[..1], Ids::Same), None, "no state");
        let undeliv = of(
            "id:7 sub:001 dlvrd:000 stat:UNDELIV err:075 text:-PROFILE",
            &[],
            Ids::Same,
        );
        let why = "UNDELIV, error 075".to_owned();
        assert_eq!(undeliv.unwrap().state, DeliveryState::Failed { why });
    }
}
