//! The time between two marked moments, where both were marked in clips: what the marks say, and what that offers.
//!
//! The arithmetic is the library's. Here stands only which frames it is given, and on which clocks: those of the
//! cameras as they are tied (`pictures/ties.rs`), as the camera of the first mark runs. Cameras that nothing ties say an
//! order only among their own marks; ties that contradict each other say none.

use super::pictures::{OneClock, Pictures};
use evidence::mark::Measurement;
use evidence::time::order::{Between, Clip, Mark, Marks, Sight, between};
use evidence::verdict::Verdict;
use review::answer::{offered, timed};
use review::fold::Review;
use review::marking::{at_moment, in_force};
use rules::book::Book;
use rules::book::tree::{Proof, Step};

/// What the marks of a step say.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timing {
    /// In one line.
    pub says: String,
    /// It is not enough for the book.
    pub doubtful: bool,
    /// The measurement, for an answer that rests on it.
    pub measurement: Measurement,
    /// The answer that it offers; none where it is no proof.
    pub offers: Vec<String>,
}

/// What the marks of this step say; none where it asks for no time, or a mark is in no clip that is open.
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
    Some(Timing {
        says: std::iter::once(says).chain(clocks).collect::<Vec<_>>().join("; "),
        doubtful: matches!(verdict, Verdict::Inconclusive { .. } | Verdict::Contradiction),
        offers: offered(step, verdict),
        measurement,
    })
}

/// What the newest point says that was placed for this step.
fn place(step: &Step, review: &Review, question: usize) -> Option<Timing> {
    let placed = review.placed_for(question, &step.name)?;
    let verdict = placed.measurement.verdict;
    // A point beside the marked moment proves nothing: it offers no answer, and says why.
    if let Err(no) = at_moment(review, step, &placed.seen) {
        return Some(Timing {
            says: format!("the {} that was placed is no proof: {}", placed.point, no.because),
            doubtful: true,
            measurement: placed.measurement.clone(),
            offers: Vec::new(),
        });
    }
    Some(Timing {
        says: format!("{}: {}", placed.point, review::text::placed_against(placed)),
        doubtful: matches!(verdict, Verdict::Inconclusive { .. } | Verdict::Contradiction),
        offers: offered(step, verdict),
        measurement: placed.measurement.clone(),
    })
}

/// The marks of one step on the clocks of their cameras.
#[derive(Default)]
struct Marked {
    /// The clocks of the cameras that are marked.
    clocks: Vec<OneClock>,
    /// For which of the two events.
    sights: Vec<(u8, Sight)>,
}

impl Marked {
    /// A mark of this event, set in the clip of this camera or typed with the timecode of one of its frames; none where the
    /// clip does not have it, or nothing ties it to the first one's clock.
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
        let second = |frame: usize| {
            let first = facts.frames.first()?.pts;
            Some(facts.base.seconds(facts.frames.get(frame)?.pts - first))
        };
        let mark = Mark::Instants { since_s: second(frame.checked_sub(1)?)?, at_s: second(frame)? };
        let sight = self.clocks.get(number)?.clip.sight(number, mark).ok()?;
        self.sights.push((event, sight));
        Some(())
    }

    /// Ties between the cameras contradict each other. Of one camera alone they change nothing.
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
