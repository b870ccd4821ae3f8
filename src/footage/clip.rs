//! A clip: what it is, when each of its pictures is shown, and who decodes it.
//!
//! Presentation time is the truth; a frame number is an index into the sorted times of the pictures that a player
//! shows. Who decodes is chosen per clip: the decoder that is built in where it is exact, FFmpeg for everything
//! else; where FFmpeg is missing, pictures that are not exact say so, and what cannot be shown says why.

use super::fault::Fault;
use crate::container::mp4;
use crate::container::mp4::sample::Sample;
use crate::container::mp4::{NoIndex, Video};
use crate::container::timing;
use crate::container::timing::TimeBase;
use crate::decode::ffmpeg::{Broken, Stream, Tools};
use crate::decode::frame_hashes::Known;
use crate::decode::gop::Groups;
use crate::decode::openh264;
use crate::decode::openh264::{Embedded, Examined};
use crate::decode::presentation_times;
use crate::decode::prober;
use crate::decode::prober::{Found, NotProbed};
use crate::decode::worker::Apart;
use crate::file_identity::{Changed, Identity, NoHash};
use crate::frame::Frame;
use crate::h264::parameters::Unfit;
use crate::show::colour::{Coding, Curve, Stated};
use crate::show::pixel_aspect::Shape;
use crate::show::rotation::{Asked, Turn};
use evidence::time::rate::Rate;
use evidence::time::timecode::Timecode;
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A clip that was opened.
#[derive(Debug, Clone)]
pub struct Clip {
    /// Where it lies.
    pub path: PathBuf,
    /// How it is coded: "h264".
    pub codec: String,
    /// Width and height in pixels, as stored.
    pub size: (u32, u32),
    /// One unit of time.
    pub base: TimeBase,
    /// Its pictures, by the time at which they are shown.
    pub frames: Vec<Frame>,
    /// From the first picture to the end of the last, in units of the time base.
    pub length: i64,
    /// The one rate that its pictures keep to, if there is one.
    pub rate: Option<Rate>,
    /// Of its first frame, where the file has one.
    pub timecode: Option<Timecode>,
    /// How a player turns and mirrors it; as stored where that is by no whole quarters.
    pub turn: Turn,
    /// The shape of its stored pixels.
    pub pixel: Shape,
    /// How its samples stand for colours.
    pub coding: Coding,
    /// Whether each picture has two fields.
    pub is_interlaced: bool,
    /// What is wrong or unusual with it.
    pub faults: Vec<Fault>,
    pub(super) reader: Reader,
    /// The file that it stands for.
    identity: Identity,
    /// What one picture needs, where that is known.
    pub(super) groups: Option<Arc<Groups>>,
}

/// Who decodes a clip.
#[derive(Debug, Clone)]
pub(super) enum Reader {
    /// The decoder that is built in; where it fails, FFmpeg, if it is there.
    Embedded { clip: Box<Embedded>, is_exact: bool, otherwise: Option<Tools>, apart: Option<Apart> },
    /// FFmpeg.
    Ffmpeg {
        tools: Tools,
        stream: Stream,
        /// What is to be thought of a picture that was decoded from a key on.
        from_key: FromKey,
        /// The time of the picture whose data the end of the file cuts.
        incomplete: Option<i64>,
        /// Its times do not contradict the order of its pictures.
        is_ordered: bool,
        /// How a picture is found.
        known_from: presentation_times::KnownFrom,
    },
}

/// Whether decoding from a key that the file names gives exact pictures from that key on.
#[derive(Debug, Clone)]
pub(super) enum FromKey {
    /// It does.
    Exact,
    /// Nobody can say; a picture that is known is compared.
    Compared(Known),
    /// It may not, or the file does not name its pictures: all come from the start.
    Never,
}

/// Why a file is no clip here.
#[derive(Debug, thiserror::Error)]
pub enum NotAClip {
    /// The file cannot be opened.
    #[error("cannot open it: {0}")]
    Io(#[from] std::io::Error),
    /// FFmpeg is there and cannot read it.
    #[error("{0}")]
    NotProbed(#[from] NotProbed),
    /// Somebody writes to it: it is a clip when it is finished.
    #[error("{0}")]
    Changed(#[from] Changed),
    /// It states times that no clip has.
    #[error("the times of its pictures cannot be right")]
    Times,
    /// It has no index that can be read.
    #[error("{0}")]
    Unindexed(NoIndex),
    /// FFmpeg is there and cannot decode it.
    #[error("{0}")]
    Broken(#[from] Broken),
    /// No picture of it can be shown.
    #[error("no picture of it can be decoded{}", .0.as_ref().map_or_else(String::new, |said| format!(": {said}")))]
    Empty(Option<String>),
    /// Only FFmpeg could read it, and FFmpeg is not there.
    #[error("it cannot be shown without FFmpeg: {0}")]
    NeedsFfmpeg(String),
}

impl Clip {
    /// Opens a clip. `tools` is FFmpeg, where it is there.
    ///
    /// # Errors
    /// [`NotAClip`], which says why not.
    pub fn open(path: &Path, tools: Option<&Tools>) -> Result<Clip, NotAClip> {
        let path = std::path::absolute(path)?;
        let file = File::open(&path)?;
        if !file.metadata()?.is_file() {
            return Err(std::io::Error::other("it is no file").into());
        }
        let identity = Identity::of(&path)?;
        let clip = Clip::read(BufReader::new(file), &path, tools, &identity);
        identity.check(&path)?;
        clip
    }

    fn read(
        mut file: BufReader<File>,
        path: &Path,
        tools: Option<&Tools>,
        identity: &Identity,
    ) -> Result<Clip, NotAClip> {
        let of = (path, identity);
        let index = mp4::read(&mut file);
        let examined = match &index {
            Ok(video) if matches!(&video.coding, b"avc1" | b"avc3") => Some(openh264::examine(path, video)?),
            Ok(_) | Err(_) => None,
        };
        if let (Ok(video), Some(examined)) = (&index, &examined) {
            let is_whole = examined.missing == 0 && !video.is_cut_off;
            if examined.unfit.is_none()
                && (is_whole || tools.is_none())
                && let Some(clip) = &examined.clip
            {
                return read_embedded(of, video, (examined, clip), tools);
            }
        }
        if let Some(tools) = tools {
            let read = read_by_ffmpeg(of, tools, index.as_ref().ok(), examined.as_ref());
            // What is wrong with an MP4 file is known better here.
            return match (read, index) {
                (Err(NotAClip::NotProbed(_)), Err(reason @ (NoIndex::Missing | NoIndex::Damaged(_)))) => {
                    Err(NotAClip::Unindexed(reason))
                }
                (read, _) => read,
            };
        }
        match (&index, &examined) {
            (Ok(video), Some(examined @ Examined { clip: Some(clip), .. })) => {
                read_embedded(of, video, (examined, clip), tools)
            }
            (Ok(video), examined) => Err(NotAClip::NeedsFfmpeg(why_not(video, examined.as_ref()))),
            (Err(reason), _) => Err(NotAClip::NeedsFfmpeg(reason.to_string())),
        }
    }

    /// The same clip, its built-in decoder in a process of its own, made so; without one, in this process.
    #[must_use]
    pub fn decoded_apart(mut self, how: Option<&Apart>) -> Clip {
        match &mut self.reader {
            Reader::Embedded { apart, .. } => *apart = how.cloned(),
            Reader::Ffmpeg { .. } => {}
        }
        self
    }

    /// Who decodes it, in words.
    pub fn decoder(&self) -> String {
        match &self.reader {
            Reader::Embedded { is_exact: true, .. } => "built in (OpenH264)".to_owned(),
            Reader::Embedded { is_exact: false, .. } => "built in (OpenH264), not exact".to_owned(),
            Reader::Ffmpeg { tools, is_ordered: true, .. } => format!("FFmpeg {}", tools.version()),
            Reader::Ffmpeg { tools, is_ordered: false, .. } => {
                format!("FFmpeg {}, not exact", tools.version())
            }
        }
    }

    /// Whether its pictures are to the bit what the clip holds, as far as nothing is damaged.
    pub fn is_exact(&self) -> bool {
        match &self.reader {
            Reader::Embedded { is_exact, .. } => *is_exact,
            Reader::Ffmpeg { is_ordered, .. } => *is_ordered,
        }
    }

    /// Width and height in pixels as they are stored, upright: what a place in its picture is stated in, wherever one is
    /// clicked or kept.
    pub fn shown_size(&self) -> (u32, u32) {
        self.turn.size(self.size)
    }

    /// The shape of a pixel of its upright picture.
    pub fn shown_pixel(&self) -> Shape {
        self.turn.shape(self.pixel)
    }

    /// Its length in seconds, for showing.
    pub fn duration_s(&self) -> f64 {
        self.base.seconds(self.length)
    }

    /// The frames at which decoding may begin, as the file says.
    pub fn key_frames(&self) -> impl Iterator<Item = usize> {
        self.frames.iter().enumerate().filter(|(_, frame)| frame.is_key).map(|(index, _)| index)
    }

    /// The timecode of a frame; `None` where the clip has none or keeps to no rate.
    pub fn timecode_of(&self, frame: usize) -> Option<Timecode> {
        let nominal = self.rate?.as_f64().round();
        let nominal = (1.0..100.0).contains(&nominal).then_some(nominal as u8)?;
        self.timecode?.later(u64::try_from(frame).ok()?, nominal).ok()
    }

    /// The frame that stands on the screen at a time: the last one shown by then; the first before it.
    pub fn frame_at(&self, pts: i64) -> usize {
        self.frames.partition_point(|frame| frame.pts <= pts).saturating_sub(1)
    }

    /// Whether its file is still the one that was opened. Pictures and hashes of another one are refused.
    ///
    /// # Errors
    /// [`Changed`], which says how the file differs.
    pub fn check(&self) -> Result<(), Changed> {
        self.identity.check(&self.path)
    }

    /// SHA-256 of the file, in hexadecimal.
    ///
    /// # Errors
    /// [`NoHash`] where it is not the file that was opened, or cannot be read.
    pub fn file_sha256(&self) -> Result<String, NoHash> {
        self.identity.sha256(&self.path)
    }
}

/// Why the built-in decoder does not show a clip at all.
fn why_not(video: &Video, examined: Option<&Examined>) -> String {
    match examined.and_then(|examined| examined.unfit) {
        Some(unfit) => unfit.to_string(),
        None => format!("its coding is {}", String::from_utf8_lossy(&video.coding)),
    }
}

fn read_embedded(
    (path, identity): (&Path, &Identity),
    video: &Video,
    (examined, clip): (&Examined, &Embedded),
    tools: Option<&Tools>,
) -> Result<Clip, NotAClip> {
    let base = TimeBase::new(1, video.scale).ok_or(NotAClip::Empty(None))?;
    let frames: Vec<Frame> =
        clip.frames().map(|sample| Frame { pts: sample.shown, is_key: sample.is_key }).collect();
    let last = clip.frames().last().ok_or(NotAClip::Empty(None))?;
    let stated = examined.sequence.as_ref().and_then(|sequence| sequence.timing);
    // Ticks count fields, two a frame (E.2.1).
    let stated = stated.and_then(|(scale, ticks)| Rate::new(scale, ticks.checked_mul(2)?).ok());
    let times: Vec<i64> = frames.iter().map(|frame| frame.pts).collect();
    check(&times)?;
    let timing = timing::read(&times, base, stated.as_slice());
    let mut faults = Vec::new();
    if examined.missing > 0 {
        faults.push(Fault::Truncated { missing: Some(examined.missing) });
    } else if video.is_cut_off {
        faults.push(Fault::Truncated { missing: None });
    }
    faults.extend(timing.faults);
    if let Some(unfit) = examined.unfit {
        let because = match unfit {
            Unfit::Untimed => presentation_times::UNTIMED.to_owned(),
            unfit => format!("{unfit}, and FFmpeg, which decodes that exactly, is not there"),
        };
        faults.push(Fault::NotExact { because });
    }
    let length = length(&times, i64::from(last.duration));
    let of_stream = examined.sequence.as_ref().map_or(Stated::NOTHING, |sequence| sequence.colours);
    let colours = of_stream.or(video.colours);
    faults.extend(shown_otherwise(video.turned, colours));
    faults.extend(sound(video.sound_ends, base, &times, length));
    let timecode =
        video.timecode.and_then(|(count, nominal, drops)| Timecode::of_frame(count, nominal, drops).ok());
    let sequence = examined.sequence.as_ref();
    let of_pixels = sequence.and_then(|sequence| sequence.pixel);
    let size = sequence.map_or((u32::from(video.size.0), u32::from(video.size.1)), |sequence| sequence.size);
    let which = (examined.refreshes.clone(), Some(examined));
    let groups = if examined.unfit.is_none() { Groups::of(path, video, which, &frames) } else { None };
    Ok(Clip {
        path: path.to_owned(),
        codec: "h264".to_owned(),
        size,
        base,
        frames,
        length,
        rate: timing.rate,
        timecode,
        turn: Turn::asked(video.turned).unwrap_or(Turn::AsStored),
        pixel: video.pixel.or(of_pixels).unwrap_or(Shape::SQUARE),
        coding: colours.for_height(size.1),
        is_interlaced: false,
        faults,
        reader: Reader::Embedded {
            clip: Box::new(clip.clone()),
            is_exact: examined.unfit.is_none(),
            otherwise: tools.cloned(),
            apart: None,
        },
        identity: identity.clone(),
        groups: groups.map(Arc::new),
    })
}

/// Times within 2^53 units of zero: then sums and differences of them are numbers too. At a thousand million units
/// a second that is 104 days.
fn check(times: &[i64]) -> Result<(), NotAClip> {
    let is_possible = |time: &i64| time.unsigned_abs() <= 1 << 53;
    times.iter().all(is_possible).then_some(()).ok_or(NotAClip::Times)
}

/// From the first picture to the end of the last, which lasts as long as it says, or as the one before it.
fn length(times: &[i64], last_duration: i64) -> i64 {
    let (Some(first), Some(last)) = (times.first(), times.last()) else { return 0 };
    let before = times.get(times.len().wrapping_sub(2)).map_or(0, |before| last - before);
    let last_duration = if last_duration > 0 { last_duration } else { before };
    last.saturating_sub(*first).saturating_add(last_duration)
}

/// What a player does to a stored picture before it is shown, as far as it has to be said.
fn shown_otherwise(asked: Asked, colours: Stated) -> impl Iterator<Item = Fault> {
    let turned = match (asked.is_mirrored, asked.degrees) {
        (false, 0) => None,
        (false, degrees) => Some(Fault::Turned { degrees }),
        (true, degrees) => Some(Fault::Mirrored { degrees }),
    };
    let high_range = match colours.curve {
        Some(curve @ (Curve::Pq | Curve::Hlg)) => Some(Fault::HighRange { curve }),
        Some(Curve::Usual) | None => None,
    };
    turned.into_iter().chain(high_range)
}

/// Sound that goes on for longer than a frame of sound and one of picture can account for.
fn sound(ends: Option<f64>, base: TimeBase, times: &[i64], length: i64) -> Option<Fault> {
    const BLOCK_S: f64 = 0.15;
    let video_ends = base.seconds(times.first()?.saturating_add(length));
    let by_s = ends? - video_ends;
    (by_s > BLOCK_S).then_some(Fault::SoundLonger { by_s })
}

fn read_by_ffmpeg(
    (path, identity): (&Path, &Identity),
    tools: &Tools,
    index: Option<&Video>,
    examined: Option<&Examined>,
) -> Result<Clip, NotAClip> {
    let found = prober::probe(tools, path)?;
    let (over, under) = found.video.time_base().ok_or(NotAClip::Empty(None))?;
    let base = TimeBase::new(over, under).ok_or(NotAClip::Empty(None))?;
    let mut faults = Vec::new();
    let presentation_times::Pictures { frames, from: known_from, is_ordered } =
        presentation_times::read(path, tools, (&found, examined), &mut faults)?;
    let is_listed = is_ordered && known_from == presentation_times::KnownFrom::Packets;
    let times: Vec<i64> = frames.iter().map(|frame| frame.pts).collect();
    check(&times)?;
    let timing = timing::read(&times, base, &found.video.stated_rates());
    if let Some(examined) = examined.filter(|examined| examined.missing > 0) {
        faults.insert(0, Fault::Truncated { missing: Some(examined.missing) });
    } else if index.is_some_and(|video| video.is_cut_off || ends_early(video)) || is_cut_off(path, &found)? {
        faults.insert(0, Fault::Truncated { missing: None });
    }
    let is_truncated = faults.iter().any(|fault| matches!(fault, Fault::Truncated { .. }));
    let incomplete = found.packets.last().filter(|_| is_truncated).and_then(|packet| packet.pts);
    faults.extend(timing.faults);
    faults.extend(shown_otherwise(found.video.turned(), found.video.colours()));
    let field_order = found.video.field_order.as_deref().unwrap_or("progressive");
    let is_interlaced = !matches!(field_order, "progressive" | "unknown");
    if is_interlaced {
        // The second letter says which field is shown first.
        let top_first = field_order.chars().last().map(|letter| letter == 't');
        faults.push(Fault::Interlaced { top_first });
    }
    let format = found.video.pix_fmt.as_deref();
    let bits = format.and_then(super::picture::PixelFormat::named).map_or(8, |format| format.bits);
    if bits > 8 {
        faults.push(Fault::Deep { bits });
    }
    let last_pts = times.last().copied();
    let last_duration =
        found.packets.iter().find(|packet| packet.pts == last_pts).map_or(0, |packet| packet.duration);
    let length = length(&times, last_duration);
    faults.extend(sound(found.sound_ends, base, &times, length));
    let size = (found.video.width.unwrap_or(0), found.video.height.unwrap_or(0));
    let from_key = match is_listed {
        true => from_key(&found, examined, (!is_truncated).then_some(frames.len())),
        false => FromKey::Never,
    };
    let can_seek = matches!(from_key, FromKey::Exact);
    let groups = index.filter(|video| can_seek && base.parts() == (1, video.scale)).and_then(|video| {
        let keys = video.samples.iter().map(|sample| sample.is_key).collect();
        Groups::of(path, video, (keys, examined), &frames)
    });
    Ok(Clip {
        path: path.to_owned(),
        codec: found.video.codec_name.clone().unwrap_or_else(|| "unknown".to_owned()),
        size,
        base,
        frames,
        length,
        rate: timing.rate,
        timecode: found.timecode.as_deref().and_then(|text| text.parse().ok()),
        turn: Turn::asked(found.video.turned()).unwrap_or(Turn::AsStored),
        pixel: found.video.pixel().unwrap_or(Shape::SQUARE),
        coding: found.video.colours().for_height(size.1),
        is_interlaced,
        faults,
        reader: Reader::Ffmpeg {
            tools: tools.clone(),
            stream: Stream::Number(found.video.index),
            from_key,
            incomplete,
            is_ordered,
            known_from,
        },
        identity: identity.clone(),
        groups: groups.map(Arc::new),
    })
}

/// Whether some coded picture lies beyond the end of the file.
fn ends_early(video: &Video) -> bool {
    let ends = |sample: &Sample| sample.offset.saturating_add(u64::from(sample.size));
    video.samples.iter().any(|sample| ends(sample) > video.file_size)
}

/// Whether a file of another kind than MP4 ends in the middle.
fn is_cut_off(path: &Path, found: &Found) -> std::io::Result<bool> {
    // ISO/IEC 13818-1, 2.4.3.2: a stream is made of packets of 188 bytes.
    const PACKET: u64 = 188;
    let is_ragged = found.container == "mpegts" && !std::fs::metadata(path)?.len().is_multiple_of(PACKET);
    let says_so = |complaint: &String| {
        ["ended prematurely", "partial file"].iter().any(|said| complaint.contains(said))
    };
    Ok(is_ragged || found.complaint.as_ref().is_some_and(says_so))
}

/// What is to be thought of pictures that are decoded from a key that the file names. H.264 may name points from which
/// pictures only recover bit by bit, so its keys are looked at, and where they cannot be, pictures are compared with those
/// that came from the start, or come from there; `whole` is the number of pictures of a file that is not cut off.
fn from_key(found: &Found, examined: Option<&Examined>, whole: Option<usize>) -> FromKey {
    let is_mp4 = found.container.contains("mp4");
    let is_matroska = found.container.contains("matroska");
    let is_exact = match found.video.codec_name.as_deref() {
        Some("h264") => is_mp4 && examined.is_some_and(|examined| examined.keys_are_clean),
        // The keys of an MP4 file of HEVC are random access points, exact from themselves on (ITU-T H.265, 8.1.3).
        Some("hevc") => is_mp4,
        Some("vp8" | "vp9" | "av1" | "mjpeg" | "prores" | "dnxhd" | "ffv1") => is_mp4 || is_matroska,
        _ => false,
    };
    match (is_exact, whole) {
        (true, _) => FromKey::Exact,
        (false, Some(frames)) if is_matroska || found.container == "mpegts" => {
            FromKey::Compared(Known::nothing(frames))
        }
        (false, _) => FromKey::Never,
    }
}
