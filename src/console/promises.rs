//! What the cooperative has promised to deliver a week, beside what is expected: entered by a manager, shown as a line.
//!
//! This room forecasts nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::visit::Visit;
use crate::console::visits::back;
use crate::desk::affairs::Affairs;
use crate::domain::affairs::{AffairsEvent, Promise};
use crate::domain::user::{Deed, DeedKind};
use crate::units::Grams;
use crate::units::day::FarmDay;
use maud::{Markup, html};

/// Whose promise a reader is shown.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Promised {
    affairs: Affairs,
    /// One ward; none: all that the user sees.
    ward: Option<String>,
    /// The wards that the user sees.
    wards: Vec<String>,
    /// The user sees them all, so that the whole cooperative's promise is theirs to keep.
    whole: bool,
}

impl Promised {
    /// Reads what was promised.
    ///
    /// # Errors
    /// When the store fails.
    pub fn read(visit: &Visit<'_>, ward: Option<&str>) -> Result<Self, Refused> {
        let who = visit.who()?;
        Ok(Self {
            affairs: visit.counter().affairs(who.coop)?,
            ward: ward.map(str::to_owned),
            wards: visit.wards()?,
            whole: who.user.wards.is_empty(),
        })
    }

    /// Grams promised a day, of what the reader looks at.
    #[must_use]
    pub fn daily(&self, day: FarmDay) -> Option<f64> {
        let of = |ward: &str| self.affairs.promised(ward, day);
        let weekly = match &self.ward {
            Some(ward) => of(ward),
            None => of("").filter(|_| self.whole).or_else(|| {
                let named = self.wards.iter().filter(|ward| !ward.is_empty());
                named.filter_map(|ward| of(ward)).reduce(Grams::plus)
            }),
        };
        weekly.map(|weekly| weekly.as_f64() / 7.0)
    }
}

/// The form for a new promise; managers only.
#[must_use]
pub fn form(visit: &Visit<'_>, today: FarmDay, wards: &[&str]) -> Markup {
    let words = &visit.words;
    html! {
        details {
            summary { (words.t("promise-set")) }
            @if visit.query.get("trouble") == "promise" { p.trouble role="alert" { (words.t("promise-trouble")) } }
            (frame::form(visit, "/console/supply/promise", html! {
                label { (words.t("ward")) select name="ward" {
                    option value="" { (words.t("all-wards")) }
                    @for ward in wards { option { (ward) } }
                } }
                label { (words.t("promise-weekly")) " " small { (words.t("promise-hint")) } input name="weekly" inputmode="decimal" required autocomplete="off"; }
                label { (words.t("promise-from")) input name="from" type="date" value=(today) required; }
                button type="submit" { (words.t("save")) }
            }))
        }
    }
}

/// Grams as typed: digits and at the most two decimals after a point; a comma is two things to two readers.
fn grams(typed: &str) -> Option<Grams> {
    let typed = typed.strip_suffix('g').unwrap_or(typed).trim_end();
    let (whole, rest) = typed.split_once('.').unwrap_or((typed, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(rest) || rest.len() > 2 {
        return None;
    }
    let whole: u32 = whole.parse().ok()?;
    let rest: u32 = format!("{rest:0<2}").parse().ok()?;
    Grams::from_hundredths(whole.checked_mul(100)?.checked_add(rest)?)
}

/// Keeps a promise.
///
/// # Errors
/// [`Refused::NotFound`] where the ward is none that the user sees.
pub fn keep(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let who = visit.who()?;
    let form = &visit.form;
    let ward = form.get("ward").to_owned();
    let known = if ward.is_empty() {
        who.user.wards.is_empty()
    } else {
        visit.wards()?.contains(&ward)
    };
    if !known {
        return Err(Refused::NotFound);
    }
    let (Some(weekly), Ok(from)) = (
        grams(form.get("weekly")),
        form.get("from").parse::<FarmDay>(),
    ) else {
        return Ok(Answer::go("/console/supply?trouble=promise"));
    };
    let told = |weekly: Option<Grams>| weekly.map(|weekly| weekly.to_string()).unwrap_or_default();
    let before = visit.counter().affairs(who.coop)?.promised(&ward, from);
    let deed = Deed {
        kind: DeedKind::SettingsChanged,
        member: None,
        message: None,
        old: told(before),
        new: format!("{} {ward} {from}", weekly).replace("  ", " "),
    };
    let event = AffairsEvent::Promised(Promise { ward, from, weekly });
    back(
        "/console/supply",
        visit
            .counter()
            .keep_affair(who.coop, event, (&who.login, deed)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grams_are_typed_with_a_point_and_nothing_else() {
        let read = |typed| grams(typed).map(Grams::hundredths);
        assert_eq!(read("4500"), Some(450_000));
        assert_eq!(read("4500.5 g"), Some(450_050));
        assert_eq!(read("0"), Some(0));
        for wrong in ["", "4,500", "4.500", "-1", "1e3", "9999999", ".5", "5."] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
