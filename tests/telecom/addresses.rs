//! Numbers, short codes and names.

use clutchline::links::address::{AddressError, Country, NumberType, Party};
use proptest::prelude::*;

fn read(iso: &str, written: &str) -> Result<Party, AddressError> {
    Country::by_code(iso)
        .unwrap()
        .read(written, NumberType::Unknown)
}

fn number(iso: &str, written: &str) -> String {
    match read(iso, written) {
        Ok(Party::Phone(number)) => number.full().to_owned(),
        other => format!("{other:?}"),
    }
}

/// An example mobile number of every listed country by PyPI phonenumbers 9.0.43 (`tests/reference/countries.py`).
#[test]
fn every_listed_country_reads_its_numbers_in_every_form() {
    let rows: Vec<Vec<&str>> = include_str!("../reference/countries.tsv")
        .lines()
        .skip(1)
        .map(|l| l.split('\t').collect())
        .collect();
    assert_eq!(
        rows.iter().map(|r| r[0]).collect::<Vec<_>>(),
        Country::codes().collect::<Vec<_>>()
    );
    for row in rows {
        let (iso, national, international) = (row[0], row[1], row[2]);
        let digits = international.trim_start_matches('+');
        for form in [
            national.into(),
            international.into(),
            digits.into(),
            format!("00{digits}"),
            format!("000{digits}"),
        ] {
            assert_eq!(number(iso, &form), international, "{iso} {form}");
        }
        let country = Country::by_code(iso).unwrap();
        let as_is = format!("{}{national}", country.calling_code);
        assert_eq!(country.trunk_zero, as_is != digits, "{iso}");
    }
}

/// Values on which PyPI phonenumbers 9.0.43 and the crate phonenumber 0.3.10 agree; `00` and the short code are read our own
/// way, since both libraries turn them into numbers that do not exist.
#[test]
fn numbers_are_read_with_the_links_country() {
    for (iso, written, full) in [
        ("KE", "0712345678", "+254712345678"),
        ("KE", "254712345678", "+254712345678"),
        ("KE", "712345678", "+254712345678"),
        ("KE", "00254712345678", "+254712345678"),
        ("KE", "000254712345678", "+254712345678"),
        ("UG", "0772123456", "+256772123456"),
        ("RW", "0788123456", "+250788123456"),
        ("ET", "0911234567", "+251911234567"),
        ("TZ", "+255 0700 000 101", "+255700000101"),
        ("TZ", "+256-772-123456", "+256772123456"),
    ] {
        assert_eq!(number(iso, written), full, "{iso} {written}");
    }
    assert!(matches!(read("KE", "22345"), Ok(Party::ShortCode(code)) if code.digits() == "22345"));
    assert!(matches!(
        read("KE", "07123456"),
        Err(AddressError::NoNumber { digits: 8, .. })
    ));
    assert!(matches!(
        read("KE", "+25471234567"),
        Err(AddressError::NoNumber { .. })
    ));
    assert!(matches!(read("KE", "ZIWANI"), Ok(Party::Name(name)) if name.as_str() == "ZIWANI"));
    assert_eq!(read("KE", "ZIWANI GROWERS COOP"), Err(AddressError::NoName));
}

#[test]
fn the_networks_type_decides_where_digits_alone_do_not() {
    let ke = Country::by_code("KE").unwrap();
    let phone =
        |p: Result<Party, _>| matches!(p, Ok(Party::Phone(n)) if n.full() == "+256772123456");
    assert!(phone(ke.read("256772123456", NumberType::International)));
    assert!(
        ke.read("256772123456", NumberType::National).is_err(),
        "never stored as a Kenyan number"
    );
    assert!(matches!(
        ke.read("22345", NumberType::International),
        Ok(Party::ShortCode(_))
    ));
    assert!(matches!(
        ke.read("22345", NumberType::Network),
        Ok(Party::ShortCode(_))
    ));
    assert!(matches!(
        ke.read("0712345678", NumberType::Alphanumeric),
        Ok(Party::Phone(_))
    ));
}

proptest! {
    #[test]
    fn any_address_is_a_party_or_an_error(written in "\\PC{0,30}", kind in 0_usize..5) {
        use NumberType::{Alphanumeric, International, National, Network, Unknown};
        let kind = [Unknown, International, National, Network, Alphanumeric][kind];
        if let Ok(Party::Phone(number)) = Country::by_code("TZ").unwrap().read(&written, kind) {
            prop_assert!(number.full().len() >= 8);
        }
    }
}
