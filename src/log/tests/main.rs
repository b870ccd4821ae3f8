//! The behaviour of `log`, a file a behaviour, in one binary.

mod day; // holding a game's day over a log, beside its reviews
mod discretion; // the referee's own ruling: safety first, bounds, effects, held over a log; precedents and their life
mod exchange; // records in and out: once, verbatim, all or none
mod faults; // a second desk, no room, no right, a damaged file, a newer form
mod forged; // a forged log cannot be opened, and one that is forged while it is open shows nothing more
mod golden; // a log that an earlier version wrote: verified, listed, exported, continued
mod kept; // the head beside a log: lost acts are seen, and no head passes a forgery off
mod moved; // the log is moved, replaced, deleted or linked while a desk has it open
mod play_grades; // grades of plays that were not reviewed: over a log, once an attempt
mod properties; // whatever was appended verifies; whatever is touched is named
mod record; // the stored form of events: read back, pinned, erased
mod records; // the records that a log gives, its own and the imported
mod reviews; // holding a review over a log: resumed after a kill, once a command
mod schema; // tables that no tellframe wrote: added, missing, changed, of a version that never was
mod store; // appending: order, repeats, heads, keys, editions, texts and stills
mod verify; // every way to tamper with a log, and the first bad entry that verify names
mod wal; // the write-ahead file: turned bits, acts that were cut off, empty after what ends something
