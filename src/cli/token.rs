//! `token`: what programs show to read the records.
//!
//! A token is made here, printed once, and leaves this process as a digest only. What is allowed is the desk's to say.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, reach};
use crate::cli::user::PowerWord;
use crate::counter::tokens;
use crate::domain::message::CoopId;
use crate::domain::user::{Login, Token, TokenNo, UserEvent};
use clap::{Args, Subcommand};

/// `token ...`
#[derive(Subcommand)]
pub enum TokenCommand {
    /// Make a token for a program that reads in a user's name
    Make(TokenMake),
    /// Take a token back: the program reads no more
    Revoke(TokenRevoke),
    /// List the tokens, and when each was last used
    List(TokenList),
}

/// `token make`
#[derive(Args)]
pub struct TokenMake {
    #[command(flatten)]
    place: Place,
    /// The user in whose name the program reads; it may do and see no more
    user: String,
    /// What it is for
    #[arg(long)]
    about: String,
    /// What it may do: viewer reads figures, officer members and messages too
    #[arg(long, value_enum, default_value_t = PowerWord::Viewer)]
    role: PowerWord,
    /// Wards that it sees, separated by commas; all that its user sees, where not given
    #[arg(long, value_delimiter = ',')]
    wards: Vec<String>,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `token revoke`
#[derive(Args)]
pub struct TokenRevoke {
    #[command(flatten)]
    place: Place,
    /// Whose
    user: String,
    /// Its number, as `token list` tells it
    number: u32,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// `token list`
#[derive(Args)]
pub struct TokenList {
    #[command(flatten)]
    place: Place,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
}

/// Does a `token` command.
///
/// # Errors
/// As the desk refuses it.
pub fn run(command: TokenCommand) -> Result<(), Trouble> {
    match command {
        TokenCommand::Make(args) => {
            let login = named(&args.user)?;
            let (text, digest) = tokens::fresh(CoopId(args.coop), &login).map_err(Trouble::of)?;
            let token = Token {
                no: TokenNo(0),
                about: args.about,
                digest,
                power: args.role.into(),
                wards: args.wards,
            };
            let then = format!(
                "The token, shown this once: {text}\nNext: curl -H \"Authorization: Bearer TOKEN\" http://ADDRESS/api/v1/today"
            );
            let events = vec![UserEvent::TokenMade(token)];
            change(&args.place, args.coop, login, events, then)
        }
        TokenCommand::Revoke(args) => {
            let login = named(&args.user)?;
            let then = format!("Token {} of {login} opens nothing any more.", args.number);
            let events = vec![UserEvent::TokenRevoked(TokenNo(args.number))];
            change(&args.place, args.coop, login, events, then)
        }
        TokenCommand::List(args) => reach(&args.place, &Errand::Tokens { coop: args.coop }),
    }
}

fn named(user: &str) -> Result<Login, Trouble> {
    Login::new(user).ok_or_else(|| {
        Trouble(format!(
            "expected a user's name such as amina, but found {user:?}"
        ))
    })
}

fn change(
    place: &Place,
    coop: u16,
    login: Login,
    events: Vec<UserEvent>,
    then: String,
) -> Result<(), Trouble> {
    let errand = Errand::User {
        coop,
        login,
        events,
        then,
    };
    reach(place, &errand)
}
