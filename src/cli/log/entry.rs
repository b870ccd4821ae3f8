//! Entries as `log show` prints them: stamps, events, and the entry that cannot be read.

use chrono::{DateTime, SecondsFormat, Utc};
use log::streams::held::Unread;
use review::stamp::Stamp;
use serde_json::{Value, json};

/// The wall clock of a stamp in UTC, as RFC 3339 with milliseconds; `None` beyond the years that this can write.
pub(super) fn utc(stamp: &Stamp) -> Option<String> {
    let at = DateTime::<Utc>::from_timestamp_millis(stamp.utc_ms)?;
    Some(at.to_rfc3339_opts(SecondsFormat::Millis, true))
}

/// An event, as `log::forms::shown` gives it, with its entry and its stamp.
pub(super) fn event_json(entry: u64, mut event: Value, at: &Stamp) -> Value {
    event["entry"] = entry.into();
    event["at"] = json!({"utc": utc(at), "boot_ms": at.boot_ms, "boot": at.boot});
    event
}

pub(super) fn unread_json(unread: Option<&Unread>) -> Value {
    unread.map_or(Value::Null, |unread| json!({"entry": unread.seq, "fault": unread.fault.to_string()}))
}

/// What follows a stream's summary; empty where all of it can be read.
pub(super) fn unread_mark(unread: Option<&Unread>) -> String {
    unread.map_or_else(String::new, |unread| format!("  (entry {} cannot be read)", unread.seq))
}

/// What follows a stream's events; empty where all of it can be read.
pub(super) fn unread_line(unread: Option<&Unread>) -> String {
    unread.map_or_else(String::new, |unread| {
        format!("\nfrom entry {} on it cannot be read: {}", unread.seq, unread.fault)
    })
}
