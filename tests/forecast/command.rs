//! The command itself, on files as other people write them.

use crate::simulator::SimFarm;
use crate::simulator::VARIANTS;
use crate::simulator::farm;
use chrono::{Days, NaiveDate};
use clutchline::domain::StockKind;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::process::{Command, Output};

struct Files {
    _folder: tempfile::TempDir,
    cages: PathBuf,
    harvests: PathBuf,
    weather: PathBuf,
}

/// The farm as three texts; the last cage still runs.
fn texts(sim: &SimFarm) -> [String; 3] {
    let mut cages = String::from("cage,stocked_on,pupae,stock_kind,retired_on\n");
    let mut harvests = String::from("cage,date,grams\n");
    for (cage, number) in sim.cages.iter().zip(1..) {
        let kind = match cage.kind {
            StockKind::OneAge => "one-age",
            StockKind::Mixed => "mixed",
        };
        let retired = if number == sim.cages.len() {
            String::new()
        } else {
            cage.retired_on.to_string()
        };
        writeln!(
            cages,
            "C{number},{},{},{kind},{retired}",
            cage.stocked_on, cage.pupae
        )
        .unwrap();
        for (day, grams) in &cage.harvests {
            let date = cage.stocked_on + Days::new(u64::from(*day));
            writeln!(harvests, "C{number},{date},{grams:.1}").unwrap();
        }
    }
    let mut weather = String::from("date,tmin_c,tmax_c\n");
    for (day, low, high) in &sim.weather {
        writeln!(weather, "{day},{low:.1},{high:.1}").unwrap();
    }
    [cages, harvests, weather]
}

fn save(texts: [String; 3]) -> Files {
    let folder = tempfile::tempdir().unwrap();
    let [cages, harvests, weather] =
        ["cages.csv", "harvests.csv", "weather.csv"].map(|name| folder.path().join(name));
    for (path, text) in [&cages, &harvests, &weather].into_iter().zip(texts) {
        std::fs::write(path, text).unwrap();
    }
    Files {
        _folder: folder,
        cages,
        harvests,
        weather,
    }
}

fn forecast(files: &Files, as_of: NaiveDate, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_clutchline"));
    command
        .arg("forecast")
        .arg("--cages")
        .arg(&files.cages)
        .arg("--harvests")
        .arg(&files.harvests);
    command
        .arg("--as-of")
        .arg(as_of.to_string())
        .args(more)
        .output()
        .unwrap()
}

fn with_weather(files: &Files, as_of: NaiveDate) -> String {
    let weather = files.weather.to_str().unwrap().to_owned();
    let output = forecast(files, as_of, &["--weather", &weather, "--days", "7"]);
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

fn a_farm() -> (SimFarm, NaiveDate) {
    let sim = farm(7, 8, 1, &VARIANTS[0]);
    let as_of = sim.cages[8].stocked_on + Days::new(13);
    (sim, as_of)
}

#[test]
fn rows_run_from_the_day_after_to_the_total() {
    let (sim, as_of) = a_farm();
    let printed = with_weather(&save(texts(&sim)), as_of);
    let lines: Vec<&str> = printed.lines().collect();
    assert_eq!(lines[0], "cage,date,expected_g,low_g,high_g");
    assert_eq!(lines.len(), 9);
    for (line, ahead) in lines[1..8].iter().zip(1..) {
        assert!(
            line.starts_with(&format!("C9,{},", as_of + Days::new(ahead))),
            "{line}"
        );
    }
    let total: Vec<f64> = lines[8]
        .strip_prefix("C9,total,")
        .unwrap()
        .split(',')
        .map(|it| it.parse().unwrap())
        .collect();
    assert!(total[1] < total[0] && total[0] < total[2], "{total:?}");
}

#[test]
fn order_quotes_line_ends_and_marks_change_nothing() {
    let (sim, as_of) = a_farm();
    let plain = texts(&sim);
    let odd = plain.clone().map(|text| {
        let mut lines: Vec<String> = text
            .lines()
            .map(|line| {
                line.split(',')
                    .map(|field| format!("\"{field}\""))
                    .collect::<Vec<_>>()
                    .join(",")
            })
            .collect();
        lines[1..].reverse();
        format!("\u{feff}{}\r\n\r\n", lines.join("\r\n"))
    });
    assert_eq!(
        with_weather(&save(odd), as_of),
        with_weather(&save(plain), as_of)
    );
}

#[test]
fn what_lies_after_the_day_is_not_used() {
    let (sim, as_of) = a_farm();
    let mut cut = texts(&sim);
    cut[1] = cut[1]
        .lines()
        .filter(|line| {
            line.split(',')
                .nth(1)
                .unwrap()
                .parse::<NaiveDate>()
                .map_or(true, |day| day <= as_of)
        })
        .fold(String::new(), |text, line| text + line + "\n");
    assert_eq!(
        with_weather(&save(cut), as_of),
        with_weather(&save(texts(&sim)), as_of)
    );
}

#[test]
fn without_weather_or_harvests_there_is_still_a_range() {
    let (sim, as_of) = a_farm();
    let mut files = texts(&sim);
    files[1] = "cage,date,grams\n".to_owned();
    let output = forecast(&save(files), as_of, &[]);
    let printed = String::from_utf8(output.stdout).unwrap();
    let total = printed
        .lines()
        .last()
        .unwrap()
        .strip_prefix("C9,total,")
        .unwrap();
    let fields: Vec<f64> = total.split(',').map(|it| it.parse().unwrap()).collect();
    assert!(
        fields[2] > 2.0 * fields[1],
        "a cage nobody has harvested is a wide guess: {total}"
    );
}

#[test]
fn the_drawing_has_a_band_and_a_bar_for_each_harvest() {
    let (sim, as_of) = a_farm();
    let files = save(texts(&sim));
    let svg = files.cages.with_file_name("out.svg");
    assert!(
        forecast(&files, as_of, &["--svg", svg.to_str().unwrap()])
            .status
            .success()
    );
    let drawn = std::fs::read_to_string(svg).unwrap();
    let taken = sim.cages[8]
        .harvests
        .iter()
        .filter(|(day, _)| *day <= 13)
        .count();
    assert_eq!(
        drawn.matches("fill=\"none\" stroke=\"black\"/>").count(),
        taken + 1
    ); // The axes are the other one.
    assert_eq!(drawn.matches("<polygon").count(), 1);
    assert!(drawn.contains(">C9</text>") && drawn.trim_end().ends_with("</svg>"));
}

#[test]
fn a_plan_is_printed_or_what_binds_is_named() {
    let plan = |arguments: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_clutchline"))
            .arg("plan")
            .args(arguments)
            .output()
            .unwrap()
    };
    let good = plan(&["50", "--temp", "20-30"]);
    let printed = String::from_utf8(good.stdout).unwrap();
    assert!(
        good.status.success() && printed.starts_with("what,value,unit\npupae_per_stocking,"),
        "{printed}"
    );
    let few = plan(&["50", "--cages", "2"]);
    assert!(!few.status.success() && few.stdout.is_empty());
    assert!(
        String::from_utf8(few.stderr)
            .unwrap()
            .contains("(cages bind)")
    );
}

/// The refusal of a file with one wrong row.
fn refusal(change: impl Fn(&mut [String; 3])) -> String {
    let mut files = [
        "cage,stocked_on,pupae,stock_kind,retired_on\nC1,2026-03-01,4000,mixed,\n".to_owned(),
        "cage,date,grams\nC1,2026-03-09,4\nC1,2026-03-10,5\n".to_owned(),
        "date,tmin_c,tmax_c\n2026-03-01,20,31\n".to_owned(),
    ];
    change(&mut files);
    let files = save(files);
    let weather = files.weather.to_str().unwrap().to_owned();
    let output = forecast(
        &files,
        NaiveDate::from_ymd_opt(2026, 3, 10).unwrap(),
        &["--weather", &weather],
    );
    assert!(!output.status.success() && output.stdout.is_empty());
    let said = String::from_utf8(output.stderr).unwrap();
    said[said.rfind('/').map_or(0, |at| at + 1)..]
        .trim()
        .to_owned()
}

#[test]
fn a_wrong_row_is_named_with_what_was_expected() {
    let replace = |file: usize, from: &'static str, to: &'static str| {
        refusal(move |files| files[file] = files[file].replace(from, to))
    };
    assert_eq!(
        replace(0, "4000", "4,000.5"),
        "cages.csv, line 2, column retired_on: 6 fields where the first line has 5; put a field that holds a comma in quotes"
    );
    assert_eq!(
        replace(0, "4000", "0"),
        "cages.csv, line 2, column pupae: expected a whole number from 1 to 1000000, found `0`"
    );
    assert_eq!(
        replace(0, "mixed", "both"),
        "cages.csv, line 2, column stock_kind: expected one-age or mixed, found `both`"
    );
    assert_eq!(
        replace(1, "C1,2026-03-10", "C2,2026-03-10"),
        "harvests.csv, line 3, column cage: no cage `C2` in the cages file; add its row there first"
    );
    assert_eq!(
        replace(1, "2026-03-10", "10.3.2026"),
        "harvests.csv, line 3, column date: expected a date such as 2026-03-10, found `10.3.2026`"
    );
    assert_eq!(
        replace(1, ",5", ",five"),
        "harvests.csv, line 3, column grams: expected a number such as 12.5, found `five`"
    );
    assert_eq!(
        replace(1, ",5", ",5000"),
        "harvests.csv, line 3, column grams: expected grams of eggs from 0 to 130 for this cage, found `5000`"
    );
    assert_eq!(
        replace(1, "2026-03-10", "2026-02-27"),
        "harvests.csv, line 3, column date: cage C1 was not stocked on 2026-02-27; expected a day between its stocked_on and retired_on"
    );
    assert_eq!(
        replace(2, "20,31", "31,20"),
        "weather.csv, line 2, column tmin_c: the lowest temperature, 31, is above the highest, 20; are they swapped?"
    );
    assert_eq!(
        replace(1, "grams", "weight"),
        "harvests.csv: no column `grams` in its first line; expected cage,date,grams, found cage,date,weight"
    );
}

#[test]
fn one_cage_cannot_run_twice_at_a_time() {
    let said = refusal(|files| files[0].push_str("C1,2026-03-05,4000,mixed,\n"));
    assert!(
        said.starts_with(
            "cages.csv, line 3, column stocked_on: cage C1 is stocked again on 2026-03-05"
        ),
        "{said}"
    );
}
