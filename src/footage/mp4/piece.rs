//! A piece of a track, written as a file of its own in movie fragments (ISO/IEC 14496-12, 8.8): what a decoder that
//! reads from a pipe is handed. The description of the coding is the track's own, letter by letter.

use super::Sample;

/// What is written before the coded pictures: their description, and where and when each of them is.
///
/// Times are moved so that what was shown at `from` is shown at `to`; decoding is moved ahead where a picture would
/// be shown before it is decoded, which some files state. `None` where sizes or times cannot be written.
pub(in crate::footage) fn head(
    description: &[u8],
    scale: u32,
    samples: &[Sample],
    (from, to): (i64, i64),
) -> Option<Vec<u8>> {
    let first = samples.first()?;
    let lift = samples.iter().map(|sample| sample.decode.saturating_sub(sample.shown)).max()?.max(0);
    let begins = first.decode.checked_sub(from)?.checked_add(to)?.checked_sub(lift)?;
    let begins = u64::try_from(begins).ok()?;
    let rows = rows(samples, lift)?;
    // A fragment's data lie behind its box and the eight bytes at the head of theirs.
    let moof = |offset: u32| fragment(begins, u32::try_from(samples.len()).ok()?, offset, &rows);
    let behind = u32::try_from(moof(0)?.len()).ok()?.checked_add(8)?;
    let bytes = samples.iter().try_fold(8_u32, |sum, sample| sum.checked_add(sample.size))?;
    let kinds = boxed(b"ftyp", &[b"isom", &number(0), b"isomiso6"])?;
    let data = [&number(bytes)[..], b"mdat"].concat();
    Some([kinds, movie(description, scale)?, moof(behind)?, data].concat())
}

/// Duration, size, flags and shift of each sample (8.8.8).
fn rows(samples: &[Sample], lift: i64) -> Option<Vec<u8>> {
    // 8.8.3.1: a sample that depends on no other, and one that does and is no sync sample.
    const KEY: u32 = 2 << 24;
    const OTHER: u32 = 1 << 24 | 1 << 16;
    let mut rows = Vec::with_capacity(16 * samples.len());
    for (index, sample) in samples.iter().enumerate() {
        let next = samples.get(index + 1);
        let until =
            next.map_or(Some(i64::from(sample.duration)), |next| next.decode.checked_sub(sample.decode));
        let shift = sample.shown.checked_sub(sample.decode)?.checked_add(lift)?;
        let flags = if sample.is_key { KEY } else { OTHER };
        for value in [u32::try_from(until?).ok()?, sample.size, flags, u32::try_from(shift).ok()?] {
            rows.extend(number(value));
        }
    }
    Some(rows)
}

fn fragment(begins: u64, count: u32, offset: u32, rows: &[u8]) -> Option<Vec<u8>> {
    // Data are counted from this box; each row has duration, size, flags and shift.
    const FROM_HERE: u32 = 0x02_0000;
    const ROWS: u32 = 0xf01;
    let header = boxed(b"mfhd", &[&number(0), &number(1)])?;
    let track = boxed(b"tfhd", &[&number(FROM_HERE), &number(TRACK)])?;
    let time = boxed(b"tfdt", &[&number(1 << 24), &begins.to_be_bytes()])?;
    let run = boxed(b"trun", &[&number(ROWS), &number(count), &number(offset), rows])?;
    boxed(b"moof", &[&header, &boxed(b"traf", &[&track, &time, &run])?])
}

/// The only track.
const TRACK: u32 = 1;

/// No turn (8.2.2.1).
fn matrix() -> Vec<u8> {
    [0x1_0000, 0, 0, 0, 0x1_0000, 0, 0, 0, 0x4000_0000].into_iter().flat_map(number).collect()
}

/// A `moov` box with one video track that has no samples of its own.
fn movie(description: &[u8], scale: u32) -> Option<Vec<u8>> {
    let zeros = [0; 24];
    let zero = |count: usize| zeros.get(..count);
    let times = [zero(8)?, &number(scale), zero(4)?].concat();
    let header =
        boxed(b"mvhd", &[zero(4)?, &times, &number(0x1_0000), zero(12)?, &matrix(), zero(24)?, &number(2)])?;
    // The size of the picture is that of its description; this one is for players.
    let track = [&number(7)[..], zero(8)?, &number(TRACK), zero(24)?, &matrix(), zero(8)?].concat();
    let undetermined = [0x55, 0xc4, 0, 0];
    let clock = boxed(b"mdhd", &[zero(4)?, &times, &undetermined])?;
    let kind = boxed(b"hdlr", &[zero(8)?, b"vide", zero(13)?])?;
    let empty = |kind: &[u8; 4], bytes: usize| boxed(kind, &[zero(bytes)?]);
    let tables = [
        boxed(b"stsd", &[description])?,
        empty(b"stts", 8)?,
        empty(b"stsc", 8)?,
        empty(b"stsz", 12)?,
        empty(b"stco", 8)?,
    ];
    let here = boxed(b"dref", &[zero(4)?, &number(1), &boxed(b"url ", &[&number(1)])?])?;
    let media = boxed(
        b"minf",
        &[
            &boxed(b"vmhd", &[&number(1), zero(8)?])?,
            &boxed(b"dinf", &[&here])?,
            &boxed(b"stbl", &[&tables.concat()])?,
        ],
    )?;
    let trak = boxed(b"trak", &[&boxed(b"tkhd", &[&track])?, &boxed(b"mdia", &[&clock, &kind, &media])?])?;
    let extends = boxed(b"trex", &[zero(4)?, &number(TRACK), &number(1), zero(12)?])?;
    boxed(b"moov", &[&header, &trak, &boxed(b"mvex", &[&extends])?])
}

fn number(value: u32) -> [u8; 4] {
    value.to_be_bytes()
}

/// A box of a kind around its parts.
fn boxed(kind: &[u8; 4], parts: &[&[u8]]) -> Option<Vec<u8>> {
    let size = parts.iter().map(|part| part.len()).sum::<usize>().checked_add(8)?;
    let size = number(u32::try_from(size).ok()?);
    Some([&size[..], kind].into_iter().chain(parts.iter().copied()).collect::<Vec<_>>().concat())
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;

    /// One entry of 78 bytes and a configuration of three: 640 x 360.
    fn description() -> Vec<u8> {
        let mut entry = vec![0; 78];
        entry.splice(24..28, [2, 128, 1, 104]);
        let configuration = boxed(b"avcC", &[&[1, 2, 3]]).expect("short");
        let entry = boxed(b"avc1", &[&entry, &configuration]).expect("short");
        [&[0, 0, 0, 0, 0, 0, 0, 1][..], &entry].concat()
    }

    /// Key, a picture shown after the two that follow it, the first of which is shown before it is decoded.
    fn samples() -> [Sample; 4] {
        let sample = |offset, size, decode, shown| {
            let is_key = decode == 1000;
            Sample { offset, size, decode, shown, duration: 10, is_key }
        };
        [
            sample(7, 5, 1000, 1000),
            sample(99, 3, 1010, 1030),
            sample(50, 2, 1020, 1010),
            sample(11, 4, 1040, 1040),
        ]
    }

    #[test]
    fn a_piece_is_read_back_as_it_was_with_its_times_moved() {
        let head = head(&description(), 600, &samples(), (1010, 1 << 40)).expect("it can be written");
        let data: Vec<u8> = (0..14).collect();
        let video = read(&mut std::io::Cursor::new([&head[..], &data].concat())).expect("it is read");
        assert_eq!((video.coding, video.size, video.scale), (*b"avc1", (640, 360), 600));
        assert_eq!(video.configuration.as_deref(), Some(&[1, 2, 3][..]));
        let (mut offset, moved) = (head.len() as u64, (1 << 40) - 1010);
        for (index, (found, own)) in video.samples.iter().zip(samples()).enumerate() {
            assert_eq!((found.offset, found.size, found.is_key), (offset, own.size, own.is_key), "{index}");
            // Decoding ten units ahead, as the third is shown ten before it is decoded.
            assert_eq!((found.decode, found.shown), (own.decode + moved - 10, own.shown + moved), "{index}");
            offset += u64::from(found.size);
        }
        assert_eq!((video.samples.len(), video.is_cut, video.is_cut_off), (4, false, false));
        assert_eq!(video.file_size, offset);
    }

    #[test]
    fn what_cannot_be_written_is_not() {
        let [first, second, ..] = samples();
        assert_eq!(head(&description(), 600, &[], (0, 0)), None);
        assert_eq!(head(&description(), 600, &[first], (1 << 50, 1 << 40)), None, "before all time");
        assert_eq!(head(&description(), 600, &[second, first], (0, 1 << 40)), None, "out of order");
        let large = Sample { size: u32::MAX, ..second };
        assert_eq!(head(&description(), 600, &[first, large], (0, 1 << 40)), None);
        let late = Sample { shown: i64::MAX, ..second };
        assert_eq!(head(&description(), 600, &[first, late], (0, 1 << 40)), None);
    }
}
