//! A file as FFmpeg's prober reads it: its streams, and PTS and DTS of each video packet.

use super::ffmpeg::commands::{MOST_IN_ALL, Programs};
use crate::decode::process;
use crate::error::ProbeError;
use crate::picture::PixelFormat;
use crate::show::colour::{Matrix, StatedColour, Transfer};
use crate::show::pixel_aspect::PixelAspect;
use crate::show::rotation::{DisplayMatrix, Orientation};
use evidence::time::rate::Rate;
use serde::Deserialize;
use std::path::Path;

/// Bytes of the prober's output that are read: about 100 a packet.
const MOST: u64 = 128 << 20;

/// What the prober prints, as far as it is used.
#[derive(Debug, Deserialize)]
struct Printed {
    #[serde(default)]
    streams: Vec<Stream>,
    #[serde(default)]
    packets: Vec<Packet>,
    format: Option<Format>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Stream {
    pub(crate) index: u32,
    pub(crate) codec_type: Option<String>,
    pub(crate) codec_name: Option<String>,
    pub(crate) width: Option<u32>,
    pub(crate) height: Option<u32>,
    /// FFmpeg's estimate of the reorder depth.
    pub(crate) has_b_frames: Option<u32>,
    pub(crate) pix_fmt: Option<String>,
    sample_aspect_ratio: Option<String>,
    color_space: Option<String>,
    color_range: Option<String>,
    color_transfer: Option<String>,
    pub(crate) field_order: Option<String>,
    time_base: Option<String>,
    r_frame_rate: Option<String>,
    avg_frame_rate: Option<String>,
    tags: Option<Tags>,
    #[serde(default)]
    side_data_list: Vec<SideData>,
    disposition: Option<Disposition>,
}

#[derive(Debug, Clone, Deserialize)]
struct Tags {
    timecode: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
struct SideData {
    displaymatrix: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
struct Disposition {
    attached_pic: Option<u8>,
}

#[derive(Debug, Clone, Deserialize)]
struct Format {
    format_name: Option<String>,
    tags: Option<Tags>,
}

#[derive(Debug, Clone, Deserialize)]
struct Packet {
    stream_index: u32,
    pts: Option<i64>,
    dts: Option<i64>,
    duration: Option<i64>,
    flags: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct VideoPacket {
    /// `None` if the file does not state it.
    pub(crate) pts: Option<i64>,
    /// `None` if the file does not state it.
    pub(crate) dts: Option<i64>,
    /// Until the next picture; 0 if the file does not state it.
    pub(crate) duration: i64,
    pub(crate) is_key: bool,
    /// An edit list leaves its picture out.
    pub(crate) is_discarded: bool,
    /// Otherwise PTS is taken from DTS.
    pub(crate) has_pts: bool,
}

/// What the prober found.
#[derive(Debug)]
pub(crate) struct Probe {
    pub(crate) video: Stream,
    /// Such as "mpegts".
    pub(crate) container: String,
    /// Of the video, in the order of the file.
    pub(crate) packets: Vec<VideoPacket>,
    /// Of the first frame, as the file states it.
    pub(crate) timecode: Option<String>,
    /// When the last sound ends, in seconds.
    pub(crate) sound_ends: Option<f64>,
    /// Its first error message.
    pub(crate) complaint: Option<String>,
}

const ENTRIES: &str = "stream=index,codec_type,codec_name,width,height,has_b_frames,pix_fmt,sample_aspect_ratio,color_space,\
    color_range,color_transfer,field_order,time_base,r_frame_rate,avg_frame_rate:stream_tags=timecode:stream_side_data=displaymatrix:\
    stream_disposition=attached_pic:packet=stream_index,pts,dts,duration,flags:format=format_name:\
    format_tags=timecode";

pub(crate) fn probe(programs: &Programs, clip: &Path) -> Result<Probe, ProbeError> {
    let mut command = programs.prober(clip);
    command.args(["-show_entries", ENTRIES, "-of", "json=compact=1"]);
    let finished = process::run(command, (MOST, MOST_IN_ALL))?;
    if finished.is_cut {
        return Err(ProbeError::TooMuch(MOST));
    }
    let complaint = finished.messages.first().map(|line| without_origin(line));
    let refused = || {
        let line = finished
            .messages
            .last()
            .map_or_else(|| "FFmpeg ended early".to_owned(), |line| without_origin(line));
        // The message names the file, which the caller knows.
        ProbeError::Refused(line.rsplit_once(": ").map_or(line.as_str(), |(_, reason)| reason).to_lowercase())
    };
    let printed: Printed = serde_json::from_slice(&finished.output).map_err(|_| refused())?;
    if !finished.succeeded && printed.packets.is_empty() {
        return Err(refused());
    }
    let is_picture = |stream: &&Stream| {
        let is_cover = stream.disposition.as_ref().is_some_and(|kind| kind.attached_pic == Some(1));
        stream.codec_type.as_deref() == Some("video") && !is_cover
    };
    let video = printed.streams.iter().find(is_picture).cloned().ok_or(ProbeError::NoVideo)?;
    Ok(Probe {
        packets: printed
            .packets
            .iter()
            .filter(|packet| packet.stream_index == video.index)
            .map(video_packet)
            .collect(),
        timecode: timecode(&printed),
        sound_ends: sound_ends(&printed),
        container: printed
            .format
            .and_then(|format| format.format_name)
            .unwrap_or_else(|| "unknown".to_owned()),
        complaint,
        video,
    })
}

/// A message without the address of the object that printed it.
fn without_origin(line: &str) -> String {
    let message = line.split_once("[error] ").or_else(|| line.split_once("[fatal] "));
    message.map_or(line, |(_, message)| message).to_owned()
}

fn video_packet(packet: &Packet) -> VideoPacket {
    let flags = packet.flags.as_deref().unwrap_or("");
    VideoPacket {
        pts: packet.pts.or(packet.dts),
        dts: packet.dts,
        duration: packet.duration.unwrap_or(0),
        is_key: flags.contains('K'),
        is_discarded: flags.contains('D'),
        has_pts: packet.pts.is_some(),
    }
}

fn timecode(printed: &Printed) -> Option<String> {
    let of_file = printed.format.as_ref().and_then(|format| format.tags.clone());
    let all = printed.streams.iter().filter_map(|stream| stream.tags.clone()).chain(of_file);
    all.filter_map(|tags| tags.timecode).next()
}

fn sound_ends(printed: &Printed) -> Option<f64> {
    let sounds = printed.streams.iter().filter(|stream| stream.codec_type.as_deref() == Some("audio"));
    let ends = sounds.filter_map(|stream| {
        let (over, under) = stream.time_base()?;
        let packets = printed.packets.iter().filter(|packet| packet.stream_index == stream.index);
        let end = packets.filter_map(|packet| packet.pts?.checked_add(packet.duration?)).max()?;
        Some(end as f64 * f64::from(over) / f64::from(under))
    });
    ends.reduce(f64::max)
}

/// "30000/1001".
fn fraction(text: Option<&str>) -> Option<(u32, u32)> {
    let (over, under) = text?.split_once('/')?;
    Some((over.parse().ok()?, under.parse().ok()?))
}

impl Stream {
    /// Seconds of one unit, as a fraction.
    pub(crate) fn time_base(&self) -> Option<(u32, u32)> {
        fraction(self.time_base.as_deref())
    }

    /// Rates that headers state, the likelier first.
    pub(crate) fn stated_rates(&self) -> Vec<Rate> {
        let rates = [&self.avg_frame_rate, &self.r_frame_rate].map(|text| fraction(text.as_deref()));
        rates.iter().flatten().filter_map(|(over, under)| Rate::new(*over, *under).ok()).collect()
    }

    pub(crate) fn colours(&self) -> StatedColour {
        let by_layout = self.pix_fmt.as_deref().and_then(PixelFormat::from_name);
        StatedColour {
            transfer: self.color_transfer.as_deref().and_then(Transfer::from_name),
            matrix: self.color_space.as_deref().and_then(Matrix::from_name),
            is_full_range: match self.color_range.as_deref() {
                Some("pc") => Some(true),
                Some("tv") => Some(false),
                // JPEG pictures state it by their layout alone.
                _ => by_layout.map(|format| format.is_full_range()),
            },
        }
    }

    /// Pixel aspect ratio: FFmpeg, too, asks the container first and the stream where that is silent.
    pub(crate) fn pixel(&self) -> Option<PixelAspect> {
        self.sample_aspect_ratio.as_deref().and_then(PixelAspect::from_name)
    }

    /// How a player rotates and mirrors the picture.
    pub(crate) fn orientation(&self) -> Orientation {
        let matrix = self.side_data_list.iter().find_map(|data| data.displaymatrix.as_deref());
        matrix.and_then(displayed).unwrap_or(DisplayMatrix::PLAIN).orientation()
    }
}

/// Three lines of three numbers: `00000000:            0       65536           0`.
fn displayed(text: &str) -> Option<DisplayMatrix> {
    let lines = text.lines().filter_map(|line| line.split_once(':'));
    let mut numbers = lines.map(|(_, numbers)| {
        let mut numbers = numbers.split_whitespace().map(str::parse::<i32>);
        Some((numbers.next()?.ok()?, numbers.next()?.ok()?))
    });
    let ((a, b), (c, d)) = (numbers.next()??, numbers.next()??);
    Some(DisplayMatrix { a, b, c, d })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As FFmpeg 5.1 prints it for a phone that was held upright.
    #[test]
    fn a_printed_matrix_is_read_and_what_is_none_is_not() {
        let printed = "\n00000000:            0       65536           0\n00000001:       -65536           0           0\n00000002:            0           0  1073741824\n";
        let orientation = displayed(printed).map(DisplayMatrix::orientation);
        assert_eq!(orientation, Some(Orientation { is_mirrored: false, degrees: 90 }));
        for text in ["", "00000000: 1 2 3", "00000000: a b c\n00000001: 1 2 3", "00000000: 1\n00000001: 2"] {
            assert_eq!(displayed(text), None, "{text}");
        }
    }
}
