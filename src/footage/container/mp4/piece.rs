//! A piece of a track, written as movie fragments (ISO/IEC 14496-12, 8.8) for a decoder that reads from a pipe. The
//! description of the coding is the track's own, byte for byte. Times are places in the order: a decoder needs no
//! more.

/// A coded picture of a fragment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct FragmentSample {
    /// In bytes.
    pub(crate) size: u32,
    /// Decoding may begin here.
    pub(crate) is_key: bool,
    /// From 0.
    pub(crate) display_index: u32,
}

/// What is written once, before all fragments: the description of the coding. `None` if it is too long.
pub(crate) fn init_segment(description: &[u8]) -> Option<Vec<u8>> {
    let kinds = boxed(b"ftyp", &[b"isom", &number(0), b"isomiso6"])?;
    Some([kinds, movie(description)?].concat())
}

/// What is written before the coded pictures of one fragment, which are given in the order of decoding. The picture
/// at `display_index` is shown at `at`, the others one unit apart. `None` if sizes or times cannot be written.
pub(crate) fn fragment(pictures: &[FragmentSample], (display_index, at): (u32, i64)) -> Option<Vec<u8>> {
    // Nothing is shown before it is decoded.
    let late =
        |(index, picture): (usize, &FragmentSample)| index.saturating_sub(picture.display_index as usize);
    let lift = u32::try_from(pictures.iter().enumerate().map(late).max()?).ok()?;
    let begins =
        u64::try_from(at.checked_sub(i64::from(display_index))?.checked_sub(i64::from(lift))?).ok()?;
    let rows = rows(pictures, lift)?;
    // A fragment's data follow its box and the eight bytes of their own header.
    let moof = |offset: u32| movie_fragment(begins, u32::try_from(pictures.len()).ok()?, offset, &rows);
    let behind = u32::try_from(moof(0)?.len()).ok()?.checked_add(8)?;
    let bytes = pictures.iter().try_fold(8_u32, |sum, picture| sum.checked_add(picture.size))?;
    Some([moof(behind)?, [&number(bytes)[..], b"mdat"].concat()].concat())
}

/// Duration, size, flags and shift of each picture (8.8.8).
fn rows(pictures: &[FragmentSample], lift: u32) -> Option<Vec<u8>> {
    // 8.8.3.1: a sample that depends on no other, and one that does and is no sync sample.
    const KEY: u32 = 2 << 24;
    const OTHER: u32 = 1 << 24 | 1 << 16;
    let mut rows = Vec::with_capacity(16 * pictures.len());
    for (index, picture) in (0_u32..).zip(pictures) {
        let shift = picture.display_index.checked_add(lift)?.checked_sub(index)?;
        for value in [1, picture.size, if picture.is_key { KEY } else { OTHER }, shift] {
            rows.extend(number(value));
        }
    }
    Some(rows)
}

fn movie_fragment(begins: u64, count: u32, offset: u32, rows: &[u8]) -> Option<Vec<u8>> {
    // Data are counted from this box; each row has duration, size, flags and shift.
    const FROM_HERE: u32 = 0x02_0000;
    const ROWS: u32 = 0xf01;
    let header = boxed(b"mfhd", &[&number(0), &number(1)])?;
    let track = boxed(b"tfhd", &[&number(FROM_HERE), &number(TRACK)])?;
    let time = boxed(b"tfdt", &[&number(1 << 24), &begins.to_be_bytes()])?;
    let run = boxed(b"trun", &[&number(ROWS), &number(count), &number(offset), rows])?;
    boxed(b"moof", &[&header, &boxed(b"traf", &[&track, &time, &run])?])
}

/// Units of time a second, whatever the clip's are. A day of them must cover what lies between two pieces.
const SCALE: u32 = 1000;

const TRACK: u32 = 1;

/// No rotation (8.2.2.1).
fn matrix() -> Vec<u8> {
    [0x1_0000, 0, 0, 0, 0x1_0000, 0, 0, 0, 0x4000_0000].into_iter().flat_map(number).collect()
}

/// A `moov` box with one video track that has no samples of its own.
fn movie(description: &[u8]) -> Option<Vec<u8>> {
    let zeros = [0; 24];
    let zero = |count: usize| zeros.get(..count);
    let times = [zero(8)?, &number(SCALE), zero(4)?].concat();
    let header =
        boxed(b"mvhd", &[zero(4)?, &times, &number(0x1_0000), zero(12)?, &matrix(), zero(24)?, &number(2)])?;
    // The size of the picture comes from its description; this one is for players.
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

    /// Key, a picture shown after the two that follow it, and those.
    const PICTURES: [FragmentSample; 4] = [
        FragmentSample { size: 5, is_key: true, display_index: 0 },
        FragmentSample { size: 3, is_key: false, display_index: 3 },
        FragmentSample { size: 2, is_key: false, display_index: 1 },
        FragmentSample { size: 4, is_key: false, display_index: 2 },
    ];

    #[test]
    fn pieces_one_after_the_other_are_read_back_in_their_order() {
        let data: Vec<u8> = (0..14).collect();
        let piece = |at| [fragment(&PICTURES, (2, at)).expect("it can be written"), data.clone()].concat();
        let file = [init_segment(&description()).expect("short"), piece(1 << 20), piece(2 << 20)].concat();
        let video = read(&mut std::io::Cursor::new(&file)).expect("it is read");
        assert_eq!((video.coding, video.size), (*b"avc1", (640, 360)));
        assert_eq!(video.configuration.as_deref(), Some(&[1, 2, 3][..]));
        assert_eq!((video.samples.len(), video.is_cut, video.is_cut_off), (8, false, false));
        for (at, samples) in [1 << 20, 2 << 20].into_iter().zip(video.samples.chunks(4)) {
            let mut offset = 0;
            for (sample, own) in samples.iter().zip(PICTURES) {
                assert_eq!((sample.size, sample.is_key), (own.size, own.is_key));
                assert_eq!(sample.pts, at + i64::from(own.display_index) - 2);
                assert!(sample.dts <= sample.pts, "{sample:?}");
                let here = usize::try_from(sample.offset).expect("small");
                assert_eq!(file.get(here), data.get(offset), "{sample:?}");
                offset += sample.size as usize;
            }
        }
    }

    #[test]
    fn what_cannot_be_written_is_not() {
        let [first, second, ..] = PICTURES;
        assert_eq!(fragment(&[], (0, 0)), None);
        assert_eq!(fragment(&[first], (5, 4)), None, "before all time");
        let large = FragmentSample { size: u32::MAX, ..second };
        assert_eq!(fragment(&[first, large], (0, 1 << 20)), None);
        let late = FragmentSample { display_index: u32::MAX, ..second };
        assert_eq!(fragment(&[first, first, late], (0, 1 << 20)), None);
    }
}
