//! Pixel aspect ratio (PAR). Cameras and tapes of some kinds store fewer pixels across than they show, each wider than
//! high: 1440 of 4:3 for a picture of 1920, 720 of 16:15 for one of 768.
//!
//! Only what is shown is stretched: panes, parts, stills. What is clicked, calibrated, measured, hashed or kept stays
//! in stored pixels, so a place is the same wherever it is shown.
//!
//! Where sources differ, the container is believed before the stream: the `pasp` box "overrides" what the codec
//! declares, which is "examined" where there is none (ISO/IEC 14496-12, 12.1.4.1), and so do players. Without that box, the
//! presentation size in the header of an MP4 track gives it, where it is not the stored size (8.3.2).

use num_rational::Ratio;
use std::fmt;

/// Width of a pixel : its height, in lowest terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PixelAspect {
    wide: u32,
    high: u32,
}

/// The most extreme ratio that is believed; beyond it the file is wrong. The most extreme of Table E-1 of ITU-T H.264
/// is 32:11.
const LONGEST: u64 = 8;

/// Table E-1 of ITU-T H.264 (E-1 of H.265 is the same), from number 1 on.
const NUMBERED: [(u64, u64); 16] = [
    (1, 1),
    (12, 11),
    (10, 11),
    (16, 11),
    (40, 33),
    (24, 11),
    (20, 11),
    (32, 11),
    (80, 33),
    (18, 11),
    (15, 11),
    (64, 33),
    (160, 99),
    (4, 3),
    (3, 2),
    (2, 1),
];

impl PixelAspect {
    /// As wide as high.
    pub const SQUARE: PixelAspect = PixelAspect { wide: 1, high: 1 };

    /// `wide` : `high`; `None` for 0, and for ratios too extreme to be right.
    pub fn new(wide: u64, high: u64) -> Option<PixelAspect> {
        let is_likely = wide.checked_mul(LONGEST)? >= high && high.checked_mul(LONGEST)? >= wide;
        if wide == 0 || high == 0 || !is_likely {
            return None;
        }
        let (wide, high) = Ratio::new(wide, high).into_raw();
        Some(PixelAspect { wide: u32::try_from(wide).ok()?, high: u32::try_from(high).ok()? })
    }

    /// By its number in Table E-1; `None` for 0, "unspecified", and for numbers that are not assigned.
    pub(crate) fn from_code(number: u32) -> Option<PixelAspect> {
        let index = usize::try_from(number).ok()?.checked_sub(1)?;
        NUMBERED.get(index).and_then(|(wide, high)| PixelAspect::new(*wide, *high))
    }

    /// As FFmpeg writes it: "4:3"; its "0:1" means that it is not known.
    pub(crate) fn from_name(text: &str) -> Option<PixelAspect> {
        let (wide, high) = text.split_once(':')?;
        PixelAspect::new(wide.parse().ok()?, high.parse().ok()?)
    }

    /// From the stored size and the presentation size.
    pub(crate) fn from_sizes(stored: (u32, u32), shown: (u32, u32)) -> Option<PixelAspect> {
        let product = |one: u32, other: u32| u64::from(one) * u64::from(other);
        PixelAspect::new(product(shown.0, stored.1), product(shown.1, stored.0))
    }

    /// The ratio of the picture rotated by 90 degrees.
    pub fn transposed(self) -> PixelAspect {
        PixelAspect { wide: self.high, high: self.wide }
    }

    /// A size in stored pixels as it is shown, in square ones. One direction is stretched and none is squeezed, so no
    /// stored pixel is lost.
    pub fn stretched(self, (width, height): (u32, u32)) -> (u32, u32) {
        let (across, down) = (self.wide.max(self.high), self.wide.min(self.high));
        let longer = |side: u32| {
            let longer = (u64::from(side) * u64::from(across) + u64::from(down) / 2) / u64::from(down.max(1));
            u32::try_from(longer).unwrap_or(u32::MAX)
        };
        if self.wide >= self.high { (longer(width), height) } else { (width, longer(height)) }
    }

    /// The largest size whose stretched sides lie within these.
    pub fn within(self, (width, height): (u32, u32)) -> (u32, u32) {
        let (across, down) = (self.wide.max(self.high), self.wide.min(self.high));
        let shorter = |side: u32| {
            let shorter = u64::from(side) * u64::from(down) / u64::from(across.max(1));
            u32::try_from(shorter).unwrap_or(u32::MAX)
        };
        if self.wide >= self.high { (shorter(width), height) } else { (width, shorter(height)) }
    }
}

impl fmt::Display for PixelAspect {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}:{}", self.wide, self.high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(text: &str) -> PixelAspect {
        PixelAspect::from_name(text).expect("a shape")
    }

    /// Stored sizes and those that Table E-1 of ITU-T H.264 gives as examples beside the numbers.
    #[test]
    fn pictures_are_as_wide_as_the_standard_says() {
        for (number, stored, shown) in [
            (1, (1920, 1080), (1920, 1080)),
            (2, (720, 576), (785, 576)),
            (4, (720, 576), (1047, 576)),
            (14, (1440, 1080), (1920, 1080)),
            (15, (1280, 1080), (1920, 1080)),
            (16, (960, 1080), (1920, 1080)),
            // Higher than wide: lines are added, none is lost.
            (3, (720, 480), (720, 528)),
        ] {
            assert_eq!(PixelAspect::from_code(number).expect("a shape").stretched(stored), shown, "{number}");
        }
        assert_eq!([0, 17, 255, u32::MAX].map(PixelAspect::from_code), [None; 4]);
    }

    #[test]
    fn what_says_nothing_or_what_cannot_be_is_no_shape() {
        for text in ["0:1", "1:0", "4", "", "N/A", "-4:3", "9:1", "1:9", "18446744073709551615:1"] {
            assert_eq!(PixelAspect::from_name(text), None, "{text}");
        }
        assert_eq!(PixelAspect::new(65_535, 65_535), Some(PixelAspect::SQUARE));
        assert_eq!(shape("1920:1440").to_string(), "4:3");
        assert_eq!(PixelAspect::from_sizes((1440, 1080), (1920, 1080)), Some(shape("4:3")));
        assert_eq!(PixelAspect::from_sizes((0, 0), (1920, 1080)), None);
    }

    #[test]
    fn what_lies_within_a_room_fits_it_when_it_is_stretched() {
        for text in ["4:3", "16:15", "10:11", "1:1", "1:2", "32:11"] {
            for room in [(806, 414), (1, 1), (0, 7), (u32::MAX, u32::MAX)] {
                let (wide, high) = shape(text).stretched(shape(text).within(room));
                assert!(wide <= room.0 && high <= room.1, "{text} {room:?}: {wide} {high}");
            }
        }
        assert_eq!(shape("4:3").transposed().stretched((9, 9)), (9, 12));
    }
}
