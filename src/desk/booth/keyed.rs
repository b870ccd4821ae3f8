//! A line that is being typed, and the acts that keys have.

use super::Message;
use crate::keys;
use crate::keys::{Acts, Binding, Chord};

/// A line that is being typed: what stands in it, and what becomes of it.
pub(super) struct Line<'a> {
    pub text: &'a str,
    pub typed: fn(String) -> Message,
    pub submit: Message,
}

impl Line<'_> {
    /// What the chord makes of the line.
    pub(super) fn typed(&self, chord: Chord) -> Option<Message> {
        Some(match keys::typed(self.text, chord)? {
            keys::Typed::Text(text) => (self.typed)(text),
            keys::Typed::Meant => self.submit.clone(),
        })
    }
}

/// The act of a chord; in a line only one that also holds there.
pub(super) fn act<A: Acts>(table: &[Binding<A>], chord: Chord, in_a_line: bool) -> Option<A> {
    keys::act(table, chord).filter(|act| !in_a_line || act.holds_in_a_line())
}
