//! What the office changes about a member beside name, role and phones: the hour of reminders, silence, what is sent, consent.
//!
//! Pure: commands become events or a refusal. This room does not know how a command was typed.

use crate::desk::member::Member;
use crate::desk::office::{Changes, OfficeError};
use crate::domain::event::{Consent, Event, FarmEvent, MemberEvent, StreamId};

/// Sets the local hour of the morning reminder.
///
/// # Errors
/// When the member is none, or the hour is none.
pub fn set_hour(member: &Member, hour: u8) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    if hour > 23 {
        return Err(OfficeError::Hour(hour));
    }
    let event = Event::Farm(FarmEvent::HourSet(hour));
    Ok(vec![(StreamId::Farm(member.number), event)])
}

/// Ends what is sent to a member, or lets it begin again.
///
/// # Errors
/// When the member is none.
pub fn set_silence(member: &Member, stopped: bool) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    let event = if stopped {
        MemberEvent::Stopped
    } else {
        MemberEvent::Started
    };
    Ok(if member.stopped == stopped {
        Vec::new()
    } else {
        vec![(StreamId::Member(member.number), Event::Member(event))]
    })
}

/// Sets whether a member, who pays for replies, gets questions and warnings only.
///
/// # Errors
/// When the member is none.
pub fn set_questions_only(member: &Member, only: bool) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    let event = Event::Member(MemberEvent::QuestionsOnlySet(only));
    Ok(if member.questions_only == only {
        Vec::new()
    } else {
        vec![(StreamId::Member(member.number), event)]
    })
}

/// Notes that a member agreed, or withdrew it. Who has withdrawn is sent nothing more; who agrees starts nothing by it.
///
/// # Errors
/// When the member is none.
pub fn note_consent(member: &Member, consent: Consent) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    let withdrawn = !consent.given;
    let stream = StreamId::Member(member.number);
    let mut changes = vec![(stream, Event::Member(MemberEvent::ConsentNoted(consent)))];
    if withdrawn {
        changes.extend(set_silence(member, true)?);
    }
    Ok(changes)
}

fn must_be_member(member: &Member) -> Result<(), OfficeError> {
    if member.joined {
        Ok(())
    } else {
        Err(OfficeError::NoSuchMember(member.number))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::MemberNo;
    use crate::domain::event::ConsentHow;
    use crate::domain::user::Login;

    #[test]
    fn who_withdraws_consent_is_sent_nothing_more() {
        let mut member = Member::empty(MemberNo(2071));
        let consent = |given| Consent {
            given,
            how: ConsentHow::Signed,
            day: chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap(),
            by: Login::new("amina").unwrap(),
        };
        assert!(note_consent(&member, consent(true)).is_err(), "no member");
        member.joined = true;
        assert_eq!(note_consent(&member, consent(true)).unwrap().len(), 1);
        for (_, event) in note_consent(&member, consent(false)).unwrap() {
            if let Event::Member(event) = event {
                member.apply(&event);
            }
        }
        assert!(member.stopped);
        assert_eq!(set_silence(&member, true).unwrap(), Vec::new());
        assert_eq!(set_hour(&member, 24), Err(OfficeError::Hour(24)));
    }
}
