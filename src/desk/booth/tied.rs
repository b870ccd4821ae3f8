//! A moment that two cameras see, on its way to the log: its two pictures are decoded and hashed first.

use super::pictures::{Rests, Tying};
use super::placed::{proofs, shots};
use super::{Booth, Came, Message};
use iced::Task;
use review::decide::Command;
use review::event::Tied;

impl Booth {
    /// Proves the two pictures of a tie, away from the window.
    pub(super) fn prove_tie(tying: Tying) -> Task<Message> {
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

    /// Writes the tie, unless a file of it changed.
    pub(super) fn tied(&mut self, tied: Result<Box<Tied>, String>) -> Task<Message> {
        let tied = match tied {
            Ok(tied) => tied,
            Err(because) => return self.not_of_this_file(because),
        };
        let task = self.walked(Command::Tie(tied), Came::ByItself);
        self.measure();
        task
    }

    /// Tells the pictures which cameras' clips the review in hand rests on.
    pub(super) fn tell_rests(&mut self) {
        let Ok(post) = &self.post else { return };
        let Some(game) = &post.game else { return };
        let mut rests = Rests::default();
        if let Some(review) = post.review().filter(|review| !review.is_over()) {
            let number = |camera: &str| game.cameras.iter().position(|known| known == camera);
            let marks = review.marks().map(|marked| (&marked.mark.camera, &marked.shot));
            let ties = review.ties().flat_map(|tied| [&tied.one, &tied.other]);
            let ties = ties.map(|seen| (&seen.camera, &seen.shot));
            let placed =
                review.placed().flat_map(|placed| &placed.seen).map(|seen| (&seen.camera, &seen.shot));
            for (camera, shot) in ties.chain(placed).chain(marks) {
                let Some(camera) = number(camera) else { continue };
                let sha256 = rests.marked.entry(camera).or_insert(None);
                if let Some(shot) = shot {
                    *sha256 = Some(shot.clip_sha256.clone());
                }
            }
            rests.looked = review.looks().filter_map(|look| number(&look.camera)).collect();
            rests.on = true;
        }
        self.pictures.rests_on(rests, &game.cameras);
    }

    /// Tells the pictures which ties stand.
    pub(super) fn tell_ties(&mut self) {
        if let Ok(post) = &self.post
            && let Some(review) = post.review()
        {
            self.pictures.tied(review.ties().collect());
        }
    }
}
