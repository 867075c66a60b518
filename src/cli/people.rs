//! `coop` and `member`: what an operator decides about a cooperative and its people.

use crate::cli::Failure;
use crate::cli::errand::Errand;
use crate::cli::place::Place;
use crate::cli::say::phone;
use crate::counter::answers::OfficeRequest;
use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use clap::{Subcommand, ValueEnum};

/// `coop ...`
#[derive(Debug, Subcommand)]
pub enum Coop {
    /// Found a cooperative in the data folder, which is made where there is none.
    Init(Init),
}

/// `coop init`'s words.
#[derive(Debug, clap::Args)]
pub struct Init {
    #[command(flatten)]
    place: Place,
    /// Its name, as replies show it.
    #[arg(long)]
    name: String,
    /// The word that `join` asks for, such as ZIWANI.
    #[arg(long, value_name = "WORD")]
    join_code: String,
    /// Its time zone, such as Africa/Dar_es_Salaam.
    #[arg(long)]
    zone: String,
    /// Local hour of the morning reminder.
    #[arg(long, default_value_t = 6)]
    hour: u8,
    /// A ward; say it once for each.
    #[arg(long = "ward", value_name = "NAME")]
    wards: Vec<String>,
}

/// `member ...`
#[derive(Debug, Subcommand)]
pub enum Members {
    /// Add a member; prints the number.
    Add(Add),
    /// Let a phone speak for a member, or cut it off.
    Phone(Phone),
    /// Set what a member may do.
    Role(SetRole),
    /// Set a member's ward.
    Ward(SetWard),
    /// All members as CSV.
    List(List),
}

/// `member add`'s words.
#[derive(Debug, clap::Args)]
pub struct Add {
    #[command(flatten)]
    place: Place,
    /// Given name.
    #[arg(long)]
    name: String,
    /// A phone, such as +255700000101; say it once for each, the one to be reached by first.
    #[arg(long = "phone", value_name = "NUMBER", value_parser = phone)]
    phones: Vec<PhoneNumber>,
    /// Member number; the next free one else.
    #[arg(long)]
    number: Option<u32>,
    /// What they may do.
    #[arg(long, value_enum, default_value_t = RoleWord::Keeper)]
    role: RoleWord,
    /// One of the cooperative's wards.
    #[arg(long)]
    ward: Option<String>,
    /// Language of replies, such as en or sw.
    #[arg(long, default_value = "en", value_parser = language)]
    lang: Lang,
}

/// `member phone`'s words.
#[derive(Debug, clap::Args)]
pub struct Phone {
    #[command(flatten)]
    place: Place,
    /// Member number.
    member: u32,
    /// add or cut.
    #[arg(value_enum)]
    verb: PhoneVerb,
    /// The phone, such as +255700000101.
    #[arg(value_parser = phone)]
    phone: PhoneNumber,
}

/// What happens to a phone.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum PhoneVerb {
    /// It speaks for the member from now on.
    Add,
    /// It does not any more: lost, stolen or given away.
    Cut,
}

/// `member role`'s words.
#[derive(Debug, clap::Args)]
pub struct SetRole {
    #[command(flatten)]
    place: Place,
    /// Member number.
    member: u32,
    /// What they may do.
    #[arg(value_enum)]
    role: RoleWord,
}

/// `member ward`'s words.
#[derive(Debug, clap::Args)]
pub struct SetWard {
    #[command(flatten)]
    place: Place,
    /// Member number.
    member: u32,
    /// One of the cooperative's wards.
    ward: String,
}

/// `member list`'s words.
#[derive(Debug, clap::Args)]
pub struct List {
    #[command(flatten)]
    place: Place,
}

/// A role as it is typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum RoleWord {
    /// Keeps cages on their own farm.
    Keeper,
    /// Receives and re-weighs eggs.
    Collector,
    /// Visits farms and enters for others.
    Officer,
}

impl From<RoleWord> for Role {
    fn from(word: RoleWord) -> Self {
        match word {
            RoleWord::Keeper => Self::Keeper,
            RoleWord::Collector => Self::Collector,
            RoleWord::Officer => Self::Officer,
        }
    }
}

fn language(code: &str) -> Result<Lang, String> {
    Lang::new(code).ok_or_else(|| "expected two letters, such as en or sw".to_owned())
}

/// Carries out `coop ...`.
///
/// # Errors
/// In words for the operator.
pub fn coop(command: Coop) -> Result<(), Failure> {
    let Coop::Init(init) = command;
    let mut rules = Rules::new(&init.name, &init.join_code, &init.zone);
    rules.hour = init.hour;
    rules.wards = init.wards;
    let coop = init.place.coop();
    let rules = Box::new(rules);
    init.place
        .carry(Errand::Office(OfficeRequest::Found { coop, rules }))
}

/// Carries out `member ...`.
///
/// # Errors
/// In words for the operator.
pub fn members(command: Members) -> Result<(), Failure> {
    let (place, request) = match command {
        Members::Add(add) => {
            let coop = add.place.coop();
            let request = OfficeRequest::AddMember {
                coop,
                number: add.number.map(MemberNo),
                name: add.name,
                lang: add.lang,
                role: add.role.into(),
                ward: add.ward,
                phones: add.phones,
            };
            (add.place, request)
        }
        Members::Phone(Phone {
            place,
            member,
            verb,
            phone,
        }) => {
            let (coop, member) = (place.coop(), MemberNo(member));
            let request = match verb {
                PhoneVerb::Add => OfficeRequest::AddPhone {
                    coop,
                    member,
                    phone,
                },
                PhoneVerb::Cut => OfficeRequest::CutPhone {
                    coop,
                    member,
                    phone,
                },
            };
            (place, request)
        }
        Members::Role(set) => {
            let request = OfficeRequest::SetRole {
                coop: set.place.coop(),
                member: MemberNo(set.member),
                role: set.role.into(),
            };
            (set.place, request)
        }
        Members::Ward(set) => {
            let request = OfficeRequest::SetWard {
                coop: set.place.coop(),
                member: MemberNo(set.member),
                ward: set.ward,
            };
            (set.place, request)
        }
        Members::List(List { place }) => {
            let errand = Errand::Members(place.coop());
            return place.carry(errand);
        }
    };
    place.carry(Errand::Office(request))
}
