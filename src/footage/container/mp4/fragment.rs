//! Samples of movie fragments (ISO/IEC 14496-12, 8.8).

use super::boxes::{Bytes, boxes, first};
use super::sample::{Sample, TooMuch};

/// Values for what a fragment leaves out (`trex`).
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Defaults {
    duration: u32,
    size: u32,
    flags: u32,
}

impl Defaults {
    /// Of a track, in a `moov` box.
    pub(super) fn read(moov: &[u8], track: u32) -> Defaults {
        let extends = first(moov, b"mvex").into_iter().flat_map(boxes);
        let of_track = extends.filter(|(kind, _)| kind == b"trex").find_map(|(_, trex)| {
            let mut bytes = Bytes(trex);
            bytes.full()?;
            let id = bytes.u32()?;
            bytes.u32()?;
            let defaults = Defaults { duration: bytes.u32()?, size: bytes.u32()?, flags: bytes.u32()? };
            (id == track).then_some(defaults)
        });
        of_track.unwrap_or(Defaults { duration: 0, size: 0, flags: 0 })
    }
}

/// Bit 16 of a sample's flags: not a sync sample (8.8.3.1).
const NOT_SYNC: u32 = 1 << 16;

/// Adds the samples of a track from a `moof` box at `moof_at` in the file. `Ok(false)` if the box cannot be read to
/// its end; what was read until then stays.
pub(super) fn add(
    moof: &[u8],
    moof_at: u64,
    (track, defaults): (u32, Defaults),
    samples: &mut Vec<Sample>,
) -> Result<bool, TooMuch> {
    for (_, traf) in boxes(moof).filter(|(kind, _)| kind == b"traf") {
        let Some(header) = Header::read(traf, moof_at, defaults) else { return Ok(false) };
        if header.track != track {
            continue;
        }
        let after_last = samples.last().map_or(0, |last| last.dts.saturating_add(i64::from(last.duration)));
        let mut at = Position { time: decode_time(traf).unwrap_or(after_last), offset: header.base };
        for (_, trun) in boxes(traf).filter(|(kind, _)| kind == b"trun") {
            if run(trun, &header, &mut at, samples)?.is_none() {
                return Ok(false);
            }
        }
    }
    Ok(true)
}

/// `tfhd`.
struct Header {
    track: u32,
    base: u64,
    defaults: Defaults,
}

impl Header {
    fn read(traf: &[u8], moof_at: u64, defaults: Defaults) -> Option<Header> {
        let mut bytes = Bytes(first(traf, b"tfhd")?);
        let (_, flags) = bytes.full()?;
        let track = bytes.u32()?;
        let base = if flags & 1 != 0 { bytes.u64()? } else { moof_at };
        if flags & 2 != 0 {
            bytes.u32()?;
        }
        let mut or = |bit: u32, left_out: u32| if flags & bit != 0 { bytes.u32() } else { Some(left_out) };
        let duration = or(8, defaults.duration)?;
        let size = or(0x10, defaults.size)?;
        let flags = or(0x20, defaults.flags)?;
        Some(Header { track, base, defaults: Defaults { duration, size, flags } })
    }
}

/// `tfdt`.
fn decode_time(traf: &[u8]) -> Option<i64> {
    let mut bytes = Bytes(first(traf, b"tfdt")?);
    let (version, _) = bytes.full()?;
    i64::try_from(bytes.sized(version)?).ok()
}

/// Where the next sample lies and when it is decoded.
struct Position {
    time: i64,
    offset: u64,
}

/// `trun`; `None` where it does not hold what it states.
fn run(
    trun: &[u8],
    header: &Header,
    at: &mut Position,
    samples: &mut Vec<Sample>,
) -> Result<Option<()>, TooMuch> {
    let mut bytes = Bytes(trun);
    let Some((flags, count)) = bytes.full().map(|(_, flags)| flags).zip(bytes.u32()) else { return Ok(None) };
    if samples.len() as u64 + u64::from(count) > TooMuch::SAMPLES {
        return Err(TooMuch::Samples(u64::from(count)));
    }
    Ok(rows(bytes, (flags, count), header, at, samples))
}

fn rows(
    mut bytes: Bytes<'_>,
    (flags, count): (u32, u32),
    header: &Header,
    at: &mut Position,
    samples: &mut Vec<Sample>,
) -> Option<()> {
    if flags & 1 != 0 {
        at.offset = header.base.checked_add_signed(i64::from(bytes.i32()?))?;
    }
    let first_flags = if flags & 4 != 0 { Some(bytes.u32()?) } else { None };
    for index in 0..count {
        let mut or = |bit: u32, left_out: u32| if flags & bit != 0 { bytes.u32() } else { Some(left_out) };
        let duration = or(0x100, header.defaults.duration)?;
        let size = or(0x200, header.defaults.size)?;
        let own = or(0x400, first_flags.filter(|_| index == 0).unwrap_or(header.defaults.flags))?;
        let shift = i64::from(or(0x800, 0)?.cast_signed());
        samples.push(Sample {
            offset: at.offset,
            size,
            dts: at.time,
            pts: at.time.checked_add(shift)?,
            duration,
            is_key: own & NOT_SYNC == 0,
        });
        at.offset = at.offset.checked_add(u64::from(size))?;
        at.time = at.time.checked_add(i64::from(duration))?;
    }
    Some(())
}
