//! The sample tables of a track that is not fragmented (ISO/IEC 14496-12, 8.6 and 8.7).

use super::boxes::{Bytes, first};
use super::sample::{Sample, TooMuch};

/// A run of samples that share a value.
type Run = (u32, i64);

/// Reads the tables of a `stbl` box into samples in the order of decoding; their times are the track's own, without
/// the edit list. `Ok(None)` where a table is missing or contradicts another.
pub(super) fn samples(stbl: &[u8], file_size: u64) -> Result<Option<Vec<Sample>>, TooMuch> {
    let Some(sizes) = Sizes::read(stbl) else { return Ok(None) };
    // Each sample takes at least one byte of the file, so an honest count is smaller.
    if sizes.count() > TooMuch::SAMPLES || sizes.count() > file_size {
        return Err(TooMuch::Samples(sizes.count()));
    }
    Ok(placed(stbl, &sizes))
}

fn placed(stbl: &[u8], sizes: &Sizes<'_>) -> Option<Vec<Sample>> {
    let count = usize::try_from(sizes.count()).ok()?;
    let mut durations = Runs::new(runs(stbl, b"stts", false)?);
    let shifts = first(stbl, b"ctts").is_some();
    let mut shifts = Runs::new(if shifts { runs(stbl, b"ctts", true)? } else { Vec::new() });
    let mut keys = Keys::read(stbl)?;
    let mut places = Places::read(stbl)?;
    let mut found = Vec::with_capacity(count);
    let mut at = 0_i64;
    for index in 0..count {
        let size = sizes.at(index)?;
        // Files that leave out the last run of times still show the picture.
        let duration = durations.next().unwrap_or(0);
        found.push(Sample {
            offset: places.next(size)?,
            size,
            dts: at,
            pts: at.checked_add(shifts.next().unwrap_or(0))?,
            duration: u32::try_from(duration).ok()?,
            is_key: keys.is_key(u32::try_from(index).ok()?.checked_add(1)?),
        });
        at = at.checked_add(duration)?;
    }
    Some(found)
}

/// Counts and values of `stts` or `ctts`. Version 0 of `ctts` states unsigned shifts, and files that mean negative
/// ones write them so all the same.
fn runs(stbl: &[u8], kind: &[u8; 4], is_signed: bool) -> Option<Vec<Run>> {
    let mut bytes = Bytes(first(stbl, kind)?);
    bytes.full()?;
    bytes.u32()?;
    let mut found = Vec::new();
    while let (Some(count), Some(value)) = (bytes.u32(), bytes.u32()) {
        let value = if is_signed { i64::from(value.cast_signed()) } else { i64::from(value) };
        found.push((count, value));
    }
    Some(found)
}

/// Values of runs, one by one.
struct Runs {
    runs: std::vec::IntoIter<Run>,
    current: Run,
}

impl Runs {
    fn new(runs: Vec<Run>) -> Runs {
        Runs { runs: runs.into_iter(), current: (0, 0) }
    }

    fn next(&mut self) -> Option<i64> {
        while self.current.0 == 0 {
            self.current = self.runs.next()?;
        }
        self.current.0 -= 1;
        Some(self.current.1)
    }
}

/// Which samples are keys: all, if there is no table.
struct Keys<'a>(Option<std::iter::Peekable<std::slice::ChunksExact<'a, u8>>>);

impl<'a> Keys<'a> {
    fn read(stbl: &'a [u8]) -> Option<Keys<'a>> {
        let Some(table) = first(stbl, b"stss") else { return Some(Keys(None)) };
        Some(Keys(Some(table.get(8..)?.chunks_exact(4).peekable())))
    }

    /// Numbers must rise from call to call, from 1.
    fn is_key(&mut self, number: u32) -> bool {
        let Some(table) = &mut self.0 else { return true };
        let value = |bytes: &[u8]| Bytes(bytes).u32();
        while table.next_if(|bytes| value(bytes) < Some(number)).is_some() {}
        table.next_if(|bytes| value(bytes) == Some(number)).is_some()
    }
}

enum Sizes<'a> {
    Alike(u32, u32),
    Each(&'a [u8]),
}

impl<'a> Sizes<'a> {
    fn read(stbl: &'a [u8]) -> Option<Sizes<'a>> {
        let mut bytes = Bytes(first(stbl, b"stsz")?);
        bytes.full()?;
        let (size, count) = (bytes.u32()?, bytes.u32()?);
        if size > 0 {
            return Some(Sizes::Alike(size, count));
        }
        let length = usize::try_from(count).ok()?.checked_mul(4)?;
        Some(Sizes::Each(bytes.take(length)?))
    }

    fn count(&self) -> u64 {
        match self {
            Sizes::Alike(_, count) => u64::from(*count),
            Sizes::Each(table) => table.len() as u64 / 4,
        }
    }

    fn at(&self, index: usize) -> Option<u32> {
        match self {
            Sizes::Alike(size, _) => Some(*size),
            Sizes::Each(table) => Bytes(table.get(index * 4..)?).u32(),
        }
    }
}

/// Where samples lie, chunk by chunk (8.7.4 and 8.7.5).
struct Places<'a> {
    chunks: &'a [u8],
    width: usize,
    /// First chunk, from 1, and samples in each chunk from there on.
    runs: Vec<(u32, u32)>,
    run: usize,
    chunk: usize,
    left: u32,
    offset: u64,
}

impl<'a> Places<'a> {
    fn read(stbl: &'a [u8]) -> Option<Places<'a>> {
        let (table, width) = match first(stbl, b"stco") {
            Some(table) => (table, 4),
            None => (first(stbl, b"co64")?, 8),
        };
        let mut bytes = Bytes(first(stbl, b"stsc")?);
        bytes.full()?;
        bytes.u32()?;
        let mut runs = Vec::new();
        while let (Some(chunk), Some(samples), Some(_)) = (bytes.u32(), bytes.u32(), bytes.u32()) {
            runs.push((chunk, samples));
        }
        Some(Places { chunks: table.get(8..)?, width, runs, run: 0, chunk: 0, left: 0, offset: 0 })
    }

    fn next(&mut self, size: u32) -> Option<u64> {
        if self.left == 0 {
            let number = u32::try_from(self.chunk).ok()?.checked_add(1)?;
            while self.runs.get(self.run + 1).is_some_and(|(from, _)| *from <= number) {
                self.run += 1;
            }
            self.left =
                self.runs.get(self.run).map(|(_, samples)| *samples).filter(|samples| *samples > 0)?;
            let mut entry = Bytes(self.chunks.get(self.chunk * self.width..)?);
            self.offset = if self.width == 4 { u64::from(entry.u32()?) } else { entry.u64()? };
            self.chunk += 1;
        }
        self.left -= 1;
        let offset = self.offset;
        self.offset = offset.checked_add(u64::from(size))?;
        Some(offset)
    }
}
