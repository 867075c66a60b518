//! Rows in one of three forms: CSV (RFC 4180), a workbook of typed cells (Office Open XML, ECMA-376), or lines of JSON (one object a row).
//!
//! A text that a spreadsheet would take for a formula is made harmless in CSV; a workbook and JSON carry it as a text, which needs nothing. This room
//! does not know what the rows are about.

use crate::sheets::SheetError;
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::{DateTime, NaiveDateTime, SecondsFormat, Utc};
use rust_xlsxwriter::{Color, Format, Workbook, Worksheet, XlsxError};
use std::io::Write;

/// One field of a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Not known, or does not apply.
    Nothing,
    /// Letters.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A mass; grams in every form, the column's name says so.
    Grams(Grams),
    /// A difference of masses in hundredths of a gram.
    GramsMore(i64),
    /// A number with decimals, such as a share.
    Number(f64),
    /// A day.
    Day(FarmDay),
    /// A moment, in UTC.
    Moment(DateTime<Utc>),
    /// Yes or no.
    Flag(bool),
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(cell: Option<T>) -> Self {
        cell.map_or(Self::Nothing, Into::into)
    }
}

impl From<Grams> for Cell {
    fn from(grams: Grams) -> Self {
        Self::Grams(grams)
    }
}

impl From<FarmDay> for Cell {
    fn from(day: FarmDay) -> Self {
        Self::Day(day)
    }
}

impl From<u32> for Cell {
    fn from(whole: u32) -> Self {
        Self::Whole(whole.into())
    }
}

/// How rows are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Comma-separated values.
    Csv,
    /// A workbook.
    Xlsx,
    /// One JSON object a line.
    Ndjson,
}

impl Form {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Csv, Self::Xlsx, Self::Ndjson];

    /// Its name, which is also the ending of its files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Xlsx => "xlsx",
            Self::Ndjson => "ndjson",
        }
    }

    /// The form of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|form| form.name() == name)
    }

    /// What a browser is told that it gets.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Csv => "text/csv; charset=utf-8",
            Self::Xlsx => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            Self::Ndjson => "application/x-ndjson",
        }
    }
}

/// Rows of a worksheet, its head included (ECMA-376 as spreadsheets implement it).
const WORKBOOK_ROWS: u32 = 1_048_576;
/// Characters of a cell that spreadsheets keep.
const CELL_CHARS: usize = 32_767;

/// A sheet on its way out.
pub struct Out<'w>(Kind<'w>);

enum Kind<'w> {
    Csv(Box<csv::Writer<&'w mut dyn Write>>),
    Xlsx(Box<Book<'w>>),
    Ndjson(&'static [&'static str], &'w mut dyn Write),
}

struct Book<'w> {
    book: Workbook,
    to: &'w mut dyn Write,
    next: u32,
    grams: Format,
    day: Format,
    moment: Format,
}

impl<'w> Out<'w> {
    /// Begins a sheet with its column names.
    ///
    /// # Errors
    /// When `to` fails.
    pub fn begin(
        form: Form,
        name: &str,
        columns: &'static [&'static str],
        to: &'w mut dyn Write,
    ) -> Result<Self, SheetError> {
        Ok(Self(match form {
            Form::Csv => {
                let mut csv = csv::Writer::from_writer(to);
                csv.write_record(columns).map_err(unwritten)?;
                Kind::Csv(Box::new(csv))
            }
            Form::Xlsx => Kind::Xlsx(Box::new(Book::begin(name, columns, to)?)),
            Form::Ndjson => Kind::Ndjson(columns, to),
        }))
    }

    /// Writes a row, one cell for each column.
    ///
    /// # Errors
    /// When the form holds no more rows, or the writer fails.
    pub fn row(&mut self, cells: &[Cell]) -> Result<(), SheetError> {
        match &mut self.0 {
            Kind::Csv(csv) => csv.write_record(cells.iter().map(plain)).map_err(unwritten),
            Kind::Xlsx(book) => book.row(cells),
            Kind::Ndjson(columns, to) => {
                let object: serde_json::Map<String, serde_json::Value> = columns
                    .iter()
                    .zip(cells)
                    .map(|(column, cell)| ((*column).to_owned(), json(cell)))
                    .collect();
                let line = serde_json::Value::Object(object);
                Ok(writeln!(to, "{line}")?)
            }
        }
    }

    /// Writes what is left.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn end(self) -> Result<(), SheetError> {
        match self.0 {
            Kind::Csv(mut csv) => Ok(csv.flush()?),
            Kind::Xlsx(book) => book.end(),
            Kind::Ndjson(_, to) => Ok(to.flush()?),
        }
    }
}

fn unwritten(why: csv::Error) -> SheetError {
    SheetError::Written(std::io::Error::other(why))
}

fn broken(why: XlsxError) -> SheetError {
    SheetError::Workbook(why.to_string())
}

impl<'w> Book<'w> {
    fn begin(name: &str, columns: &[&str], to: &'w mut dyn Write) -> Result<Self, SheetError> {
        let mut book = Workbook::new();
        let head = Format::new()
            .set_bold()
            .set_background_color(Color::RGB(0x00E6_EDE8));
        let sheet = book.add_worksheet();
        sheet.set_name(name).map_err(broken)?;
        sheet.set_freeze_panes(1, 0).map_err(broken)?;
        for (column, title) in (0_u16..).zip(columns) {
            sheet
                .write_string_with_format(0, column, *title, &head)
                .map_err(broken)?;
            sheet.set_column_width(column, 14).map_err(broken)?;
        }
        Ok(Self {
            book,
            to,
            next: 1,
            grams: Format::new().set_num_format("0.00"),
            day: Format::new().set_num_format("yyyy-mm-dd"),
            moment: Format::new().set_num_format("yyyy-mm-dd hh:mm:ss"),
        })
    }

    fn row(&mut self, cells: &[Cell]) -> Result<(), SheetError> {
        if self.next >= WORKBOOK_ROWS {
            return Err(SheetError::TooLong(WORKBOOK_ROWS));
        }
        let row = self.next;
        self.next += 1;
        let (grams, day, moment) = (self.grams.clone(), self.day.clone(), self.moment.clone());
        let sheet = self.book.worksheet_from_index(0).map_err(broken)?;
        for (column, cell) in (0_u16..).zip(cells) {
            put(sheet, row, column, cell, [&grams, &day, &moment]).map_err(broken)?;
        }
        Ok(())
    }

    fn end(mut self: Box<Self>) -> Result<(), SheetError> {
        let bytes = self.book.save_to_buffer().map_err(broken)?;
        self.to.write_all(&bytes)?;
        Ok(self.to.flush()?)
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a workbook's numbers are doubles; no count here passes 2 to the 53rd"
)]
fn put(
    sheet: &mut Worksheet,
    row: u32,
    column: u16,
    cell: &Cell,
    [grams, day, moment]: [&Format; 3],
) -> Result<(), XlsxError> {
    let hundredths = |n: f64| n / 100.0;
    match cell {
        Cell::Nothing => {}
        Cell::Text(text) => {
            let kept: String = text.chars().take(CELL_CHARS).collect();
            sheet.write_string(row, column, kept)?;
        }
        Cell::Whole(n) => {
            sheet.write_number(row, column, *n as f64)?;
        }
        Cell::Grams(g) => {
            let value = hundredths(f64::from(g.hundredths()));
            sheet.write_number_with_format(row, column, value, grams)?;
        }
        Cell::GramsMore(n) => {
            sheet.write_number_with_format(row, column, hundredths(*n as f64), grams)?;
        }
        Cell::Number(n) => {
            sheet.write_number(row, column, *n)?;
        }
        Cell::Day(on) => {
            let midnight = on.and_time(chrono::NaiveTime::MIN);
            sheet.write_datetime_with_format(row, column, &stamp(midnight)?, day)?;
        }
        Cell::Moment(at) => {
            sheet.write_datetime_with_format(row, column, &stamp(at.naive_utc())?, moment)?;
        }
        Cell::Flag(yes) => {
            sheet.write_boolean(row, column, *yes)?;
        }
    }
    Ok(())
}

/// A workbook's own kind of time.
fn stamp(at: NaiveDateTime) -> Result<rust_xlsxwriter::ExcelDateTime, XlsxError> {
    rust_xlsxwriter::ExcelDateTime::from_timestamp(at.and_utc().timestamp())
}

/// A cell in CSV.
fn plain(cell: &Cell) -> String {
    match cell {
        Cell::Nothing => String::new(),
        Cell::Text(text) => guarded(text),
        Cell::Whole(n) => n.to_string(),
        Cell::Grams(g) => hundredths(g.hundredths().into()),
        Cell::GramsMore(n) => hundredths(*n),
        Cell::Number(n) => n.to_string(),
        Cell::Day(day) => day.to_string(),
        Cell::Moment(at) => at.to_rfc3339_opts(SecondsFormat::Secs, true),
        Cell::Flag(yes) => yes.to_string(),
    }
}

/// A cell in JSON: numbers as numbers, days and moments as texts, what is not known as null.
#[must_use]
pub fn json(cell: &Cell) -> serde_json::Value {
    match cell {
        Cell::Nothing => serde_json::Value::Null,
        Cell::Text(text) => text.clone().into(),
        Cell::Whole(n) => (*n).into(),
        Cell::Number(n) => (*n).into(),
        Cell::Flag(yes) => (*yes).into(),
        // The digits as written in CSV are a JSON number as well.
        Cell::Grams(_) | Cell::GramsMore(_) => plain(cell)
            .parse::<f64>()
            .map_or(serde_json::Value::Null, Into::into),
        Cell::Day(_) | Cell::Moment(_) => plain(cell).into(),
    }
}

/// A field that a spreadsheet would take for a formula gets an apostrophe before it (OWASP, "CSV Injection").
fn guarded(field: &str) -> String {
    if field.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
        format!("'{field}")
    } else {
        field.to_owned()
    }
}

/// `12.5`, `8`, `-0.05`.
fn hundredths(n: i64) -> String {
    let sign = if n < 0 { "-" } else { "" };
    let (whole, rest) = (n.unsigned_abs() / 100, n.unsigned_abs() % 100);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let rest = format!("{rest:02}");
    format!("{sign}{whole}.{}", rest.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spreadsheets_see_text_where_a_network_wrote_a_formula() {
        assert_eq!(guarded("=1+1"), "'=1+1");
        assert_eq!(guarded("m-1"), "m-1");
        assert_eq!(guarded("-1"), "'-1");
        assert_eq!(guarded("+255700000101"), "'+255700000101");
    }

    #[test]
    fn grams_are_written_without_a_unit() {
        for (n, text) in [
            (1_250, "12.5"),
            (800, "8"),
            (5, "0.05"),
            (0, "0"),
            (-50, "-0.5"),
        ] {
            assert_eq!(hundredths(n), text);
        }
    }
}
