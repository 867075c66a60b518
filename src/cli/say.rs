//! `say`: one message through the whole engine, and the reply.

use crate::cli::Failure;
use crate::cli::errand::{Errand, Saying};
use crate::cli::place::Place;
use crate::domain::phone::PhoneNumber;
use crate::links::http::number::read_number;
use chrono::{DateTime, Utc};

/// `say`'s words.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    place: Place,
    /// Who sends it, such as +255700000101.
    #[arg(long, value_name = "NUMBER", value_parser = phone)]
    from: PhoneNumber,
    /// When it was sent, such as 2026-03-10T05:10:00Z; else now.
    #[arg(long, value_name = "TIME")]
    at: Option<DateTime<Utc>>,
    /// The network's id of the message: the same id is the same message.
    #[arg(long)]
    id: Option<String>,
    /// Print the JSON that `POST /in` would answer.
    #[arg(long)]
    json: bool,
    /// The message, such as "C4 12.5".
    text: String,
}

/// A number as an operator types it.
///
/// # Errors
/// Says what was expected.
pub fn phone(text: &str) -> Result<PhoneNumber, String> {
    read_number(text, "")
        .ok_or_else(|| "expected a number in international form, such as +255700000101".to_owned())
}

/// Carries it out.
///
/// # Errors
/// In words for the operator.
pub fn run(args: Args) -> Result<(), Failure> {
    let (link, oldest) = args.place.link()?;
    let saying = Saying {
        coop: args.place.coop(),
        link,
        id: args.id,
        from: args.from,
        text: args.text,
        at: args.at,
        oldest,
        json: args.json,
    };
    args.place.carry(Errand::Say(saying))
}
