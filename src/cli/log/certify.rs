//! `tellframe log certify RULING [LOG]`: one signed file that says how a ruling came about.

use super::files;
use crate::cli::{Answer, Unable, print, print_json};
use audit::certificate::certificate;
use host::data;
use host::output::{Existing, Output};
use log::Error;
use log::chain::label::ReviewId;
use log::chain::sign::Key;
use log::store::reader::Reader;
use std::path::PathBuf;

/// Arguments of `log certify`.
#[derive(Debug, clap::Args)]
pub(super) struct Certify {
    /// The review that was ruled; `tellframe log show` lists them
    #[arg(value_name = "RULING")]
    ruling: String,
    /// The log, or `demo` for that of the demo; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Write it to this file; left out: to stdout
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write over FILE if it is there; never over a log, a key, a database or a rule book
    #[arg(long, requires = "out")]
    force: bool,
    /// With --out, say as JSON what was written; without it the certificate is JSON already
    #[arg(long)]
    json: bool,
}

impl Certify {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let out = self.out.as_ref().map(|out| Output::new(out, Existing::by(self.force)));
        out.as_ref().map_or(Ok(()), Output::check)?;
        let (log, key) = files(self.log.as_deref(), folder)?;
        let reader = Reader::open(&log)?;
        let key = Key::read(&key).map_err(Error::Key)?;
        let id = ReviewId::new(&*self.ruling).map_err(Error::from)?;
        let certificate = certificate(&reader, &key, &id)?;
        let Some(out) = out else { return print(&certificate) };
        out.write_bytes(format!("{certificate}\n").as_bytes())?;
        if self.json {
            return print_json(&serde_json::json!({"review": id.as_str(), "out": self.out}));
        }
        print(&format!("{} certified by {} in {}", id, key.id(), out.path().display()))
    }
}
