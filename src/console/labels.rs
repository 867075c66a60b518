//! Cage labels: twelve on a sheet of A4, to be cut along the lines and laminated or put behind film.
//!
//! The code with its check letter is what is read from a step away; the QR code says the same text as the label. This room stores nothing.

use crate::console::answer::Refused;
use crate::console::batch::{Batch, Chosen, members};
use crate::console::printed::Printed;
use crate::console::qr;
use crate::console::visit::Visit;
use crate::desk::member::Member;
use crate::domain::code::UnitCode;
use crate::units::day::FarmDay;
use maud::{Markup, html};

/// Labels on one sheet: two by six, 95 by 46 mm each.
pub const ON_SHEET: usize = 12;
/// Labels of one batch: three sheets, some 90 kB.
pub const PAGE: usize = 36;
/// Farms looked at for one batch.
const FARMS_MAX: usize = 200;

/// One label.
#[derive(Clone, Debug)]
pub struct Label {
    /// Whose.
    pub member: Member,
    /// The cage.
    pub code: UnitCode,
    /// Stocked on and to be retired by; none: to be written in by hand.
    pub run: Option<(FarmDay, FarmDay)>,
}

impl Label {
    /// The code as it is to be read: with its check letter.
    #[must_use]
    pub fn code_shown(&self) -> String {
        format!("{}{}", self.code, self.code.check_letter())
    }

    /// Its lines below the code, in the member's language.
    #[must_use]
    pub fn lines(&self, printed: &Printed) -> Vec<String> {
        let lang = self.member.lang;
        let blank = printed.put(lang, "blank", &[]);
        let day = |day: Option<FarmDay>| {
            day.map_or_else(|| blank.clone(), |day| day.format("%Y-%m-%d").to_string())
        };
        vec![
            format!("{} {}", self.member.number, self.member.name)
                .trim_end()
                .to_owned(),
            printed.put(
                lang,
                "stocked",
                &[("day", day(self.run.map(|run| run.0)).into())],
            ),
            printed.put(
                lang,
                "retire",
                &[("day", day(self.run.map(|run| run.1)).into())],
            ),
        ]
    }

    /// What the QR code says: the label's text, line by line.
    #[must_use]
    pub fn text(&self, printed: &Printed) -> String {
        let mut lines = vec![self.code_shown()];
        // A code with a blank in it would be wrong as soon as somebody writes on the label.
        let told = if self.run.is_some() { usize::MAX } else { 1 };
        lines.extend(self.lines(printed).into_iter().take(told));
        lines.join("\n")
    }

    fn draw(&self, printed: &Printed) -> Markup {
        html! {
            div.label lang=(self.member.lang.to_string()) {
                div.told {
                    p.code { (self.code) b { (self.code.check_letter()) } }
                    @for line in self.lines(printed) { p { (line) } }
                }
                (qr::svg(&self.text(printed)))
            }
        }
    }
}

/// A batch of label sheets: cages in use, or the codes that were typed.
///
/// # Errors
/// When the store fails.
pub fn sheets(visit: &Visit<'_>, chosen: &Chosen) -> Result<Batch, Refused> {
    let (coop, counter) = (visit.who()?.coop, visit.counter());
    let mut labels: Vec<Label> = Vec::new();
    let mut next = None;
    let mut last = chosen.after;
    let farms = members(visit, chosen, FARMS_MAX)?;
    for (at, no) in farms.iter().enumerate() {
        if at == FARMS_MAX {
            next = Some(last.to_string());
            break;
        }
        let member = counter.member(coop, *no)?;
        let lanes = counter.lanes(coop, *no)?;
        let run = |code: UnitCode| {
            let lane = lanes.iter().find(|lane| lane.unit == code);
            let run = lane.and_then(|lane| lane.run.as_ref());
            run.map(|run| (run.stocked, run.retire_by))
        };
        let in_use = lanes.iter().filter(|lane| lane.run.is_some());
        let codes: Vec<UnitCode> = if chosen.codes.is_empty() {
            in_use.map(|lane| lane.unit).collect()
        } else {
            chosen.codes.clone()
        };
        let skip = if at == 0 { chosen.skip } else { 0 };
        let room = PAGE - labels.len();
        let wanted = codes.iter().skip(skip);
        labels.extend(wanted.take(room).map(|code| Label {
            member: member.clone(),
            code: *code,
            run: run(*code),
        }));
        if codes.len() > skip + room {
            next = Some(format!("{last}-{}", skip + room));
            break;
        }
        last = *no;
    }
    let printed = visit.printed();
    let sheets = labels
        .chunks(ON_SHEET)
        .map(|some| {
            html! { section.sheet.labels { @for label in some { (label.draw(printed)) } } }
        })
        .collect();
    Ok(Batch { sheets, next })
}
