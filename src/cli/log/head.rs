//! `tellframe log head [LOG]`: where the log ends now, signed.

use super::files;
use crate::cli::{Answer, Unable, print};
use host::data;
use host::output::{Existing, Output};
use log::Error;
use log::chain::sign::Key;
use log::store::head;
use log::store::reader::Reader;
use std::path::{Path, PathBuf};

/// Arguments of `log head`.
#[derive(Debug, clap::Args)]
pub(super) struct Head {
    /// The log, or `demo` for that of the demo; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Write it to this file; left out: to stdout
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write over FILE if it is there; never over a log, a key, a database or a rule book
    #[arg(long, requires = "out")]
    force: bool,
    /// Accepted for uniformity: a head is JSON already
    #[arg(long)]
    json: bool,
}

impl Head {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let out = self.out.as_ref().map(|out| Output::new(out, Existing::by(self.force)));
        out.as_ref().map_or(Ok(()), Output::check)?;
        let (log, key) = files(self.log.as_deref(), folder)?;
        let reader = Reader::open(&log)?;
        match &out {
            Some(out) => write(&reader, &key, out).map(|()| Answer::Yes),
            None => print(&signed(&reader, &key)?),
        }
    }
}

/// Writes the signed head of `log` to `out`.
pub(super) fn write(log: &Reader, key: &Path, out: &Output) -> Result<(), Unable> {
    let head = signed(log, key)?;
    Ok(out.write_bytes(format!("{head}\n").as_bytes())?)
}

fn signed(log: &Reader, key: &Path) -> Result<String, Unable> {
    let key = Key::read(key).map_err(Error::Key)?;
    Ok(head::Head::of(log, &key)?.to_json())
}
