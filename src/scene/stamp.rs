//! The timecode that a camera's recorder writes: a label for each frame of a clip.

use evidence::time::timecode::Timecode;

/// The timecodes of one clip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    first: Timecode,
    /// Frames in a second of the label: 30 or 60.
    nominal: u8,
}

/// Frames in a second of a play's timecode.
const PLAY: u8 = 60;

impl Stamp {
    /// Labels from a timecode such as `00:41:15;10` on, which counts 60 frames a second; `nominal` is the count of
    /// this clip. `None` where the text is not a timecode.
    pub fn new(begins: &str, nominal: u64) -> Option<Stamp> {
        let nominal = u8::try_from(nominal).ok()?;
        let first: Timecode = begins.parse().ok()?;
        let count = first.frame(PLAY).ok()? * u64::from(nominal) / u64::from(PLAY);
        let first = Timecode::of_frame(count, nominal, first.is_drop_frame()).ok()?;
        Some(Stamp { first, nominal })
    }

    /// Frame 0, in frames since midnight.
    pub fn count(&self) -> u64 {
        // INVARIANT: `new` has counted with the same figures.
        self.first.frame(self.nominal).unwrap_or(0)
    }

    /// Frames in a second of the label: 30 or 60.
    pub fn nominal(&self) -> u8 {
        self.nominal
    }

    /// Whether some labels are skipped to keep up with the clock.
    pub fn is_drop_frame(&self) -> bool {
        self.first.is_drop_frame()
    }

    /// The timecode of a frame of the clip, counted from 0.
    pub fn label(&self, frame: u64) -> String {
        // INVARIANT: `new` has counted with the same figures.
        self.first.later(frame, self.nominal).map_or_else(|error| error.to_string(), |code| code.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SMPTE ST 12-1: labels 0 and 1 of a minute are left out (0 to 3 at 59.94), but for every tenth minute.
    #[test]
    fn labels_are_dropped_at_the_minute_but_not_at_the_tenth() {
        for (begins, nominal, frame, label) in [
            ("00:00:59;58", 30, 1, "00:01:00;02"),
            ("00:09:59;58", 30, 1, "00:10:00;00"),
            ("00:00:59;59", 60, 1, "00:01:00;04"),
            ("00:41:15;10", 60, 0, "00:41:15;10"),
            ("00:41:15;10", 30, 0, "00:41:15;05"),
            // An hour of 29.97 is 107892 frames, of 59.94 it is 215784.
            ("00:00:00;00", 30, 107_892, "01:00:00;00"),
            ("00:00:00;00", 60, 215_784, "01:00:00;00"),
        ] {
            let stamp = Stamp::new(begins, nominal).expect("it is a label");
            assert_eq!(stamp.label(frame), label, "{begins} + {frame}");
        }
        for text in ["", "0;0", "00:41:15;60", "00:61:00;00"] {
            assert_eq!(Stamp::new(text, 60), None, "{text}");
        }
    }
}
