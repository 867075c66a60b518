//! Fields of short messages: addresses, stamps, validity and header elements against published values.

use chrono::{DateTime, TimeDelta};
use clutchline::links::parts::{Concat, RefWidth};
use clutchline::links::pdu::address::Address;
use clutchline::links::pdu::header::{Element, Header};
use clutchline::links::pdu::reader::Reader;
use clutchline::links::pdu::stamp::Stamp;
use clutchline::links::pdu::validity::{Validity, relative};
use clutchline::links::pdu::{PduError, Reading, hex, octets};

/// Addresses of the tests of PyPI python-gsmmodem-new 0.13.0.
#[test]
fn addresses_are_swapped_half_octets_or_packed_names() {
    for (shown, kind, written) in [
        ("+27829135934", 0x91, "0B917228195339F4"),
        ("abc", 0xD0, "06D061F118"),
        ("0129998765", 0xA1, "0AA11092997856"),
        ("123", 0x81, "038121F3"),
        ("FRANCOIS", 0xD0, "0ED04669D0397C26A7"),
    ] {
        let bytes = octets(written).unwrap();
        let mut reader = Reader::new(&bytes, Reading::Strict).unwrap();
        let address = Address::read(&mut reader, "address").unwrap();
        assert_eq!((address.shown().as_str(), address.kind.0), (shown, kind));
        assert_eq!(hex(&address.write("address").unwrap()), written);
    }
    let smsc = Address::plain("+9876543210");
    assert_eq!(
        hex(&Address::write_smsc(Some(&smsc)).unwrap()),
        "06918967452301"
    );
    assert!(matches!(
        Address::plain("+12x4").write("to"),
        Err(PduError::Field { .. })
    ));
    assert!(matches!(
        Address::plain("+123456789012345678901").write("to"),
        Err(PduError::Field { .. })
    ));
}

/// Stamps of the same tests and of http://gsmworld.it/smspdu_scts.htm (99 20 21 50 75 03 21: 12 February 1999, GMT+3).
#[test]
fn stamps_carry_their_zone_in_quarter_hours() {
    for (written, moment) in [
        ("70402132522423", "2007-04-12T23:25:42+08:00"),
        ("7040213252242B", "2007-04-12T23:25:42-08:00"),
        ("51117200000080", "2015-11-27T00:00:00+02:00"),
        ("99202150750321", "1999-02-12T05:57:30+03:00"),
        // 3GPP TS 23.040 counts in quarter hours: Nepal is 23 of them.
        ("62115290344232", "2026-11-25T09:43:24+05:45"),
    ] {
        let stamp = Stamp(octets(written).unwrap().try_into().unwrap());
        assert_eq!(stamp.moment().unwrap().to_rfc3339(), moment);
        assert_eq!(
            Stamp::of(DateTime::parse_from_rfc3339(moment).unwrap()),
            Ok(stamp)
        );
    }
    for broken in [
        "00000000000000",
        "9913325050A000",
        "FFFFFFFFFFFFFF",
        "62112390344261",
    ] {
        assert_eq!(
            Stamp(octets(broken).unwrap().try_into().unwrap()).moment(),
            None,
            "{broken}"
        );
    }
    assert!(Stamp::of(DateTime::parse_from_rfc3339("2070-01-01T00:00:00Z").unwrap()).is_err());
}

/// Periods of the tests of PyPI python-gsmmodem-new 0.13.0; the scale is 3GPP TS 23.040 clause 9.2.3.12.1.
#[test]
fn validity_grows_coarser_along_its_scale() {
    for (octet, period) in [
        (5, TimeDelta::minutes(30)),
        (143, TimeDelta::hours(12)),
        (151, TimeDelta::hours(16)),
        (167, TimeDelta::hours(24)),
        (169, TimeDelta::days(3)),
        (170, TimeDelta::days(4)),
        (197, TimeDelta::weeks(5)),
        (244, TimeDelta::weeks(52)),
        (255, TimeDelta::weeks(63)),
    ] {
        assert_eq!(relative(octet), period, "{octet}");
        assert_eq!(Validity::at_least(period), Validity::Relative(octet));
    }
    assert!((0..255).all(|v| relative(v) < relative(v + 1)));
    assert_eq!(
        Validity::at_least(TimeDelta::weeks(100)),
        Validity::Relative(255)
    );
    // Clause 9.2.3.12.3: 40 seconds; 12:34:56 in half octets; one try.
    assert_eq!(
        Validity::Enhanced([2, 40, 0, 0, 0, 0, 0]).period(),
        Some(TimeDelta::seconds(40))
    );
    assert_eq!(
        Validity::Enhanced([3, 0x21, 0x43, 0x65, 0, 0, 0]).period(),
        Some(TimeDelta::seconds(45_296))
    );
    assert!(Validity::Enhanced([0x40, 0, 0, 0, 0, 0, 0]).single_shot());
}

/// Elements of the tests of PyPI python-gsmmodem-new 0.13.0; an unknown one stays as it came.
#[test]
fn header_elements_are_read_and_written() {
    let (header, flaw) = Header::read(&octets("0003170301").unwrap());
    assert_eq!(
        (flaw, header.concatenation().unwrap()),
        (None, Concat::new(23, RefWidth::Eight, 3, 1))
    );
    let (header, _) = Header::read(&octets("080401800402").unwrap());
    assert_eq!(
        header.concatenation().unwrap(),
        Concat::new(384, RefWidth::Sixteen, 4, 2)
    );
    let (header, _) = Header::read(&octets("050404D21466F302ABCD250107").unwrap());
    assert_eq!(header.ports(), Some((1234, 5222)));
    assert_eq!(
        header.elements[1],
        Element {
            id: 0xF3,
            data: vec![0xAB, 0xCD]
        }
    );
    assert_eq!(header.shift().0.locking, 7);
    assert_eq!(
        hex(&header.write().unwrap()),
        "0D050404D21466F302ABCD250107"
    );
    let (header, _) = Header::read(&octets("00031703040003170302").unwrap());
    assert_eq!(
        header.concatenation().unwrap().map(Concat::part),
        Some(2),
        "the last of two counts"
    );
}
