//! `tellframe log certify RULING [LOG]`: one signed file that says how a ruling came about.

use super::Written;
use crate::cli::{Answer, Unable, print, print_json, put};
use audit::certificate::certificate;
use host::data;
use log::Error;
use log::chain::label::ReviewId;
use log::chain::sign::Key;

/// Arguments of `log certify`.
#[derive(Debug, clap::Args)]
pub(super) struct Certify {
    /// The review that was ruled; `tellframe log show` lists them
    #[arg(value_name = "RULING")]
    ruling: String,
    #[command(flatten)]
    written: Written,
    /// With --out, say as JSON what was written; without it the certificate is JSON already
    #[arg(long)]
    json: bool,
}

impl Certify {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (reader, key, out) = self.written.open(folder)?;
        let key = Key::read(&key).map_err(Error::Key)?;
        let id = ReviewId::new(&*self.ruling).map_err(Error::from)?;
        let certificate = certificate(&reader, &key, &id)?;
        let Some(out) = out else { return put(&certificate) };
        out.write_bytes(format!("{certificate}\n").as_bytes())?;
        if self.json {
            return print_json(&serde_json::json!({"review": id.as_str(), "out": self.written.out}));
        }
        print(&format!("{} certified by {} in {}", id, key.id(), out.path().display()))
    }
}
