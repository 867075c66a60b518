//! Every rule of the house bites: a file that breaks it is complained of, one that does not is not.

use super::*;

/// What `rule` says of a file with this text, which gets a head if it has none.
fn bite(rule: Rule, path: &str, text: &str) -> String {
    let floors =
        read_floors("// Floor 0: a\npub mod units;\n// Floor 6: b\nmod clock;\nmod store;\n");
    rule(&floors, &Page { path, text }).join("\n")
}

#[test]
fn upward_and_sideways_imports_are_found() {
    assert_eq!(
        bite(
            imports_go_down,
            "units/mass.rs",
            "//! M.\nuse crate::store::Store;"
        ),
        "units/mass.rs:2: units (floor 0) may not use store (floor 6)"
    );
    assert_eq!(
        bite(imports_go_down, "store.rs", "fn f() -> crate::clock::Clock"),
        "store.rs:1: store (floor 6) may not use clock (floor 6)"
    );
    assert_eq!(
        bite(imports_go_down, "store.rs", "use crate::units::Grams;"),
        ""
    );
    assert_eq!(
        bite(imports_go_down, "store/row.rs", "use crate::store::Store;"),
        ""
    );
    assert_eq!(
        bite(imports_go_down, "units.rs", "// crate::store is far above"),
        ""
    );
    assert_eq!(
        bite(imports_go_down, "main.rs", "use crate::store::Store;"),
        ""
    );
}

#[test]
fn the_world_is_kept_out_of_pure_rooms() {
    for word in WORLDLY {
        let line = format!("let x = {word};");
        assert!(
            bite(pure_rooms_stay_pure, "units/a.rs", &line).contains("pure"),
            "{word}"
        );
        assert_eq!(bite(pure_rooms_stay_pure, "store.rs", &line), "", "{word}");
    }
}

#[test]
fn the_clock_is_read_in_one_file() {
    for read in CLOCK_READS {
        let line = format!("let now = {read}();");
        assert!(bite(time_is_an_argument, "store/clock.rs", &line).contains("argument"));
        assert_eq!(bite(time_is_an_argument, CLOCK, &line), "");
    }
}

#[test]
fn paths_say_where_they_point() {
    assert!(
        bite(one_path_per_use, "store.rs", "use crate::{units, clock};").contains("whole path")
    );
    assert!(
        bite(one_path_per_use, "store/a.rs", "use super::super::units;").contains("whole path")
    );
    assert!(bite(one_path_per_use, "store.rs", "use super::units::Grams;").contains("crate root"));
    assert_eq!(bite(one_path_per_use, "store.rs", "    use super::*;"), "");
    assert_eq!(
        bite(one_path_per_use, "store/a.rs", "use super::row::Row;"),
        ""
    );
}

#[test]
fn heads_lengths_names_and_leftovers_are_looked_at() {
    assert!(bite(files_have_a_head, "store.rs", "// plain").contains("begin with"));
    assert_eq!(bite(files_have_a_head, "store.rs", "//! Rows."), "");
    assert!(bite(files_are_short, "store.rs", &"x\n".repeat(LINES_MAX + 1)).contains("401 lines"));
    assert_eq!(
        bite(files_are_short, "store.rs", &"x\n".repeat(LINES_MAX)),
        ""
    );
    let names: Rule = files_are_named_after_what_they_hold;
    assert!(bite(names, "store/utils.rs", "").contains("junk drawer"));
    assert!(bite(names, "store/mod.rs", "").contains("junk drawer"));
    assert_eq!(bite(names, "store/codec.rs", ""), "");
    for word in LEFTOVERS.iter().chain(FOREIGN) {
        let text = format!("// {word}");
        assert!(
            bite(nothing_is_left_over, "store.rs", &text).contains(word),
            "{word}"
        );
    }
    assert_eq!(bite(nothing_is_left_over, "store.rs", "// fine"), "");
}
