//! Stamps as `log show` prints them.

use chrono::{DateTime, SecondsFormat, Utc};
use review::stamp::Stamp;

/// The wall clock of a stamp in UTC, as RFC 3339 with milliseconds; none beyond the years that this can write.
pub(super) fn utc(stamp: &Stamp) -> Option<String> {
    let at = DateTime::<Utc>::from_timestamp_millis(stamp.utc_ms)?;
    Some(at.to_rfc3339_opts(SecondsFormat::Millis, true))
}
