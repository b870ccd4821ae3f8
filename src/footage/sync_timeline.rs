//! Several cameras on one clock: the common time of a frame, and the frame of a common time.
//!
//! Common time = offset + clip time × (1 + drift), clip time counted from the first frame. Everything is counted in
//! whole nanoseconds and parts in a thousand million; nothing is a float.

use super::clip::Clip;

/// Nanoseconds of the common clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Nanos(pub i64);

/// Instants closer than this are one: the rounding of two clocks, far below the resolution of any clip's time base.
const SAME: i64 = 1_000;

const BILLION: i128 = 1_000_000_000;

/// How a camera's clock runs against the common one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tie {
    /// Common time of the clip's first frame.
    pub offset: Nanos,
    /// By how much the clip's clock is slow, in parts per thousand million.
    pub drift: i32,
}

/// A clip's frames on the common clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Track {
    /// Common times of the frames, rising.
    times: Vec<Nanos>,
}

impl Track {
    /// The frames of a clip under a tie.
    pub fn new(clip: &Clip, tie: Tie) -> Track {
        let first = clip.frames.first().map_or(0, |frame| frame.pts);
        let (over, under) = clip.base.parts();
        let common = |pts: i64| {
            let own = (i128::from(pts) - i128::from(first)) * i128::from(over) * BILLION / i128::from(under);
            let drift = own.saturating_mul(i128::from(tie.drift)) / BILLION;
            let common = own.saturating_add(drift).saturating_add(i128::from(tie.offset.0));
            Nanos(i64::try_from(common).unwrap_or(i64::MAX))
        };
        Track { times: clip.frames.iter().map(|frame| common(frame.pts)).collect() }
    }

    /// From common times, rising.
    #[cfg(test)]
    pub(crate) fn from_times(times: Vec<Nanos>) -> Track {
        Track { times }
    }

    /// Number of frames.
    pub fn frames(&self) -> usize {
        self.times.len()
    }

    /// When a frame is shown; the last frame's time beyond it.
    pub fn time_of(&self, frame: usize) -> Nanos {
        self.times.get(frame).or(self.times.last()).copied().unwrap_or(Nanos(0))
    }

    /// The frame on the screen at a time; `None` before the camera ran, and after it stopped.
    pub fn frame_at(&self, at: Nanos) -> Option<usize> {
        let at = Nanos(at.0.saturating_add(SAME));
        let frame = self.times.partition_point(|time| *time <= at).checked_sub(1)?;
        let is_over = frame + 1 == self.times.len()
            && at.0.saturating_sub(self.time_of(frame).0) > self.interval() + SAME;
        (!is_over).then_some(frame)
    }

    /// The longest time between two frames, which is taken for the duration of the last.
    fn interval(&self) -> i64 {
        let steps =
            self.times.windows(2).filter_map(|pair| Some(pair.last()?.0.saturating_sub(pair.first()?.0)));
        steps.max().unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_stands_until_the_next_and_nothing_before_the_first() {
        let track = Track::from_times([100_000, 140_000, 180_000].map(Nanos).to_vec());
        for (at, frame) in [
            (90_000, None),
            (99_999, Some(0)),
            (100_000, Some(0)),
            (138_000, Some(0)),
            (139_999, Some(1)),
            (140_000, Some(1)),
            (219_000, Some(2)),
            (221_000, None),
        ] {
            assert_eq!(track.frame_at(Nanos(at)), frame, "{at}");
        }
        assert_eq!(track.time_of(1), Nanos(140_000));
        assert_eq!(Track::from_times(Vec::new()).frame_at(Nanos(0)), None);
    }
}
