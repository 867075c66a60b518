//! Print: what to print and for whom; then sheets of A4, a batch at a time so that no page is too large for a slow link.
//!
//! Choosing is a form and goes into the trail; the sheets themselves are an address that can be opened again. This room lays nothing out.

use crate::console::answer::{Answer, Refused};
use crate::console::batch::Chosen;
use crate::console::frame;
use crate::console::visit::Visit;
use crate::console::{cards, labels, wall};
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::user::{Deed, DeedKind};
use crate::sheets::Month;
use maud::html;

/// Codes typed for labels of cages that are not on record yet: one batch.
const CODES_MAX: usize = labels::PAGE;

/// What can be printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Cage labels.
    Labels,
    /// Pocket cards.
    Cards,
    /// A month's wall sheets.
    Wall,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Labels, Self::Cards, Self::Wall];

    /// As addresses write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Labels => "labels",
            Self::Cards => "cards",
            Self::Wall => "wall",
        }
    }

    /// The key of its name.
    const fn key(self) -> &'static str {
        match self {
            Self::Labels => "print-labels",
            Self::Cards => "print-cards",
            Self::Wall => "print-wall",
        }
    }
}

/// The form.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let words = &visit.words;
    let wards = visit.wards()?;
    let month = Month::of(visit.today()?);
    let member = visit.query.get("member");
    let trouble = visit.query.get("trouble");
    let middle = html! {
        p.hint { (words.t("print-hint")) }
        @if !trouble.is_empty() { p.trouble role="alert" { (words.t(trouble_key(trouble))) } }
        (frame::form(visit, "/console/print", html! {
            fieldset {
                legend { (words.t("print-what")) }
                @for (at, kind) in Kind::ALL.into_iter().enumerate() {
                    label.choice { input type="radio" name="kind" value=(kind.word()) required checked[at == 0]; " " (words.t(kind.key())) }
                }
            }
            label { (words.t("ward")) select name="ward" {
                option value="" { (words.t("all-wards")) }
                @for ward in wards.iter().filter(|ward| !ward.is_empty()) { option { (ward) } }
            } }
            label { (words.t("print-member")) " " small { (words.t("print-member-hint")) } input name="member" inputmode="numeric" value=(member); }
            label { (words.t("print-codes")) " " small { (words.t("print-codes-hint")) } input name="codes" autocomplete="off"; }
            label { (words.t("print-month")) " " small { (words.t("print-month-hint")) } input name="month" type="month" value=(month); }
            button type="submit" { (words.t("print-make")) }
        }))
    };
    Ok(frame::page(visit, &words.t("nav-print"), middle))
}

fn trouble_key(trouble: &str) -> &'static str {
    match trouble {
        "codes" => "print-trouble-codes",
        "month" => "print-trouble-month",
        _ => "print-trouble-member",
    }
}

/// Takes the form: into the trail, and to the sheets.
///
/// # Errors
/// [`Refused::NotFound`] where what is to be printed is none of the three.
pub fn choose(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let form = &visit.form;
    let kind = kind(form.get("kind")).ok_or(Refused::NotFound)?;
    let trouble = |what: &str| Ok(Answer::go(&format!("/console/print?trouble={what}")));
    let typed = form.get("member");
    let no = typed.parse().ok().map(MemberNo);
    let member = match no {
        Some(no) => visit.member(no).ok(),
        None => None,
    };
    if !typed.is_empty() && member.is_none() {
        return trouble("member");
    }
    let codes = codes(form.get("codes"));
    if codes.is_none() || (!form.get("codes").is_empty() && member.is_none()) {
        return trouble("codes");
    }
    let month = form.get("month");
    if !month.is_empty() && Month::read(month).is_none() {
        return trouble("month");
    }
    let ward = Some(form.get("ward")).filter(|ward| !ward.is_empty());
    let mut to = format!("/console/print/{}?month={month}", kind.word());
    let mut new = kind.word().to_owned();
    if let Some(member) = &member {
        to.push_str(&format!("&member={}", member.number));
    } else if let Some(ward) = ward {
        to.push_str(&format!("&ward={}", crate::console::shown::escaped(ward)));
        new.push_str(&format!(", {ward}"));
    }
    let typed: Vec<String> = codes.iter().flatten().map(ToString::to_string).collect();
    if !typed.is_empty() {
        to.push_str(&format!("&codes={}", typed.join("+")));
        new.push_str(&format!(", {}", typed.join(" ")));
    }
    visit.note(Deed {
        kind: DeedKind::Printed,
        member: member.map(|member| member.number),
        message: None,
        old: String::new(),
        new,
    })?;
    Ok(Answer::go(&to))
}

fn kind(word: &str) -> Option<Kind> {
    Kind::ALL.into_iter().find(|kind| kind.word() == word)
}

/// The sheets.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such kind, or the member is none that the user sees.
pub fn sheets(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let kind = visit.places.first().and_then(|word| kind(word));
    let kind = kind.ok_or(Refused::NotFound)?;
    let chosen = chosen(visit)?;
    let printed = match kind {
        Kind::Labels => labels::sheets(visit, &chosen)?,
        Kind::Cards => cards::sheets(visit, &chosen)?,
        Kind::Wall => wall::sheets(visit, &chosen)?,
    };
    let next = printed.next.map(|next| {
        let mut to = format!("{}?month={}&after={next}", visit.path, chosen.month);
        if let Some(ward) = &chosen.ward {
            to.push_str(&format!("&ward={}", crate::console::shown::escaped(ward)));
        }
        if let Some(member) = &chosen.member {
            to.push_str(&format!("&member={}", member.number));
        }
        to
    });
    Ok(frame::sheets(
        visit,
        &visit.words.t(kind.key()),
        next.as_deref(),
        printed.sheets,
    ))
}

fn chosen(visit: &Visit<'_>) -> Result<Chosen, Refused> {
    let query = &visit.query;
    let member = match query.get("member") {
        "" => None,
        typed => {
            let no = typed.parse().map_err(|_| Refused::NotFound)?;
            Some(visit.member(MemberNo(no))?)
        }
    };
    let ward = Some(query.get("ward").to_owned()).filter(|ward| !ward.is_empty());
    if let Some(ward) = &ward
        && !visit.who()?.user.sees(Some(ward))
    {
        return Err(Refused::NotFound);
    }
    let (after, skip) = query
        .get("after")
        .split_once('-')
        .unwrap_or((query.get("after"), ""));
    let month = Month::read(query.get("month"));
    Ok(Chosen {
        member,
        ward,
        month: month.unwrap_or_else(|| Month::of(visit.today().unwrap_or_default())),
        codes: codes(query.get("codes")).unwrap_or_default(),
        after: MemberNo(after.parse().unwrap_or(0)),
        skip: skip.parse().unwrap_or(0),
    })
}

/// `C1-C6 D2`: codes and ranges of codes, each once; none where one is neither, or where they are more than one batch.
fn codes(typed: &str) -> Option<Vec<UnitCode>> {
    let mut found: Vec<UnitCode> = Vec::new();
    let upper = typed.to_ascii_uppercase();
    for word in upper.split([' ', ',', '+']).filter(|word| !word.is_empty()) {
        let (first, last) = word.split_once('-').unwrap_or((word, word));
        let first = code(first)?;
        let last = code(last)?;
        if first.letters() != last.letters() || last < first {
            return None;
        }
        for number in first.number()..=last.number() {
            let code = UnitCode::new(&first.letters(), number)?;
            if !found.contains(&code) {
                found.push(code);
            }
            if found.len() > CODES_MAX {
                return None;
            }
        }
    }
    Some(found)
}

fn code(word: &str) -> Option<UnitCode> {
    let split = word.find(|c: char| c.is_ascii_digit())?;
    let (letters, number) = word.split_at(split);
    UnitCode::new(letters, number.parse().ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_typed_singly_and_in_ranges() {
        let read = |typed| -> Option<Vec<String>> {
            Some(codes(typed)?.iter().map(ToString::to_string).collect())
        };
        assert_eq!(
            read("c1-c3, D12 C2").unwrap(),
            ["C1", "C2", "C3", "D12"].map(str::to_owned)
        );
        assert_eq!(read("").unwrap(), Vec::<String>::new());
        for wrong in ["C", "4", "C1-D3", "C3-C1", "C1-C999", "C0", "C1-"] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
