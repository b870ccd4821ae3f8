//! `tellframe probe CLIP`: what a clip is, and one exact frame.

use super::{Answer, Unable};
use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::duplicate_frames;
use footage::show::pixel_aspect::PixelAspect;
use formats::probe;
use std::ops::ControlFlow;
use std::path::PathBuf;

/// Arguments of `probe`.
#[derive(Debug, clap::Args)]
pub(super) struct Probe {
    /// A video file
    #[arg(value_name = "CLIP")]
    clip: PathBuf,
    /// Decode one frame, counted from 0
    #[arg(long, value_name = "N")]
    frame: Option<usize>,
    /// Print the SHA-256 of the decoded frame
    #[arg(long, requires = "frame")]
    hash: bool,
    /// Leave out what needs every picture decoded: repeated pictures
    #[arg(long, conflicts_with = "frame")]
    quick: bool,
    /// Use only the decoder that is built in, as where FFmpeg is not installed
    #[arg(long)]
    built_in: bool,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Probe {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let tools = if self.built_in { None } else { Tools::find(None) };
        let mut clip = Clip::open(&self.clip, tools.as_ref()).map_err(|error| {
            let unable = self.unable(&error);
            if tools.is_some() {
                unable
            } else {
                unable.help("install FFmpeg (ffmpeg and ffprobe) beside tellframe")
            }
        })?;
        clip = clip.with_worker(host::decoder::worker().as_ref());
        match self.frame {
            Some(frame) => self.print_frame(&clip, frame),
            None => {
                if !self.quick {
                    duplicate_frames::scan(&mut clip, &mut |_, _| ControlFlow::Continue(()));
                }
                self.print_clip(&clip)
            }
        }
    }

    fn unable(&self, error: &dyn std::fmt::Display) -> Unable {
        Unable::in_file(&self.clip, error)
    }

    fn print_frame(&self, clip: &Clip, frame: usize) -> Result<Answer, Unable> {
        let picture = clip.picture(frame).map_err(|error| self.unable(&error))?;
        let shown = probe::Frame {
            frame,
            pts: picture.pts,
            exact: picture.exact,
            pixel_format: picture.format.to_string(),
            sha256: self.hash.then(|| picture.sha256()),
        };
        if self.json {
            return super::print_json(&shown);
        }
        let at_s = clip.base.seconds(picture.pts);
        let timecode = clip.timecode_of(frame).map_or_else(String::new, |code| format!(", {code}"));
        let exact =
            if shown.exact { "exact" } else { "NOT EXACT: resembles the picture of the clip; not evidence" };
        let hash = shown.sha256.map_or_else(String::new, |hash| format!("\n{hash}"));
        let (pts, format) = (shown.pts, shown.pixel_format);
        super::print(&format!("frame {frame} at {at_s:.4} s (pts {pts}{timecode}), {format}, {exact}{hash}"))
    }

    fn print_clip(&self, clip: &Clip) -> Result<Answer, Unable> {
        let shown = probe::Clip {
            codec: clip.codec.clone(),
            width: clip.size.0,
            height: clip.size.1,
            pixel_aspect: clip.pixel_aspect.to_string(),
            frames: clip.frames.len(),
            rate: clip.rate.map(|rate| rate.to_string()),
            time_base: clip.base.to_string(),
            duration_s: clip.duration_s(),
            key_frames: clip.key_frames().collect(),
            decoder: clip.decoder(),
            timecode: clip.timecode.map(|code| code.to_string()),
            faults: clip.faults.iter().map(ToString::to_string).collect(),
        };
        if self.json {
            return super::print_json(&shown);
        }
        let rate =
            shown.rate.map_or_else(|| "at no one rate".to_owned(), |rate| format!("at {rate} a second"));
        let timecode = shown.timecode.map_or_else(String::new, |code| format!(", from {code}"));
        let keys = shown.key_frames.len();
        let shape = match clip.pixel_aspect {
            PixelAspect::SQUARE => String::new(),
            pixel => {
                let (wide, high) = clip.shown_pixel_aspect().stretched(clip.shown_size());
                format!(" (pixels {pixel}, shown as {wide}x{high})")
            }
        };
        let mut text = format!(
            "{} {}x{}{shape}, {} frames {rate}, {:.3} s{timecode}\ntime base {}, {keys} key frames; decoded by {}",
            shown.codec,
            shown.width,
            shown.height,
            shown.frames,
            shown.duration_s,
            shown.time_base,
            shown.decoder
        );
        for fault in shown.faults {
            text.push_str("\n! ");
            text.push_str(&fault);
        }
        super::print(&text)
    }
}
