//! GSM-7 tables and packing.

use clutchline::links::gsm7::packing::{
    USSD_OCTETS, fill_bits, pack, pack_ussd, unpack, unpack_ussd,
};
use clutchline::links::gsm7::{Shift, decode, encode, encode_with, has_locking, has_single};
use clutchline::links::pdu::hex;
use clutchline::units::septets::{DEFAULT, EXTENSION, septets};
use proptest::prelude::*;

/// Every position of every table, as PyPI gsmcodecs 1.0.0 reads it (and gsm0338 1.1.0, where it has the table): written
/// by `tests/reference/national_tables.py check`. Both state 3GPP TS 23.038.
#[test]
fn every_position_of_every_table_reads_as_other_codecs_read_it() {
    let mut compared = 0;
    for row in include_str!("../reference/gsm7_national.tsv")
        .lines()
        .skip(1)
    {
        let [shift, id, septet, point, _] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("{row}");
        };
        let (id, septet) = (
            id.parse::<u8>().unwrap(),
            u8::from_str_radix(septet, 16).unwrap(),
        );
        let expected = point
            .strip_prefix("U+")
            .map(|p| char::from_u32(u32::from_str_radix(p, 16).unwrap()).unwrap());
        let read = if shift == "locking" {
            assert!(id == 0 || has_locking(id));
            decode(
                &[septet],
                Shift {
                    locking: id,
                    single: 0,
                },
            )
        } else {
            assert!(id == 0 || has_single(id));
            decode(
                &[0x1B, septet],
                Shift {
                    locking: 0,
                    single: id,
                },
            )
        };
        // Where a single shift table has nothing, TS 23.038 clause 6.2.1.2.2 shows the locking table's character.
        let fallback = if shift == "locking" {
            '\u{FFFD}'
        } else {
            DEFAULT[usize::from(septet)]
        };
        assert_eq!(read, expected.unwrap_or(fallback).to_string(), "{row}");
        compared += 1;
    }
    assert_eq!(compared, 27 * 127, "13 locking and 14 single shift tables");
    assert!(!has_locking(2), "Spanish has a single shift table only");
}

/// PyPI gsmcodecs' own documentation: `'Buenos días'.encode('gsm23.038-0-2')`.
#[test]
fn a_spanish_phone_is_understood() {
    let spanish = Shift {
        locking: 0,
        single: 2,
    };
    assert_eq!(decode(b"Buenos d\x1bias", spanish), "Buenos días");
    assert_eq!(
        encode_with("Buenos días", spanish).unwrap(),
        b"Buenos d\x1bias"
    );
}

/// Packed values from the tests of PyPI python-gsmmodem-new 0.13.0, and 3GPP TS 23.038 clause 6.1.2.1.
#[test]
fn texts_pack_to_published_octets() {
    for (text, count, packed) in [
        ("hellohello", 10, "E8329BFD4697D9EC37"),
        ("Hello World!", 12, "C8329BFD065DDF72363904"),
        ("12345678", 8, "31D98C56B3DD70"),
        ("123", 3, "31D90C"),
        ("[{abc}]~", 13, "1BDE0615168F37A98D6FD303"),
        ("a[]{}€", 11, "E10D6FE3DBA036A94D19"),
        ("{åΦΓΛΩΠΨΣΘ€}", 15, "1BD44332A1542C174C6653DEA400"),
    ] {
        let written = encode(text).unwrap();
        assert_eq!(written.len(), count, "{text}");
        assert_eq!(Some(count), septets(text));
        let octets = pack(&written, 0);
        assert_eq!(hex(&octets), packed, "{text}");
        assert_eq!(decode(&unpack(&octets, count, 0), Shift::default()), text);
    }
}

/// USSD strings end in a carriage return where seven bits are left (3GPP TS 23.038 clause 6.1.2.3.1); values from the
/// documentation of the USSD coding of docs.rs serial-codec 0.1.0 and computed from the clause.
#[test]
fn ussd_fills_with_carriage_returns_and_sms_with_zeros() {
    for (text, packed) in [
        ("1234567", "31D98C56B3DD1A"),
        ("*100#", "AA180C3602"),
        ("*384#", "AA198E3602"),
        ("*123*1#", "AA986CA68A8D1A"),
    ] {
        let octets = pack_ussd(&encode(text).unwrap());
        assert_eq!(hex(&octets), packed, "{text}");
        assert_eq!(decode(&unpack_ussd(&octets), Shift::default()), text);
    }
    assert_eq!(hex(&pack(&encode("1234567").unwrap(), 0)), "31D98C56B3DD00");
    let ends_in_cr = encode("1234567\r").unwrap();
    assert_eq!(
        pack_ussd(&ends_in_cr).len(),
        8,
        "a second carriage return says that the first is text"
    );
    assert_eq!(unpack_ussd(&pack_ussd(&ends_in_cr)), ends_in_cr);
    assert_eq!(pack_ussd(&[0x41; 182]).len(), USSD_OCTETS);
    assert_eq!(pack_ussd(&[0x41; 183]).len(), USSD_OCTETS + 1);
}

#[test]
fn fill_bits_put_the_text_on_a_septet_boundary() {
    for header in 1..=139 {
        assert_eq!((header * 8 + usize::from(fill_bits(header))) % 7, 0);
        assert!(fill_bits(header) < 7);
    }
}

fn writable() -> impl Strategy<Value = String> {
    let all: Vec<char> = DEFAULT
        .into_iter()
        .filter(|c| *c != '\u{1b}')
        .chain(EXTENSION.map(|(_, c)| c))
        .collect();
    proptest::collection::vec(proptest::sample::select(all), 0..200).prop_map(String::from_iter)
}

proptest! {
    #[test]
    fn text_survives_septets_and_octets(text in writable(), header in 0_usize..140) {
        let septets = encode(&text).unwrap();
        let octets = pack(&septets, fill_bits(header));
        let read = unpack(&octets, septets.len(), fill_bits(header));
        prop_assert_eq!(decode(&read, Shift::default()), text);
    }

    #[test]
    fn any_ussd_text_that_does_not_end_in_filler_survives(text in writable()) {
        prop_assume!(!text.ends_with('\r'));
        let septets = encode(&text).unwrap();
        prop_assert_eq!(unpack_ussd(&pack_ussd(&septets)), septets);
    }

    #[test]
    fn any_octets_read_as_some_text(octets in proptest::collection::vec(any::<u8>(), 0..200), count in 0_usize..300,
        fill in 0_u8..9, locking in 0_u8..16, single in 0_u8..16) {
        let septets = unpack(&octets, count, fill);
        prop_assert!(septets.len() <= count && septets.iter().all(|s| *s < 128));
        let text = decode(&septets, Shift { locking, single });
        prop_assert!(text.chars().count() <= septets.len());
    }

    #[test]
    fn national_text_survives(id in 1_u8..14, septets in proptest::collection::vec(0_u8..128, 0..80)) {
        let shift = Shift { locking: if has_locking(id) { id } else { 0 }, single: id };
        let text = decode(&septets, shift);
        prop_assume!(!text.contains('\u{FFFD}'));
        let again = encode_with(&text, shift).unwrap();
        prop_assert_eq!(decode(&again, shift), text);
    }
}
