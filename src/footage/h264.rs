//! Headers of an H.264 stream: sizes, coding tools, slice types, where decoding may begin (ITU-T H.264).
//!
//! Read before a picture is decoded, to decide whether the built-in decoder gives it exactly. That decoder is exact
//! on baseline, main and high without B slices, and reports no error when it is not. Never here: a picture.

mod bits;
pub(crate) mod parameters;
pub(crate) mod poc;

use bits::{Bits, payload};

/// What one coded picture is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct CodedPicture {
    /// All its slices are of an IDR picture: decoding may begin here.
    pub(crate) is_idr: bool,
    pub(crate) has_b: bool,
    /// It has P or B slices.
    pub(crate) is_predicted: bool,
    pub(crate) is_reference: bool,
    /// Frames until a decoder that begins here is exact, where the stream says so.
    pub(crate) recovery_frames: Option<u32>,
    pub(crate) has_parameter_sets: bool,
    /// It has units that no plain decoder of frames reads: data partitions, layers, views.
    pub(crate) is_layered: bool,
    pub(crate) slices: u32,
}

/// What precedes a unit in a byte stream (B.1.1).
pub(crate) const START_CODE: [u8; 4] = [0, 0, 0, 1];

/// More units in one picture than any camera writes: a count beyond it is a damaged file.
const MOST_UNITS: usize = 4096;

/// The units of a coded picture whose lengths stand before them in `length_bytes` bytes; `None` where they do not
/// add up.
pub(crate) fn nal_units(sample: &[u8], length_bytes: u8) -> Option<Vec<&[u8]>> {
    let mut found = Vec::new();
    let mut rest = sample;
    while !rest.is_empty() {
        let (length, after) = rest.split_at_checked(usize::from(length_bytes))?;
        let length = length.iter().fold(0_usize, |value, byte| value << 8 | usize::from(*byte));
        let (unit, after) = after.split_at_checked(length)?;
        if !unit.is_empty() {
            found.push(unit);
        }
        if found.len() > MOST_UNITS {
            return None;
        }
        rest = after;
    }
    Some(found)
}

/// What a coded picture is made of; `None` where its headers cannot be read.
pub(crate) fn coded_picture(sample: &[u8], length_bytes: u8) -> Option<CodedPicture> {
    let mut found = CodedPicture::default();
    let mut only_idr = true;
    for unit in nal_units(sample, length_bytes)? {
        // Table 7-1: the kind of a unit is in its lower five bits.
        match unit.first()? & 0x1f {
            kind @ (1 | 5) => {
                only_idr &= kind == 5;
                found.slices += 1;
                // 7.4.1: nothing is predicted from slices whose importance is 0.
                found.is_reference |= unit.first()? & 0x60 != 0;
                match slice_type(unit)? {
                    SliceType::Predicted => found.is_predicted = true,
                    SliceType::Bidirectional => (found.is_predicted, found.has_b) = (true, true),
                    SliceType::Intra => {}
                    SliceType::Switching => found.is_layered = true,
                }
            }
            6 => found.recovery_frames = found.recovery_frames.or(recovery(unit)),
            7 | 8 | 13 => found.has_parameter_sets = true,
            2..=4 | 14 | 15 | 19..=21 => found.is_layered = true,
            _ => {}
        }
    }
    found.is_idr = only_idr && found.slices > 0;
    Some(found)
}

enum SliceType {
    Predicted,
    Bidirectional,
    Intra,
    Switching,
}

/// Table 7-6.
fn slice_type(unit: &[u8]) -> Option<SliceType> {
    // Two Exp-Golomb codes fit into 16 bytes.
    let payload = payload(unit.get(1..)?, 16);
    let mut bits = Bits::new(&payload);
    bits.unsigned()?;
    Some(match bits.unsigned()? % 5 {
        0 => SliceType::Predicted,
        1 => SliceType::Bidirectional,
        2 => SliceType::Intra,
        _ => SliceType::Switching,
    })
}

/// The recovery point message (D.1.8) among the messages of a unit: the number of frames after which pictures are exact.
fn recovery(unit: &[u8]) -> Option<u32> {
    let payload = payload(unit.get(1..)?, 4096);
    let mut rest = payload.as_slice();
    let number = |rest: &mut &[u8]| {
        let mut value = 0_usize;
        loop {
            let (byte, after) = rest.split_first()?;
            *rest = after;
            value += usize::from(*byte);
            if *byte != 0xff {
                return Some(value);
            }
        }
    };
    while rest.len() > 2 {
        let (kind, size) = (number(&mut rest)?, number(&mut rest)?);
        let (message, after) = rest.split_at_checked(size)?;
        if kind == 6 {
            return Bits::new(message).unsigned();
        }
        rest = after;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_whose_lengths_do_not_add_up_are_refused() {
        assert_eq!(nal_units(&[0, 2, 7, 8, 0, 1, 9], 2), Some(vec![&[7, 8][..], &[9]]));
        assert_eq!(nal_units(&[0, 3, 7, 8], 2), None);
        assert_eq!(nal_units(&[0], 2), None);
        assert_eq!(nal_units(&[0xff, 0xff, 0xff, 0xff, 1], 4), None);
    }

    #[test]
    fn a_picture_is_told_by_its_slices_and_messages() {
        // first_mb 0, slice type 7 (all intra); 0 (predicted); 6 (all from two sides).
        let (intra, predicted, two_sides) = ([0x65, 0b1000_1000], [0x41, 0b1100_0000], [0x01, 0b1001_1100]);
        // Recovery point: kind 6, size 1, count 0 (and 3).
        let (at_once, later) = ([0x06, 6, 1, 0b1000_0000, 0x80], [0x06, 6, 1, 0b0010_0000, 0x80]);
        let sample = |parts: &[&[u8]]| -> Vec<u8> {
            parts
                .iter()
                .flat_map(|part| [&[u8::try_from(part.len()).expect("short")], *part].concat())
                .collect()
        };
        let read = |parts: &[&[u8]]| coded_picture(&sample(parts), 1).expect("it can be read");
        assert!(read(&[&intra]).is_idr);
        assert!(!read(&[&predicted]).is_idr && !read(&[&predicted]).has_b);
        assert!(read(&[&two_sides]).has_b);
        assert!(!read(&[&intra, &predicted]).is_idr);
        assert_eq!(read(&[&at_once, &predicted]).recovery_frames, Some(0));
        assert_eq!(read(&[&later, &predicted]).recovery_frames, Some(3));
        assert!(!read(&[]).is_idr);
    }
}
