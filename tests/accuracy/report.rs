//! The report: what was simulated, what came of it, by kind of slip, as the page in `docs/`.

use crate::accuracy::judge::Outcome;
use crate::accuracy::slips::{MIX, Slip};
use crate::accuracy::tally::{Count, Tally, ratio, under_mix};
use std::fmt::Write as _;

/// Figures that must hold, all of them shares of 1.
#[derive(Debug)]
pub struct Figures {
    /// Of all values.
    pub silent: f64,
    /// Silently wrong by slips other than [`Slip::WrongNumber`], of all values.
    pub silent_other: f64,
    /// The same, of the values in lines with such slips only.
    pub silent_in_other_slips: f64,
    /// Recorded, or asked with the right answer, of all values.
    pub right_or_asked: f64,
    /// Clean lines that were answered with a question.
    pub needless: f64,
}

/// The figures of a run with the mix.
pub fn of_mix(mix: &Tally) -> Figures {
    let all = mix.sum(|_| true);
    let other = mix.sum(is_other);
    let clean = mix.kind(None);
    Figures {
        silent: all.share(Outcome::Silent),
        silent_other: ratio(
            other.of(Outcome::Silent) + clean.of(Outcome::Silent),
            all.all(),
        ),
        silent_in_other_slips: other.share(Outcome::Silent),
        right_or_asked: all.share(Outcome::Right) + all.share(Outcome::AskedRight),
        needless: ratio(clean.asked, clean.lines),
    }
}

/// The same figures from every kind's own run, weighted by the mix: far more lines of the rare kinds.
pub fn weighted(clean: &Count, kinds: &Tally) -> Figures {
    let of = |test: &dyn Fn(Option<Slip>, Outcome) -> bool| under_mix(clean, kinds, test);
    let slips_only = Count::default();
    let other_values = under_mix(&slips_only, kinds, |kind, _| is_other(kind));
    let other_silent = under_mix(&slips_only, kinds, |kind, outcome| {
        is_other(kind) && outcome == Outcome::Silent
    });
    Figures {
        silent: of(&|_, outcome| outcome == Outcome::Silent),
        silent_other: of(&|kind, outcome| {
            kind != Some(Slip::WrongNumber) && outcome == Outcome::Silent
        }),
        silent_in_other_slips: other_silent / other_values,
        right_or_asked: of(&|_, o| matches!(o, Outcome::Right | Outcome::AskedRight)),
        needless: ratio(clean.asked, clean.lines),
    }
}

fn is_other(kind: Option<Slip>) -> bool {
    kind.is_some_and(|slip| slip != Slip::WrongNumber)
}

const TOP: &str = "\
# Entry accuracy

Written by `cargo test --test accuracy -- --ignored report`; do not edit. The simulator is `tests/accuracy/`, the same seeds give the same page.

Simulated keepers of farms with 1 to 8 cages mean something every day (harvests on noisy laying curves, zero days, missed days told late, care,
stockings, ants, dead flies, temperatures, retiring), write it in many hands in English, Kiswahili or both, and slip on the keypad. Every text goes
through the real reader, desk and phrasebook, and every value meant is followed to the record.

A value is **right** when it is recorded as meant; **asked, right answer offered** when it is held and `yes` (or `add`) records it, or the question
shows it among its choices; **asked otherwise** when it is held and the right answer is not in the question; **named** when the reply says that
it was not understood or not possible; **not sent** when the line was cut before it; **silently wrong** when it is recorded wrong or dropped and the reply
asks and names nothing. A recorded fact that nobody meant counts as one more silently wrong value. The reply is judged as the phone shows it.

A slip's kind says how it was made, not what came of it: a digit that slips is a wrong number whether or not it can be seen. All values of a line count
under its slip, also those that it did not touch.

";

/// The whole page.
pub fn page(mix: &Tally, clean: &Tally, kinds: &Tally) -> String {
    let mut page = String::from(TOP);
    figures(&mut page, mix, &clean.kind(None), kinds);
    page.push_str(PUBLISHED);
    table(&mut page, clean, kinds);
    mix_table(&mut page);
    page
}

fn figures(page: &mut String, mix: &Tally, clean: &Count, kinds: &Tally) {
    let (run, weighted) = (of_mix(mix), weighted(clean, kinds));
    let all = mix.sum(|_| true);
    let each = kinds.sum(|_| true);
    let _ = writeln!(page, "## What came of it\n");
    let _ = writeln!(
        page,
        "One run slips as the mix says ({} lines, {} values). As rare kinds are few in it, another run makes every kind equally often ({} lines, \
         {} values; with {} lines without a slip) and its shares are weighted by the mix.\n",
        all.lines,
        all.all(),
        each.lines,
        each.all(),
        clean.lines
    );
    let _ = writeln!(
        page,
        "| measure | must be | run of the mix | every kind, weighted |"
    );
    let _ = writeln!(page, "|---|---|---|---|");
    let mut row = |name: &str, must: &str, a: f64, b: f64| {
        let _ = writeln!(
            page,
            "| {name} | {must} | {:.3} % | {:.3} % |",
            a * 100.0,
            b * 100.0
        );
    };
    row(
        "silently wrong, of all values",
        "at most 0.30 %",
        run.silent,
        weighted.silent,
    );
    row(
        "silently wrong by slips other than a wrong number, of all values",
        "at most 0.05 %",
        run.silent_other,
        weighted.silent_other,
    );
    row(
        "the same, of the values in lines with such slips only",
        "",
        run.silent_in_other_slips,
        weighted.silent_in_other_slips,
    );
    row(
        "right, or asked with the right answer",
        "at least 97 %",
        run.right_or_asked,
        weighted.right_or_asked,
    );
    row(
        "clean lines answered with a question",
        "at most 1 %",
        run.needless,
        weighted.needless,
    );
    page.push('\n');
}

const PUBLISHED: &str = "\
Published rates of wrong values in phone data entry: 4.5 to 4.8 % by SMS, 4.2 % by forms, 0.45 % by a live voice operator (Patnaik, Brunskill and Thies
2009, 13 users); weekly SMS stock reports of 87 facilities with 3 % format errors and 79 % of counts right (Githinji et al. 2013), and 58 % of values
right in a second study of them (Malaria Journal 2014;13:107). Those are health workers and real phones; ours are simulated keepers, so the figures
here say what the program does with the slips listed, and nothing about how often people slip.

";

fn table(page: &mut String, clean: &Tally, kinds: &Tally) {
    let _ = writeln!(page, "## By kind of slip\n");
    let _ = writeln!(
        page,
        "Every kind equally often; shares of the values in its lines.\n"
    );
    let _ = writeln!(
        page,
        "| slip | lines | values | right | asked, right answer offered | asked otherwise | named | not sent | silently wrong |"
    );
    let _ = writeln!(page, "|---|---|---|---|---|---|---|---|---|");
    let mut row = |name: &str, count: &Count| {
        let _ = write!(page, "| {name} | {} | {} |", count.lines, count.all());
        for outcome in OUTCOMES {
            let _ = write!(page, " {:.2} % |", count.share(outcome) * 100.0);
        }
        page.push('\n');
    };
    row("none", &clean.kind(None));
    for made in &MIX {
        row(name(made.slip), &kinds.kind(Some(made.slip)));
    }
    page.push('\n');
}

const OUTCOMES: [Outcome; 6] = [
    Outcome::Right,
    Outcome::AskedRight,
    Outcome::AskedOtherwise,
    Outcome::Named,
    Outcome::NotSent,
    Outcome::Silent,
];

const OPEN: &str = "\
## What nobody can see

Most of what is left silent by slips other than a wrong number cannot be seen in the text: work, a stocking or an emptying told of another cage of the farm, yesterday's line with one weight, a line cut inside a number or before its
day. They are counted all the same, for a slip's kind says how it was made. Check letters would show the wrong cages.

";

fn mix_table(page: &mut String) {
    page.push_str(OPEN);
    let _ = writeln!(page, "## The mix\n");
    let _ = writeln!(
        page,
        "Fixed before any result was seen, and not changed since. One line in five carries one slip, touching about one of its three values: 6.7 % of \
         values, which is the 4.5 to 4.8 % that were wrong by SMS and the slips that only spoil the form. Where no source is named a share is judged. \
         A line that has nothing for its slip to take hold of is sent without one.\n"
    );
    let _ = writeln!(
        page,
        "| slip | in 10,000 lines | how it is made | why so many |"
    );
    let _ = writeln!(page, "|---|---|---|---|");
    for row in &MIX {
        let _ = writeln!(
            page,
            "| {} | {} | {} | {} |",
            name(row.slip),
            row.per_10_000,
            row.made,
            row.reason
        );
    }
}

/// The kind in words.
pub fn name(slip: Slip) -> &'static str {
    match slip {
        Slip::MultiTap => "multi-tap",
        Slip::NeighbourKey => "neighbouring key",
        Slip::Twin => "predictive twin",
        Slip::Transposed => "letters swapped",
        Slip::LetterLostOrDoubled => "letter lost or doubled",
        Slip::Abbreviated => "abbreviation",
        Slip::SpaceMissing => "space missing",
        Slip::SpaceExtra => "space too many",
        Slip::LetterForDigit => "letter for digit",
        Slip::DigitForLetter => "digit for letter",
        Slip::PointLost => "point lost",
        Slip::PointAwry => "point awry",
        Slip::UnitWrong => "unit wrong or missing",
        Slip::CodeLetterMissing => "code letter missing",
        Slip::OtherCage => "wrong cage, exists",
        Slip::AbsentCage => "wrong cage, does not exist",
        Slip::YesterdaysLine => "yesterday's line",
        Slip::SentTwice => "sent twice",
        Slip::CutInHalf => "cut in half",
        Slip::TwoThoughts => "two thoughts in a line",
        Slip::NotDone => "said not to be done",
        Slip::WrongNumber => "wrong number",
    }
}
