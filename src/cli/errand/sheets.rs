//! Errands with sheets: members that come in, rows that go out.
//!
//! This room does not know what a sheet holds.

use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::sheets;
use crate::sheets::members_in::{Fate, Row};
use crate::sheets::rows::Wanted;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

/// Members from a file: what would change, and where `really`, that it does.
pub(super) fn members_in(
    counter: &Counter,
    coop: CoopId,
    file: &Path,
    really: bool,
    out: &mut dyn Write,
) -> Result<(), String> {
    let bytes = std::fs::read(file).map_err(|why| format!("reading {}: {why}", file.display()))?;
    let named = |why: &dyn std::fmt::Display| format!("{}: {why}", file.display());
    let mut rows = sheets::members_in::plan(counter, coop, &bytes).map_err(|why| named(&why))?;
    if really {
        sheets::members_in::carry_out(counter, &mut rows).map_err(|why| why.to_string())?;
    }
    let (mut added, mut changed, mut same, mut refused) = (0, 0, 0, 0);
    let mut print = |text: String| writeln!(out, "{text}").map_err(|why| why.to_string());
    for Row { line, who, fate } in &rows {
        match fate {
            Fate::Add(_) => {
                added += 1;
                print(format!("row {line}: {who}: new"))?;
            }
            Fate::Change(changes) => {
                changed += 1;
                let words: Vec<&str> = changes.iter().map(|(words, _)| words.as_str()).collect();
                print(format!("row {line}: {who}: {}", words.join("; ")))?;
            }
            Fate::Same => same += 1,
            Fate::Refused { column, why } => {
                refused += 1;
                print(format!("row {line}, {column}: {who}: REFUSED, {why}"))?;
            }
        }
    }
    print(format!(
        "{added} new, {changed} changed, {same} as they were, {refused} refused"
    ))?;
    if really {
        Ok(())
    } else {
        print("Nothing is changed yet: leave --dry-run out to do it.".to_owned())
    }
}

/// A sheet into a file, or printed.
pub(super) fn write_sheet(
    counter: &Counter,
    wanted: &Wanted,
    to: Option<&PathBuf>,
    out: &mut dyn Write,
) -> Result<(), String> {
    let Some(file) = to else {
        return sheets::rows::write(counter, wanted, out)
            .map(drop)
            .map_err(|why| why.to_string());
    };
    let failed = |why: std::io::Error| format!("writing {}: {why}", file.display());
    let mut bytes = BufWriter::new(File::create(file).map_err(failed)?);
    let rows = sheets::rows::write(counter, wanted, &mut bytes).map_err(|why| why.to_string())?;
    bytes.flush().map_err(failed)?;
    let what = wanted.sheet.name();
    writeln!(out, "{rows} rows of {what} in {}", file.display()).map_err(|why| why.to_string())
}
