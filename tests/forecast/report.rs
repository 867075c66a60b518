//! The judged table at full size, as a document.

use crate::judged::ISSUE_DAYS;
use crate::judged::Tally;
use crate::judged::Weather;
use crate::judged::judge_on_two;
use crate::simulator::VARIANTS;
use std::fmt::Write as _;
use std::path::Path;

pub(crate) const FARMS: u64 = 300;
/// Of each variant: some 300 cages an issue day.
const VARIANT_FARMS: u64 = 80;
/// Farms that nothing was chosen on: 100,000 and on were looked at while the doubt about a life's end and the weight of the noise's prior were chosen.
pub(crate) const FIRST_SEED: u64 = 200_000;
const RUNNING: usize = 4;

/// Works out the table and writes `docs/forecast-report.md`.
pub(crate) fn write() {
    let usual = &VARIANTS[0];
    let all = |weather| judge_on_two(FIRST_SEED..FIRST_SEED + FARMS, RUNNING, weather, usual);
    let (shown, hidden) = (all(Weather::Shown), all(Weather::Hidden));
    let variants = VARIANTS.each_ref().map(|variant| {
        let seeds = FIRST_SEED..FIRST_SEED + VARIANT_FARMS;
        let of = |weather| judge_on_two(seeds.clone(), RUNNING, weather, variant);
        (variant.name, of(Weather::Shown), of(Weather::Hidden))
    });
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/forecast-report.md");
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, text(&shown, &hidden) + &table_of(&variants) + TAIL).unwrap();
}

fn text(shown: &Tally, hidden: &Tally) -> String {
    let mut text = String::from(HEAD);
    writeln!(text, "{FARMS} farms from seed {FIRST_SEED}, {RUNNING} running cages each after 8 finished ones.\n").unwrap();
    text.push_str(
        "| measure | with temperatures | without | must be | aim |\n|---|---|---|---|---|\n",
    );
    let (a, b) = (shown.ratios(), hidden.ratios());
    for (i, name, must, aim) in [
        (
            0,
            "error against \"the last three harvests go on\"",
            "0.30",
            "0.26",
        ),
        (1, "error against the farm's average curve", "0.50", "0.43"),
        (
            2,
            "error against the average of the same stock kind",
            "0.80",
            "0.70",
        ),
    ] {
        writeln!(
            text,
            "| {name} | {:.3} | {:.3} | at most {must} | {aim} |",
            a[i], b[i]
        )
        .unwrap();
    }
    for ((day, a), b) in ISSUE_DAYS
        .iter()
        .zip(shown.coverage())
        .zip(hidden.coverage())
    {
        writeln!(text, "| truths inside the 80 % range, day {day} | {a:.3} | {b:.3} | 0.72 to 0.88 | 0.76 to 0.84 |").unwrap();
    }
    let (a, b) = (shown.spent(), hidden.spent());
    writeln!(
        text,
        "| spent cages, mean middle (g) | {:.3} | {:.3} | at most 0.25 | |",
        a.0, b.0
    )
    .unwrap();
    writeln!(
        text,
        "| spent cages, mean high (g) | {:.3} | {:.3} | at most 0.50 | |",
        a.1, b.1
    )
    .unwrap();
    writeln!(
        text,
        "| untroubled harvests to one false warning | {:.0} | {:.0} | at least 30 | |",
        1.0 / shown.false_rate(),
        1.0 / hidden.false_rate()
    )
    .unwrap();
    writeln!(
        text,
        "| spells warned of by their third harvest | {:.3} | {:.3} | | at least 0.85 |",
        shown.warned_share(),
        hidden.warned_share()
    )
    .unwrap();
    writeln!(
        text,
        "\n{:.0} spells and {:.0} untroubled harvests were counted. An oracle that knows every fly and spell-free day but not the weather's noise would have\nerrors of {:.3}, {:.3} and {:.3} in the first three rows: the sums cannot come below it.\n",
        shown.spells,
        shown.harvests,
        shown.oracle()[0],
        shown.oracle()[1],
        shown.oracle()[2]
    )
    .unwrap();
    text
}

/// How the figures hold where farms are not as the usual draw has them.
fn table_of(variants: &[(&str, Tally, Tally)]) -> String {
    let mut text = VARIANTS_HEAD.to_owned();
    for (name, shown, hidden) in variants {
        for (tally, with) in [(shown, "yes"), (hidden, "no")] {
            let ([go_on, all, kin], (middle, high)) = (tally.ratios(), tally.spent());
            let coverage = tally.coverage();
            let least = coverage.iter().copied().fold(1.0, f64::min);
            let most = coverage.iter().copied().fold(0.0, f64::max);
            writeln!(
                text,
                "| {name} | {with} | {go_on:.2} | {all:.2} | {kin:.2} | {least:.2} to {most:.2} | {middle:.2}, {high:.2} | {:.0} | {:.2} | {:.2} |",
                1.0 / tally.false_rate(),
                tally.warned_share(),
                tally.oracle()[0],
            )
            .unwrap();
        }
    }
    text
}

const VARIANTS_HEAD: &str = "
## Where farms are otherwise

Each pushes one thing to where the usual draw does not go. 80 farms each, with and without temperatures. Where an oracle that knows all but
the weather's noise comes near a bound itself (last column, against the last three harvests), the noise and not the model is what is measured.

| farms | temperatures | last three | average | same kind | coverage, least and most of six days | spent: middle, high (g) | harvests to one false warning | spells warned of | oracle |
|---|---|---|---|---|---|---|---|---|---|
";

const HEAD: &str = "# How good the forecasts are

Made by `cargo test --release --test forecast -- --ignored`, which writes this page; do not edit it by hand.

Everything here is measured on an invented simulator (`tests/forecast/simulator.rs`) that follows single flies and shares no formula with the model:
emergence in a curved temperature response, laying put off on dull days, clutches, spells of trouble, missed days, weights rounded to 0.1 g. Yield (0.5 to 1.5 of the
table's), timing, shape of emergence, spread, laying age, noise, trouble and retiring are drawn anew for each farm from wide ranges. It is not a measurement of real cages.

Truth is the eggs laid in the seven days after the issue day. Coverage counts cages for which the same kind's average still expects 0.5 g and whose truth
exceeds 0.05 g or whose upper bound exceeds 0.3 g. Spent cages are those of which the average expects less than 0.5 g and that lay less than 0.3 g. A spell counts where 1 g or more was at stake up to its
third harvest; a warning is false where no spell touches the days that the harvest covers and 0.3 g or more was expected.

What to hold against these figures:

- The error against the average of both kinds stands close to its bound of 0.50: on other sets of 300 farms it was 0.481 (seeds from 500000), 0.489 (from 600000) and 0.512 (from 400000). A set moves it by 0.01 to 0.02.
- A fly's age runs in days since this report (`laying_clock` 0), and a farm's own cages count for more against the table's spread and shape: both were chosen on 200 farms from seed 300000, where that row is 0.504.
  On the 300 farms from seed 500000 the share inside the range on day 17 was 0.888, over its bound.
- The simulator's day noise was drawn from 0.12 to 0.40 before and is drawn from 0.07 to 0.24 now, so that an oracle's error is about that of the simulator on which the bounds were set (0.09). That, not the model,
  is most of the difference to earlier reports: with the earlier draw that row was 0.54 to 0.55, and \"rougher days\" below has 0.58, and without temperatures more false warnings than allowed.
- The noise's prior weight and `shape_doubt` were chosen for coverage, looking at 150 farms from seed 100000. The farms below were not looked at for it.
- `clutchline forecast` and this page learn from whole finished runs. Messages start from lessons (docs/model.md, section 4), which on 150 farms from seed 100000 had errors 0.209, 0.492 and 0.648 where whole
  runs had 0.203, 0.480 and 0.632, and ranges that were too wide (0.87 to 0.91 inside).
- Without temperatures, the average of both kinds and the share of spells warned of miss their bounds.

";

const TAIL: &str = "

## What is not judged here

- Real cages. No field data were at hand; the first season's records should replace this page.
- Stock that keepers misname (mixed called one-age), pupae miscounted by more than the farm's usual scatter, or harvests booked to the wrong cage.
- Adult deaths by heat or thirst, predators, and anything else that ends a cage early, other than as a spell of trouble.
- The ratio to the average of both stock kinds depends on how unlike the two kinds are in a simulator; here they overlap, which favours that average.
- The coming days' temperatures are not known to the model; it takes the days before.
";
