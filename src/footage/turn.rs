//! The turn that a container asks a player for: a phone that was held upright stores its pictures lying on their side.
//!
//! Everything that is shown, pointed at, measured or kept as a still is upright: its pixels are those of the picture as
//! a player shows it ([`Clip::shown_size`](super::clip::Clip::shown_size)). What proves a frame is the picture as
//! stored, which nothing here changes. Fields are lines of the stored picture, and chroma is halved in its directions,
//! so a part is taken and coloured as stored, and turned last.

use super::colour::Coding;
use super::picture::Picture;
use super::shape::Shape;
use super::view::{self, Light, Lines, NotShown, Part, Shown};

/// How a player turns a picture, clockwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Not at all.
    AsStored,
    /// By 90 degrees: what is stored at the top is shown at the right.
    Quarter,
    /// By 180 degrees.
    Half,
    /// By 270 degrees: what is stored at the top is shown at the left.
    ThreeQuarters,
}

impl Turn {
    /// By so many degrees clockwise; `None` where those are no whole quarters of a circle.
    pub fn by(degrees: u16) -> Option<Turn> {
        match degrees {
            0 => Some(Turn::AsStored),
            90 => Some(Turn::Quarter),
            180 => Some(Turn::Half),
            270 => Some(Turn::ThreeQuarters),
            _ => None,
        }
    }

    /// The size of a stored picture as it is shown; and, since a turn swaps sides or does not, the other way round.
    pub fn size(self, (width, height): (u32, u32)) -> (u32, u32) {
        match self {
            Turn::AsStored | Turn::Half => (width, height),
            Turn::Quarter | Turn::ThreeQuarters => (height, width),
        }
    }

    /// The shape of a stored pixel as it is shown; and the other way round, as for sizes.
    pub fn shape(self, pixel: Shape) -> Shape {
        match self {
            Turn::AsStored | Turn::Half => pixel,
            Turn::Quarter | Turn::ThreeQuarters => pixel.on_its_side(),
        }
    }

    /// A part of an upright picture for a screen, at a size, from the picture as stored. The part is stated in pixels of
    /// the clip's picture as shown, whose size stands beside it; else as [`view::shown_part`].
    ///
    /// # Errors
    /// [`NotShown`], where its layout, part or size cannot be shown.
    pub fn shown_part(
        self,
        stored: &Picture,
        (part, own): (Part, (u32, u32)),
        size: (u32, u32),
        how: (Lines, Light, Coding),
    ) -> Result<Shown, NotShown> {
        if !part.is_within(own) {
            return Err(NotShown::Part(part.width, part.height));
        }
        let part = (self.stored(part, own), self.size(own));
        Ok(self.turned(view::shown_part(stored, part, self.size(size), how)?))
    }

    /// Where a part of an upright picture lies in the stored one. INVARIANT: it lies in the picture of this size.
    fn stored(self, part: Part, (wide, high): (u32, u32)) -> Part {
        let Part { x, y, width, height } = part;
        let (after_x, after_y) = (wide - x - width, high - y - height);
        match self {
            Turn::AsStored => part,
            Turn::Quarter => Part { x: y, y: after_x, width: height, height: width },
            Turn::Half => Part { x: after_x, y: after_y, width, height },
            Turn::ThreeQuarters => Part { x: after_y, y: x, width: height, height: width },
        }
    }

    fn turned(self, stored: Shown) -> Shown {
        let (width, height) = self.size((stored.width, stored.height));
        let columns = stored.width as usize;
        let (pixels, _) = stored.rgba.as_chunks::<4>();
        let column = |x: usize| pixels.iter().skip(x).step_by(columns.max(1));
        if self == Turn::AsStored {
            return stored;
        }
        let mut turned: Vec<[u8; 4]> = Vec::with_capacity(pixels.len());
        match self {
            Turn::AsStored => turned.extend(pixels),
            Turn::Quarter => (0..columns).for_each(|x| turned.extend(column(x).rev())),
            Turn::Half => turned.extend(pixels.iter().rev()),
            Turn::ThreeQuarters => (0..columns).rev().for_each(|x| turned.extend(column(x))),
        }
        Shown { width, height, rgba: turned.into_flattened() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::footage::colour::Matrix;
    use crate::footage::picture::PixelFormat;

    const TURNS: [Turn; 4] = [Turn::AsStored, Turn::Quarter, Turn::Half, Turn::ThreeQuarters];
    const CODING: Coding = Coding { matrix: Matrix::Bt601, is_full_range: false };
    const AS_IT_IS: (Lines, Light, Coding) = (Lines::All, Light::AS_IT_IS, CODING);

    /// A gray picture of a layout, its luma given by place.
    fn gray(name: &str, (width, height): (u32, u32), luma: impl Fn(u32, u32) -> u8) -> Picture {
        let format = PixelFormat::named(name).expect("a layout");
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

    fn whole(turn: Turn, stored: &Picture) -> Shown {
        let own = turn.size((stored.width, stored.height));
        turn.shown_part(stored, (Part::whole(own), own), own, AS_IT_IS).expect("it is shown")
    }

    /// Two columns and three rows, stored and as a hand turns them on paper.
    #[test]
    fn a_small_picture_is_turned_as_by_hand() {
        let stored = Shown { width: 2, height: 3, rgba: (1..=6).flat_map(|value| [value; 4]).collect() };
        for (turn, expected) in [
            (Turn::AsStored, vec![vec![1, 2], vec![3, 4], vec![5, 6]]),
            (Turn::Quarter, vec![vec![5, 3, 1], vec![6, 4, 2]]),
            (Turn::Half, vec![vec![6, 5], vec![4, 3], vec![2, 1]]),
            (Turn::ThreeQuarters, vec![vec![2, 4, 6], vec![1, 3, 5]]),
        ] {
            assert_eq!(values(&turn.turned(stored.clone())), expected, "{turn:?}");
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
        let format = PixelFormat::named("yuv420p").expect("a layout");
        let plane = |(wide, high): (u32, u32), which: fn((u8, u8, u8)) -> u8| {
            (0..high)
                .flat_map(|y| (0..wide).map(move |x| (x, y)))
                .map(move |(x, y)| which(at(x, y, (wide, high))))
                .collect::<Vec<u8>>()
        };
        let samples =
            [plane((wide, high), |c| c.0), plane((19, 11), |c| c.1), plane((19, 11), |c| c.2)].concat();
        let stored = Picture { pts: 0, width: wide, height: high, format, samples, exact: true };
        for (turn, expected) in [
            (Turn::AsStored, ["red", "green", "blue", "white"]),
            (Turn::Quarter, ["white", "red", "green", "blue"]),
            (Turn::Half, ["blue", "white", "red", "green"]),
            (Turn::ThreeQuarters, ["green", "blue", "white", "red"]),
        ] {
            let shown = whole(turn, &stored);
            let (wide, high) = (shown.width as usize, shown.height as usize);
            let corners = [(2, 2), (wide - 3, 2), (wide - 3, high - 3), (2, high - 3)];
            let name = |(x, y): (usize, usize)| match shown.rgba[(y * wide + x) * 4..][..3] {
                [red, green, blue] if red.min(green).min(blue) > 200 => "white",
                [red, green, _] if red > 200 && green < 60 => "red",
                [_, green, blue] if green > 200 && blue < 60 => "green",
                [red, _, blue] if blue > 200 && red < 60 => "blue",
                _ => "none of them",
            };
            assert_eq!(corners.map(name), expected, "{turn:?}");
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
                for turn in TURNS {
                    let own = turn.size(size);
                    let all = values(&whole(turn, &stored));
                    for (x, y) in [(0, 0), (own.0 - 1, own.1 - 1), (own.0 / 2, own.1 / 3)] {
                        let part = Part { x, y, width: (own.0 - x).min(4), height: (own.1 - y).min(3) };
                        let size = (part.width * 5, part.height * 5);
                        let shown =
                            turn.shown_part(&stored, (part, own), size, AS_IT_IS).expect("it is shown");
                        assert_eq!((shown.width, shown.height), size);
                        for (row, line) in (0_usize..).zip(values(&shown)) {
                            for (column, value) in (0_usize..).zip(line) {
                                let of = all[y as usize + row / 5][x as usize + column / 5];
                                assert_eq!(value, of, "{name} {turn:?} {part:?} ({column}, {row})");
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
        for turn in TURNS {
            let own = turn.size((8, 6));
            let inside = Part { x: 1, y: 1, width: 4, height: 4 };
            for part in [
                Part { x: own.0 - 3, ..inside },
                Part { y: own.1 - 3, ..inside },
                Part { x: u32::MAX, ..inside },
                Part { height: 0, ..inside },
            ] {
                let refused = turn.shown_part(&stored, (part, own), (20, 20), AS_IT_IS);
                assert_eq!(refused, Err(NotShown::Part(part.width, part.height)), "{turn:?} {part:?}");
            }
        }
    }

    /// Stored lines alternate; a field holds only its own, though they are columns of an upright picture.
    #[test]
    fn a_field_is_lines_of_the_stored_picture_and_light_falls_on_it_as_on_any() {
        let stored = gray("yuv420p", (8, 6), |_, y| if y % 2 == 0 { 60 } else { 180 });
        let brighter = Light { brightness: 20, contrast: 100 };
        for turn in TURNS {
            let own = turn.size((8, 6));
            let field = |lines, light| {
                let shown = turn.shown_part(&stored, (Part::whole(own), own), own, (lines, light, CODING));
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
                    "{turn:?} {lines:?}: {found:?}"
                );
            }
        }
    }
}
