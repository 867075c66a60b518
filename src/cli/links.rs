//! `links`: how each link stands, what was sent and what was not, and a text to try one with.
//!
//! This room only asks; the errand answers.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::errand::links::Ask;
use crate::cli::folder::{Place, reach};
use crate::cli::quarantine::{self, QuarantineArgs};
use crate::domain::phone::PhoneNumber;
use clap::{Args, Subcommand};

/// `links`
#[derive(Args)]
pub struct LinksArgs {
    #[command(flatten)]
    place: Place,
    /// The cooperative
    #[arg(long, default_value_t = 1, global = true)]
    coop: u16,
    #[command(subcommand)]
    what: Option<LinksCommand>,
}

/// `links ...`
#[derive(Subcommand)]
pub enum LinksCommand {
    /// Send one text, and say what became of it
    Send {
        /// The phone, in full: +255700000101
        number: String,
        /// The text
        text: String,
        /// By which link; the first in order of name that sends, where not given
        #[arg(long)]
        link: Option<String>,
    },
    /// Texts that were refused for good, and those of which nobody knows whether they went out
    Dead,
    /// The last texts that went out by links with receipts, and what those say
    Sent,
    /// What networks sent and nobody could read, kept raw
    Quarantine(QuarantineArgs),
}

/// Does the command.
///
/// # Errors
/// When the number does not read, or the folder cannot be reached.
pub fn run(args: LinksArgs) -> Result<(), Trouble> {
    let ask = match args.what {
        Some(LinksCommand::Quarantine(what)) => return quarantine::run(&args.place, &what),
        None => Ask::Standing,
        Some(LinksCommand::Dead) => Ask::Dead,
        Some(LinksCommand::Sent) => Ask::Sent,
        Some(LinksCommand::Send { number, text, link }) => {
            if text.trim().is_empty() {
                return Err(Trouble(
                    "expected a text to send, such as \"a try\"; this one is empty".to_owned(),
                ));
            }
            if PhoneNumber::new(&number).is_none() {
                return Err(Trouble(format!(
                    "expected a number in full, such as +255700000101, but found {number:?}"
                )));
            }
            Ask::Send { number, text, link }
        }
    };
    let coop = args.coop;
    reach(&args.place, &Errand::Links { coop, ask })
}
