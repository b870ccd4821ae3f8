//! An exact frame rate, `N` or `N/D` pictures a second, and the exact instants of its frames.
//!
//! 59.94 is not a rate but a rounding of 60000/1001; 60 in its place is 216 frames off after an hour. So rates and
//! the instants that follow from them are fractions, and only the final figure is a float.

use num_rational::Ratio;
use std::fmt;
use std::str::FromStr;

/// A length of time in seconds, or an instant of a clip counted from its frame 0, as an exact fraction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Seconds(Ratio<i128>);

impl Seconds {
    /// `over / under` seconds; none where `under` is 0.
    pub fn fraction(over: i64, under: i64) -> Option<Seconds> {
        (under != 0).then(|| Seconds(Ratio::new(i128::from(over), i128::from(under))))
    }

    /// Numerator and denominator, in lowest terms, the denominator positive.
    pub fn parts(self) -> (i128, i128) {
        (*self.0.numer(), *self.0.denom())
    }

    /// The nearest float, in seconds.
    pub fn as_f64(self) -> f64 {
        let (over, under) = self.parts();
        let whole = over.div_euclid(under);
        whole as f64 + over.rem_euclid(under) as f64 / under as f64
    }
}

/// Pictures a second, as an exact fraction: more than 0, at most [`Rate::MOST`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Rate(Ratio<u32>);

/// Why a text is not a frame rate.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is not a frame rate: write whole pictures a second, or a fraction such as 60000/1001{}",
    near.map_or_else(String::new, |near| format!("; {near} is near it"))
)]
/// Why a text is not a frame rate.
pub struct NotARate {
    text: String,
    near: Option<Rate>,
}

/// The rates that cameras and broadcasts use: whole ones, and those of SMPTE ST 12-1 and ITU-R BT.2020 that are
/// slowed by 1000/1001.
const COMMON: [(u32, u32); 14] = [
    (24_000, 1001),
    (24, 1),
    (25, 1),
    (30_000, 1001),
    (30, 1),
    (48, 1),
    (50, 1),
    (60_000, 1001),
    (60, 1),
    (100, 1),
    (120_000, 1001),
    (120, 1),
    (180, 1),
    (240, 1),
];

impl Rate {
    /// The fastest rate that is read as one: beyond it a figure is a mistake, not a camera.
    pub const MOST: u32 = 1_000_000;

    /// `over / under` pictures a second.
    ///
    /// # Errors
    /// [`NotARate`] if either is 0, or the rate is beyond [`Rate::MOST`].
    pub fn new(over: u32, under: u32) -> Result<Rate, NotARate> {
        let rate = (over > 0 && under > 0).then(|| Ratio::new(over, under));
        let rate = rate.filter(|_| u64::from(over) <= u64::from(Rate::MOST) * u64::from(under));
        rate.map(Rate).ok_or_else(|| NotARate { text: format!("{over}/{under}"), near: None })
    }

    /// Pictures and seconds, in lowest terms: (60000, 1001).
    pub fn parts(self) -> (u32, u32) {
        (*self.0.numer(), *self.0.denom())
    }

    /// The nearest float, in pictures a second.
    pub fn as_f64(self) -> f64 {
        let (over, under) = self.parts();
        f64::from(over) / f64::from(under)
    }

    /// From one frame to the next.
    pub fn interval(self) -> Seconds {
        self.at(1)
    }

    /// The instant of a frame, counted from frame 0.
    pub fn at(self, frame: u64) -> Seconds {
        let (over, under) = self.parts();
        Seconds(Ratio::new(i128::from(frame) * i128::from(under), i128::from(over)))
    }

    /// The frame on the screen at an instant: the last one shown by then. None before frame 0 and beyond what can be
    /// counted.
    pub fn frame_at(self, instant: Seconds) -> Option<u64> {
        let (over, under) = self.parts();
        let (seconds, parts) = instant.parts();
        let shown = seconds.checked_mul(i128::from(over))?.div_euclid(parts.checked_mul(i128::from(under))?);
        u64::try_from(shown).ok()
    }

    /// The rates in common use, the nearest to `per_second` first, by ratio. Empty if it is not a positive number.
    pub fn common_near(per_second: f64) -> Vec<Rate> {
        if !(per_second.is_finite() && per_second > 0.0) {
            return Vec::new();
        }
        let mut common = COMMON.map(|(over, under)| Rate(Ratio::new(over, under)));
        let away = |rate: &Rate| (rate.as_f64() / per_second).ln().abs();
        common.sort_by(|a, b| away(a).total_cmp(&away(b)));
        common.to_vec()
    }
}

impl FromStr for Rate {
    type Err = NotARate;

    fn from_str(text: &str) -> Result<Self, NotARate> {
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let whole =
            |part: &str| Some(part).filter(|part| digits(part)).and_then(|part| part.parse::<u32>().ok());
        let (over, under) = text.split_once('/').unwrap_or((text, "1"));
        let rate = whole(over).zip(whole(under)).and_then(|(over, under)| Rate::new(over, under).ok());
        rate.ok_or_else(|| {
            let near =
                text.parse().ok().and_then(|per_second| Rate::common_near(per_second).first().copied());
            NotARate { text: text.to_owned(), near }
        })
    }
}

impl fmt::Display for Rate {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.parts() {
            (over, 1) => write!(out, "{over}"),
            (over, under) => write!(out, "{over}/{under}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rate(text: &str) -> Rate {
        text.parse().expect("a rate")
    }

    #[test]
    fn a_rate_prints_as_the_shortest_exact_text() {
        for (text, printed) in
            [("30", "30"), ("60000/1001", "60000/1001"), ("50/1", "50"), ("120/2", "60"), ("1/2", "1/2")]
        {
            assert_eq!(rate(text).to_string(), printed);
            assert_eq!(rate(printed), rate(text));
        }
    }

    #[test]
    fn what_is_no_rate_is_refused_with_the_rate_that_is_near_it() {
        for text in ["", "0", "0/1", "30/0", "-30", "+30", "1/2/3", "1000001", "99999999999", "fast", "NaN"] {
            assert!(text.parse::<Rate>().is_err(), "{text}");
        }
        let near = |text: &str| text.parse::<Rate>().expect_err("no rate").to_string();
        assert!(near("29.97").ends_with("; 30000/1001 is near it"), "{}", near("29.97"));
        assert!(near("59.94").ends_with("; 60000/1001 is near it"), "{}", near("59.94"));
        assert!(near("fast").ends_with("60000/1001"), "{}", near("fast"));
        assert!(Rate::new(4_000_000_000, 4_000).is_ok() && Rate::new(4_000_000_000, 3_999).is_err());
    }

    /// GUM (JCGM 100) 4.3.7: an instant known to one interval T has the standard uncertainty T/sqrt(12).
    #[test]
    fn one_interval_has_the_published_uncertainty() {
        for (text, millis) in [("30000/1001", 9.632), ("60000/1001", 4.816)] {
            let sigma = rate(text).interval().as_f64() / 12_f64.sqrt() * 1e3;
            assert!((sigma - millis).abs() < 5e-4, "{text}: {sigma}");
        }
    }

    #[test]
    fn the_instants_of_frames_are_exact_and_lead_back_to_them() {
        let slowed = rate("60000/1001");
        // Near the end of a day: 5178820 * 1001 / 60000.
        assert_eq!(slowed.at(60_000).parts(), (1001, 1));
        assert_eq!(slowed.at(5_178_820).parts(), (259_199_941, 3000));
        for frame in [0, 1, 1204, 5_178_821, u64::from(u32::MAX)] {
            assert_eq!(slowed.frame_at(slowed.at(frame)), Some(frame));
        }
        let just_before = Seconds::fraction(1001 * 1204 - 1, 60_000).expect("a time");
        assert_eq!(slowed.frame_at(just_before), Some(1203));
        assert_eq!(slowed.frame_at(Seconds::fraction(-1, 1000).expect("a time")), None);
        assert!(Seconds::fraction(1, 0).is_none());
    }

    #[test]
    fn the_nearest_common_rate_comes_first() {
        for (per_second, nearest) in
            [(29.97, "30000/1001"), (59.9, "60000/1001"), (239.0, "240"), (1.0, "24000/1001")]
        {
            assert_eq!(Rate::common_near(per_second)[0].to_string(), nearest);
        }
        assert!(Rate::common_near(0.0).is_empty() && Rate::common_near(f64::NAN).is_empty());
    }
}
