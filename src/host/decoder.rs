//! How commands and desk start this program once more, as a decoder that may crash without harm.

use footage::decode::worker::{PATIENCE, WorkerCommand};

/// The word that makes it one.
pub const WORD: &str = "decode-apart";

/// This program as a decoder; `None` where the system does not say where it lies.
pub fn worker() -> Option<WorkerCommand> {
    let program = std::env::current_exe().ok()?;
    Some(WorkerCommand { program, arguments: vec![WORD.into()], patience: PATIENCE })
}
