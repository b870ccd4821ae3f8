//! Which marks count: one for each moment and camera; what may replace them; and whether a point was placed where its
//! moment is marked.

use super::event::{Marked, Placed, SeenFrom};
use super::fold::Review;
use super::refusal::{Refusal, no};
use evidence::mark::{Measurement, Quantity};
use rules::book::tree::{Proof, Step};

/// The marks that count, in the order set: for each moment and camera the newest one from a clip, else the newest typed
/// one.
pub fn in_force(review: &Review) -> Vec<&Marked> {
    let mut marks: Vec<&Marked> = Vec::new();
    for marked in review.marks() {
        match marks.iter().position(|known| of_same(known, marked)) {
            Some(at) if marks[at].shot.is_some() && marked.shot.is_none() => {}
            Some(at) => {
                marks.remove(at);
                marks.push(marked);
            }
            None => marks.push(marked),
        }
    }
    marks
}

/// The mark that the newest mark replaces, and the newest: same moment and camera, another frame.
pub fn replaced(review: &Review) -> Option<(&Marked, &Marked)> {
    let marks: Vec<&Marked> = review.marks().collect();
    let (newest, before) = marks.split_last()?;
    let older = before.iter().rev().find(|marked| of_same(marked, newest))?;
    (older.mark.timecode != newest.mark.timecode).then_some((*older, *newest))
}

/// Whether both mark one moment on one camera.
fn of_same(one: &Marked, other: &Marked) -> bool {
    one.mark.moment == other.mark.moment && one.mark.camera == other.mark.camera
}

/// The mark, if it may be set. A typed timecode may add a spot or a clock to a frame that is marked in its clip, but
/// never replaces it with another frame.
pub(super) fn counted(review: &Review, marked: Marked) -> Result<Marked, Refusal> {
    let stands = in_force(review).into_iter().find(|known| of_same(known, &marked));
    match stands {
        Some(known)
            if known.shot.is_some()
                && marked.shot.is_none()
                && known.mark.timecode != marked.mark.timecode =>
        {
            no(
                format!(
                    "`{}` on {} is marked in its clip at {} already: a typed timecode does not replace it",
                    known.mark.moment, known.mark.camera, known.mark.timecode
                ),
                "mark the other frame in the clip, or take that mark back and type it",
            )
        }
        Some(_) | None => Ok(marked),
    }
}

/// Checks that a point placed for a step is proof: in every camera with a mark of the step's moment it lies in the
/// marked frame, and at least one camera has a mark. A camera without one shows the moment by its clock; whoever places
/// the point has to check that.
///
/// # Errors
/// [`Refusal`] where the point proves nothing.
pub fn at_moment(review: &Review, step: &Step, seen: &[SeenFrom]) -> Result<(), Refusal> {
    let Proof::Position { at, .. } = &step.proof else { return Ok(()) };
    let marks = in_force(review);
    let mut marks = marks.into_iter().filter(|marked| marked.mark.moment == *at).peekable();
    if marks.peek().is_none() {
        return no(
            format!("`{at}` is not marked: a point proves nothing before its moment is marked"),
            format!("mark the frame of `{at}` first, then place the point in it"),
        );
    }
    let marks: Vec<&Marked> = marks.collect();
    let own = |seen: &SeenFrom| marks.iter().find(|marked| marked.mark.camera == seen.camera).copied();
    let elsewhere =
        seen.iter().find_map(|seen| own(seen).filter(|marked| !is_frame(seen, marked)).zip(Some(seen)));
    let none = seen.iter().all(|seen| own(seen).is_none()).then(|| marks.first().copied().zip(seen.first()));
    match elsewhere.or(none.flatten()) {
        Some((marked, seen)) => no(
            format!(
                "`{at}` is marked in another picture, {} {}; the point is placed in {} {}",
                marked.mark.camera, marked.mark.timecode, seen.camera, seen.timecode
            ),
            "place the point in the marked frame, or mark this one",
        ),
        None => Ok(()),
    }
}

/// Whether the clicks are in the marked frame: by the proof of both frames, else by their timecodes.
fn is_frame(seen: &SeenFrom, marked: &Marked) -> bool {
    match (&seen.shot, &marked.shot) {
        (Some(one), Some(other)) => one.clip_sha256 == other.clip_sha256 && one.frame == other.frame,
        (Some(_) | None, _) => seen.timecode == marked.mark.timecode,
    }
}

/// Refuses a measurement of a placed point unless that point is where its moment is marked.
pub(super) fn rests(
    review: &Review,
    question: usize,
    step: &Step,
    measured: &Measurement,
) -> Result<(), Refusal> {
    let is_of = |placed: &&Placed| {
        placed.question == question && placed.step == step.name && placed.measurement.of == measured.of
    };
    match (&measured.of, review.placed().filter(is_of).last()) {
        (Some(Quantity::Position { .. }), Some(placed)) => at_moment(review, step, &placed.seen),
        (Some(_) | None, _) => Ok(()),
    }
}
