//! Pictures made ready for a screen: scaled to a pane, one field of two, brighter, in red, green and blue.
//!
//! What comes out is for looking. Evidence is the decoded picture, which nothing here changes.

use super::colour::Coding;
use crate::error::Error;
use crate::picture::{Colours, Picture, PixelFormat};
use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use rayon::prelude::*;
use std::borrow::Cow;
use yuv::{YuvPlanarImage, YuvRange, yuv420_to_rgba};

/// Which lines of a picture are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lines {
    All,
    /// The field of the even lines, from the topmost on.
    Upper,
    /// The field of the odd lines.
    Lower,
}

/// A part of a picture, in whole pixels of the picture from its top left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    pub x: u32,
    pub y: u32,
    /// At least 1.
    pub width: u32,
    /// At least 1.
    pub height: u32,
}

impl Part {
    /// All of a picture of this size.
    pub fn whole((width, height): (u32, u32)) -> Part {
        Part { x: 0, y: 0, width: width.max(1), height: height.max(1) }
    }

    /// Whether the part lies in a picture of this size.
    pub fn is_within(self, (width, height): (u32, u32)) -> bool {
        let inside = |from: u32, size: u32, whole: u32| {
            size > 0 && from.checked_add(size).is_some_and(|end| end <= whole)
        };
        inside(self.x, self.width, width) && inside(self.y, self.height, height)
    }
}

/// Brighter or darker, with more or less contrast, for dark halls.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Light {
    /// Added to every value, -255 to 255.
    pub brightness: i16,
    /// Stretches values around the middle, in percent; 100 leaves them.
    pub contrast: u16,
}

impl Light {
    /// As the camera gave it.
    pub const AS_IT_IS: Light = Light { brightness: 0, contrast: 100 };
}

/// A picture for a screen: four bytes a pixel, red, green, blue, 255.
#[derive(Clone, PartialEq, Eq)]
pub struct Shown {
    pub width: u32,
    pub height: u32,
    /// Row after row, without padding.
    pub rgba: Vec<u8>,
}

/// The largest side of a pane, in pixels.
const MOST_SIDE: u32 = 16_384;

/// The size of a picture that fits into a pane and keeps its aspect ratio; never larger than the picture itself.
pub fn fitted(picture: (u32, u32), pane: (u32, u32)) -> (u32, u32) {
    let (wide, high) = (u64::from(picture.0.max(1)), u64::from(picture.1.max(1)));
    let (across, down) = (u64::from(pane.0.max(1)), u64::from(pane.1.max(1)));
    let scaled =
        if wide * down > high * across { (across, high * across / wide) } else { (wide * down / high, down) };
    let side = |scaled: u64, own: u64| u32::try_from(scaled.clamp(1, own)).unwrap_or(1);
    (side(scaled.0, wide), side(scaled.1, high))
}

/// Scales a picture; what comes out is 4:2:0 with 8 bits, and not exact.
pub(crate) fn scaled(picture: &Picture, size: (u32, u32), lines: Lines) -> Result<Picture, Error> {
    let own = (picture.width, picture.height);
    part_scaled(picture, (Part::whole(own), own), size, lines)
}

/// Scales a part of a picture, stated in pixels of this picture or of one of another size. Where each pixel gets at
/// least two of the screen in both directions, it stays one plain block.
fn part_scaled(
    picture: &Picture,
    (part, own): (Part, (u32, u32)),
    size: (u32, u32),
    lines: Lines,
) -> Result<Picture, Error> {
    let (width, height) = size;
    let sides = [width, height, picture.width, picture.height];
    if sides.iter().any(|side| !(1..=MOST_SIDE).contains(side)) {
        return Err(Error::Size(width, height));
    }
    if !part.is_within(own) {
        return Err(Error::Part(part.width, part.height));
    }
    let planes = planes(picture).ok_or(Error::Format(picture.format))?;
    let format = PixelFormat::plain(picture.format.is_full_range());
    // Below twice the size, some blocks would be twice as large as others, and round edges would become steps.
    let is_twice = |side: u32, own: u32| side >= own.saturating_mul(2);
    let as_blocks = is_twice(width, part.width) && is_twice(height, part.height);
    let larger = own == (picture.width, picture.height) && (as_blocks || size == (part.width, part.height));
    let shares = Shares::of(part, own);
    let mut samples = vec![0; format.size(width, height)];
    let (mut rest, mut wanted) = (samples.as_mut_slice(), Vec::with_capacity(planes.len()));
    for (plane, (wide, high, _)) in planes.iter().zip(format.planes(width, height)) {
        let (to, after) = std::mem::take(&mut rest).split_at_mut(wide * high);
        wanted.push((plane, (wide, high), to));
        rest = after;
    }
    // Luma on one core, both planes of chroma on another: somebody waits for a step.
    let made = wanted
        .into_par_iter()
        .map(|(plane, size, to)| plane.lines(lines).scaled_to(to, size, (shares, larger)))
        .collect::<Option<()>>();
    made.ok_or(Error::Size(width, height))?;
    Ok(Picture { pts: picture.pts, width, height, format, samples, exact: false })
}

/// A part of a picture as shares of its width and height.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shares {
    left: f64,
    top: f64,
    across: f64,
    down: f64,
}

impl Shares {
    fn of(part: Part, (width, height): (u32, u32)) -> Shares {
        let (wide, high) = (f64::from(width), f64::from(height));
        Shares {
            left: f64::from(part.x) / wide,
            top: f64::from(part.y) / high,
            across: f64::from(part.width) / wide,
            down: f64::from(part.height) / high,
        }
    }
}

/// A picture for a screen, at a size, in the colours of the clip that it comes from.
///
/// # Errors
/// [`Error`] if its layout or size cannot be shown.
pub fn shown(picture: &Picture, size: (u32, u32), how: (Lines, Light, Coding)) -> Result<Shown, Error> {
    let own = (picture.width, picture.height);
    shown_part(picture, (Part::whole(own), own), size, how)
}

/// A part of a picture for a screen, at a size. The part is stated in pixels of the clip's picture, whose size comes
/// with it; of a smaller copy it is the same share. A pixel that gets at least twice as large in both directions is
/// one plain block, so that it can be pointed at.
///
/// # Errors
/// [`Error`] if its layout, part or size cannot be shown.
pub fn shown_part(
    picture: &Picture,
    (part, own): (Part, (u32, u32)),
    size: (u32, u32),
    (lines, light, coding): (Lines, Light, Coding),
) -> Result<Shown, Error> {
    let is_ready = picture.format == PixelFormat::plain(picture.format.is_full_range())
        && (picture.width, picture.height) == size
        && part == Part::whole(own)
        && lines == Lines::All;
    let made = if is_ready { None } else { Some(part_scaled(picture, (part, own), size, lines)?) };
    let small = made.as_ref().unwrap_or(picture);
    let matrix = coding.matrix.standard();
    let range = if coding.is_full_range { YuvRange::Full } else { YuvRange::Limited };
    let (y, u, v) = (small.plane(0), small.plane(1), small.plane(2));
    let (width, height) = size;
    let lit =
        light.table().map(|table| y.iter().map(|value| table[usize::from(*value)]).collect::<Vec<u8>>());
    let image = YuvPlanarImage {
        y_plane: lit.as_deref().unwrap_or(y),
        y_stride: width,
        u_plane: u,
        u_stride: width.div_ceil(2),
        v_plane: v,
        v_stride: width.div_ceil(2),
        width,
        height,
    };
    let mut rgba = vec![0; width as usize * height as usize * 4];
    yuv420_to_rgba(&image, &mut rgba, width * 4, range, matrix).map_err(|_| Error::Size(width, height))?;
    Ok(Shown { width, height, rgba })
}

impl Light {
    /// The new value of each luma value; `None` where nothing changes.
    fn table(self) -> Option<[u8; 256]> {
        if self == Light::AS_IT_IS {
            return None;
        }
        let mut table = [0; 256];
        for (value, new) in (0_i32..).zip(&mut table) {
            let stretched = (value - 128) * i32::from(self.contrast) / 100 + 128 + i32::from(self.brightness);
            *new = u8::try_from(stretched.clamp(0, 255)).expect("clamped to a byte");
        }
        Some(table)
    }
}

/// One plane with 8 bits a sample.
struct Plane<'a> {
    wide: usize,
    high: usize,
    /// Borrowed from the picture where nothing changes: a copy of three megabytes is felt.
    samples: Cow<'a, [u8]>,
}

/// Luma and both chroma planes with 8 bits; gray gets neutral chroma.
fn planes(picture: &Picture) -> Option<[Plane<'_>; 3]> {
    let sizes: Vec<(usize, usize, usize)> = picture.format.planes(picture.width, picture.height).collect();
    let bits = picture.format.bits;
    let plane = |index: usize| {
        let (wide, high, bytes) = sizes.get(index).copied()?;
        let stored = picture.plane(index);
        let samples = if bytes == 1 { Cow::Borrowed(stored) } else { Cow::Owned(narrowed(stored, bits)) };
        (samples.len() == wide * high).then_some(Plane { wide, high, samples })
    };
    let neutral = || Plane { wide: 1, high: 1, samples: Cow::Owned(vec![128]) };
    match picture.format.colours {
        Colours::Planar(..) => Some([plane(0)?, plane(1)?, plane(2)?]),
        Colours::Gray => Some([plane(0)?, neutral(), neutral()]),
        Colours::SemiPlanar => {
            let (wide, high, _) = sizes.get(1).copied()?;
            let both = picture.plane(1);
            let one = |from: usize| both.iter().skip(from).step_by(2).copied().collect::<Vec<u8>>();
            let chroma = |from: usize| Plane { wide, high, samples: Cow::Owned(one(from)) };
            let is_whole = both.len() == wide * high * 2;
            is_whole.then_some([plane(0)?, chroma(0), chroma(1)])
        }
        Colours::Other => None,
    }
}

/// The upper 8 bits of samples that are stored in two bytes, little-endian.
fn narrowed(stored: &[u8], bits: u32) -> Vec<u8> {
    let value = |pair: &[u8]| pair.iter().rev().fold(0_u16, |value, byte| value << 8 | u16::from(*byte));
    let upper = |pair: &[u8]| u8::try_from(value(pair) >> bits.saturating_sub(8)).unwrap_or(u8::MAX);
    stored.chunks_exact(2).map(upper).collect()
}

impl Plane<'_> {
    fn lines(&self, lines: Lines) -> Plane<'_> {
        let skip = match lines {
            Lines::Lower if self.high > 1 => 1,
            Lines::All | Lines::Upper | Lines::Lower => 0,
        };
        if lines == Lines::All || self.wide == 0 {
            return Plane { wide: self.wide, high: self.high, samples: Cow::Borrowed(&self.samples) };
        }
        let rows: Vec<&[u8]> = self.samples.chunks(self.wide).skip(skip).step_by(2).collect();
        Plane { wide: self.wide, high: rows.len(), samples: Cow::Owned(rows.concat()) }
    }

    /// Writes a part of it at a size; enlarged parts in plain blocks.
    fn scaled_to(
        &self,
        to: &mut [u8],
        (wide, high): (usize, usize),
        (part, larger): (Shares, bool),
    ) -> Option<()> {
        let is_whole = part == Shares { left: 0.0, top: 0.0, across: 1.0, down: 1.0 };
        if is_whole && (self.wide, self.high) == (wide, high) {
            to.copy_from_slice(&self.samples);
            return Some(());
        }
        let side = |side: usize| u32::try_from(side).ok();
        let from = ImageRef::new(side(self.wide)?, side(self.high)?, &self.samples, PixelType::U8).ok()?;
        let mut to = Image::from_slice_u8(side(wide)?, side(high)?, to, PixelType::U8).ok()?;
        // Every sample counts when a picture gets smaller: a foot on a line is two pixels wide.
        let how = if larger { ResizeAlg::Nearest } else { ResizeAlg::Convolution(FilterType::Bilinear) };
        let (own_wide, own_high) = (self.wide as f64, self.high as f64);
        let (left, top) = (part.left * own_wide, part.top * own_high);
        // Shares of odd sides do not add up to the last bit, and nothing beyond the plane may be read.
        let across = (part.across * own_wide).min(own_wide - left);
        let down = (part.down * own_high).min(own_high - top);
        let options = ResizeOptions::new().resize_alg(how).crop(left, top, across, down);
        Resizer::new().resize(&from, &mut to, &options).ok()
    }
}

impl std::fmt::Debug for Shown {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}x{} pixels for a screen", self.width, self.height)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::colour::Matrix;

    const AS_IT_IS: (Lines, Light, Coding) =
        (Lines::All, Light::AS_IT_IS, Coding { matrix: Matrix::Bt601, is_full_range: false });

    fn picture(name: &str, size: (u32, u32), samples: &[u8]) -> Picture {
        let format = PixelFormat::from_name(name).expect("a format");
        let (width, height) = size;
        assert_eq!(samples.len(), format.size(width, height));
        Picture { pts: 7, width, height, format, samples: samples.to_vec(), exact: true }
    }

    /// Weights of red and blue in luma: ITU-R BT.601-7, 2.5.1; BT.709-6, 3.2; BT.2020-2, table 4. Quantized for broadcast
    /// as 219 and 224 steps above 16 and around 128 (BT.709-6, 3.4 and 4.6), else as 255 steps (ITU-T H.273, 8.3).
    #[test]
    fn colours_come_out_as_the_standards_code_them() {
        for (matrix, red, blue) in
            [(Matrix::Bt601, 0.299, 0.114), (Matrix::Bt709, 0.2126, 0.0722), (Matrix::Bt2020, 0.2627, 0.0593)]
        {
            for (is_full_range, black, steps, chroma_steps) in
                [(false, 16.0, 219.0, 224.0), (true, 0.0, 255.0, 255.0)]
            {
                for rgb in [[0, 0, 0], [255, 255, 255], [200, 40, 60], [30, 180, 70], [50, 60, 210]] {
                    let [r, g, b] = rgb.map(|value: u8| f64::from(value) / 255.0);
                    let luma = red * r + (1.0 - red - blue) * g + blue * b;
                    let chroma = |colour: f64, weight: f64| {
                        (128.0 + chroma_steps * (colour - luma) / (2.0 * (1.0 - weight))).round() as u8
                    };
                    let y = (black + steps * luma).round() as u8;
                    let samples = [vec![y; 4], vec![chroma(b, blue)], vec![chroma(r, red)]].concat();
                    let how = (Lines::All, Light::AS_IT_IS, Coding { matrix, is_full_range });
                    let made =
                        shown(&picture("yuv420p", (2, 2), &samples), (2, 2), how).expect("it is shown");
                    // Half a step of luma and of chroma is at most two steps of a colour.
                    for (found, wanted) in made.rgba.iter().zip(rgb) {
                        assert!(
                            found.abs_diff(wanted) <= 2,
                            "{matrix:?} {is_full_range} {rgb:?}: {:?}",
                            made.rgba
                        );
                    }
                    assert_eq!(made.rgba[3], 255);
                }
            }
        }
    }

    #[test]
    fn a_field_is_every_second_line() {
        let samples = [vec![10; 4], vec![200; 4], vec![10; 4], vec![200; 4], vec![128; 8]].concat();
        let whole = picture("yuv420p", (4, 4), &samples);
        for (lines, value) in [(Lines::Upper, 10), (Lines::Lower, 200)] {
            let field = scaled(&whole, (4, 4), lines).expect("it is shown");
            assert!(field.plane(0).iter().all(|sample| *sample == value), "{lines:?}: {:?}", field.plane(0));
            assert!(!field.exact);
        }
    }

    #[test]
    fn ten_bits_are_shown_with_eight_and_what_is_not_known_is_refused() {
        let samples = [[0x3f, 0x01]; 4].concat();
        let deep = picture("gray10le", (2, 2), &samples);
        assert_eq!(scaled(&deep, (2, 2), Lines::All).expect("it is shown").plane(0), [0x4f; 4]);
        let other = picture("rgb24", (1, 1), &[1, 2, 3]);
        assert!(
            matches!(scaled(&other, (1, 1), Lines::All), Err(Error::Format(format)) if format == other.format)
        );
        assert!(matches!(scaled(&deep, (0, 2), Lines::All), Err(Error::Size(0, 2))));
    }

    /// Every pixel of a part stands as one block of its own luma; values counted by hand.
    #[test]
    fn a_part_that_gets_larger_keeps_each_pixel_as_a_block() {
        let luma: Vec<u8> = (0..48).map(|index| 20 + 4 * index).collect();
        let whole = picture("yuv420p", (8, 6), &[luma, vec![128; 24]].concat());
        let part = Part { x: 3, y: 2, width: 4, height: 3 };
        let made = shown_part(&whole, (part, (8, 6)), (20, 15), AS_IT_IS).expect("it is shown");
        let exact = shown(&whole, (8, 6), AS_IT_IS).expect("it is shown");
        for y in 0..15_usize {
            for x in 0..20_usize {
                let own = (2 + y / 5) * 8 + 3 + x / 5;
                assert_eq!(made.rgba[(y * 20 + x) * 4], exact.rgba[own * 4], "({x}, {y})");
            }
        }
        for part in [Part { x: 5, ..part }, Part { width: 0, ..part }, Part { x: u32::MAX, ..part }] {
            let refused = shown_part(&whole, (part, (8, 6)), (20, 15), AS_IT_IS);
            assert!(
                matches!(refused, Err(Error::Part(width, height)) if (width, height) == (part.width, part.height))
            );
        }
    }

    /// In a picture of 5 rows and 3 of chroma, 4 / 5 of 3 and 1 / 5 of 3 make more than 3 as floats do.
    #[test]
    fn a_part_at_the_edge_of_an_odd_picture_is_shown() {
        let whole = picture("yuv420p", (1, 5), &[100; 11]);
        let last = (Part { x: 0, y: 4, width: 1, height: 1 }, (1, 5));
        let made = shown_part(&whole, last, (4, 4), AS_IT_IS);
        assert_eq!(made.expect("it is shown").rgba.len(), 64);
    }

    #[test]
    fn a_picture_fits_its_pane_and_keeps_its_shape() {
        for (picture, pane, fits) in [
            ((1920, 1080), (960, 960), (960, 540)),
            ((1080, 1920), (960, 960), (540, 960)),
            ((64, 48), (960, 960), (64, 48)),
            ((1920, 1080), (0, 0), (1, 1)),
        ] {
            assert_eq!(fitted(picture, pane), fits);
        }
    }

    #[test]
    fn light_stretches_around_the_middle() {
        assert_eq!(Light::AS_IT_IS.table(), None);
        let table = Light { brightness: 10, contrast: 200 }.table().expect("it changes");
        assert_eq!((table[128], table[100], table[0], table[255]), (138, 82, 0, 255));
    }
}
