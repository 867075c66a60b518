//! `coop` and `member`: the operator's commands about people, each saying what to do next.
//!
//! What is allowed is the desk's to say. This room only asks.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, absolute, reach};
use crate::counter::answers::OfficeRequest;
use crate::domain::lang::Lang;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// `coop ...`
#[derive(Subcommand)]
pub enum CoopCommand {
    /// Found the cooperative of a data folder
    Init(CoopInit),
}

/// `coop init`
#[derive(Args)]
pub struct CoopInit {
    #[command(flatten)]
    place: Place,
    /// Its name, as replies show it
    #[arg(long)]
    name: String,
    /// The code that `join` asks for: 3 to 12 letters or digits
    #[arg(long)]
    join_code: String,
    /// Time zone of its farms, such as Africa/Dar_es_Salaam
    #[arg(long)]
    zone: String,
    /// Wards, separated by commas
    #[arg(long, value_delimiter = ',')]
    wards: Vec<String>,
    /// Its number in this folder
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member ...`
#[derive(Subcommand)]
pub enum MemberCommand {
    /// Add a member
    Add(MemberAdd),
    /// Let a phone speak for a member, or cut it off (a lost SIM): --add NUMBER, --cut NUMBER
    Phone(MemberPhone),
    /// Set what a member may do
    Role(MemberRole),
    /// Set a member's ward
    Ward(MemberWard),
    /// Add and change members from a CSV file or an .xlsx workbook
    Import(MemberImport),
    /// Everything that is kept of a member, a record a line, for them
    Data(MemberData),
    /// List the members
    List(MemberList),
    /// A member's PIN: --clear ends one that was forgotten
    Pin(MemberPin),
    /// Take a member out of the record for good: name, phones, messages; weights stay without a name
    Forget(MemberForget),
}

/// `member add`
#[derive(Args)]
pub struct MemberAdd {
    #[command(flatten)]
    place: Place,
    /// Name
    #[arg(long)]
    name: String,
    /// Phone, in full: +255700000101; may be given more than once
    #[arg(long)]
    phone: Vec<String>,
    /// What they may do
    #[arg(long, value_enum, default_value_t = RoleWord::Keeper)]
    role: RoleWord,
    /// Ward
    #[arg(long)]
    ward: Option<String>,
    /// Language: en or sw
    #[arg(long, default_value = "en")]
    lang: String,
    /// Member number; the next free one, where not given
    #[arg(long)]
    number: Option<u32>,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member phone`
#[derive(Args)]
pub struct MemberPhone {
    #[command(flatten)]
    place: Place,
    /// Member number
    member: u32,
    /// This phone speaks for the member from now on
    #[arg(long)]
    add: Option<String>,
    /// This phone is cut off at once; history stays with the member
    #[arg(long)]
    cut: Option<String>,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member role`
#[derive(Args)]
pub struct MemberRole {
    #[command(flatten)]
    place: Place,
    /// Member number
    member: u32,
    /// What they may do
    role: RoleWord,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member ward`
#[derive(Args)]
pub struct MemberWard {
    #[command(flatten)]
    place: Place,
    /// Member number
    member: u32,
    /// Ward
    ward: String,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member pin`
#[derive(Args)]
pub struct MemberPin {
    #[command(flatten)]
    place: Place,
    /// Member number
    member: u32,
    /// End it. Make sure that it is the member who asks
    #[arg(long, required = true)]
    clear: bool,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member import`
#[derive(Args)]
pub struct MemberImport {
    #[command(flatten)]
    place: Place,
    /// Columns member, name, role, lang, ward, phones; as many of them as there are
    file: PathBuf,
    /// Say what would change, and change nothing
    #[arg(long)]
    dry_run: bool,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member list`
#[derive(Args)]
pub struct MemberList {
    #[command(flatten)]
    place: Place,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member data`
#[derive(Args)]
pub struct MemberData {
    #[command(flatten)]
    place: Place,
    /// Member number
    member: u32,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `member forget`
#[derive(Args)]
pub struct MemberForget {
    #[command(flatten)]
    place: Place,
    /// Member number
    member: u32,
    /// Really: it cannot be taken back
    #[arg(long)]
    yes: bool,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// A role, as typed.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RoleWord {
    /// Keeps cages
    Keeper,
    /// Receives and re-weighs eggs
    Collector,
    /// Visits farms and enters for others
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

/// Does a `coop` command.
///
/// # Errors
/// As the desk refuses it.
pub fn coop(command: CoopCommand) -> Result<(), Trouble> {
    let CoopCommand::Init(args) = command;
    let mut rules = Rules::new(&args.name, &args.join_code, &args.zone);
    rules.wards = args
        .wards
        .into_iter()
        .map(|ward| ward.trim().to_owned())
        .collect();
    let request = OfficeRequest::Found {
        coop: CoopId(args.coop),
        rules: Box::new(rules),
    };
    let then = format!(
        "{} is founded. Members join by text: join {} Name\nNext: clutchline member add{} --name NAME --phone +255700000101 --role officer, then clutchline link add north",
        args.name,
        args.join_code.to_ascii_uppercase(),
        args.place.again()
    );
    reach(&args.place, &Errand::Office(Box::new(request), then))
}

/// Does a `member` command.
///
/// # Errors
/// As the desk refuses it.
pub fn member(command: MemberCommand) -> Result<(), Trouble> {
    match command {
        MemberCommand::Add(args) => add(args),
        MemberCommand::Phone(args) => phone(&args),
        MemberCommand::Role(args) => {
            let request = OfficeRequest::SetRole {
                coop: CoopId(args.coop),
                member: MemberNo(args.member),
                role: args.role.into(),
            };
            let then = format!("Member {} has a new role.", args.member);
            reach(&args.place, &Errand::Office(Box::new(request), then))
        }
        MemberCommand::Ward(args) => {
            let request = OfficeRequest::SetWard {
                coop: CoopId(args.coop),
                member: MemberNo(args.member),
                ward: args.ward.clone(),
            };
            let then = format!("Member {} is in ward {}.", args.member, args.ward);
            reach(&args.place, &Errand::Office(Box::new(request), then))
        }
        MemberCommand::Pin(args) => {
            let request = OfficeRequest::ClearPin {
                coop: CoopId(args.coop),
                member: MemberNo(args.member),
            };
            let then = format!(
                "The PIN of member {} is ended. They set a new one by text: pin and 4 to 6 digits.",
                args.member
            );
            reach(&args.place, &Errand::Office(Box::new(request), then))
        }
        MemberCommand::Import(args) => {
            let errand = Errand::MembersIn {
                coop: args.coop,
                file: absolute(&args.file)?,
                really: !args.dry_run,
            };
            reach(&args.place, &errand)
        }
        MemberCommand::Data(args) => {
            let errand = Errand::About {
                coop: args.coop,
                member: args.member,
            };
            reach(&args.place, &errand)
        }
        MemberCommand::Forget(args) => {
            if !args.yes {
                return Err(Trouble(format!(
                    "this erases the name, phones and messages of member {0} for good, and ends their cages. If they asked for it: clutchline member forget {0} --yes",
                    args.member
                )));
            }
            let request = OfficeRequest::Erase {
                coop: CoopId(args.coop),
                member: MemberNo(args.member),
            };
            let then = format!(
                "Member {} is erased here. The next backup erases them in older ones of its folder too: clutchline backup{}\nCopies that you keep elsewhere are yours to erase.",
                args.member,
                args.place.again()
            );
            reach(&args.place, &Errand::Office(Box::new(request), then))
        }
        MemberCommand::List(args) => reach(&args.place, &Errand::Members { coop: args.coop }),
    }
}

fn add(args: MemberAdd) -> Result<(), Trouble> {
    let lang = Lang::new(&args.lang).ok_or_else(|| {
        Trouble(format!(
            "expected a language of two letters, such as en or sw, but found {:?}",
            args.lang
        ))
    })?;
    let phones: Result<Vec<PhoneNumber>, Trouble> =
        args.phone.iter().map(|text| number(text)).collect();
    let request = OfficeRequest::AddMember {
        coop: CoopId(args.coop),
        number: args.number.map(MemberNo),
        name: args.name.clone(),
        lang,
        role: args.role.into(),
        ward: args.ward,
        phones: phones?,
    };
    let then = format!(
        "{} is member {{member}}.\nNext: try a line from their phone: clutchline say{} --from NUMBER \"C1 stock 8000\"",
        args.name,
        args.place.again()
    );
    reach(&args.place, &Errand::Office(Box::new(request), then))
}

fn phone(args: &MemberPhone) -> Result<(), Trouble> {
    let (coop, member) = (CoopId(args.coop), MemberNo(args.member));
    let (request, then) = match (&args.add, &args.cut) {
        (Some(text), None) => {
            let phone = number(text)?;
            let then = format!("{} speaks for member {member} now.", phone.full());
            let request = OfficeRequest::AddPhone {
                coop,
                member,
                phone,
            };
            (request, then)
        }
        (None, Some(text)) => {
            let phone = number(text)?;
            let then = format!(
                "{} is cut off; the records of member {member} stay.\nNext: clutchline member phone{} {member} --add NEW_NUMBER",
                phone.full(),
                args.place.again()
            );
            let request = OfficeRequest::CutPhone {
                coop,
                member,
                phone,
            };
            (request, then)
        }
        _ => {
            let example = format!("clutchline member phone {member} --cut +255700000101");
            return Err(Trouble(format!(
                "name one phone to add or to cut, for example: {example}"
            )));
        }
    };
    reach(&args.place, &Errand::Office(Box::new(request), then))
}

fn number(text: &str) -> Result<PhoneNumber, Trouble> {
    PhoneNumber::new(text).ok_or_else(|| {
        Trouble(format!(
            "expected a number in full, such as +255700000101, but found {text:?}"
        ))
    })
}
