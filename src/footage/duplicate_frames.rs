//! Scans a whole clip once for pictures that repeat the one before.
//!
//! A recorder that runs short writes a picture twice. Such a picture shows nothing new and misleads anyone who counts
//! frames, so it is named. A camera on a tripod before an empty field gives pictures that are alike as well, so a
//! picture is called repeated only where the others around it move.

use super::clip::Clip;
use super::fault::Fault;
use super::picture::{Colours, Picture};
use std::ops::ControlFlow;

/// A picture repeats the one before if its difference is below this share of what moving pictures differ by. Coded
/// again by the recorder, a repeat differs by nothing or by a rounding here and there.
const REPEATED: f64 = 0.02;

/// Below this mean difference of luma, of 255, too little moves to tell: compression alone makes such pictures alike.
const STILL: f64 = 0.5;

/// How much each picture differs from the one before; the first does not.
#[derive(Debug, Default)]
struct Differences {
    last: Vec<u8>,
    found: Vec<f64>,
}

impl Differences {
    /// Takes the next picture in the order of showing.
    fn take(&mut self, picture: &Picture) {
        let luma = match picture.format.colours {
            Colours::Planar(..) | Colours::SemiPlanar | Colours::Gray => picture.plane(0),
            Colours::Other => &picture.samples,
        };
        let is_first = self.last.is_empty();
        let sum: u64 = luma.iter().zip(&self.last).map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
        self.found.push(if is_first { 0.0 } else { sum as f64 / luma.len().max(1) as f64 });
        self.last.clear();
        self.last.extend_from_slice(luma);
    }

    /// The pictures that repeat the one before, by their place.
    fn repeated(&self) -> Vec<usize> {
        let steps = self.found.get(1..).unwrap_or(&[]);
        let mut sorted = steps.to_vec();
        sorted.sort_by(f64::total_cmp);
        // The upper quartile moves even where every second picture is a repeat.
        let moving = sorted.get(sorted.len() * 3 / 4).copied().unwrap_or(0.0);
        if moving < STILL {
            return Vec::new();
        }
        let is_repeat = |step: &f64| *step < moving * REPEATED;
        steps.iter().enumerate().filter(|(_, step)| is_repeat(step)).map(|(index, _)| index + 1).collect()
    }
}

/// Decodes every picture once, passes each to `each`, and adds what it finds to the clip's faults. If `each` breaks
/// off, nothing is added.
pub fn scan(clip: &mut Clip, each: &mut dyn FnMut(usize, &Picture) -> ControlFlow<()>) {
    let mut differences = Differences::default();
    let mut is_broken_off = false;
    let ended = clip.pictures(0..clip.frames.len(), &mut |frame, picture| {
        differences.take(&picture);
        let flow = each(frame, &picture);
        is_broken_off = flow.is_break();
        flow
    });
    if is_broken_off {
        return;
    }
    if let Err(reason) = ended {
        let is_known = clip.faults.iter().any(|fault| matches!(fault, Fault::Damaged { .. }));
        if !is_known {
            clip.faults.push(Fault::Damaged { first: reason.to_string() });
        }
    }
    let frames = differences.repeated();
    if !frames.is_empty() {
        clip.faults.push(Fault::Repeated { frames });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PixelFormat;

    fn repeated(values: &[u8]) -> Vec<usize> {
        let mut differences = Differences::default();
        for value in values {
            let format = PixelFormat::plain(false);
            let samples = vec![*value; format.size(4, 4)];
            differences.take(&Picture { pts: 0, width: 4, height: 4, format, samples, exact: true });
        }
        differences.repeated()
    }

    #[test]
    fn a_picture_repeats_the_one_before_only_where_others_move() {
        assert_eq!(repeated(&[10, 20, 30, 30, 30, 40, 50, 60]), [3, 4]);
        assert_eq!(repeated(&[10, 10, 20, 20, 30, 30, 40, 40]), [1, 3, 5, 7]);
        assert!(repeated(&[10; 8]).is_empty(), "nothing moves");
        assert!(repeated(&[10, 20, 31, 41, 52]).is_empty());
        assert!(repeated(&[10]).is_empty() && repeated(&[]).is_empty());
    }
}
