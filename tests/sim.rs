//! The simulation: the gateway without sockets and disk, under a network, a disk and a clock that misbehave as one seed says.
//!
//! Two thousand seeds in a test run; millions with `SIM_SEEDS=1000000 cargo test --release --test sim many -- --nocapture`. A seed that breaks a
//! promise prints the command that runs it again, alone and step by step. `docs/reliability.md` lists the promises and the bugs planted to prove
//! that each is watched.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "sim/carrier.rs"]
mod carrier;
#[path = "sim/centre.rs"]
mod centre;
#[path = "modem/fake.rs"]
#[allow(dead_code, reason = "the modem's own tests use more of it")]
mod fake;
#[path = "sim/kept.rs"]
mod kept;
#[path = "sim/network.rs"]
mod network;
#[path = "sim/promises.rs"]
mod promises;
#[path = "sim/scene.rs"]
mod scene;
#[path = "sim/sms.rs"]
mod sms;
#[path = "sim/stick.rs"]
mod stick;
#[path = "sim/tally.rs"]
mod tally;
#[path = "sim/ways.rs"]
mod ways;
#[path = "sim/world.rs"]
mod world;
#[path = "modem/sim.rs"]
#[allow(dead_code, reason = "the modem's own tests use more of it")]
mod written;

use crate::tally::Tally;
use crate::world::World;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};

/// Seeds of an ordinary test run: a third of them with a message centre, a third with a modem.
const SEEDS: u64 = 2_000;
/// Threads that run seeds: a seed needs no other, so all cores of a small machine are used.
const THREADS: u64 = 2;

fn asked(name: &str) -> Option<u64> {
    let text = std::env::var(name).ok()?;
    Some(
        text.parse()
            .unwrap_or_else(|_| panic!("{name}={text}: expected a number, such as {name}=7")),
    )
}

/// Runs a seed; a broken promise names the seed's command.
fn run(seed: u64, told: bool) -> Tally {
    let done = catch_unwind(AssertUnwindSafe(|| World::new(seed, told).run()));
    done.unwrap_or_else(|why| {
        let why = why
            .downcast_ref::<String>()
            .cloned()
            .or_else(|| why.downcast_ref::<&str>().map(|why| (*why).to_owned()))
            .unwrap_or_default();
        panic!(
            "seed {seed} broke a promise: {why}\nrun it again, step by step: SIM_SEED={seed} cargo test --test sim one -- --nocapture"
        )
    })
}

#[test]
fn many_seeds_keep_every_promise() {
    let from = asked("SIM_FROM").unwrap_or(0);
    let seeds = asked("SIM_SEEDS").unwrap_or(SEEDS);
    let next = AtomicU64::new(from);
    let work = || {
        let mut tally = Tally::default();
        loop {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= from + seeds {
                return tally;
            }
            tally.add(&run(seed, false));
        }
    };
    let tallies: Vec<Tally> = std::thread::scope(|scope| {
        let hands: Vec<_> = (0..THREADS).map(|_| scope.spawn(work)).collect();
        hands
            .into_iter()
            .map(|hand| {
                hand.join()
                    .unwrap_or_else(|why| std::panic::resume_unwind(why))
            })
            .collect()
    });
    let mut sum = Tally::default();
    tallies.iter().for_each(|tally| sum.add(tally));
    println!("{seeds} seeds: {sum:?}");
    // A simulation in which nothing goes wrong shows nothing.
    if seeds >= SEEDS {
        assert!(sum.acked > 8 * seeds && sum.copies > seeds && sum.restarts > seeds);
        assert!(sum.failed_commits > seeds / 2 && sum.delivered > seeds);
        assert!(sum.bound > seeds && sum.in_doubt > seeds / 4 && sum.told_again > seeds);
        assert!(sum.reminders > seeds / 4 && sum.opted_out > seeds / 20);
    }
}

#[test]
fn one_seed_step_by_step() {
    let seed = asked("SIM_SEED").unwrap_or(1);
    println!("{:?}", run(seed, true));
}

#[test]
fn a_seed_is_always_the_same_story() {
    for seed in 0..5 {
        assert_eq!(run(seed, false), run(seed, false), "seed {seed}");
    }
}
