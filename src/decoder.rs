//! How commands and desk start this program once more, as a decoder that may crash without harm.

use tellframe::footage::apart::{Apart, PATIENCE};

/// The word that makes it one.
pub(crate) const WORD: &str = "decode-apart";

/// This program as a decoder; `None` where the system does not say where it lies. Within tests the running program is
/// the tests, which know no commands: they decode in their own process.
pub(crate) fn apart() -> Option<Apart> {
    if cfg!(test) {
        return None;
    }
    let program = std::env::current_exe().ok()?;
    Some(Apart { program, arguments: vec![WORD.into()], patience: PATIENCE })
}
