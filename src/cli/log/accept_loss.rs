//! `tellframe log accept-loss [LOG] --reason TEXT`: goes on with a log that contradicts the head beside it.

use super::{actor, files};
use crate::cli::{Answer, Unable, print, print_json};
use host::clock;
use host::data;
use log::Error;
use log::chain::entry::Act;
use log::chain::sign::Key;
use log::store::loss::accept;
use std::path::PathBuf;

/// Arguments of `log accept-loss`.
#[derive(Debug, clap::Args)]
pub(super) struct AcceptLoss {
    /// The log, or `demo` for that of the demo; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Why entries are missing, as where an older backup was restored; it is kept in the log
    #[arg(long, value_name = "TEXT")]
    reason: String,
    /// Your pseudonym in the log
    #[arg(long = "as", value_name = "NAME", default_value = "desk")]
    actor: String,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl AcceptLoss {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let actor = actor("--as", &self.actor)?;
        let reason = self.reason.trim();
        if reason.is_empty() {
            return Err(Unable::new("--reason is empty").help("say why entries are missing"));
        }
        let (path, key) = files(self.log.as_deref(), folder)?;
        let key = Key::read(&key).map_err(Error::Key)?;
        let act = Act { actor, review: None, at: clock::now() };
        let accepted = accept(&path, key, act, reason)?;
        let (entry, lost) = (accepted.entry, accepted.lost);
        if self.json {
            return print_json(&serde_json::json!({
                "entry": entry, "lost_entries": lost.entries, "lost_head": lost.head.to_string(),
            }));
        }
        print(&format!(
            "entry {entry} accepts the loss: the log goes on without the entries up to {} that its head counted",
            lost.entries
        ))
    }
}
