//! A founded cooperative in a folder of its own.

use crate::child::{complaint, printed};
use tempfile::{TempDir, tempdir};

/// A founded cooperative: one keeper with a stocked cage and a harvest.
pub(crate) struct Office {
    dir: TempDir,
}

impl Office {
    pub(crate) fn new() -> Self {
        let office = Self {
            dir: tempdir().unwrap(),
        };
        office.does(&[
            "coop",
            "init",
            "--name",
            "Ziwani Fly Growers",
            "--join-code",
            "ziwani",
            "--zone",
            "Africa/Dar_es_Salaam",
            "--wards",
            "Ufukwe,Mlimani",
        ]);
        office
    }

    pub(crate) fn with_a_harvest() -> Self {
        let office = Self::new();
        office.does(&[
            "member",
            "add",
            "--name",
            "Asha",
            "--phone",
            "+255700000301",
        ]);
        office.say("2026-02-18T05:10:00Z", "C4 stock 8000");
        office.say("2026-03-10T05:10:00Z", "C4 4.5");
        office
    }

    pub(crate) fn data(&self) -> String {
        self.path("data")
    }

    pub(crate) fn path(&self, name: &str) -> String {
        self.dir.path().join(name).to_str().unwrap().to_owned()
    }

    pub(crate) fn does(&self, words: &[&str]) -> String {
        let data = self.data();
        printed(&[words, &["--data", &data]].concat())
    }

    pub(crate) fn refuses(&self, words: &[&str]) -> String {
        let data = self.data();
        complaint(&[words, &["--data", &data]].concat())
    }

    pub(crate) fn say(&self, at: &str, text: &str) -> String {
        self.does(&["say", "--from", "+255700000301", "--at", at, text])
    }
}
