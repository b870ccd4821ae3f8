//! What a key means: on the screen that is open, or in the line that is being typed.

use super::{Booth, Message, Pane, after, before, between, challenge, pictures, referee, ruling, walk};
use crate::desk::keys::{self, Chord};

impl Booth {
    /// What a key means on the screen that is open. While a line is typed, what can be typed goes there, also in the
    /// moment before the line has the focus: a quick hand loses nothing, and never answers a step by a timecode.
    pub(super) fn pressed(&self, chord: Chord) -> Option<Message> {
        if let Some(typed) = self.typed(chord) {
            return Some(typed);
        }
        match &self.pane {
            Pane::Before(_) => {
                keys::act(before::KEYS, chord).map(|act| Message::Before(before::Message::Act(act)))
            }
            Pane::Between(_) => {
                keys::act(between::KEYS, chord).map(|act| Message::Between(between::Message::Act(act)))
            }
            Pane::Challenge(_) => {
                keys::act(challenge::KEYS, chord).map(|act| Message::Challenge(challenge::Message::Act(act)))
            }
            Pane::Walk(_) if self.pictures.places() => self.placing(chord).map(Message::Walk),
            Pane::Walk(_) => keys::act(walk::KEYS, chord)
                .map(walk::Message::Act)
                .or_else(|| {
                    let act = keys::act(pictures::KEYS, chord).filter(|_| !self.pictures.is_empty());
                    act.map(walk::Message::Picture)
                })
                .map(Message::Walk),
            Pane::Ruling(_) | Pane::Past(_) => {
                keys::act(ruling::KEYS, chord).map(|act| Message::Ruling(ruling::Message::Act(act)))
            }
            Pane::Referee(_) => {
                keys::act(referee::KEYS, chord).map(|act| Message::Referee(referee::Message::Act(act)))
            }
            Pane::After(_) => {
                keys::act(after::KEYS, chord).map(|act| Message::After(after::Message::Act(act)))
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

    /// What the chord makes of the line that is being typed.
    fn typed(&self, chord: Chord) -> Option<Message> {
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
        Some(match keys::typed(text, chord)? {
            keys::Typed::Text(text) => typed(text),
            keys::Typed::Meant => submit,
        })
    }
}
