//! `user`: who may sign in to the room in the browser.
//!
//! A password is hashed here and never leaves this process. What is allowed is the desk's to say.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, reach};
use crate::cli::link_file::fresh_secret;
use crate::console::{password, totp};
use crate::domain::MemberNo;
use crate::domain::user::{Login, Power, UserEvent};
use clap::{Args, Subcommand, ValueEnum};
use std::io::Read;

/// `user ...`
#[derive(Subcommand)]
pub enum UserCommand {
    /// Add a user of the room in the browser
    Add(UserAdd),
    /// Set a new password
    Passwd(UserPasswd),
    /// Set what a user may do, in which wards, and as which member
    Role(UserRole),
    /// Ask for a code besides the password (RFC 6238), or no more: --off
    Totp(UserTotp),
    /// Let a user sign in no more
    Close(UserClose),
    /// List the users
    List(UserList),
}

/// Which user of which folder.
#[derive(Args)]
pub struct Named {
    #[command(flatten)]
    place: Place,
    /// The name: small letters, digits, dots, dashes
    name: String,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `user add`
#[derive(Args)]
pub struct UserAdd {
    #[command(flatten)]
    named: Named,
    /// What they may do
    #[arg(long, value_enum)]
    role: PowerWord,
    /// Wards that they see, separated by commas; all, where not given
    #[arg(long, value_delimiter = ',')]
    wards: Vec<String>,
    /// The officer among the members in whose name they enter
    #[arg(long)]
    member: Option<u32>,
    /// Read the password from standard input; one is made and printed, where not given
    #[arg(long)]
    password_stdin: bool,
}

/// `user passwd`
#[derive(Args)]
pub struct UserPasswd {
    #[command(flatten)]
    named: Named,
    /// Read the password from standard input; one is made and printed, where not given
    #[arg(long)]
    password_stdin: bool,
}

/// `user role`
#[derive(Args)]
pub struct UserRole {
    #[command(flatten)]
    named: Named,
    /// What they may do
    role: PowerWord,
    /// Wards that they see, separated by commas; all, where not given
    #[arg(long, value_delimiter = ',')]
    wards: Vec<String>,
    /// The officer among the members in whose name they enter
    #[arg(long)]
    member: Option<u32>,
}

/// `user totp`
#[derive(Args)]
pub struct UserTotp {
    #[command(flatten)]
    named: Named,
    /// The password alone is enough again
    #[arg(long)]
    off: bool,
}

/// `user close`
#[derive(Args)]
pub struct UserClose {
    #[command(flatten)]
    named: Named,
}

/// `user list`
#[derive(Args)]
pub struct UserList {
    #[command(flatten)]
    place: Place,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// What a user may do, as typed.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PowerWord {
    /// Reads
    Viewer,
    /// Enters, answers and corrects for members
    Officer,
    /// Settings, users, money
    Manager,
}

impl From<PowerWord> for Power {
    fn from(word: PowerWord) -> Self {
        match word {
            PowerWord::Viewer => Self::Viewer,
            PowerWord::Officer => Self::Officer,
            PowerWord::Manager => Self::Manager,
        }
    }
}

/// Does a `user` command.
///
/// # Errors
/// As the desk refuses it.
pub fn run(command: UserCommand) -> Result<(), Trouble> {
    match command {
        UserCommand::Add(args) => {
            let (hash, told) = new_password(args.password_stdin)?;
            let power = Power::from(args.role);
            let mut events = vec![UserEvent::Added(power), UserEvent::PasswordSet(hash)];
            if !args.wards.is_empty() {
                events.push(UserEvent::WardsSet(args.wards));
            }
            if let Some(no) = args.member {
                events.push(UserEvent::MemberSet(Some(MemberNo(no))));
            }
            let then = format!("{} may sign in as {}.{told}", args.named.name, power.word());
            change(&args.named, events, then)
        }
        UserCommand::Passwd(args) => {
            let (hash, told) = new_password(args.password_stdin)?;
            let then = format!(
                "{} has a new password; who was signed in is so no more.{told}",
                args.named.name
            );
            change(&args.named, vec![UserEvent::PasswordSet(hash)], then)
        }
        UserCommand::Role(args) => {
            let power = Power::from(args.role);
            let then = format!("{} is {} now.", args.named.name, power.word());
            let mut events = vec![UserEvent::PowerSet(power), UserEvent::WardsSet(args.wards)];
            if let Some(no) = args.member {
                events.push(UserEvent::MemberSet(Some(MemberNo(no))));
            }
            change(&args.named, events, then)
        }
        UserCommand::Totp(args) if args.off => {
            let then = format!("{} signs in with the password alone.", args.named.name);
            change(&args.named, vec![UserEvent::TotpSet(None)], then)
        }
        UserCommand::Totp(args) => {
            let mut secret = vec![0; totp::SECRET_BYTES];
            getrandom::fill(&mut secret).map_err(Trouble::of)?;
            let then = format!(
                "Put this into a code app: otpauth://totp/clutchline:{}?secret={}&issuer=clutchline",
                args.named.name,
                totp::base32(&secret)
            );
            change(&args.named, vec![UserEvent::TotpSet(Some(secret))], then)
        }
        UserCommand::Close(args) => {
            let then = format!("{} may not sign in any more.", args.named.name);
            change(&args.named, vec![UserEvent::Closed], then)
        }
        UserCommand::List(args) => reach(&args.place, &Errand::Users { coop: args.coop }),
    }
}

fn change(named: &Named, events: Vec<UserEvent>, then: String) -> Result<(), Trouble> {
    let login = Login::new(&named.name).ok_or_else(|| {
        Trouble(format!(
            "expected a name of 2 to 32 small letters, digits, dots or dashes, such as amina, but found {:?}",
            named.name
        ))
    })?;
    let errand = Errand::User {
        coop: named.coop,
        login,
        events,
        then,
    };
    reach(&named.place, &errand)
}

/// A password from standard input, or a fresh one with the sentence that tells it.
fn new_password(from_stdin: bool) -> Result<(String, String), Trouble> {
    if from_stdin {
        let mut typed = String::new();
        let most = password::PASSWORD_MAX as u64 + 2;
        let read = std::io::stdin().take(most).read_to_string(&mut typed);
        read.map_err(Trouble::of)?;
        let typed = typed.trim_end_matches(['\r', '\n']);
        return Ok((password::hash(typed).map_err(Trouble::of)?, String::new()));
    }
    let fresh = fresh_secret()?;
    let hash = password::hash(&fresh).map_err(Trouble::of)?;
    Ok((hash, format!("\nTheir password: {fresh}")))
}
