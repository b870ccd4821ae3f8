//! How commands and desk start this program again as a decoder process, which may crash without harm.

use footage::decode::worker::{PATIENCE, WorkerCommand};

/// The command that runs this program as a decoder.
pub const WORD: &str = "decode-apart";

/// This program as a decoder; `None` where its path is unknown.
pub fn worker() -> Option<WorkerCommand> {
    let program = std::env::current_exe().ok()?;
    Some(WorkerCommand { program, arguments: vec![WORD.into()], patience: PATIENCE })
}
