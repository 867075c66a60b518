//! What the operator or an officer decides at the desk itself: found the cooperative, add members, phones, roles, wards.
//!
//! Pure: commands become events or a refusal that says what was expected. This room does not know how a command was typed.

use crate::biology::tables::Parameters;
use crate::desk::member::{Member, PHONES_MAX, clean_name};
use crate::desk::phone::{Phone, SERVES_MAX};
use crate::domain::event::{
    DayTemperature, Event, FarmEvent, MemberEvent, PhoneEvent, RulesEvent, StreamId, WardEvent,
};
use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use crate::units::Celsius;
use crate::units::day::FarmDay;
use chrono_tz::Tz;

/// Events for named streams.
pub type Changes = Vec<(StreamId, Event)>;

/// Wards of one cooperative: a district has tens; the list is loaded with every message.
pub const WARDS_MAX: usize = 200;

/// Why a command was not carried out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OfficeError {
    /// The cooperative exists.
    #[error("this data folder already holds the cooperative {0}")]
    AlreadyFounded(String),
    /// There is none yet.
    #[error("there is no cooperative here yet: found it first with `coop init`")]
    NotFounded,
    /// No name.
    #[error("expected a name, such as \"Ziwani Fly Growers\"")]
    NameExpected,
    /// The join code cannot be typed in one word.
    #[error("expected a join code of 3 to 12 letters or digits, such as ZIWANI, but found {0:?}")]
    JoinCode(String),
    /// The time zone is none.
    #[error("expected an IANA time zone such as Africa/Dar_es_Salaam, but found {0:?}")]
    Zone(String),
    /// Not an hour.
    #[error("expected an hour from 0 to 23 for reminders, but found {0}")]
    Hour(u8),
    /// A parameter of the sums that is none, or out of its bounds.
    #[error("{0}")]
    Model(String),
    /// Not a year's climate.
    #[error(
        "expected twelve months of lowest and highest air, January first, or none, but found {0}"
    )]
    Climate(usize),
    /// A reading that cannot be.
    #[error(
        "the reading of {0} cannot be: expected a day up to today and lowest-highest, such as 18-31"
    )]
    Air(FarmDay),
    /// The number is taken.
    #[error("member {0} exists already")]
    MemberExists(MemberNo),
    /// No such member.
    #[error("there is no member {0}: add them first with `member add`")]
    NoSuchMember(MemberNo),
    /// No PIN to end.
    #[error("member {0} has no PIN: there is nothing to end")]
    NoPin(MemberNo),
    /// No such ward.
    #[error("expected one of the wards {}, but found {found:?}", known.join(", "))]
    NoSuchWard {
        /// As said.
        found: String,
        /// Those that exist.
        known: Vec<String>,
    },
    /// Another ward has the name.
    #[error("there is a ward {0} already")]
    WardTaken(String),
    /// More members than are renamed at once.
    #[error("{0} members live in this ward, which is more than can be moved at once")]
    WardTooLarge(usize),
    /// Somebody changed the rules meanwhile.
    #[error("somebody else has changed the rules meanwhile: look at them again")]
    RulesMoved,
    /// As many wards as there may be.
    #[error("a cooperative has at most {WARDS_MAX} wards")]
    TooManyWards,
    /// The phone speaks for the member already.
    #[error("phone {0} speaks for this member already")]
    PhoneKnown(PhoneNumber),
    /// The phone does not speak for the member.
    #[error("phone {0} does not speak for this member")]
    PhoneUnknown(PhoneNumber),
    /// The member has as many phones as may be.
    #[error("a member has at most {PHONES_MAX} phones: cut one off first")]
    TooManyPhones,
    /// The phone serves as many members as may be.
    #[error("phone {0} serves {SERVES_MAX} members already, which is the most")]
    PhoneFull(PhoneNumber),
}

/// Founds a cooperative.
///
/// # Errors
/// When one exists, or the name, join code, zone or hour is none.
pub fn found(standing: &Rules, rules: Rules) -> Result<Changes, OfficeError> {
    if is_founded(standing) {
        return Err(OfficeError::AlreadyFounded(standing.name.clone()));
    }
    set_rules(rules)
}

/// Replaces the rules of a founded cooperative.
///
/// # Errors
/// When there is none yet, or the name, join code, zone or hour is none.
pub fn change_rules(standing: &Rules, rules: Rules) -> Result<Changes, OfficeError> {
    if !is_founded(standing) {
        return Err(OfficeError::NotFounded);
    }
    set_rules(rules)
}

/// Whether the rules are those of a founded cooperative.
#[must_use]
pub fn is_founded(rules: &Rules) -> bool {
    !rules.join_code.is_empty()
}

fn set_rules(mut rules: Rules) -> Result<Changes, OfficeError> {
    rules.name = clean_name(&rules.name);
    if rules.name.is_empty() {
        return Err(OfficeError::NameExpected);
    }
    let fits = (3..=12).contains(&rules.join_code.len())
        && rules.join_code.bytes().all(|b| b.is_ascii_alphanumeric());
    if !fits {
        return Err(OfficeError::JoinCode(rules.join_code));
    }
    rules.join_code.make_ascii_uppercase();
    if rules.zone.parse::<Tz>().is_err() {
        return Err(OfficeError::Zone(rules.zone));
    }
    if rules.hour > 23 {
        return Err(OfficeError::Hour(rules.hour));
    }
    let mut parameters = Parameters::default();
    for (name, value) in &rules.model {
        let set = parameters.set(name, *value);
        set.map_err(|why| OfficeError::Model(why.to_string()))?;
    }
    if !matches!(rules.climate.len(), 0 | 12) {
        return Err(OfficeError::Climate(rules.climate.len()));
    }
    if rules.wards.len() > WARDS_MAX {
        return Err(OfficeError::TooManyWards);
    }
    let event = Event::Rules(RulesEvent::Set(Box::new(rules)));
    Ok(vec![(StreamId::Rules, event)])
}

/// Adds a ward; one that exists is left as it is.
///
/// # Errors
/// When there is no cooperative, no name, or no room.
pub fn add_ward(rules: &Rules, ward: &str) -> Result<Changes, OfficeError> {
    if !is_founded(rules) {
        return Err(OfficeError::NotFounded);
    }
    let ward = clean_name(ward);
    if ward.is_empty() {
        return Err(OfficeError::NameExpected);
    }
    if rules.wards.len() >= WARDS_MAX {
        return Err(OfficeError::TooManyWards);
    }
    let known = rules.wards.contains(&ward);
    let event = Event::Rules(RulesEvent::WardAdded(ward));
    Ok(if known {
        Vec::new()
    } else {
        vec![(StreamId::Rules, event)]
    })
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
    if !is_founded(rules) {
        return Err(OfficeError::NotFounded);
    }
    if standing.joined {
        return Err(OfficeError::MemberExists(new.number));
    }
    let name = clean_name(&new.name);
    if name.is_empty() {
        return Err(OfficeError::NameExpected);
    }
    let joined = MemberEvent::Joined {
        name,
        lang: new.lang,
        role: new.role,
    };
    let mut member = Member::empty(new.number);
    member.apply(&joined);
    let mut changes = vec![(StreamId::Member(new.number), Event::Member(joined))];
    if let Some(ward) = &new.ward {
        changes.extend(set_ward(rules, &member, ward)?);
    }
    for (number, phone) in phones {
        let added = add_phone(&member, number, phone)?;
        member.apply(&MemberEvent::PhoneAdded(number.clone()));
        changes.extend(added);
    }
    changes.push((StreamId::Farm(new.number), Event::Farm(FarmEvent::Opened)));
    Ok(changes)
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
    must_be_member(member)?;
    if member.phones.contains(number) && phone.serves.contains(&member.number) {
        return Err(OfficeError::PhoneKnown(number.clone()));
    }
    if member.phones.len() >= PHONES_MAX {
        return Err(OfficeError::TooManyPhones);
    }
    if phone.serves.len() >= SERVES_MAX {
        return Err(OfficeError::PhoneFull(number.clone()));
    }
    let added = MemberEvent::PhoneAdded(number.clone());
    let serves = PhoneEvent::Serves(member.number);
    Ok(vec![
        (StreamId::Member(member.number), Event::Member(added)),
        (StreamId::Phone(number.clone()), Event::Phone(serves)),
    ])
}

/// Cuts a phone off, at once. What it said before stays with the member.
///
/// # Errors
/// When it does not speak for the member.
pub fn cut_phone(member: &Member, number: &PhoneNumber) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    if !member.phones.contains(number) {
        return Err(OfficeError::PhoneUnknown(number.clone()));
    }
    let cut = MemberEvent::PhoneCut(number.clone());
    let serves_no_more = PhoneEvent::ServesNoMore(member.number);
    Ok(vec![
        (StreamId::Member(member.number), Event::Member(cut)),
        (
            StreamId::Phone(number.clone()),
            Event::Phone(serves_no_more),
        ),
    ])
}

/// Sets a role.
///
/// # Errors
/// When the member is none.
pub fn set_role(member: &Member, role: Role) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    Ok(of_member(member, MemberEvent::RoleSet(role)))
}

/// Sets a name.
///
/// # Errors
/// When the member is none or the name is empty.
pub fn set_name(member: &Member, name: &str) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    let name = clean_name(name);
    if name.is_empty() {
        return Err(OfficeError::NameExpected);
    }
    Ok(of_member(member, MemberEvent::Named(name)))
}

/// Sets a language.
///
/// # Errors
/// When the member is none.
pub fn set_lang(member: &Member, lang: Lang) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    Ok(of_member(member, MemberEvent::LangSet(lang)))
}

/// Sets a ward; its name is found whatever its case.
///
/// # Errors
/// When the member is none or the ward is unknown.
pub fn set_ward(rules: &Rules, member: &Member, ward: &str) -> Result<Changes, OfficeError> {
    must_be_member(member)?;
    let known = known_ward(rules, ward)?;
    Ok(of_member(member, MemberEvent::WardSet(Some(known))))
}

/// Sets a ward's monthly climate, the whole cooperative's where no ward is named.
///
/// # Errors
/// When the ward is unknown or the climate has not twelve months.
pub fn set_climate(
    rules: &Rules,
    ward: Option<&str>,
    climate: Vec<(Celsius, Celsius)>,
) -> Result<Changes, OfficeError> {
    let ward = ward_or_whole(rules, ward)?;
    if !matches!(climate.len(), 0 | 12) || climate.iter().any(|(min, max)| min > max) {
        return Err(OfficeError::Climate(climate.len()));
    }
    let event = Event::Ward(WardEvent::ClimateSet(climate));
    Ok(vec![(StreamId::Ward(ward), event)])
}

/// Records readings of a ward's thermometer, the whole cooperative's where no ward is named.
///
/// # Errors
/// When the ward is unknown, or a reading's lowest lies above its highest or after `today`.
pub fn read_air(
    rules: &Rules,
    ward: Option<&str>,
    readings: Vec<DayTemperature>,
    today: FarmDay,
) -> Result<Changes, OfficeError> {
    let ward = ward_or_whole(rules, ward)?;
    let wrong = |one: &&DayTemperature| one.min > one.max || one.day > today;
    if let Some(wrong) = readings.iter().find(wrong) {
        return Err(OfficeError::Air(wrong.day));
    }
    let event = |reading| Event::Ward(WardEvent::Air(reading));
    let stream = || StreamId::Ward(ward.clone());
    Ok(readings
        .into_iter()
        .map(|reading| (stream(), event(reading)))
        .collect())
}

fn ward_or_whole(rules: &Rules, ward: Option<&str>) -> Result<String, OfficeError> {
    if !is_founded(rules) {
        return Err(OfficeError::NotFounded);
    }
    ward.map_or_else(|| Ok(String::new()), |ward| known_ward(rules, ward))
}

fn known_ward(rules: &Rules, ward: &str) -> Result<String, OfficeError> {
    let wanted = ward.trim().to_lowercase();
    let known = rules.wards.iter().find(|w| w.to_lowercase() == wanted);
    known.cloned().ok_or_else(|| OfficeError::NoSuchWard {
        found: ward.to_owned(),
        known: rules.wards.clone(),
    })
}

fn must_be_member(member: &Member) -> Result<(), OfficeError> {
    if member.joined {
        Ok(())
    } else {
        Err(OfficeError::NoSuchMember(member.number))
    }
}

fn of_member(member: &Member, event: MemberEvent) -> Changes {
    vec![(StreamId::Member(member.number), Event::Member(event))]
}
