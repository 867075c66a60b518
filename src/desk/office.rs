//! What the operator or an officer decides at the desk itself: found the cooperative, add members, phones, roles, wards.
//!
//! Pure: commands become events or a refusal that says what was expected. This room does not know how a command was typed.

use crate::desk::member::Member;
use crate::desk::phone::Phone;
use crate::domain::event::{Event, MemberEvent, PhoneEvent, RulesEvent, StreamId};
use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};

/// Events for named streams.
pub type Changes = Vec<(StreamId, Event)>;

/// Why a command was not carried out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OfficeError {
    /// The cooperative exists.
    #[error("this data folder already holds the cooperative {0}")]
    AlreadyFounded(String),
    /// No name.
    #[error("a name is expected, such as \"Ziwani Fly Growers\"")]
    NameExpected,
}

/// Founds a cooperative.
///
/// # Errors
/// When one exists, or the rules lack what they need.
pub fn found(standing: &Rules, rules: Rules) -> Result<Changes, OfficeError> {
    let _ = (standing, rules);
    Err(OfficeError::NameExpected)
}

/// A member to be added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewMember {
    /// Number.
    pub number: MemberNo,
    /// Name.
    pub name: String,
    /// Language.
    pub lang: Lang,
    /// Role.
    pub role: Role,
    /// Ward.
    pub ward: Option<String>,
}

/// Adds a member with phones; each phone comes with its state.
///
/// # Errors
/// When the number is taken, the ward unknown, a phone full.
pub fn add_member(
    rules: &Rules,
    standing: &Member,
    new: &NewMember,
    phones: &[(PhoneNumber, Phone)],
) -> Result<Changes, OfficeError> {
    let _ = (rules, standing, new, phones);
    Err(OfficeError::NameExpected)
}

/// Lets a phone speak for a member.
///
/// # Errors
/// When the member is none, or either side is full.
pub fn add_phone(
    member: &Member,
    number: &PhoneNumber,
    phone: &Phone,
) -> Result<Changes, OfficeError> {
    let _ = (member, number, phone, PhoneEvent::SilenceSet(true));
    Err(OfficeError::NameExpected)
}

/// Cuts a phone off, at once.
///
/// # Errors
/// When it does not speak for the member.
pub fn cut_phone(member: &Member, number: &PhoneNumber) -> Result<Changes, OfficeError> {
    let _ = (member, number, MemberEvent::Started);
    Err(OfficeError::NameExpected)
}

/// Sets a role.
///
/// # Errors
/// When the member is none.
pub fn set_role(member: &Member, role: Role) -> Result<Changes, OfficeError> {
    let _ = (member, role);
    Err(OfficeError::NameExpected)
}

/// Sets a ward.
///
/// # Errors
/// When the member is none or the ward is unknown.
pub fn set_ward(rules: &Rules, member: &Member, ward: &str) -> Result<Changes, OfficeError> {
    let _ = (rules, member, ward, RulesEvent::WardAdded(String::new()));
    Err(OfficeError::NameExpected)
}
