//! The page on which native speakers look over the words, made from the word files.

use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The languages with their names, in the order of the page.
const LANGS: [(&str, &str); 3] = [("sw", "Kiswahili"), ("fr", "French"), ("en", "English")];

const TOP: &str = "\
# Words to look over

Written from `grammar/words/` by `BLESS_WORDS=1 cargo test --test grammar review`; do not edit. Corrections go into those files.

For native speakers. Each row is one meaning with the words that are read as it; the first of a verb is the one that replies use. Are they what a keeper
would write on a phone? What is missing? A word in *slanted* letters is a dictionary word that we chose for this use without a source; one in **heavy** letters is a
phone spelling or our own, and wants confirming most. What stands under *probable* is asked about and never taken for granted. *roles* are what words are beside others, whatever they mean by
themselves; `src/grammar/roles.rs` says what each is for. Words are kept without accents; they are read with and without.

";

/// The page.
pub(crate) fn page(read: impl Fn(&str) -> String) -> String {
    let mut page = String::from(TOP);
    for (code, name) in LANGS {
        let file: toml::Table = read(code).parse().unwrap();
        let words = |path: [&str; 2]| -> Vec<String> {
            file.get(path[0])
                .and_then(|t| t.get(path[1]))
                .and_then(toml::Value::as_array)
                .map(|all| all.iter().map(|w| w.as_str().unwrap().to_owned()).collect())
                .unwrap_or_default()
        };
        let (likely, unsure) = (
            words(["confidence", "likely"]),
            words(["confidence", "unsure"]),
        );
        let shown = |word: &str| {
            if unsure.iter().any(|w| w == word) {
                format!("**{word}**")
            } else if likely.iter().any(|w| w == word) {
                format!("*{word}*")
            } else {
                word.to_owned()
            }
        };
        writeln!(page, "## {name}\n").unwrap();
        for section in ["verbs", "probable", "days", "units", "words", "roles"] {
            writeln!(
                page,
                "### {section}\n\n| meaning | words | right? |\n|---|---|---|"
            )
            .unwrap();
            let table = file.get(section).and_then(toml::Value::as_table).unwrap();
            let rows: BTreeMap<&String, Vec<String>> = table
                .keys()
                .map(|key| (key, words([section, key])))
                .collect();
            for (key, all) in rows
                .iter()
                .filter(|(key, all)| key.as_str() != "plain" && !all.is_empty())
            {
                let all: Vec<String> = all.iter().map(|word| shown(word)).collect();
                writeln!(page, "| {key} | {} | |", all.join(", ")).unwrap();
            }
            page.push('\n');
        }
        let months = file.get("months").and_then(toml::Value::as_array).unwrap();
        let months = months.iter().map(|month| month.as_str().unwrap());
        writeln!(
            page,
            "### months\n\n{}\n",
            months.collect::<Vec<_>>().join(", ")
        )
        .unwrap();
    }
    page.truncate(page.trim_end().len());
    page.push('\n');
    page
}
