//! Films a play with one camera: draws, encodes, and writes an MP4 whose frames keep the camera's rate exactly. Every
//! picture shows its timecode; `timecode_track` adds it to the file.

use super::action::Action;
use super::canvas::{Canvas, View};
use super::error::Error;
use super::picture::Picture;
use evidence::time::rate::Rate;
use mp4::{AvcConfig, MediaConfig, Mp4Config, Mp4Sample, Mp4Writer, TrackConfig, TrackType};
use openh264::encoder::{
    BitRate, Complexity, Encoder, EncoderConfig, FrameRate, IntraFramePeriod, Profile, QpRange,
    RateControlMode, UsageType, VuiConfig,
};
use openh264::{OpenH264API, Timestamp};
use rayon::prelude::*;
use std::io::{Seek, Write};
use std::sync::Arc;

/// Frames from one IDR picture to the next: half a second at 59.94.
const KEY_EVERY: u32 = 30;
/// Pictures that each thread draws while the previous ones are encoded.
const AHEAD: usize = 4;

/// Films a whole play into `out`. `progress` gets the number of finished frames and the total; filming stops early when
/// it returns false.
///
/// # Errors
/// [`Error`] where a picture cannot be encoded or written.
pub fn shoot<W: Write + Seek + Send>(
    action: &Action,
    view: &Arc<View>,
    out: W,
    mut progress: impl FnMut(u64, u64) -> bool,
) -> Result<W, Error> {
    let station = &view.station;
    let frames = station.frames(action.play.seconds).max(1);
    let mut canvases: Vec<Canvas> =
        (0..rayon::current_num_threads()).map(|_| Canvas::new(Arc::clone(view))).collect();
    let mut reel = Reel::new(out, station.rate, station.mounted.size, station.mounted.quantiser)?;
    let (mut drawn, mut done) = (Vec::new(), 0);
    let mut next = 0;
    while done < frames {
        let batch = (frames - next).min((canvases.len() * AHEAD) as u64);
        // The encoder takes one picture at a time; meanwhile the other threads draw the next ones.
        let (encoded, pictures) = rayon::join(
            || drawn.iter().try_for_each(|picture| reel.add(picture)),
            || draw(&mut canvases, action, next, batch),
        );
        encoded?;
        done += drawn.len() as u64;
        next += batch;
        drawn = pictures;
        if !progress(done, frames) {
            break;
        }
    }
    reel.end()
}

fn draw(canvases: &mut [Canvas], action: &Action, first: u64, count: u64) -> Vec<Picture> {
    let share = count.div_ceil(canvases.len().max(1) as u64);
    let parts: Vec<Vec<Picture>> = canvases
        .par_iter_mut()
        .enumerate()
        .map(|(number, canvas)| {
            let from = (number as u64 * share).min(count);
            let to = (from + share).min(count);
            (from..to).map(|frame| canvas.picture(action, first + frame)).collect()
        })
        .collect();
    parts.into_iter().flatten().collect()
}

/// A clip that is being written.
struct Reel<W: Write + Seek> {
    out: Option<W>,
    writer: Option<Mp4Writer<W>>,
    encoder: Encoder,
    size: (usize, usize),
    rate: Rate,
    frame: u64,
}

impl<W: Write + Seek> Reel<W> {
    fn new(out: W, rate: Rate, size: (usize, usize), quantiser: u8) -> Result<Reel<W>, Error> {
        let config = EncoderConfig::new()
            .profile(Profile::High)
            .usage_type(UsageType::CameraVideoRealTime)
            .complexity(Complexity::Low)
            .rate_control_mode(RateControlMode::Bufferbased)
            .qp(QpRange::new(quantiser, quantiser))
            .bitrate(BitRate::from_bps(20_000_000))
            .max_frame_rate(FrameRate::from_hz(rate.as_f64() as f32))
            .skip_frames(false)
            .scene_change_detect(false)
            .adaptive_quantization(false)
            .background_detection(false)
            .intra_frame_period(IntraFramePeriod::from_num_frames(KEY_EVERY))
            .num_threads(1)
            .vui(VuiConfig::bt709());
        let encoder = Encoder::with_api_config(OpenH264API::from_source(), config)?;
        Ok(Reel { out: Some(out), writer: None, encoder, size, rate, frame: 0 })
    }

    fn add(&mut self, picture: &Picture) -> Result<(), Error> {
        let at_ms = (self.rate.at(self.frame).as_f64() * 1000.0) as u64;
        let stream = self.encoder.encode_at(picture, Timestamp::from_millis(at_ms))?.to_vec();
        let units = units(&stream);
        let kind = |unit: &&[u8]| unit.first().map_or(0, |head| head & 0x1F);
        let find = |wanted: u8| units.iter().find(|unit| kind(unit) == wanted).copied();
        if self.writer.is_none() {
            let (Some(sequence), Some(pictures)) = (find(7), find(8)) else {
                return Err(Error::NoParameters);
            };
            let out = self.out.take().ok_or(Error::NoParameters)?;
            self.writer = Some(begin(out, self.size, self.rate, (sequence, pictures))?);
        }
        // In an MP4, each unit is preceded by its length, and the parameters are in the file's index.
        let mut bytes = Vec::with_capacity(stream.len());
        for unit in units.iter().filter(|unit| !matches!(kind(unit), 7..=9)) {
            bytes.extend_from_slice(&(unit.len() as u32).to_be_bytes());
            bytes.extend_from_slice(unit);
        }
        if bytes.is_empty() {
            return Err(Error::LeftOut(self.frame));
        }
        let (_, under) = self.rate.parts();
        let sample = Mp4Sample {
            start_time: self.frame * u64::from(under),
            duration: under,
            rendering_offset: 0,
            is_sync: find(5).is_some(),
            bytes: bytes.into(),
        };
        self.writer.as_mut().ok_or(Error::NoParameters)?.write_sample(1, &sample)?;
        self.frame += 1;
        Ok(())
    }

    fn end(mut self) -> Result<W, Error> {
        let mut writer = self.writer.take().ok_or(Error::NoParameters)?;
        writer.write_end()?;
        Ok(writer.into_writer())
    }
}

/// Starts a clip with one track, which counts time in the numerator of its rate: a frame lasts exactly its denominator.
fn begin<W: Write + Seek>(
    out: W,
    size: (usize, usize),
    rate: Rate,
    (sequence, pictures): (&[u8], &[u8]),
) -> Result<Mp4Writer<W>, Error> {
    let (timescale, _) = rate.parts();
    let brand = |text: &[u8; 4]| mp4::FourCC { value: *text };
    let config = Mp4Config {
        major_brand: brand(b"isom"),
        minor_version: 512,
        compatible_brands: vec![brand(b"isom"), brand(b"iso2"), brand(b"avc1"), brand(b"mp41")],
        timescale,
    };
    let mut writer = Mp4Writer::write_start(out, &config)?;
    let track = TrackConfig {
        track_type: TrackType::Video,
        timescale,
        language: "und".to_owned(),
        media_conf: MediaConfig::AvcConfig(AvcConfig {
            width: u16::try_from(size.0).unwrap_or(u16::MAX),
            height: u16::try_from(size.1).unwrap_or(u16::MAX),
            seq_param_set: sequence.to_vec(),
            pic_param_set: pictures.to_vec(),
        }),
    };
    writer.add_track(&track)?;
    Ok(writer)
}

/// The units of a byte stream, without the start codes before them (ITU-T H.264, Annex B).
fn units(stream: &[u8]) -> Vec<&[u8]> {
    let mut starts = Vec::new();
    let mut at = 0;
    while let Some(found) =
        stream.get(at..).and_then(|rest| rest.windows(3).position(|three| three == [0, 0, 1]))
    {
        starts.push(at + found);
        at += found + 3;
    }
    let ends = starts.iter().skip(1).copied().chain([stream.len()]);
    starts
        .iter()
        .zip(ends)
        .filter_map(|(start, end)| stream.get(start + 3..end))
        .map(|unit| {
            // A start code of four bytes leaves a zero at the end of the unit before it.
            let zeros = unit.iter().rev().take_while(|byte| **byte == 0).count();
            &unit[..unit.len() - zeros]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stream_is_cut_at_its_start_codes() {
        let stream = [0, 0, 0, 1, 0x67, 9, 0, 0, 1, 0x68, 8, 0, 0, 0, 1, 0x65, 7, 0, 3];
        assert_eq!(units(&stream), [&[0x67, 9][..], &[0x68, 8], &[0x65, 7, 0, 3]]);
        assert!(units(&[]).is_empty());
    }
}
