//! `pdu decode` and `pdu encode`, as an operator calls them.

use clap::{Parser, Subcommand};
use clutchline::cli::pdu::{PduCommand, decode, encode};
use serde_json::Value;

#[derive(Parser)]
struct Line {
    #[command(subcommand)]
    command: Top,
}

#[derive(Subcommand)]
enum Top {
    #[command(subcommand)]
    Pdu(PduCommand),
}

fn run(line: &[&str], input: &str) -> Result<Value, String> {
    let words = ["clutchline", "pdu"].iter().chain(line);
    let Top::Pdu(command) = Line::try_parse_from(words)
        .map_err(|e| e.to_string())?
        .command;
    match command {
        PduCommand::Decode(args) => decode(&args),
        PduCommand::Encode(args) => encode(&args, || input.to_owned()),
    }
    .map_err(|e| e.to_string())
}

#[test]
fn what_decode_prints_encode_writes_back() {
    for row in include_str!("../reference/pdus.tsv").lines().skip(1) {
        let fields: Vec<&str> = row.split('\t').collect();
        let shown = run(&["decode", fields[2]], "").unwrap();
        assert_eq!(shown["kind"], fields[1]);
        assert_eq!(shown["warnings"], Value::Array(vec![]));
        let written = run(&["encode"], &shown.to_string()).unwrap();
        assert_eq!(written["pdu"], fields[2].to_uppercase(), "{}", fields[0]);
        // The words alone are enough where no octets are given.
        let mut words = shown.clone();
        for stamp in ["timestamp", "discharged"] {
            words[stamp].as_object_mut().map(|s| s.remove("octets"));
        }
        let written = run(&["encode", "--json", &words.to_string()], "").unwrap();
        assert_eq!(written["pdu"], fields[2].to_uppercase(), "{}", fields[0]);
    }
}

/// Example M: values in `tests/reference/pdus.tsv`.
#[test]
fn decode_shows_every_field_that_an_operator_asks_about() {
    let m = "07917283010010F5440C915274000000100008621152903442211B0608040180020112C8127012750020003100320020120A1275122D";
    let shown = run(&["decode", m], "").unwrap();
    for (pointer, value) in [
        ("/smsc/number", "+27381000015"),
        ("/from/number", "+254700000001"),
        ("/from/type", "international"),
        ("/timestamp/local", "2026-11-25T09:43:24+03:00"),
        ("/timestamp/utc", "2026-11-25T06:43:24Z"),
        ("/alphabet", "ucs2"),
        ("/udh/0/hex", "01800201"),
        ("/text", "ወተት 12 ሊትር"),
    ] {
        assert_eq!(
            shown.pointer(pointer),
            Some(&Value::from(value)),
            "{pointer}"
        );
    }
    for (pointer, value) in [("reference", 384), ("total", 2), ("part", 1), ("bits", 16)] {
        assert_eq!(shown["concatenation"][pointer], value);
    }
    assert_eq!(
        (&shown["pid"], &shown["dcs"]),
        (&Value::from(0), &Value::from(8))
    );
}

#[test]
fn broken_input_is_named_and_never_printed_as_a_message() {
    let cut = "0041010C910661345542F60008A0050003000301306F3044";
    assert_eq!(run(&["decode", cut], "").unwrap()["text"], "はい");
    assert!(
        run(&["decode", "--strict", cut], "")
            .unwrap_err()
            .contains("filler")
    );
    assert!(run(&["decode", "07917G"], "").unwrap_err().contains("'G'"));
    assert!(
        run(&["decode", "0791"], "")
            .unwrap_err()
            .contains("service centre address")
    );
    assert!(
        run(&["encode"], "{\"kind\":\"SMS-SUBMIT\"}")
            .unwrap_err()
            .contains("\"to\"")
    );
    assert!(
        run(&["encode"], "{\"kind\":\"MMS\"}")
            .unwrap_err()
            .contains("SMS-DELIVER")
    );
    assert!(
        run(&["encode"], "{\"kind\":\"SMS-SUBMIT\",\"tex\":\"x\"}")
            .unwrap_err()
            .contains("tex")
    );
    let refused = run(
        &["encode"],
        "{\"to\":\"+255700000101\",\"text\":\"ŋ\",\"dcs\":0}",
    )
    .unwrap_err();
    assert!(refused.contains('ŋ'), "{refused}");
}

/// The example that PyPI python-gsmmodem-new 0.13.0 tests with, and a text that takes two parts.
#[test]
fn flags_make_a_message_or_its_parts() {
    let one = run(
        &["encode", "--to", "+27820001111", "--text", "Hello World!"],
        "",
    )
    .unwrap();
    assert_eq!(
        one["pdu"],
        "0001000B917228001011F100000CC8329BFD065DDF72363904"
    );
    assert_eq!(one["length"], 24);
    let long = "C4 12.5, ".repeat(20);
    let flags = [
        "encode",
        "--to",
        "+255700000101",
        "--text",
        &long,
        "--validity",
        "5760",
        "--report",
    ];
    let two = run(&flags, "").unwrap();
    let mut text = String::new();
    for pdu in two["pdus"].as_array().unwrap() {
        let shown = run(&["decode", "--strict", pdu["pdu"].as_str().unwrap()], "").unwrap();
        assert_eq!(
            (&shown["concatenation"]["total"], &shown["status_report"]),
            (&2.into(), &true.into())
        );
        assert_eq!(
            shown["validity"]["minutes"], 5760,
            "4 days, as example B says"
        );
        text.push_str(shown["text"].as_str().unwrap());
    }
    assert_eq!(text, long);
    let from = [
        "encode",
        "--kind",
        "deliver",
        "--from",
        "ZIWANI",
        "--time",
        "2026-11-25T09:43:24+03:00",
        "--text",
        "x",
        "--ucs2",
    ];
    let shown = run(
        &["decode", run(&from, "").unwrap()["pdu"].as_str().unwrap()],
        "",
    )
    .unwrap();
    assert_eq!(
        (&shown["from"]["number"], &shown["alphabet"]),
        (&"ZIWANI".into(), &"ucs2".into())
    );
}

fn encoded(json: &str) -> Result<Value, String> {
    let written = run(&["encode", "--json", json], "")?;
    run(
        &["decode", "--strict", written["pdu"].as_str().unwrap()],
        "",
    )
}

#[test]
fn what_a_person_writes_becomes_what_they_mean() {
    for (to, number, toa) in [
        ("+255 700-000 (101)", "+255700000101", 0x91),
        ("0700 000 101", "0700000101", 0x81),
        ("*150#", "*150#", 0x81),
        ("abc", "abc", 0xD0),
    ] {
        let written = run(&["encode", "--to", to, "--text", "x"], "").unwrap();
        let shown = run(&["decode", written["pdu"].as_str().unwrap()], "").unwrap();
        assert_eq!(shown["to"]["number"], number);
        assert_eq!(shown["to"]["toa"], toa, "{to}");
    }
    for nothing in ["", "+", " "] {
        let refused = run(&["encode", "--to", nothing, "--text", "x"], "").unwrap_err();
        assert!(refused.contains("no number and no name"), "{refused}");
    }
    let typographic = "ng\u{2019}ombe \u{2013} \u{201C}C4\u{201D}\u{2026}";
    let flags = ["encode", "--to", "40123", "--text", typographic];
    let json = format!("{{\"to\":\"40123\",\"text\":\"{typographic}\"}}");
    for written in [run(&flags, ""), run(&["encode", "--json", &json], "")] {
        let written = written.unwrap();
        let shown = run(&["decode", written["pdu"].as_str().unwrap()], "").unwrap();
        assert_eq!(shown["text"], "ng'ombe - \"C4\"...");
        assert_eq!(shown["alphabet"], "gsm7");
    }
}

/// 3GPP TS 23.040 clauses 9.2.3.12.3 and 9.2.3.24.4.
#[test]
fn words_of_json_are_written_or_refused_and_never_passed_over() {
    let with = |more: &str| encoded(&format!("{{\"to\":\"40123\",\"text\":\"hi\",{more}}}"));
    let shown = with(
        "\"ports\":{\"destination\":2948,\"source\":9200},\"concatenation\":{\"reference\":9,\"total\":2,\"part\":1}",
    )
    .unwrap();
    assert_eq!(shown["ports"]["destination"], 2948);
    assert_eq!(shown["concatenation"]["reference"], 9);
    assert_eq!(shown["udh"][1]["hex"], "0B8423F0");
    for seconds in [0, 90, 255, 256, 359_999] {
        let asked = format!("\"validity\":{{\"format\":\"enhanced\",\"seconds\":{seconds}}}");
        let shown = with(&asked).unwrap();
        assert_eq!(shown["validity"]["format"], "enhanced");
        assert_eq!(shown["validity"]["seconds"], seconds);
    }
    for (more, said) in [
        ("\"validity\":{\"minutes\":-1}", "below nothing"),
        ("\"validity\":{}", "no period"),
        (
            "\"validity\":{\"format\":\"weekly\",\"minutes\":5}",
            "another format",
        ),
        (
            "\"validity\":{\"format\":\"enhanced\",\"minutes\":6000}",
            "99:59:59",
        ),
        ("\"data\":\"00FF\",\"dcs\":0", "GSM 7-bit text"),
        ("\"data\":\"00FF\",\"dcs\":8", "UCS-2 text"),
        ("\"dcs\":32", "compressed text"),
    ] {
        let refused = with(more).unwrap_err();
        assert!(refused.contains(said), "{more}: {refused}");
    }
}
