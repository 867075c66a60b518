//! A small cooperative on a disk in a temporary folder, and phones that dial it.

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::counter::ussd::{UssdAnswer, UssdInput, UssdStep};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{CoopId, Inbound, LinkName};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::{MemberNo, Role};
use tempfile::TempDir;

pub(crate) const COOP: CoopId = CoopId(1);

/// Phones of member 2071 Asha (101), 2072 Baraka, who speaks Kiswahili (103), and officer 2001 Juma (102).
pub(crate) struct Phones {
    pub(crate) counter: Counter,
    clock: Clock,
    _dir: TempDir,
}

pub(crate) fn number(short: &str) -> PhoneNumber {
    PhoneNumber::new(&format!("+255700000{short}")).unwrap()
}

impl Phones {
    pub(crate) fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let clock = Clock::standing("2026-03-10T04:10:00Z".parse().unwrap());
        let settings = Settings {
            flood: None,
            ..Settings::default()
        };
        let counter = Counter::open(&dir.path().join("data"), settings, clock.clone()).unwrap();
        let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
        let rules = Box::new(rules);
        counter
            .office(OfficeRequest::Found { coop: COOP, rules })
            .unwrap();
        for (no, name, lang, role, phone) in [
            (2001, "Juma", "en", Role::Officer, "102"),
            (2071, "Asha", "en", Role::Keeper, "101"),
            (2072, "Baraka", "sw", Role::Keeper, "103"),
        ] {
            counter
                .office(OfficeRequest::AddMember {
                    coop: COOP,
                    number: Some(MemberNo(no)),
                    name: name.to_owned(),
                    lang: Lang::new(lang).unwrap(),
                    role,
                    ward: None,
                    phones: vec![number(phone)],
                })
                .unwrap();
        }
        Self {
            counter,
            clock,
            _dir: dir,
        }
    }

    pub(crate) fn now(&self) -> DateTime<Utc> {
        self.clock.now()
    }

    pub(crate) fn wait(&self, time: Duration) {
        self.clock.advance(time);
    }

    pub(crate) fn text(&self, phone: &str, text: &str) {
        let inbound = Inbound {
            link: LinkName("north".to_owned()),
            id: None,
            from: number(phone),
            to: None,
            text: text.to_owned(),
            sent_at: self.now(),
            sent_at_known: false,
            received_at: self.now(),
        };
        self.counter.take(COOP, inbound).unwrap();
        self.wait(Duration::seconds(1));
    }

    pub(crate) fn step(
        &self,
        session: &str,
        phone: &str,
        code: &str,
        input: UssdInput,
    ) -> UssdAnswer {
        let step = UssdStep {
            link: LinkName("north".to_owned()),
            session: session.to_owned(),
            from: number(phone),
            code: code.to_owned(),
            input,
            last: false,
            arrived: self.now(),
        };
        let answer = self.counter.ussd_now(COOP, step).unwrap();
        self.wait(Duration::seconds(5));
        answer
    }

    pub(crate) fn dial(&self, session: &str, phone: &str, code: &str) -> String {
        self.step(session, phone, code, UssdInput::First).text
    }

    pub(crate) fn key(&self, session: &str, phone: &str, key: &str) -> String {
        let input = UssdInput::Step(key.to_owned());
        self.step(session, phone, "*40123#", input).text
    }
}
