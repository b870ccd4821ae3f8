//! A typed timecode: hours, minutes, seconds, frames, as SMPTE ST 12-1 writes them.

use crate::error::Error;
use std::fmt;
use std::str::FromStr;

/// A timecode as it stands in the picture. Which frame it names depends on the camera's rate, so it is kept and
/// compared as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Timecode {
    hours: u8,
    minutes: u8,
    seconds: u8,
    frames: u8,
    drop_frame: bool,
}

/// Seconds of a day, after which timecode begins again.
const DAY_S: u64 = 24 * 60 * 60;

impl Timecode {
    /// The timecode of the frame `count`, counted from 00:00:00:00, at `nominal` frames a second (30 for
    /// 30000/1001). After 24 hours it begins again.
    ///
    /// Drop-frame leaves out the counts 0 and 1 (at 60: 0 to 3) of every minute that 10 does not divide, and so
    /// keeps to the clock (SMPTE ST 12-1; at 60 the two frames of a pair are counted one by one).
    ///
    /// # Errors
    /// [`Error`] if timecode does not count at this rate.
    pub fn of_frame(count: u64, nominal: u8, drop_frame: bool) -> Result<Timecode, Error> {
        let dropped = dropped_a_minute(nominal, drop_frame)?;
        let per_second = u64::from(nominal);
        let per_minute = 60 * per_second - dropped;
        let per_ten = 600 * per_second - 9 * dropped;
        let count = count % (DAY_S / 600 * per_ten);
        let (tens, within) = (count / per_ten, count % per_ten);
        // The first minute of ten is whole, the nine after it are short.
        let short_minutes = within.checked_sub(60 * per_second).map_or(0, |after| after / per_minute + 1);
        let label = count + dropped * (9 * tens + short_minutes);
        let seconds = label / per_second;
        let small = |value: u64| u8::try_from(value).expect("a part of a day's clock is below 100");
        Ok(Timecode {
            hours: small(seconds / 3600),
            minutes: small(seconds / 60 % 60),
            seconds: small(seconds % 60),
            frames: small(label % per_second),
            drop_frame,
        })
    }

    /// Which frame this is, counted from 00:00:00:00, at `nominal` frames a second.
    ///
    /// # Errors
    /// [`Error`] if timecode does not count at this rate, or leaves this one out.
    pub fn frame(self, nominal: u8) -> Result<u64, Error> {
        let dropped = dropped_a_minute(nominal, self.drop_frame)?;
        let minutes = u64::from(self.hours) * 60 + u64::from(self.minutes);
        let left_out = self.seconds == 0 && !minutes.is_multiple_of(10) && u64::from(self.frames) < dropped;
        if self.frames >= nominal || left_out {
            return Err(Error::NoSuchFrame { code: self.to_string(), nominal });
        }
        let label = (minutes * 60 + u64::from(self.seconds)) * u64::from(nominal) + u64::from(self.frames);
        Ok(label - dropped * (minutes - minutes / 10))
    }

    /// The timecode `frames` later.
    ///
    /// # Errors
    /// As [`Timecode::frame`].
    pub fn later(self, frames: u64, nominal: u8) -> Result<Timecode, Error> {
        Timecode::of_frame(self.frame(nominal)?.saturating_add(frames), nominal, self.drop_frame)
    }

    /// Whether it leaves counts out to keep to the clock.
    pub fn is_drop_frame(self) -> bool {
        self.drop_frame
    }
}

/// Counts that are left out at the start of a minute.
fn dropped_a_minute(nominal: u8, drop_frame: bool) -> Result<u64, Error> {
    match (drop_frame, nominal) {
        (_, 0 | 100..) => Err(Error::NoTimecodeAt(nominal)),
        (false, _) => Ok(0),
        (true, 30) => Ok(2),
        (true, 60) => Ok(4),
        (true, _) => Err(Error::NoDropFrameAt(nominal)),
    }
}

impl FromStr for Timecode {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let wrong = || Error::NotATimecode(text.to_owned());
        let (clock, frames, drop_frame) = match text.rsplit_once(';') {
            Some((clock, frames)) => (clock, frames, true),
            None => {
                let (clock, frames) = text.rsplit_once(':').ok_or_else(wrong)?;
                (clock, frames, false)
            }
        };
        let two = |part: &str, below: u8| -> Result<u8, Error> {
            let digits = part.len() == 2 && part.bytes().all(|byte| byte.is_ascii_digit());
            let value = part.parse::<u8>().ok().filter(|value| digits && *value < below);
            value.ok_or_else(wrong)
        };
        let mut parts = clock.split(':');
        let mut next = |below| two(parts.next().ok_or_else(wrong)?, below);
        let (hours, minutes, seconds) = (next(24)?, next(60)?, next(60)?);
        if parts.next().is_some() {
            return Err(wrong());
        }
        Ok(Timecode { hours, minutes, seconds, frames: two(frames, 100)?, drop_frame })
    }
}

impl fmt::Display for Timecode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let separator = if self.drop_frame { ';' } else { ':' };
        let Timecode { hours, minutes, seconds, frames, .. } = self;
        write!(out, "{hours:02}:{minutes:02}:{seconds:02}{separator}{frames:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts of SMPTE ST 12-1 at 29.97, and of its use at 59.94.
    // PROPERTY: drop-frame timecode counts as the standard does
    #[test]
    fn drop_frame_counts_as_the_standard_does() {
        for (frame, nominal, printed) in [
            (0, 30, "00:00:00;00"),
            (1799, 30, "00:00:59;29"),
            (1800, 30, "00:01:00;02"),
            (3597, 30, "00:01:59;29"),
            (3598, 30, "00:02:00;02"),
            (17_981, 30, "00:09:59;29"),
            (17_982, 30, "00:10:00;00"),
            (107_892, 30, "01:00:00;00"),
            (3600, 60, "00:01:00;04"),
            (35_964, 60, "00:10:00;00"),
        ] {
            let code = Timecode::of_frame(frame, nominal, true).expect("it is counted");
            assert_eq!(code.to_string(), printed, "{frame}");
            assert_eq!(code.frame(nominal), Ok(frame), "{printed}");
        }
    }

    /// Oracle: a clock that counts one by one and steps over what is left out.
    #[test]
    fn a_day_counted_one_by_one_is_the_day_of_the_formula() {
        for (nominal, drop_frame) in [(25, false), (30, true), (60, true)] {
            let labels = (0..DAY_S * u64::from(nominal)).filter(|label| {
                let minutes = label / (60 * u64::from(nominal));
                let in_minute = label % (60 * u64::from(nominal));
                !drop_frame || minutes.is_multiple_of(10) || in_minute >= u64::from(nominal / 15)
            });
            let mut last = 0;
            for (frame, label) in (0..).zip(labels).step_by(7) {
                let code = Timecode::of_frame(frame, nominal, drop_frame).expect("it is counted");
                assert_eq!(u64::from(code.frames), label % u64::from(nominal), "{frame}");
                assert_eq!(u64::from(code.seconds), label / u64::from(nominal) % 60, "{frame}");
                last = frame;
            }
            let tomorrow =
                Timecode::of_frame(last, nominal, drop_frame).and_then(|code| code.later(14, nominal));
            assert!(tomorrow.is_ok_and(|code| code.hours == 0), "it begins again");
        }
    }

    #[test]
    fn a_count_that_is_left_out_or_too_high_is_no_frame() {
        let code = |text: &str| text.parse::<Timecode>().expect("a timecode");
        for (text, nominal) in
            [("00:01:00;00", 30), ("00:01:00;01", 30), ("00:01:00;03", 60), ("00:00:00:25", 25)]
        {
            assert_eq!(
                code(text).frame(nominal),
                Err(Error::NoSuchFrame { code: text.to_owned(), nominal }),
                "{text}"
            );
        }
        assert!(code("00:10:00;00").frame(30).is_ok());
        assert_eq!(code("00:10:00;00").frame(25), Err(Error::NoDropFrameAt(25)));
        assert_eq!(code("00:10:00:00").frame(0), Err(Error::NoTimecodeAt(0)));
    }

    #[test]
    fn a_timecode_prints_as_it_was_read() {
        for text in ["00:41:17;22", "23:59:59:29", "00:00:00:00"] {
            assert_eq!(text.parse::<Timecode>().map(|code| code.to_string()), Ok(text.to_owned()));
        }
    }

    #[test]
    fn what_is_no_timecode_is_refused() {
        for text in [
            "",
            "1:2:3:4",
            "24:00:00:00",
            "00:60:00:00",
            "00:00:00",
            "00:00:00:00:00",
            "aa:bb:cc:dd",
            "00:00:00;1é",
        ] {
            assert!(text.parse::<Timecode>().is_err(), "{text}");
        }
    }
}
