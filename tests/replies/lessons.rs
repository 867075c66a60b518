//! Every lesson in every language, as the phone shows it; and with the longest job that may stand above it.
//!
//! `BLESS_LESSONS=1 cargo test --test replies lessons` writes `grammar/cases/lessons.txt` anew; read what changes.

use clutchline::desk::reply::{Fragment, Reply, Task, TaskJob};
use clutchline::domain::CareJob;
use clutchline::domain::code::UnitCode;
use clutchline::domain::topic::Topic;
use clutchline::units::septets::septets;

use crate::BOOK;
use crate::generated::today;

fn text(lang: clutchline::domain::lang::Lang, fragments: Vec<Fragment>) -> String {
    BOOK.render(&Reply {
        lang,
        today: today(),
        fragments,
    })
}

fn lesson(topic: Topic, letters: &str, number: u16) -> Fragment {
    Fragment::Lesson {
        topic,
        unit: UnitCode::new(letters, number),
    }
}

#[test]
fn lessons_read_as_their_golden_file_says() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/grammar/cases/lessons.txt");
    let water = Fragment::Tasks(vec![Task {
        job: TaskJob::Care(CareJob::Water),
        units: vec![UnitCode::new("C", 4).unwrap()],
        overdue_days: 1,
    }]);
    let mut shown = String::from(
        "# Every lesson below a job, in every language; written by BLESS_LESSONS=1.\n",
    );
    for lang in BOOK.langs() {
        for topic in Topic::ALL {
            let line = text(lang, vec![water.clone(), lesson(topic, "C", 4)]);
            shown.push_str(&format!("{lang} {}: {line}\n", topic.key()));
        }
    }
    if std::env::var_os("BLESS_LESSONS").is_some() {
        std::fs::write(path, &shown).unwrap();
    }
    assert_eq!(std::fs::read_to_string(path).unwrap(), shown);
}

/// The whole lesson fits one part below a job, however many cages the job names and however late it is.
#[test]
fn lessons_fit_below_the_longest_job() {
    let jobs = [
        TaskJob::CollectEggs,
        TaskJob::FirstEggs,
        TaskJob::Retire,
        TaskJob::Restock,
    ]
    .into_iter()
    .chain(CareJob::ALL.into_iter().map(TaskJob::Care));
    // No two of them make a run.
    let units: Vec<UnitCode> = (0..40)
        .filter_map(|n| UnitCode::new("AB", 901 + 2 * n))
        .collect();
    for job in jobs {
        for overdue_days in [0, 1, 8, 9] {
            let task = Fragment::Tasks(vec![Task {
                job,
                units: units.clone(),
                overdue_days,
            }]);
            for lang in BOOK.langs() {
                for topic in Topic::ALL {
                    let alone = text(lang, vec![lesson(topic, "AB", 999)]);
                    let both = text(lang, vec![task.clone(), lesson(topic, "AB", 999)]);
                    assert!(septets(&both).is_some_and(|n| n <= 160), "{lang} {both}");
                    assert!(both.ends_with(&alone), "{lang} {topic:?}: {both}");
                }
            }
        }
    }
}
