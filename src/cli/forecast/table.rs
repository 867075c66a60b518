//! A CSV table as other people write it: any order of rows and columns, quotes, CRLF, byte-order mark, semicolons, decimal commas.
//!
//! This room does not know what the columns mean.

use chrono::NaiveDate;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use thiserror::Error;

/// The largest file that is read: 100,000 cages with 40 harvests each are some 100 MB.
const MOST_BYTES: u64 = 512 * 1024 * 1024;

/// Why a file cannot be used.
#[derive(Debug, Error)]
pub enum FileError {
    /// Not readable at all.
    #[error("{}: {source}", file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// Not text as expected.
    #[error("{}: {reason}", file.display())]
    Shape {
        /// The file.
        file: PathBuf,
        /// What was expected.
        reason: String,
    },
    /// One row is wrong.
    #[error("{}, line {line}, column {column}: {reason}", file.display())]
    Row {
        /// The file.
        file: PathBuf,
        /// Line in the file, the header being line 1.
        line: u64,
        /// The column's name.
        column: &'static str,
        /// What was expected and what was found.
        reason: String,
    },
}

/// A table with the columns asked for, in that order.
pub(crate) struct Table<'a, const N: usize> {
    file: &'a Path,
    columns: [&'static str; N],
    pub(crate) rows: Vec<(u64, [String; N])>,
}

impl<'a, const N: usize> Table<'a, N> {
    /// Reads `file`; the last `optional` columns may be missing.
    pub(crate) fn read(
        file: &'a Path,
        columns: [&'static str; N],
        optional: usize,
    ) -> Result<Self, FileError> {
        let unreadable = |source| FileError::Unreadable {
            file: file.to_owned(),
            source,
        };
        let shape = |reason: String| FileError::Shape {
            file: file.to_owned(),
            reason,
        };
        if fs::metadata(file).map_err(unreadable)?.len() > MOST_BYTES {
            return Err(shape(format!(
                "larger than {MOST_BYTES} bytes; split it by farm or ward"
            )));
        }
        let bytes = fs::read(file).map_err(unreadable)?;
        let text = String::from_utf8(bytes)
            .map_err(|_| shape("not UTF-8 text; save it as CSV in UTF-8".to_owned()))?;
        let text = text.trim_start_matches('\u{feff}');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter(text))
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let header = reader.headers().map_err(|e| shape(e.to_string()))?.clone();
        let mut places = [None; N];
        for (index, column) in columns.iter().enumerate() {
            places[index] = header.iter().position(|it| it.eq_ignore_ascii_case(column));
            if places[index].is_none() && index < N - optional {
                let found = header.iter().collect::<Vec<_>>().join(",");
                return Err(shape(format!(
                    "no column `{column}` in its first line; expected {}, found {found}",
                    columns.join(",")
                )));
            }
        }
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|e| shape(e.to_string()))?;
            let line = record.position().map_or(0, csv::Position::line);
            if record.iter().all(str::is_empty) {
                continue;
            }
            if record.len() > header.len() {
                return Err(FileError::Row {
                    file: file.to_owned(),
                    line,
                    column: columns[N - 1],
                    reason: format!(
                        "{} fields where the first line has {}; put a field that holds a comma in quotes",
                        record.len(),
                        header.len()
                    ),
                });
            }
            let row = places.map(|place| {
                place
                    .and_then(|index| record.get(index))
                    .unwrap_or_default()
                    .to_owned()
            });
            rows.push((line, row));
        }
        Ok(Self {
            file,
            columns,
            rows,
        })
    }

    pub(crate) fn refuse(&self, line: u64, column: usize, reason: String) -> FileError {
        FileError::Row {
            file: self.file.to_owned(),
            line,
            column: self.columns[column],
            reason,
        }
    }

    pub(crate) fn date(
        &self,
        line: u64,
        column: usize,
        text: &str,
    ) -> Result<NaiveDate, FileError> {
        NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| {
            self.refuse(
                line,
                column,
                format!("expected a date such as 2026-03-10, found `{text}`"),
            )
        })
    }

    pub(crate) fn number(
        &self,
        line: u64,
        column: usize,
        text: &str,
        example: &str,
    ) -> Result<f64, FileError> {
        let refuse = || {
            self.refuse(
                line,
                column,
                format!("expected a number such as {example}, found `{text}`"),
            )
        };
        let plain = match text.split_once(',') {
            // One or two figures after a comma are decimals; three may be thousands, which nobody can tell.
            Some((whole, part)) if (1..=2).contains(&part.len()) && !whole.contains('.') => {
                format!("{whole}.{part}")
            }
            Some(_) => return Err(refuse()),
            None => text.to_owned(),
        };
        let clean = plain
            .bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-'));
        plain
            .parse::<f64>()
            .ok()
            .filter(|it| clean && it.is_finite())
            .ok_or_else(refuse)
    }
}

/// The commonest separator of the first line.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let count = |mark: u8| first.bytes().filter(|it| *it == mark).count();
    [b';', b'\t']
        .into_iter()
        .find(|mark| count(*mark) > count(b','))
        .unwrap_or(b',')
}
