//! Picture order count (ITU-T H.264, 8.2.1): the display order that the stream states, whatever PTS the file has.
//!
//! Counts begin anew at each IDR picture. Streams that count by differences (type 1) or clear their counts on the way
//! (operation 5) are rare: the first have no POC here, the second may look as if their times were wrong.

use super::bits::{Bits, payload};
use super::parameters::{PicOrderCount, Pps, Sps};

/// Display order: the number of IDR pictures so far, then the picture order count.
pub(crate) type Poc = (u64, i64);

/// Reads the counts of pictures in the order of decoding.
pub(crate) struct PocReader<'a> {
    sps: &'a Sps,
    pps: &'a [Pps],
    idr_count: u64,
    decoded: i64,
    /// Upper and lower part of the count of the last reference picture.
    reference: (i64, i64),
}

impl<'a> PocReader<'a> {
    /// Before the first picture of a stream with these parameters.
    pub(crate) fn new(sps: &'a Sps, pps: &'a [Pps]) -> PocReader<'a> {
        PocReader { sps, pps, idr_count: 0, decoded: 0, reference: (0, 0) }
    }

    /// The POC of the next coded picture, from its NAL units; `None` where they do not state it.
    pub(crate) fn poc(&mut self, units: &[&[u8]]) -> Option<Poc> {
        let slices =
            units.iter().filter(|unit| unit.first().is_some_and(|byte| matches!(byte & 0x1f, 1 | 5)));
        let mut poc: Option<Poc> = None;
        for (index, slice) in slices.enumerate() {
            let is_idr = slice.first()? & 0x1f == 5;
            if is_idr && index == 0 {
                self.idr_count += 1;
                self.reference = (0, 0);
            }
            let count = self.count(slice)?;
            // Of two fields the earlier one.
            poc = Some(poc.map_or((self.idr_count, count), |poc| poc.min((self.idr_count, count))));
        }
        self.decoded += 1;
        poc
    }

    /// The count of a slice (7.3.3 and 8.2.1.1).
    fn count(&mut self, slice: &[u8]) -> Option<i64> {
        let bits = match self.sps.poc {
            PicOrderCount::Lsb(bits) => bits,
            PicOrderCount::Delta => return None,
            PicOrderCount::DecodingOrder => return Some(self.decoded),
        };
        let head = *slice.first()?;
        let payload = payload(slice.get(1..)?, 64);
        let mut read = Bits::new(&payload);
        read.unsigned()?;
        read.unsigned()?;
        let id = read.unsigned()?;
        let parameters = self.pps.iter().find(|set| set.id == id)?;
        if self.sps.has_separate_planes {
            read.fixed(2)?;
        }
        read.fixed(self.sps.frame_num_bits)?;
        let is_field = !self.sps.frames_only && read.flag()?;
        if is_field {
            read.flag()?;
        }
        if head & 0x1f == 5 {
            read.unsigned()?;
        }
        let lower = i64::from(read.fixed(bits)?);
        let bottom = if parameters.has_bottom_poc && !is_field { i64::from(read.signed()?) } else { 0 };
        let upper = self.upper(lower, 1 << bits);
        if head & 0x60 != 0 {
            self.reference = (upper, lower);
        }
        Some(upper + lower + bottom.min(0))
    }

    /// The upper part of a count whose lower part has `values` values: the nearest to the reference (8-3).
    fn upper(&self, lower: i64, values: i64) -> i64 {
        let (upper, before) = self.reference;
        if lower < before && before - lower >= values / 2 {
            upper + values
        } else if lower > before && lower - before > values / 2 {
            upper - values
        } else {
            upper
        }
    }
}

/// Whether PTS put pictures in the order of their POC: `shown` holds both of each picture, in any order.
pub(crate) fn times_follow(shown: &[(i64, Poc)]) -> bool {
    let mut by_poc = shown.to_vec();
    by_poc.sort_by_key(|(time, poc)| (*poc, *time));
    by_poc.is_sorted_by_key(|(time, _)| *time)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::colour::StatedColour;

    #[test]
    fn a_count_goes_on_where_its_lower_bits_begin_anew() {
        let sps = Sps {
            profile: 77,
            chroma: 1,
            bits: 8,
            chroma_bits: 8,
            frames_only: true,
            gaps_allowed: false,
            size: (64, 48),
            pixel_aspect: None,
            colours: StatedColour::NOTHING,
            timing: None,
            keeps_order: false,
            max_reorder_frames: None,
            poc: PicOrderCount::Lsb(4),
            frame_num_bits: 4,
            has_separate_planes: false,
        };
        // Four bits: 14 and then 2 is 18; 2 and then 14 is -2; half way up stays.
        for (reference, lower, upper) in
            [((0, 14), 2, 16), ((16, 2), 14, 0), ((0, 2), 10, 0), ((0, 10), 2, 16), ((32, 5), 6, 32)]
        {
            let reader = PocReader { reference, ..PocReader::new(&sps, &[]) };
            assert_eq!(reader.upper(lower, 16), upper, "{reference:?} {lower}");
        }
    }

    #[test]
    fn times_follow_the_places_or_they_do_not() {
        for (shown, expected) in [
            (&[(0, (1, 0)), (30, (1, 8)), (10, (1, 2)), (20, (1, 4)), (40, (2, 0))][..], true),
            (&[(0, (1, 0)), (10, (1, 8)), (20, (1, 2))], false),
            (&[(0, (1, 0)), (40, (1, 8)), (20, (2, 0))], false),
            (&[(0, (1, 0)), (0, (1, 2))], true),
            (&[], true),
        ] {
            assert_eq!(times_follow(shown), expected, "{shown:?}");
        }
    }
}
