//! What is kept of a member, on request, and taking a member out of the record.
//!
//! Pure: it decides what ends. This room does not know where names and texts lie, nor what backups hold.

use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::office::{Changes, OfficeError};
use crate::desk::reply::{Answer, Refusal};
use crate::desk::work::Work;
use crate::domain::event::{Event, FarmEvent, MemberEvent, PhoneEvent, StreamId};
use crate::domain::question::{Closing, Held};
use crate::units::day::FarmDay;

impl Work<'_> {
    /// `my data`: the owner's, which an officer who speaks for them may see too.
    pub(crate) fn my_data(&mut self) {
        let owner = self.owner;
        self.answers.push(Answer::MyData {
            member: owner.number,
            name: owner.name.clone(),
            ward: owner.ward.clone().unwrap_or_default(),
            phones: owner.phones.len(),
            cages: self.farm.units.len(),
        });
    }

    /// `forget me`: asked about, and nobody's to ask for but one's own.
    pub(crate) fn forget_me(&mut self) {
        if self.sender_no() == self.owner.number {
            self.hold(Held::Forget);
        } else {
            self.refuse(Refusal::NotAllowed);
        }
    }

    /// What `yes` to that does.
    pub(crate) fn forget(&mut self) {
        let ends = endings(self.owner, &self.farm, self.today);
        self.changes.extend(ends);
        // Nothing that was asked before can be answered any more.
        self.farm.questions.clear();
        self.settled = true;
        self.answers.push(Answer::Forgotten);
    }
}

/// The events that end a membership for good: the farm's runs and questions, the phones, and then the person.
fn endings(member: &Member, farm: &Farm, today: FarmDay) -> Changes {
    let stream = || StreamId::Farm(member.number);
    let questions = farm.questions.iter().map(|question| FarmEvent::Closed {
        no: question.no,
        how: Closing::Withdrawn,
    });
    let runs = farm.running().map(|(unit, _)| FarmEvent::Retired {
        unit: unit.code,
        day: today,
    });
    let mut changes: Changes = questions
        .chain(runs)
        .map(|event| (stream(), Event::Farm(event)))
        .collect();
    changes.extend(member.phones.iter().map(|phone| {
        let event = PhoneEvent::ServesNoMore(member.number);
        (StreamId::Phone(phone.clone()), Event::Phone(event))
    }));
    changes.push((
        StreamId::Member(member.number),
        Event::Member(MemberEvent::Erased),
    ));
    changes
}

/// An operator takes a member out of the record.
///
/// # Errors
/// When there is no such member.
pub fn erase(member: &Member, farm: &Farm, today: FarmDay) -> Result<Changes, OfficeError> {
    if !member.joined {
        return Err(OfficeError::NoSuchMember(member.number));
    }
    Ok(endings(member, farm, today))
}
