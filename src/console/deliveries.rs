//! Deliveries of a month: the collector's figures beside the keeper's with the difference, and a sheet for each member that can be paid from.
//!
//! What is paid for is what was received. Amounts are counted in whole steps of the price; this room stores no price.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::shown::{day, escaped};
use crate::console::visit::Visit;
use crate::counter::readmodel::rows::FarmRow;
use crate::counter::received::ReceivedRow;
use crate::desk::member::Member;
use crate::domain::MemberNo;
use crate::sheets::Month;
use crate::units::Grams;
use crate::units::day::FarmDay;
use maud::{Markup, html};

/// Members with deliveries on one page.
const PAGE: usize = 60;
/// Farms of some wards looked at for one page: some 20 ms.
const FARMS_MAX: usize = 1_000;
/// Farms whose rows are made before a page is, where they are not: a small cooperative's, within the time of a page.
const FILLED: usize = 60;
/// A difference is told apart where it is more than a tenth of the farm's own weights...
const FAR_PART: i64 = 10;
/// ...and five grams: eggs dry, crumbs are lost, scales differ (common practice, no source).
const FAR_CG: i64 = 500;

/// A day's deliveries of one farm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Received {
    /// As received.
    pub grams: Grams,
    /// As the farm had weighed them, where it had.
    pub own: Option<Grams>,
}

impl Received {
    /// How much more was received than the farm had weighed, hundredths of a gram.
    #[must_use]
    pub fn difference(&self) -> Option<i64> {
        let own = self.own?;
        Some(i64::from(self.grams.hundredths()) - i64::from(own.hundredths()))
    }

    /// Whether somebody should look at the difference.
    #[must_use]
    pub fn is_far(&self) -> bool {
        let own = self.own.map_or(0, |own| i64::from(own.hundredths()));
        self.difference()
            .is_some_and(|more| more.abs() > FAR_CG && more.abs() * FAR_PART > own)
    }
}

/// Deliveries by day: what came on top of a day's first one is in the farm's figure already.
#[must_use]
pub fn by_day(rows: &[ReceivedRow]) -> Vec<(FarmDay, Received, Vec<MemberNo>)> {
    let mut days: Vec<(FarmDay, Received, Vec<MemberNo>)> = Vec::new();
    for row in rows {
        let new = days.last().is_none_or(|(on, ..)| *on != row.day);
        if new {
            days.push((row.day, Received::default(), Vec::new()));
        }
        let Some((_, sum, by)) = days.last_mut() else {
            continue;
        };
        sum.grams = sum.grams.plus(row.grams);
        sum.own = sum.own.into_iter().chain(row.own).reduce(Grams::plus);
        by.extend(row.by.filter(|no| !by.contains(no)));
    }
    days
}

/// Sums; the difference is of the days on which the farm had weighed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sums {
    /// Received in all.
    pub all: Grams,
    /// Received on days with the farm's own figure, and that figure.
    pub compared: Received,
    /// Days.
    pub days: u32,
    /// Of them without the farm's own figure.
    pub without: u32,
}

impl Sums {
    /// Adds a day.
    pub fn add(&mut self, day: &Received) {
        self.days += 1;
        self.all = self.all.plus(day.grams);
        if let Some(own) = day.own {
            self.compared.grams = self.compared.grams.plus(day.grams);
            self.compared.own = Some(self.compared.own.map_or(own, |sum| sum.plus(own)));
        } else {
            self.without += 1;
        }
    }
}

/// Grams of hundredths with a sign, as `+1.5g`.
fn more(cg: i64) -> String {
    let sign = match cg {
        0 => "",
        1.. => "+",
        _ => "−",
    };
    let grams = u32::try_from(cg.unsigned_abs())
        .ok()
        .and_then(Grams::from_hundredths);
    format!("{sign}{}", grams.unwrap_or(Grams::MAX))
}

fn month_of(visit: &Visit<'_>) -> Result<Month, Refused> {
    let said = Month::read(visit.query.get("month"));
    Ok(said.unwrap_or(Month::of(visit.today()?)))
}

/// A member's deliveries of a month, by day.
fn of_member(
    visit: &Visit<'_>,
    no: MemberNo,
    month: Month,
) -> Result<Vec<(FarmDay, Received, Vec<MemberNo>)>, Refused> {
    let rows = visit
        .counter()
        .received(visit.who()?.coop, no, month.first())?;
    Ok(by_day(&rows))
}

/// Farms to look at for a page after `after`, and whether there are more behind the last: those that gave something where all wards are looked
/// in, else all of those wards.
fn looked_at(
    visit: &Visit<'_>,
    month: Month,
    after: MemberNo,
    wards: Option<&[String]>,
) -> Result<(Vec<MemberNo>, bool), Refused> {
    let (coop, counter) = (visit.who()?.coop, visit.counter());
    let (farms, most) = match wards {
        None => {
            let farms = counter.received_after(coop, month.first(), after, PAGE + 1)?;
            (farms, PAGE + 1)
        }
        Some(_) => {
            let rows = counter.farm_page(coop, after, FARMS_MAX, wards)?;
            (rows.into_iter().map(|(no, _)| no).collect(), FARMS_MAX)
        }
    };
    let more = farms.len() == most;
    Ok((farms, more))
}

/// The month's list.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (words, who) = (&visit.words, visit.who()?);
    let month = month_of(visit)?;
    let filled = visit.counter().fill_received(who.coop, FILLED)?;
    let ward = visit.query.get("ward");
    let wards = visit.wards()?;
    let looked_in = visit.looked_in(ward)?;
    let after = MemberNo(visit.query.get("after").parse().unwrap_or(0));
    let (farms, more) = looked_at(visit, month, after, looked_in.as_deref())?;
    let (mut rows, mut next, mut sums) = (Vec::new(), None, Sums::default());
    let looked = farms.len();
    for (at, no) in farms.into_iter().enumerate() {
        let days = of_member(visit, no, month)?;
        let mut of_farm = Sums::default();
        for (_, day, _) in &days {
            of_farm.add(day);
            sums.add(day);
        }
        let far = days.iter().filter(|(_, day, _)| day.is_far()).count();
        if !days.is_empty()
            && let Some(row) = visit.counter().farm_row(who.coop, no)?
        {
            rows.push((no, row, of_farm, far));
        }
        let last = at + 1 == looked;
        if rows.len() == PAGE || last {
            next = (!last || more).then_some(no);
            break;
        }
    }
    let middle = html! {
        p.hint { (words.t("deliveries-hint")) }
        form.line method="get" action="/console/deliveries" {
            label { (words.t("print-month")) input name="month" type="month" value=(month); }
            label { (words.t("ward")) select name="ward" {
                option value="" { (words.t("all-wards")) }
                @for known in wards.iter().filter(|known| !known.is_empty()) { option selected[known == ward] { (known) } }
            } }
            button type="submit" { (words.t("show")) }
        }
        @if !filled { p.trouble role="status" { (words.t("deliveries-filling")) } }
        @if rows.is_empty() { p { (words.t("deliveries-none")) } }
        @else { (list(visit, &rows, &sums, month, next.is_none() && after.0 == 0)) }
        @if let Some(next) = next {
            p.pages { a.button href=(format!("/console/deliveries?month={month}&ward={}&after={next}", escaped(ward))) { (words.t("next-page")) } }
        }
    };
    Ok(frame::page(visit, &words.t("nav-deliveries"), middle))
}

type Row = (MemberNo, FarmRow, Sums, usize);

fn list(visit: &Visit<'_>, rows: &[Row], sums: &Sums, month: Month, whole: bool) -> Markup {
    let words = &visit.words;
    html! {
        div.wide tabindex="0" { table {
            thead { tr {
                th { (words.t("member")) } th { (words.t("ward")) } th.n { (words.t("delivery-days")) } th.n { (words.t("received")) }
                th.n { (words.t("own-weighed")) } th.n { (words.t("difference")) } th { }
            } }
            tbody { @for (no, row, sum, far) in rows { tr {
                td { (row.name) " " (no) } td { (row.ward) } td.n { (sum.days) } td.n { (sum.all) }
                (compared(visit, sum, *far > 0))
                td { a href=(format!("/console/deliveries/{no}?month={month}")) { (words.t("pay-sheet")) } }
            } } }
            @if whole { tfoot { tr {
                th { (words.t("sum")) } td { } td.n { (sums.days) } td.n { (sums.all) } (compared(visit, sums, false)) td { }
            } } }
        } }
    }
}

/// Own figure and difference.
fn compared(visit: &Visit<'_>, sum: &Sums, far: bool) -> Markup {
    html! {
        td.n { @if let Some(own) = sum.compared.own { (own) } }
        td.n {
            @if let Some(by) = sum.compared.difference() { @if far { strong { (more(by)) } } @else { (more(by)) } }
            @if sum.without > 0 { " " small { (visit.words.say("without-own", &[("n", sum.without.into())])) } }
        }
    }
}

/// A price of a gram as typed, in ten-thousandths of the money's unit.
fn price(typed: &str) -> Option<u64> {
    let (whole, rest) = typed.split_once('.').unwrap_or((typed, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(rest) || rest.len() > 4 || whole.len() > 7 {
        return None;
    }
    let rest: u64 = format!("{rest:0<4}").parse().ok()?;
    Some(whole.parse::<u64>().ok()? * 10_000 + rest)
}

/// Hundredths of a gram times ten-thousandths of money, rounded to hundredths of money, half up.
const fn cents(grams: Grams, price: u64) -> u64 {
    let exact = (grams.hundredths() as u64).saturating_mul(price);
    exact.saturating_add(5_000) / 10_000
}

/// Hundredths of money with two decimals.
fn amount(cents: u64) -> String {
    format!("{}.{:02}", cents / 100, cents % 100)
}

/// A member's sheet of the month.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn sheet(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let (words, coop) = (&visit.words, visit.who()?.coop);
    let month = month_of(visit)?;
    let days = of_member(visit, member.number, month)?;
    let mut weighed = Grams::ZERO;
    visit
        .counter()
        .harvests_of(coop, member.number, &mut |harvest| {
            if month.has(harvest.day) {
                weighed = weighed.plus(harvest.grams);
            }
        })?;
    let typed = visit.query.get("price");
    let price = price(typed);
    let name = visit.counter().rules(coop)?.name;
    let form = html! {
        form.line method="get" action=(visit.path) {
            input type="hidden" name="month" value=(month);
            label { (words.t("price-per-gram")) " " input name="price" inputmode="decimal" value=(typed); }
            " " button type="submit" { (words.t("count")) }
        }
        @if !typed.is_empty() && price.is_none() { p role="alert" { b { (words.t("price-trouble")) } } }
    };
    let sheet = paper(visit, &member, &name, (month, weighed), &days, price);
    let title = format!("{} {}, {month}", words.t("pay-sheet"), member.number);
    let back = (
        format!("/console/deliveries?month={month}"),
        words.t("nav-deliveries"),
    );
    Ok(frame::sheet(visit, &title, &back, form, sheet))
}

fn paper(
    visit: &Visit<'_>,
    member: &Member,
    coop: &str,
    (month, weighed): (Month, Grams),
    days: &[(FarmDay, Received, Vec<MemberNo>)],
    price: Option<u64>,
) -> Markup {
    let words = &visit.words;
    let mut sums = Sums::default();
    days.iter().for_each(|(_, day, _)| sums.add(day));
    // What is paid is what the lines add up to, so that whoever counts after it finds the same.
    let amounts = |price| days.iter().map(move |(_, day, _)| cents(day.grams, price));
    let total = price.map(|price| amounts(price).fold(0, u64::saturating_add));
    html! {
        section.sheet.pay tabindex="0" {
            p.head { b { (member.number) " " (member.name) } span { (member.ward.as_deref().unwrap_or_default()) } span { (month) } }
            p { (coop) }
            table {
                thead { tr {
                    th { (words.t("day")) } th { (words.t("received")) } th { (words.t("own-weighed")) } th { (words.t("difference")) }
                    th { (words.t("received-by")) } @if price.is_some() { th { (words.t("amount")) } }
                } }
                tbody { @for (on, row, by) in days { tr {
                    td { (day(words, *on)) } td { (row.grams) } td { @if let Some(own) = row.own { (own) } }
                    td { @if let Some(by) = row.difference() { @if row.is_far() { b { (more(by)) } } @else { (more(by)) } } }
                    td { @for no in by { (no) " " } } @if let Some(price) = price { td { (amount(cents(row.grams, price))) } }
                } } }
                tfoot { tr {
                    th { (words.t("sum")) } th { (sums.all) } th { @if let Some(own) = sums.compared.own { (own) } }
                    th { @if let Some(by) = sums.compared.difference() { (more(by)) } } th { }
                    @if let Some(total) = total { th { (amount(total)) } }
                } }
            }
            p { (words.say("pay-weighed", &[("grams", weighed.to_string().into())])) }
            p.sign { span { (words.t("pay-paid")) } span { (words.t("pay-got")) } span { (words.t("pay-day")) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(hundredths: u32) -> Grams {
        Grams::from_hundredths(hundredths).unwrap()
    }

    #[test]
    fn amounts_are_counted_exactly() {
        assert_eq!(price("12"), Some(120_000));
        assert_eq!(price("0.0125"), Some(125));
        for wrong in ["", "1,5", "-1", "1.23456", "12345678"] {
            assert_eq!(price(wrong), None, "{wrong}");
        }
        assert_eq!(amount(cents(grams(4_820), 120_000)), "578.40");
        // 0.01 g at 0.5 a gram is half a hundredth: up.
        assert_eq!(amount(cents(grams(1), 5_000)), "0.01");
        assert_eq!(
            amount(cents(Grams::MAX, 99_999_999_999)),
            "9989999999900.10"
        );
    }

    #[test]
    fn days_are_compared_as_a_whole_and_only_where_the_farm_had_weighed() {
        let row = |day: u32, got: u32, own: Option<u32>| ReceivedRow {
            day: FarmDay::from_ymd_opt(2026, 3, day).unwrap(),
            grams: grams(got),
            own: own.map(grams),
            by: Some(MemberNo(2181)),
        };
        let days = by_day(&[
            row(3, 4_000, Some(5_000)),
            row(3, 900, None),
            row(9, 700, None),
        ]);
        assert_eq!(days.len(), 2);
        assert_eq!(days[0].1.difference(), Some(-100));
        assert_eq!(days[0].2, [MemberNo(2181)]);
        assert!(!days[0].1.is_far());
        let mut sums = Sums::default();
        days.iter().for_each(|(_, day, _)| sums.add(day));
        assert_eq!((sums.all, sums.days, sums.without), (grams(5_600), 2, 1));
        assert_eq!(sums.compared.difference(), Some(-100));
        let far = Received {
            grams: grams(4_000),
            own: Some(grams(5_000)),
        };
        assert!(far.is_far());
        assert_eq!(
            (more(-1_000), more(50), more(0)),
            ("−10g".to_owned(), "+0.5g".to_owned(), "0g".to_owned())
        );
    }
}
