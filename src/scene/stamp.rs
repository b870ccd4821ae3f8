//! The timecode that a camera's recorder writes: drop-frame labels of the frames of a clip (SMPTE ST 12-1).

/// Labels of one clip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Frames counted since midnight at frame 0.
    first: u64,
    /// Frames in a second of the label: 30 or 60.
    nominal: u64,
}

impl Stamp {
    /// Labels that begin at a text as `00:41:15;10`, which counts 60 frames a second; `nominal` is what this clip
    /// counts. `None` where that is no label.
    pub fn new(begins: &str, nominal: u64) -> Option<Stamp> {
        let (clock, frames) = begins.rsplit_once(';')?;
        let parts: Vec<u64> =
            clock.split(':').map(str::parse).collect::<Result<_, _>>().ok().filter(|parts: &Vec<u64>| {
                parts.iter().zip([24, 60, 60]).all(|(part, below)| *part < below)
            })?;
        let [hours, minutes, seconds] = parts.try_into().ok()?;
        let frames: u64 = frames.parse().ok().filter(|frames| *frames < 60)?;
        let minutes = hours * 60 + minutes;
        let dropped = nominal / 15 * (minutes - minutes / 10);
        let counted = (minutes * 60 + seconds) * nominal + frames * nominal / 60;
        (nominal == 30 || nominal == 60).then(|| Stamp { first: counted.saturating_sub(dropped), nominal })
    }

    /// The label of a frame of the clip.
    pub fn label(&self, frame: u64) -> String {
        let drop = self.nominal / 15;
        let minute = self.nominal * 60 - drop;
        let ten = minute * 10 + drop;
        let count = self.first + frame;
        let (tens, rest) = (count / ten, count % ten);
        // Of ten minutes the first keeps all its labels.
        let minutes = if rest < drop { 0 } else { (rest - drop) / minute };
        let labelled = count + drop * (9 * tens + minutes);
        let (seconds, frames) = (labelled / self.nominal, labelled % self.nominal);
        let (hours, minutes) = (seconds / 3600 % 24, seconds / 60 % 60);
        format!("{hours:02}:{minutes:02}:{:02};{frames:02}", seconds % 60)
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
        for text in ["", "00:41:15:10", "0;0", "00:41:15;60", "00:61:00;00"] {
            assert_eq!(Stamp::new(text, 60), None, "{text}");
        }
    }
}
