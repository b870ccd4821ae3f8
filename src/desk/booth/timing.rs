//! The time between two marked moments, where both were marked in clips: what the marks say, and what that offers.
//!
//! The arithmetic is the library's. Here stands only which frames it is given, and what is assumed of the clocks:
//! clips are tied by their timecodes, which name a frame, so each clock may be off by up to one frame (a rectangle of
//! one interval, standard error interval/√12; GUM, JCGM 100, 4.3.7). Clips without a timecode are tied to nothing:
//! their marks say an order only among themselves.

use super::pictures::Pictures;
use tellframe::book::Book;
use tellframe::book::tree::{Proof, Step};
use tellframe::footage::clip::Clip as Facts;
use tellframe::proof::mark::{Measurement, Shot};
use tellframe::proof::order::{Between, Clip, Mark, Marks, Sight, between};
use tellframe::proof::say;
use tellframe::proof::verdict::Verdict;
use tellframe::review::answer::{offered, timed};
use tellframe::review::fold::Review;
use tellframe::review::says;

/// What the marks of a step say.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timing {
    /// In one line.
    pub says: String,
    /// It is not enough for the book.
    pub doubtful: bool,
    /// The measurement, for an answer that rests on it.
    pub measurement: Measurement,
    /// The answer that it offers.
    pub offers: Vec<String>,
}

/// What the marks of this step say; none where it asks for no time, or the marks are typed.
pub(crate) fn timing(
    book: &Book,
    (question, step): (usize, &Step),
    review: &Review,
    pictures: &Pictures,
    cameras: &[String],
) -> Option<Timing> {
    if let Proof::Position { .. } = &step.proof {
        return place(step, review, question);
    }
    let (first, then, at_least_s) = match &step.proof {
        Proof::Order { first, then } => (first, then, 0.0),
        Proof::Gap { first, then, at_least_s } => (first, then, *at_least_s),
        Proof::Seen { .. }
        | Proof::Position { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => return None,
    };
    let mut clocks = Clocks { clips: Vec::new(), sights: Vec::new(), tied: true };
    for (moment, number) in [(first, 0), (then, 1)] {
        for marked in review.marks().filter(|marked| marked.mark.moment == *moment) {
            let shot = marked.shot.as_ref()?;
            let camera = cameras.iter().position(|camera| *camera == marked.mark.camera)?;
            clocks.add(number, camera, pictures.clock(camera)?, shot)?;
        }
    }
    let between = clocks.between()?;
    let measurement = timed(book, step, &between)?;
    let standard = book.replay.standard.established;
    let gap_s = match &between {
        Between::Known(gap) => gap.figures().mean,
        Between::Contradiction => 0.0,
    };
    let verdict = measurement.verdict;
    Some(Timing {
        says: say::order((first, then), gap_s, at_least_s, verdict, standard),
        doubtful: matches!(verdict, Verdict::Inconclusive { .. } | Verdict::Contradiction),
        offers: offered(step, verdict),
        measurement,
    })
}

/// What the newest point says that was placed for this step.
fn place(step: &Step, review: &Review, question: usize) -> Option<Timing> {
    let placed = review.placed_for(question, &step.name)?;
    let verdict = placed.measurement.verdict;
    Some(Timing {
        says: format!("{}: {}", placed.point, says::placed_against(placed)),
        doubtful: matches!(verdict, Verdict::Inconclusive { .. } | Verdict::Contradiction),
        offers: offered(step, verdict),
        measurement: placed.measurement.clone(),
    })
}

/// The clocks and marks of one step.
struct Clocks {
    /// Each camera's, by its number in the hall.
    clips: Vec<(usize, Clip)>,
    /// For which of the two events.
    sights: Vec<(u8, Sight)>,
    /// Every clip so far has a timecode.
    tied: bool,
}

impl Clocks {
    /// A mark of this event, set by this camera in a clip with its first frame on the common clock.
    fn add(&mut self, event: u8, camera: usize, clip: (&Facts, Option<f64>), shot: &Shot) -> Option<()> {
        let (facts, offset_s) = clip;
        let number = match self.clips.iter().position(|(known, _)| *known == camera) {
            Some(number) => number,
            None => {
                let interval = facts.rate.map_or(0.04, |rate| rate.interval().as_f64());
                let offset_sigma_s = interval / 12f64.sqrt();
                let clip = Clip { offset_s: offset_s.unwrap_or(0.0), offset_sigma_s, ..Clip::default() };
                self.tied &= offset_s.is_some();
                self.clips.push((camera, clip));
                self.clips.len() - 1
            }
        };
        let frame = usize::try_from(shot.frame).ok()?;
        let second = |frame: usize| {
            let first = facts.frames.first()?.pts;
            Some(facts.base.seconds(facts.frames.get(frame)?.pts - first))
        };
        let mark = Mark::Instants { since_s: second(frame.checked_sub(1)?)?, at_s: second(frame)? };
        let sight = self.clips.get(number)?.1.sight(number, mark).ok()?;
        self.sights.push((event, sight));
        Some(())
    }

    fn between(&self) -> Option<Between> {
        if self.clips.len() > 1 && !self.tied {
            return None;
        }
        let clips: Vec<Clip> = self.clips.iter().map(|(_, clip)| *clip).collect();
        let of = |event: u8| -> Vec<Sight> {
            self.sights.iter().filter(|(of, _)| *of == event).map(|(_, sight)| *sight).collect()
        };
        let (first, then) = (of(0), of(1));
        if first.is_empty() || then.is_empty() {
            return None;
        }
        between(Marks { clips: &clips, first: &first, then: &then }).ok()
    }
}
