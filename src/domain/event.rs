//! Everything that can have happened, by stream.
//!
//! Events are the record; state is what `apply` makes of them. This room does not decide anything.

use crate::domain::affairs::AffairsEvent;
use crate::domain::broadcast::BroadcastEvent;
use crate::domain::code::UnitCode;
pub use crate::domain::consent::{Consent, ConsentHow};

use crate::domain::compact;
use crate::domain::dossier::DossierEvent;
use crate::domain::lang::Lang;
use crate::domain::message::MessageNo;
use crate::domain::phone::PhoneNumber;
use crate::domain::pin::PinHash;
use crate::domain::question::{Closing, Held};
use crate::domain::rules::Rules;
use crate::domain::topic::Topic;
use crate::domain::user::{Login, UserEvent};
use crate::domain::words::WordsEvent;
use crate::domain::{CareJob, MemberNo, Role, StockKind, UnitKind};
use crate::units::day::FarmDay;
use crate::units::{Celsius, Grams, Pupae};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// A stream of events inside one cooperative.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum StreamId {
    /// The cooperative's rules.
    Rules,
    /// One member: name, language, role, phones.
    Member(MemberNo),
    /// One phone: whom it serves.
    Phone(PhoneNumber),
    /// One member's farm.
    Farm(MemberNo),
    /// A ward by name: its air and what its finished runs teach. The empty name is the whole cooperative.
    Ward(String),
    /// Somebody who signs in: what they may do, and what they did.
    User(Login),
    /// What officers keep on one member's farm.
    Dossier(MemberNo),
    /// The cooperative's own affairs.
    Affairs,
    /// One text to many members, by number.
    Broadcast(u32),
    /// The words that the cooperative has taught.
    Words,
}

/// One event with who, when and by which message.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Recorded {
    /// The moment it counts for (the message's accepted sending time).
    #[serde(with = "compact::moment")]
    pub at: DateTime<Utc>,
    /// Who caused it; none for the operator's own commands.
    pub by: Option<MemberNo>,
    /// The message that caused it, where one did.
    pub message: Option<MessageNo>,
    /// What happened.
    pub event: Event,
}

/// What happened, in one stream.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Event {
    /// In a farm's stream.
    Farm(FarmEvent),
    /// In a member's stream.
    Member(MemberEvent),
    /// In a phone's stream.
    Phone(PhoneEvent),
    /// In the stream of the cooperative's rules.
    Rules(RulesEvent),
    /// In a ward's stream.
    Ward(WardEvent),
    /// In a user's stream.
    User(UserEvent),
    /// In a farm's dossier.
    Dossier(DossierEvent),
    /// In the stream of the cooperative's affairs.
    Affairs(AffairsEvent),
    /// In the stream of a text to many.
    Broadcast(BroadcastEvent),
    /// In the stream of the cooperative's words.
    Words(WordsEvent),
}

/// What happened at a farm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum FarmEvent {
    /// The member's farm exists from now on.
    Opened,
    /// Eggs taken.
    Harvested(Harvest),
    /// A care job done.
    Cared {
        /// Unit.
        unit: UnitCode,
        /// Job.
        job: CareJob,
        /// Day.
        #[serde(with = "compact::day")]
        day: FarmDay,
    },
    /// A run begins. A run that was going on ends the same day.
    Stocked(Stocking),
    /// The running stocking was this instead. Its day stays.
    StockCorrected(Stocking),
    /// Dead flies taken out.
    DeadFlies {
        /// Unit.
        unit: UnitCode,
        /// Day.
        #[serde(with = "compact::day")]
        day: FarmDay,
        /// Weight, where it was said.
        grams: Option<Grams>,
    },
    /// Ants seen.
    AntsSeen {
        /// Unit.
        unit: UnitCode,
        /// Day.
        #[serde(with = "compact::day")]
        day: FarmDay,
    },
    /// The day's lowest and highest air temperature.
    Temperature(DayTemperature),
    /// The run ends: emptied and cleaned.
    Retired {
        /// Unit.
        unit: UnitCode,
        /// Day.
        #[serde(with = "compact::day")]
        day: FarmDay,
    },
    /// A question was asked; what it holds is not recorded yet.
    Asked {
        /// Rising in one farm.
        no: u32,
        /// What is held.
        held: Held,
    },
    /// A question is open no more.
    Closed {
        /// Which.
        no: u32,
        /// How.
        how: Closing,
    },
    /// Everything that a message recorded or asked was taken back.
    TakenBack {
        /// The message taken back.
        message: MessageNo,
        /// The weights that stand again.
        weights: Vec<StandingWeight>,
    },
    /// No reminders before this day; none: reminders on again.
    AwaySet(#[serde(with = "compact::day_or_none")] Option<FarmDay>),
    /// Local hour of the morning reminder.
    HourSet(u8),
    /// The farm's own time zone, an IANA name.
    ZoneSet(String),
    /// The day's reminder was made.
    Reminded(#[serde(with = "compact::day")] FarmDay),
    /// What the model believes of a run after the harvests up to a day; what it was computed from stays out, so that replay computes nothing.
    Learned {
        /// Unit.
        unit: UnitCode,
        /// When the run began.
        #[serde(with = "compact::day")]
        stocked: FarmDay,
        /// The belief.
        belief: ModelBytes,
    },
    /// What a run that has ended teaches the next ones.
    Taught {
        /// Unit.
        unit: UnitCode,
        /// When the run began.
        #[serde(with = "compact::day")]
        stocked: FarmDay,
        /// The lesson.
        lesson: ModelBytes,
    },
    /// Eggs of this farm were received at a collection point and weighed again; `by` is who received them.
    Delivered(Delivery),
    /// A lesson was told with the day's reminder.
    Explained(Topic),
    /// Lessons are told from now on, or not any more.
    LessonsSet(bool),
}

/// What a model makes of harvests, in the form that its version defines.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ModelBytes {
    /// The model's version.
    pub model: u16,
    /// The day of the last harvest that it knows, counted from stocking; for sums over runs, how many of them.
    pub through: u16,
    /// As bytes.
    #[serde(with = "compact::bytes")]
    pub bytes: Vec<u8>,
}

/// A weight of eggs for a unit and day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Harvest {
    /// Unit.
    pub unit: UnitCode,
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// Net weight, as said.
    pub grams: Grams,
    /// How it stands to the day's earlier weight.
    pub how: HarvestHow,
    /// As weighed: gross and tare, where said so.
    pub gross_tare: Option<(Grams, Grams)>,
}

/// How a weight stands to the same day's earlier one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum HarvestHow {
    /// The day had none.
    First,
    /// On top of it.
    Added,
    /// Instead of it.
    Replaced,
}

/// Eggs received from a farm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Delivery {
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// As the collector weighed them.
    pub grams: Grams,
    /// The farm's own weights since its delivery before, as far as they were known then; none: there were none.
    pub own: Option<Grams>,
}

/// A stocking.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stocking {
    /// Unit.
    pub unit: UnitCode,
    /// What the unit is.
    pub unit_kind: UnitKind,
    /// Day the run begins.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// How many pupae, where known.
    pub pupae: Option<Pupae>,
    /// By weight, where said so.
    pub weight: Option<Grams>,
    /// One age or mixed.
    pub kind: StockKind,
    /// What the model believed when the run began, so that replay needs no other stream.
    pub prior: Option<Prior>,
}

/// What a model believed about a run before its first egg.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prior {
    /// The model's version.
    pub model: u16,
    /// Its numbers, in the order that version defines.
    pub numbers: Vec<f32>,
}

/// A day's air temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayTemperature {
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// Lowest.
    pub min: Celsius,
    /// Highest.
    pub max: Celsius,
}

/// A day's weight after something was taken back; none: no weight stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StandingWeight {
    /// Unit.
    pub unit: UnitCode,
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// What stands.
    pub grams: Option<Grams>,
}

/// What happened to a member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum MemberEvent {
    /// Became a member.
    Joined {
        /// Name as written.
        name: String,
        /// Language.
        lang: Lang,
        /// Role.
        role: Role,
    },
    /// Renamed.
    Named(String),
    /// Speaks this language.
    LangSet(Lang),
    /// May do this.
    RoleSet(Role),
    /// Lives in this ward.
    WardSet(Option<String>),
    /// A phone speaks for this member.
    PhoneAdded(PhoneNumber),
    /// A phone does so no more.
    PhoneCut(PhoneNumber),
    /// Wants nothing sent.
    Stopped,
    /// Wants to be sent to again.
    Started,
    /// Pays for replies: questions and warnings only.
    QuestionsOnlySet(bool),
    /// Wants what is saved by menu as an SMS too.
    MenuCopiesSet(bool),
    /// Agreed that texts are sent and records kept, or withdrew it; noted by the office.
    ConsentNoted(Consent),
    /// Asked to be forgotten, or stands in the place of what was said of somebody who did: no name, phone or setting is left but the ward.
    Erased,
    /// Sensitive words ask for this PIN from now on.
    PinSet(PinHash),
    /// They ask for none any more; by nobody where the office ended it.
    PinEnded,
    /// A wrong PIN.
    PinWrong,
    /// The right one after wrong ones.
    PinRight,
    /// Too many wrong ones: none is looked at before then.
    PinLocked(#[serde(with = "compact::moment")] DateTime<Utc>),
}

/// What happened to a phone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum PhoneEvent {
    /// It serves this member.
    Serves(MemberNo),
    /// It serves this member no more.
    ServesNoMore(MemberNo),
    /// An unknown number was told how to join, or a member's that its text could not be recorded as it stands.
    TurnedAway(#[serde(with = "compact::day")] FarmDay),
    /// An unknown number asked for silence, or for its end.
    SilenceSet(bool),
    /// Its last recording or question went to this member's farm: bare answers and `undo` go there too. None: to its own.
    SpokeFor(Option<MemberNo>),
    /// A member's text was recorded whole: what it was told before in vain counts no more.
    Understood,
}

/// What happened in a ward.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum WardEvent {
    /// Mean lowest and highest air of each month, January first; twelve rows, or none where it is not known.
    ClimateSet(Vec<(Celsius, Celsius)>),
    /// A reading of the ward's thermometer.
    Air(DayTemperature),
    /// A run in this ward ended and teaches this.
    Taught(ModelBytes),
    /// The sum of all lessons, counted anew from the farms.
    Recounted(ModelBytes),
}

/// What happened to the rules.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum RulesEvent {
    /// The cooperative begins, or its rules are replaced whole.
    Set(Box<Rules>),
    /// A ward exists.
    WardAdded(String),
    /// A ward has another name.
    WardRenamed {
        /// Before.
        old: String,
        /// From now on.
        new: String,
    },
}
