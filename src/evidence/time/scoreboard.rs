//! A mark's clock as read off a scoreboard. The readings are kept, and the clock with its error is computed from
//! them.

use super::clock::{Clock, Display, Reading, Shows, at_mark, clock};
use super::order::Figures;
use super::timecode::Timecode;

/// What the scoreboard showed in one frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    pub timecode: Timecode,
    /// In milliseconds of game clock.
    pub shown_ms: i64,
    /// From one figure of the display to the next, by how the figure was written.
    pub step_ms: u32,
    /// How long before the mark's frame it was shown, in microseconds; negative after it.
    pub before_us: i64,
}

/// Readings of one camera, tied to the frame of a mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scoreboard {
    /// The camera on the scoreboard.
    pub camera: String,
    pub shown: Vec<Shown>,
    /// The mark's event lies between its frame and this long before it, in microseconds.
    pub interval_us: i64,
    /// Standard error of the time between the two cameras, in microseconds; 0 if they are the same.
    pub tie_us: i64,
}

/// Every display is taken to cut fractions off, and not to be late.
const SHOWS: Shows = Shows::WholeLeft;

impl Scoreboard {
    /// What the readings say of the clock, at the mark's frame. [`Clock::Nothing`] if the figures were not written to
    /// one step: the display changed its step, and the readings are too far apart.
    pub fn clock(&self) -> Clock {
        let Some(first) = self.shown.first() else { return Clock::Nothing };
        let step_ms = first.step_ms;
        if self.shown.iter().any(|shown| shown.step_ms != step_ms) {
            return Clock::Nothing;
        }
        let reading = |shown: &Shown| Reading { at_s: -seconds(shown.before_us), shown_ms: shown.shown_ms };
        let readings: Vec<Reading> = self.shown.iter().map(reading).collect();
        clock(Display { step_ms, shows: SHOWS, refresh_s: 0.0 }, &readings)
    }

    /// The clock at the mark, in seconds; none where it did not run, or the readings contradict each other.
    pub fn figures(&self) -> Option<Figures> {
        at_mark(self.clock(), -seconds(self.interval_us), 0.0, seconds(self.tie_us))
    }

    /// The clock at the mark in milliseconds, if it is not negative.
    pub fn clock_ms(&self) -> Option<i64> {
        self.figures().map(|figures| (figures.mean * 1e3).round() as i64).filter(|clock_ms| *clock_ms >= 0)
    }

    /// The clock with its readings, in words.
    pub fn text(&self) -> String {
        let each = self
            .shown
            .iter()
            .map(|shown| format!("{} at {}", figure(shown.shown_ms, shown.step_ms), shown.timecode));
        let read = format!("read on {}: {}", self.camera, each.collect::<Vec<_>>().join(", "));
        match (self.clock(), self.figures(), self.clock_ms()) {
            (Clock::Ran { .. }, Some(Figures { low95, high95, .. }), Some(clock_ms)) => {
                let half = (high95 - low95) / 2.0;
                format!("{} ± {half:.2} s (95 %), {read}", figure(clock_ms, 10))
            }
            (Clock::Ran { .. }, ..) => format!("the game clock would be below zero at this frame, {read}"),
            (Clock::Stood { .. }, ..) => format!("the clock stood, {read}"),
            (Clock::Contradiction, ..) => format!("no running clock fits these readings: {read}"),
            (Clock::Nothing, ..) => format!("write all readings with the same number of decimals: {read}"),
        }
    }
}

fn seconds(us: i64) -> f64 {
    us as f64 / 1e6
}

/// A clock with as many decimals as the step has: `4:38`, `0:42.3`.
pub fn figure(ms: i64, step_ms: u32) -> String {
    let (minutes, rest) = (ms / 60_000, ms % 60_000);
    let places = match step_ms {
        0..10 => 3,
        10..100 => 2,
        100..1000 => 1,
        1000.. => 0,
    };
    let width = if places == 0 { 2 } else { places + 3 };
    format!("{minutes}:{:0width$.places$}", rest as f64 / 1e3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn board(readings: &[(i64, u32, i64)], tie_us: i64) -> Scoreboard {
        let shown = |&(shown_ms, step_ms, before_us): &(i64, u32, i64)| Shown {
            timecode: "00:41:17;10".parse().expect("a timecode"),
            shown_ms,
            step_ms,
            before_us,
        };
        let shown = readings.iter().map(shown).collect();
        Scoreboard { camera: "scoreboard".to_owned(), shown, interval_us: 20_000, tie_us }
    }

    /// 4:39 a second and a frame before the mark and 4:38 a second before it, at 50 pictures a second: 4:39.000 lay between
    /// the two, so the event, between the mark's frame and the one before, had 4:38.000 left, give or take a frame.
    #[test]
    fn a_change_of_the_figure_gives_the_clock_of_the_mark_to_a_frame() {
        let read = board(&[(279_000, 1000, 1_020_000), (278_000, 1000, 1_000_000)], 0);
        let figures = read.figures().expect("it ran");
        // Two rectangles of 20 ms: JCGM 100, 4.3.7.
        assert!((figures.sigma - 0.02 / 6_f64.sqrt()).abs() < 1e-9, "{figures:?}");
        assert_eq!(read.clock_ms(), Some(278_000));
        assert_eq!(
            read.text(),
            "4:38.00 ± 0.02 s (95 %), read on scoreboard: 4:39 at 00:41:17;10, 4:38 at 00:41:17;10"
        );
        // A tie of a frame between the cameras makes it wider.
        let tied = board(&[(279_000, 1000, 1_020_000), (278_000, 1000, 1_000_000)], 20_000);
        let wider = tied.figures().expect("it ran");
        assert!((wider.sigma.powi(2) - figures.sigma.powi(2) - 4e-4).abs() < 1e-9, "{wider:?}");
    }

    #[test]
    fn readings_that_give_no_clock_say_why() {
        for (readings, says) in [
            (vec![(278_000, 1000, 3_000_000), (278_000, 1000, 0)], "the clock stood, "),
            (vec![(278_000, 1000, 500_000), (270_000, 1000, 0)], "no running clock fits these readings: "),
            (
                vec![(42_000, 1000, 500_000), (41_700, 100, 0)],
                "write all readings with the same number of decimals: ",
            ),
            (vec![], "write all readings with the same number of decimals: "),
            (vec![(0, 1000, 1_500_000)], "the game clock would be below zero at this frame, "),
        ] {
            let read = board(&readings, 0);
            assert_eq!(read.clock_ms(), None, "{readings:?}");
            assert!(read.text().starts_with(says), "{}", read.text());
        }
    }

    #[test]
    fn a_figure_has_the_places_of_its_step() {
        for (ms, step_ms, text) in
            [(278_000, 1000, "4:38"), (42_300, 100, "0:42.3"), (5_000, 1000, "0:05"), (5_042, 10, "0:05.04")]
        {
            assert_eq!(figure(ms, step_ms), text);
        }
    }
}
