//! The game clock as the official read it off a scoreboard, and the clock at the current frame that follows from it.
//!
//! The arithmetic is in `evidence`. Clips are tied by their timecodes, which name a frame, so each clock may be off by up
//! to one frame (a rectangle of one interval; GUM, JCGM 100, 4.3.7), as for orders.

use super::pictures::{Pictures, Target};
use evidence::time::scoreboard::{Scoreboard, Shown, figure};
use evidence::time::timecode::Timecode;
use footage::clip::Clip;

/// A reading of the board in one frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Read {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    pub frame: usize,
    pub timecode: Timecode,
    pub shown_ms: i64,
    /// From one figure to the next, by the places that were typed.
    pub step_ms: u32,
}

/// A clock takes two readings.
const KEPT: usize = 2;

/// Adds a reading. It replaces one of the same frame and all of another camera; of three, the oldest goes.
pub(crate) fn taken(mut reads: Vec<Read>, read: Read) -> Vec<Read> {
    reads.retain(|other| other.camera == read.camera && other.frame != read.frame);
    reads.push(read);
    let from = reads.len().saturating_sub(KEPT);
    reads.split_off(from)
}

/// What was read so far, and what to do next.
pub(crate) fn text(reads: &[Read]) -> String {
    let each = reads.iter().map(|read| figure(read.shown_ms, read.step_ms));
    let each = each.collect::<Vec<_>>().join(", ");
    match reads.len() {
        0 | 1 => {
            format!("the clock is read: {each}; read it in a second frame, best where the figure changes")
        }
        _ => format!("the clock is read twice: {each}; go to the frame of the mark and type it"),
    }
}

/// The clock at the current frame; none before two readings, or if nothing ties the two cameras.
pub(crate) fn at(
    reads: &[Read],
    target: &Target,
    pictures: &Pictures,
    cameras: &[String],
) -> Option<Scoreboard> {
    let camera = reads.first().filter(|_| reads.len() == KEPT)?.camera;
    let (board, marked) = (pictures.facts(camera)?, pictures.facts(target.camera)?);
    let frame = target.frame();
    let at_s = second(marked, frame)?;
    let interval_s = at_s - second(marked, frame.checked_sub(1)?)?;
    // The mark on the scoreboard camera's clock; none if the two are not tied, or their ties disagree.
    let tied = pictures.clocks_as(camera).into_iter().find(|clock| clock.camera == target.camera);
    let clock = tied.filter(|clock| clock.agrees)?.clip;
    let on_board_s = clock.offset_s + at_s * (1.0 + clock.drift_ppm / 1e6);
    let drifted_s = clock.drift_sigma_ppm / 1e6 * (at_s - clock.offset_at_s);
    let tie_s = clock.offset_sigma_s.hypot(drifted_s);
    let shown = |read: &Read| {
        let before_s = on_board_s - second(board, read.frame)?;
        let Read { timecode, shown_ms, step_ms, .. } = *read;
        Some(Shown { timecode, shown_ms, step_ms, before_us: micros(before_s) })
    };
    Some(Scoreboard {
        camera: cameras.get(camera)?.clone(),
        shown: reads.iter().map(shown).collect::<Option<_>>()?,
        interval_us: micros(interval_s),
        tie_us: micros(tie_s),
    })
}

/// When a frame is shown, in seconds from the first frame of its clip.
pub(super) fn second(clip: &Clip, frame: usize) -> Option<f64> {
    let first = clip.frames.first()?.pts;
    Some(clip.base.seconds(clip.frames.get(frame)?.pts - first))
}

fn micros(seconds: f64) -> i64 {
    (seconds * 1e6).round() as i64
}
