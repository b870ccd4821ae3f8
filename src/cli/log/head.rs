//! `tellframe log head [LOG]`: where the log ends now, signed.

use super::Written;
use crate::cli::{Answer, Unable, put};
use host::data;
use host::output::Output;
use log::Error;
use log::chain::sign::Key;
use log::store::reader::Reader;
use std::path::Path;

/// Arguments of `log head`.
#[derive(Debug, clap::Args)]
pub(super) struct Head {
    #[command(flatten)]
    written: Written,
    /// Accepted for uniformity: a head is JSON already
    #[arg(long)]
    json: bool,
}

impl Head {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (reader, key, out) = self.written.open(folder)?;
        match &out {
            Some(out) => write(&reader, &key, out).map(|()| Answer::Yes),
            None => put(&signed(&reader, &key)?),
        }
    }
}

pub(super) fn write(log: &Reader, key: &Path, out: &Output) -> Result<(), Unable> {
    let head = signed(log, key)?;
    Ok(out.write_bytes(format!("{head}\n").as_bytes())?)
}

fn signed(log: &Reader, key: &Path) -> Result<String, Unable> {
    let key = Key::read(key).map_err(Error::Key)?;
    Ok(log.head(&key)?.to_json())
}
