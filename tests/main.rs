//! The behaviour of tellframe, a file a behaviour, in one binary.

mod cli_log; // `tellframe log` and its exit status, the trace beside it
mod formats; // the JSON that outsiders rely on keeps to its schemas
mod log_exchange; // records in and out: once, verbatim, all or none
mod log_faults; // a second desk, no room, no right, a damaged file, a newer form
mod log_properties; // whatever was appended verifies; whatever is touched is named
mod log_record; // the stored form of events: read back, pinned, erased
mod log_reviews; // holding a review over a log: resumed after a kill, once a command
mod log_store; // appending: order, repeats, heads, keys, editions, texts and stills
mod log_verify; // every way to tamper with a log, and the first bad entry it is told by
mod published_replay; // published plays and lists on replay against the college book
mod settling; // what partial answers amount to, against brute force
mod support;
mod writing_a_book; // the page on writing rule books is true
