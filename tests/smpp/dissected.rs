//! Wireshark reads our SMPP octets and our short messages, and finds nothing malformed.
//!
//! Hexadecimal goes through `text2pcap`, so that no network and no rights are needed. Left out where tshark is not installed (see `peers`).

use crate::texts::{phone, profile};
use chrono::TimeDelta;
use clutchline::links::pdu::content::Content;
use clutchline::links::pdu::{Reading, Tpdu, decode, octets};
use clutchline::links::smpp::fields::Address;
use clutchline::links::smpp::outgoing::{pieces, screen};
use clutchline::links::smpp::pdu::{Bind, BindAs, Body, Pdu, VERSION};
use clutchline::links::smpp::tlv::Tlv;
use clutchline::links::smpp::ussd::{Dialogue, Stage, UssdProfile};
use std::fmt::Write;
use std::path::Path;
use std::process::Command;
use tempfile::tempdir;

fn is_there(program: &str) -> bool {
    let there = Command::new(program)
        .arg("--version")
        .output()
        .is_ok_and(|out| out.status.success());
    let required = std::env::var("CLUTCHLINE_PEERS").is_ok_and(|v| v == "required");
    assert!(
        there || !required,
        "{program} is missing; run tests/peers/install"
    );
    if !there {
        eprintln!("left out: {program} is not installed; tests/peers/install does it");
    }
    there
}

fn run(program: &str, arguments: &[&str]) -> String {
    let out = Command::new(program).args(arguments).output().unwrap();
    assert!(
        out.status.success(),
        "{program}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
    String::from_utf8(out.stdout).unwrap()
}

/// One packet for each row of octets, as `text2pcap` reads them; `direction` is its letter.
fn dump(dir: &Path, packets: &[(char, Vec<u8>)]) -> [String; 2] {
    let mut text = String::new();
    for (direction, packet) in packets {
        let _ = writeln!(text, "{direction}");
        text.push_str("0000");
        for octet in packet {
            let _ = write!(text, " {octet:02x}");
        }
        text.push_str("\n\n");
    }
    let paths =
        ["packets.txt", "packets.pcapng"].map(|name| dir.join(name).to_str().unwrap().to_owned());
    std::fs::write(&paths[0], text).unwrap();
    paths
}

/// Rows of the fields asked for, one for each packet.
fn dissected(capture: &str, options: &[&str], fields: &[&str]) -> Vec<Vec<String>> {
    let mut arguments = vec!["-r", capture, "-T", "fields", "-E", "separator=/t"];
    arguments.extend(options);
    for field in fields {
        arguments.extend(["-e", field]);
    }
    let out = run("tshark", &arguments);
    out.lines()
        .map(|line| line.split('\t').map(str::to_owned).collect())
        .collect()
}

fn number(text: &str) -> u32 {
    let digits = text.strip_prefix("0x");
    digits.map_or_else(
        || text.parse().unwrap(),
        |digits| u32::from_str_radix(digits, 16).unwrap(),
    )
}

/// One of each PDU that the client sends, texts in every form.
fn everything_we_send() -> Vec<Pdu> {
    let bind = Bind {
        system_id: "ziwani".to_owned(),
        password: "geheim".to_owned(),
        version: VERSION,
        ..Bind::default()
    };
    let mut bodies: Vec<(Body, Vec<Tlv>)> =
        [BindAs::Transceiver, BindAs::Transmitter, BindAs::Receiver]
            .map(|how| (Body::Bind(how, bind.clone()), Vec::new()))
            .to_vec();
    for form in ["udh8", "udh16", "sar", "payload"] {
        for alphabet in ["default", "latin1", "ucs2"] {
            let profile = profile(|link| {
                link.smpp.long_by = form.to_owned();
                link.smpp.send_as = alphabet.to_owned();
                link.smpp.reference = "yes".to_owned();
            });
            for text in ["C4 12.5 g [€]".to_owned(), "Uzito wa leo. ".repeat(20)] {
                let all = pieces(&profile, &phone(), &text, 77, TimeDelta::hours(5)).unwrap();
                bodies.extend(all.into_iter().map(|p| (Body::Submit(p.message), p.tlvs)));
            }
        }
    }
    let dialogue = Dialogue {
        stage: Stage::Begin,
        session: "42".to_owned(),
        info: Some([42, 0]),
    };
    let tlvs = UssdProfile::default().answer(&dialogue, false);
    let to = Address {
        ton: 1,
        npi: 1,
        digits: "255700000101".to_owned(),
    };
    let shown = screen(&profile(|_| ()), to, Address::default(), "C4, grams?", tlvs);
    bodies.push((Body::Submit(shown.message), shown.tlvs));
    bodies.extend([
        (Body::DeliverResp(String::new()), Vec::new()),
        (Body::DataResp(String::new()), Vec::new()),
        (Body::EnquireLink, Vec::new()),
        (Body::EnquireLinkResp, Vec::new()),
        (Body::Unbind, Vec::new()),
        (Body::UnbindResp, Vec::new()),
        (Body::GenericNack, Vec::new()),
    ]);
    let numbered = (1..).zip(bodies).map(|(sequence, (body, tlvs))| {
        let mut pdu = Pdu::new(sequence, body);
        pdu.tlvs = tlvs;
        pdu
    });
    numbered.collect()
}

#[test]
fn wireshark_reads_our_smpp_as_we_mean_it() {
    if !(is_there("tshark") && is_there("text2pcap")) {
        return;
    }
    let dir = tempdir().unwrap();
    let pdus = everything_we_send();
    let packets: Vec<(char, Vec<u8>)> =
        pdus.iter().map(|pdu| ('O', pdu.write().unwrap())).collect();
    let [text, capture] = dump(dir.path(), &packets);
    run("text2pcap", &["-q", "-T", "40000,2775", &text, &capture]);
    let fields = [
        "smpp.command_id",
        "smpp.sequence_number",
        "smpp.ussd_service_op",
        "smpp.its_session.number",
        "smpp.sar_total_segments",
        "smpp.user_message_reference",
        "_ws.malformed",
        "_ws.expert.message",
    ];
    // Each packet is looked at by itself: the ports and sequence numbers of TCP are made up.
    let options = ["-o", "tcp.desegment_tcp_streams:FALSE", "-Y", "smpp"];
    let rows = dissected(&capture, &options, &fields);
    assert_eq!(rows.len(), pdus.len());
    for (row, pdu) in rows.iter().zip(&pdus) {
        assert_eq!(
            (number(&row[0]), number(&row[1])),
            (pdu.body.id(), pdu.sequence),
            "{row:?}"
        );
        assert_eq!(row[6], "", "{pdu:?}");
        assert!(!row[7].to_lowercase().contains("malformed"), "{row:?}");
    }
    let some = |column: usize, value: u32| {
        rows.iter()
            .any(|row| !row[column].is_empty() && number(&row[column]) == value)
    };
    assert!(
        some(2, 2) && some(3, 42),
        "a screen that asks, of session 42"
    );
    assert!(
        some(4, 2) && some(5, 77),
        "parts by parameters; our number of a text"
    );
}

/// 3GPP TS 23.040 both ways: those of the published rows, written by our own encoder, and a long text of ours in parts.
#[test]
fn wireshark_reads_our_short_messages_as_we_mean_them() {
    if !(is_there("tshark") && is_there("text2pcap")) {
        return;
    }
    let (mut packets, mut texts) = (Vec::new(), Vec::new());
    for row in include_str!("../reference/pdus.tsv").lines().skip(1) {
        let digits = row.split('\t').nth(2).unwrap();
        let tpdu = decode(&octets(digits).unwrap(), Reading::Strict)
            .unwrap()
            .value
            .tpdu;
        let content = match &tpdu {
            Tpdu::Deliver(it) => Some(&it.content),
            Tpdu::Submit(it) => Some(&it.content),
            Tpdu::StatusReport(_) => None,
        };
        // `O` is from the service centre to the phone, `I` the other way.
        let direction = if matches!(tpdu, Tpdu::Submit(_)) {
            'I'
        } else {
            'O'
        };
        texts.push(content.and_then(|c: &Content| c.body.text()));
        packets.push((direction, tpdu.encode().unwrap()));
    }
    let dir = tempdir().unwrap();
    let [text, capture] = dump(dir.path(), &packets);
    run(
        "text2pcap",
        &["-q", "-D", "-n", "-l", "147", &text, &capture],
    );
    let table = "uat:user_dlts:\"User 0 (DLT=147)\",\"gsm_sms\",\"0\",\"\",\"0\",\"\"";
    let fields = ["gsm_sms.sms_text", "_ws.malformed", "gsm_sms.tp-mti"];
    let rows = dissected(&capture, &["-o", table], &fields);
    assert_eq!(rows.len(), packets.len());
    for (row, text) in rows.iter().zip(&texts) {
        assert_eq!(row[1], "", "{row:?}");
        assert_eq!(row[0], text.as_deref().unwrap_or_default());
    }
}
