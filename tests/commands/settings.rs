//! The settings file, and links in it.

use crate::child::{clutchline, complaint, printed};
use tempfile::tempdir;

#[test]
fn links_are_written_into_the_settings_and_secrets_are_shown_once() {
    let dir = tempdir().unwrap();
    let config = dir.path().join("clutchline.toml");
    std::fs::write(
        &config,
        "# ours\n[server]\nlisten = \"127.0.0.1:0\" # any\n",
    )
    .unwrap();
    let place = config.to_str().unwrap();
    let told = printed(&[
        "link",
        "add",
        "north",
        "--config",
        place,
        "--country",
        "255",
    ]);
    let text = std::fs::read_to_string(&config).unwrap();
    assert!(
        text.starts_with("# ours\n") && text.contains("# any"),
        "{text}"
    );
    let parsed: toml::Table = text.parse().unwrap();
    let secret = parsed["links"]["north"]["secret"]
        .as_str()
        .unwrap()
        .to_owned();
    assert!(told.contains(&secret) && secret.len() >= 16);
    assert!(complaint(&["link", "add", "north", "--config", place]).contains("north"));
    assert!(complaint(&["link", "add", "North Star", "--config", place]).contains("small letters"));
    let told = printed(&["link", "secret", "north", "--config", place]);
    let text = std::fs::read_to_string(&config).unwrap();
    assert!(!text.contains(&secret) && !told.contains(&secret));
    let shown = printed(&["serve", "--print-config", "--config", place]);
    let parsed: toml::Table = shown.parse().unwrap();
    assert_eq!(parsed["links"]["north"]["secret"].as_str(), Some("***"));
    assert_eq!(parsed["links"]["north"]["country"].as_str(), Some("255"));
}

#[test]
fn settings_that_are_wrong_are_refused_with_what_was_meant() {
    let dir = tempdir().unwrap();
    let config = dir.path().join("clutchline.toml");
    std::fs::write(&config, "[server]\nlisen = \"127.0.0.1:0\"\n").unwrap();
    let place = config.to_str().unwrap();
    assert!(complaint(&["serve", "--config", place]).contains("did you mean `server.listen`?"));
    let output = clutchline()
        .args(["serve", "--print-config"])
        .env("CLUTCHLINE_SERVER__WORKERS", "3")
        .output()
        .unwrap();
    let shown: toml::Table = String::from_utf8(output.stdout).unwrap().parse().unwrap();
    assert_eq!(shown["server"]["workers"].as_integer(), Some(3));
    let missing = dir.path().join("none.toml");
    assert!(complaint(&["serve", "--config", missing.to_str().unwrap()]).contains("none.toml"));
}
