//! How the invented keepers put a morning into words: some plainly, some in Kiswahili, one as it comes.
//!
//! Lines stay well inside one part, as people keep them; a long morning becomes several.

use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// How somebody writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// `C4 12.5 C5 8 all water bait`
    Plain,
    /// `C4 12.5g C5 8g all water bait`
    Unit,
    /// `C4 12,5 C5 8 zote maji chambo`
    Kiswahili,
    /// `c 4 12.5 gm, C5  8.. pls water all`
    Sloppy,
}

/// A care job of the demo's keepers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Job {
    /// Daily.
    Water,
    /// Every third day.
    Bait,
    /// Every second day.
    Moat,
    /// Every fifth day.
    Swept,
}

impl Job {
    fn word(self, style: Style) -> &'static str {
        match (self, style) {
            (Self::Water, Style::Kiswahili) => "maji",
            (Self::Bait, Style::Kiswahili) => "chambo",
            (Self::Moat, Style::Kiswahili) => "mtaro",
            (Self::Swept, Style::Kiswahili) => "fagia",
            (Self::Water, _) => "water",
            (Self::Bait, _) => "bait",
            (Self::Moat, _) => "moat",
            (Self::Swept, _) => "swept",
        }
    }
}

/// Longest line: a person stops before the phone starts a second part.
const LINE_CHARS_MAX: usize = 120;

/// The morning's lines: weights in tenths of a gram by cage, then the jobs done everywhere.
#[must_use]
pub fn morning(
    style: Style,
    weights: &[(u8, u32)],
    jobs: &[Job],
    rng: &mut ChaCha8Rng,
) -> Vec<String> {
    let mut groups: Vec<String> = weights
        .iter()
        .map(|(cage, tenths)| group(style, *cage, *tenths, rng))
        .collect();
    if !jobs.is_empty() {
        let all = if style == Style::Kiswahili {
            "zote"
        } else {
            "all"
        };
        let words: Vec<_> = jobs.iter().map(|job| job.word(style)).collect();
        groups.push(format!("{all} {}", words.join(" ")));
    }
    let mut lines: Vec<String> = Vec::new();
    for group in groups {
        match lines.last_mut() {
            Some(line) if line.len() + 1 + group.len() <= LINE_CHARS_MAX => {
                line.push(' ');
                line.push_str(&group);
            }
            _ => lines.push(group),
        }
    }
    lines
}

fn group(style: Style, cage: u8, tenths: u32, rng: &mut ChaCha8Rng) -> String {
    let point = if style == Style::Kiswahili { ',' } else { '.' };
    let mut weight = (tenths / 10).to_string();
    if !tenths.is_multiple_of(10) {
        weight = format!("{weight}{point}{}", tenths % 10);
    }
    match style {
        Style::Plain | Style::Kiswahili => format!("C{cage} {weight}"),
        Style::Unit => format!("C{cage} {weight}g"),
        Style::Sloppy => match rng.random_range(0..4) {
            0 => format!("c{cage} {weight} grams,"),
            1 => format!("C {cage}  {weight}g"),
            2 => format!("c-{cage} eggs {weight}"),
            _ => format!("C{cage}: {weight} g"),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;

    fn say(style: Style, weights: &[(u8, u32)]) -> Vec<String> {
        let rng = &mut ChaCha8Rng::seed_from_u64(1);
        morning(style, weights, &[Job::Water, Job::Bait], rng)
    }

    #[test]
    fn a_morning_reads_as_people_write_it() {
        let weights = [(4, 125), (5, 80), (6, 0)];
        assert_eq!(
            say(Style::Plain, &weights),
            ["C4 12.5 C5 8 C6 0 all water bait"]
        );
        assert_eq!(
            say(Style::Kiswahili, &weights),
            ["C4 12,5 C5 8 C6 0 zote maji chambo"]
        );
        let many: Vec<_> = (1..=40).map(|cage| (cage, 123)).collect();
        let lines = say(Style::Unit, &many);
        assert!(lines.len() > 2 && lines.iter().all(|line| line.len() <= LINE_CHARS_MAX));
    }
}
