//! The judged table at full size, as a document.

use crate::judged::ISSUE_DAYS;
use crate::judged::Tally;
use crate::judged::Weather;
use crate::judged::judge;
use std::fmt::Write as _;
use std::path::Path;

const FARMS: u64 = 300;
const FIRST_SEED: u64 = 100_000;
const RUNNING: usize = 4;

/// Works out the table and writes `docs/forecast-report.md`.
pub(crate) fn write() {
    let seeds = || FIRST_SEED..FIRST_SEED + FARMS;
    let halves = [
        (seeds().start..seeds().start + FARMS / 2),
        (seeds().start + FARMS / 2..seeds().end),
    ];
    // Two threads: the machine that this is meant for has two cores.
    let shown = std::thread::scope(|scope| {
        let [first, second] =
            halves.map(|half| scope.spawn(move || judge(half, RUNNING, Weather::Shown)));
        first.join().unwrap().plus(second.join().unwrap())
    });
    let hidden = judge(FIRST_SEED..FIRST_SEED + FARMS / 4, RUNNING, Weather::Hidden);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/forecast-report.md");
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, text(&shown, &hidden)).unwrap();
}

fn text(shown: &Tally, hidden: &Tally) -> String {
    let mut text = String::from(HEAD);
    writeln!(text, "{FARMS} farms from seed {FIRST_SEED}, {RUNNING} running cages each after 8 finished ones; without temperatures the first quarter of them.\n").unwrap();
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
        "\nSpells counted: {:.0} of {:.0} untroubled harvests and more. {TAIL}",
        shown.spells, shown.harvests
    )
    .unwrap();
    text
}

const HEAD: &str = "# How good the forecasts are

Made by `cargo test --release --test forecast -- --ignored`, which writes this page; do not edit it by hand.

Everything here is measured on an invented simulator (`tests/forecast/simulator.rs`) that follows single flies and shares no formula with the model:
emergence in a curved temperature response, laying put off on dull days, clutches, spells of trouble, missed days, weights rounded to 0.1 g. Yield (0.5 to 1.5 of the
table's), timing, shape of emergence, spread, laying age, noise, trouble and retiring are drawn anew for each farm from wide ranges. It is not a measurement of real cages.

Truth is the eggs laid in the seven days after the issue day. Coverage counts cages for which the same kind's average still expects 0.5 g and whose truth
exceeds 0.05 g or whose upper bound exceeds 0.3 g. Spent cages are those of which the average expects less than 0.5 g and that lay less than 0.3 g. A spell counts where 1 g or more was at stake up to its
third harvest; a warning is false where no spell touches the days that the harvest covers and 0.3 g or more was expected.

";

const TAIL: &str = "

## What is not judged here

- Real cages. No field data were at hand; the first season's records should replace this page.
- Stock that keepers misname (mixed called one-age), pupae miscounted by more than the farm's usual scatter, or harvests booked to the wrong cage.
- Adult deaths by heat or thirst, predators, and anything else that ends a cage early, other than as a spell of trouble.
- The ratio to the average of both stock kinds depends on how unlike the two kinds are in a simulator; here they overlap, which favours that average.
- The coming days' temperatures are not known to the model; it takes the days before.
";
