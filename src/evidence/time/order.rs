//! How much time lies between two events that cameras saw, and how sure it is that one came before the other.
//!
//! A mark is the first frame that shows an event. The frame before did not show it, so the event lies between the
//! two instants, and nothing says where: it is uniform there. What else is not known is stated:
//!
//! - *Clocks.* Common time = `offset_s` + clip time × (1 + drift). The error of the offset is normal and shared by
//!   all marks on the clip; that of the drift is normal and grows from `offset_at_s`, where the offset was measured.
//! - *Rolling shutter.* The rows of a picture are read one after the other during `readout_s`, the first at the
//!   frame's instant. Where in the picture the event is, is not asked: it may be anywhere, so each mark is late by
//!   a uniform 0 … `readout_s` of its own.
//! - *Exposure.* The frame's instant is the middle of its exposure; how much of the exposure must show the event
//!   before a person sees it is not known, so each mark is off by a uniform ±`exposure_s`/2 of its own.
//!
//! Before the marks, any instants of the two events are as likely as any others. With one mark an event the gap is
//! then a sum of uniforms and a normal, in closed form (`spread`). With several marks the joint distribution of both
//! events and all clock errors is conditioned on every mark being right (`joint`): cameras that agree narrow each
//! other's clock error, and marks that cannot all be right are a contradiction, never an average.

pub mod joint;

use super::rate::Rate;
use super::spread::Spread;
use crate::error::Error;
use crate::verdict::Verdict;
use joint::Joint;

/// Times beyond this many seconds are mistakes; the bound keeps a microsecond well inside a float.
const LONGEST_S: f64 = 1e8;

/// Instants closer than this, a nanosecond, are one instant: far below the resolution of any clip's time base.
const SAME_S: f64 = 1e-9;

/// Marks that would need a clock error of more sigmas than this contradict each other: one in 16,000 would by chance.
const CONTRADICTS: f64 = 4.0;

/// A clip's clock and camera. All fields are finite; every sigma and length of time is 0 or more.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Clip {
    /// Pictures a second; none where it varies.
    pub rate: Option<Rate>,
    /// Common time of the clip's instant 0, in seconds.
    pub offset_s: f64,
    /// The standard error of the offset, at `offset_at_s`.
    pub offset_sigma_s: f64,
    /// How much faster common time runs than the clip, in millionths.
    pub drift_ppm: f64,
    pub drift_sigma_ppm: f64,
    /// The instant of the clip at which its offset was measured.
    pub offset_at_s: f64,
    /// From the first row to the last.
    pub readout_s: f64,
    /// How long each row is exposed.
    pub exposure_s: f64,
}

/// A mark: the first frame that shows the event.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mark {
    /// In a clip of constant rate.
    Frame(u64),
    /// In a clip of any rate.
    Instants {
        /// Of the last frame that does not show it, in seconds of the clip.
        since_s: f64,
        /// Of the first that does.
        at_s: f64,
    },
}

/// A mark on a clip: the event lies after `since_s` and not after `at_s`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    pub clip: usize,
    since_s: f64,
    at_s: f64,
}

impl Clip {
    /// Checks that every figure is in range.
    ///
    /// # Errors
    /// [`Error::ClipFigure`] names the first one that is not.
    pub fn possible(&self) -> Result<(), Error> {
        let signed = [("offset_s", self.offset_s), ("offset_at_s", self.offset_at_s)];
        if let Some((name, _)) =
            signed.into_iter().find(|(_, value)| value.is_nan() || value.abs() > LONGEST_S)
        {
            return Err(Error::ClipFigure(name, ", within three years"));
        }
        if self.drift_ppm.is_nan() || self.drift_ppm.abs() > 1e5 {
            return Err(Error::ClipFigure("drift_ppm", ", at most a tenth of the time"));
        }
        let lengths = [
            ("offset_sigma_s", self.offset_sigma_s),
            ("drift_sigma_ppm", self.drift_sigma_ppm),
            ("readout_s", self.readout_s),
            ("exposure_s", self.exposure_s),
        ];
        match lengths.into_iter().find(|(_, value)| !(0.0..=LONGEST_S).contains(value)) {
            Some((name, _)) => Err(Error::ClipFigure(name, ", 0 or more")),
            None => Ok(()),
        }
    }

    /// A mark on this clip, whose index is `clip`.
    ///
    /// # Errors
    /// [`Error`] for a mark without a usable time.
    pub fn sight(&self, clip: usize, mark: Mark) -> Result<Sight, Error> {
        let (since_s, at_s) = match mark {
            Mark::Frame(frame) => {
                let rate = self.rate.ok_or(Error::NoRate)?;
                let before = frame.checked_sub(1).ok_or(Error::FrameZero)?;
                (rate.at(before).as_f64(), rate.at(frame).as_f64())
            }
            Mark::Instants { since_s, at_s } => (since_s, at_s),
        };
        if [since_s, at_s].iter().any(|time| time.is_nan() || time.abs() > LONGEST_S) {
            return Err(Error::MarkWithoutTime);
        }
        if at_s - since_s < SAME_S {
            return Err(Error::NotBefore);
        }
        Ok(Sight { clip, since_s, at_s })
    }

    /// Clip time in common time, as far as offset and drift are known.
    pub fn common(&self, clip_s: f64) -> f64 {
        self.offset_s + clip_s * (1.0 + self.drift_ppm * 1e-6)
    }

    /// Common time in clip time.
    pub fn own(&self, common_s: f64) -> f64 {
        (common_s - self.offset_s) / (1.0 + self.drift_ppm * 1e-6)
    }

    /// The standard error of [`Clip::common`] at an instant of the clip.
    pub fn sigma_at(&self, clip_s: f64) -> f64 {
        self.offset_sigma_s.hypot(self.drift_sigma_ppm * 1e-6 * (clip_s - self.offset_at_s))
    }
}

impl Sight {
    /// Where the event can lie, to five sigmas of the clip's clock and with its shutter, in common time.
    pub fn reach(&self, clip: &Clip) -> (f64, f64) {
        let slack = 5.0 * clip.sigma_at(self.middle()) + clip.exposure_s / 2.0;
        (clip.common(self.since_s) - slack, clip.common(self.at_s) + clip.readout_s + slack)
    }

    /// The middle of the interval, in clip time.
    fn middle(&self) -> f64 {
        (self.since_s + self.at_s) / 2.0
    }
}

/// The marks of two events on these clips.
#[derive(Debug, Clone, Copy)]
pub struct Marks<'a> {
    pub clips: &'a [Clip],
    pub first: &'a [Sight],
    pub then: &'a [Sight],
}

/// What the marks say of the time from the one event to the other.
#[derive(Debug, Clone, PartialEq)]
pub enum Between {
    Known(Gap),
    /// No plausible clock error lets all marks be right.
    Contradiction,
}

/// The distribution of the time from the one event to the other, in seconds.
#[derive(Debug, Clone, PartialEq)]
pub enum Gap {
    /// In closed form.
    Sum(Spread),
    /// By quadrature.
    Joint(Joint),
}

/// A gap with its errors, in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Positive where `then` came later.
    pub mean: f64,
    pub sigma: f64,
    /// The ends of the central interval that holds the gap with 95 %.
    pub low95: f64,
    pub high95: f64,
}

impl Gap {
    /// P(gap > at least), in [0, 1].
    pub fn above(&self, at_least_s: f64) -> f64 {
        match self {
            Gap::Sum(spread) => spread.above(at_least_s),
            Gap::Joint(joint) => joint.above(at_least_s),
        }
    }

    /// The gap with its errors.
    pub fn figures(&self) -> Figures {
        match self {
            Gap::Sum(spread) => {
                let (low95, high95) = spread.central(0.95);
                Figures { mean: spread.mean(), sigma: spread.sigma(), low95, high95 }
            }
            Gap::Joint(joint) => {
                let (mean, sigma) = joint.mean_and_sigma();
                Figures { mean, sigma, low95: joint.quantile(0.025), high95: joint.quantile(0.975) }
            }
        }
    }
}

impl Between {
    /// The verdict on "the gap is more than this", under a standard in (0.5, 1].
    pub fn verdict(&self, at_least_s: f64, standard: f64) -> Verdict {
        match self {
            Between::Known(gap) => Verdict::of(gap.above(at_least_s), standard),
            Between::Contradiction => Verdict::Contradiction,
        }
    }
}

/// What the marks say of the time from the first event to the other.
///
/// # Errors
/// [`Error`] if an event has no mark, a mark has no clip, or a clip has a figure out of range.
pub fn between(marks: Marks<'_>) -> Result<Between, Error> {
    checked(marks)?;
    match (marks.first, marks.then) {
        ([first], [then]) => Ok(Between::Known(Gap::Sum(one_each(marks.clips, first, then)))),
        _ => Ok(Joint::of(marks).map_or(Between::Contradiction, |joint| Between::Known(Gap::Joint(joint)))),
    }
}

fn checked(marks: Marks<'_>) -> Result<(), Error> {
    if marks.first.is_empty() || marks.then.is_empty() {
        return Err(Error::NoMark);
    }
    for sight in marks.first.iter().chain(marks.then) {
        marks.clips.get(sight.clip).ok_or(Error::NoClip)?.possible()?;
    }
    Ok(())
}

/// One mark an event. On one clip the offset is shared and cancels, and so does all of the drift but its error over
/// the time between the marks.
fn one_each(clips: &[Clip], first: &Sight, then: &Sight) -> Spread {
    let (one, other) = (&clips[first.clip], &clips[then.clip]);
    let middle = |clip: &Clip, sight: &Sight| clip.common(sight.middle()) + clip.readout_s / 2.0;
    let width = |clip: &Clip, sight: &Sight| clip.common(sight.at_s) - clip.common(sight.since_s);
    let sigma = if first.clip == then.clip {
        one.drift_sigma_ppm * 1e-6 * (then.middle() - first.middle()).abs()
    } else {
        one.sigma_at(first.middle()).hypot(other.sigma_at(then.middle()))
    };
    let widths = [
        width(one, first),
        width(other, then),
        one.readout_s,
        other.readout_s,
        one.exposure_s,
        other.exposure_s,
    ];
    Spread::new(middle(other, then) - middle(one, first), &widths, sigma)
}
