//! What the marks of a step measure, and the answer that they offer: the time between two moments, or a point.
//!
//! The arithmetic is in `evidence`. This chooses the frames and the clocks: those of the cameras as they are tied
//! (`pictures/ties.rs`), on the clock of the first mark's camera. Marks of cameras that are not tied, or whose ties
//! contradict each other, give no order.

use super::pictures::{OneClock, Pictures};
use super::scoreboard::second;
use evidence::mark::Measurement;
use evidence::time::order::{Between, Clip, Mark, Marks, Sight, between};
use evidence::verdict::Verdict;
use review::answer::{offered, timed};
use review::fold::Review;
use review::marking::{at_moment, in_force};
use rules::book::Book;
use rules::book::tree::{Proof, Step};

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timing {
    pub says: String,
    /// Not proven to the standard of the book.
    pub doubtful: bool,
    /// For an answer that rests on it.
    pub measurement: Measurement,
    /// The answer that it offers; empty if it proves nothing.
    pub offers: Vec<String>,
}

impl Timing {
    fn of(step: &Step, says: String, measurement: Measurement) -> Timing {
        let verdict = measurement.verdict;
        Timing {
            says,
            doubtful: matches!(verdict, Verdict::Inconclusive { .. } | Verdict::Contradiction),
            offers: offered(step, verdict),
            measurement,
        }
    }
}

/// What the marks of this step measure; none if it asks for no time, or a mark is in no open clip.
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
    let mut all = Marked::default();
    for (moment, number) in [(first, 0), (then, 1)] {
        for marked in in_force(review).into_iter().filter(|marked| marked.mark.moment == *moment) {
            let camera = cameras.iter().position(|camera| *camera == marked.mark.camera)?;
            all.add(number, camera, pictures, marked)?;
        }
    }
    let between = all.between()?;
    let measurement = timed(book, step, &between)?;
    let standard = book.replay.standard.established;
    let gap_s = match &between {
        Between::Known(gap) => gap.figures().mean,
        Between::Contradiction => 0.0,
    };
    let verdict = measurement.verdict;
    let says = match all.contradicts() {
        true => "the ties of the cameras contradict each other: their marks say no order".to_owned(),
        false => evidence::text::order((first, then), gap_s, at_least_s, verdict, standard),
    };
    let clocks = all.clocks.iter().filter_map(|clock| clock.by_moments.clone());
    Some(Timing::of(step, std::iter::once(says).chain(clocks).collect::<Vec<_>>().join("; "), measurement))
}

/// What the newest point that was placed for this step measures.
fn place(step: &Step, review: &Review, question: usize) -> Option<Timing> {
    let placed = review.placed_for(question, &step.name)?;
    // A point away from the marked moment proves nothing and offers no answer.
    if let Err(no) = at_moment(review, step, &placed.seen) {
        return Some(Timing {
            says: format!("the {} that was placed is no proof: {}", placed.point, no.because),
            doubtful: true,
            measurement: placed.measurement.clone(),
            offers: Vec::new(),
        });
    }
    let says = format!("{}: {}", placed.point, review::text::placed_against(placed));
    Some(Timing::of(step, says, placed.measurement.clone()))
}

/// The marks of one step on the clocks of their cameras.
#[derive(Default)]
struct Marked {
    clocks: Vec<OneClock>,
    /// The event, 0 or 1, that each is for.
    sights: Vec<(u8, Sight)>,
}

impl Marked {
    /// Adds a mark of this event, set in the clip of this camera or typed with the timecode of one of its frames. None if
    /// the clip does not have that frame, or nothing ties it to the first camera's clock.
    fn add(
        &mut self,
        event: u8,
        camera: usize,
        pictures: &Pictures,
        marked: &review::event::Marked,
    ) -> Option<()> {
        let number = match self.clocks.iter().position(|known| known.camera == camera) {
            Some(number) => number,
            None => {
                let as_one = self.clocks.first().map_or(camera, |first| first.camera);
                let tied = pictures.clocks_as(as_one);
                self.clocks.push(tied.into_iter().find(|tied| tied.camera == camera)?);
                self.clocks.len() - 1
            }
        };
        let facts = pictures.facts(camera)?;
        let frame = pictures.frame_of(camera, marked)?;
        let (since_s, at_s) = (second(facts, frame.checked_sub(1)?)?, second(facts, frame)?);
        let mark = Mark::Instants { since_s, at_s };
        let sight = self.clocks.get(number)?.clip.sight(number, mark).ok()?;
        self.sights.push((event, sight));
        Some(())
    }

    /// Whether ties between the cameras contradict each other. With one camera alone they do not matter.
    fn contradicts(&self) -> bool {
        self.clocks.len() > 1 && self.clocks.iter().any(|clock| !clock.agrees)
    }

    fn between(&self) -> Option<Between> {
        let clips: Vec<Clip> = self.clocks.iter().map(|clock| clock.clip).collect();
        let of = |event: u8| -> Vec<Sight> {
            self.sights.iter().filter(|(of, _)| *of == event).map(|(_, sight)| *sight).collect()
        };
        let (first, then) = (of(0), of(1));
        if first.is_empty() || then.is_empty() {
            return None;
        }
        match self.contradicts() {
            true => Some(Between::Contradiction),
            false => between(Marks { clips: &clips, first: &first, then: &then }).ok(),
        }
    }
}
