//! Adds a timecode track to a clip that was written without one, so that a desk can tie it by its labels.
//!
//! The form is that of the QuickTime File Format, "Timecode media": one sample, the count of the first frame, covers
//! the whole clip; the picture's track refers to it.

use super::stamp::Stamp;
use evidence::time::rate::Rate;
use std::io::{Error, ErrorKind, Read, Result, Seek, SeekFrom, Write};

/// Adds the track at the end of a clip whose index is its last box, as `film::shoot` writes it.
///
/// # Errors
/// [`Error`] where the clip cannot be read or written, or has another form.
pub fn add<F: Read + Write + Seek>(file: &mut F, stamp: &Stamp, rate: Rate) -> Result<()> {
    let end = file.seek(SeekFrom::End(0))?;
    let index = last_box(file, end)?;
    let payload = index.payload.as_slice();
    let header = find(payload, b"mvhd").ok_or(odd("it has no movie header"))?;
    let (scale, duration) = movie_clock(header).ok_or(odd("its movie header is cut off"))?;
    let id = children(payload).filter(|(kind, _)| kind == b"trak").count() as u32 + 1;
    let mut moov = Vec::new();
    for (kind, inside) in children(payload) {
        match &kind {
            b"mvhd" => {
                // The next track's number is its last field.
                let mut inside = inside.to_vec();
                let at = inside.len().saturating_sub(4);
                inside.splice(at.., (id + 1).to_be_bytes());
                put(&mut moov, &kind, &inside);
            }
            b"trak" => {
                let mut inside = inside.to_vec();
                put(&mut inside, b"tref", &boxed(b"tmcd", &[&id.to_be_bytes()]));
                put(&mut moov, &kind, &inside);
            }
            _ => put(&mut moov, &kind, inside),
        }
    }
    // The sample follows the index. Its offset always has four bytes, so it does not change the length of the index.
    let track = |at: u32| track(id, (scale, duration), (stamp, rate), at);
    let ends = index.at + 8 + (moov.len() + track(0).len()) as u64;
    let sample = u32::try_from(ends + 8).map_err(|_| odd("it is larger than 4 GiB"))?;
    moov.extend(track(sample));
    let count = u32::try_from(stamp.count()).map_err(|_| odd("its timecode is not a time of day"))?;
    file.seek(SeekFrom::Start(index.at))?;
    file.write_all(&boxed(b"moov", &[&moov]))?;
    file.write_all(&boxed(b"mdat", &[&count.to_be_bytes()]))?;
    file.flush()
}

fn odd(what: &str) -> Error {
    Error::new(ErrorKind::InvalidData, format!("cannot add a timecode to the clip: {what}"))
}

/// The index: the offset of its box, and its contents.
struct Index {
    at: u64,
    payload: Vec<u8>,
}

/// The last box of the file, which must be the index.
fn last_box(file: &mut (impl Read + Seek), end: u64) -> Result<Index> {
    let mut at = 0;
    while at < end {
        file.seek(SeekFrom::Start(at))?;
        let mut header = [0; 8];
        file.read_exact(&mut header)?;
        let [a, b, c, d, kind @ ..] = header;
        let size = match u32::from_be_bytes([a, b, c, d]) {
            1 => {
                let mut long = [0; 8];
                file.read_exact(&mut long)?;
                u64::from_be_bytes(long)
            }
            short => u64::from(short),
        };
        if size < 8 || size > end - at {
            return Err(odd("a box does not end"));
        }
        if at + size == end && &kind == b"moov" {
            let mut payload = Vec::new();
            file.take(size - 8).read_to_end(&mut payload)?;
            return Ok(Index { at, payload });
        }
        at += size;
    }
    Err(odd("its index is not its last box"))
}

/// The boxes in some bytes, up to the first that does not fit.
fn children(mut bytes: &[u8]) -> impl Iterator<Item = ([u8; 4], &[u8])> {
    std::iter::from_fn(move || {
        let size = u32::from_be_bytes(bytes.get(..4)?.try_into().ok()?) as usize;
        let kind = bytes.get(4..8)?.try_into().ok()?;
        let inside = bytes.get(8..size)?;
        bytes = bytes.get(size..)?;
        Some((kind, inside))
    })
}

fn find<'a>(bytes: &'a [u8], kind: &[u8; 4]) -> Option<&'a [u8]> {
    children(bytes).find(|(found, _)| found == kind).map(|(_, inside)| inside)
}

/// Units a second and length of the movie (ISO/IEC 14496-12, 8.2.2).
fn movie_clock(header: &[u8]) -> Option<(u32, u32)> {
    let word = |at: usize| Some(u32::from_be_bytes(header.get(at..at + 4)?.try_into().ok()?));
    match header.first()? {
        0 => Some((word(12)?, word(16)?)),
        // In version 1 times have eight bytes; the length of a play fits into the lower four.
        _ => Some((word(20)?, word(28)?)),
    }
}

fn boxed(kind: &[u8; 4], parts: &[&[u8]]) -> Vec<u8> {
    let length: usize = parts.iter().map(|part| part.len()).sum();
    let size = u32::try_from(length + 8).expect("an index of a clip is small");
    let mut out = size.to_be_bytes().to_vec();
    out.extend(kind);
    parts.iter().for_each(|part| out.extend(*part));
    out
}

fn put(out: &mut Vec<u8>, kind: &[u8; 4], inside: &[u8]) {
    out.extend(boxed(kind, &[inside]));
}

/// Numbers of four bytes, one after the other.
fn be_bytes(numbers: &[u32]) -> Vec<u8> {
    numbers.iter().flat_map(|number| number.to_be_bytes()).collect()
}

/// 1 in the signed fixed point of a matrix, and of its last column.
const ONE: u32 = 0x0001_0000;
const UNIT: [u32; 9] = [ONE, 0, 0, 0, ONE, 0, 0, 0, 0x4000_0000];

fn track(id: u32, (scale, duration): (u32, u32), (stamp, rate): (&Stamp, Rate), sample: u32) -> Vec<u8> {
    // Enabled, and part of the movie.
    let mut header = be_bytes(&[3, 0, 0, id, 0, duration, 0, 0, 0, 0]);
    header.extend(be_bytes(&UNIT));
    header.extend(be_bytes(&[0, 0]));
    let (over, under) = rate.parts();
    let length = u64::from(duration) * u64::from(over) / u64::from(scale.max(1));
    let length = u32::try_from(length).unwrap_or(u32::MAX);
    // Undetermined language: "und", five bits a letter.
    let clock = be_bytes(&[0, 0, 0, over, length, 0x55c4_0000]);
    let handler = [&be_bytes(&[0, 0])[..], b"tmcd", &be_bytes(&[0, 0, 0]), b"timecode\0"].concat();
    // Copy, and the middle gray of the operation colour.
    let general = [&be_bytes(&[0])[..], &[0, 0x40, 0x80, 0, 0x80, 0, 0x80, 0, 0, 0, 0, 0]].concat();
    // Font and face, size 12, black on white, without a font's name.
    let look = [&be_bytes(&[0, 0])[..], &[0, 12, 0, 0], &[0; 6], &[0xff; 6], &[0]].concat();
    let general = [boxed(b"gmin", &[&general]), boxed(b"tmcd", &[&boxed(b"tcmi", &[&look])])].concat();
    let here = boxed(b"url ", &[&be_bytes(&[1])]);
    let data = boxed(b"dinf", &[&boxed(b"dref", &[&be_bytes(&[0, 1]), &here])]);
    let mut entry = be_bytes(&[0, 1, 0, u32::from(stamp.is_drop_frame()), over, under]);
    entry.extend([stamp.nominal(), 0]);
    let table = [
        boxed(b"stsd", &[&be_bytes(&[0, 1]), &boxed(b"tmcd", &[&entry])]),
        boxed(b"stts", &[&be_bytes(&[0, 1, 1, length])]),
        boxed(b"stsc", &[&be_bytes(&[0, 1, 1, 1, 1])]),
        boxed(b"stsz", &[&be_bytes(&[0, 4, 1])]),
        boxed(b"stco", &[&be_bytes(&[0, 1, sample])]),
    ];
    let minf = [boxed(b"gmhd", &[&general]), data, boxed(b"stbl", &[&table.concat()])].concat();
    let media = [boxed(b"mdhd", &[&clock]), boxed(b"hdlr", &[&handler]), boxed(b"minf", &[&minf])].concat();
    boxed(b"trak", &[&boxed(b"tkhd", &[&header]), &boxed(b"mdia", &[&media])])
}
