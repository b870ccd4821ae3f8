//! Several cameras on one clock: the clock of each as one of them runs, from ties between any two.
//!
//! One clip is the root: its time is common time. A clip is fitted (`sync`) by its ties with clips whose clock is known
//! already, and is known from then on; what no tie leads to begins a clock of its own. Moments that both cameras see
//! come before timecodes, which some recorders set by hand: a timecode ties only what no moment ties, and is otherwise
//! compared.
//!
//! A clip that is tied through another has the error of both: that of the nearest clip that it is tied to is the same
//! for all its ties and is added to the fit; what the others have beyond it goes into the weight of their ties.

use super::order::Clip;
use super::sync::{CHANCE, Sync, Tie, sync};
use crate::error::Error;
use crate::normal;

/// What is known beforehand of how two cameras' clocks drift against each other, in millionths: a standard error. The
/// data sheets of quartz oscillators state 20 to 50 over their range of temperatures (from memory).
pub const DRIFT_SIGMA_PPM: f64 = 50.0;

/// One end of a tie: the moment lies after `since_s` and not after `at_s` of this clip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    pub clip: usize,
    pub since_s: f64,
    pub at_s: f64,
}

/// What a tie rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// A moment that both cameras see.
    Moment,
    /// The timecodes that both carry.
    Timecode,
}

/// A tie of two clips.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    pub one: End,
    pub other: End,
    pub by: By,
}

/// A clip's clock.
#[derive(Debug, Clone, PartialEq)]
pub struct Clock {
    /// The clip whose time is common time; the clip itself if no tie leads to another.
    pub root: usize,
    /// None for a root.
    pub fitted: Option<Fitted>,
}

/// A clock fitted by ties.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// With the error of those that it is tied through.
    pub sync: Sync,
    /// Indices of the ties that it was fitted by, in the order of the residuals.
    pub ties: Vec<usize>,
    pub by: By,
    /// Whether its ties agree, and those of every clip that it is tied through.
    pub agrees: bool,
    /// How far the timecodes are off the fit, in seconds, where that is more than the errors of both.
    pub timecode_off_s: Option<f64>,
}

impl Clock {
    /// The clock as figures of a clip.
    pub fn clip(&self) -> Clip {
        let free = Clip::default();
        self.fitted.as_ref().map_or(free, |fitted| fitted.sync.on(free))
    }

    /// Whether the ties that it rests on agree, as far as there are any.
    pub fn agrees(&self) -> bool {
        self.fitted.as_ref().is_none_or(|fitted| fitted.agrees)
    }
}

/// The clock of each of `count` clips, as the clip `root` runs where ties lead to it.
///
/// # Errors
/// [`Error::TieWithoutTime`] with the index of the tie.
pub fn clocks(count: usize, root: usize, pairs: &[Pair]) -> Result<Vec<Clock>, Error> {
    let fits = |pair: &Pair| [pair.one, pair.other].iter().all(|end| end.at_s > end.since_s);
    if let Some(wrong) = pairs.iter().position(|pair| !fits(pair)) {
        return Err(Error::TieWithoutTime(wrong));
    }
    let mut known: Vec<Option<Clock>> = vec![None; count];
    let first_free = |known: &[Option<Clock>]| known.iter().position(Option::is_none);
    let mut next_root = (root < count).then_some(root);
    while let Some(free) = next_root.take().or_else(|| first_free(&known)) {
        if let Some(place) = known.get_mut(free) {
            *place = Some(Clock { root: free, fitted: None });
        }
        while let Some((clip, by)) = next(&known, pairs) {
            let clock = fitted((clip, by), &known, pairs)?;
            if let Some(place) = known.get_mut(clip) {
                *place = Some(clock);
            }
        }
    }
    Ok(known.into_iter().flatten().collect())
}

/// The clip to be fitted next: that with the most ties to known ones, moments before timecodes.
fn next(known: &[Option<Clock>], pairs: &[Pair]) -> Option<(usize, By)> {
    let most = |by: By| {
        let free = (0..known.len()).filter(|clip| known.get(*clip).is_some_and(Option::is_none));
        let counted = free.map(|clip| (ties(clip, by, known, pairs).len(), clip));
        let most =
            counted.filter(|(count, _)| *count > 0).max_by_key(|(count, clip)| (*count, usize::MAX - clip));
        most.map(|(_, clip)| (clip, by))
    };
    most(By::Moment).or_else(|| most(By::Timecode))
}

/// A tie of a clip with one whose clock is known.
struct Known<'a> {
    index: usize,
    own: End,
    other: End,
    clock: &'a Clock,
}

impl Known<'_> {
    /// The error of the other clip's clock at the moment, in seconds.
    fn sigma_s(&self) -> f64 {
        self.clock.clip().sigma_at((self.other.since_s + self.other.at_s) / 2.0)
    }

    /// The tie in common time; `beyond_s` is the part of the other clock's error that is not shared with other ties.
    fn tie(&self, beyond_s: f64) -> Tie {
        let clip = self.clock.clip();
        let (since_s, at_s) = (clip.common(self.other.since_s), clip.common(self.other.at_s));
        let (middle, width) = ((since_s + at_s) / 2.0, at_s - since_s);
        // A rectangle of the same variance as that of the interval and that of the clock together.
        let half = (width * width + 12.0 * beyond_s * beyond_s).sqrt() / 2.0;
        Tie {
            since_s: self.own.since_s,
            at_s: self.own.at_s,
            common_since_s: middle - half,
            common_at_s: middle + half,
        }
    }
}

fn ties<'a>(clip: usize, by: By, known: &'a [Option<Clock>], pairs: &[Pair]) -> Vec<Known<'a>> {
    let of = pairs.iter().enumerate().filter(|(_, pair)| pair.by == by).filter_map(|(index, pair)| {
        let (own, other) = match (pair.one.clip == clip, pair.other.clip == clip) {
            (true, false) => (pair.one, pair.other),
            (false, true) => (pair.other, pair.one),
            (true, true) | (false, false) => return None,
        };
        let clock = known.get(other.clip)?.as_ref()?;
        Some(Known { index, own, other, clock })
    });
    of.collect()
}

fn fitted((clip, by): (usize, By), known: &[Option<Clock>], pairs: &[Pair]) -> Result<Clock, Error> {
    let by_known = ties(clip, by, known, pairs);
    let nearest = by_known.iter().min_by(|one, other| one.sigma_s().total_cmp(&other.sigma_s()));
    let Some(nearest) = nearest else { return Err(Error::NoTie) };
    let shared_s = nearest.sigma_s();
    let beyond = |tie: &Known<'_>| (tie.sigma_s().powi(2) - shared_s.powi(2)).max(0.0).sqrt();
    let all: Vec<Tie> = by_known.iter().map(|tie| tie.tie(beyond(tie))).collect();
    let fit = sync(&all, DRIFT_SIGMA_PPM)?;
    let through = nearest.clock.clip();
    let sync = Sync {
        offset_sigma_s: fit.offset_sigma_s.hypot(shared_s),
        drift_sigma_ppm: fit.drift_sigma_ppm.hypot(through.drift_sigma_ppm),
        ..fit
    };
    let timecode_off_s = match by {
        By::Moment => timecode_off(&sync, &ties(clip, By::Timecode, known, pairs)),
        By::Timecode => None,
    };
    let agrees = sync.agrees && by_known.iter().all(|tie| tie.clock.agrees());
    let ties = by_known.iter().map(|tie| tie.index).collect();
    Ok(Clock { root: nearest.clock.root, fitted: Some(Fitted { sync, ties, by, agrees, timecode_off_s }) })
}

/// How far the first timecode that chance does not explain is from the fit.
fn timecode_off(sync: &Sync, timecodes: &[Known<'_>]) -> Option<f64> {
    let clip = sync.on(Clip::default());
    let mut off = timecodes.iter().map(|timecode| {
        let tie = timecode.tie(timecode.sigma_s());
        let own = (tie.since_s + tie.at_s) / 2.0;
        let width = (tie.at_s - tie.since_s).hypot(tie.common_at_s - tie.common_since_s);
        let sigma = clip.sigma_at(own).hypot(width / 12f64.sqrt());
        let off_s = (tie.common_since_s + tie.common_at_s) / 2.0 - clip.common(own);
        (off_s, 2.0 * normal::below(-off_s.abs() / sigma))
    });
    off.find(|(_, chance)| *chance < CHANCE).map(|(off_s, _)| off_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A moment in a clip of `rate` pictures a second.
    fn end(clip: usize, middle_s: f64, rate: f64) -> End {
        End { clip, since_s: middle_s - 0.5 / rate, at_s: middle_s + 0.5 / rate }
    }

    fn moment(one: (usize, f64), other: (usize, f64)) -> Pair {
        Pair { one: end(one.0, one.1, 60.0), other: end(other.0, other.1, 60.0), by: By::Moment }
    }

    fn timecode(one: (usize, f64), other: (usize, f64)) -> Pair {
        Pair { by: By::Timecode, ..moment(one, other) }
    }

    fn sync_of(clock: &Clock) -> &Sync {
        &clock.fitted.as_ref().expect("it is fitted").sync
    }

    /// One tie at 60 pictures a second is known to T/√12 in each of the two cameras (JCGM 100, 4.3.7).
    const ONE_S: f64 = 1.0 / 60.0 / 2.449_489_742_783_178;

    #[test]
    fn a_tie_gives_either_camera_its_clock_as_the_other_runs() {
        let pairs = [moment((0, 3.0), (1, 2.5))];
        for (root, clip, offset_s) in [(0, 1, 0.5), (1, 0, -0.5)] {
            let clocks = clocks(2, root, &pairs).expect("ties");
            assert_eq!(
                (clocks[root].root, clocks[root].fitted.is_none(), clocks[clip].root),
                (root, true, root)
            );
            let sync = sync_of(&clocks[clip]);
            assert!((sync.offset_s - offset_s).abs() < 1e-12 && (sync.offset_sigma_s - ONE_S).abs() < 1e-12);
            assert!((sync.drift_sigma_ppm - DRIFT_SIGMA_PPM).abs() < 1e-9);
        }
    }

    /// Errors of independent ties in a row add by their squares (JCGM 100, 5.1.2).
    #[test]
    fn a_camera_tied_through_another_has_the_error_of_both() {
        let pairs = [moment((0, 3.0), (1, 2.5)), moment((1, 2.5), (2, 7.0))];
        let clocks = clocks(4, 0, &pairs).expect("ties");
        let sync = sync_of(&clocks[2]);
        assert!((sync.offset_s + 4.0).abs() < 1e-12, "{sync:?}");
        assert!((sync.offset_sigma_s - ONE_S * 2f64.sqrt()).abs() < 1e-12);
        assert!((sync.drift_sigma_ppm - DRIFT_SIGMA_PPM * 2f64.sqrt()).abs() < 1e-9);
        // What nothing ties has a clock of its own.
        assert_eq!(clocks[3], Clock { root: 3, fitted: None });
    }

    #[test]
    fn two_cameras_that_only_each_other_see_have_one_clock_apart_from_the_root() {
        let clocks = clocks(3, 0, &[moment((2, 3.0), (1, 2.5))]).expect("ties");
        let roots: Vec<usize> = clocks.iter().map(|clock| clock.root).collect();
        assert_eq!(roots, [0, 1, 1]);
        assert!((sync_of(&clocks[2]).offset_s + 0.5).abs() < 1e-12);
    }

    /// Three ties round three cameras leave one to check: a loop that does not close is no clock.
    #[test]
    fn a_loop_of_ties_that_does_not_close_does_not_agree() {
        for (last_s, agrees) in [(7.0, true), (7.3, false)] {
            let pairs =
                [moment((0, 3.0), (1, 2.5)), moment((1, 2.5), (2, 7.0)), moment((2, last_s), (0, 3.0))];
            let clocks = clocks(3, 0, &pairs).expect("ties");
            assert_eq!(clocks.iter().all(Clock::agrees), agrees, "{last_s}");
        }
    }

    #[test]
    fn a_moment_comes_before_a_timecode_and_names_one_that_is_wrong() {
        let seen = moment((0, 3.0), (1, 2.5));
        for (timecode_s, off_s) in [(0.501, None), (0.9, Some(0.4))] {
            let pairs = [timecode((1, 0.0), (0, timecode_s)), seen];
            let clocks = clocks(2, 0, &pairs).expect("ties");
            let fitted = clocks[1].fitted.as_ref().expect("it is fitted");
            assert_eq!((fitted.by, fitted.ties.as_slice()), (By::Moment, &[1][..]));
            assert!((fitted.sync.offset_s - 0.5).abs() < 1e-12);
            assert_eq!(fitted.timecode_off_s.map(|off| (off * 1e6).round() / 1e6), off_s);
        }
        let clocks = clocks(2, 0, &[timecode((1, 0.0), (0, 0.9))]).expect("ties");
        let fitted = clocks[1].fitted.as_ref().expect("it is fitted");
        assert_eq!((fitted.by, fitted.timecode_off_s), (By::Timecode, None));
        assert!((fitted.sync.offset_s - 0.9).abs() < 1e-12);
    }

    /// Two cameras that drift by 30 ppm against each other, tied five times in 400 s.
    #[test]
    fn several_ties_give_the_drift_and_name_the_wrong_one() {
        let mut pairs: Vec<Pair> = (0..5)
            .map(|n| f64::from(n) * 100.0)
            .map(|at| moment((1, at), (0, at * 1.000_03 + 4.0)))
            .collect();
        pairs[3] = moment((1, 300.0), (0, 304.2));
        let clocks = clocks(2, 0, &pairs).expect("ties");
        let sync = sync_of(&clocks[1]);
        assert_eq!((sync.outliers.as_slice(), sync.agrees), (&[3][..], true));
        // The four that are left stand 87,500 s² about their middle, 175 s: as much as 1.89e9 of weight for the drift,
        // and what is known beforehand, 1/(50e-6)², is 4e8: 30 ppm × 1.89/2.29.
        assert!((sync.drift_ppm - 24.76).abs() < 0.01, "{sync:?}");
    }

    #[test]
    fn a_tie_that_says_no_time_is_named() {
        let backwards = Pair { one: End { clip: 0, since_s: 2.0, at_s: 1.0 }, ..moment((0, 1.0), (1, 1.0)) };
        assert_eq!(clocks(2, 0, &[moment((0, 1.0), (1, 1.0)), backwards]), Err(Error::TieWithoutTime(1)));
        assert_eq!(clocks(0, 0, &[]), Ok(Vec::new()));
    }
}
