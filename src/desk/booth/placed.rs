//! Measured points: their pictures are decoded and hashed before the point is logged.

use super::Message;
use super::hands::{Hands, Next};
use super::pictures::place::{Asks, Placed, Subject, kept_name};
use super::pictures::{Pictures, Target};
use super::post::Game;
use super::undone::Undone;
use super::walk::Walk;
use evidence::mark::Shot;
use evidence::place::point::Ground;
use footage::error::Change;
use host::frame::Unproven;
use iced::Task;
use iced::futures::channel::oneshot;
use review::decide::Command;
use review::event::SeenFrom;
use review::fold::Review;
use review::placing::{Placing, edges};
use rules::book::tree::{Proof, Step};
use rules::game::situation::End;
use std::path::Path;

/// A camera's file changed since it was looked at, so nothing is written.
#[derive(Debug, Clone, thiserror::Error)]
#[error("{camera}: {changed}")]
pub(crate) struct OtherFile {
    camera: String,
    changed: Change,
}

/// What became of a command that was proven in the background.
pub(super) enum Written {
    Tried(Box<Tried>),
    /// Nothing was written, because a file changed.
    OtherFile(String),
}

/// A command that was proven, and whether it was written.
pub(super) struct Tried {
    pub command: Command,
    pub done: Result<(), Undone>,
    /// What its proof lacks, and what the mark counts as without it.
    pub failed: Option<(String, &'static str)>,
}

impl Hands<'_> {
    /// Proves the pictures of a measured point on another thread.
    pub(super) fn prove_place(&self, placed: Placed) -> Next {
        let Placed { question, step, seen } = placed;
        let mut targets = Vec::new();
        let mut from = Vec::new();
        for (camera, frame, clicked) in seen {
            let target = self.pictures.target_of(camera, frame).zip(self.game.cameras.get(camera));
            // A clip that was closed since the click cannot be proven.
            let Some((target, name)) = target else { return Next::Stay };
            from.push(SeenFrom { camera: name.clone(), timecode: target.timecode, shot: None, clicked });
            targets.push(target);
        }
        Next::Run(Task::perform(shots(targets), move |shots| {
            let mut seen = from.clone();
            let cameras: Vec<String> = seen.iter().map(|one| one.camera.clone()).collect();
            Message::Placed(proofs(shots.unwrap_or(Vec::new()), &cameras).map(|proofs| {
                for (one, shot) in seen.iter_mut().zip(proofs) {
                    one.shot = shot;
                }
                Box::new(Placing { question, step: step.clone(), seen })
            }))
        }))
    }

    /// Writes the measured point, unless one of its files changed.
    pub(super) fn place(&mut self, placing: Result<Box<Placing>, OtherFile>) -> Written {
        self.write_proven(placing.map(|placing| Command::Place(*placing)))
    }

    /// Writes a proven command, unless one of its files changed.
    pub(super) fn write_proven(&mut self, proven: Result<Command, OtherFile>) -> Written {
        match proven {
            Ok(command) => {
                let done = self.game.act(self.post, command.clone(), self.now);
                Written::Tried(Box::new(Tried { command, done, failed: None }))
            }
            Err(other) => Written::OtherFile(other.to_string()),
        }
    }
}

/// Where a moment is marked: index of the camera, and the frame.
fn frames_of(moment: &str, review: &Review, pictures: &Pictures, cameras: &[String]) -> Vec<(usize, usize)> {
    let of = |camera: usize| {
        let marks = pictures.marks_of(camera, review, cameras);
        marks.into_iter().find(|(of, _)| of == moment).map(|(_, frame)| (camera, frame))
    };
    (0..cameras.len()).filter_map(of).collect()
}

/// The open step of the walk, in the book.
pub(super) fn open_step<'a>(walk: &Walk, game: &'a Game, review: &Review) -> Option<&'a Step> {
    let (question, step) = walk.open_step();
    let asked = review.questions.get(question)?;
    game.book.tree(&asked.tree)?.steps.get(step)
}

/// Tells the pictures which place the open step asks for, and that calibrations are in this folder.
pub(super) fn tell_pictures(walk: &Walk, game: &Game, pictures: &mut Pictures, folder: &Path) {
    let Some(review) = game.review() else { return };
    let Some(situation) = review.situation() else { return };
    let (question, _) = walk.open_step();
    let step = open_step(walk, game, review);
    let field = &game.book.field;
    let spot = situation.spot.as_f64();
    let along = match situation.attacks {
        End::East => spot,
        End::West => field.length.as_f64() - spot,
    };
    let lines = game.book.lines.iter();
    let subject = step.map(|step| Subject {
        question,
        step: step.name.clone(),
        asks: match &step.proof {
            Proof::Position { point, at, line, off_ground } => Some(Asks {
                point: point.clone(),
                line: line.clone(),
                in_air: *off_ground,
                at: at.clone(),
                marked: frames_of(at, review, pictures, &game.cameras),
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
    let venue = game.day().opened.as_ref().map_or("", |opened| opened.card.venue.as_str());
    pictures.about(subject, folder.join("calibrations").join(kept_name(venue)));
}

/// The proofs of frames of these cameras; none for a frame that could not be decoded.
///
/// # Errors
/// A file changed since it was looked at: then none of them is to be written.
pub(super) fn proofs(
    shots: Vec<Result<Shot, Unproven>>,
    cameras: &[String],
) -> Result<Vec<Option<Shot>>, OtherFile> {
    let one = |(shot, camera): (Result<Shot, Unproven>, &String)| match shot {
        Ok(shot) => Ok(Some(shot)),
        Err(Unproven::Changed(changed)) => Err(OtherFile { camera: camera.clone(), changed }),
        Err(Unproven::Failed(_)) => Ok(None),
    };
    shots.into_iter().zip(cameras).map(one).collect()
}

/// Proves each of these frames on another thread.
pub(super) fn shots(targets: Vec<Target>) -> oneshot::Receiver<Vec<Result<Shot, Unproven>>> {
    in_background(move || targets.iter().map(Target::shot).collect())
}

/// Runs this on another thread.
pub(super) fn in_background<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> oneshot::Receiver<T> {
    let (to, result) = oneshot::channel();
    std::thread::spawn(move || {
        // The receiver is gone if the window was closed meanwhile.
        let _ = to.send(work());
    });
    result
}
