//! A point that was measured in the pictures, on its way to the log: its pictures are decoded and hashed first.

use super::pictures::Target;
use super::pictures::place::{Asks, Placed, Subject, kept_name};
use super::{Booth, Came, Message, Pane, Post};
use evidence::mark::Shot;
use evidence::place::point::Ground;
use host::frame::Unproven;
use iced::Task;
use iced::futures::channel::oneshot;
use review::decide::Command;
use review::event::SeenFrom;
use review::placing::{Placing, edges};
use rules::book::tree::Proof;
use rules::game::situation::End;

impl Booth {
    /// Proves the pictures of a measured point, away from the window.
    pub(super) fn prove(&self, placed: Placed) -> Task<Message> {
        let Ok(Post { game: Some(game), .. }) = &self.post else { return Task::none() };
        let Placed { question, step, seen } = placed;
        let mut targets = Vec::new();
        let mut from = Vec::new();
        for (camera, frame, clicked) in seen {
            let target = self.pictures.target_of(camera, frame).zip(game.cameras.get(camera));
            let Some((target, name)) = target else { return Task::none() };
            from.push(SeenFrom { camera: name.clone(), timecode: target.timecode, shot: None, clicked });
            targets.push(target);
        }
        Task::perform(shots(targets), move |shots| {
            let mut seen = from.clone();
            let cameras: Vec<String> = seen.iter().map(|one| one.camera.clone()).collect();
            Message::Placed(proofs(shots.unwrap_or(Vec::new()), &cameras).map(|proofs| {
                for (one, shot) in seen.iter_mut().zip(proofs) {
                    one.shot = shot;
                }
                Box::new(Placing { question, step: step.clone(), seen })
            }))
        })
    }

    /// Writes the measured point, unless a file of it changed.
    pub(super) fn placed(&mut self, placing: Result<Box<Placing>, String>) -> Task<Message> {
        let placing = match placing {
            Ok(placing) => *placing,
            Err(because) => return self.not_of_this_file(because),
        };
        let task = self.walked(Command::Place(placing), Came::ByItself);
        self.measure();
        task
    }

    /// The frames in which a moment is marked, a camera each, by its number in the hall.
    fn frames_of(&self, moment: &str) -> Vec<(usize, usize)> {
        let Ok(post) = &self.post else { return Vec::new() };
        let (Some(game), Some(review)) = (&post.game, post.review()) else { return Vec::new() };
        let of = |camera: usize| {
            let marks = self.pictures.marks_of(camera, review, &game.cameras);
            marks.into_iter().find(|(of, _)| of == moment).map(|(_, frame)| (camera, frame))
        };
        (0..game.cameras.len()).filter_map(of).collect()
    }

    /// Tells the pictures what the open step asks of a place.
    pub(super) fn tell_pictures(&mut self) {
        let (Pane::Walk(walk), Ok(post)) = (&self.pane, &self.post) else { return };
        let (Some(game), Some(review)) = (&post.game, post.review()) else { return };
        let Some(situation) = review.situation() else { return };
        let step = review
            .questions
            .get(walk.question)
            .and_then(|asked| game.book.tree(&asked.tree)?.steps.get(walk.step));
        let field = &game.book.field;
        let spot = situation.spot.as_f64();
        let along = match situation.attacks {
            End::East => spot,
            End::West => field.length.as_f64() - spot,
        };
        let lines = game.book.lines.iter();
        let subject = step.map(|step| Subject {
            question: walk.question,
            step: step.name.clone(),
            asks: match &step.proof {
                Proof::Position { point, at, line, off_ground } => Some(Asks {
                    point: point.clone(),
                    line: line.clone(),
                    in_air: *off_ground,
                    at: at.clone(),
                    marked: self.frames_of(at),
                }),
                Proof::Seen { .. }
                | Proof::Order { .. }
                | Proof::Gap { .. }
                | Proof::Count { .. }
                | Proof::Never { .. }
                | Proof::Judgement => None,
            },
            lines: lines.map(|line| (line.name.clone(), edges(&game.book, &situation, &line.name))).collect(),
            field: field.clone(),
            standard: game.book.replay.standard.established,
            ball: Ground::new(along, 0.0),
        });
        let venue =
            post.day().and_then(|day| day.opened.as_ref()).map_or("", |opened| opened.card.venue.as_str());
        let folder = self.place.folder().join("calibrations").join(kept_name(venue));
        self.pictures.about(subject, folder);
    }
}

/// The proofs of frames of these cameras, where they could be decoded.
///
/// # Errors
/// In words, where a file is not the one that was looked at: then nothing is to be written of any of them.
pub(super) fn proofs(
    shots: Vec<Result<Shot, Unproven>>,
    cameras: &[String],
) -> Result<Vec<Option<Shot>>, String> {
    let one = |(shot, camera): (Result<Shot, Unproven>, &String)| match shot {
        Ok(shot) => Ok(Some(shot)),
        Err(Unproven::Changed(why)) => Err(format!("{camera}: {why}")),
        Err(Unproven::Failed(_)) => Ok(None),
    };
    shots.into_iter().zip(cameras).map(one).collect()
}

/// What proves each of these frames, or why nothing does; on a thread of its own.
pub(super) fn shots(targets: Vec<Target>) -> oneshot::Receiver<Vec<Result<Shot, Unproven>>> {
    let (to, shots) = oneshot::channel();
    std::thread::spawn(move || {
        let shots: Vec<_> = targets.iter().map(Target::shot).collect();
        // A window that was closed meanwhile waits for nothing.
        let _ = to.send(shots);
    });
    shots
}
