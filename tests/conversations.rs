//! Golden conversations: what keepers and officers text, and every word that comes back.
//!
//! Each file of `grammar/cases/conversations/` is one conversation, read as a contract: text by the grammar, judged by the desk, worded by the
//! phrasebook; states change only by applying the recorded events. A village of keeper 2071 Asha (phone 101) and officer 2001 Juma (phone
//! 102), both English, is there at the start. Lines:
//!
//! - `# ...` and empty lines: remarks. `@ 2026-03-10 07:10`: the local time from here on.
//! - `member 2072 Baraka keeper sw 103`: one more member, with language and phone. `phone 2072 101`: that phone serves them too.
//! - `rule back_days 3`, `rule check_letter_required`: a rule of the cooperative. `given C4 stock 8000 -20`: sent from 101, must be saved, not shown.
//! - `> text` from phone 101, `103> text` from another; `tick`: the reminders of this moment.
//! - `! outcome`, `< reply`, `<2072 notice or reminder`: what came of it.
//!
//! After a change that is meant, `BLESS_CONVERSATIONS=1 cargo test --test conversations` writes the last kind of lines anew; read the
//! difference as the keeper would before it is committed. Anything missing, stale or different fails.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[expect(dead_code, reason = "the desk's own tests use the rest")]
#[path = "desk/village.rs"]
mod village;

use chrono::{NaiveDateTime, TimeZone, Utc};
use chrono_tz::Africa::Dar_es_Salaam;
use clutchline::desk::phrase::Phrasebook;
use clutchline::desk::reply::Reply;
use clutchline::desk::streams::StreamState;
use clutchline::desk::{Decision, office, tick};
use clutchline::domain::event::StreamId;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::Outcome;
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::{MemberNo, Role};
use clutchline::grammar::{Lexicon, read};
use clutchline::units::septets::{fits_one_part, septets};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use village::Village;

/// Fewer files than this, and some theme of the contract was lost.
const FILES_MIN: usize = 11;

#[test]
fn conversations_go_as_written() {
    let bless = std::env::var_os("BLESS_CONVERSATIONS").is_some();
    let paths = files();
    assert!(paths.len() >= FILES_MIN, "only {} files", paths.len());
    let mut wrong = String::new();
    for path in paths {
        let written = fs::read_to_string(&path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let walked = Walk::new(&name).all(&written);
        if bless {
            fs::write(&path, walked).unwrap();
        } else if let Some(difference) = difference(&written, &walked) {
            writeln!(wrong, "{name}:{difference}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// A missing, a stale and a different expectation are each seen.
#[test]
fn a_wrong_expectation_is_seen() {
    let told = |text: &str| difference(text, &Walk::new("here").all(text));
    let right = Walk::new("here").all("given C4 stock 8000 -20\n> C4 12.5\n");
    assert_eq!(told(&right), None);
    assert!(
        told("given C4 stock 8000 -20\n> C4 12.5\n").is_some(),
        "missing"
    );
    assert!(told(&format!("{right}< More.\n")).is_some(), "stale");
    assert!(
        told(&right.replace("12.5g", "12.6g")).is_some(),
        "different"
    );
    assert!(
        told(&right.replace("! saved", "! asked")).is_some(),
        "outcome"
    );
}

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/cases/conversations");
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    paths
}

/// The first line that differs, with both versions.
fn difference(written: &str, walked: &str) -> Option<String> {
    let (mut file, mut now) = (written.lines(), walked.lines());
    for at in 1_usize.. {
        match (file.next(), now.next()) {
            (None, None) => break,
            (file, now) if file == now => {}
            (file, now) => {
                let (file, now) = (file.unwrap_or("(end)"), now.unwrap_or("(end)"));
                return Some(format!("{at}\n   file: {file}\n   now:  {now}"));
            }
        }
    }
    None
}

struct Walk {
    village: Village,
    book: Phrasebook,
    name: String,
    walked: String,
}

impl Walk {
    fn new(name: &str) -> Self {
        Self {
            village: Village::new(),
            book: Phrasebook::builtin(),
            name: name.to_owned(),
            walked: String::new(),
        }
    }

    /// The conversation with what comes of it now.
    fn all(mut self, written: &str) -> String {
        for line in written.lines() {
            if line.starts_with(['<', '!']) {
                continue;
            }
            writeln!(self.walked, "{line}").unwrap();
            self.line(line);
        }
        self.walked
    }

    fn line(&mut self, line: &str) {
        if line.trim().is_empty() || line.starts_with('#') {
            return;
        }
        if line == "tick" {
            self.tick();
        } else if let Some(local) = line.strip_prefix("@ ") {
            let local = NaiveDateTime::parse_from_str(local, "%Y-%m-%d %H:%M").unwrap();
            let at = Dar_es_Salaam.from_local_datetime(&local).unwrap();
            self.village.now = at.with_timezone(&Utc);
        } else if let Some(text) = line.strip_prefix("given ") {
            let decision = self.send("101", text);
            assert_eq!(decision.outcome, Outcome::Saved, "{}: {line}", self.name);
        } else if let Some((phone, text)) = line.split_once('>') {
            let phone = if phone.is_empty() { "101" } else { phone };
            let decision = self.send(phone, text.trim_start());
            self.show(&decision);
        } else {
            let words: Vec<&str> = line.split(' ').collect();
            self.set_up(&words);
        }
    }

    fn send(&mut self, phone: &str, text: &str) -> Decision {
        let reading = read(&text.replace("\\n", "\n"), Lexicon::builtin());
        self.village.send(&number(phone), reading)
    }

    fn show(&mut self, decision: &Decision) {
        let outcome = format!("{:?}", decision.outcome).to_lowercase();
        writeln!(self.walked, "! {outcome}").unwrap();
        if let Some(reply) = &decision.reply {
            self.told("<", reply);
        }
        self.notices(decision);
    }

    fn notices(&mut self, decision: &Decision) {
        for (member, reply) in &decision.notices {
            self.told(&format!("<{}", member.0), reply);
        }
    }

    fn told(&mut self, to: &str, reply: &Reply) {
        let text = self.book.render(reply);
        let length = septets(&text);
        assert!(fits_one_part(&text), "{}: {length:?} {text}", self.name);
        writeln!(self.walked, "{to} {}", text.replace('\n', "\\n")).unwrap();
    }

    fn tick(&mut self) {
        let streams: Vec<StreamId> = self.village.streams.keys().cloned().collect();
        for stream in streams {
            let StreamId::Member(number) = stream else {
                continue;
            };
            let StreamState::Member(member) = self.village.state(&stream) else {
                panic!("a member's stream holds a member")
            };
            let farm = self.village.farm_of(number);
            let decision = tick(&self.village.rules(), &member, &farm, self.village.now);
            self.village.put(None, None, decision.changes.clone());
            if let Some(reply) = &decision.reply {
                self.told(&format!("<{}", number.0), reply);
            }
            self.notices(&decision);
        }
    }

    fn set_up(&mut self, words: &[&str]) {
        match words {
            ["member", no, name, role, lang, phone] => {
                let role = match *role {
                    "collector" => Role::Collector,
                    "officer" => Role::Officer,
                    "keeper" => Role::Keeper,
                    other => panic!("no role {other}"),
                };
                let no = member_no(no);
                self.village.member(no, name, role, &[&number(phone)]);
                let StreamState::Member(member) = self.village.state(&StreamId::Member(no)) else {
                    panic!("a member's stream holds a member")
                };
                if *lang != "en" {
                    let lang = Lang::new(lang).unwrap();
                    let changes = office::set_lang(&member, lang).unwrap();
                    self.village.put(None, None, changes);
                }
            }
            ["phone", no, phone] => self.serve(member_no(no), &number(phone)),
            ["rule", rule @ ..] => {
                let mut rules = self.village.rules();
                match rule {
                    ["back_days", days] => rules.back_days = days.parse().unwrap(),
                    ["check_letter_required"] => rules.check_letter_required = true,
                    other => panic!("no rule {other:?}"),
                }
                let standing = self.village.rules();
                let changes = office::change_rules(&standing, rules).unwrap();
                self.village.put(None, None, changes);
            }
            other => panic!("{}: {other:?} is no line of a conversation", self.name),
        }
    }

    fn serve(&mut self, no: MemberNo, phone: &str) {
        let phone = PhoneNumber::new(phone).unwrap();
        let member = self.village.state(&StreamId::Member(no));
        let known = self.village.state(&StreamId::Phone(phone.clone()));
        let (StreamState::Member(member), StreamState::Phone(known)) = (member, known) else {
            panic!("streams hold what they are named after")
        };
        let changes = office::add_phone(&member, &phone, &known).unwrap();
        self.village.put(None, None, changes);
    }
}

/// The invented number that ends so.
fn number(phone: &str) -> String {
    format!("+255700000{phone}")
}

fn member_no(text: &str) -> MemberNo {
    MemberNo(text.parse().unwrap())
}
