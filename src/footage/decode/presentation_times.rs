//! The frames of a file and their PTS by FFmpeg: from its packets where they state them, else by decoding all of it.
//!
//! Times are believed only where they can be right. Some recorders and tools stamp pictures in the order of decoding,
//! though the stream shows them in another. FFmpeg then guesses, and guesses differently where it begins elsewhere.
//! Such pictures are counted from the start, and none of them is exact.

use crate::decode::ffmpeg::Tools;
use crate::decode::ffmpeg::commands::{DecodeRequest, Selection, Stream};
use crate::decode::ffmpeg::run::FrameSource;
use crate::decode::prober::{Probe, VideoPacket};
use crate::decode::process::Pace;
use crate::decode::track_headers::TrackHeaders;
use crate::error::Error;
use crate::fault::Fault;
use crate::frame::Frame;
use std::path::Path;

/// The pictures of a file.
pub(crate) struct Pictures {
    /// Sorted by PTS.
    pub(crate) frames: Vec<Frame>,
    pub(crate) from: FrameSource,
    /// Times and order do not contradict each other.
    pub(crate) is_ordered: bool,
}

/// Reads the frames. What is wrong with them is added to `faults`.
pub(crate) fn read(
    path: &Path,
    tools: &Tools,
    (probe, headers): (&Probe, Option<&TrackHeaders>),
    faults: &mut Vec<Fault>,
) -> Result<Pictures, Error> {
    let listed = if is_in_order(probe) { listed(&probe.packets) } else { None };
    let is_ordered = headers.and_then(|headers| headers.is_ordered);
    let is_doubtful = is_ordered.map_or_else(|| may_be_untimed(probe), |is_ordered| !is_ordered);
    if let (Some(frames), false) = (&listed, is_doubtful) {
        return Ok(Pictures { frames: frames.clone(), from: FrameSource::Packets, is_ordered: true });
    }
    let decoded = decoded(path, tools, probe, faults)?;
    // The coding allows reordering, and no picture makes use of it.
    if let (Some(frames), None, false) = (listed, is_ordered, decoded.has_b) {
        return Ok(Pictures { frames, from: FrameSource::Packets, is_ordered: true });
    }
    let is_ordered = decoded.is_rising && !is_doubtful;
    if !is_ordered {
        faults.push(Fault::NotExact { because: UNTIMED.to_owned() });
    }
    Ok(Pictures { frames: decoded.frames, from: FrameSource::Decoding, is_ordered })
}

/// Why pictures whose times contradict their order are no evidence, and what helps.
pub(crate) const UNTIMED: &str = "its times do not follow the order of its pictures; \
    record or export it again with the times at which they are shown";

/// Whether every packet is a picture that is shown: then nothing needs to be decoded to know the frames.
fn is_in_order(probe: &Probe) -> bool {
    probe.complaint.is_none() && probe.packets.first().is_some_and(|packet| packet.is_key)
}

/// Whether times may be those of decoding: the coding reorders pictures, and no time shows it.
fn may_be_untimed(probe: &Probe) -> bool {
    let waits = probe.video.has_b_frames.is_some_and(|waits| waits > 0) && probe.packets.len() > 2;
    let is_rising = probe.packets.is_sorted_by_key(|packet| packet.pts);
    // Matroska has no times of decoding.
    let is_matroska = probe.container.contains("matroska");
    let as_decoded = probe.packets.iter().all(|packet| packet.dts.is_none() || packet.dts == packet.pts);
    waits && is_rising && (is_matroska || as_decoded)
}

/// Frames from packets; `None` where a packet has no time of its own or shares it with another, and where pictures are
/// shown before the key that comes first: what those refer to was cut off, and only the decoder knows which come.
fn listed(packets: &[VideoPacket]) -> Option<Vec<Frame>> {
    let first = packets.iter().find(|packet| !packet.is_discarded)?;
    if packets.iter().any(|packet| !packet.is_discarded && (!packet.has_pts || packet.pts < first.pts)) {
        return None;
    }
    let shown = packets.iter().filter(|packet| !packet.is_discarded);
    let frames: Option<Vec<Frame>> =
        shown.map(|packet| Some(Frame { pts: packet.pts?, is_key: packet.is_key })).collect();
    let mut frames = frames.filter(|frames| !frames.is_empty())?;
    frames.sort_by_key(|frame| frame.pts);
    let is_rising = frames
        .windows(2)
        .all(|pair| pair.first().map(|frame| frame.pts) != pair.last().map(|frame| frame.pts));
    is_rising.then_some(frames)
}

/// All frames, decoded once.
struct Decoded {
    /// In the order in which they came; a time earlier than the one before is raised to it.
    frames: Vec<Frame>,
    /// No time was raised.
    is_rising: bool,
    /// Some picture is predicted from two sides.
    has_b: bool,
}

fn decoded(path: &Path, tools: &Tools, probe: &Probe, faults: &mut Vec<Fault>) -> Result<Decoded, Error> {
    let wanted = DecodeRequest {
        stream: Stream::Number(probe.video.index),
        seek: None,
        selection: Selection::All,
        count: None,
        pace: Pace::AtOnce,
    };
    let mut pictures = tools.decode(path, &wanted)?;
    let (mut frames, mut is_rising, mut has_b) = (Vec::<Frame>::new(), true, false);
    while let Some(decoded) = pictures.next()? {
        let pts = decoded.picture.pts;
        let before = frames.last().map_or(pts, |frame| frame.pts);
        has_b |= decoded.is_b;
        is_rising &= pts >= before;
        frames.push(Frame { pts: pts.max(before), is_key: decoded.is_key });
    }
    let message = pictures.errors().first().cloned().or_else(|| probe.complaint.clone());
    let Some(first) = frames.first() else { return Err(Error::NoPictures(message)) };
    let begins_with_key = probe.packets.first().is_some_and(|packet| packet.is_key);
    if !begins_with_key {
        let lost =
            probe.packets.iter().filter(|packet| packet.pts.is_some_and(|pts| pts < first.pts)).count();
        faults.push(Fault::MissingKey { lost });
    } else if let Some(first) = message {
        faults.push(Fault::Damaged { first });
    }
    Ok(Decoded { frames, is_rising, has_b })
}
