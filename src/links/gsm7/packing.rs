//! Septets packed into octets (3GPP TS 23.038 clause 6.1.2): for SMS, after a header, and for USSD.
//!
//! Works on numbers from 0 to 127; does not know what characters they are.

/// Carriage return, the USSD filler.
const CR: u8 = 0x0D;

/// Most octets of one USSD string (TS 23.038 clause 5 with 3GPP TS 24.090): 160, which carry 182 septets.
pub const USSD_OCTETS: usize = 160;

/// Bits between a header of `header_octets` octets (its length octet included) and the first septet, so that the text
/// begins on a septet boundary (3GPP TS 23.040 clause 9.2.3.24): 6 octets, 1 bit; 7 octets, none.
#[must_use]
pub const fn fill_bits(header_octets: usize) -> u8 {
    ((7 - (header_octets * 8) % 7) % 7) as u8
}

/// Packs septets, least significant bit first, after `fill` zero bits.
#[must_use]
pub fn pack(septets: &[u8], fill: u8) -> Vec<u8> {
    let mut octets = Vec::with_capacity((septets.len() * 7).div_ceil(8) + 1);
    let (mut held, mut bits) = (0_u32, u32::from(fill % 7));
    for septet in septets {
        held |= u32::from(septet & 0x7F) << bits;
        bits += 7;
        while bits >= 8 {
            octets.push(held.to_le_bytes()[0]);
            held >>= 8;
            bits -= 8;
        }
    }
    if bits > 0 && !septets.is_empty() {
        octets.push(held.to_le_bytes()[0]);
    }
    octets
}

/// Unpacks at most `count` septets after `fill` bits; fewer where the octets end earlier.
#[must_use]
pub fn unpack(octets: &[u8], count: usize, fill: u8) -> Vec<u8> {
    let mut septets = Vec::with_capacity(count.min(octets.len() * 8 / 7));
    let (mut held, mut bits, mut skip) = (0_u32, 0_u32, u32::from(fill % 7));
    for octet in octets {
        held |= u32::from(*octet) << bits;
        bits += 8;
        if skip > 0 {
            held >>= skip;
            bits -= skip;
            skip = 0;
        }
        while bits >= 7 {
            if septets.len() == count {
                return septets;
            }
            septets.push(held.to_le_bytes()[0] & 0x7F);
            held >>= 7;
            bits -= 7;
        }
    }
    septets
}

/// Packs a USSD string: seven spare bits carry a carriage return, and a text that itself ends in one on an octet boundary
/// gets a second (TS 23.038 clause 6.1.2.3.1), so that the reader can tell filler from text.
#[must_use]
pub fn pack_ussd(septets: &[u8]) -> Vec<u8> {
    let mut padded = septets.to_vec();
    let on_boundary = septets.len().is_multiple_of(8);
    if septets.len() % 8 == 7 || (on_boundary && septets.last() == Some(&CR)) {
        padded.push(CR);
    }
    pack(&padded, 0)
}

/// Unpacks a USSD string and takes off the filler that [`pack_ussd`] may have put there.
#[must_use]
pub fn unpack_ussd(octets: &[u8]) -> Vec<u8> {
    let mut septets = unpack(octets, octets.len() * 8 / 7, 0);
    // A filler can only stand in the eighth septet of a group, or just after one that ends in a carriage return.
    let whole_groups = septets.len().is_multiple_of(8);
    let filled = whole_groups && septets.last() == Some(&CR);
    let doubled = septets.len() % 8 == 1 && septets.ends_with(&[CR, CR]);
    if filled || doubled {
        septets.pop();
    }
    septets
}

#[cfg(test)]
mod tests {
    use super::*;

    /// TS 23.040: the text after a header begins on a septet boundary.
    #[test]
    fn fill_bits_follow_the_header() {
        assert_eq!([6, 7, 0, 3].map(fill_bits), [1, 0, 0, 4]);
    }

    #[test]
    fn a_count_beyond_the_octets_stops_at_the_octets() {
        assert_eq!(unpack(&[0xE8, 0x32], 10, 0), [0x68, 0x65]);
        assert_eq!(unpack(&[], 10, 3), Vec::<u8>::new());
    }
}
