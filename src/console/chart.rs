//! Charts as SVG made on the server: no style and no script in them, classes only, so that the sheet colours light, dark and print.
//!
//! This room knows numbers and days, not farms.

use crate::units::day::FarmDay;
use chrono::Datelike;
use maud::{Markup, html};

const WIDTH: f64 = 960.0;
const LEFT: f64 = 58.0;
const RIGHT: f64 = 8.0;

/// One day of a chart, in grams.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartDay {
    /// The day.
    pub day: FarmDay,
    /// What came, where it is known.
    pub came: Option<f64>,
    /// Expected: low, middle, high.
    pub expected: Option<(f64, f64, f64)>,
}

/// The next of 1, 2, 5, 10, 20, ... that is no smaller.
#[must_use]
pub fn round_up(value: f64) -> f64 {
    if value <= 0.0 {
        return 1.0;
    }
    let power = 10_f64.powf(value.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .iter()
        .map(|step| step * power)
        .find(|top| *top >= value * 0.999_999)
        .unwrap_or(10.0 * power)
}

/// Bars of what came, a band of what is expected with its middle, and a line for today and for what was promised.
#[must_use]
pub fn days(
    title: &str,
    days: &[ChartDay],
    today: FarmDay,
    promised: Option<f64>,
    height: f64,
) -> Markup {
    let (top, bottom) = (12.0, height - 22.0);
    let highest = days.iter().flat_map(|day| {
        day.came
            .into_iter()
            .chain(day.expected.map(|(_, _, high)| high))
    });
    let most = round_up(highest.chain(promised).fold(0.0, f64::max));
    let count = f64::from(u32::try_from(days.len().max(1)).unwrap_or(1));
    let step = (WIDTH - LEFT - RIGHT) / count;
    let y = |grams: f64| bottom - (bottom - top) * (grams / most).clamp(0.0, 1.0);
    let x = |at: usize| LEFT + step * f64::from(u32::try_from(at).unwrap_or(0));
    let expected: Vec<(usize, (f64, f64, f64))> = days
        .iter()
        .enumerate()
        .filter_map(|(at, day)| Some((at, day.expected?)))
        .collect();
    let middle = |at: usize| x(at) + step / 2.0;
    let points = |which: fn(&(f64, f64, f64)) -> f64| -> Vec<String> {
        expected
            .iter()
            .map(|(at, range)| format!("{:.1},{:.1}", middle(*at), y(which(range))))
            .collect()
    };
    let mut edge = points(|range| range.2);
    edge.extend(points(|range| range.0).into_iter().rev());
    let unit = |grams: f64| {
        if most >= 1_000.0 {
            format!("{}kg", grams / 1_000.0)
        } else {
            format!("{grams}g")
        }
    };
    html! {
        svg viewBox=(format!("0 0 {WIDTH} {height}")) role="img" aria-label=(title) {
            title { (title) }
            @for part in [0.0, 0.5, 1.0] {
                line.axis x1=(LEFT) x2=(WIDTH - RIGHT) y1=(one(y(part * most))) y2=(one(y(part * most))) {}
                text x=(LEFT - 6.0) y=(one(y(part * most) + 4.0)) text-anchor="end" { (unit(part * most)) }
            }
            polygon.band points=(edge.join(" ")) {}
            @for (at, day) in days.iter().enumerate() {
                @if let Some(came) = day.came {
                    rect.bar x=(one(x(at) + step * 0.18)) width=(one(step * 0.64)) y=(one(y(came))) height=(one(bottom - y(came))) {}
                }
                @if day.day == today { line.now x1=(one(x(at + 1))) x2=(one(x(at + 1))) y1=(top) y2=(bottom) {} }
                @if day.day.weekday() == chrono::Weekday::Mon {
                    text.quiet x=(one(middle(at))) y=(height - 6.0) text-anchor="middle" { (day.day.format("%d.%m.")) }
                }
            }
            polyline.middle points=(points(|range| range.1).join(" ")) {}
            @if let Some(promised) = promised {
                line.promise x1=(LEFT) x2=(WIDTH - RIGHT) y1=(one(y(promised))) y2=(one(y(promised))) {}
            }
        }
    }
}

/// A coordinate with one decimal: bytes saved a hundred times a page.
fn one(value: f64) -> String {
    format!("{value:.1}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_end_at_round_numbers() {
        let ends = [0.0, 0.7, 1.0, 1.1, 3.0, 5.0, 72.0, 480.0, 1001.0].map(round_up);
        assert_eq!(ends, [1.0, 1.0, 1.0, 2.0, 5.0, 5.0, 100.0, 500.0, 2000.0]);
    }

    #[test]
    fn a_chart_has_a_bar_for_each_day_that_came_and_no_style_in_it() {
        let day = |n: u32| FarmDay::from_ymd_opt(2026, 3, n).unwrap();
        let rows: Vec<ChartDay> = (1..=10)
            .map(|n| ChartDay {
                day: day(n),
                came: (n <= 6).then_some(10.0),
                expected: (n > 6).then_some((5.0, 8.0, 12.0)),
            })
            .collect();
        let svg = days("eggs", &rows, day(6), Some(9.0), 240.0).into_string();
        assert_eq!(svg.matches("class=\"bar\"").count(), 6);
        assert_eq!(svg.matches("class=\"now\"").count(), 1);
        assert!(svg.contains("class=\"promise\"") && svg.contains("role=\"img\""));
        assert!(!svg.contains("style=") && !svg.contains("<script"));
    }
}
