//! Forecasts judged on farms that the model has never seen.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

mod command;
mod judged;
mod simulator;

#[test]
fn lab() {
    let from: u64 = std::env::var("SEED").map_or(1000, |it| it.parse().unwrap());
    let n: u64 = std::env::var("FARMS").map_or(40, |it| it.parse().unwrap());
    let start = std::time::Instant::now();
    judged::judge(from..from + n, 4).print();
    println!("{:?}", start.elapsed());
}
