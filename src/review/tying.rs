//! Ties of cameras to one clock: when a tie counts, and the clocks that the ties of a review give.

use super::event::{SameMoment, Tied};
use super::fold::Review;
use super::refusal::{Refusal, no};
use evidence::text;
use evidence::time::ties::{By, End, Pair, clocks};

/// No clip is longer than this, in seconds.
const LONGEST_S: f64 = 1e8;

impl SameMoment {
    /// Start of the last frame that does not show the moment, in seconds from the clip's first frame.
    pub fn since_s(&self) -> f64 {
        self.seconds(self.since)
    }

    /// Start of the first frame that shows the moment, in seconds from the clip's first frame.
    pub fn at_s(&self) -> f64 {
        self.seconds(self.at)
    }

    fn seconds(&self, time: i64) -> f64 {
        let (over, under) = self.time_base;
        time as f64 * f64::from(over) / f64::from(under)
    }

    /// Whether its times can be those of a clip.
    fn is_possible(&self) -> bool {
        let (over, under) = self.time_base;
        over > 0 && under > 0 && self.since >= 0 && self.since < self.at && self.at_s() <= LONGEST_S
    }

    /// Whether both are the same frame.
    fn is(&self, other: &SameMoment) -> bool {
        let key = |seen: &SameMoment| (seen.camera.clone(), seen.time_base, seen.at);
        key(self) == key(other)
    }
}

/// The tie, or why it does not count. The same two frames are one observation, in either order.
pub(super) fn tied(review: &Review, tied: Tied) -> Result<Tied, Refusal> {
    let Tied { one, other } = &tied;
    if let Some(seen) = [one, other].into_iter().find(|seen| !seen.is_possible()) {
        return no(
            format!("the frame of {} at {} has no earlier frame to tie from", seen.camera, seen.timecode),
            "step to the first picture that shows the moment: the one before it must not show it",
        );
    }
    if one.camera == other.camera {
        return no(
            format!("{} is a single camera: a tie needs two", one.camera),
            "go to another camera that sees the same moment",
        );
    }
    let same = |known: &Tied| {
        (known.one.is(one) && known.other.is(other)) || (known.one.is(other) && known.other.is(one))
    };
    if review.ties().any(same) {
        return no(
            format!("{} and {} are tied by these two pictures already", one.camera, other.camera),
            "tie them by another moment: that says how their clocks drift",
        );
    }
    Ok(tied)
}

/// The clocks that the ties of a review give, one line for each camera, relative to the camera of the first tie. For
/// readers who have the log alone, without the timecodes of the clips.
pub fn fits(review: &Review) -> Vec<String> {
    let mut cameras: Vec<&str> = Vec::new();
    for seen in review.ties().flat_map(|tied| [&tied.one, &tied.other]) {
        if !cameras.contains(&seen.camera.as_str()) {
            cameras.push(&seen.camera);
        }
    }
    let end = |seen: &SameMoment| {
        let clip = cameras.iter().position(|camera| *camera == seen.camera)?;
        Some(End { clip, since_s: seen.since_s(), at_s: seen.at_s() })
    };
    let pair = |tied: &Tied| Some(Pair { one: end(&tied.one)?, other: end(&tied.other)?, by: By::Moment });
    let pairs: Vec<Pair> = review.ties().filter_map(pair).collect();
    let clocks = match clocks(cameras.len(), 0, &pairs) {
        Ok(clocks) => clocks,
        Err(wrong) => return vec![wrong.to_string()],
    };
    let fits = cameras.iter().zip(&clocks).filter_map(|(camera, clock)| {
        let words = text::clock((cameras.get(clock.root)?, camera), clock.fitted.as_ref()?);
        let doubt = if clock.agrees() { "" } else { "; the ties contradict each other" };
        Some(format!("{words}{doubt}"))
    });
    fits.collect()
}
