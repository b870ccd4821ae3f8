//! `tellframe log import [LOG] FILE…`: takes over records of other logs, all or none.

use super::{actor, files};
use crate::cli::{Answer, Unable, print, print_json};
use host::clock;
use host::data;
use log::Error;
use log::chain::entry::Act;
use log::chain::sign::Key;
use log::exchange::import::import;
use log::exchange::jsonl;
use log::exchange::jsonl::Line;
use log::exchange::records;
use log::store::log::Log;
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

/// Arguments of `log import`.
#[derive(Debug, clap::Args)]
pub(super) struct Import {
    /// Files of records, as JSON Lines; a first one that ends in .sqlite is the LOG to import into
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// The log to import into; left out: your own, which is made if there is none
    #[arg(long, value_name = "LOG")]
    log: Option<PathBuf>,
    /// Your pseudonym in the log
    #[arg(long = "as", value_name = "NAME", default_value = "desk")]
    actor: String,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Import {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (log, from) = self.parts();
        if from.is_empty() {
            return Err(Unable::new("there is no file of records to import").help("name one after the log"));
        }
        let actor = actor("--as", &self.actor)?;
        let act = Act { actor, review: None, at: clock::now() };
        let lines = read(from)?;
        let mut log = self.opened(log, folder, &act)?;
        let own = records::own_ids(log.reader())?;
        let imported = import(&mut log, &act, &own, &lines)?;
        if self.json {
            return print_json(&serde_json::json!({
                "added": imported.added, "skipped": imported.skipped, "head": imported.head.to_string(),
            }));
        }
        print(&format!("{} records added, {} known already", imported.added, imported.skipped))
    }

    /// The log, where one is named, and the files of records.
    fn parts(&self) -> (Option<&Path>, &[PathBuf]) {
        match (&self.log, self.files.split_first()) {
            (Some(log), _) => (Some(log), &self.files),
            (None, Some((first, rest))) if first.extension().is_some_and(|ending| ending == "sqlite") => {
                (Some(first), rest)
            }
            (None, _) => (None, &self.files),
        }
    }

    fn opened(&self, named: Option<&Path>, folder: &data::Folder, act: &Act) -> Result<Log, Unable> {
        let (path, key) = files(named, folder)?;
        let opened = if path.exists() || named.is_some() {
            Key::read(&key).map_err(Error::Key).and_then(|key| Log::open(&path, key))
        } else {
            folder.user()?.make()?;
            let key = if key.exists() { Key::read(&key) } else { Key::create(&key) };
            key.map_err(Error::Key).and_then(|key| Log::create(&path, key, act.clone()))
        };
        Ok(opened?)
    }
}

/// All records of all files, or everything that is wrong with them.
fn read(files: &[PathBuf]) -> Result<Vec<Line>, Unable> {
    let (mut lines, mut faults) = (Vec::new(), Vec::new());
    for path in files {
        let file = File::open(path).map_err(|error| Unable::unreadable(path, &error))?;
        match jsonl::read(&path.display().to_string(), BufReader::new(file)) {
            Ok(read) => lines.extend(read),
            Err(jsonl::Error::Lines(found)) => faults.extend(found.iter().map(ToString::to_string)),
            Err(jsonl::Error::Read { file, source }) => {
                return Err(Unable::new(format!("cannot read {file}: {source}")));
            }
        }
    }
    if faults.is_empty() {
        return Ok(lines);
    }
    Err(Unable::new(faults.join("\n"))
        .help("nothing was imported; `tellframe schema record` says what a record is"))
}
