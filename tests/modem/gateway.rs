//! The whole program with a modem in its settings file.

use crate::child::{Gateway, complaint, found, printed};
use crate::driving::now;
use crate::fake::Fake;
use crate::rig::Plugged;
use crate::sim;
use std::path::{Path, PathBuf};
use tempfile::tempdir;

fn written(dir: &Path, modem: &str) -> PathBuf {
    let config = dir.join("clutchline.toml");
    let data = dir.join("data");
    let settings = format!(
        "[server]\nlisten = \"127.0.0.1:0\"\n[store]\nfolder = {:?}\n[links.sim]\nkind = \"modem\"\ncountry = \"255\"\n[links.sim.modem]\n{modem}\n",
        data.to_str().unwrap(),
    );
    std::fs::write(&config, settings).unwrap();
    config
}

#[test]
fn serve_reads_the_sim_answers_and_shows_the_link() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let mut fake = Fake::locked("4711");
    fake.arrives(&sim::text(101, "join ZIWANI Asha", now()));
    fake.arrives(&sim::text_from("Operator", "Win a prize", now()));
    let modem = Plugged::at(&port, fake);
    let config = written(dir.path(), &format!("path = {port:?}\npin = \"4711\""));
    let place = config.to_str().unwrap();
    found(["--config", place]);
    let shown = printed(&["serve", "--print-config", "--config", place]);
    assert!(
        shown.contains("pin = \"***\"") && !shown.contains("4711"),
        "{shown}"
    );
    let gateway = Gateway::real(&config);
    modem.until("the welcome", |fake| {
        fake.sent.len() == 1 && fake.storage.is_empty()
    });
    let tried = printed(&[
        "links",
        "send",
        "--config",
        place,
        &sim::number(102),
        "C4 is due",
    ]);
    assert!(
        tried.contains("the network took it in 1 part(s)"),
        "{tried}"
    );
    let links = printed(&["links", "--config", place]);
    assert!(
        links.contains("modem  up") && links.contains("registered at home; signal 21 of 31"),
        "{links}"
    );
    let raw = printed(&["links", "quarantine", "--config", place]);
    assert!(
        raw.contains("the sender is no phone") && raw.contains("sim: 1 of 1 shown"),
        "{raw}"
    );
    assert!(
        !raw.contains("07917283"),
        "octets only where asked for: {raw}"
    );
    let raw = printed(&[
        "links",
        "quarantine",
        "--octets",
        "--link",
        "sim",
        "--config",
        place,
    ]);
    assert!(raw.contains(": 07917283010010f5"), "{raw}");
    let metrics = gateway.get("/metrics").body;
    for line in [
        "clutchline_link_up{link=\"sim\"} 1",
        "clutchline_link_taken_total{link=\"sim\"} 1",
        "clutchline_link_sent_total{link=\"sim\"} 2",
        "clutchline_link_signal{link=\"sim\"} 21",
        "clutchline_link_storage_places{link=\"sim\"} 20",
    ] {
        assert!(metrics.contains(line), "{line}: {metrics}");
    }
    let doctor = crate::child::run(&["doctor", "--config", place]);
    let doctor = String::from_utf8(doctor.stdout).unwrap();
    assert!(
        doctor.contains("is in use; by the gateway, where it runs"),
        "{doctor}"
    );
    gateway.terminate();
    assert!(gateway.ended().0.success());
    let doctor = crate::child::run(&["doctor", "--config", place]);
    let doctor = String::from_utf8(doctor.stdout).unwrap();
    assert!(
        doctor.contains("ok    links: sim: ") && doctor.contains("can be opened"),
        "{doctor}"
    );
}

#[test]
fn a_modem_that_cannot_be_set_so_is_refused_with_the_reason() {
    let dir = tempdir().unwrap();
    for (lines, expected) in [
        ("", "`links.sim.modem.path` must be the whole path"),
        ("path = \"ttyUSB0\"", "links.sim.modem.path = \"/dev/serial"),
        ("path = \"/dev/x\"\nbaud = 1", "links.sim.modem.baud"),
        ("path = \"/dev/x\"\npin = \"12\"", "four to eight digits"),
        (
            "path = \"/dev/x\"\npin = \"1234\"\npin_file = \"/p\"",
            "modem.pin_file",
        ),
        (
            "path = \"/dev/x\"\nstorage = \"SIM\"",
            "\"SM\", \"ME\" or \"MT\"",
        ),
        ("path = \"/dev/x\"\nsend_secs = 1000", "from 5 to 100"),
        ("pth = \"/dev/x\"", "did you mean `links.sim.modem.path`"),
    ] {
        let config = written(dir.path(), lines);
        let said = complaint(&["serve", "--config", config.to_str().unwrap()]);
        assert!(said.contains(expected), "{lines}: {said}");
    }
}

#[test]
fn a_missing_port_is_found_by_the_doctor_and_keeps_nothing_else_from_starting() {
    let dir = tempdir().unwrap();
    let port = dir.path().join("port");
    let config = written(dir.path(), &format!("path = {port:?}"));
    let place = config.to_str().unwrap();
    let doctor = crate::child::run(&["doctor", "--config", place]);
    let doctor = String::from_utf8(doctor.stdout).unwrap();
    assert!(
        doctor.contains("WRONG links: sim: ") && doctor.contains("plugged in"),
        "{doctor}"
    );
    let gateway = Gateway::real(&config);
    assert_eq!(gateway.get("/healthz").status, 200);
    // The link is tried beside the web server's start.
    let begun = std::time::Instant::now();
    loop {
        let links = printed(&["links", "--config", place]);
        if links.contains("modem  down") && links.contains("cannot be opened") {
            break;
        }
        assert!(begun.elapsed() < crate::rig::PATIENCE, "{links}");
    }
    gateway.terminate();
    assert!(gateway.ended().0.success());
}
