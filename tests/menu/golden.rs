//! Golden sessions: what is dialled and typed, and every screen that comes.
//!
//! Each file of `grammar/cases/sessions/` is one story on fresh phones. `text 101 C4 stock 8000 -18`: an SMS before it, not shown. `dial 101 *40123#`
//! begins a session, `> 1` types into it, `wait 300` lets seconds go by; every line under it is a line of the screen. After a change that is meant,
//! `BLESS_SESSIONS=1 cargo test --test menu golden` writes the screens anew.

use crate::phones::Phones;
use chrono::Duration;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

fn played(story: &str) -> String {
    let phones = Phones::new();
    let (mut phone, mut sessions, mut out) = ("101".to_owned(), 0, String::new());
    for line in story.lines() {
        if line.starts_with("  ") {
            continue;
        }
        writeln!(out, "{line}").unwrap();
        let screen = if let Some(rest) = line.strip_prefix("dial ") {
            let (from, code) = rest.split_once(' ').unwrap();
            from.clone_into(&mut phone);
            sessions += 1;
            phones.dial(&format!("s{sessions}"), &phone, code)
        } else if let Some(key) = line.strip_prefix('>') {
            phones.key(&format!("s{sessions}"), &phone, key.trim())
        } else {
            if let Some(rest) = line.strip_prefix("text ") {
                let (from, text) = rest.split_once(' ').unwrap();
                phones.text(from, text);
            } else if let Some(seconds) = line.strip_prefix("wait ") {
                phones.wait(Duration::seconds(seconds.parse().unwrap()));
            }
            continue;
        };
        for shown in screen.lines() {
            writeln!(out, "  {shown}").unwrap();
        }
    }
    out
}

#[test]
fn golden_sessions_go_as_written() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/cases/sessions");
    let bless = std::env::var_os("BLESS_SESSIONS").is_some();
    let mut stories = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let written = fs::read_to_string(&path).unwrap();
        let now = played(&written);
        stories += 1;
        if bless {
            fs::write(&path, now).unwrap();
        } else {
            assert_eq!(written, now, "{}", path.display());
        }
    }
    assert!(stories >= 5);
}

#[test]
fn a_dialled_string_is_the_same_steps() {
    let stock = |phones: &Phones| {
        phones.text("101", "C4 stock 8000 -18");
        phones.text("101", "C5 stock 8000 -18");
        phones.text("101", "C4 4 C5 4 -1");
    };
    let phones = Phones::new();
    stock(&phones);
    let dialled = phones.dial("a", "101", "*40123*1*5*55#");
    let typed = Phones::new();
    stock(&typed);
    typed.dial("a", "101", "*40123#");
    typed.key("a", "101", "1");
    typed.key("a", "101", "#");
    let by_keys = typed.key("a", "101", "5.5");
    assert_eq!(dialled, by_keys);
    assert!(dialled.starts_with("C5 5.5g"), "{dialled}");
    // With the confirmation in the string it is saved, and only then.
    assert!(
        phones
            .dial("b", "101", "*40123*1*5*55*1#")
            .contains("C5 5.5g")
    );
    assert!(
        phones
            .dial("c", "101", "*40123*1*9*55*1#")
            .contains("No cage fits")
    );
}

#[test]
fn a_step_that_comes_twice_does_not_advance_twice_and_a_redial_goes_on() {
    use clutchline::counter::ussd::UssdInput;
    let phones = Phones::new();
    phones.text("101", "C4 stock 8000 -18");
    phones.text("101", "C4 4 -1");
    phones.dial("a", "101", "*40123#");
    phones.key("a", "101", "1");
    let shown = phones.key("a", "101", "4.5");
    phones.wait(Duration::seconds(-4));
    assert_eq!(
        phones.key("a", "101", "4.5"),
        shown,
        "the network tried again"
    );
    let saved = phones.key("a", "101", "1");
    phones.wait(Duration::seconds(-4));
    assert_eq!(
        phones.key("a", "101", "1"),
        saved,
        "the network tried again"
    );
    // A session that breaks off is offered again; one that is over long ago is not.
    phones.dial("b", "101", "*40123#");
    phones.key("b", "101", "2");
    phones.key("b", "101", "1");
    phones.key("b", "101", "1");
    assert!(phones.dial("c", "101", "*40123#").contains("Go on"));
    assert!(phones.key("c", "101", "1").contains("C4 bait"));
    phones.wait(Duration::minutes(30));
    assert!(phones.dial("d", "101", "*40123#").starts_with("Ziwani"));
    // The whole path at every step: what was taken is not taken again.
    let path = |keys: &[&str]| UssdInput::Path(keys.iter().map(|k| (*k).to_owned()).collect());
    phones.dial("e", "103", "*40123#");
    let one = phones.step("e", "103", "*40123#", path(&["2"])).text;
    assert_eq!(phones.step("e", "103", "*40123#", path(&["2"])).text, one);
    let back = phones.step("e", "103", "*40123#", path(&["2", "0"])).text;
    assert!(back.starts_with("Ziwani"), "{back}");
}

#[test]
fn who_wants_copies_gets_what_was_saved_as_an_sms_too() {
    use clutchline::domain::message::LinkName;
    let phones = Phones::new();
    phones.text("101", "C4 stock 8000 -18");
    let north = LinkName("north".to_owned());
    let copies = || phones.counter.lease(&north, "test", 10).unwrap();
    phones.dial("a", "101", "*40123*2*1*1*1#");
    assert_eq!(copies(), [], "nobody asked for copies");
    phones.dial("b", "101", "*40123#");
    for key in ["5", "5", "2", "1"] {
        phones.key("b", "101", key);
    }
    let screen = phones.dial("c", "101", "*40123*2*2*1*1#");
    let sent = copies();
    let [copy] = &sent[..] else {
        panic!("{sent:?}");
    };
    assert!(
        copy.outbound.text.starts_with("Saved C4 water."),
        "{}",
        copy.outbound.text
    );
    assert!(screen.starts_with("Saved C4 water."), "{screen}");
}
