//! Ties of two cameras: their pictures are decoded and hashed before the tie is logged.

use super::Message;
use super::hands::Hands;
use super::pictures::{Rests, Tying};
use super::placed::{OtherFile, Written, proofs, shots};
use super::post::Game;
use iced::Task;
use review::decide::Command;
use review::event::Tied;

/// Proves the two pictures of a tie on another thread.
pub(super) fn prove(tying: Tying) -> Task<Message> {
    let Tying { targets, tied } = tying;
    Task::perform(shots(targets.into()), move |shots| {
        let mut tied = tied.clone();
        let cameras = [tied.one.camera.clone(), tied.other.camera.clone()];
        Message::Tied(proofs(shots.unwrap_or(Vec::new()), &cameras).map(|proofs| {
            let mut proofs = proofs.into_iter();
            tied.one.shot = proofs.next().flatten();
            tied.other.shot = proofs.next().flatten();
            Box::new(tied)
        }))
    })
}

impl Hands<'_> {
    /// Writes the tie, unless one of its files changed.
    pub(super) fn tie(&mut self, tied: Result<Box<Tied>, OtherFile>) -> Written {
        self.write_proven(tied.map(Command::Tie))
    }
}

/// Which cameras' clips the open review uses.
pub(super) fn rests(game: &Game) -> Rests {
    let mut rests = Rests::default();
    let Some(review) = game.review().filter(|review| !review.is_over()) else { return rests };
    let number = |camera: &str| game.cameras.iter().position(|known| known == camera);
    let marks = review.marks().map(|marked| (&marked.mark.camera, &marked.shot));
    let ties = review.ties().flat_map(|tied| [&tied.one, &tied.other]);
    let ties = ties.map(|seen| (&seen.camera, &seen.shot));
    let placed = review.placed().flat_map(|placed| &placed.seen).map(|seen| (&seen.camera, &seen.shot));
    for (camera, shot) in ties.chain(placed).chain(marks) {
        let Some(camera) = number(camera) else { continue };
        let sha256 = rests.marked.entry(camera).or_insert(None);
        if let Some(shot) = shot {
            *sha256 = Some(shot.clip_sha256.clone());
        }
    }
    rests.looked = review.looks().filter_map(|look| number(&look.camera)).collect();
    rests.on = true;
    rests
}
