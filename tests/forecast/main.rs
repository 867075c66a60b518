//! Forecasts judged on farms that the model has never seen, and the command on files as people write them.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

mod command;
mod judged;
mod report;
mod simulator;

use judged::{Weather, judge_on_two};
use simulator::VARIANTS;

const RUNNING: usize = 4;

#[test]
#[cfg_attr(
    debug_assertions,
    ignore = "minutes of sums unoptimised: cargo test --release --test forecast"
)]
fn the_judged_table_is_met() {
    // The report's farms, all of them.
    let seeds = report::FIRST_SEED..report::FIRST_SEED + report::FARMS;
    let tally = judge_on_two(seeds, RUNNING, Weather::Shown, &VARIANTS[0]);
    let [go_on, all, kin] = tally.ratios();
    assert!(go_on <= 0.30, "against the last three harvests: {go_on}");
    let both = format!("against the average of both kinds: {all}");
    assert!(all <= 0.50, "{both}");
    assert!(kin <= 0.80, "against the same kind's average: {kin}");
    for (share, day) in tally.coverage().into_iter().zip(judged::ISSUE_DAYS) {
        let inside = (0.72..=0.88).contains(&share);
        assert!(inside, "coverage {share} on day {day}");
    }
    let (middle, high) = tally.spent();
    assert!(middle <= 0.25, "spent cages, middle: {middle}");
    assert!(high <= 0.5, "spent cages, high: {high}");
    let false_rate = tally.false_rate();
    assert!(false_rate <= 1.0 / 30.0, "false warnings: {false_rate}");
    let (warned, spells) = (tally.warned_share(), tally.spells);
    assert!(warned >= 0.85, "spells warned of: {warned} of {spells}");
}

#[test]
#[ignore = "writes docs/forecast-report.md: cargo test --release --test forecast -- --ignored"]
fn full_size_report() {
    report::write();
}
