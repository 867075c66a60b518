//! An operator's command on top of the batch: load what it touches, let the desk decide, keep the step.
//!
//! Runs on the writer thread. This room does not know how a command was typed.

use crate::counter::answers::{CounterError, OfficeAnswer, OfficeError, OfficeRequest};
use crate::counter::bench::Bench;
use crate::counter::judge;
use crate::counter::people;
use crate::counter::readmodel;
use crate::desk::Decision;
use crate::desk::member::clean_name;
use crate::desk::membership;
use crate::desk::office;
use crate::desk::phone::Phone;
use crate::desk::pin;
use crate::desk::privacy;
use crate::desk::wards::{self, Renaming};
use crate::domain::MemberNo;
use crate::domain::event::{Event, StreamId, WardEvent};
use crate::domain::message::{CoopId, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::user::{Deed, Login, UserEvent};
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::step::Step;
use crate::units::day::farm_day;
use chrono_tz::Tz;

impl From<StoreError> for OfficeError {
    fn from(error: StoreError) -> Self {
        Self::Counter(CounterError::Store(error.to_string()))
    }
}

/// Decides and writes. A refusal leaves the batch as it was.
pub(crate) fn carry_out(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    request: OfficeRequest,
    deed: Option<(Login, Deed)>,
) -> Result<OfficeAnswer, OfficeError> {
    let coop = request.coop();
    let rules = draft.load(coop, &StreamId::Rules)?;
    let rules = people::rules(&rules)?;
    let (mut changes, answer) = match request {
        OfficeRequest::Found { rules: new, .. } => {
            let changes = office::found(rules, *new)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::AddMember {
            number,
            name,
            lang,
            role,
            ward,
            phones,
            ..
        } => {
            let number = match number {
                Some(number) => number,
                None => bench.free_member(draft, coop)?,
            };
            let standing = draft.load(coop, &StreamId::Member(number))?;
            let phones = phones
                .into_iter()
                .map(|number| Ok((number.clone(), phone(draft, coop, number)?)))
                .collect::<Result<Vec<_>, StoreError>>()?;
            let new = office::NewMember {
                number,
                name,
                lang,
                role,
                ward,
            };
            let changes = office::add_member(rules, people::member(&standing)?, &new, &phones)?;
            (changes, OfficeAnswer::Member(number))
        }
        OfficeRequest::AddPhone {
            member,
            phone: number,
            ..
        } => {
            let state = phone(draft, coop, number.clone())?;
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = office::add_phone(people::member(&member)?, &number, &state)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::CutPhone { member, phone, .. } => {
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = office::cut_phone(people::member(&member)?, &phone)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::ClearPin { member, .. } => {
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = pin::clear(people::member(&member)?)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::SetRole { member, role, .. } => {
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = office::set_role(people::member(&member)?, role)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::SetWard { member, ward, .. } => {
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = office::set_ward(rules, people::member(&member)?, &ward)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::SetClimate { ward, climate, .. } => {
            let changes = office::set_climate(rules, ward.as_deref(), climate)?;
            readmodel::forget_the_day(draft, coop);
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::ReadAir { ward, readings, .. } => {
            let zone: Tz = rules.zone.parse().unwrap_or(Tz::UTC);
            let today = farm_day(bench.now, zone);
            let changes = office::read_air(rules, ward.as_deref(), readings, today)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::Recount { lessons, .. } => {
            let mut changes = Vec::new();
            for (ward, lessons) in lessons {
                let stream = StreamId::Ward(ward);
                let standing = draft.load(coop, &stream)?;
                let standing = &people::ward(&standing)?.lessons;
                // A ward without any says nothing of it.
                if *standing != lessons && standing.through.max(lessons.through) > 0 {
                    changes.push((stream, Event::Ward(WardEvent::Recounted(lessons))));
                }
            }
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::SetName { member, name, .. } => {
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = office::set_name(people::member(&member)?, &name)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::SetLang { member, lang, .. } => {
            let member = draft.load(coop, &StreamId::Member(member))?;
            let changes = office::set_lang(people::member(&member)?, lang)?;
            (changes, OfficeAnswer::Done)
        }
        OfficeRequest::Erase { member, .. } => {
            let home = people::Household::load(draft, coop, member)?;
            let zone: Tz = rules.zone.parse().unwrap_or(Tz::UTC);
            let (member, farm) = (people::member(&home.member)?, people::farm(&home.farm)?);
            let changes = privacy::erase(member, farm, farm_day(bench.now, zone))?;
            (changes, OfficeAnswer::Done)
        }
        more => (beside(draft, rules, more)?, OfficeAnswer::Done),
    };
    if let Some((by, deed)) = deed {
        let did = Event::User(UserEvent::Did(named(deed, answer)));
        changes.push((StreamId::User(by), did));
    }
    keep(bench, draft, coop, changes)?;
    Ok(answer)
}

/// The trail's line with the number that a new member got.
fn named(deed: Deed, answer: OfficeAnswer) -> Deed {
    match answer {
        OfficeAnswer::Member(no) => Deed {
            member: Some(no),
            ..deed
        },
        OfficeAnswer::Done => deed,
    }
}

/// The commands about hours, silence, consent, wards and rules.
fn beside(
    draft: &mut Draft<'_>,
    rules: &Rules,
    request: OfficeRequest,
) -> Result<office::Changes, OfficeError> {
    let coop = request.coop();
    let mut member = |no| draft.load(coop, &StreamId::Member(no));
    Ok(match request {
        OfficeRequest::SetHour {
            member: no, hour, ..
        } => membership::set_hour(people::member(&*member(no)?)?, hour)?,
        OfficeRequest::SetSilence {
            member: no,
            stopped,
            ..
        } => membership::set_silence(people::member(&*member(no)?)?, stopped)?,
        OfficeRequest::SetQuestionsOnly {
            member: no, only, ..
        } => membership::set_questions_only(people::member(&*member(no)?)?, only)?,
        OfficeRequest::NoteConsent {
            member: no,
            consent,
            ..
        } => membership::note_consent(people::member(&*member(no)?)?, consent)?,
        OfficeRequest::AddWard { ward, .. } => office::add_ward(rules, &ward)?,
        OfficeRequest::RenameWard {
            old, new, members, ..
        } => rename_ward(draft, (coop, rules), &old, &new, &members)?,
        OfficeRequest::ChangeRules { from, to, .. } => {
            if *from != *rules {
                return Err(office::OfficeError::RulesMoved.into());
            }
            let changes = office::change_rules(rules, *to)?;
            readmodel::forget_the_day(draft, coop);
            changes
        }
        _ => Vec::new(),
    })
}

fn rename_ward(
    draft: &mut Draft<'_>,
    (coop, rules): (CoopId, &Rules),
    old: &str,
    new: &str,
    members: &[MemberNo],
) -> Result<office::Changes, OfficeError> {
    let mut living = Vec::new();
    for no in members {
        let stream = draft.load(coop, &StreamId::Member(*no))?;
        let member = people::member(&stream)?;
        if member.ward.as_deref() == Some(old) {
            living.push(member.clone());
        }
    }
    let mut users = Vec::new();
    for login in draft.store.users(coop)? {
        let stream = draft.load(coop, &StreamId::User(login.clone()))?;
        users.push((login, people::user(&stream)?.clone()));
    }
    let ward = draft.load(coop, &StreamId::Ward(old.to_owned()))?;
    let there = draft.load(coop, &StreamId::Ward(clean_name(new)))?;
    let changes = wards::rename(
        rules,
        &Renaming {
            old,
            new,
            ward: people::ward(&ward)?,
            there: people::ward(&there)?,
            members: &living,
            users: &users,
        },
    )?;
    if !changes.is_empty() {
        readmodel::rename_unread(draft, coop, old, &clean_name(new))?;
    }
    Ok(changes)
}

fn phone(draft: &mut Draft<'_>, coop: CoopId, number: PhoneNumber) -> Result<Phone, StoreError> {
    let stream = draft.load(coop, &StreamId::Phone(number))?;
    people::phone(&stream).cloned()
}

/// The operator's step: caused by no member and no message.
pub(crate) fn keep(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    changes: office::Changes,
) -> Result<(), StoreError> {
    let decision = Decision {
        by: None,
        outcome: Outcome::Saved,
        covers_repeats: false,
        changes,
        reply: None,
        notices: Vec::new(),
    };
    let step = Step {
        coop,
        received: None,
        heard: None,
        changes: judge::changes(draft, coop, &decision, bench.now, None)?,
        outgoing: Vec::new(),
    };
    if step.changes.is_empty() {
        return Ok(());
    }
    let touched: Vec<MemberNo> = judge::push(bench, draft, step)?;
    for farm in touched {
        judge::plan_wakeup(draft, coop, farm, bench.now)?;
    }
    Ok(())
}
