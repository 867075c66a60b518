//! A file of cells, CSV or a workbook, as rows of text; and which of its columns are read.
//!
//! Bounded before it is unpacked. This room does not know what the cells mean.

use crate::sheets::members_in::{ImportError, PASSED_OVER, READ, ROWS_MOST, UNPACKED_MOST};
use calamine::{Data, Reader, Xlsx};
use std::io::Cursor;

/// The file's cells as text.
pub(super) fn table(file: &[u8]) -> Result<Vec<Vec<String>>, ImportError> {
    if !file.starts_with(b"PK") {
        return csv_table(file);
    }
    let form = |why: String| ImportError::Form(why);
    let unpacked = unpacked_size(file).ok_or_else(|| form("it is cut short".to_owned()))?;
    if unpacked > UNPACKED_MOST {
        return Err(ImportError::TooLarge);
    }
    let mut book = Xlsx::new(Cursor::new(file.to_vec())).map_err(|why| form(why.to_string()))?;
    let sheet = book
        .worksheet_range_at(0)
        .ok_or_else(|| form("the workbook has no sheet".to_owned()))?
        .map_err(|why| form(why.to_string()))?;
    if sheet.height() > ROWS_MOST {
        return Err(ImportError::TooLarge);
    }
    Ok(sheet
        .rows()
        .map(|row| row.iter().map(text_of).collect())
        .collect())
}

fn csv_table(file: &[u8]) -> Result<Vec<Vec<String>>, ImportError> {
    // A byte order mark is what some spreadsheets begin with.
    let file = file.strip_prefix(b"\xef\xbb\xbf").unwrap_or(file);
    let semicolons = file
        .split(|b| *b == b'\n')
        .next()
        .is_some_and(|head| head.contains(&b';') && !head.contains(&b','));
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(if semicolons { b';' } else { b',' })
        .from_reader(file);
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|why| ImportError::Form(why.to_string()))?;
        if rows.len() > ROWS_MOST {
            return Err(ImportError::TooLarge);
        }
        rows.push(record.iter().map(str::to_owned).collect());
    }
    Ok(rows)
}

/// The sum of the sizes that a zip's own list of files names (PKWARE APPNOTE 4.3.12); none where that list does not read.
fn unpacked_size(file: &[u8]) -> Option<u64> {
    let mut sum: u64 = 0;
    let mut at = 0;
    let mut found = false;
    while let Some(next) = file.get(at..)?.windows(4).position(|w| w == b"PK\x01\x02") {
        let entry = file.get(at + next..)?;
        let size = entry.get(24..28)?;
        sum += u64::from(u32::from_le_bytes(size.try_into().ok()?));
        at += next + 4;
        found = true;
    }
    found.then_some(sum)
}

fn text_of(cell: &Data) -> String {
    match cell {
        Data::String(text) => text.clone(),
        // A number typed as one: whole, as a member or phone is.
        Data::Float(n) if n.fract() == 0.0 => format!("{n:.0}"),
        Data::Float(n) => n.to_string(),
        Data::Int(n) => n.to_string(),
        Data::Bool(yes) => yes.to_string(),
        _ => String::new(),
    }
}

pub(super) fn columns(head: &[String]) -> Result<Vec<Option<&'static str>>, ImportError> {
    let mut columns = Vec::new();
    for (at, found) in head.iter().enumerate() {
        let name = found.trim().to_lowercase();
        // What people write for it.
        let name = match name.as_str() {
            "phone" => "phones",
            "number" | "no" => "member",
            "language" => "lang",
            other => other,
        };
        let known = READ.iter().find(|column| **column == name).copied();
        if known.is_none() && !name.is_empty() && !PASSED_OVER.contains(&name) {
            return Err(ImportError::Column {
                column: at + 1,
                found: found.clone(),
            });
        }
        columns.push(known);
    }
    let names = ["member", "phones", "name"];
    if columns
        .iter()
        .flatten()
        .any(|column| names.contains(column))
    {
        Ok(columns)
    } else {
        Err(ImportError::Nobody)
    }
}
