//! The game clock at an instant, from a scoreboard camera: two readings and the time between.
//!
//! A clock that counts down and shows whole seconds, or tenths, shows one figure for a while. A reading says only
//! that the game clock lay within that while. While the clock runs, game clock plus time is one number for all
//! readings, so each narrows it and what all allow is left: two readings in neighbouring frames across a change of the
//! figure leave one frame interval. The clock at another instant is that number less the instant.
//!
//! Assumptions: the clock ran at the speed of time between the readings and the instant asked for, and the display
//! shows the clock of at most `refresh_s` ago. Nothing is assumed about where within all that the clock was, so the
//! number is uniform.

use super::order::Figures;
use super::spread::Spread;

/// How a display rounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// Cut off: `4:38` from below 4:39 down to 4:38.
    WholeLeft,
    /// Rounded up: `4:38` from 4:38 down to just above 4:37.
    RoundedUp,
}

/// A scoreboard's display.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Display {
    /// Milliseconds between one figure and the next: 1000, or 100.
    pub step_ms: u32,
    pub shows: Shows,
    /// How old the figure can be, in seconds.
    pub refresh_s: f64,
}

/// A reading: what the display showed in one frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The instant of the frame, in seconds of common time.
    pub at_s: f64,
    /// Milliseconds of game clock.
    pub shown_ms: i64,
}

/// What readings say of the clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Clock {
    /// It ran: game clock plus common time lies between these, in seconds.
    Ran {
        /// Inclusive.
        low: f64,
        /// Exclusive.
        high: f64,
    },
    /// The figure stood still for longer than a running clock lets it.
    Stood { shown_ms: i64 },
    /// No clock that ran, and none that stood, shows these.
    Contradiction,
    /// No reading, or one that is not a number.
    Nothing,
}

/// What the readings say. Common times are of one camera, so that they have no error against each other.
pub fn clock(display: Display, readings: &[Reading]) -> Clock {
    let refresh_fits = display.refresh_s.is_finite() && display.refresh_s >= 0.0;
    let times_fit = readings.iter().all(|reading| reading.at_s.is_finite());
    let Some(first) = readings.first().filter(|_| display.step_ms > 0 && refresh_fits && times_fit) else {
        return Clock::Nothing;
    };
    let step_s = f64::from(display.step_ms) / 1e3;
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for reading in readings {
        let shown = reading.shown_ms as f64 / 1e3 + reading.at_s;
        let (from, to) = match display.shows {
            Shows::WholeLeft => (shown, shown + step_s),
            Shows::RoundedUp => (shown - step_s, shown),
        };
        // A figure may be old: less is left now than it shows.
        (low, high) = (low.max(from - display.refresh_s), high.min(to));
    }
    if low < high {
        Clock::Ran { low, high }
    } else if readings.iter().all(|reading| reading.shown_ms == first.shown_ms) {
        Clock::Stood { shown_ms: first.shown_ms }
    } else {
        Clock::Contradiction
    }
}

/// The game clock at a mark, in seconds: the event lies between two instants of common time, and the mark's camera is
/// tied to the scoreboard's with this standard error. None where the clock did not run, or the mark is no interval.
pub fn at_mark(clock: Clock, since_s: f64, at_s: f64, sync_sigma_s: f64) -> Option<Figures> {
    let Clock::Ran { low, high } = clock else { return None };
    let possible = since_s.is_finite() && at_s.is_finite() && since_s < at_s;
    if !possible || !sync_sigma_s.is_finite() || sync_sigma_s < 0.0 {
        return None;
    }
    let mean = (low + high) / 2.0 - (since_s + at_s) / 2.0;
    let spread = Spread::new(mean, &[high - low, at_s - since_s], sync_sigma_s);
    let (low95, high95) = spread.central(0.95);
    Some(Figures { mean, sigma: spread.sigma(), low95, high95 })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECONDS: Display = Display { step_ms: 1000, shows: Shows::WholeLeft, refresh_s: 0.0 };

    fn read(at_s: f64, shown_ms: i64) -> Reading {
        Reading { at_s, shown_ms }
    }

    /// 4:39 in frame 100 and 4:38 in frame 101 at 50 pictures a second: 4:39.000 lies between them.
    #[test]
    fn a_change_between_two_frames_gives_the_clock_to_a_frame() {
        let clock = clock(SECONDS, &[read(2.0, 279_000), read(2.02, 278_000)]);
        let Clock::Ran { low, high } = clock else { panic!("{clock:?}") };
        assert!((low - 281.0).abs() < 1e-9 && (high - 281.02).abs() < 1e-9);
        let at = at_mark(clock, 3.0, 3.02, 0.0).expect("it ran");
        assert!((at.mean - 278.0).abs() < 1e-9);
        // Two rectangles of 20 ms: JCGM 100, 4.3.7.
        assert!((at.sigma - 0.02 / 6_f64.sqrt()).abs() < 1e-9);
        assert!(at.low95 < 278.0 && 278.0 < at.high95 && at.high95 - at.low95 < 0.04);
    }

    #[test]
    fn readings_far_from_a_change_leave_what_they_leave() {
        for (display, readings, low, high) in [
            (SECONDS, vec![read(0.0, 5000)], 5.0, 6.0),
            (SECONDS, vec![read(0.0, 5000), read(1.3, 4000)], 5.3, 6.0),
            (Display { shows: Shows::RoundedUp, ..SECONDS }, vec![read(0.0, 5000)], 4.0, 5.0),
            (Display { refresh_s: 0.1, ..SECONDS }, vec![read(0.0, 5000)], 4.9, 6.0),
            (Display { step_ms: 100, ..SECONDS }, vec![read(0.0, 5300), read(0.25, 5100)], 5.35, 5.4),
        ] {
            let clock = clock(display, &readings);
            let Clock::Ran { low: from, high: to } = clock else { panic!("{clock:?}") };
            assert!((from - low).abs() < 1e-9 && (to - high).abs() < 1e-9, "{readings:?}: {from} {to}");
        }
    }

    #[test]
    fn a_clock_that_stood_or_that_no_clock_can_be_is_said_and_gives_no_time() {
        for (readings, expected) in [
            (vec![read(0.0, 5000), read(1.5, 5000)], Clock::Stood { shown_ms: 5000 }),
            (vec![read(0.0, 5000), read(0.5, 3000)], Clock::Contradiction),
            (vec![read(0.0, 5000), read(3.0, 6000)], Clock::Contradiction),
            (vec![], Clock::Nothing),
            (vec![read(f64::NAN, 5000)], Clock::Nothing),
        ] {
            let clock = clock(SECONDS, &readings);
            assert_eq!(clock, expected);
            assert_eq!(at_mark(clock, 0.0, 0.02, 0.0), None);
        }
        let runs = clock(SECONDS, &[read(0.0, 5000)]);
        for (since, at, sigma) in [(0.1, 0.1, 0.0), (0.0, f64::NAN, 0.0), (0.0, 0.1, -1.0)] {
            assert_eq!(at_mark(runs, since, at, sigma), None);
        }
    }
}
