//! `tellframe log verify [LOG]`: is the log what was written?

use super::files;
use crate::cli::{Answer, Unable, input, print, print_json};
use host::data;
use log::Error;
use log::chain::sign::PublicKey;
use log::store::head::Head;
use log::store::unverified::Unverified;
use log::store::verify::{HeadBeside, Trust, Verdict, Verified, verify};
use std::path::PathBuf;

/// Arguments of `log verify`.
#[derive(Debug, clap::Args)]
pub(super) struct Verify {
    /// The log, or `demo` for that of the demo; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// An exported head: also shows whether the newest entries were cut off
    #[arg(long, value_name = "FILE")]
    head: Option<PathBuf>,
    /// A key that you trust, as 64 hex digits; left out: the keys that the log itself vouches for
    #[arg(long, value_name = "KEY")]
    trust: Vec<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Verify {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (path, _) = files(self.log.as_deref(), folder)?;
        let (trust, head) = (self.trust()?, self.head()?);
        let log = match Unverified::open(&path) {
            // Acts may be lost, which is what verifying has to find out.
            Err(error @ (Error::Tables { .. } | Error::WriteAhead { .. })) => return self.lossy(&error),
            opened => opened?,
        };
        match verify(&log, &trust, head.as_ref()) {
            Err(error @ (Error::Tables { .. } | Error::WriteAhead { .. })) => self.lossy(&error),
            Ok(Verdict::Whole(verified)) => self.whole(&verified),
            Ok(Verdict::Broken(broken)) => self.broken(Some(broken.seq), &broken.to_string()),
            // The file is a log, but part of it is no longer a valid database.
            Err(Error::Damaged { detail, .. }) => {
                self.broken(None, &format!("the file is damaged: {detail}"))
            }
            Err(error) => Err(error.into()),
        }
    }

    fn trust(&self) -> Result<Trust, Unable> {
        if self.trust.is_empty() {
            return Ok(Trust::OwnKeys);
        }
        let key = |text: &String| {
            text.parse::<PublicKey>().map_err(|error| Unable::new(format!("--trust: {error}")))
        };
        self.trust.iter().map(key).collect::<Result<_, _>>().map(Trust::Only)
    }

    fn head(&self) -> Result<Option<Head>, Unable> {
        let Some(path) = &self.head else { return Ok(None) };
        let read = Head::parse(&input::text(path)?);
        read.map(Some).map_err(|error| Unable::in_file(path, error))
    }

    fn whole(&self, verified: &Verified) -> Result<Answer, Unable> {
        let keys: Vec<String> = verified.keys.iter().map(PublicKey::to_string).collect();
        let (kept, fault) = match &verified.kept {
            HeadBeside::Nothing => (None, None),
            HeadBeside::Void(because) => (None, Some(because)),
            HeadBeside::Agrees { entries } => (Some(*entries), None),
        };
        if self.json {
            return print_json(&serde_json::json!({
                "whole": true, "log": verified.log.to_string(), "entries": verified.tip.entries,
                "head": verified.tip.head.to_string(), "keys": keys, "editions": verified.editions,
                "texts": verified.blobs, "erased": verified.erased, "imported": verified.imported,
                "newer": verified.newer, "discretions": verified.discretions, "precedents": verified.precedents,
                "losses": verified.losses, "kept_head": kept, "kept_head_fault": fault,
            }));
        }
        let Verified { tip, editions, blobs, erased, imported, newer, discretions, precedents, .. } =
            verified;
        print(&format!("whole: {} entries, head {}", tip.entries, tip.head))?;
        print(&format!(
            "{editions} editions, {blobs} texts and stills, {erased} erased, {imported} imported records"
        ))?;
        if *discretions > 0 {
            print(&format!("{discretions} rulings of the referee's own, {precedents} precedents"))?;
        }
        if *newer > 0 {
            print(&format!("{newer} entries of a newer tellframe: intact, not read"))?;
        }
        for entry in &verified.losses {
            print(&format!("entries were lost before entry {entry}, which accepts the loss"))?;
        }
        for key in keys {
            print(&format!("signed by {key}"))?;
        }
        print(&match (kept, fault) {
            (Some(entries), _) => format!("it agrees with the head kept beside it: {entries} entries"),
            (None, Some(because)) => format!("the head kept beside it is ignored: {because}"),
            (None, None) => "no head is kept beside it: missing newest entries would go unnoticed".to_owned(),
        })?;
        Ok(Answer::Yes)
    }

    /// A log that is intact where it can be read, but may have lost acts.
    fn lossy(&self, error: &Error) -> Result<Answer, Unable> {
        let answer = self.broken(None, &error.to_string());
        if let Some(help) = error.help() {
            eprintln!("help: {help}");
        }
        answer
    }

    fn broken(&self, entry: Option<u64>, fault: &str) -> Result<Answer, Unable> {
        if self.json {
            print_json(&serde_json::json!({"whole": false, "entry": entry, "fault": fault}))?;
        } else {
            print(&format!("broken: {fault}"))?;
        }
        Ok(Answer::No)
    }
}
