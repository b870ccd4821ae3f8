//! Opens a clip: chooses its decoder, reads its times, finds its faults.
//!
//! The built-in decoder decodes what it decodes exactly, FFmpeg everything else. Where FFmpeg is not installed,
//! inexact pictures are marked as such, and a clip that cannot be shown is refused with the reason.

use super::Clip;
use crate::container::mp4;
use crate::container::mp4::Video;
use crate::container::mp4::sample::Sample;
use crate::container::timing;
use crate::container::timing::TimeBase;
use crate::decode::Decoder;
use crate::decode::built_in::BuiltIn;
use crate::decode::ffmpeg::Tools;
use crate::decode::ffmpeg::commands::Stream;
use crate::decode::ffmpeg::run::{FrameSource, FromKey, Track};
use crate::decode::frame_hashes::FrameHashes;
use crate::decode::gop::GopIndex;
use crate::decode::presentation_times;
use crate::decode::prober;
use crate::decode::prober::Probe;
use crate::decode::track_headers;
use crate::decode::track_headers::TrackHeaders;
use crate::error::{Error, IndexError};
use crate::fault::Fault;
use crate::file_identity::Identity;
use crate::frame::Frame;
use crate::h264::parameters::Unsupported;
use crate::picture::PixelFormat;
use crate::show::colour::{StatedColour, Transfer};
use crate::show::pixel_aspect::PixelAspect;
use crate::show::rotation::{Orientation, Rotation};
use evidence::time::rate::Rate;
use evidence::time::timecode::Timecode;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;
use std::sync::Arc;

impl Clip {
    /// Opens a clip. `tools` is FFmpeg, if it is installed.
    ///
    /// # Errors
    /// [`Error`] if the file is not a clip that can be decoded.
    pub fn open(path: &Path, tools: Option<&Tools>) -> Result<Clip, Error> {
        let path = std::path::absolute(path).map_err(Error::Open)?;
        let file = File::open(&path).map_err(Error::Open)?;
        if !file.metadata().map_err(Error::Open)?.is_file() {
            return Err(Error::Open(std::io::Error::other("not a file")));
        }
        let identity = Identity::of(&path).map_err(Error::Open)?;
        let clip = read(BufReader::new(file), (&path, &identity), tools);
        identity.check(&path)?;
        clip
    }
}

fn read(mut file: BufReader<File>, of: (&Path, &Identity), tools: Option<&Tools>) -> Result<Clip, Error> {
    let (path, _) = of;
    let index = mp4::read(&mut file);
    let headers = match &index {
        Ok(video) if matches!(&video.coding, b"avc1" | b"avc3") => {
            Some(track_headers::read(path, video).map_err(Error::Open)?)
        }
        Ok(_) | Err(_) => None,
    };
    if let (Ok(video), Some(headers)) = (&index, &headers)
        && let Some(clip) = BuiltIn::of(path, video, headers)
    {
        let is_whole = headers.missing == 0 && !video.is_cut_off;
        if tools.is_none() || (is_whole && clip.is_exact()) {
            return read_built_in(of, video, (headers, clip), tools);
        }
    }
    match (tools, index) {
        (Some(tools), index) => {
            let clip = read_by_ffmpeg(of, tools, index.as_ref().ok(), headers.as_ref());
            // For an MP4 file, the reason from its own index is the better one.
            match (clip, index) {
                (Err(Error::Probe(_)), Err(reason @ (IndexError::Missing | IndexError::Damaged(_)))) => {
                    Err(Error::Index(reason))
                }
                (clip, _) => clip,
            }
        }
        (None, Ok(video)) => Err(Error::NeedsFfmpeg(why_not(&video, headers.as_ref()))),
        (None, Err(reason)) => Err(Error::NeedsFfmpeg(reason.to_string())),
    }
}

/// Why the built-in decoder does not show a clip at all.
fn why_not(video: &Video, headers: Option<&TrackHeaders>) -> String {
    match headers.and_then(|headers| headers.unsupported) {
        Some(unsupported) => unsupported.to_string(),
        None => format!("its coding is {}", String::from_utf8_lossy(&video.coding)),
    }
}

fn read_built_in(
    (path, identity): (&Path, &Identity),
    video: &Video,
    (headers, clip): (&TrackHeaders, BuiltIn),
    tools: Option<&Tools>,
) -> Result<Clip, Error> {
    let base = TimeBase::new(1, video.scale).ok_or(Error::NoPictures(None))?;
    let frames: Vec<Frame> =
        clip.frames().map(|sample| Frame { pts: sample.pts, is_key: sample.is_key }).collect();
    let last = clip.frames().last().ok_or(Error::NoPictures(None))?;
    let sps = headers.sps();
    let stated = sps.and_then(|sps| sps.timing);
    // Ticks count fields, two a frame (E.2.1).
    let stated = stated.and_then(|(scale, ticks)| Rate::new(scale, ticks.checked_mul(2)?).ok());
    let times: Vec<i64> = frames.iter().map(|frame| frame.pts).collect();
    check(&times)?;
    let timing = timing::read(&times, base, stated.as_slice());
    let mut faults = Vec::new();
    if headers.missing > 0 {
        faults.push(Fault::Truncated { missing: Some(headers.missing) });
    } else if video.is_cut_off {
        faults.push(Fault::Truncated { missing: None });
    }
    faults.extend(timing.faults);
    if let Some(unsupported) = headers.unsupported {
        let because = match unsupported {
            Unsupported::Untimed => presentation_times::UNTIMED.to_owned(),
            unsupported => format!("{unsupported}; install FFmpeg to decode it exactly"),
        };
        faults.push(Fault::NotExact { because });
    }
    let length = length(&times, i64::from(last.duration));
    let of_stream = sps.map_or(StatedColour::NOTHING, |sps| sps.colours);
    let colours = of_stream.or(video.colours);
    faults.extend(shown_otherwise(video.orientation, colours));
    faults.extend(sound(video.sound_ends, base, &times, length));
    let timecode =
        video.timecode.and_then(|(count, nominal, drops)| Timecode::of_frame(count, nominal, drops).ok());
    let of_pixels = sps.and_then(|sps| sps.pixel_aspect);
    let size = sps.map_or((u32::from(video.size.0), u32::from(video.size.1)), |sps| sps.size);
    let which = (headers.idr.clone(), Some(headers));
    let gop_index =
        if headers.unsupported.is_none() { GopIndex::of(path, video, which, &frames) } else { None };
    Ok(Clip {
        path: path.to_owned(),
        codec: "h264".to_owned(),
        size,
        base,
        frames,
        length,
        rate: timing.rate,
        timecode,
        rotation: Rotation::of(video.orientation).unwrap_or(Rotation::AsStored),
        pixel_aspect: video.pixel.or(of_pixels).unwrap_or(PixelAspect::SQUARE),
        coding: colours.for_height(size.1),
        is_interlaced: false,
        faults,
        decoder: Decoder::BuiltIn { clip: Box::new(clip), fallback: tools.cloned(), worker: None },
        identity: identity.clone(),
        gop_index: gop_index.map(Arc::new),
    })
}

/// Refuses times further than 2^53 units from zero, so that sums and differences of them do not overflow. At a
/// thousand million units a second that is 104 days.
fn check(times: &[i64]) -> Result<(), Error> {
    let is_possible = |time: &i64| time.unsigned_abs() <= 1 << 53;
    times.iter().all(is_possible).then_some(()).ok_or(Error::ImpossibleTimes)
}

/// From the first picture to the end of the last, which lasts as long as stated, or else as the one before it.
fn length(times: &[i64], last_duration: i64) -> i64 {
    let (Some(first), Some(last)) = (times.first(), times.last()) else { return 0 };
    let before = times.get(times.len().wrapping_sub(2)).map_or(0, |before| last - before);
    let last_duration = if last_duration > 0 { last_duration } else { before };
    last.saturating_sub(*first).saturating_add(last_duration)
}

/// Faults for what a player does to a stored picture before it shows it.
fn shown_otherwise(orientation: Orientation, colours: StatedColour) -> impl Iterator<Item = Fault> {
    let rotated = match (orientation.is_mirrored, orientation.degrees) {
        (false, 0) => None,
        (false, degrees) => Some(Fault::Rotated { degrees }),
        (true, degrees) => Some(Fault::Mirrored { degrees }),
    };
    let high_range = match colours.transfer {
        Some(transfer @ (Transfer::Pq | Transfer::Hlg)) => Some(Fault::HighRange { transfer }),
        Some(Transfer::Usual) | None => None,
    };
    rotated.into_iter().chain(high_range)
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
    headers: Option<&TrackHeaders>,
) -> Result<Clip, Error> {
    let probe = prober::probe(&tools.programs, path)?;
    let (numerator, denominator) = probe.video.time_base().ok_or(Error::NoPictures(None))?;
    let base = TimeBase::new(numerator, denominator).ok_or(Error::NoPictures(None))?;
    let mut faults = Vec::new();
    let presentation_times::Pictures { frames, from: frame_source, is_ordered } =
        presentation_times::read(path, tools, (&probe, headers), &mut faults)?;
    let is_listed = is_ordered && frame_source == FrameSource::Packets;
    let times: Vec<i64> = frames.iter().map(|frame| frame.pts).collect();
    check(&times)?;
    let timing = timing::read(&times, base, &probe.video.stated_rates());
    if let Some(headers) = headers.filter(|headers| headers.missing > 0) {
        faults.insert(0, Fault::Truncated { missing: Some(headers.missing) });
    } else if index.is_some_and(|video| video.is_cut_off || ends_early(video))
        || is_cut_off(path, &probe).map_err(Error::Open)?
    {
        faults.insert(0, Fault::Truncated { missing: None });
    }
    let is_truncated = faults.iter().any(|fault| matches!(fault, Fault::Truncated { .. }));
    let incomplete = probe.packets.last().filter(|_| is_truncated).and_then(|packet| packet.pts);
    faults.extend(timing.faults);
    faults.extend(shown_otherwise(probe.video.orientation(), probe.video.colours()));
    faults.extend(unusual_samples(&probe.video));
    let last_pts = times.last().copied();
    let last_duration =
        probe.packets.iter().find(|packet| packet.pts == last_pts).map_or(0, |packet| packet.duration);
    let length = length(&times, last_duration);
    faults.extend(sound(probe.sound_ends, base, &times, length));
    let size = (probe.video.width.unwrap_or(0), probe.video.height.unwrap_or(0));
    let from_key = match is_listed {
        true => from_key(&probe, headers, (!is_truncated).then_some(frames.len())),
        false => FromKey::Never,
    };
    let can_seek = matches!(from_key, FromKey::Exact);
    let gop_index = index.filter(|video| can_seek && base.parts() == (1, video.scale)).and_then(|video| {
        let keys = video.samples.iter().map(|sample| sample.is_key).collect();
        GopIndex::of(path, video, (keys, headers), &frames)
    });
    Ok(Clip {
        path: path.to_owned(),
        codec: probe.video.codec_name.clone().unwrap_or_else(|| "unknown".to_owned()),
        size,
        base,
        frames,
        length,
        rate: timing.rate,
        timecode: probe.timecode.as_deref().and_then(|text| text.parse().ok()),
        rotation: Rotation::of(probe.video.orientation()).unwrap_or(Rotation::AsStored),
        pixel_aspect: probe.video.pixel().unwrap_or(PixelAspect::SQUARE),
        coding: probe.video.colours().for_height(size.1),
        is_interlaced: faults.iter().any(|fault| matches!(fault, Fault::Interlaced { .. })),
        faults,
        decoder: Decoder::Ffmpeg {
            tools: tools.clone(),
            track: Track {
                stream: Stream::Number(probe.video.index),
                from_key,
                incomplete,
                is_ordered,
                frame_source,
            },
        },
        identity: identity.clone(),
        gop_index: gop_index.map(Arc::new),
    })
}

/// Interlaced pictures, and samples of more than 8 bits.
fn unusual_samples(video: &prober::Stream) -> impl Iterator<Item = Fault> {
    let field_order = video.field_order.as_deref().unwrap_or("progressive");
    let is_interlaced = !matches!(field_order, "progressive" | "unknown");
    let interlaced = is_interlaced.then(|| {
        // The second letter is the field that is shown first.
        Fault::Interlaced { top_first: field_order.chars().last().map(|letter| letter == 't') }
    });
    let format = video.pix_fmt.as_deref().and_then(PixelFormat::from_name);
    let deep = format.filter(|format| format.bits > 8).map(|format| Fault::Deep { bits: format.bits });
    interlaced.into_iter().chain(deep)
}

/// Whether some coded picture lies beyond the end of the file.
fn ends_early(video: &Video) -> bool {
    let ends = |sample: &Sample| sample.offset.saturating_add(u64::from(sample.size));
    video.samples.iter().any(|sample| ends(sample) > video.file_size)
}

/// Whether a file other than MP4 ends in the middle.
fn is_cut_off(path: &Path, probe: &Probe) -> std::io::Result<bool> {
    // ISO/IEC 13818-1, 2.4.3.2: a stream is made of packets of 188 bytes.
    const PACKET: u64 = 188;
    let is_ragged = probe.container == "mpegts" && !std::fs::metadata(path)?.len().is_multiple_of(PACKET);
    let is_cut = |complaint: &String| {
        ["ended prematurely", "partial file"].iter().any(|message| complaint.contains(message))
    };
    Ok(is_ragged || probe.complaint.as_ref().is_some_and(is_cut))
}

/// Whether decoding from a key that the file names gives exact pictures. H.264 may name points from which pictures
/// recover only bit by bit, so its keys are examined. Where that is not possible, pictures are compared with those
/// from the start, or come from the start. `whole` is the number of frames of a file that is not cut off.
fn from_key(probe: &Probe, headers: Option<&TrackHeaders>, whole: Option<usize>) -> FromKey {
    let is_mp4 = probe.container.contains("mp4");
    let is_matroska = probe.container.contains("matroska");
    let is_exact = match probe.video.codec_name.as_deref() {
        Some("h264") => is_mp4 && headers.is_some_and(|headers| headers.keys_are_clean),
        // The keys of an MP4 file of HEVC are random access points, exact from themselves on (ITU-T H.265, 8.1.3).
        Some("hevc") => is_mp4,
        Some("vp8" | "vp9" | "av1" | "mjpeg" | "prores" | "dnxhd" | "ffv1") => is_mp4 || is_matroska,
        _ => false,
    };
    match (is_exact, whole) {
        (true, _) => FromKey::Exact,
        (false, Some(frames)) if is_matroska || probe.container == "mpegts" => {
            FromKey::Compared(FrameHashes::empty(frames))
        }
        (false, _) => FromKey::Never,
    }
}
