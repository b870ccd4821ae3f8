//! The index of an MP4 or QuickTime file: its video track's pictures, where they lie and when they are shown.
//!
//! Written for hostile files: a recorder that stopped, a card that was pulled, a file made to break readers. Every
//! count is checked against what the file can hold before anything is allocated for it. The crate `mp4` hangs on
//! damaged tables; `mp4-atom` refuses a file for damage in boxes that are not needed here.

mod boxes;
mod edits;
mod fragment;
pub(crate) mod piece;
pub(crate) mod sample;
mod table;

use crate::error::IndexError;
use crate::show::colour::{Matrix, StatedColour, Transfer};
use crate::show::pixel_aspect::PixelAspect;
use crate::show::rotation::{DisplayMatrix, Orientation};
use boxes::{Bytes, boxes, first, nested};
use sample::{Sample, TooMuch};
use std::io::{Read, Seek, SeekFrom};

/// The video track of a file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Video {
    /// Four-letter code, such as `avc1`.
    pub(crate) coding: [u8; 4],
    /// Payload of the box `stsd`.
    pub(crate) description: Vec<u8>,
    /// For the decoder, where the coding is H.264.
    pub(crate) configuration: Option<Vec<u8>>,
    /// In pixels, as the file states them.
    pub(crate) size: (u16, u16),
    /// Where the track states one.
    pub(crate) pixel: Option<PixelAspect>,
    /// As the track states them.
    pub(crate) colours: StatedColour,
    /// Units of time a second.
    pub(crate) scale: u32,
    /// In the order of decoding.
    pub(crate) samples: Vec<Sample>,
    /// Those that are shown, as indices into `samples`, in the order of decoding.
    pub(crate) presented: Vec<usize>,
    /// The edit list has several parts or speeds, which are not applied here.
    pub(crate) is_cut: bool,
    pub(crate) has_several_codings: bool,
    /// How a player rotates and mirrors the picture.
    pub(crate) orientation: Orientation,
    /// Of the first frame: its count, frames a second, drop-frame.
    pub(crate) timecode: Option<(u64, u8, bool)>,
    /// Where the longest sound ends, in seconds.
    pub(crate) sound_ends: Option<f64>,
    /// A fragment could not be read to its end.
    pub(crate) is_cut_off: bool,
    /// In bytes.
    pub(crate) file_size: u64,
}

/// A box of the file itself.
struct TopBox {
    kind: [u8; 4],
    at: u64,
    payload: Vec<u8>,
}

/// Reads the index of the first video track.
pub(crate) fn read(file: &mut (impl Read + Seek)) -> Result<Video, IndexError> {
    let file_size = file.seek(SeekFrom::End(0))?;
    let top = top_level(file, file_size)?;
    let moov = top.iter().find(|top| &top.kind == b"moov").ok_or(IndexError::Missing)?.payload.as_slice();
    let traks = || boxes(moov).filter(|(kind, _)| kind == b"trak").map(|(_, trak)| trak);
    let of_kind = |wanted: &'static [u8; 4]| traks().filter(move |trak| handler(trak) == Some(wanted));
    let trak = of_kind(b"vide").next().ok_or(IndexError::NoVideo)?;
    let mut video = track(trak, moov, &top, file_size)?;
    let sounds = of_kind(b"soun").filter_map(|trak| length_s(trak, moov));
    video.sound_ends = sounds.reduce(f64::max);
    video.timecode = of_kind(b"tmcd").find_map(|trak| timecode(trak, file, file_size));
    Ok(video)
}

/// The boxes that are needed, read whole; the others are skipped.
fn top_level(file: &mut (impl Read + Seek), file_size: u64) -> Result<Vec<TopBox>, IndexError> {
    let (mut found, mut at, mut held, mut is_known) = (Vec::new(), 0_u64, 0_u64, false);
    while file_size.saturating_sub(at) >= 8 {
        file.seek(SeekFrom::Start(at))?;
        let mut header = [0; 16];
        let given = usize::try_from((file_size - at).min(16)).expect("16 at most");
        let header = header.get_mut(..given).ok_or(IndexError::Damaged("box"))?;
        file.read_exact(header)?;
        let mut bytes = Bytes(header);
        let (short, kind) = (bytes.u32(), bytes.take(4).and_then(|kind| <[u8; 4]>::try_from(kind).ok()));
        let (Some(short), Some(kind)) = (short, kind) else { break };
        if at == 0
            && ![b"ftyp", b"moov", b"mdat", b"free", b"wide", b"skip", b"styp", b"pnot"].contains(&&kind)
        {
            return Err(IndexError::Other);
        }
        is_known = true;
        let (size, header_size) = match short {
            0 => (file_size - at, 8),
            1 => (bytes.u64().unwrap_or(0), 16),
            size => (u64::from(size), 8),
        };
        if size < header_size {
            break;
        }
        if matches!(&kind, b"moov" | b"moof") {
            // A box that is cut off is read as far as it goes: fragments before the cut are whole.
            let length = size.min(file_size - at) - header_size.min(file_size - at);
            held = held.saturating_add(length);
            if held > TooMuch::INDEX {
                return Err(TooMuch::Index(held).into());
            }
            file.seek(SeekFrom::Start(at + header_size))?;
            let mut payload = Vec::new();
            file.by_ref().take(length).read_to_end(&mut payload)?;
            found.push(TopBox { kind, at, payload });
        }
        at = at.saturating_add(size);
    }
    if is_known { Ok(found) } else { Err(IndexError::Other) }
}

fn handler(trak: &[u8]) -> Option<&[u8; 4]> {
    nested(trak, &[b"mdia", b"hdlr"])?.get(8..12)?.try_into().ok()
}

/// Units a second and length of a `mvhd` or `mdhd` box.
fn clock(header: &[u8]) -> Option<(u32, u64)> {
    let mut bytes = Bytes(header);
    let (version, _) = bytes.full()?;
    bytes.take(if version == 0 { 8 } else { 16 })?;
    Some((bytes.u32().filter(|scale| *scale > 0)?, bytes.sized(version)?))
}

fn track(trak: &[u8], moov: &[u8], top: &[TopBox], file_size: u64) -> Result<Video, IndexError> {
    let damaged = IndexError::Damaged;
    let header = Bytes(first(trak, b"tkhd").ok_or(damaged("tkhd"))?);
    let Header { id, matrix, shown } = track_header(header).ok_or(damaged("tkhd"))?;
    let (scale, _) = nested(trak, &[b"mdia", b"mdhd"]).and_then(clock).ok_or(damaged("mdhd"))?;
    let stbl = nested(trak, &[b"mdia", b"minf", b"stbl"]).ok_or(damaged("stbl"))?;
    let coding = SampleEntry::read(stbl).ok_or(damaged("stsd"))?;
    let stored = (u32::from(coding.size.0), u32::from(coding.size.1));
    let from_sizes = PixelAspect::from_sizes(stored, shown).filter(|_| shown != stored);
    let mut samples = table::samples(stbl, file_size)?.ok_or(damaged("sample tables"))?;
    let defaults = fragment::Defaults::read(moov, id);
    let is_fragmented = samples.is_empty();
    let mut is_cut_off = false;
    for moof in top.iter().filter(|top| &top.kind == b"moof") {
        is_cut_off |= !fragment::add(&moof.payload, moof.at, (id, defaults), &mut samples)?;
    }
    let movie_scale = first(moov, b"mvhd").and_then(clock).map_or(1, |(scale, _)| scale);
    let edits = edits::read(trak, (movie_scale, scale));
    let presented = edits::apply(edits, is_fragmented, &mut samples).ok_or(damaged("elst"))?;
    Ok(Video {
        coding: coding.letters,
        description: coding.description,
        configuration: coding.configuration,
        size: coding.size,
        pixel: coding.pixel.or(from_sizes),
        colours: coding.colours,
        scale,
        samples,
        presented,
        is_cut: edits == edits::EditList::Cut,
        has_several_codings: coding.count != 1,
        orientation: matrix.then(movie_matrix(moov)).orientation(),
        timecode: None,
        sound_ends: None,
        is_cut_off,
        file_size,
    })
}

/// `tkhd` (8.3.2).
struct Header {
    id: u32,
    matrix: DisplayMatrix,
    /// The size at which it is to be shown, before rotation, in whole pixels.
    shown: (u32, u32),
}

fn track_header(mut bytes: Bytes<'_>) -> Option<Header> {
    let (version, _) = bytes.full()?;
    bytes.take(if version == 0 { 8 } else { 16 })?;
    let id = bytes.u32()?;
    bytes.take(if version == 0 { 24 } else { 28 })?;
    let matrix = matrix(&mut bytes)?;
    // In units of a 65536th.
    let shown = (bytes.u32()? >> 16, bytes.u32()? >> 16);
    Some(Header { id, matrix, shown })
}

/// The numbers of a matrix (8.2.2 and 8.3.2) that rotate.
fn matrix(bytes: &mut Bytes<'_>) -> Option<DisplayMatrix> {
    let (a, b, _) = (bytes.i32()?, bytes.i32()?, bytes.i32()?);
    let (c, d, _) = (bytes.i32()?, bytes.i32()?, bytes.i32()?);
    bytes.take(12)?;
    Some(DisplayMatrix { a, b, c, d })
}

/// The matrix of the movie (8.2.2), which is applied after that of a track.
fn movie_matrix(moov: &[u8]) -> DisplayMatrix {
    let read = |header: &[u8]| {
        let mut bytes = Bytes(header);
        let (version, _) = bytes.full()?;
        // Times, scale and length; rate, volume and what is reserved.
        bytes.take(if version == 0 { 16 } else { 28 })?;
        bytes.take(16)?;
        matrix(&mut bytes)
    };
    first(moov, b"mvhd").and_then(read).unwrap_or(DisplayMatrix::PLAIN)
}

struct SampleEntry {
    letters: [u8; 4],
    description: Vec<u8>,
    count: u32,
    size: (u16, u16),
    pixel: Option<PixelAspect>,
    colours: StatedColour,
    configuration: Option<Vec<u8>>,
}

impl SampleEntry {
    fn read(stbl: &[u8]) -> Option<SampleEntry> {
        let description = first(stbl, b"stsd")?;
        let mut bytes = Bytes(description);
        bytes.full()?;
        let count = bytes.u32()?;
        let (letters, entry) = boxes(bytes.0).next()?;
        // 8.5.2 and 12.1.3: six bytes, an index, sixteen bytes, then the size; extensions begin at byte 78.
        let mut size = Bytes(entry.get(24..28)?);
        let size = (size.u16()?, size.u16()?);
        let extensions = entry.get(78..).unwrap_or(&[]);
        let configuration = first(extensions, b"avcC").map(<[u8]>::to_vec);
        let pixel = first(extensions, b"pasp").and_then(pixel);
        let of_colours = boxes(extensions).filter(|(kind, _)| kind == b"colr");
        let colours =
            of_colours.filter_map(|(_, payload)| colours(payload)).next().unwrap_or(StatedColour::NOTHING);
        Some(SampleEntry {
            letters,
            description: description.to_vec(),
            count,
            size,
            pixel,
            colours,
            configuration,
        })
    }
}

/// `pasp` (12.1.4).
fn pixel(payload: &[u8]) -> Option<PixelAspect> {
    let mut bytes = Bytes(payload);
    PixelAspect::new(bytes.u32()?.into(), bytes.u32()?.into())
}

/// `colr` (12.1.5); `None` where it is a profile. QuickTime's kind does not state the range.
fn colours(payload: &[u8]) -> Option<StatedColour> {
    let mut bytes = Bytes(payload);
    let kind = bytes.take(4)?;
    // Primaries, then the curve.
    bytes.take(2)?;
    let transfer = Transfer::from_code(u32::from(bytes.u16()?));
    let matrix = Matrix::from_code(u32::from(bytes.u16()?));
    match kind {
        b"nclx" => Some(StatedColour { transfer, matrix, is_full_range: Some(bytes.u8()? & 0x80 != 0) }),
        b"nclc" => Some(StatedColour { transfer, matrix, is_full_range: None }),
        _ => None,
    }
}

/// When a track ends in the movie, in seconds; `None` if not stated.
fn length_s(trak: &[u8], moov: &[u8]) -> Option<f64> {
    let (scale, length) = nested(trak, &[b"mdia", b"mdhd"]).and_then(clock)?;
    let movie_scale = first(moov, b"mvhd").and_then(clock)?.0;
    let wait = match edits::read(trak, (movie_scale, scale)) {
        edits::EditList::Part { from, wait, .. } => wait - from,
        edits::EditList::All | edits::EditList::Cut => 0,
    };
    (length > 0).then(|| (length as f64 + wait as f64) / f64::from(scale))
}

/// The first count of a timecode track (QuickTime File Format, timecode media), with its frames a second.
fn timecode(trak: &[u8], file: &mut (impl Read + Seek), file_size: u64) -> Option<(u64, u8, bool)> {
    let stbl = nested(trak, &[b"mdia", b"minf", b"stbl"])?;
    let mut entry = Bytes(nested(stbl, &[b"stsd"])?.get(8..)?);
    entry.take(8 + 8 + 4)?;
    let flags = entry.u32()?;
    entry.take(8)?;
    let per_second = entry.u8()?;
    let sample = table::samples(stbl, file_size).ok()??.first().copied()?;
    file.seek(SeekFrom::Start(sample.offset)).ok()?;
    let mut count = [0; 4];
    file.read_exact(&mut count).ok()?;
    Some((u64::from(u32::from_be_bytes(count)), per_second, flags & 1 != 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Primaries and transfer, the matrix, and the flag of the range in the uppermost bit (ISO/IEC 14496-12, 12.1.5).
    #[test]
    fn a_colour_box_says_matrix_and_range_or_nothing() {
        let read = |kind: &[u8; 4], rest: &[u8]| colours(&[&kind[..], &[0, 1, 0, 1], rest].concat());
        let transfer = Some(Transfer::Usual);
        let stated = |matrix, is_full_range| Some(StatedColour { transfer, matrix, is_full_range });
        assert_eq!(read(b"nclx", &[0, 9, 0x80]), stated(Some(Matrix::Bt2020), Some(true)));
        assert_eq!(read(b"nclx", &[0, 6, 0x7f]), stated(Some(Matrix::Bt601), Some(false)));
        assert_eq!(read(b"nclc", &[0, 1]), stated(Some(Matrix::Bt709), None));
        assert_eq!(read(b"nclc", &[0, 2]), stated(None, None));
        assert_eq!([read(b"prof", &[0, 1, 0]), read(b"nclx", &[0, 1]), read(b"nclc", &[0])], [None; 3]);
    }
}
