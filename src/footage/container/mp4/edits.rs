//! Edit lists (ISO/IEC 14496-12, 8.6.6): which samples a player shows, and when.

use super::boxes::{Bytes, nested};
use super::sample::Sample;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Edit {
    /// In units of the movie.
    length: u64,
    /// In units of the track; `None` shows nothing.
    from: Option<i64>,
    is_at_speed: bool,
}

/// Which samples a player shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum EditList {
    /// Everything, at its own times.
    All,
    /// One part: from `from` for `length` (no end where it is `None`), after `wait`; in units of the track.
    Part { from: i64, length: Option<i64>, wait: i64 },
    /// Several parts, or another speed: not read here.
    Cut,
}

/// Reads the list of a `trak` box. The scales are the units a second of movie and track.
pub(super) fn read(trak: &[u8], (movie_scale, track_scale): (u32, u32)) -> EditList {
    let Some(elst) = nested(trak, &[b"edts", b"elst"]) else { return EditList::All };
    let Some(edits) = entries(elst) else { return EditList::Cut };
    let in_track = |length: u64| {
        let units = u128::from(length) * u128::from(track_scale);
        // Rounded to the nearest, halves up, as the reference decoder does.
        let scale = u128::from(movie_scale.max(1));
        i64::try_from((units + scale / 2) / scale).ok()
    };
    let (waits, parts): (Vec<Edit>, Vec<Edit>) = edits.iter().partition(|edit| edit.from.is_none());
    let waits_first = edits.iter().take(waits.len()).all(|edit| edit.from.is_none());
    let wait = waits.iter().try_fold(0_i64, |sum, edit| sum.checked_add(in_track(edit.length)?));
    match (parts.as_slice(), wait) {
        ([], Some(0)) => EditList::All,
        ([Edit { length, from: Some(from), is_at_speed: true }], Some(wait)) if waits_first => {
            let length = if *length == 0 { Some(None) } else { in_track(*length).map(Some) };
            length.map_or(EditList::Cut, |length| EditList::Part { from: *from, length, wait })
        }
        _ => EditList::Cut,
    }
}

fn entries(elst: &[u8]) -> Option<Vec<Edit>> {
    let mut bytes = Bytes(elst);
    let (version, _) = bytes.full()?;
    let count = bytes.u32()?;
    let mut found = Vec::new();
    for _ in 0..count {
        let length = bytes.sized(version)?;
        let from = if version == 0 { i64::from(bytes.i32()?) } else { bytes.u64()?.cast_signed() };
        let speed = bytes.u32()?;
        found.push(Edit { length, from: (from >= 0).then_some(from), is_at_speed: speed == 0x1_0000 });
    }
    Some(found)
}

/// Applies the list. Returns the samples that are shown, as indices into `samples`, and changes the times of all of
/// them in place to those of a player.
pub(super) fn apply(shown: EditList, is_fragmented: bool, samples: &mut [Sample]) -> Option<Vec<usize>> {
    let (from, length, wait) = match shown {
        EditList::All | EditList::Cut => return Some((0..samples.len()).collect()),
        EditList::Part { from, length, wait } => (from, length, wait),
    };
    // Fragments are written after the list, so it shifts their times and cuts nothing off.
    let is_inside = |sample: &Sample| {
        let into = sample.pts.saturating_sub(from);
        is_fragmented || (into >= 0 && length.is_none_or(|length| into < length))
    };
    let kept: Vec<usize> =
        samples.iter().enumerate().filter(|(_, sample)| is_inside(sample)).map(|(index, _)| index).collect();
    let first = kept.iter().filter_map(|index| samples.get(*index)).map(|sample| sample.pts).min();
    // The first picture that is shown is at the start, even where the part begins within the one before.
    let start = if is_fragmented { from } else { first.unwrap_or(from) };
    for sample in samples.iter_mut() {
        sample.pts = sample.pts.checked_sub(start)?.checked_add(wait)?;
        sample.dts = sample.dts.checked_sub(start)?.checked_add(wait)?;
    }
    Some(kept)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(edits: &[(u32, i32, u32)]) -> Vec<u8> {
        let mut entries = vec![0, 0, 0, 0];
        entries.extend(u32::try_from(edits.len()).expect("few").to_be_bytes());
        for (length, from, speed) in edits {
            entries.extend(length.to_be_bytes());
            entries.extend(from.to_be_bytes());
            entries.extend(speed.to_be_bytes());
        }
        let boxed = |kind: &[u8; 4], payload: &[u8]| {
            let size = u32::try_from(payload.len() + 8).expect("short").to_be_bytes();
            [&size[..], kind, payload].concat()
        };
        boxed(b"edts", &boxed(b"elst", &entries))
    }

    #[test]
    fn one_part_after_a_wait_is_read_and_more_is_left_to_another() {
        let once = 0x1_0000;
        for (edits, expected) in [
            (&[][..], EditList::All),
            (&[(1000, 1024, once)], EditList::Part { from: 1024, length: Some(12_800), wait: 0 }),
            (&[(0, 1024, once)], EditList::Part { from: 1024, length: None, wait: 0 }),
            (&[(500, -1, once), (0, 0, once)], EditList::Part { from: 0, length: None, wait: 6400 }),
            (&[(9, 0, once), (500, -1, once)], EditList::Cut),
            (&[(9, 0, once), (9, 99, once)], EditList::Cut),
            (&[(9, 0, once / 2)], EditList::Cut),
            (&[(500, -1, once)], EditList::Cut),
        ] {
            assert_eq!(read(&list(edits), (1000, 12_800)), expected, "{edits:?}");
        }
        assert_eq!(read(&list(&[(1, 2, once)])[..20], (1, 1)), EditList::All, "a list cut off is no list");
    }
}
