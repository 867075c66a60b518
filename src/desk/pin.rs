//! A member's PIN: set, changed, ended, asked for before what is sensitive, and locked after wrong ones.
//!
//! What it guards stands in the registry of verbs. Whoever speaks is asked for their own PIN, whosever farm it is. Facts are never asked for one.
//! This room does not know how a text was written, and keeps no digits.

mod digest;

use crate::desk::Scene;
use crate::desk::gist::verb_of;
use crate::desk::member::Member;
use crate::desk::office::{Changes, OfficeError};
use crate::desk::reply::{Answer, Refusal};
use crate::desk::work::Work;
use crate::domain::MemberNo;
use crate::domain::event::{Event, MemberEvent, StreamId};
use crate::domain::message::Outcome;
use crate::domain::pin::{Behind, NoPin, Pin, PinSaid};
use crate::domain::question::{Closing, Held};
use crate::domain::said::{Digits, Fact, Order, Reading, Units};
use crate::grammar::registry;
use chrono::Duration;

/// What a PIN guards of an order.
fn behind(order: &Order) -> Option<Behind> {
    match order {
        // Has rules of its own.
        Order::Pin(_) | Order::Help(_) => None,
        order => registry::of(verb_of(order)).behind,
    }
}

/// The PIN of a line that says something sensitive beside it.
pub(crate) fn beside(reading: &Reading) -> Option<Pin> {
    let guarded = reading.orders.iter().any(|order| behind(order).is_some());
    let given = reading.orders.iter().find_map(|order| match order {
        Order::Pin(PinSaid::One(pin)) => Some(pin.clone()),
        _ => None,
    });
    given.filter(|_| guarded)
}

/// Whether a line says a PIN and nothing else.
pub(crate) fn is_only(reading: &Reading) -> bool {
    let one = matches!(reading.orders.as_slice(), [Order::Pin(PinSaid::One(_))]);
    one && reading.said.is_empty() && reading.doubts.is_empty()
}

/// Whether that member was asked for their PIN about that farm.
pub(crate) fn is_asked(scene: &Scene<'_>, sender: MemberNo, owner: MemberNo) -> bool {
    let people = scene.people.iter().chain(&scene.named);
    let farms = people.filter(|person| person.member.number == owner);
    farms
        .flat_map(|person| &person.farm.questions)
        .any(|q| q.by == Some(sender) && matches!(q.held, Held::Pin(_)))
}

/// A bare number where it is a PIN: as the answer to the question for it, or from a phone one of whose members has one, for no cage gives
/// kilograms a day. Where such a number comes with other words it is one only while it is asked for, and only where nothing else is said.
fn bare<'r>(scene: &Scene<'_>, reading: &'r Reading) -> Option<&'r Digits> {
    let digits = reading.digits.as_ref()?;
    let people = || scene.people.iter().chain(&scene.named);
    let asked = scene
        .people
        .iter()
        .any(|sender| people().any(|o| is_asked(scene, sender.member.number, o.member.number)));
    let has = scene
        .people
        .iter()
        .any(|person| person.member.pin.is_some());
    let plain = reading.orders.is_empty()
        && reading.for_member.is_none()
        && reading
            .said
            .iter()
            .all(|said| matches!(said.fact, Fact::Eggs { .. }) && said.units == Units::Unsaid);
    Some(digits).filter(|digits| asked && plain || digits.alone && has)
}

/// The reading of a message that is a PIN without its word.
pub(crate) fn as_pin(scene: &Scene<'_>, reading: &Reading) -> Option<Reading> {
    bare(scene, reading).map(|digits| Reading {
        orders: vec![Order::Pin(PinSaid::One(digits.pin.clone()))],
        secrets: vec![digits.at],
        ..Reading::default()
    })
}

/// Where digits of a PIN stand in a message, by what its phone's members have and were asked, and by what became of it: they are kept nowhere.
///
/// In words of which nothing could be read, the only number is compared with the members' PINs: the right one goes, another stays for people to
/// read. No weight is touched, for none was read; nothing is answered differently and no try is counted, so that nobody can learn a PIN this way.
#[must_use]
pub fn secrets(scene: &Scene<'_>, reading: &Reading, outcome: Outcome) -> Vec<(usize, usize)> {
    let bare = bare(scene, reading).or_else(|| {
        let digits = reading.digits.as_ref()?;
        let mut kept = scene
            .people
            .iter()
            .filter_map(|one| one.member.pin.as_ref());
        let unread = outcome == Outcome::Unreadable;
        (unread && kept.any(|kept| digest::is(&kept.hash, &digits.pin))).then_some(digits)
    });
    let bare = bare.map(|digits| digits.at);
    reading.secrets.iter().copied().chain(bare).collect()
}

/// The office ends a PIN that its member no longer knows.
///
/// # Errors
/// When the member is none, or has no PIN.
pub fn clear(member: &Member) -> Result<Changes, OfficeError> {
    if !member.joined {
        return Err(OfficeError::NoSuchMember(member.number));
    }
    if member.pin.is_none() {
        return Err(OfficeError::NoPin(member.number));
    }
    let event = Event::Member(MemberEvent::PinEnded);
    Ok(vec![(StreamId::Member(member.number), event)])
}

impl Work<'_> {
    /// Whether an order may be done now: nothing guards it, or the right PIN came with it. Else the question for it, or the refusal, stands.
    pub(crate) fn may(&mut self, order: &Order) -> bool {
        let Some(behind) = behind(order) else {
            return true;
        };
        self.passes(behind)
    }

    fn passes(&mut self, behind: Behind) -> bool {
        if self.sender.pin.is_none() {
            return true;
        }
        match self.given.clone() {
            Some(pin) => self.is_right(&pin),
            None => {
                self.ask_pin(behind);
                false
            }
        }
    }

    /// The question for a PIN; the one before is moot.
    fn ask_pin(&mut self, behind: Behind) {
        if let Some(refusal) = self.locked() {
            return self.refuse(refusal);
        }
        self.withdraw_asked(|held| matches!(held, Held::Pin(_)));
        self.hold(Held::Pin(behind));
    }

    fn withdraw_asked(&mut self, which: fn(&Held) -> bool) {
        let sender = Some(self.sender_no());
        let mine = self.farm.questions.iter().filter(|q| q.by == sender);
        let moot: Vec<u32> = mine.filter(|q| which(&q.held)).map(|q| q.no).collect();
        for no in moot {
            self.close(no, Closing::Withdrawn);
        }
    }

    fn locked(&self) -> Option<Refusal> {
        let until = self.sender.pin.as_ref()?.locked(self.now)?;
        Some(Refusal::Pin(NoPin::Locked(hours(until - self.now))))
    }

    /// Whether it is the sender's PIN; looked at once in a message, and counted where it is wrong.
    fn is_right(&mut self, pin: &Pin) -> bool {
        let Some(kept) = &self.sender.pin else {
            return false;
        };
        if let Some(refusal) = self.locked() {
            self.refuse(refusal);
            return false;
        }
        if let Some(right) = self.proved {
            return right;
        }
        let right = digest::is(&kept.hash, pin);
        self.proved = Some(right);
        let wrong = kept.wrong;
        let rules = self.rules.pin;
        if right {
            if wrong > 0 {
                self.about_pin(MemberEvent::PinRight);
            }
        } else if let Some(left) = rules.tries.checked_sub(wrong + 1).filter(|left| *left > 0) {
            self.about_pin(MemberEvent::PinWrong);
            self.refuse(Refusal::Pin(NoPin::Wrong(left)));
        } else {
            let lock = Duration::hours(i64::from(rules.lock_hours));
            self.about_pin(MemberEvent::PinLocked(self.now + lock));
            self.withdraw_asked(|held| matches!(held, Held::Pin(_)));
            self.refuse(Refusal::Pin(NoPin::Locked(hours(lock))));
        }
        right
    }

    fn about_pin(&mut self, event: MemberEvent) {
        let stream = StreamId::Member(self.sender_no());
        self.changes.push((stream, Event::Member(event)));
    }

    /// `pin ...`.
    pub(crate) fn pin(&mut self, said: &PinSaid) {
        if let PinSaid::One(pin) = said
            && self.answer_pin(pin)
        {
            return;
        }
        if self.sender_no() != self.owner.number {
            return self.refuse(Refusal::Pin(NoPin::Another));
        }
        let has = self.sender.pin.is_some();
        match said {
            PinSaid::One(pin) if !has => self.set_pin(pin),
            PinSaid::Two(old, new) if has => {
                if self.is_right(old) {
                    self.set_pin(new);
                }
            }
            PinSaid::Off(Some(pin)) if has => {
                if self.is_right(pin) {
                    self.end_pin();
                }
            }
            PinSaid::Off(None) if has => self.ask_pin(Behind::End),
            PinSaid::Bare if !has => self.ask_pin(Behind::Choose),
            PinSaid::One(_) | PinSaid::Bare => self.refuse(Refusal::Pin(NoPin::Kept)),
            PinSaid::Two(..) | PinSaid::Off(_) => self.refuse(Refusal::Pin(NoPin::None)),
            PinSaid::Unclear => self.refuse(Refusal::Pin(NoPin::Unclear)),
        }
    }

    /// The answer to the question for a PIN; whether one was open.
    fn answer_pin(&mut self, pin: &Pin) -> bool {
        let sender = Some(self.sender_no());
        let open = self.farm.questions.iter().rev();
        let asked = open.filter(|q| q.by == sender).find_map(|q| match q.held {
            Held::Pin(behind) => Some((q.no, behind)),
            _ => None,
        });
        let Some((no, behind)) = asked else {
            return false;
        };
        if behind != Behind::Choose && self.sender.pin.is_none() {
            // The office has ended it since: digits now are a new one.
            self.close(no, Closing::Withdrawn);
            return false;
        }
        if behind == Behind::Choose {
            if self.sender.pin.is_none() {
                self.set_pin(pin);
            } else {
                self.close(no, Closing::Withdrawn);
                self.refuse(Refusal::Pin(NoPin::Kept));
            }
        } else if self.is_right(pin) {
            self.close(no, Closing::Yes);
            match behind {
                Behind::Choose => {}
                Behind::Data => self.my_data(),
                Behind::Forget => self.forget_me(),
                Behind::End => self.end_pin(),
            }
        }
        true
    }

    fn set_pin(&mut self, pin: &Pin) {
        if pin.is_plain() || self.is_known(pin) {
            return self.refuse(Refusal::Pin(NoPin::Plain));
        }
        let of = format!("{} {}", self.rules.name, self.sender_no());
        let hash = digest::of(pin, &of, self.message, self.now);
        // What was asked while there was no PIN is not to be answered past it.
        self.withdraw_asked(|held| matches!(held, Held::Pin(_) | Held::Forget));
        self.about_pin(MemberEvent::PinSet(hash));
        self.settled = true;
        self.answers.push(Answer::PinSet);
    }

    fn end_pin(&mut self) {
        self.withdraw_asked(|held| matches!(held, Held::Pin(_)));
        self.about_pin(MemberEvent::PinEnded);
        self.settled = true;
        self.answers.push(Answer::PinEnded);
    }

    /// What stands on the member's card or in their phone number.
    fn is_known(&self, pin: &Pin) -> bool {
        let number = self.sender_no().to_string();
        let in_phone =
            |phone: &crate::domain::phone::PhoneNumber| phone.full().ends_with(pin.digits());
        number == pin.digits() || self.sender.phones.iter().any(in_phone)
    }
}

/// Whole hours, begun ones counted.
fn hours(lasts: Duration) -> u16 {
    let hours = (lasts + Duration::minutes(59)).num_hours().max(1);
    u16::try_from(hours).unwrap_or(u16::MAX)
}
