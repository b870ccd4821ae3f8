//! What a key means: on the screen that is open, or in the line that is being typed.

use super::{Booth, Message, Pane, after, before, between, challenge, pictures, referee, ruling, walk};
use crate::keys;
use crate::keys::{Acts, Binding, Chord};

impl Booth {
    /// What a key means on the screen that is open. A line that is typed owns every key, also in the moment before it
    /// has the focus: a quick hand loses nothing, never answers a step by a timecode, and takes nothing back.
    pub(super) fn pressed(&self, chord: Chord) -> Option<Message> {
        match self.line() {
            Some(line) => line.typed(chord).or_else(|| self.means(chord, true)),
            None => self.means(chord, false),
        }
    }

    /// What a key means by the tables of the screen: all of them, or what also holds while a line is typed.
    fn means(&self, chord: Chord, in_a_line: bool) -> Option<Message> {
        match &self.pane {
            Pane::Before(_) => {
                act(before::KEYS, chord, in_a_line).map(|act| Message::Before(before::Message::Act(act)))
            }
            Pane::Between(_) => {
                act(between::KEYS, chord, in_a_line).map(|act| Message::Between(between::Message::Act(act)))
            }
            Pane::Challenge(_) => act(challenge::KEYS, chord, in_a_line)
                .map(|act| Message::Challenge(challenge::Message::Act(act))),
            Pane::Walk(_) if self.pictures.places() && !in_a_line => self.placing(chord).map(Message::Walk),
            Pane::Walk(_) => act(walk::KEYS, chord, in_a_line)
                .map(walk::Message::Act)
                .or_else(|| {
                    let act = act(pictures::KEYS, chord, in_a_line).filter(|_| !self.pictures.is_empty());
                    act.map(walk::Message::Picture)
                })
                .map(Message::Walk),
            Pane::Ruling(_) | Pane::Past(_) => {
                act(ruling::KEYS, chord, in_a_line).map(|act| Message::Ruling(ruling::Message::Act(act)))
            }
            Pane::Referee(_) => {
                act(referee::KEYS, chord, in_a_line).map(|act| Message::Referee(referee::Message::Act(act)))
            }
            Pane::After(_) => {
                act(after::KEYS, chord, in_a_line).map(|act| Message::After(after::Message::Act(act)))
            }
        }
    }

    /// While landmarks or a point are clicked, keys move the pictures, choose the camera, and do nothing else.
    fn placing(&self, chord: Chord) -> Option<walk::Message> {
        let place = keys::act(pictures::place::KEYS, chord).map(walk::Message::Place);
        let picture = || {
            let act = keys::act(pictures::KEYS, chord).filter(|act| *act != pictures::Act::Tie);
            act.map(walk::Message::Picture)
        };
        let camera = || {
            let act = keys::act(walk::KEYS, chord)?;
            matches!(act, walk::Act::Camera(_)).then_some(walk::Message::Act(act))
        };
        place.or_else(picture).or_else(camera)
    }

    /// The line that is being typed.
    fn line(&self) -> Option<Line<'_>> {
        let (text, typed, submit): (&str, fn(String) -> Message, Message) = match &self.pane {
            Pane::Walk(walk) => (
                walk.line()?,
                |text| Message::Walk(walk::Message::Typed(text)),
                Message::Walk(walk::Message::Submit),
            ),
            Pane::Challenge(challenge) => (
                challenge.line()?,
                |text| Message::Challenge(challenge::Message::Typed(text)),
                Message::Challenge(challenge::Message::Submit),
            ),
            Pane::Between(between) => (
                between.line()?,
                |text| Message::Between(between::Message::Typed(text)),
                Message::Between(between::Message::Submit),
            ),
            Pane::Ruling(ruling) => (
                ruling.line()?,
                |text| Message::Ruling(ruling::Message::Typed(text)),
                Message::Ruling(ruling::Message::Submit),
            ),
            Pane::Referee(referee) => (
                referee.line()?,
                |text| Message::Referee(referee::Message::Typed(text)),
                Message::Referee(referee::Message::Submit),
            ),
            Pane::Before(_) | Pane::After(_) | Pane::Past(_) => return None,
        };
        Some(Line { text, typed, submit })
    }
}

/// A line that is being typed: what stands in it, and what becomes of it.
struct Line<'a> {
    text: &'a str,
    typed: fn(String) -> Message,
    submit: Message,
}

impl Line<'_> {
    /// What the chord makes of the line.
    fn typed(&self, chord: Chord) -> Option<Message> {
        Some(match keys::typed(self.text, chord)? {
            keys::Typed::Text(text) => (self.typed)(text),
            keys::Typed::Meant => self.submit.clone(),
        })
    }
}

/// The act of a chord; in a line only one that also holds there.
fn act<A: Acts>(table: &[Binding<A>], chord: Chord, in_a_line: bool) -> Option<A> {
    keys::act(table, chord).filter(|act| !in_a_line || act.holds_in_a_line())
}
