//! The behaviour of `audit`, a file a behaviour, in one binary.

mod missing_fields; // a field that is null is one that is missing, for every reader of records
mod rejudge_contrary; // a record that contradicts its own situation is noticed
mod rejudge_measured; // what was measured, judged again: no close one flips under its own edition
mod seasons; // the audit measured by seasons whose truth is known: plants found, false alarms counted
