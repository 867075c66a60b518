//! A browser in a few lines: keeps cookies, finds a form's token, and asks the room directly.

use chrono::{DateTime, Utc};
use clutchline::clock::Clock;
use clutchline::console::answer::Answer;
use clutchline::console::entrance::Asked;
use clutchline::console::routes::Method;
use clutchline::console::{Console, password, sessions};
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{CoopId, Inbound, LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::user::{Login, Power, UserEvent};
use clutchline::domain::{MemberNo, Role};
use std::sync::OnceLock;

pub(crate) const COOP: CoopId = CoopId(1);
pub(crate) const PASSWORD: &str = "kisima-upepo-ndizi";

/// A room with a manager, an officer of one ward and a viewer; two farms in two wards.
pub(crate) struct House {
    pub(crate) console: Console,
    pub(crate) watch: Clock,
    pub(crate) counter: Counter,
    _dir: tempfile::TempDir,
}

pub(crate) fn moment(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// Hashing takes a while; one hash serves all.
fn hash() -> String {
    static HASH: OnceLock<String> = OnceLock::new();
    HASH.get_or_init(|| password::hash(PASSWORD).unwrap())
        .clone()
}

pub(crate) fn house() -> House {
    house_with(Settings::default())
}

/// The same with some settings of its own; old messages are taken, however many.
pub(crate) fn house_with(settings: Settings) -> House {
    let dir = tempfile::tempdir().unwrap();
    let now = moment("2026-03-10T17:00:00Z");
    let settings = Settings {
        oldest_sent_at: None,
        flood: None,
        ..settings
    };
    let counter = Counter::open(dir.path(), settings, Clock::standing(now)).unwrap();
    let mut rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    rules.wards = vec!["Ufukwe".to_owned(), "Msitu".to_owned()];
    let rules = Box::new(rules);
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    for (no, name, role, ward) in [
        (2001, "Asha", Role::Keeper, "Ufukwe"),
        (2002, "Baraka", Role::Keeper, "Msitu"),
        (2003, "Rehema", Role::Officer, "Msitu"),
    ] {
        counter
            .office(OfficeRequest::AddMember {
                coop: COOP,
                number: Some(MemberNo(no)),
                name: name.to_owned(),
                lang: Lang::EN,
                role,
                ward: Some(ward.to_owned()),
                phones: vec![phone(no)],
            })
            .unwrap();
    }
    for (name, power, wards) in [
        ("manager", Power::Manager, vec![]),
        ("officer", Power::Officer, vec!["msitu".to_owned()]),
        ("viewer", Power::Viewer, vec![]),
    ] {
        let events = vec![
            UserEvent::Added(power),
            UserEvent::PasswordSet(hash()),
            UserEvent::WardsSet(wards),
            UserEvent::MemberSet((power > Power::Viewer).then_some(MemberNo(2003))),
        ];
        counter
            .change_user(COOP, &Login::new(name).unwrap(), events, None)
            .unwrap();
    }
    let watch = Clock::standing(now);
    let console = Console::new(counter.clone(), watch.clone(), None);
    House {
        console,
        watch,
        counter,
        _dir: dir,
    }
}

pub(crate) fn phone(no: u32) -> PhoneNumber {
    PhoneNumber::new(&format!("+25570000{no}")).unwrap()
}

/// A text from a member's phone, at a moment such as `2026-03-10T05:00:00Z`.
pub(crate) fn say(house: &House, no: u32, at: &str, line: &str) -> Outcome {
    let sent_at = moment(at);
    let inbound = Inbound {
        link: LinkName("say".to_owned()),
        id: None,
        from: phone(no),
        to: None,
        text: line.to_owned(),
        sent_at,
        sent_at_known: true,
        received_at: sent_at,
    };
    house.counter.take(COOP, inbound).unwrap().outcome
}

/// One browser.
pub(crate) struct Browser<'h> {
    pub(crate) house: &'h House,
    pub(crate) session: Option<String>,
    pub(crate) sign_in: Option<String>,
    pub(crate) lang: Option<String>,
    pub(crate) address: String,
    pub(crate) ours: bool,
}

impl<'h> Browser<'h> {
    pub(crate) fn new(house: &'h House) -> Self {
        Self {
            house,
            session: None,
            sign_in: Some(sessions::token().unwrap()),
            lang: None,
            address: "192.0.2.7".to_owned(),
            ours: true,
        }
    }

    pub(crate) fn signed_in(house: &'h House, name: &str) -> Self {
        let mut browser = Self::new(house);
        let answer = browser.try_sign_in(name, PASSWORD);
        assert_eq!(answer.status, 303, "{}", text(&answer));
        browser
    }

    pub(crate) fn try_sign_in(&mut self, name: &str, password: &str) -> Answer {
        let form = self.get("/console/sign-in");
        let token = token_of(&text(&form)).unwrap();
        self.post(
            "/console/sign-in",
            &[("token", &token), ("user", name), ("password", password)],
        )
    }

    fn ask(&mut self, method: Method, path: &str, body: Vec<u8>) -> Answer {
        self.ask_as(method, path, "application/x-www-form-urlencoded", body)
    }

    /// Posts a body of another kind, such as a file's form.
    pub(crate) fn post_body(&mut self, path: &str, kind: &str, body: Vec<u8>) -> Answer {
        self.ask_as(Method::Post, path, kind, body)
    }

    fn ask_as(&mut self, method: Method, path: &str, kind: &str, body: Vec<u8>) -> Answer {
        let (path, query) = path.split_once('?').unwrap_or((path, ""));
        let answer = self.house.console.answer(Asked {
            method,
            path: path.to_owned(),
            query: query.to_owned(),
            body,
            body_kind: kind.to_owned(),
            session: self.session.clone(),
            sign_in: self.sign_in.clone(),
            sign_in_token: None,
            lang: self.lang.clone(),
            accepts: String::new(),
            address: self.address.clone(),
            ours: self.ours,
            secure: false,
        });
        if let Some(session) = &answer.session {
            self.session = Some(session.clone()).filter(|token| !token.is_empty());
        }
        if let Some(lang) = &answer.lang {
            self.lang = Some(lang.clone());
        }
        answer
    }

    pub(crate) fn get(&mut self, path: &str) -> Answer {
        self.ask(Method::Get, path, Vec::new())
    }

    pub(crate) fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let body: Vec<String> = fields
            .iter()
            .map(|(name, value)| format!("{name}={}", escaped(value)))
            .collect();
        self.ask(Method::Post, path, body.join("&").into_bytes())
    }

    /// Fills a form of that page in and sends it.
    pub(crate) fn send(&mut self, page: &str, action: &str, fields: &[(&str, &str)]) -> Answer {
        let token = token_of(&text(&self.get(page))).unwrap();
        let mut all = vec![("token", token.as_str())];
        all.extend(fields);
        self.post(action, &all)
    }
}

pub(crate) fn text(answer: &Answer) -> String {
    String::from_utf8(answer.body.clone()).unwrap()
}

pub(crate) fn token_of(html: &str) -> Option<String> {
    let (_, rest) = html.split_once("name=\"token\" value=\"")?;
    Some(rest.split_once('"')?.0.to_owned())
}

fn escaped(value: &str) -> String {
    value
        .bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}
