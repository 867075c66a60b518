//! Every data coding scheme, status, relative period, zone, fill, national table and more, against messages built by
//! `tests/reference/tpdu_vectors.py`.

use clap::{Args, FromArgMatches};
use clutchline::cli::pdu::{DecodeArgs, EncodeArgs, decode, encode};
use serde_json::Value;

fn decoded(hex: &str, strict: bool) -> Result<Value, String> {
    let args = DecodeArgs {
        hex: hex.to_owned(),
        strict,
        lenient: false,
        no_smsc: false,
    };
    decode(&args).map_err(|why| why.to_string())
}

fn from_standard_input() -> EncodeArgs {
    let command = EncodeArgs::augment_args(clap::Command::new("encode"));
    let matches = command.try_get_matches_from(["encode"]).unwrap();
    EncodeArgs::from_arg_matches(&matches).unwrap()
}

#[test]
fn messages_built_elsewhere_are_read_as_the_standard_says_and_written_back() {
    let args = from_standard_input();
    let mut rows = 0;
    for line in include_str!("../reference/tpdu_vectors.tsv")
        .lines()
        .skip(1)
    {
        let fields: Vec<&str> = line.split('\t').collect();
        let [name, hex, flaws, seen] = fields[..] else {
            panic!("{line}")
        };
        let shown = decoded(hex, false).unwrap();
        let seen: serde_json::Map<String, Value> = serde_json::from_str(seen).unwrap();
        for (pointer, value) in seen {
            let found = shown.pointer(&pointer).unwrap_or(&Value::Null);
            assert_eq!(*found, value, "{name} {pointer} {hex}");
        }
        let named = shown["warnings"].as_array().unwrap().len();
        assert_eq!(named.to_string(), flaws, "{name} {}", shown["warnings"]);
        assert_eq!(decoded(hex, true).is_ok(), named == 0, "{name}, strictly");
        let written = encode(&args, || shown.to_string()).unwrap();
        assert_eq!(written["pdu"], hex, "{name}");
        rows += 1;
    }
    assert!(rows > 900, "{rows}");
}

/// Logs and other programs leave the service centre's address away.
#[test]
fn a_message_without_a_service_centre_in_front_is_read_and_said_to_be() {
    let rows = include_str!("../reference/tpdu_vectors.tsv")
        .lines()
        .skip(1);
    let flawless = rows.filter(|line| line.split('\t').nth(2) == Some("0"));
    let mut rows = 0;
    for line in flawless.step_by(5) {
        let hex = line.split('\t').nth(1).unwrap();
        let Some(bare) = hex.strip_prefix("00") else {
            continue;
        };
        let (shown, whole) = (decoded(bare, false).unwrap(), decoded(hex, false).unwrap());
        let warned = shown["warnings"][0].as_str().unwrap();
        assert!(warned.contains("--no-smsc"), "{bare}: {warned}");
        for field in ["kind", "text", "data", "from", "to", "status"] {
            assert_eq!(shown[field], whole[field], "{bare}");
        }
        assert!(decoded(bare, true).is_err(), "{bare}, strictly");
        rows += 1;
    }
    assert!(rows > 150, "{rows}");
}

/// Cut anywhere, each is refused with a reason or read with a warning.
#[test]
fn no_cut_of_any_of_them_is_read_as_if_it_were_whole() {
    let rows = include_str!("../reference/tpdu_vectors.tsv")
        .lines()
        .skip(1);
    for hex in rows.step_by(7).filter_map(|line| line.split('\t').nth(1)) {
        let report = hex
            .get(2..4)
            .is_some_and(|first| first.ends_with(['2', '6', 'A', 'E']));
        for end in (0..hex.len()).step_by(2) {
            let cut = hex.get(..end).unwrap();
            match decoded(cut, false) {
                Err(why) => assert!(why.contains("ends inside"), "{cut}: {why}"),
                // A report's optional fields may be missing.
                Ok(shown) => assert!(
                    report || shown["warnings"].as_array().is_some_and(|w| !w.is_empty()),
                    "{cut}"
                ),
            }
        }
    }
}
