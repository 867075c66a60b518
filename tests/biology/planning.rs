//! Stockings for a wanted supply: what binds is named.

use crate::near;
use crate::table;
use clutchline::biology::plan::{PlanError, Wanted, plan};
use clutchline::biology::pooling::Priors;
use clutchline::biology::tables::Parameters;
use clutchline::domain::StockKind;

fn wanted(weekly_g: f64) -> Wanted {
    Wanted {
        weekly_g,
        cages: None,
        cage_m3: 1.02,
        weekly_pupae: None,
        kind: StockKind::OneAge,
        warmth: 14.0,
    }
}

#[test]
fn a_plan_gives_what_was_wanted_or_names_what_binds() {
    let p = table();
    let prior = Priors::of_the_table(&p).one_age;
    let steady = plan(&wanted(50.0), &prior, &p).unwrap();
    near(steady.weekly_g, 50.0, 0.1);
    assert!(steady.adults_per_m3 <= p.adults_per_m3 && steady.days_between <= 4);
    // 50 g a week at 3.6 g a thousand pupae, and a little more for the tail of a retired cage.
    let weekly =
        f64::from(steady.pupae_each * steady.cages_at_once) * 7.0 / f64::from(steady.days_between);
    assert!((13_889.0..16_000.0).contains(&weekly), "{weekly}");
    assert_eq!(
        steady.cages,
        steady.cages_at_once * steady.days_each.div_ceil(steady.days_between)
    );
    let few = plan(
        &Wanted {
            cages: Some(2),
            ..wanted(50.0)
        },
        &prior,
        &p,
    );
    assert!(
        matches!(few, Err(PlanError::Cages { there: 2, .. })),
        "{few:?}"
    );
    let scarce = plan(
        &Wanted {
            weekly_pupae: Some(5000.0),
            ..wanted(50.0)
        },
        &prior,
        &p,
    );
    assert!(matches!(scarce, Err(PlanError::Pupae { .. })), "{scarce:?}");
    let barren = Parameters {
        hatch_share: 0.05,
        ..table()
    };
    assert!(matches!(
        plan(&wanted(50.0), &prior, &barren),
        Err(PlanError::HoldBack { .. })
    ));
    assert_eq!(plan(&wanted(f64::NAN), &prior, &p), Err(PlanError::Amount));
    assert_eq!(
        plan(
            &Wanted {
                warmth: 0.0,
                ..wanted(50.0)
            },
            &prior,
            &p
        ),
        Err(PlanError::Place)
    );
}
