//! Keys on the screens of the booth: the acts that they mean, the line that takes them, buttons that do the same.

use super::Message;
use crate::keys;
use crate::keys::{Acts, Binding, Chord};
use crate::theme::Palette;
use crate::widget::key::{Weight, key};
use iced::Element;
use iced::widget::Id;
use iced::widget::text::IntoFragment;

/// An open line: the widget, its text, and the messages that type into it and submit it.
pub(super) struct Line<'a> {
    pub id: Id,
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

/// The act of a chord; in a line, only an act that holds there.
pub(super) fn act<A: Acts>(table: &[Binding<A>], chord: Chord, in_a_line: bool) -> Option<A> {
    keys::act(table, chord).filter(|act| !in_a_line || act.holds_in_a_line())
}

/// A button for an act: it shows the act's key, and a click sends what the key sends.
pub(super) fn button<'a, A: Acts + PartialEq, M: Clone + 'a>(
    palette: &'a Palette,
    word: impl IntoFragment<'a>,
    (table, act): (&[Binding<A>], A),
    weight: Weight,
    message: impl Fn(A) -> M,
) -> Element<'a, M> {
    key(palette, word, keys::shown(table, act), weight, Some(message(act)))
}
