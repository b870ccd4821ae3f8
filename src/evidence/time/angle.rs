//! Which camera would help most: what error a further mark of one event would leave.
//!
//! A camera that has not been marked for an event could show it first in any of several frames. Each is as probable
//! as the joint distribution says (the evidence with that mark against the evidence without), and leaves its own
//! error. The error left is the root of the mean variance over those frames, and the chance to settle the share of
//! them whose verdict is no longer inconclusive. Both are exact up to the drift of the camera within the search; of
//! more than 24 frames only every n-th is tried.

use super::order::joint::Joint;
use super::order::{Clip, Mark, Marks, Sight, between};
use crate::error::Error;
use crate::verdict::Verdict;

/// Frames of one camera that are tried, at most.
const LOOKED_AT: u64 = 24;

/// What a verdict on the order needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standard {
    /// By how many seconds the first event must come before the other.
    pub at_least_s: f64,
    /// The standard of proof, in (0.5, 1].
    pub established: f64,
}

/// One of the two events.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Event {
    First,
    Then,
}

/// What marking an event on a camera as well would leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Help {
    pub clip: usize,
    pub event: Event,
    /// Of the gap that would be left.
    pub sigma_s: f64,
    /// The probability that the verdict would no longer be inconclusive.
    pub settles: f64,
}

/// Every further mark on a clip of constant rate, the most helpful first: the one with the better chance to settle,
/// then the one that leaves the smaller error. Empty where the marks so far contradict each other.
///
/// # Errors
/// [`Error`] if the marks so far are unusable.
pub fn further_marks(marks: Marks<'_>, standard: Standard) -> Result<Vec<Help>, Error> {
    between(marks)?;
    let mut found = Vec::new();
    for (index, clip) in marks.clips.iter().enumerate() {
        for event in [Event::First, Event::Then] {
            let of = match event {
                Event::First => marks.first,
                Event::Then => marks.then,
            };
            if of.iter().all(|sight| sight.clip != index) && clip.possible().is_ok() {
                found.extend(further_mark(marks, (index, clip), event, standard));
            }
        }
    }
    found.sort_by(|a, b| b.settles.total_cmp(&a.settles).then(a.sigma_s.total_cmp(&b.sigma_s)));
    Ok(found)
}

fn further_mark(
    marks: Marks<'_>,
    (index, clip): (usize, &Clip),
    event: Event,
    standard: Standard,
) -> Option<Help> {
    let rate = clip.rate?.as_f64();
    let of = match event {
        Event::First => marks.first,
        Event::Then => marks.then,
    };
    let (low, high) = reach(marks.clips, of)?;
    let slack = 5.0 * clip.sigma_at(clip.own(low)) + clip.exposure_s + clip.readout_s;
    let frame = |common_s: f64| (clip.own(common_s) * rate).ceil().max(1.0) as u64;
    let (from, to) = (frame(low - slack), frame(high + slack));
    let step = (to - from) / LOOKED_AT + 1;
    let (mut evidence, mut variance, mut settles) = (0.0, 0.0, 0.0);
    for frame in (from..=to).step_by(usize::try_from(step).ok()?) {
        let mut with: Vec<Sight> = of.to_vec();
        with.push(clip.sight(index, Mark::Frame(frame)).ok()?);
        let marked = match event {
            Event::First => Marks { first: &with, ..marks },
            Event::Then => Marks { then: &with, ..marks },
        };
        let Some(joint) = Joint::of(marked) else { continue };
        let weight = joint.evidence();
        evidence += weight;
        variance += weight * joint.mean_and_sigma().1.powi(2);
        match Verdict::of(joint.above(standard.at_least_s), standard.established) {
            Verdict::Established { .. } | Verdict::Refuted { .. } => settles += weight,
            Verdict::Inconclusive { .. } | Verdict::Contradiction => {}
        }
    }
    let sigma_s = (variance / evidence).sqrt();
    (evidence > 0.0).then(|| Help { clip: index, event, sigma_s, settles: settles / evidence })
}

/// Where an event can lie by its marks, to five sigmas of each clock, in common time.
fn reach(clips: &[Clip], of: &[Sight]) -> Option<(f64, f64)> {
    let ends = of.iter().filter_map(|sight| Some(sight.reach(clips.get(sight.clip)?)));
    let (low, high) = ends
        .fold((f64::NEG_INFINITY, f64::INFINITY), |(low, high), (from, to)| (low.max(from), high.min(to)));
    (low < high).then_some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clip(rate: &str, offset_sigma_s: f64) -> Clip {
        Clip { rate: rate.parse().ok(), offset_sigma_s, ..Clip::default() }
    }

    fn sight(clips: &[Clip], on: usize, frame: u64) -> Sight {
        clips[on].sight(on, Mark::Frame(frame)).expect("a mark")
    }

    const STANDARD: Standard = Standard { at_least_s: 0.0, established: 0.99 };

    /// A fast camera that is well tied beats a slow one, and one whose clock nobody knows helps only where it sees
    /// both events.
    #[test]
    fn the_fast_and_well_tied_camera_comes_first() {
        let clips = [clip("30", 0.0), clip("240", 0.000_2), clip("25", 0.001), clip("240", 5.0)];
        let (first, then) = ([sight(&clips, 0, 60)], [sight(&clips, 0, 60)]);
        let marks = Marks { clips: &clips, first: &first, then: &then };
        let found = further_marks(marks, STANDARD).expect("marks that can be");
        assert_eq!(found.len(), 6);
        assert_eq!(found[0].clip, 1);
        let of = |clip: usize| found.iter().filter(move |help| help.clip == clip).map(|help| help.sigma_s);
        // Two frames of 1/30 s: T/sqrt(6) = 13.6 ms. One of them narrowed to 1/240 s: about T/sqrt(12) = 9.6 ms.
        assert!(of(1).all(|sigma| (sigma - 0.0096).abs() < 0.0002), "{found:?}");
        assert!(of(3).all(|sigma| (sigma - 0.0136).abs() < 0.0001), "{found:?}");
        assert!(of(2).all(|sigma| 0.0097 < sigma && sigma < 0.0136), "{found:?}");
    }

    /// Summed over all frames that it could be, a further mark leaves the evidence unchanged.
    // PROPERTY: a further mark shares the evidence among its frames
    #[test]
    fn the_frames_of_a_further_mark_share_the_evidence() {
        let clips = [clip("60", 0.0), clip("50", 0.003), clip("30", 0.004)];
        let (first, then) = ([sight(&clips, 0, 60)], [sight(&clips, 1, 52)]);
        let before =
            Joint::of(Marks { clips: &clips, first: &first, then: &then }).expect("no contradiction");
        let sum: f64 = (25..40)
            .filter_map(|frame| {
                let first = [first[0], sight(&clips, 2, frame)];
                Joint::of(Marks { clips: &clips, first: &first, then: &then })
            })
            .map(|joint| joint.evidence())
            .sum();
        // What lies beyond four sigmas is called a contradiction.
        assert!((sum / before.evidence() - 1.0).abs() < 1e-4, "{sum} {}", before.evidence());
    }
}
