//! `pdu decode HEX` and `pdu encode`: one short message as octets or as JSON, for an operator with a modem that puzzles.
//!
//! Reads and prints; the codec itself is [`crate::links::pdu`]'s.

pub mod build;
pub mod fields;
pub mod shown;

use crate::cli::pdu::build::NotBuilt;
use crate::cli::pdu::build::build;
use crate::cli::pdu::shown::Shown;
use crate::links::gsm7::fold::fold;
use crate::links::parts;
use crate::links::parts::Concat;
use crate::links::parts::RefWidth;
use crate::links::pdu;
use crate::links::pdu::PduError;
use crate::links::pdu::Reading;
use crate::links::pdu::Tpdu;
use clap::Args;
use clap::Subcommand;
use clap::ValueEnum;
use serde_json::Value;
use serde_json::json;

/// Longest JSON that `encode` reads; one message's is below 4 kB.
pub const MOST_INPUT: usize = 64 * 1024;

/// The two directions.
#[derive(Debug, Subcommand)]
pub enum PduCommand {
    /// Reads a message in hexadecimal and prints it as JSON.
    Decode(DecodeArgs),
    /// Writes a message given by flags, or as the JSON that `decode` prints, in hexadecimal.
    Encode(EncodeArgs),
}

/// Arguments of `pdu decode`.
#[derive(Debug, Args)]
pub struct DecodeArgs {
    /// The message, such as 07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37.
    pub hex: String,
    /// Refuse whatever the standard does not allow, instead of listing it under "warnings".
    #[arg(long, overrides_with = "lenient")]
    pub strict: bool,
    /// Read past what the standard does not allow; this is the default.
    #[arg(long)]
    pub lenient: bool,
    /// The octets do not begin with the service centre's address.
    #[arg(long)]
    pub no_smsc: bool,
}

/// Which message `pdu encode` writes from flags.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// SMS-SUBMIT.
    Submit,
    /// SMS-DELIVER.
    Deliver,
    /// SMS-STATUS-REPORT.
    StatusReport,
}

/// Arguments of `pdu encode`.
#[derive(Debug, Args)]
pub struct EncodeArgs {
    /// JSON as `decode` prints it, or `-` to read it from standard input, as happens without flags too.
    #[arg(long)]
    pub json: Option<String>,
    /// Which message to write.
    #[arg(long, value_enum, default_value = "submit")]
    pub kind: Kind,
    /// Receiver of a submission, or of the message that a report is about: +255700000101, a short code or a name.
    #[arg(long, visible_alias = "recipient")]
    pub to: Option<String>,
    /// Sender of a delivery.
    #[arg(long)]
    pub from: Option<String>,
    /// The text; a longer one makes several messages.
    #[arg(long)]
    pub text: Option<String>,
    /// Service centre, such as +255700000199; without it the SIM's own is used.
    #[arg(long)]
    pub smsc: Option<String>,
    /// Time of a delivery or report, such as 2026-11-25T09:43:24+03:00.
    #[arg(long, visible_alias = "timestamp")]
    pub time: Option<String>,
    /// When a report's message was delivered; the time without it.
    #[arg(long)]
    pub discharged: Option<String>,
    /// Message reference of a submission or report.
    #[arg(long, default_value_t = 0)]
    pub reference: u8,
    /// Status octet of a report.
    #[arg(long, default_value_t = 0)]
    pub status: u8,
    /// Minutes that the service centre is to try; rounded up to what one octet can say.
    #[arg(long, value_name = "MINUTES")]
    pub validity: Option<u32>,
    /// Ask for a status report.
    #[arg(long)]
    pub report: bool,
    /// Message class 0 to 3; 0 shows at once and is not kept.
    #[arg(long, value_parser = clap::value_parser!(u8).range(0..4))]
    pub class: Option<u8>,
    /// Write the text in UCS-2 even where GSM-7 has all its characters.
    #[arg(long)]
    pub ucs2: bool,
    /// Reference that the parts of a long text share.
    #[arg(long, default_value_t = 0)]
    pub concat_reference: u16,
    /// Number the parts with 16 bits.
    #[arg(long)]
    pub wide_reference: bool,
}

/// Why the command failed.
#[derive(Debug, thiserror::Error)]
pub enum PduCommandError {
    /// The octets are no message.
    #[error(transparent)]
    Pdu(#[from] PduError),
    /// The JSON or the flags do not make a message.
    #[error(transparent)]
    NotBuilt(#[from] NotBuilt),
    /// The JSON is none.
    #[error("not the JSON that `pdu decode` prints: {0}")]
    NotJson(#[from] serde_json::Error),
    /// Too much input.
    #[error("more than {MOST_INPUT} characters of input; expected one message")]
    TooLong,
    /// The text is too long even in parts.
    #[error(transparent)]
    TooManyParts(#[from] parts::TooManyParts),
}

/// The JSON that `pdu decode` prints.
///
/// # Errors
/// The octets are no message; with `--strict`, a flawed one too.
pub fn decode(args: &DecodeArgs) -> Result<Value, PduCommandError> {
    let octets = pdu::octets(&args.hex)?;
    let reading = if args.strict {
        Reading::Strict
    } else {
        Reading::Lenient
    };
    let (smsc, tpdu, flaws) = if args.no_smsc {
        let read = pdu::decode_tpdu(&octets, reading)?;
        (None, read.value, read.flaws)
    } else {
        let read = pdu::decode(&octets, reading);
        let is_whole = read.as_ref().is_ok_and(|read| read.flaws.is_empty());
        if let Some(tpdu) = bare(&octets).filter(|_| !is_whole && !args.strict) {
            let mut shown = Shown::of(None, &tpdu, &[]);
            shown.warnings.push(BARE.to_owned());
            return Ok(serde_json::to_value(shown)?);
        }
        let read = read?;
        (read.value.smsc, read.value.tpdu, read.flaws)
    };
    let shown = Shown::of(smsc.as_ref(), &tpdu, &flaws);
    Ok(serde_json::to_value(shown)?)
}

const BARE: &str =
    "no service centre's address in front, so read without one; --no-smsc says so at once";

/// The message, where the octets are a flawless one without a service centre's address: logs and other programs leave it away.
fn bare(octets: &[u8]) -> Option<Tpdu> {
    let read = pdu::decode_tpdu(octets, Reading::Strict);
    read.ok().map(|read| read.value)
}

/// The JSON that `pdu encode` prints: `pdus`, each with its `pdu` and the `length` that `AT+CMGS` asks for; where there is
/// one, `pdu` and `length` beside it. `input` is what stands on standard input, read only where the flags ask for it.
///
/// # Errors
/// Flags or JSON that make no message.
pub fn encode(args: &EncodeArgs, input: impl FnOnce() -> String) -> Result<Value, PduCommandError> {
    let wanted = if args.reads_json() {
        let text = match args.json.as_deref() {
            None | Some("-") => input(),
            Some(json) => json.to_owned(),
        };
        if text.len() > MOST_INPUT {
            return Err(PduCommandError::TooLong);
        }
        vec![serde_json::from_str::<Shown>(&text)?]
    } else {
        from_flags(args)?
    };
    let mut pdus = Vec::new();
    for shown in &wanted {
        let (octets, length) = build(shown)?.encode()?;
        pdus.push(json!({"pdu": pdu::hex(&octets), "length": length}));
    }
    let mut printed = match pdus.as_slice() {
        [one] => one.clone(),
        _ => json!({}),
    };
    printed["pdus"] = Value::Array(pdus);
    Ok(printed)
}

impl EncodeArgs {
    /// The message stands in JSON, in the flag or on standard input.
    #[must_use]
    pub const fn reads_json(&self) -> bool {
        self.json.is_some() || (self.to.is_none() && self.from.is_none())
    }
}

fn from_flags(args: &EncodeArgs) -> Result<Vec<Shown>, PduCommandError> {
    let width = if args.wide_reference {
        RefWidth::Sixteen
    } else {
        RefWidth::Eight
    };
    let bodies = match (&args.text, args.kind) {
        (None, _) | (_, Kind::StatusReport) => return Ok(vec![Shown::of_flags(args, None, None)]),
        (Some(text), _) if args.ucs2 => parts::split_ucs2(text, width)?,
        (Some(text), _) => parts::split(&fold(text), width)?,
    };
    let total = u8::try_from(bodies.len()).unwrap_or(u8::MAX);
    Ok((1..=total)
        .zip(&bodies)
        .map(|(part, body)| {
            let concat = (total > 1)
                .then(|| Concat::new(args.concat_reference, width, total, part))
                .flatten();
            Shown::of_flags(args, Some(body), concat)
        })
        .collect())
}
