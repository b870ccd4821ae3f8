//! The rotation that a container asks a player for: a phone that was held upright stores its pictures lying on their side.
//!
//! Everything that is shown, pointed at, measured or kept as a still is upright: its pixels are those of the picture as
//! a player shows it ([`Clip::shown_size`](super::clip::Clip::shown_size)). What proves a frame is the picture as
//! stored, which nothing here changes. Fields are lines of the stored picture, and chroma is halved in its directions,
//! so a part is taken and coloured as stored, and rotated last.

use super::colour::Coding;
use super::view::{self, Light, Lines, Part, Shown};
use crate::error::Error;
use crate::picture::Picture;
use crate::show::pixel_aspect::PixelAspect;

/// How a player rotates a picture, clockwise, and whether it mirrors it: the eight ways that keep pixels on the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rotation {
    AsStored,
    /// By 90 degrees: what is stored at the top is shown at the right.
    Quarter,
    /// By 180 degrees.
    Half,
    /// By 270 degrees: what is stored at the top is shown at the left.
    ThreeQuarters,
    /// Left and right are swapped.
    Mirrored,
    /// Mirrored, then rotated by 90 degrees.
    MirroredQuarter,
    /// Mirrored, then rotated by 180 degrees: what is stored at the top is shown at the bottom.
    MirroredHalf,
    /// Mirrored, then rotated by 270 degrees: rows become columns.
    MirroredThreeQuarters,
}

/// The part of a display matrix that rotates: a stored place (x, y) is shown at (a x + c y, b x + d y) (ISO/IEC 14496-12,
/// 8.3.2). In units of a 65536th.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct DisplayMatrix {
    pub(crate) a: i32,
    pub(crate) b: i32,
    pub(crate) c: i32,
    pub(crate) d: i32,
}

/// How a matrix mirrors and rotates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Orientation {
    /// Left and right are swapped first.
    pub(crate) is_mirrored: bool,
    /// Clockwise.
    pub(crate) degrees: u16,
}

impl DisplayMatrix {
    /// Shows a picture as it is stored.
    pub(crate) const PLAIN: DisplayMatrix = DisplayMatrix { a: 1 << 16, b: 0, c: 0, d: 1 << 16 };

    /// This one first, then the other; that of the movie comes after that of its track (8.2.2).
    pub(crate) fn then(self, other: DisplayMatrix) -> DisplayMatrix {
        let sum = |one: (i32, i32), other: (i32, i32)| {
            let product = |pair: (i32, i32)| i128::from(pair.0) * i128::from(pair.1);
            i32::try_from((product(one) + product(other)) >> 16).unwrap_or(i32::MAX)
        };
        DisplayMatrix {
            a: sum((self.a, other.a), (self.b, other.c)),
            b: sum((self.a, other.b), (self.b, other.d)),
            c: sum((self.c, other.a), (self.d, other.c)),
            d: sum((self.c, other.b), (self.d, other.d)),
        }
    }

    /// How it mirrors and rotates; not at all for a matrix that shows nothing.
    pub(crate) fn orientation(self) -> Orientation {
        let [a, b, c, d] = [self.a, self.b, self.c, self.d].map(i64::from);
        // A mirrored place (-x, y), rotated: the first column has the other sign.
        let is_mirrored = a * d - b * c < 0;
        let sign = if is_mirrored { -1.0 } else { 1.0 };
        let degrees = (sign * b as f64).atan2(sign * a as f64).to_degrees();
        Orientation { is_mirrored, degrees: degrees.rem_euclid(360.0).round() as u16 % 360 }
    }
}

/// How stored rows and columns become shown ones: swapped or not, then each direction as it is or backwards.
struct Axes {
    is_swapped: bool,
    is_back_across: bool,
    is_back_down: bool,
}

impl Rotation {
    /// The rotation, if it is a whole number of quarter turns.
    pub(crate) fn of(orientation: Orientation) -> Option<Rotation> {
        match (orientation.is_mirrored, orientation.degrees) {
            (false, 0) => Some(Rotation::AsStored),
            (false, 90) => Some(Rotation::Quarter),
            (false, 180) => Some(Rotation::Half),
            (false, 270) => Some(Rotation::ThreeQuarters),
            (true, 0) => Some(Rotation::Mirrored),
            (true, 90) => Some(Rotation::MirroredQuarter),
            (true, 180) => Some(Rotation::MirroredHalf),
            (true, 270) => Some(Rotation::MirroredThreeQuarters),
            _ => None,
        }
    }

    fn axes(self) -> Axes {
        let axes =
            |is_swapped, is_back_across, is_back_down| Axes { is_swapped, is_back_across, is_back_down };
        match self {
            Rotation::AsStored => axes(false, false, false),
            Rotation::Quarter => axes(true, true, false),
            Rotation::Half => axes(false, true, true),
            Rotation::ThreeQuarters => axes(true, false, true),
            Rotation::Mirrored => axes(false, true, false),
            Rotation::MirroredQuarter => axes(true, true, true),
            Rotation::MirroredHalf => axes(false, false, true),
            Rotation::MirroredThreeQuarters => axes(true, false, false),
        }
    }

    /// The size of a stored picture as it is shown, or of a shown one as it is stored.
    pub(crate) fn size(self, (width, height): (u32, u32)) -> (u32, u32) {
        if self.axes().is_swapped { (height, width) } else { (width, height) }
    }

    /// The pixel aspect ratio of a stored picture as it is shown, or the other way round.
    pub(crate) fn pixel_aspect(self, pixel: PixelAspect) -> PixelAspect {
        if self.axes().is_swapped { pixel.transposed() } else { pixel }
    }

    /// A part of an upright picture for a screen, at a size, from the stored picture. The part is stated in pixels of
    /// the clip's picture as shown, whose size comes with it; otherwise as [`view::shown_part`].
    ///
    /// # Errors
    /// [`Error`] if its layout, part or size cannot be shown.
    pub fn shown_part(
        self,
        stored: &Picture,
        (part, own): (Part, (u32, u32)),
        size: (u32, u32),
        how: (Lines, Light, Coding),
    ) -> Result<Shown, Error> {
        if !part.is_within(own) {
            return Err(Error::Part(part.width, part.height));
        }
        let part = (self.stored(part, own), self.size(own));
        Ok(self.rotated(view::shown_part(stored, part, self.size(size), how)?))
    }

    /// Where a part of an upright picture lies in the stored one. INVARIANT: it lies in the picture of this size.
    fn stored(self, part: Part, (wide, high): (u32, u32)) -> Part {
        let Part { x, y, width, height } = part;
        let axes = self.axes();
        let x = if axes.is_back_across { wide - x - width } else { x };
        let y = if axes.is_back_down { high - y - height } else { y };
        match axes.is_swapped {
            true => Part { x: y, y: x, width: height, height: width },
            false => Part { x, y, width, height },
        }
    }

    fn rotated(self, stored: Shown) -> Shown {
        if self == Rotation::AsStored {
            return stored;
        }
        let Axes { is_swapped, is_back_across, is_back_down } = self.axes();
        let (width, height) = self.size((stored.width, stored.height));
        let columns = stored.width as usize;
        let (pixels, _) = stored.rgba.as_chunks::<4>();
        let mut rotated: Vec<[u8; 4]> = Vec::with_capacity(pixels.len());
        for row in 0..height as usize {
            let row = if is_back_down { height as usize - 1 - row } else { row };
            // Pixels of a shown row: a stored column, or a stored row.
            let (from, step) = if is_swapped { (row, columns) } else { (row * columns, 1) };
            let line = pixels.iter().skip(from).step_by(step.max(1)).take(width as usize);
            if is_back_across { rotated.extend(line.rev()) } else { rotated.extend(line) }
        }
        Shown { width, height, rgba: rotated.into_flattened() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PixelFormat;
    use crate::show::colour::Matrix;

    const ROTATIONS: [Rotation; 8] = [
        Rotation::AsStored,
        Rotation::Quarter,
        Rotation::Half,
        Rotation::ThreeQuarters,
        Rotation::Mirrored,
        Rotation::MirroredQuarter,
        Rotation::MirroredHalf,
        Rotation::MirroredThreeQuarters,
    ];
    const CODING: Coding = Coding { matrix: Matrix::Bt601, is_full_range: false };
    const AS_IT_IS: (Lines, Light, Coding) = (Lines::All, Light::AS_IT_IS, CODING);

    /// A gray picture of a layout, its luma given by place.
    fn gray(name: &str, (width, height): (u32, u32), luma: impl Fn(u32, u32) -> u8) -> Picture {
        let format = PixelFormat::from_name(name).expect("a layout");
        let values = (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| luma(x, y));
        let deep = |value: u8| (u16::from(value) << 2).to_le_bytes();
        let mut samples: Vec<u8> =
            if format.bits == 8 { values.collect() } else { values.flat_map(deep).collect() };
        let neutral = if format.bits == 8 { [128, 128] } else { deep(128) };
        samples.extend(neutral.iter().cycle().take(format.size(width, height) - samples.len()));
        Picture { pts: 0, width, height, format, samples, exact: true }
    }

    /// The gray values of a picture for a screen, row after row.
    fn values(shown: &Shown) -> Vec<Vec<u8>> {
        let reds: Vec<u8> = shown.rgba.iter().step_by(4).copied().collect();
        reds.chunks(shown.width as usize).map(<[u8]>::to_vec).collect()
    }

    fn whole(rotation: Rotation, stored: &Picture) -> Shown {
        let own = rotation.size((stored.width, stored.height));
        rotation.shown_part(stored, (Part::whole(own), own), own, AS_IT_IS).expect("it is shown")
    }

    /// A place (2, 1) goes where the matrix sends it, and comes from there again: for every rotation, and for one after another.
    #[test]
    fn a_turn_is_what_its_matrix_says_and_one_after_another_is_one_of_them() {
        let matrix =
            |[a, b, c, d]: [i32; 4]| DisplayMatrix { a: a << 16, b: b << 16, c: c << 16, d: d << 16 };
        let all = [
            [1, 0, 0, 1],
            [0, 1, -1, 0],
            [-1, 0, 0, -1],
            [0, -1, 1, 0],
            [-1, 0, 0, 1],
            [0, -1, -1, 0],
            [1, 0, 0, -1],
            [0, 1, 1, 0],
        ];
        let square = Shown { width: 3, height: 3, rgba: (1..=9).flat_map(|value| [value; 4]).collect() };
        for (rotation, signs) in ROTATIONS.into_iter().zip(all) {
            assert_eq!(Rotation::of(matrix(signs).orientation()), Some(rotation), "{signs:?}");
            for (second, others) in ROTATIONS.into_iter().zip(all) {
                let both =
                    Rotation::of(matrix(signs).then(matrix(others)).orientation()).expect("a rotation");
                let expected = second.rotated(rotation.rotated(square.clone()));
                assert!(both.rotated(square.clone()) == expected, "{rotation:?} and {second:?}: {both:?}");
            }
        }
        let slanted = DisplayMatrix { a: 46_341, b: 46_341, c: -46_341, d: 46_341 };
        assert_eq!(slanted.orientation(), Orientation { is_mirrored: false, degrees: 45 });
        assert_eq!(Rotation::of(slanted.orientation()), None);
        assert_eq!(Rotation::of(matrix([0; 4]).orientation()), Some(Rotation::AsStored));
        let largest = DisplayMatrix { a: i32::MIN, b: i32::MIN, c: i32::MAX, d: i32::MIN };
        assert!(largest.then(largest).orientation().degrees < 360);
    }

    /// Two columns and three rows, stored and as a hand turns them on paper.
    #[test]
    fn a_small_picture_is_turned_as_by_hand() {
        let stored = Shown { width: 2, height: 3, rgba: (1..=6).flat_map(|value| [value; 4]).collect() };
        for (rotation, expected) in [
            (Rotation::AsStored, vec![vec![1, 2], vec![3, 4], vec![5, 6]]),
            (Rotation::Quarter, vec![vec![5, 3, 1], vec![6, 4, 2]]),
            (Rotation::Half, vec![vec![6, 5], vec![4, 3], vec![2, 1]]),
            (Rotation::ThreeQuarters, vec![vec![2, 4, 6], vec![1, 3, 5]]),
            (Rotation::Mirrored, vec![vec![2, 1], vec![4, 3], vec![6, 5]]),
            (Rotation::MirroredQuarter, vec![vec![6, 4, 2], vec![5, 3, 1]]),
            (Rotation::MirroredHalf, vec![vec![5, 6], vec![3, 4], vec![1, 2]]),
            (Rotation::MirroredThreeQuarters, vec![vec![1, 3, 5], vec![2, 4, 6]]),
        ] {
            assert_eq!(values(&rotation.rotated(stored.clone())), expected, "{rotation:?}");
        }
    }

    /// Corners that are stored red, green, blue and white, clockwise from the top left, in a picture of odd sides. The
    /// samples are those of ITU-R BT.601 for broadcast.
    #[test]
    fn known_corners_stand_where_a_player_shows_them() {
        let (wide, high) = (37, 21);
        let colours = [(81, 90, 240), (145, 54, 34), (41, 240, 110), (235, 128, 128)];
        let at = |x: u32, y: u32, (wide, high): (u32, u32)| match (x < wide / 2, y < high / 2) {
            (true, true) => colours[0],
            (false, true) => colours[1],
            (false, false) => colours[2],
            (true, false) => colours[3],
        };
        let format = PixelFormat::from_name("yuv420p").expect("a layout");
        let plane = |(wide, high): (u32, u32), which: fn((u8, u8, u8)) -> u8| {
            (0..high)
                .flat_map(|y| (0..wide).map(move |x| (x, y)))
                .map(move |(x, y)| which(at(x, y, (wide, high))))
                .collect::<Vec<u8>>()
        };
        let samples =
            [plane((wide, high), |c| c.0), plane((19, 11), |c| c.1), plane((19, 11), |c| c.2)].concat();
        let stored = Picture { pts: 0, width: wide, height: high, format, samples, exact: true };
        for (rotation, expected) in [
            (Rotation::AsStored, ["red", "green", "blue", "white"]),
            (Rotation::Quarter, ["white", "red", "green", "blue"]),
            (Rotation::Half, ["blue", "white", "red", "green"]),
            (Rotation::ThreeQuarters, ["green", "blue", "white", "red"]),
            (Rotation::Mirrored, ["green", "red", "white", "blue"]),
            (Rotation::MirroredQuarter, ["blue", "green", "red", "white"]),
            (Rotation::MirroredHalf, ["white", "blue", "green", "red"]),
            (Rotation::MirroredThreeQuarters, ["red", "white", "blue", "green"]),
        ] {
            let shown = whole(rotation, &stored);
            let (wide, high) = (shown.width as usize, shown.height as usize);
            let corners = [(2, 2), (wide - 3, 2), (wide - 3, high - 3), (2, high - 3)];
            let name = |(x, y): (usize, usize)| match shown.rgba[(y * wide + x) * 4..][..3] {
                [red, green, blue] if red.min(green).min(blue) > 200 => "white",
                [red, green, _] if red > 200 && green < 60 => "red",
                [_, green, blue] if green > 200 && blue < 60 => "green",
                [red, _, blue] if blue > 200 && red < 60 => "blue",
                _ => "none of them",
            };
            assert_eq!(corners.map(name), expected, "{rotation:?}");
        }
    }

    /// Whatever part is asked for, at whatever whole number of pixels for one, it is that part of the whole upright
    /// picture, each pixel as a block: in every layout, in sides that chroma does not halve evenly.
    #[test]
    fn a_part_is_that_part_of_the_upright_picture_in_plain_blocks() {
        let luma = |x: u32, y: u32| (20 + 7 * x + 3 * y) as u8;
        for name in ["yuv420p", "yuv422p", "yuv444p", "yuv420p10le", "yuv422p10le", "gray"] {
            for size in [(11, 7), (12, 9), (1, 5)] {
                let stored = gray(name, size, luma);
                for rotation in ROTATIONS {
                    let own = rotation.size(size);
                    let all = values(&whole(rotation, &stored));
                    for (x, y) in [(0, 0), (own.0 - 1, own.1 - 1), (own.0 / 2, own.1 / 3)] {
                        let part = Part { x, y, width: (own.0 - x).min(4), height: (own.1 - y).min(3) };
                        let size = (part.width * 5, part.height * 5);
                        let shown =
                            rotation.shown_part(&stored, (part, own), size, AS_IT_IS).expect("it is shown");
                        assert_eq!((shown.width, shown.height), size);
                        for (row, line) in (0_usize..).zip(values(&shown)) {
                            for (column, value) in (0_usize..).zip(line) {
                                let of = all[y as usize + row / 5][x as usize + column / 5];
                                assert_eq!(value, of, "{name} {rotation:?} {part:?} ({column}, {row})");
                            }
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn a_part_beyond_the_upright_picture_is_refused() {
        let stored = gray("yuv420p", (8, 6), |_, _| 100);
        for rotation in ROTATIONS {
            let own = rotation.size((8, 6));
            let inside = Part { x: 1, y: 1, width: 4, height: 4 };
            for part in [
                Part { x: own.0 - 3, ..inside },
                Part { y: own.1 - 3, ..inside },
                Part { x: u32::MAX, ..inside },
                Part { height: 0, ..inside },
            ] {
                let refused = rotation.shown_part(&stored, (part, own), (20, 20), AS_IT_IS);
                let is_refused = matches!(refused, Err(Error::Part(width, height)) if (width, height) == (part.width, part.height));
                assert!(is_refused, "{rotation:?} {part:?}");
            }
        }
    }

    /// Stored lines alternate; a field holds only its own, though they are columns of an upright picture.
    #[test]
    fn a_field_is_lines_of_the_stored_picture_and_light_falls_on_it_as_on_any() {
        let stored = gray("yuv420p", (8, 6), |_, y| if y % 2 == 0 { 60 } else { 180 });
        let brighter = Light { brightness: 20, contrast: 100 };
        for rotation in ROTATIONS {
            let own = rotation.size((8, 6));
            let field = |lines, light| {
                let shown =
                    rotation.shown_part(&stored, (Part::whole(own), own), own, (lines, light, CODING));
                let mut values = values(&shown.expect("it is shown")).concat();
                values.dedup();
                values
            };
            // (60 - 16) and (180 - 16) of 219 steps, and 20 of them more: BT.601, in 255.
            for (lines, light, expected) in [
                (Lines::Upper, Light::AS_IT_IS, 51_u8),
                (Lines::Lower, Light::AS_IT_IS, 191),
                (Lines::Upper, brighter, 75),
                (Lines::Lower, brighter, 214),
            ] {
                let found = field(lines, light);
                assert!(
                    found.len() == 1 && found[0].abs_diff(expected) <= 1,
                    "{rotation:?} {lines:?}: {found:?}"
                );
            }
        }
    }
}
