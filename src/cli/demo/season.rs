//! The demo's season: a log of its own beside the demo's, with the editions that it was played under.
//!
//! Running it again adds nothing, and completes a log whose making was stopped.

use crate::cli::Unable;
use host::clock;
use host::data;
use log::Error;
use log::chain::entry::{Act, NewEntry};
use log::chain::hash::Hash;
use log::chain::label::{Actor, CommandId};
use log::exchange::import::import;
use log::exchange::jsonl::Line;
use log::exchange::records;
use log::store::log::Log;
use season::{Plants, Season, season};
use std::collections::BTreeSet;

/// The season is the same on every machine.
const SEED: u64 = 1;

/// Makes the season's log where there is none.
pub(super) fn make(folder: &data::Folder) -> Result<(), Unable> {
    let place = folder.season()?;
    let actor = Actor::new("season").map_err(Error::from)?;
    let act = Act { actor, review: None, at: clock::now() };
    let mut log = super::opened(&place, act.clone())?;
    super::precedents::make(&mut log)?;
    if !records::imported(log.reader())?.is_empty() {
        return Ok(());
    }
    let Season { records, rules, .. } = season(SEED, Plants::All);
    for rules in &rules {
        if log.reader().edition(&rules.hash())?.is_none() {
            store(
                &mut log,
                rules.hash(),
                NewEntry::edition_stored(act.clone(), rules).map_err(Error::from)?,
            )?;
        }
    }
    let line = |(number, record)| {
        let written = serde_json::to_value(&record).map_err(|error| Unable::new(error.to_string()))?;
        Ok(Line { number: number + 1, record, written })
    };
    let lines: Vec<Line> = records.into_iter().enumerate().map(line).collect::<Result<_, Unable>>()?;
    import(&mut log, &act, &BTreeSet::new(), &lines)?;
    Ok(())
}

fn store(log: &mut Log, edition: Hash, entry: NewEntry) -> Result<(), Unable> {
    let head = log.reader().tip()?.head;
    let command = CommandId::new(format!("edition {edition}")).map_err(Error::from)?;
    log.append(head, &command, &[entry])?;
    Ok(())
}
