//! `link add` and `link secret`: writes a link into the settings file, and leaves the rest of the file, comments too, as it was.

use crate::cli::Failure;
use crate::config::Settings;
use crate::demo::seed::random_word;
use clap::Subcommand;
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use toml_edit::{DocumentMut, Item, Table, value};

/// Letters of a drawn secret: 160 bits.
const SECRET_LETTERS: usize = 32;

/// `link ...`
#[derive(Debug, Subcommand)]
pub enum Links {
    /// Add a link to the settings file; prints its secret, which the network must send.
    Add(Add),
    /// Draw a link's secret anew; prints it.
    Secret(Secret),
}

/// `link add`'s words.
#[derive(Debug, clap::Args)]
pub struct Add {
    /// Its name: small letters, digits and dashes.
    name: String,
    /// The settings file; it is made where there is none.
    #[arg(long, value_name = "FILE", env = "CLUTCHLINE_CONFIG")]
    config: PathBuf,
    /// The cooperative whose messages come by it.
    #[arg(long, default_value_t = 1)]
    coop: u16,
    /// Country calling code, such as 255, to read numbers written the national way.
    #[arg(long, default_value = "")]
    country: String,
    /// Where texts to phones are posted; answers then go there, too, and not into the response.
    #[arg(long, value_name = "URL")]
    send_url: Option<String>,
}

/// `link secret`'s words.
#[derive(Debug, clap::Args)]
pub struct Secret {
    /// Its name.
    name: String,
    /// The settings file.
    #[arg(long, value_name = "FILE", env = "CLUTCHLINE_CONFIG")]
    config: PathBuf,
}

/// Carries it out.
///
/// # Errors
/// In words for the operator; the file is then as it was.
pub fn run(command: &Links) -> Result<(), Failure> {
    let secret = random_word(SECRET_LETTERS)?;
    match command {
        Links::Add(add) => {
            let mut document = read(&add.config, true)?;
            let links = links(&mut document)?;
            if links.contains_key(&add.name) {
                return Err(format!(
                    "there is a link `{}` already; `link secret {}` draws its secret anew",
                    add.name, add.name
                )
                .into());
            }
            links.insert(&add.name, Item::Table(table(add, &secret)));
            write(&add.config, &document)?;
        }
        Links::Secret(args) => {
            let mut document = read(&args.config, false)?;
            let link = links(&mut document)?
                .get_mut(&args.name)
                .and_then(Item::as_table_like_mut)
                .ok_or_else(|| format!("there is no link `{}` in the file", args.name))?;
            link.insert("secret", value(&secret));
            write(&args.config, &document)?;
        }
    }
    println!("{secret}");
    eprintln!("restart the gateway for it to count");
    Ok(())
}

fn table(add: &Add, secret: &str) -> Table {
    let mut table = Table::new();
    table.insert("coop", value(i64::from(add.coop)));
    if !add.country.is_empty() {
        table.insert("country", value(&add.country));
    }
    table.insert("secret", value(secret));
    if let Some(url) = &add.send_url {
        table.insert("reply", value("send"));
        table.insert("send_url", value(url));
    }
    table
}

fn read(file: &Path, may_lack: bool) -> Result<DocumentMut, Failure> {
    let text = match std::fs::read_to_string(file) {
        Ok(text) => text,
        Err(why) if may_lack && why.kind() == std::io::ErrorKind::NotFound => String::new(),
        Err(why) => return Err(format!("cannot read {}: {why}", file.display()).into()),
    };
    Ok(text.parse()?)
}

/// The `[links]` table, made where there is none.
fn links(document: &mut DocumentMut) -> Result<&mut Table, Failure> {
    let mut none = Table::new();
    none.set_implicit(true);
    let links = document.entry("links").or_insert(Item::Table(none));
    links
        .as_table_mut()
        .ok_or_else(|| "expected `links` to be a table, as in [links.north]".into())
}

/// Puts the file in place whole, for its owner's eyes only, once the settings in it are known to be good.
fn write(file: &Path, document: &DocumentMut) -> Result<(), Failure> {
    let part = file.with_added_extension("part");
    let written = std::fs::OpenOptions::new()
        .write(true)
        .create(true)
        .truncate(true)
        .mode(0o600)
        .open(&part)
        .and_then(|mut out| {
            out.write_all(document.to_string().as_bytes())?;
            out.sync_all()
        });
    let checked = written
        .map_err(|why| Failure::from(format!("cannot write {}: {why}", part.display())))
        .and_then(|()| Ok(Settings::read(Some(&part), std::iter::empty())?));
    if let Err(error) = checked {
        std::fs::remove_file(&part).ok();
        return Err(error);
    }
    Ok(std::fs::rename(&part, file)?)
}
