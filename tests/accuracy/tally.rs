//! Counts of outcomes by kind of slip, and what they come to under the mix.

use crate::accuracy::judge::{Outcome, Verdict};
use crate::accuracy::meaning::Meaning;
use crate::accuracy::phone::Sent;
use crate::accuracy::slips::{MIX, Slip};
use std::collections::BTreeMap;

/// Examples kept of each outcome and kind.
const EXAMPLES: usize = 400;

/// Counts of one kind.
#[derive(Clone, Debug, Default)]
pub struct Count {
    pub lines: u64,
    /// Lines whose reply asked something.
    pub asked: u64,
    pub values: BTreeMap<Outcome, u64>,
}

/// All counts.
#[derive(Default)]
pub struct Tally {
    pub kinds: BTreeMap<Option<Slip>, Count>,
    /// Lines that the farm's own plain hand could not tell: none are expected.
    pub untold: Vec<String>,
    /// What went wrong, for whoever mends it.
    pub examples: BTreeMap<(Option<Slip>, Outcome), Vec<String>>,
}

impl Count {
    pub fn all(&self) -> u64 {
        self.values.values().sum()
    }

    pub fn of(&self, outcome: Outcome) -> u64 {
        self.values.get(&outcome).copied().unwrap_or(0)
    }

    /// Share of its values, 0 to 1.
    pub fn share(&self, outcome: Outcome) -> f64 {
        ratio(self.of(outcome), self.all())
    }

    fn plus(&mut self, other: &Self) {
        self.lines += other.lines;
        self.asked += other.asked;
        for (outcome, n) in &other.values {
            *self.values.entry(*outcome).or_default() += n;
        }
    }
}

impl Tally {
    pub fn add(&mut self, kind: Option<Slip>, sent: &[Sent], meaning: &Meaning, verdict: &Verdict) {
        let count = self.kinds.entry(kind).or_default();
        count.lines += 1;
        count.asked += u64::from(verdict.asked);
        for outcome in &verdict.outcomes {
            *count.values.entry(*outcome).or_default() += 1;
        }
        let worst = verdict.outcomes.iter().max().copied();
        let worst = worst
            .filter(|w| *w != Outcome::Right)
            .or(verdict.asked.then_some(Outcome::AskedRight));
        let Some(worst) = worst else { return };
        let examples = self.examples.entry((kind, worst)).or_default();
        if examples.len() < EXAMPLES {
            let texts: Vec<&str> = sent.iter().map(|s| s.text.as_str()).collect();
            let meant: Vec<String> = meaning
                .values
                .iter()
                .map(|v| format!("{:?}:{:?}", v.unit, v.what))
                .collect();
            examples.push(format!(
                "{texts:?} on {} for {} -> {:?} | meant {} | {}",
                meaning.today,
                meaning.day,
                verdict.replies,
                meant.join(" "),
                verdict.silent.join("; ")
            ));
        }
    }

    /// Adds another's counts and examples.
    pub fn merge(&mut self, other: Self) {
        for (kind, count) in &other.kinds {
            self.kinds.entry(*kind).or_default().plus(count);
        }
        self.untold.extend(other.untold);
        for (key, examples) in other.examples {
            let kept = self.examples.entry(key).or_default();
            kept.extend(examples);
            kept.truncate(EXAMPLES);
        }
    }

    /// The counts of kinds that pass the test, together.
    pub fn sum(&self, mut of: impl FnMut(Option<Slip>) -> bool) -> Count {
        let mut sum = Count::default();
        for (_, count) in self.kinds.iter().filter(|(kind, _)| of(**kind)) {
            sum.plus(count);
        }
        sum
    }

    /// One kind's counts.
    pub fn kind(&self, kind: Option<Slip>) -> Count {
        self.kinds.get(&kind).cloned().unwrap_or_default()
    }
}

/// The share of an outcome under the mix: every kind's own share and values a line, weighted by how often the mix makes it.
pub fn under_mix(clean: &Count, kinds: &Tally, of: impl Fn(Option<Slip>, Outcome) -> bool) -> f64 {
    let slipped: u32 = MIX.iter().map(|row| row.per_10_000).sum();
    let mut parts = vec![(None, f64::from(10_000 - slipped), clean.clone())];
    for row in &MIX {
        let kind = Some(row.slip);
        parts.push((kind, f64::from(row.per_10_000), kinds.kind(kind)));
    }
    let (mut part, mut whole) = (0.0, 0.0);
    for (kind, weight, count) in parts {
        let a_line = |n: u64| weight * ratio(n, count.lines);
        whole += a_line(count.all());
        part += count
            .values
            .iter()
            .filter(|(outcome, _)| of(kind, **outcome))
            .map(|(_, n)| a_line(*n))
            .sum::<f64>();
    }
    part / whole
}

/// `part / whole`, 0 where there is nothing.
pub fn ratio(part: u64, whole: u64) -> f64 {
    if whole == 0 {
        0.0
    } else {
        part as f64 / whole as f64
    }
}
