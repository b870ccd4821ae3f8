//! Refused commands: why, what to do instead, and whether a reason would override the refusal.

use rules::book::defect::nearest;

/// Why a command is not carried out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{because}")]
pub struct Refusal {
    pub because: String,
    pub instead: String,
    /// The command would be carried out as an override if it came with a reason.
    pub reason_carries: bool,
}

pub(super) fn no<T>(because: impl Into<String>, instead: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal { because: because.into(), instead: instead.into(), reason_carries: false })
}

pub(super) fn unknown<'n, T>(
    what: &str,
    name: &str,
    known: impl Iterator<Item = &'n str>,
) -> Result<T, Refusal> {
    no(format!("there is no {what} `{name}`"), nearest(name, known))
}
