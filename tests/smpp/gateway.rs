//! The whole program with an smpp link in its settings file.

use crate::centre::{Centre, text_from};
use crate::child::{Gateway, complaint, found, printed};
use clutchline::links::smpp::pdu::Body;
use clutchline::links::smpp::status;
use tempfile::tempdir;

#[test]
fn serve_binds_answers_and_takes_leave() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let config = dir.path().join("clutchline.toml");
    let settings = format!(
        "[server]\nlisten = \"127.0.0.1:0\"\n[store]\nfolder = {:?}\n[links.north]\nkind = \"smpp\"\ncountry = \"255\"\n[links.north.smpp]\naddress = \"{}\"\nsystem_id = \"ziwani\"\npassword = \"geheim\"\nsource = \"40123\"\n",
        dir.path().join("data").to_str().unwrap(),
        centre.address(),
    );
    std::fs::write(&config, settings).unwrap();
    let place = config.to_str().unwrap();
    found(["--config", place]);
    let shown = printed(&["serve", "--print-config", "--config", place]);
    assert!(
        shown.contains("password = \"***\"") && !shown.contains("geheim"),
        "{shown}"
    );
    let gateway = Gateway::real(&config);
    let mut peer = centre.accept();
    assert_eq!(peer.bind(0).1, "geheim");
    let sequence = peer.deliver(text_from(101, "join ZIWANI Asha"), Vec::new());
    assert_eq!(peer.delivered(), (sequence, status::OK));
    let (sequence, welcome, _) = peer.submitted();
    assert!(String::from_utf8(welcome.text).unwrap().contains("Asha"));
    peer.answer(sequence, status::OK, "1");
    gateway.terminate();
    let unbind = peer.next();
    assert_eq!(unbind.body, Body::Unbind);
    peer.send(unbind.sequence, 0, Body::UnbindResp, Vec::new());
    assert!(gateway.ended().0.success());
}

#[test]
fn an_account_that_smpp_cannot_carry_is_refused_with_the_reason() {
    let dir = tempdir().unwrap();
    let config = dir.path().join("clutchline.toml");
    let place = config.to_str().unwrap();
    for (line, expected) in [
        ("password = \"ninechars\"", "smpp.password"),
        ("long_by = \"magic\"", "smpp.long_by"),
        ("answer_secs = 90", "smpp.answer_secs"),
        (
            "pasword = \"x\"",
            "did you mean `links.north.smpp.password`",
        ),
    ] {
        let settings = format!(
            "[links.north]\nkind = \"smpp\"\n[links.north.smpp]\naddress = \"127.0.0.1:2775\"\nsystem_id = \"z\"\n{line}\n"
        );
        std::fs::write(&config, settings).unwrap();
        let said = complaint(&["serve", "--config", place]);
        assert!(said.contains(expected), "{line}: {said}");
    }
}
