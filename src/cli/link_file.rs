//! `link add` and `link secret`: a network's section of the settings file, with a fresh secret.
//!
//! The file's comments and order stay. This room does not open a data folder.

use crate::cli::Trouble;
use crate::config::Settings;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use clap::{Args, Subcommand};
use std::fs;
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use toml_edit::{DocumentMut, Item, Table, value};

/// Bytes of a secret: 192 bits, beyond guessing.
const SECRET_BYTES: usize = 24;

/// `link ...`
#[derive(Subcommand)]
pub enum LinkCommand {
    /// Add an http link to the settings file
    Add(LinkAdd),
    /// Give a link a new secret; the old one stops when the gateway starts again
    Secret(LinkSecret),
}

/// `link add`
#[derive(Args)]
pub struct LinkAdd {
    /// Its name, as in POST /in/NAME
    name: String,
    /// The settings file; made where there is none
    #[arg(long, default_value = "clutchline.toml")]
    config: PathBuf,
    /// The cooperative whose messages come by it
    #[arg(long, default_value_t = 1)]
    coop: u16,
    /// Country calling code, such as 255, where the network writes numbers the national way
    #[arg(long, default_value = "")]
    country: String,
    /// Where texts to phones are posted; reminders need it
    #[arg(long, default_value = "")]
    send_url: String,
    /// The data folder to write into a new settings file
    #[arg(long)]
    data: Option<PathBuf>,
}

/// `link secret`
#[derive(Args)]
pub struct LinkSecret {
    /// Its name
    name: String,
    /// The settings file
    #[arg(long, default_value = "clutchline.toml")]
    config: PathBuf,
}

/// Does a `link` command.
///
/// # Errors
/// When the file cannot be read or written, or the link is (or is not) there.
pub fn run(command: &LinkCommand) -> Result<(), Trouble> {
    match command {
        LinkCommand::Add(args) => add(args),
        LinkCommand::Secret(args) => new_secret(args),
    }
}

/// A fresh random word.
///
/// # Errors
/// When the system has no randomness to give.
pub fn fresh_secret() -> Result<String, Trouble> {
    let mut bytes = [0; SECRET_BYTES];
    getrandom::fill(&mut bytes).map_err(Trouble::of)?;
    Ok(URL_SAFE_NO_PAD.encode(bytes))
}

fn add(args: &LinkAdd) -> Result<(), Trouble> {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if args.name.is_empty() || args.name.len() > 32 || !args.name.chars().all(fits) {
        let found = &args.name;
        return Err(Trouble(format!(
            "expected a name of at most 32 small letters, digits or dashes, such as north, but found {found:?}"
        )));
    }
    let mut file = read(&args.config)?;
    if let Some(data) = args.data.as_ref().filter(|_| !file.contains_key("store")) {
        let mut store = Table::new();
        store.insert("folder", value(data.display().to_string()));
        file.insert("store", Item::Table(store));
    }
    let links = file.entry("links").or_insert_with(|| {
        let mut links = Table::new();
        links.set_implicit(true);
        Item::Table(links)
    });
    let links = links
        .as_table_mut()
        .ok_or_else(|| Trouble("`links` in the settings file is no table".to_owned()))?;
    if links.contains_key(&args.name) {
        let name = &args.name;
        return Err(Trouble(format!(
            "link {name} exists already; give it a new secret with `clutchline link secret {name}`"
        )));
    }
    let secret = fresh_secret()?;
    let mut link = Table::new();
    link.insert("kind", value("http"));
    link.insert("coop", value(i64::from(args.coop)));
    link.insert("secret", value(&secret));
    if !args.country.is_empty() {
        link.insert("country", value(&args.country));
    }
    if !args.send_url.is_empty() {
        link.insert("send_url", value(&args.send_url));
    }
    links.insert(&args.name, Item::Table(link));
    write(&args.config, &file)?;
    let (name, config) = (&args.name, args.config.display());
    println!("Link {name} is in {config}. Its secret: {secret}");
    println!("Next: clutchline serve --config {config}");
    let country = if args.country.is_empty() {
        "255"
    } else {
        &args.country
    };
    println!(
        "Then: curl -H 'Authorization: Bearer {secret}' -H 'Content-Type: application/json' -d '{{\"id\":\"m-1\",\"from\":\"+{country}700000101\",\"text\":\"tasks\"}}' http://127.0.0.1:8080/in/{name}"
    );
    Ok(())
}

fn new_secret(args: &LinkSecret) -> Result<(), Trouble> {
    let mut file = read(&args.config)?;
    let link = file
        .get_mut("links")
        .and_then(|links| links.get_mut(&args.name));
    let Some(link) = link.and_then(Item::as_table_mut) else {
        let name = &args.name;
        return Err(Trouble(format!(
            "there is no link {name} in {}; add it with `clutchline link add {name}`",
            args.config.display()
        )));
    };
    let secret = fresh_secret()?;
    link.insert("secret", value(&secret));
    write(&args.config, &file)?;
    println!("Link {} has a new secret: {secret}", args.name);
    println!("Next: start the gateway again, and tell the network.");
    Ok(())
}

fn read(path: &Path) -> Result<DocumentMut, Trouble> {
    let text = match fs::read_to_string(path) {
        Ok(text) => text,
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => String::new(),
        Err(why) => return Err(Trouble(format!("reading {}: {why}", path.display()))),
    };
    text.parse()
        .map_err(|why| Trouble(format!("{} is not TOML: {why}", path.display())))
}

/// Writes the file whole or not at all, for its owner only, once it reads as settings.
fn write(path: &Path, file: &DocumentMut) -> Result<(), Trouble> {
    let text = file.to_string();
    crate::config::layers::settle(&text, std::iter::empty())
        .map(|_: Settings| ())
        .map_err(Trouble::of)?;
    let part = path.with_added_extension("part");
    let failed = |why: std::io::Error| Trouble(format!("writing {}: {why}", path.display()));
    let mut out = fs::OpenOptions::new()
        .create(true)
        .truncate(true)
        .write(true)
        .mode(0o600)
        .open(&part)
        .map_err(failed)?;
    out.write_all(text.as_bytes())
        .and_then(|()| out.sync_all())
        .map_err(failed)?;
    fs::rename(&part, path).map_err(failed)
}
