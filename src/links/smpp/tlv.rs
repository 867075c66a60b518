//! Optional parameters of SMPP 3.4 (clause 5.3): tag, length, value. One that is not known is kept as it came.
//!
//! Does not know which command carries which.

/// Port of the receiving application.
pub const DESTINATION_PORT: u16 = 0x020B;
/// Port of the sending application.
pub const SOURCE_PORT: u16 = 0x020A;
/// Our own number of a message; some message centres repeat it in the receipt.
pub const USER_MESSAGE_REFERENCE: u16 = 0x0204;
/// Number that the parts of one text share.
pub const SAR_REFERENCE: u16 = 0x020C;
/// How many parts.
pub const SAR_TOTAL: u16 = 0x020E;
/// Which part, from 1.
pub const SAR_PART: u16 = 0x020F;
/// Version of the message centre.
pub const SC_INTERFACE_VERSION: u16 = 0x0210;
/// The whole text, where `short_message` is empty.
pub const MESSAGE_PAYLOAD: u16 = 0x0424;
/// Id of the message that a receipt is about.
pub const RECEIPTED_MESSAGE_ID: u16 = 0x001E;
/// Its state.
pub const MESSAGE_STATE: u16 = 0x0427;
/// The network's error: one octet of network kind, two of code.
pub const NETWORK_ERROR_CODE: u16 = 0x0423;
/// Which step of a USSD dialogue.
pub const USSD_SERVICE_OP: u16 = 0x0501;
/// Which USSD session, and which unit of it.
pub const ITS_SESSION_INFO: u16 = 0x1383;

/// One optional parameter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tlv {
    /// What it is.
    pub tag: u16,
    /// Its octets.
    pub value: Vec<u8>,
}

impl Tlv {
    /// One octet.
    #[must_use]
    pub fn octet(tag: u16, value: u8) -> Self {
        Self {
            tag,
            value: vec![value],
        }
    }

    /// Two octets.
    #[must_use]
    pub fn pair(tag: u16, value: u16) -> Self {
        Self {
            tag,
            value: value.to_be_bytes().to_vec(),
        }
    }

    /// Writes it. A value longer than its length field can say is cut: [`crate::links::smpp::pdu::Pdu::write`] refuses it before.
    pub(crate) fn write(&self, out: &mut Vec<u8>) {
        let length = u16::try_from(self.value.len()).unwrap_or(u16::MAX);
        out.extend(self.tag.to_be_bytes());
        out.extend(length.to_be_bytes());
        out.extend(self.value.iter().take(usize::from(length)));
    }
}

/// Reads parameters until the octets end. What does not hold together at the end is handed back: the parameters before it stand.
#[must_use]
pub fn read(mut octets: &[u8]) -> (Vec<Tlv>, Option<Vec<u8>>) {
    let mut tlvs = Vec::new();
    while !octets.is_empty() {
        let read = octets
            .split_first_chunk::<4>()
            .and_then(|([t1, t2, l1, l2], rest)| {
                let length = usize::from(u16::from_be_bytes([*l1, *l2]));
                let (value, rest) = rest.split_at_checked(length)?;
                Some((u16::from_be_bytes([*t1, *t2]), value.to_vec(), rest))
            });
        let Some((tag, value, rest)) = read else {
            return (tlvs, Some(octets.to_vec()));
        };
        tlvs.push(Tlv { tag, value });
        octets = rest;
    }
    (tlvs, None)
}

/// The first parameter of a tag.
#[must_use]
pub fn find(tlvs: &[Tlv], tag: u16) -> Option<&[u8]> {
    tlvs.iter()
        .find(|tlv| tlv.tag == tag)
        .map(|tlv| tlv.value.as_slice())
}

/// Its value as a number of one or two octets; wider ones are not numbers that we use.
#[must_use]
pub fn number(tlvs: &[Tlv], tag: u16) -> Option<u16> {
    match find(tlvs, tag)? {
        [low] => Some(u16::from(*low)),
        [high, low] => Some(u16::from_be_bytes([*high, *low])),
        _ => None,
    }
}

/// Its value as text up to the first NUL; none where it is empty or not ASCII.
#[must_use]
pub fn text(tlvs: &[Tlv], tag: u16) -> Option<String> {
    let value = find(tlvs, tag)?;
    let end = value.iter().position(|b| *b == 0).unwrap_or(value.len());
    let value = value.get(..end)?;
    (!value.is_empty() && value.is_ascii()).then(|| String::from_utf8_lossy(value).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_before_a_broken_end_stands() {
        let octets = [
            0x02, 0x0C, 0, 2, 0, 7, 0x99, 0x99, 0, 1, 5, 0x00, 0x1E, 0, 9, b'x',
        ];
        let (tlvs, rest) = read(&octets);
        assert_eq!(number(&tlvs, SAR_REFERENCE), Some(7));
        assert_eq!(
            find(&tlvs, 0x9999),
            Some([5].as_slice()),
            "unknown ones are kept"
        );
        assert_eq!(rest, Some(octets[11..].to_vec()));
        let named = [Tlv {
            tag: RECEIPTED_MESSAGE_ID,
            value: b"a1\0".to_vec(),
        }];
        assert_eq!(text(&named, RECEIPTED_MESSAGE_ID).as_deref(), Some("a1"));
    }
}
