//! A USSD session, step by step: loaded, moved on by the menu, kept with whatever the step recorded, and only then answered.
//!
//! What a session says goes the way of every message, as a line under an id of its own, so that a step that comes twice is a redelivery. Sessions are
//! kept by phone: a new one takes the old one's place. This room does not know how a network writes a step.

mod dialled;
mod loaded;

use crate::counter::acks::Ack;
use crate::counter::answers::TakeError;
use crate::counter::bench::Bench;
use crate::counter::desk_work;
use crate::counter::judge::{self, Verdict};
use crate::counter::settings::UssdProfile;
use crate::counter::ussd::dialled::{parameters, service};
use crate::counter::ussd::loaded::Loaded;
use crate::domain::event::{Event, MemberEvent, StreamId};
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::domain::pin::{BLOT, Pin};
use crate::menu::{self, Command, Session, Told, Typing};
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::records::{Moment, SessionRecord};
use chrono::{DateTime, Utc};

/// Steps of one request: a dialled string with its parameters has fewer.
const STEPS_MOST: usize = 16;
/// Steps of one session; a session of a few minutes has some tens.
const SESSION_STEPS_MOST: u32 = 2_000;

/// One step as it came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UssdStep {
    /// The link.
    pub link: LinkName,
    /// The network's id of the session.
    pub session: String,
    /// The phone.
    pub from: PhoneNumber,
    /// The string that was dialled, such as `*40123#` or `*40123*1*4*125#`.
    pub code: String,
    /// What was typed.
    pub input: UssdInput,
    /// The network has ended the session: nothing is shown any more.
    pub last: bool,
    /// When it came, by a clock that runs: two like steps are told apart by it.
    pub arrived: DateTime<Utc>,
}

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum UssdInput {
    /// The session begins.
    First,
    /// The step just typed.
    Step(String),
    /// Everything typed since the code.
    Path(Vec<String>),
}

/// A screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UssdAnswer {
    /// What the phone shows.
    pub text: String,
    /// The session ends with it.
    pub end: bool,
}

/// What is called when a step is on disk.
pub type UssdDone = Box<dyn FnOnce(Result<UssdAnswer, TakeError>) + Send>;

/// A step that waits for the writer.
pub(crate) struct WaitingStep {
    pub(crate) coop: CoopId,
    pub(crate) step: UssdStep,
    pub(crate) done: UssdDone,
}

/// Takes a step. An error before anything is written is its own; one after it spoils the batch.
pub(crate) fn take(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    waiting: WaitingStep,
    acks: &mut Vec<Ack>,
) -> Result<(), StoreError> {
    let WaitingStep { coop, step, done } = waiting;
    match advance(bench, draft, coop, &step) {
        Ok(answer) => {
            acks.push(Box::new(move |failure| {
                done(match failure {
                    None => Ok(answer),
                    Some(why) => Err(TakeError::Store(why.to_owned())),
                });
            }));
            Ok(())
        }
        Err(error) => {
            let why = error.to_string();
            acks.push(Box::new(move |_| done(Err(TakeError::Store(why)))));
            Err(error)
        }
    }
}

/// What a request types, in order, and whether it was dialled.
struct Steps {
    typed: Vec<String>,
    dialled: bool,
}

fn advance(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    step: &UssdStep,
) -> Result<UssdAnswer, StoreError> {
    let profile = bench.settings.ussd_on(&step.link);
    let key = keys::session(coop, &step.from);
    let old: Option<SessionRecord> = draft.get(Shelf::Sessions, &key)?;
    let now = bench.now;
    let same = old.clone().filter(|old| {
        old.session == step.session && old.link == step.link && now - old.at.0 <= profile.idle
    });
    if step.last {
        // What was begun is offered again when the phone dials; the id itself is over.
        if let Some(mut record) = same {
            record.session.clear();
            draft.put(Shelf::Sessions, key, &record)?;
        }
        return Ok(UssdAnswer {
            text: String::new(),
            end: true,
        });
    }
    if let Some(record) = &same
        && is_again(record, step, &profile)
    {
        return Ok(UssdAnswer {
            text: record.screen.clone(),
            end: false,
        });
    }
    let (mut record, steps) = match same {
        Some(record) => {
            let steps = next_steps(&record, step);
            (record, steps)
        }
        None => begin(bench, draft, coop, step, old, &profile)?,
    };
    let mut run = Run {
        bench,
        draft,
        coop,
        step,
        profile,
        record: &mut record,
    };
    let screen = run.through(&steps)?;
    record.at = Moment(now);
    record.arrived = Moment(step.arrived);
    record.screen.clone_from(&screen);
    draft.put(Shelf::Sessions, key, &record)?;
    Ok(UssdAnswer {
        text: screen,
        end: false,
    })
}

/// Whether the network tries a step again.
fn is_again(record: &SessionRecord, step: &UssdStep, profile: &UssdProfile) -> bool {
    match &step.input {
        UssdInput::Path(path) => path.len() <= usize::from(record.path),
        // A list may well be turned twice with the same key; a value or a choice that said something is not typed twice so soon.
        UssdInput::Step(typed) => {
            let since = step.arrived - record.arrived.0;
            let same = record.typed == *typed || record.typed == BLOT && Pin::new(typed).is_some();
            record.weighty && same && since <= profile.retry
        }
        UssdInput::First => true,
    }
}

fn next_steps(record: &SessionRecord, step: &UssdStep) -> Steps {
    let typed = match &step.input {
        UssdInput::First => Vec::new(),
        UssdInput::Step(typed) => vec![typed.clone()],
        UssdInput::Path(path) => path.iter().skip(record.path.into()).cloned().collect(),
    };
    Steps {
        typed,
        dialled: false,
    }
}

/// A new session: what was dialled after the code are its first steps.
fn begin(
    bench: &Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    step: &UssdStep,
    old: Option<SessionRecord>,
    profile: &UssdProfile,
) -> Result<(SessionRecord, Steps), StoreError> {
    let broken_off = old
        .filter(|old| bench.now - old.at.0 <= profile.resume)
        .map(|old| old.state);
    let mut typed = parameters(&step.code);
    let mut path = 0;
    match &step.input {
        UssdInput::First => {}
        // Some networks hand over the dialled string itself, others what was typed after it.
        UssdInput::Step(text) if typed.is_empty() && text.starts_with('*') => {
            typed = parameters(text);
        }
        UssdInput::Step(_) => {}
        UssdInput::Path(steps) => {
            path = u16::try_from(steps.len()).unwrap_or(u16::MAX);
            if typed.is_empty() {
                typed.clone_from(steps);
            }
        }
    }
    let loaded = Loaded::of(bench, draft, coop, &step.from, &Session::default())?;
    let view = loaded.view(profile.septets);
    // Whoever dials parameters has said where to begin.
    let broken_off = broken_off.filter(|_| typed.is_empty());
    let state = menu::begin(&view, broken_off);
    let record = SessionRecord {
        link: step.link.clone(),
        session: step.session.clone(),
        at: Moment(bench.now),
        arrived: Moment(step.arrived),
        path,
        steps: 0,
        typed: String::new(),
        weighty: false,
        screen: String::new(),
        state,
    };
    let steps = Steps {
        typed,
        dialled: true,
    };
    Ok((record, steps))
}

/// Where a session asks for a PIN.
fn is_pin(state: &Session) -> bool {
    matches!(state.place(), menu::Place::Type(menu::Typed::Pin))
}

/// One request at work.
struct Run<'r, 'b, 's> {
    bench: &'r mut Bench<'b>,
    draft: &'r mut Draft<'s>,
    coop: CoopId,
    step: &'r UssdStep,
    profile: UssdProfile,
    record: &'r mut SessionRecord,
}

impl Run<'_, '_, '_> {
    /// Types every step and gives the last screen.
    fn through(&mut self, steps: &Steps) -> Result<String, StoreError> {
        let count = steps.typed.len().min(STEPS_MOST);
        for (at, typed) in steps.typed.iter().take(count).enumerate() {
            let how = if steps.dialled {
                Typing::Dialled {
                    more: at + 1 < count,
                }
            } else {
                Typing::Session {
                    star_is_point: self.profile.star_is_point
                        && matches!(self.step.input, UssdInput::Step(_)),
                }
            };
            self.press(typed, how)?;
            if steps.dialled && self.record.state.wrong {
                // What follows was meant for another place.
                break;
            }
        }
        if let UssdInput::Path(path) = &self.step.input {
            self.record.path = u16::try_from(path.len()).unwrap_or(u16::MAX);
        }
        let loaded = self.load()?;
        let view = loaded.view(self.profile.septets);
        Ok(menu::show(&view, &self.record.state))
    }

    fn load(&mut self) -> Result<Loaded, StoreError> {
        Loaded::of(
            self.bench,
            self.draft,
            self.coop,
            &self.step.from,
            &self.record.state,
        )
    }

    fn press(&mut self, typed: &str, how: Typing) -> Result<(), StoreError> {
        self.record.steps = (self.record.steps + 1).min(SESSION_STEPS_MOST);
        let loaded = self.load()?;
        let view = loaded.view(self.profile.septets);
        let was_list = matches!(self.record.state.place(), menu::Place::List(..));
        let was_pin = is_pin(&self.record.state);
        let command = menu::press(&view, &mut self.record.state, typed, how);
        // What is typed where a PIN is asked for is kept nowhere.
        self.record.typed = if was_pin { BLOT } else { typed }.to_owned();
        self.record.weighty = command.is_some() || !was_list;
        match command {
            None => Ok(()),
            Some(Command::Say(line)) => self.say(line),
            Some(Command::Copies(on)) => {
                if let Some(member) = loaded.speaker() {
                    let stream = StreamId::Member(member.number);
                    let event = Event::Member(MemberEvent::MenuCopiesSet(on));
                    let changes = vec![(stream, event)];
                    desk_work::keep(self.bench, self.draft, self.coop, changes)?;
                }
                Ok(())
            }
        }
    }

    /// A line goes the way of every message.
    fn say(&mut self, line: String) -> Result<(), StoreError> {
        let inbound = Inbound {
            link: self.step.link.clone(),
            id: Some(format!("ussd {} {}", self.step.session, self.record.steps)),
            from: self.step.from.clone(),
            to: Some(service(&self.step.code)).filter(|code| !code.is_empty()),
            text: line,
            sent_at: self.bench.now,
            sent_at_known: false,
            received_at: self.bench.now,
        };
        let wording = self.bench.wording;
        let reading = wording.read_in(self.draft, self.coop, &inbound.text)?;
        let by_menu = std::mem::replace(&mut self.bench.by_menu, true);
        let done = judge::judge(self.bench, self.draft, self.coop, inbound, &reading).and_then(
            |verdict| match verdict {
                Verdict::Again(receipt) => Ok(receipt),
                Verdict::New(judged) => judge::write(self.bench, self.draft, *judged),
            },
        );
        self.bench.by_menu = by_menu;
        let receipt = done?;
        let text = receipt.replies.first().map(|reply| reply.text.clone());
        let loaded = self.load()?;
        let view = loaded.view(self.profile.septets);
        let told = Told {
            outcome: receipt.outcome,
            text: text.unwrap_or_default(),
        };
        menu::told(&view, &mut self.record.state, &told);
        Ok(())
    }
}
