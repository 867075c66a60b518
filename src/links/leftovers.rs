//! Files of links that do not run in this process: of one that is no longer in the settings, or of all while a command works on the folder alone.
//!
//! They lose an erased person and what is old as a running link's do. Does not know which links the settings name; whoever calls does.

use crate::counter::Counter;
use crate::counter::beside::Chore;
use crate::domain::message::CoopId;
use crate::links::journal::Journal;
use crate::links::keeping::PATIENCE;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{ErrorKind, Result};
use std::path::{Path, PathBuf};

/// Looks after the files in `dir` of all links but `running`, which do so themselves. A link that `coops` does not name may be any cooperative's.
pub fn look_after(
    counter: &Counter,
    dir: PathBuf,
    running: BTreeSet<String>,
    coops: BTreeMap<String, CoopId>,
) {
    let clock = counter.clock().clone();
    counter.keeps_beside(Box::new(move |chore| {
        let mut gone = 0;
        for link in links_in(&dir)?.difference(&running) {
            let (mut journal, _) = Journal::open(&dir, link, PATIENCE, clock.now())?;
            gone += match chore {
                Chore::Forget(of, phones) if coops.get(link).is_none_or(|coop| coop == of) => {
                    journal.forget(phones)?
                }
                Chore::Forget(..) => 0,
                Chore::Expire { now, before } => journal.expire(*now - PATIENCE, *before)?,
            };
        }
        Ok(gone)
    }));
}

/// Links that have kept something in `dir`.
fn links_in(dir: &Path) -> Result<BTreeSet<String>> {
    let entries = match fs::read_dir(dir) {
        Err(why) if why.kind() == ErrorKind::NotFound => return Ok(BTreeSet::new()),
        entries => entries?,
    };
    let mut links = BTreeSet::new();
    for entry in entries {
        let path = entry?.path();
        if path
            .extension()
            .is_some_and(|end| end == "parts" || end == "raw")
        {
            links.extend(
                path.file_stem()
                    .map(|stem| stem.to_string_lossy().into_owned()),
            );
        }
    }
    Ok(links)
}
