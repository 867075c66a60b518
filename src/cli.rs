//! The command line: what an operator types, and which room does it.
//!
//! Commands that need the data folder go through the gateway that holds it, where one runs, and say so. This room decides nothing.

pub mod climate;
pub mod costs;
pub mod demo_start;
pub mod doctor;
pub mod errand;
pub mod folder;
pub mod forecast;
pub mod link_file;
pub mod links;
pub mod night;
pub mod office;
mod patience;
pub mod pdu;
pub mod plan;
pub mod quarantine;
pub mod serve;
pub mod token;
pub mod user;
pub mod ways;
pub mod wiring;

use crate::cli::errand::{Errand, Said};
use crate::cli::folder::{Place, reach};
use crate::sheets::form::Form;
use crate::sheets::{Month, Sheet};
use clap::{Args, Parser, Subcommand};
use std::io::Read;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::LazyLock;

/// The version, and the commit where the build was told it (`CLUTCHLINE_COMMIT`).
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let commit = option_env!("CLUTCHLINE_COMMIT").unwrap_or("not told");
    format!("{} (commit {commit})", env!("CARGO_PKG_VERSION"))
});

/// Black soldier fly cage records by SMS and USSD.
#[derive(Parser)]
#[command(name = "clutchline", version = VERSION.as_str(), about, max_term_width = 100)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Run the gateway: `serve --demo` for the invented cooperative, `serve --config clutchline.toml` for yours
    Serve(serve::ServeArgs),
    /// Put one message through the whole engine and print the reply
    Say(SayArgs),
    /// Found the cooperative
    #[command(subcommand)]
    Coop(office::CoopCommand),
    /// Add members, their phones, roles and wards; list them
    #[command(subcommand)]
    Member(office::MemberCommand),
    /// Who may sign in to the room in the browser: add, passwd, role, totp, close, list
    #[command(subcommand)]
    User(user::UserCommand),
    /// What programs show to read the records as JSON: make, revoke, list
    #[command(subcommand)]
    Token(token::TokenCommand),
    /// Set a ward's climate, record its thermometer
    #[command(subcommand)]
    Climate(climate::ClimateCommand),
    /// Add a link to the settings file, or give it a new secret
    #[command(subcommand)]
    Link(link_file::LinkCommand),
    /// Look at settings, clock, disk, links, backups and the store, and say what to do
    Doctor(Place),
    /// Check every record, and that events give the stored states
    Check(Place),
    /// Write everything as lines of JSON, or the harvests as CSV
    Export(ExportArgs),
    /// Fill an empty data folder from an export
    Import(FileArgs),
    /// Fill an empty data folder from a backup
    Restore(FileArgs),
    /// Write the store anew without the slack that churn leaves
    Compact(Place),
    /// Move old received messages into dated files; events stay
    Archive(ArchiveArgs),
    /// Forecast eggs from CSV files of cages, harvests and weather
    Forecast(forecast::ForecastArgs),
    /// Plan stockings for a wanted supply
    Plan(plan::PlanArgs),
    /// Decode or encode an SMS PDU (3GPP TS 23.040), for diagnosis
    #[command(subcommand)]
    Pdu(pdu::PduCommand),
    /// Print what was sent by month, link and member, with its price, as CSV
    Costs(costs::CostsArgs),
    /// How each link stands; send a text to try one; what was sent, and what was not
    Links(links::LinksArgs),
    /// Write a dated backup and remove the ones that need not stay
    Backup(BackupArgs),
}

#[derive(Args)]
struct SayArgs {
    #[command(flatten)]
    place: Place,
    /// The sender's number: --from +255700000101
    #[arg(long)]
    from: String,
    /// When it was sent: --at 2026-03-10T05:10:00Z; now, where not given
    #[arg(long)]
    at: Option<String>,
    /// Print what `POST /in` would answer instead of the reply's text
    #[arg(long)]
    json: bool,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
    /// The text
    text: String,
}

#[derive(Args)]
struct ExportArgs {
    #[command(flatten)]
    place: Place,
    /// `everything` (lines of JSON that `import` reads), or a sheet: members, cages, harvests, care, deliveries, messages, month
    #[arg(long, default_value = "everything")]
    what: String,
    /// A sheet's form: csv, xlsx or ndjson; by the file's ending, else csv, where not given
    #[arg(long)]
    form: Option<String>,
    /// Only rows of this month, such as 2026-03; for `month` the one summed up
    #[arg(long)]
    month: Option<String>,
    /// Only rows of this ward
    #[arg(long)]
    ward: Option<String>,
    /// The cooperative
    #[arg(long, default_value_t = 1)]
    coop: u16,
    /// The file to write; sheets go to standard output where none is given, everything is packed where it ends in .gz
    #[arg(long)]
    to: Option<PathBuf>,
}

#[derive(Args)]
struct FileArgs {
    #[command(flatten)]
    place: Place,
    /// The export or backup; gzip where it ends in .gz
    file: PathBuf,
}

#[derive(Args)]
struct ArchiveArgs {
    #[command(flatten)]
    place: Place,
    /// Messages received more than so many days ago
    #[arg(long, default_value_t = 90)]
    days: u32,
    /// Where to; `archive` in the data folder, where not given
    #[arg(long)]
    to: Option<PathBuf>,
}

#[derive(Args)]
struct BackupArgs {
    #[command(flatten)]
    place: Place,
    /// The folder for backups; better on another disk
    #[arg(long)]
    to: PathBuf,
    /// The newest so many stay, whatever their age
    #[arg(long, default_value_t = 14)]
    keep: usize,
    /// Others stay until they are this old
    #[arg(long, default_value_t = 30)]
    keep_days: u32,
}

/// Why a command ended badly: a sentence for the operator.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct Trouble(pub String);

impl Trouble {
    /// From anything that can say why.
    pub fn of(why: impl std::fmt::Display) -> Self {
        Self(why.to_string())
    }
}

/// Reads the command line and does what it says.
#[must_use]
pub fn run() -> ExitCode {
    let line = Line::parse();
    match dispatch(line.command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("clutchline: {trouble}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(command: Command) -> Result<(), Trouble> {
    match command {
        Command::Serve(args) => serve::run(&args),
        Command::Say(args) => say(args),
        Command::Coop(command) => office::coop(command),
        Command::Member(command) => office::member(command),
        Command::User(command) => user::run(command),
        Command::Token(command) => token::run(command),
        Command::Climate(command) => climate::run(command),
        Command::Link(command) => link_file::run(&command),
        Command::Doctor(place) => doctor::run(&place),
        Command::Check(place) => reach(&place, &Errand::Check),
        Command::Export(args) => export(&args),
        Command::Import(args) | Command::Restore(args) => folder::import(&args.place, &args.file),
        Command::Compact(place) => folder::compact(&place),
        Command::Forecast(args) => forecast::run(args).map_err(Trouble::of),
        Command::Plan(args) => plan::run(args).map_err(Trouble::of),
        Command::Pdu(command) => show_pdu(&command),
        Command::Costs(args) => costs::run(&args),
        Command::Links(args) => links::run(args),
        Command::Archive(args) => {
            let to = args
                .to
                .clone()
                .unwrap_or_else(|| args.place.folder().join("archive"));
            let to = folder::absolute(&to)?;
            reach(
                &args.place,
                &Errand::Archive {
                    days: args.days,
                    to,
                },
            )
        }
        Command::Backup(args) => {
            let to = folder::absolute(&args.to)?;
            let (keep, keep_days) = (args.keep, args.keep_days);
            reach(
                &args.place,
                &Errand::Backup {
                    to,
                    keep,
                    keep_days,
                },
            )
        }
    }
}

fn show_pdu(command: &pdu::PduCommand) -> Result<(), Trouble> {
    // One more than is read: a longer input is refused as such, however long it is.
    let most = pdu::MOST_INPUT as u64 + 1;
    let standard_input =
        || std::io::read_to_string(std::io::stdin().take(most)).unwrap_or_default();
    let shown = match command {
        pdu::PduCommand::Decode(args) => pdu::decode(args),
        pdu::PduCommand::Encode(args) => pdu::encode(args, standard_input),
    };
    println!("{}", shown.map_err(Trouble::of)?);
    Ok(())
}

fn say(args: SayArgs) -> Result<(), Trouble> {
    let said = Said {
        coop: args.coop,
        from: args.from,
        at: args.at,
        json: args.json,
        text: args.text,
    };
    reach(&args.place, &Errand::Say(said))
}

fn export(args: &ExportArgs) -> Result<(), Trouble> {
    let to = args.to.as_deref().map(folder::absolute).transpose()?;
    if args.what == "everything" {
        let to = to.ok_or_else(|| {
            Trouble("name the file to write: export --to clutchline.ndjson.gz".to_owned())
        })?;
        return reach(&args.place, &Errand::Export { to });
    }
    let expected = |what: &str, found: &str, known: &[&str]| {
        let known = known.join(", ");
        Trouble(format!("expected {what} of {known}, but found {found:?}"))
    };
    if Sheet::named(&args.what).is_none() {
        let mut known = vec!["everything"];
        known.extend(Sheet::ALL.map(Sheet::name));
        return Err(expected("one", &args.what, &known));
    }
    let ending = to.as_deref().and_then(|file| file.extension());
    let ending = ending.and_then(|ending| Form::named(&ending.to_string_lossy()));
    let form = match &args.form {
        Some(name) => {
            Form::named(name).ok_or_else(|| expected("a form", name, &Form::ALL.map(Form::name)))?
        }
        None => ending.unwrap_or(Form::Csv),
    };
    if let Some(month) = args.month.as_ref().filter(|m| Month::read(m).is_none()) {
        return Err(Trouble(format!(
            "expected a month such as 2026-03 after --month, but found {month:?}"
        )));
    }
    reach(
        &args.place,
        &Errand::Sheet {
            coop: args.coop,
            sheet: args.what.clone(),
            form: form.name().to_owned(),
            month: args.month.clone(),
            ward: args.ward.clone(),
            to,
        },
    )
}
