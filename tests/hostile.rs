//! Input that means harm, or is plain noise: it is read, asked about or refused, and never breaks, loops, grows or writes where it should not.
//!
//! Generated inputs here, and kept ones under `tests/fixtures/corpus/`: each line there is tried on every reader.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "gateway/child.rs"]
#[allow(dead_code, reason = "only some of it is needed here")]
mod child;
#[path = "hostile/requests.rs"]
mod requests;
#[path = "hostile/senders.rs"]
mod senders;
#[path = "hostile/sheets.rs"]
mod sheets;

use chrono::DateTime;
use clutchline::config::Settings;
use clutchline::domain::message::LinkName;
use clutchline::grammar::{self, Lexicon};
use clutchline::links::http::number::read_number;
use clutchline::links::http::posted::read_post;
use clutchline::links::pdu::{self, Reading};
use clutchline::links::smpp::receipt;
use clutchline::store::memory::MemoryDisk;
use clutchline::store::{Sizes, Store};
use proptest::prelude::*;

/// Everything that reads what somebody else wrote. Whatever they say of it, they return.
fn every_reader(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let reading = grammar::read(&text, Lexicon::builtin());
    assert_eq!(reading, grammar::read(&text, Lexicon::builtin()));
    let _ = receipt::read(&text);
    let _ = read_number(&text, "255");
    let link = LinkName("north".to_owned());
    read_post(bytes, &link, "255", DateTime::UNIX_EPOCH).ok();
    for how in [Reading::Strict, Reading::Lenient] {
        pdu::decode(bytes, how).ok();
        pdu::decode_tpdu(bytes, how).ok();
    }
    if let Ok(octets) = pdu::octets(&text) {
        pdu::decode(&octets, Reading::Lenient).ok();
    }
    import(bytes);
}

/// An import of noise fails, with the line; only a whole export goes through.
fn import(bytes: &[u8]) {
    let sizes = Sizes {
        cache_bytes: 0,
        cached_streams: 10,
    };
    let store = Store::in_memory(&MemoryDisk::default(), sizes).unwrap();
    assert!(store.import(&mut &*bytes).is_err());
}

proptest! {
    #[test]
    fn noise_breaks_no_reader(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        every_reader(&bytes);
    }

    #[test]
    fn text_in_any_script_breaks_no_reader(text in "\\PC{0,200}") {
        every_reader(text.as_bytes());
    }

    #[test]
    fn what_looks_like_an_entry_breaks_no_reader(text in "([A-Za-z]{0,6}[0-9]{0,12}[.,:;?!/-]{0,2} ?){0,30}") {
        every_reader(text.as_bytes());
    }

    #[test]
    fn an_export_with_one_byte_changed_is_refused(at in 0_usize..40_000, by in 1_u8..) {
        let mut bytes = golden();
        let at = at % bytes.len();
        bytes[at] ^= by;
        import(&bytes);
    }

    #[test]
    fn a_settings_file_of_noise_is_refused_or_read(text in "[a-z.\\[\\]=\"0-9\n ]{0,120}") {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("clutchline.toml");
        std::fs::write(&file, &text).unwrap();
        Settings::read(Some(&file), std::iter::empty()).ok();
    }
}

/// The golden export of the first record version, as lines.
fn golden() -> Vec<u8> {
    let packed = include_bytes!("fixtures/stores/v1/export.ndjson.gz");
    let mut lines = Vec::new();
    std::io::Read::read_to_end(&mut flate2::read::GzDecoder::new(&packed[..]), &mut lines).unwrap();
    lines
}

#[test]
fn the_kept_inputs_break_no_reader() {
    let corpus = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/corpus");
    let mut tried = 0;
    for entry in std::fs::read_dir(corpus).unwrap() {
        for line in std::fs::read_to_string(entry.unwrap().path())
            .unwrap()
            .lines()
        {
            every_reader(line.as_bytes());
            tried += 1;
        }
    }
    assert!(tried >= 40, "{tried} kept inputs");
}
