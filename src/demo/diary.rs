//! Ninety invented days of one farm, as the messages that its keeper sends.
//!
//! Pure but for the seeded chance: the same seed, farm and day give the same texts. What the gateway answers plays no part in it.

use crate::demo::cast::{FarmPlan, Person, Story, ZONE};
use crate::demo::eggs::{Run, chance_factor, on_the_scale};
use crate::demo::wording::{Job, Style, morning};
use crate::units::day::{FarmDay, local_hour};
use chrono::{DateTime, Duration, Utc};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Days of history; the last is yesterday, so that today is the visitor's.
pub const DAYS: i64 = 90;

/// A text and when the phone sent it.
pub type Sent = (DateTime<Utc>, String);

/// One cage while the diary is written.
struct Cage {
    no: u8,
    /// Pupae for each filling.
    pupae: u32,
    mixed: bool,
    run: Option<Run>,
    /// Day on which it is filled next.
    fill_on: i64,
    /// Eggs in the traps since the last weighing.
    in_traps: f64,
}

/// A farm while its diary is written.
struct Farm {
    plan: FarmPlan,
    style: Style,
    cages: Vec<Cage>,
    rng: ChaCha8Rng,
    sent: Vec<Sent>,
}

/// Everything that `person` sends in the ninety days before `today`; nothing for those who keep no farm.
#[must_use]
pub fn write(person: &Person, today: FarmDay, seed: u64, weather: &[f64]) -> Vec<Sent> {
    let Some(plan) = person.farm else {
        return Vec::new();
    };
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(u64::from(person.digits));
    let style = match plan.story {
        Story::Sloppy => Style::Sloppy,
        Story::Plain if person.digits.is_multiple_of(4) => Style::Kiswahili,
        Story::Plain if person.digits.is_multiple_of(3) => Style::Unit,
        _ => Style::Plain,
    };
    let cages = (1..=plan.cages)
        .map(|no| new_cage(plan, no, &mut rng))
        .collect();
    let mut farm = Farm {
        plan,
        style,
        cages,
        rng,
        sent: Vec::new(),
    };
    if style == Style::Kiswahili {
        farm.send(today, first_day(plan) - 1, vec!["lang sw".to_owned()]);
    }
    for day in first_day(plan)..DAYS {
        farm.live(
            today,
            day,
            weather.get(day as usize).copied().unwrap_or(1.0),
        );
    }
    farm.sent
}

/// The first day of a farm: most began before the history does.
fn first_day(plan: FarmPlan) -> i64 {
    match plan.story {
        Story::New => DAYS - 12,
        _ => 0,
    }
}

fn new_cage(plan: FarmPlan, no: u8, rng: &mut ChaCha8Rng) -> Cage {
    let (pupae, mixed, fill_on) = match (plan.story, no) {
        (Story::New, _) => (4_000, false, DAYS - 12 + i64::from(no)),
        // The biggest cage of the district; at its best on the demo's day.
        (Story::Steady, 4) => (24_000, false, 18),
        _ => {
            let pupae = rng.random_range(8..=20) * 500;
            let spread = i64::from(no - 1) * 30 / i64::from(plan.cages);
            (
                pupae,
                rng.random_range(0..3) == 0,
                spread + rng.random_range(0..4),
            )
        }
    };
    Cage {
        no,
        pupae,
        mixed,
        run: None,
        fill_on,
        in_traps: 0.0,
    }
}

impl Farm {
    /// One day: eggs are laid, and if the keeper writes, what they do and weigh is sent.
    fn live(&mut self, today: FarmDay, day: i64, weather: f64) {
        for cage in &mut self.cages {
            let laid = cage.run.map_or(0.0, |run| run.expected(day));
            // Eggs left for more than three days hatch in the trap and are lost.
            cage.in_traps =
                cage.in_traps.min(laid * 3.0) + laid * weather * trouble(self.plan, day);
        }
        if !self.writes(day) {
            return;
        }
        let mut lines = self.emptied_and_filled(day);
        lines.extend(self.seen(day));
        let weights = self.weighed(day);
        let jobs = self.jobs(day);
        lines.extend(morning(self.style, &weights, &jobs, &mut self.rng));
        self.send(today, day, lines);
    }

    fn writes(&mut self, day: i64) -> bool {
        let percent = match self.plan.story {
            Story::Steady | Story::New | Story::Heat => 100,
            Story::Silent if day >= DAYS - 9 => 0,
            Story::Sloppy => 75,
            _ => 93,
        };
        self.rng.random_range(0..100) < percent
    }

    /// Cages emptied because they are done, and those filled today.
    fn emptied_and_filled(&mut self, day: i64) -> Vec<String> {
        let mut lines = Vec::new();
        for cage in &mut self.cages {
            let name = format!("C{}", cage.no);
            match cage.run {
                Some(run) if day - run.stocked > run.last_day() => {
                    let word = match self.style {
                        Style::Kiswahili => "ondoa",
                        _ => "retire",
                    };
                    lines.push(format!("{name} {word}"));
                    cage.run = None;
                    cage.in_traps = 0.0;
                    // Three days to wash the net and to gather pupae. The big cage waits, so as to be at its best on the demo's day.
                    cage.fill_on = match (self.plan.story, cage.no) {
                        (Story::Steady, 4) => DAYS - 14,
                        _ => day + self.rng.random_range(2..5),
                    };
                }
                None if day >= cage.fill_on => {
                    let by_weight = self.rng.random_range(0..3) == 0;
                    // 150 mg a pupa.
                    let kilos = f64::from(cage.pupae) * 0.15 / 1_000.0;
                    let amount = match by_weight {
                        true => format!("{kilos:.2}kg"),
                        false => cage.pupae.to_string(),
                    };
                    let kind = if cage.mixed { " mixed" } else { "" };
                    lines.push(format!("{name} stock {amount}{kind}"));
                    cage.run = Some(Run {
                        stocked: day,
                        pupae: cage.pupae,
                        mixed: cage.mixed,
                        vigour: chance_factor(&mut self.rng, 0.12),
                    });
                }
                _ => {}
            }
        }
        lines
    }

    /// Ants now and then; temperatures where there is a thermometer.
    fn seen(&mut self, day: i64) -> Vec<String> {
        let mut lines = Vec::new();
        if self.rng.random_range(0..150) == 0 {
            lines.push("C1 ants".to_owned());
        }
        let heat = self.plan.story == Story::Heat;
        if heat || (self.plan.story == Story::Steady && day % 3 == 0) {
            let (low, high) = match heat && day >= DAYS - 7 {
                true => (27, self.rng.random_range(40..43)),
                false => (self.rng.random_range(19..23), self.rng.random_range(28..33)),
            };
            lines.push(format!("temp {low}-{high}"));
        }
        lines
    }

    fn weighed(&mut self, day: i64) -> Vec<(u8, u32)> {
        let rng = &mut self.rng;
        self.cages
            .iter_mut()
            .filter(|cage| {
                cage.run
                    .is_some_and(|run| day - run.stocked >= run.first_day())
            })
            .map(|cage| {
                let tenths = on_the_scale(cage.in_traps * chance_factor(rng, 0.1));
                cage.in_traps = 0.0;
                (cage.no, tenths)
            })
            .collect()
    }

    fn jobs(&self, day: i64) -> Vec<Job> {
        if self.cages.iter().all(|cage| cage.run.is_none()) {
            return Vec::new();
        }
        let mut jobs = vec![Job::Water];
        let out_of_bait = self.plan.story == Story::NoBait && day >= DAYS - 25;
        if day % 3 == 0 && !out_of_bait {
            jobs.push(Job::Bait);
        }
        if day % 2 == 0 {
            jobs.push(Job::Moat);
        }
        if day % 5 == 0 {
            jobs.push(Job::Swept);
        }
        jobs
    }

    /// Between half past six and half past eight, a few minutes apart.
    fn send(&mut self, today: FarmDay, day: i64, lines: Vec<String>) {
        let date = today - Duration::days(DAYS - day);
        let mut at =
            local_hour(date, 6, ZONE) + Duration::seconds(self.rng.random_range(1_800..9_000));
        for line in lines {
            self.sent.push((at, line));
            at += Duration::seconds(self.rng.random_range(40..200));
        }
    }
}

/// How far trouble lowers what is laid: 1 is not at all.
fn trouble(plan: FarmPlan, day: i64) -> f64 {
    let left = DAYS - day;
    match plan.story {
        Story::NoBait if left <= 22 => 0.25,
        Story::NoBait if left <= 25 => 0.6,
        Story::Heat if left <= 6 => 0.3,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::cast::people;

    fn diary(at: usize, seed: u64) -> Vec<Sent> {
        let today = FarmDay::from_ymd_opt(2026, 3, 10).unwrap();
        write(&people()[at], today, seed, &[1.0; DAYS as usize])
    }

    #[test]
    fn a_diary_is_the_same_each_time_ends_yesterday_and_is_in_order() {
        for at in 0..people().len() {
            let sent = diary(at, 7);
            assert_eq!(sent, diary(at, 7));
            assert!(sent.is_sorted_by_key(|(at, _)| *at));
            if let Some((last, _)) = sent.last() {
                assert!(last.to_rfc3339().as_str() < "2026-03-09T12");
            }
        }
        assert_ne!(diary(0, 7), diary(0, 8));
    }

    #[test]
    fn each_story_is_told() {
        let texts = |at| {
            diary(at, 7)
                .into_iter()
                .map(|(_, text)| text)
                .collect::<Vec<_>>()
        };
        let last = |at| diary(at, 7).last().map(|(at, _)| at.to_rfc3339()).unwrap();
        let steady = texts(0);
        assert!(steady.len() > 90, "{}", steady.len());
        assert!(texts(1).len() < 40 && texts(1)[0].starts_with("C1 stock"));
        let baited = |text: &String| text.contains("bait");
        assert!(texts(2).iter().any(baited) && !texts(2).iter().rev().take(15).any(baited));
        assert!(texts(3).iter().any(|text| text.starts_with("temp 27-4")));
        assert!(last(4).as_str() < "2026-03-01" && last(5).as_str() > "2026-03-01");
        assert!(texts(people().len() - 1).is_empty());
    }
}
