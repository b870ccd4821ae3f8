//! Pictures from the pipe of an FFmpeg process, each with what `showinfo` and the decoder print about it.

use super::commands::MOST_PIXELS;
use crate::decode::process::Running;
use crate::error::Error;
use crate::picture::{Picture, PixelFormat};
use std::io::Read;

/// A line of `showinfo`.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Info {
    pts: i64,
    format: String,
    size: (u32, u32),
    is_key: bool,
    is_b: bool,
}

impl Info {
    /// `… n:   0 pts:   1001 … fmt:yuv420p … s:96x64 i:P iskey:1 type:I`
    fn read(line: &str) -> Option<Info> {
        let line = line.strip_prefix("[Parsed_showinfo")?;
        let (_, line) = line.split_once(" n:")?;
        let value = |key: &str| {
            let (_, after) = line.split_once(&format!(" {key}:"))?;
            after.split_whitespace().next()
        };
        let (wide, high) = value("s")?.split_once('x')?;
        Some(Info {
            pts: value("pts")?.parse().ok()?,
            format: value("fmt")?.to_owned(),
            size: (wide.parse().ok()?, high.parse().ok()?),
            is_key: value("iskey")? == "1",
            is_b: value("type") == Some("B"),
        })
    }
}

/// A decoded picture, with what FFmpeg reports about it.
#[derive(Debug)]
pub(crate) struct Decoded {
    /// `exact` is for the caller to set.
    pub(crate) picture: Picture,
    pub(crate) is_key: bool,
    /// Predicted from two sides.
    pub(crate) is_b: bool,
}

/// Pictures as the child gives them.
#[derive(Debug)]
pub(crate) struct Pictures {
    pub(crate) running: Running,
    first: Option<((u32, u32), PixelFormat)>,
    errors: Vec<String>,
}

/// Damage messages that are kept, at most.
const ERRORS: usize = 400;

/// Messages that are not damage: an end that is cut off, and times that go back where pictures are written.
const NO_DAMAGE: [&str; 2] = ["partial file", "non monotonically increasing dts"];

/// FFmpeg's message, once for each packet of H.264 that gives no picture.
const NO_PICTURE: &str = "no frame!";

/// Its messages about packets that give no picture because their references are missing.
const LOSSES: [&str; 6] = [
    NO_PICTURE,
    "non-existing PPS",
    "non-existing SPS",
    "decode_slice_header error",
    "Error while decoding stream",
    "    Last message repeated",
];

impl Pictures {
    pub(crate) fn of(running: Running) -> Pictures {
        Pictures { running, first: None, errors: Vec::new() }
    }

    /// The next picture; `None` at the end.
    pub(crate) fn next(&mut self) -> Result<Option<Decoded>, Error> {
        let Some(info) = self.next_info() else { return Ok(None) };
        let format =
            PixelFormat::from_name(&info.format).ok_or_else(|| Error::UnknownFormat(info.format.clone()))?;
        let (width, height) = info.size;
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(Error::TooLarge(width, height));
        }
        if *self.first.get_or_insert((info.size, format)) != (info.size, format) {
            return Err(Error::FormatChanges(info.pts));
        }
        let size = format.size(width, height);
        let mut samples = Vec::with_capacity(size);
        self.running.output.by_ref().take(size as u64).read_to_end(&mut samples).map_err(Error::Ffmpeg)?;
        if samples.len() < size {
            return Ok(None);
        }
        let picture = Picture { pts: info.pts, width, height, format, samples, exact: false };
        Ok(Some(Decoded { picture, is_key: info.is_key, is_b: info.is_b }))
    }

    fn next_info(&mut self) -> Option<Info> {
        while let Ok(line) = self.running.messages.recv() {
            if let Some(info) = Info::read(&line) {
                return Some(info);
            }
            self.note(&line);
        }
        None
    }

    fn note(&mut self, line: &str) {
        let message = ["[error] ", "[fatal] ", "[panic] "].iter().find_map(|level| line.split_once(level));
        // The file's index tells what its end cuts off, and the decoder reports what a cut picture does to others.
        let is_damage = |message: &str| !NO_DAMAGE.iter().any(|no_damage| message.contains(no_damage));
        if let Some((_, message)) = message
            && self.errors.len() < ERRORS
            && is_damage(message)
        {
            self.errors.push(message.to_owned());
        }
    }

    /// Messages of damage so far.
    pub(crate) fn errors(&self) -> &[String] {
        &self.errors
    }

    /// Whether it reported no damage except that `lost` pictures at the start cannot be decoded: those are not shown,
    /// and the ones after the first key do not depend on them.
    pub(crate) fn is_clean_after(&self, lost: usize) -> bool {
        let is_loss = |message: &&String| LOSSES.iter().any(|loss| message.starts_with(loss));
        let pictures = self.errors.iter().filter(|message| message.starts_with(NO_PICTURE)).count();
        self.errors.len() < ERRORS
            && pictures <= lost
            && self.errors.iter().all(|message| is_loss(&message) && lost > 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As FFmpeg 5.1 and 7.1 print it.
    #[test]
    fn what_is_said_of_a_picture_is_read_in_either_spelling() {
        let old = "[Parsed_showinfo_1 @ 0x56084d426180] [info] n:   1 pts:   1001 pts_time:0.0166833 pos:     2150 fmt:yuv420p sar:1/1 s:96x64 i:T iskey:0 type:B ";
        let new = "[Parsed_showinfo_1 @ 0x6000] [info] n:   1 pts:   1001 pts_time:0.0166833 duration:   1001 duration_time:0.0166833 fmt:yuv420p cl:left sar:1/1 s:96x64 i:T iskey:0 type:B ";
        let info =
            Info { pts: 1001, format: "yuv420p".to_owned(), size: (96, 64), is_key: false, is_b: true };
        for line in [old, new] {
            assert_eq!(Info::read(line), Some(info.clone()));
        }
        for line in [
            "",
            "n: 1 pts: 1",
            &old.replace("Parsed_showinfo_1", "showinfo@reads"),
            "[Parsed_showinfo_1 @ 0x6000] [info] n: 1 pts:NOPTS fmt:gray s:1x1 iskey:1",
        ] {
            assert_eq!(Info::read(line), None, "{line}");
        }
    }
}
