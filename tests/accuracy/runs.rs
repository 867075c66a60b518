//! Runs of the simulator: farms followed day by day, every line slipped or not, judged on a copy, and then told plainly to the farm itself.
//!
//! The farm's own history stays true, so that one line's slip does not spoil the judgement of the next.

use crate::accuracy::engine::{Books, World};
use crate::accuracy::farm::{DAYS, Farm, pick};
use crate::accuracy::hand::Hand;
use crate::accuracy::judge::judge;
use crate::accuracy::meaning::{Meaning, What};
use crate::accuracy::phone::{Around, Sent, slip};
use crate::accuracy::slips::{MIX, Slip, slip_at};
use crate::accuracy::tally::Tally;
use crate::accuracy::words::{self, Tongue};
use crate::accuracy::writer::{text_of, write};
use chrono::NaiveDate;
use clutchline::domain::CareJob;
use clutchline::domain::code::UnitCode;
use clutchline::domain::event::FarmEvent;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::thread;

/// Which slips a run makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Draw {
    /// As the mix says.
    Mix,
    /// Every kind in turn, so that rare kinds are judged on many lines too.
    EachKind,
    /// None.
    Clean,
}

/// Follows so many farms, `lines` written lines for every message meant.
///
/// Farms are dealt to two threads, each with a random stream of its own, and put together in their order: the result is the same on any machine.
pub fn run(seed: u64, farms: u64, lines: u32, draw: Draw) -> Tally {
    const THREADS: u64 = 2;
    let one = |farm: u64, books: &Books| {
        let mut tally = Tally::default();
        let rng = ChaCha8Rng::seed_from_u64(seed.wrapping_mul(1_000_003).wrapping_add(farm));
        Follow::new(books, rng, draw, farm).follow(lines, &mut tally);
        (farm, tally)
    };
    let mut tallies: Vec<(u64, Tally)> = thread::scope(|scope| {
        let dealt = |nth: u64| {
            let books = Books::new();
            (nth..farms)
                .step_by(THREADS as usize)
                .map(|farm| one(farm, &books))
                .collect::<Vec<_>>()
        };
        let threads: Vec<_> = (0..THREADS)
            .map(|nth| scope.spawn(move || dealt(nth)))
            .collect();
        threads
            .into_iter()
            .flat_map(|thread| thread.join().expect("no thread panics"))
            .collect()
    });
    tallies.sort_by_key(|(farm, _)| *farm);
    let mut all = Tally::default();
    for (_, tally) in tallies {
        all.merge(tally);
    }
    all
}

struct Follow<'b> {
    rng: ChaCha8Rng,
    world: World<'b>,
    farm: Farm,
    draw: Draw,
    drawn: usize,
    yesterday: Option<Meaning>,
}

impl<'b> Follow<'b> {
    fn new(books: &'b Books, mut rng: ChaCha8Rng, draw: Draw, nth: u64) -> Self {
        let start = NaiveDate::from_ymd_opt(2026, 1, 5).expect("a date");
        let world = World::new(books, pick(&mut rng, &["en", "sw"]));
        Self {
            farm: Farm::new(&mut rng, start),
            world,
            rng,
            draw,
            drawn: usize::try_from(nth).unwrap_or(0) * 7,
            yesterday: None,
        }
    }

    fn follow(mut self, lines: u32, tally: &mut Tally) {
        for _ in 0..DAYS {
            let meant = self.farm.next_day(&mut self.rng);
            let mut harvest = None;
            for meaning in &meant {
                for _ in 0..lines {
                    self.line(meaning, tally);
                }
                self.tell(meaning, tally);
                let has_eggs = meaning
                    .values
                    .iter()
                    .any(|v| matches!(v.what, What::Eggs(_)));
                if has_eggs && meaning.day == meaning.today {
                    harvest = Some(meaning.clone());
                }
            }
            self.yesterday = harvest;
        }
    }

    /// One written line, judged on a copy.
    fn line(&mut self, meaning: &Meaning, tally: &mut Tally) {
        let kind = self.draw_kind();
        let hand = Hand::new(&mut self.rng);
        let pieces = write(&mut self.rng, meaning, &hand);
        let is_harvest = meaning
            .values
            .iter()
            .any(|v| matches!(v.what, What::Eggs(_)))
            && meaning.day == meaning.today;
        let yesterday = self
            .yesterday
            .clone()
            .filter(|_| is_harvest)
            .map(|m| text_of(&write(&mut self.rng, &m, &hand)));
        let not_done = self.not_done(meaning, hand.tongue);
        let around = Around {
            cages: &self.farm.codes(),
            yesterday: yesterday.as_deref(),
            not_done: &not_done,
        };
        let slipped = kind.and_then(|kind| slip(&mut self.rng, kind, &pieces, &around));
        if slipped.is_none() && self.draw == Draw::EachKind {
            return;
        }
        let kind = kind.filter(|_| slipped.is_some());
        let sent = slipped.unwrap_or_else(|| {
            vec![Sent {
                text: text_of(&pieces),
                minutes: 0,
            }]
        });
        let verdict = judge(&self.world, &sent, meaning, kind);
        tally.add(kind, &sent, meaning, &verdict);
    }

    fn draw_kind(&mut self) -> Option<Slip> {
        match self.draw {
            Draw::Clean => None,
            Draw::Mix => slip_at(self.rng.random_range(0..10_000)),
            Draw::EachKind => {
                self.drawn += 1;
                MIX.get(self.drawn % MIX.len()).map(|row| row.slip)
            }
        }
    }

    /// The farm hears it as the printed card would write it. A weight that is asked about is sent again, as replies ask for; other questions
    /// are answered `yes`, as all is true.
    fn tell(&mut self, meaning: &Meaning, tally: &mut Tally) {
        let text = text_of(&write(&mut self.rng, meaning, &Hand::plain()));
        let heard = self.world.send(&text, meaning.today, 300);
        let mut recorded = heard.events.clone();
        for value in &meaning.values {
            let is_told = |recorded: &[FarmEvent]| recorded.iter().any(|e| value.is_recorded_by(e));
            let (Some(unit), What::Eggs(grams), false) =
                (value.unit, &value.what, is_told(&recorded))
            else {
                continue;
            };
            let again = format!("{unit} {}", grams.as_f64());
            let day = match (meaning.today - meaning.day).num_days() {
                0 => String::new(),
                days => format!(" -{days}"),
            };
            recorded.extend(self.world.send(&(again + &day), meaning.today, 301).events);
        }
        for i in 1..=i64::try_from(self.world.open_questions()).unwrap_or(0) {
            recorded.extend(self.world.send("yes", meaning.today, 301 + i).events);
        }
        let missing = meaning
            .values
            .iter()
            .find(|v| !recorded.iter().any(|e| v.is_recorded_by(e)));
        if let Some(value) = missing {
            tally
                .untold
                .push(format!("{text:?} -> {:?}: {value:?}", heard.text));
        }
    }

    /// A care job that the line does not speak of, said not to be done at one of its cages.
    fn not_done(&mut self, meaning: &Meaning, tongue: Tongue) -> String {
        let units: Vec<UnitCode> = meaning.values.iter().filter_map(|v| v.unit).collect();
        let said = |job: &CareJob| meaning.values.iter().any(|v| v.what == What::Care(*job));
        let jobs: Vec<CareJob> = CareJob::ALL.into_iter().filter(|j| !said(j)).collect();
        if units.is_empty() || jobs.is_empty() {
            return String::new();
        }
        let unit = pick(&mut self.rng, &units);
        let word = words::care(tongue, pick(&mut self.rng, &jobs))[0].trim_start_matches('*');
        let forms: &[&str] = match tongue {
            Tongue::English => &["no {}", "not {}", "{} not yet", "{} tomorrow", "did not {}"],
            Tongue::Kiswahili => &["bado {}", "{} bado", "hakuna {}", "{} kesho", "bila {}"],
        };
        format!("{unit} {}", pick(&mut self.rng, forms).replace("{}", word))
    }
}
