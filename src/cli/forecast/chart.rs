//! Draws each running cage as SVG: bars for what was taken, a band for what was and is expected, readable in print without colour.
//!
//! This room does not know what the numbers mean; it only places them.

use crate::biology::mixture::Range;
use std::fmt::Write;

/// Most cages drawn in one file: beyond it nobody prints it and viewers choke.
pub const MOST_PANELS: usize = 60;
const WIDTH: f64 = 720.0;
const PANEL: f64 = 190.0;
const LEFT: f64 = 52.0;
const TOP: f64 = 34.0;
const PLOT_WIDTH: f64 = WIDTH - LEFT - 16.0;
const PLOT_HEIGHT: f64 = 112.0;

/// One cage to draw; days count from stocking.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Its name.
    pub name: String,
    /// The day of stocking, written.
    pub stocked_on: String,
    /// The last day that is known.
    pub today: usize,
    /// Expected grams of each day from stocking on.
    pub expected: Vec<Range>,
    /// First and last day that a harvest covers, and grams a day over them.
    pub harvests: Vec<(usize, usize, f64)>,
}

/// The whole drawing.
#[must_use]
pub fn draw(panels: &[Panel]) -> String {
    let panels = panels.get(..MOST_PANELS).unwrap_or(panels);
    let height = PANEL * f64::from(u32::try_from(panels.len().max(1)).unwrap_or(1)) + 10.0;
    let mut svg = String::new();
    line(
        &mut svg,
        format_args!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" font-family="sans-serif" font-size="11">"#
        ),
    );
    line(
        &mut svg,
        format_args!("<title>Expected and harvested eggs</title>"),
    );
    line(
        &mut svg,
        format_args!(r#"<rect width="{WIDTH}" height="{height}" fill="white"/>"#),
    );
    for (panel, index) in panels.iter().zip(0_u32..) {
        line(
            &mut svg,
            format_args!(
                r#"<g transform="translate(0,{})">"#,
                PANEL * f64::from(index)
            ),
        );
        draw_panel(&mut svg, panel);
        line(&mut svg, format_args!("</g>"));
    }
    svg.push_str("</svg>\n");
    svg
}

fn line(svg: &mut String, text: std::fmt::Arguments<'_>) {
    writeln!(svg, "{text}").expect("a String takes every write");
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[allow(clippy::cast_precision_loss)]
fn draw_panel(svg: &mut String, panel: &Panel) {
    let days = panel.expected.len().max(1);
    let most = panel
        .expected
        .iter()
        .map(|it| it.high)
        .chain(panel.harvests.iter().map(|it| it.2))
        .fold(0.5, f64::max);
    let step = PLOT_WIDTH / days as f64;
    let x = |day: usize| LEFT + step * day as f64;
    let y = |grams: f64| TOP + PLOT_HEIGHT * (1.0 - grams / most);
    line(
        svg,
        format_args!(
            r#"<text x="{LEFT}" y="16" font-weight="bold">{}</text><text x="{}" y="16" text-anchor="end">grams of eggs a day; days since {}</text>"#,
            escaped(&panel.name),
            LEFT + PLOT_WIDTH,
            panel.stocked_on
        ),
    );
    let edge = |pick: fn(&Range) -> f64| -> Vec<String> {
        panel
            .expected
            .iter()
            .enumerate()
            .map(|(day, it)| format!("{:.1},{:.1}", x(day) + step / 2.0, y(pick(it))))
            .collect()
    };
    let mut band = edge(|it| it.high);
    band.extend(edge(|it| it.low).into_iter().rev());
    line(
        svg,
        format_args!(r##"<polygon points="{}" fill="#d0d0d0"/>"##, band.join(" ")),
    );
    for (from, to, grams) in &panel.harvests {
        line(
            svg,
            format_args!(
                r##"<rect x="{:.1}" y="{:.1}" width="{:.1}" height="{:.1}" fill="none" stroke="black"/>"##,
                x(*from) + 1.0,
                y(*grams),
                (step * (to + 1 - from) as f64 - 2.0).max(1.0),
                PLOT_HEIGHT * grams / most
            ),
        );
    }
    line(
        svg,
        format_args!(
            r#"<polyline points="{}" fill="none" stroke="black" stroke-width="1.5" stroke-dasharray="4 3"/>"#,
            edge(|it| it.middle).join(" ")
        ),
    );
    let (bottom, now) = (TOP + PLOT_HEIGHT, x(panel.today + 1));
    line(
        svg,
        format_args!(
            r#"<path d="M{LEFT} {TOP}V{bottom}H{}M{now:.1} {TOP}V{bottom}" fill="none" stroke="black"/>"#,
            LEFT + PLOT_WIDTH
        ),
    );
    line(
        svg,
        format_args!(
            r#"<text x="{:.1}" y="{}">today</text>"#,
            now + 3.0,
            TOP + 10.0
        ),
    );
    for grams in [0.0, most / 2.0, most] {
        line(
            svg,
            format_args!(
                r#"<text x="{}" y="{:.1}" text-anchor="end">{grams:.1}</text>"#,
                LEFT - 5.0,
                y(grams) + 4.0
            ),
        );
    }
    for day in (0..days).step_by(7) {
        line(
            svg,
            format_args!(
                r#"<text x="{:.1}" y="{}" text-anchor="middle">{day}</text>"#,
                x(day) + step / 2.0,
                bottom + 14.0
            ),
        );
    }
}
