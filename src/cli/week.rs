//! `tellframe week [LOG…]`: the supervisor's window.

use super::{Answer, Unable, log, no_window};
use desk::{Named, Weekly, Window};
use host::data;
use std::path::{Path, PathBuf};

/// Arguments of `week`.
#[derive(Debug, clap::Args)]
pub(super) struct OpenWeek {
    /// Logs, or JSON Lines of records; `demo` and `season` for those of the demo; left out: the user's log
    #[arg(value_name = "LOG")]
    logs: Vec<PathBuf>,
    /// Show officials as numbers only
    #[arg(long)]
    numbers: bool,
    /// Who grades and decides, as a pseudonym
    #[arg(long = "as", value_name = "NAME", default_value = "supervisor")]
    actor: String,
}

impl OpenWeek {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let actor = log::actor("--as", &self.actor)?;
        let named = |log: Option<&Path>| {
            let (path, key) = log::files(log, folder)?;
            // A missing log is an error here, not in the window.
            match path.exists() {
                true => Ok(Named { path, key }),
                false => Err(Unable::new(format!("there is no log {}", path.display()))
                    .help("`tellframe demo` makes `demo` and `season`")),
            }
        };
        let logs = match self.logs.as_slice() {
            [] => vec![named(None)?],
            some => some.iter().map(|log| named(Some(log))).collect::<Result<_, _>>()?,
        };
        let weekly = Weekly { folder: folder.clone(), logs, numbers: self.numbers, actor };
        match desk::open(Window::Week(weekly)) {
            Ok(()) => Ok(Answer::Yes),
            Err(error) => Err(no_window(&error.to_string())),
        }
    }
}
