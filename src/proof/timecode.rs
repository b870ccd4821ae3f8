//! A typed timecode: hours, minutes, seconds, frames, as SMPTE ST 12-1 writes them.

use std::fmt;
use std::str::FromStr;

/// A timecode as it stands in the picture. Which frame it is depends on the camera's rate, so here it is kept
/// and compared as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Timecode {
    hours: u8,
    minutes: u8,
    seconds: u8,
    frames: u8,
    drop_frame: bool,
}

/// Why a text is not a timecode.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a timecode: write HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame")]
pub struct NotATimecode(pub String);

impl FromStr for Timecode {
    type Err = NotATimecode;

    fn from_str(text: &str) -> Result<Self, NotATimecode> {
        let wrong = || NotATimecode(text.to_owned());
        let (clock, frames, drop_frame) = match text.rsplit_once(';') {
            Some((clock, frames)) => (clock, frames, true),
            None => {
                let (clock, frames) = text.rsplit_once(':').ok_or_else(wrong)?;
                (clock, frames, false)
            }
        };
        let two = |part: &str, below: u8| -> Result<u8, NotATimecode> {
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
