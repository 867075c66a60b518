//! A ward's climate: the mean lowest and highest air of each month, shown with what a change would do, then saved.
//!
//! This room decides nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::settings::{look, parts};
use crate::console::visit::Visit;
use crate::counter::answers::{OfficeError, OfficeRequest};
use crate::counter::effect::Change;
use crate::domain::user::{Deed, DeedKind};
use crate::units::Celsius;
use maud::html;

/// Mean lowest and highest air, a row a month.
type Year = Vec<(Celsius, Celsius)>;

const ACTION: &str = "/console/settings/climate";

/// The ward in the address or the form, where there is such a one; the empty name is the whole cooperative.
fn ward(visit: &Visit<'_>) -> Result<String, Refused> {
    let said = [visit.form.get("ward"), visit.query.get("ward")];
    let ward = said
        .into_iter()
        .find(|ward| !ward.is_empty())
        .unwrap_or_default();
    if visit.wards()?.iter().any(|known| known == ward) {
        Ok(ward.to_owned())
    } else {
        Err(Refused::NotFound)
    }
}

/// The form.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards; [`Refused::NotFound`] where there is no such ward.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let ward = ward(visit)?;
    let year = visit.counter().climate(visit.who()?.coop, &ward)?;
    shown(visit, &ward, &year, None)
}

fn shown(
    visit: &Visit<'_>,
    ward: &str,
    year: &Year,
    trouble: Option<&str>,
) -> Result<Answer, Refused> {
    let words = &visit.words;
    let months = words.t("months");
    let value = |name: &str, at: usize, of: fn(&(Celsius, Celsius)) -> Celsius| {
        let name = format!("{name}{at}");
        match visit.form.get(&name) {
            "" => year
                .get(at)
                .map(|row| of(row).to_string())
                .unwrap_or_default(),
            said => said.to_owned(),
        }
    };
    let middle = html! {
        (parts(visit))
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        form.line method="get" action=(ACTION) {
            label { (words.t("ward")) select name="ward" {
                option value="" { (words.t("whole-coop")) }
                @for name in visit.wards()?.iter().filter(|name| !name.is_empty()) { option value=(name) selected[name == ward] { (name) } }
            } }
            button type="submit" { (words.t("find")) }
        }
        h2 { @if ward.is_empty() { (words.t("whole-coop")) } @else { (ward) } }
        p.hint { (words.t("climate-hint")) }
        (frame::form(visit, ACTION, html! {
            input type="hidden" name="ward" value=(ward);
            div.wide tabindex="0" { table {
                thead { tr { th { (words.t("month")) } th { (words.t("lowest")) } th { (words.t("highest")) } } }
                tbody { @for (at, month) in months.split_whitespace().enumerate() { tr {
                    td { (month) }
                    td { input.short name=(format!("low{at}")) value=(value("low", at, |row| row.0)) inputmode="decimal" aria-label=(format!("{month}: {}", words.t("lowest"))); }
                    td { input.short name=(format!("high{at}")) value=(value("high", at, |row| row.1)) inputmode="decimal" aria-label=(format!("{month}: {}", words.t("highest"))); }
                } } }
            } }
            button type="submit" name="step" value="look" { (words.t("settings-look")) }
        }))
    };
    let page = frame::page(visit, &words.t("settings-climate"), middle);
    Ok(if trouble.is_some() {
        page.with_status(422)
    } else {
        page
    })
}

/// A year as the form says it; none where it is not a whole one.
fn said(visit: &Visit<'_>) -> Option<Year> {
    let degrees = |name: String| -> Option<Celsius> {
        let value: f64 = visit.form.get(&name).replace(',', ".").parse().ok()?;
        let tenths = (value * 10.0).round();
        let fits = (-200.0..=600.0).contains(&tenths);
        fits.then_some(tenths as i16).and_then(Celsius::from_tenths)
    };
    let empty = (0..12).all(|at| {
        ["low", "high"]
            .iter()
            .all(|side| visit.form.get(&format!("{side}{at}")).is_empty())
    });
    if empty {
        return Some(Vec::new());
    }
    (0..12)
        .map(|at| Some((degrees(format!("low{at}"))?, degrees(format!("high{at}"))?)))
        .map(|row| row.filter(|(low, high)| low <= high))
        .collect()
}

fn written(year: &Year) -> String {
    let months = year.iter().map(|(low, high)| format!("{low}-{high}"));
    months.collect::<Vec<_>>().join(" ")
}

/// Shows what another climate would do, or saves it.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards; [`Refused::NotFound`] where there is no such ward.
pub fn change(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let who = visit.who()?;
    let ward = ward(visit)?;
    let stands = visit.counter().climate(who.coop, &ward)?;
    let Some(year) = said(visit) else {
        return shown(visit, &ward, &stands, Some(&visit.words.t("climate-wrong")));
    };
    let (old, new) = (written(&stands), written(&year));
    let seen = format!("{:08x}", crc32fast::hash(old.as_bytes()));
    let save = visit.form.get("step") == "save";
    if old == new || !save || visit.form.get("seen") != seen {
        let name = format!("climate {ward}").trim_end().to_owned();
        let changed = if old == new {
            Vec::new()
        } else {
            vec![(name, old, new)]
        };
        let change = Change::Climate(ward, year);
        return look(visit, ACTION, &changed, &seen, (&change, save));
    }
    let named = |year: String| format!("climate {ward} {year}").trim_end().to_owned();
    let deed = Deed {
        kind: DeedKind::SettingsChanged,
        member: None,
        message: None,
        old: named(old),
        new: named(new),
    };
    let request = OfficeRequest::SetClimate {
        coop: who.coop,
        ward: Some(ward.clone()).filter(|ward| !ward.is_empty()),
        climate: year,
    };
    match visit.counter().office_by(request, &who.login, deed) {
        Ok(_) => {
            let ward = crate::console::shown::escaped(&ward);
            Ok(Answer::go(&format!("{ACTION}?done=saved&ward={ward}")))
        }
        Err(OfficeError::Refused(why)) => shown(visit, &ward, &stands, Some(&why.to_string())),
        Err(OfficeError::Counter(error)) => Err(error.into()),
    }
}
