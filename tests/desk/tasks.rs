//! Tasks and warnings as a keeper's days go by.

use crate::village::*;
use clutchline::desk::reply::{Fragment, TaskJob, Warning};
use clutchline::desk::{tasks, warnings};
use clutchline::domain::CareJob;
use clutchline::domain::said::{DaySaid, Fact, Order, Said, Units};
use clutchline::units::Celsius;

/// Jobs with their lateness, in the order of the list.
fn list(village: &Village) -> Vec<(TaskJob, String, u16)> {
    let due = tasks::due(&village.rules(), &village.farm(), village.today());
    due.into_iter()
        .map(|task| {
            let units: Vec<String> = task.units.iter().map(ToString::to_string).collect();
            (task.job, units.join(" "), task.overdue_days)
        })
        .collect()
}

fn warned(village: &Village) -> Vec<Warning> {
    warnings::standing(&village.rules(), &village.farm(), village.today())
}

fn has(village: &Village, job: TaskJob) -> Option<u16> {
    list(village)
        .into_iter()
        .find(|(j, ..)| *j == job)
        .map(|(.., late)| late)
}

#[test]
fn a_cage_stocked_today_asks_for_nothing() {
    let village = Village::with(&[("C4", 0)]);
    assert_eq!(list(&village), []);
    assert_eq!(warned(&village), []);
}

#[test]
fn jobs_come_with_the_cage_s_age() {
    let mut village = Village::with(&[("C4", 0)]);
    let mut seen: Vec<(TaskJob, i32)> = Vec::new();
    for day in 0..=43 {
        for job in [
            TaskJob::Care(CareJob::Moat),
            TaskJob::Care(CareJob::Water),
            TaskJob::FirstEggs,
            TaskJob::CollectEggs,
            TaskJob::Retire,
        ] {
            if has(&village, job) == Some(0) && !seen.iter().any(|(known, _)| *known == job) {
                seen.push((job, day));
            }
        }
        village.days_pass(1);
    }
    // Rules: moat every 2 days, flies from day 5, traps two days before the eggs of day 10, six weeks at most.
    let expected = [
        (TaskJob::Care(CareJob::Moat), 2),
        (TaskJob::Care(CareJob::Water), 5),
        (TaskJob::FirstEggs, 8),
        (TaskJob::CollectEggs, 10),
        (TaskJob::Retire, 42),
    ];
    assert_eq!(seen, expected);
}

#[test]
fn a_job_done_today_is_not_listed_and_grows_louder_after() {
    let mut village = Village::with(&[("C4", 14), ("C5", 14)]);
    let water = TaskJob::Care(CareJob::Water);
    village.keeper(say(&[care(&["C4"], CareJob::Water), eggs("C4", 300)]));
    assert!(!list(&village).contains(&(water, "C4".to_owned(), 0)));
    // C5's water was never reported: asked for beside C4's, and no louder.
    village.days_pass(1);
    assert!(list(&village).contains(&(water, "C4 C5".to_owned(), 0)));
    assert!(list(&village).contains(&(TaskJob::CollectEggs, "C4".to_owned(), 0)));
    assert!(list(&village).contains(&(TaskJob::CollectEggs, "C5".to_owned(), 5)));
    village.days_pass(30);
    assert!(list(&village).iter().all(|(.., late)| *late <= 9));
}

#[test]
fn an_empty_cage_is_to_be_stocked_after_cleaning_and_forgotten_after_a_while() {
    let mut village = Village::with(&[("C4", 30)]);
    village.keeper(say(&[retire("C4")]));
    assert_eq!(list(&village), []);
    village.days_pass(1);
    assert_eq!(has(&village, TaskJob::Restock), Some(0));
    village.days_pass(15);
    assert_eq!(has(&village, TaskJob::Restock), None);
}

#[test]
fn ants_ask_for_the_moat_until_it_is_done() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[care(&["C4"], CareJob::Moat)]));
    village.days_pass(1);
    village.keeper(say(&[ants("C4")]));
    assert_eq!(has(&village, TaskJob::Care(CareJob::Moat)), Some(0));
    assert!(warned(&village).contains(&Warning::Ants(code("C4"))));
    village.keeper(say(&[care(&["C4"], CareJob::Moat)]));
    village.days_pass(1);
    assert_eq!(has(&village, TaskJob::Care(CareJob::Moat)), None);
    assert!(!warned(&village).contains(&Warning::Ants(code("C4"))));
}

#[test]
fn heat_and_cold_warn_at_their_bounds() {
    let air = |min: i16, max: i16| {
        let mut village = Village::with(&[("C4", 14)]);
        village.keeper(say(&[temperature(min, max)]));
        warned(&village)
            .into_iter()
            .find(|w| matches!(w, Warning::Heat(_) | Warning::Cold(_)))
    };
    assert!(matches!(air(220, 380), Some(Warning::Heat(_))));
    assert_eq!(air(130, 379), None);
    assert!(matches!(air(129, 300), Some(Warning::Cold(_))));
}

#[test]
fn silence_missing_eggs_and_eggs_left_in_the_trap_are_warned_of() {
    let mut village = Village::with(&[("C4", 11)]);
    assert!(
        !warned(&village)
            .iter()
            .any(|w| matches!(w, Warning::NoEggs { .. }))
    );
    village.days_pass(1);
    assert!(warned(&village).contains(&Warning::NoEggs {
        unit: code("C4"),
        days: 2
    }));
    village.keeper(say(&[eggs("C4", 300)]));
    assert_eq!(warned(&village), []);
    village.days_pass(2);
    let units = vec![code("C4")];
    assert_eq!(warned(&village), [Warning::NoEntry { days: 2, units }]);
    village.days_pass(1);
    assert!(warned(&village).contains(&Warning::HatchedInTrap {
        unit: code("C4"),
        days: 3
    }));
    // Colder air gives eggs more time: 55 degree-days at 19 C is more than a week (Holmes et al. 2016, from memory: 7.75 days).
    village.keeper(say(&[temperature(150, 230)]));
    assert!(
        !warned(&village)
            .iter()
            .any(|w| matches!(w, Warning::HatchedInTrap { .. }))
    );
}

fn ants(unit: &str) -> Said {
    fact(named(&[unit]), Fact::Ants)
}

/// Tenths of a degree.
pub(crate) fn temperature(min: i16, max: i16) -> Said {
    let celsius = |tenths| Celsius::from_tenths(tenths).unwrap();
    let fact_said = Fact::Temperature {
        min: celsius(min),
        max: celsius(max),
    };
    fact(Units::Unsaid, fact_said)
}

#[test]
fn what_was_never_reported_grows_louder_for_three_days_only() {
    let moat = |days| {
        has(
            &Village::with(&[("C4", days)]),
            TaskJob::Care(CareJob::Moat),
        )
    };
    let seen: Vec<_> = (1..=7).map(moat).collect();
    let expected = [None, Some(0), Some(1), Some(2), Some(3), Some(0), Some(0)];
    assert_eq!(seen, expected);
}

#[test]
fn what_a_keeper_never_reports_is_asked_for_but_not_called_late() {
    let mut village = Village::with(&[("C4", 18), ("C5", 18)]);
    let (water, moat) = (TaskJob::Care(CareJob::Water), TaskJob::Care(CareJob::Moat));
    assert!(list(&village).contains(&(water, "C4 C5".to_owned(), 0)));
    village.keeper(say(&[care(&["C4"], CareJob::Water)]));
    assert!(list(&village).contains(&(water, "C5".to_owned(), 0)));
    assert!(list(&village).contains(&(moat, "C4 C5".to_owned(), 0)));
    // A reply shows the two most urgent; `tasks` shows all.
    let decision = village.keeper(say(&[eggs("C4", 300)]));
    let shown = |fragments: Vec<Fragment>| {
        fragments.into_iter().find_map(|f| match f {
            Fragment::Tasks(tasks) => Some(tasks.len()),
            _ => None,
        })
    };
    assert_eq!(shown(fragments(&decision)), Some(2));
    let decision = village.keeper(order(Order::Tasks));
    assert_eq!(shown(fragments(&decision)), Some(list(&village).len()));
    assert!(list(&village).len() > 3);
}

#[test]
fn a_reply_warns_of_what_its_line_is_about() {
    let mut village = Village::with(&[("C4", 14)]);
    let warnings = |decision| {
        let warning = |f| match f {
            Fragment::Warning(warning) => Some(warning),
            _ => None,
        };
        let all = fragments(&decision).into_iter();
        all.filter_map(warning).collect::<Vec<_>>()
    };
    // Ants after this morning's moat still want an answer; the moat after the ants wants none.
    village.keeper(say(&[eggs("C4", 300), care(&["C4"], CareJob::Moat)]));
    let seen = village.keeper(say(&[ants("C4")]));
    assert_eq!(warnings(seen), [Warning::Ants(code("C4"))]);
    let filled = village.keeper(say(&[care(&["C4"], CareJob::Bait)]));
    assert_eq!(warnings(filled), []);
    // A crowded cage is told of once, not below every line of the day.
    let crowded = village.keeper(say(&[stock("C6", 12_000)]));
    assert_eq!(warnings(crowded), [Warning::Crowded(code("C6"))]);
    assert_eq!(warnings(village.keeper(say(&[stock("C7", 5_000)]))), []);
    // Who writes is not silent, and a cage entered late is not scolded.
    village.days_pass(3);
    let late = on(DaySaid::Back(12), stock("C8", 5_000));
    let late = village.keeper(say(&[late]));
    let overdue = fragments(&late).into_iter().find_map(|f| match f {
        Fragment::Tasks(tasks) => Some(tasks),
        _ => None,
    });
    let overdue = overdue.unwrap_or_default();
    assert!(
        overdue
            .iter()
            .all(|task| task.units != [code("C8")] || task.overdue_days == 0)
    );
    let told = warnings(late);
    assert!(
        !told.iter().any(|w| matches!(w, Warning::NoEntry { .. })),
        "{told:?}"
    );
    assert!(
        !told.iter().any(|w| matches!(w, Warning::NoEggs { .. })),
        "{told:?}"
    );
}

#[test]
fn ants_go_with_their_run() {
    let mut village = Village::with(&[("C4", 30)]);
    village.keeper(say(&[ants("C4")]));
    assert_eq!(has(&village, TaskJob::Care(CareJob::Moat)), Some(0));
    village.days_pass(1);
    village.keeper(say(&[retire("C4")]));
    village.days_pass(1);
    village.keeper(say(&[stock("C4", 5_000)]));
    assert_eq!(list(&village), []);
    assert!(!warned(&village).contains(&Warning::Ants(code("C4"))));
}
