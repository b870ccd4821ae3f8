//! Which part of a picture is seen in a pane: all of it, or a part in which each pixel covers a whole number of pixels
//! of the screen.
//!
//! One mapping serves the picture, its overlay and clicks: a line in the picture is evidence, so the two must not come
//! apart. The part begins at a whole pixel of the picture, and the picture at a whole pixel of the pane. Nothing is
//! left to the renderer's rounding.

use evidence::place::point::Pixel;
use footage::show::pixel_aspect::PixelAspect;
use footage::show::view::{Part, fitted};

/// How a camera's picture is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Sight {
    /// Pixels of the screen for the shorter side of a pixel of the picture; 0 shows the whole picture.
    zoom: u32,
    /// The first pixel seen, across and down.
    corner: (u32, u32),
}

/// Where a picture stands in a pane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Window {
    /// The part of the picture that is seen.
    pub part: Part,
    /// Its size in the pane, in pixels of the screen.
    pub size: (u32, u32),
    /// Its corner in the pane, in pixels of the screen.
    pub at: (u32, u32),
}

/// Sizes of a picture and its pane, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Sizes {
    pub own: (u32, u32),
    pub pixel: PixelAspect,
    pub room: (u32, u32),
}

/// Zoom steps.
const ZOOMS: [u32; 10] = [1, 2, 3, 4, 6, 8, 12, 16, 24, 32];

impl Sight {
    /// Pixels of the screen for the shorter side of a pixel of the picture; `None` if the whole picture is seen.
    pub(crate) fn zoom(self) -> Option<u32> {
        (self.zoom > 0).then_some(self.zoom)
    }

    pub(crate) fn window(self, Sizes { own, pixel, room }: Sizes) -> Window {
        let middle = |room: u32, size: u32| room.saturating_sub(size) / 2;
        if self.zoom == 0 {
            let size = fitted(pixel.stretched(own), room);
            let at = (middle(room.0, size.0), middle(room.1, size.1));
            return Window { part: Part::whole(own), size, at };
        }
        let side = |own: u32, room: u32| (room / self.zoom).clamp(1, own.max(1));
        let fits = pixel.within(room);
        let (width, height) = (side(own.0, fits.0), side(own.1, fits.1));
        let from = |corner: u32, own: u32, side: u32| corner.min(own.saturating_sub(side));
        let (x, y) = (from(self.corner.0, own.0, width), from(self.corner.1, own.1, height));
        let size = pixel.stretched((width * self.zoom, height * self.zoom));
        let at = (middle(room.0, size.0), middle(room.1, size.1));
        Window { part: Part { x, y, width, height }, size, at }
    }

    /// Zooms in (positive steps) or out. The place of the pane at `at` keeps its pixel.
    pub(crate) fn zoomed(self, steps: i32, at: (f64, f64), sizes: Sizes) -> Sight {
        let hold = self.window(sizes).pixel(at);
        let mut zoom = self.zoom;
        for _ in 0..steps.unsigned_abs().min(ZOOMS.len() as u32) {
            zoom = if steps > 0 { nearer(zoom, sizes) } else { farther(zoom, sizes) };
        }
        Sight { zoom, ..self }.with(hold, at, sizes)
    }

    /// Moves the picture so that the pixel `hold` is at the place `at` of the pane, as closely as whole pixels allow.
    pub(crate) fn with(self, hold: Pixel, at: (f64, f64), sizes: Sizes) -> Sight {
        if self.zoom == 0 {
            return Sight::default();
        }
        let window = self.window(sizes);
        // The corner moves by the distance between the pixel that is there now and the one that should be.
        let now = window.pixel(at);
        let corner = |first: u32, by: f64, own: u32, side: u32| {
            (f64::from(first) + by).round().clamp(0.0, f64::from(own.saturating_sub(side))) as u32
        };
        let Part { x, y, width, height } = window.part;
        let corner =
            (corner(x, hold.x - now.x, sizes.own.0, width), corner(y, hold.y - now.y, sizes.own.1, height));
        Sight { corner, ..self }
    }

    /// Moves by shares of the pane, as the keys do.
    pub(crate) fn panned(self, (across, down): (f64, f64), sizes: Sizes) -> Sight {
        let (x, y) = (f64::from(sizes.room.0) / 2.0, f64::from(sizes.room.1) / 2.0);
        let hold = self.window(sizes).pixel((x, y));
        let to = (x - across * f64::from(sizes.room.0), y - down * f64::from(sizes.room.1));
        self.with(hold, to, sizes)
    }
}

/// Pixels of the screen for the shorter side of a pixel of the picture if the whole picture is seen; may be below 1.
fn whole(sizes: Sizes) -> f64 {
    let (across, down) = sizes.pixel.stretched(sizes.own);
    f64::from(fitted((across, down), sizes.room).0) / f64::from(across.max(1))
}

fn nearer(zoom: u32, sizes: Sizes) -> u32 {
    let now = if zoom == 0 { whole(sizes) } else { f64::from(zoom) };
    ZOOMS.into_iter().find(|next| f64::from(*next) > now + 1e-9).unwrap_or(zoom)
}

fn farther(zoom: u32, sizes: Sizes) -> u32 {
    let larger = |next: &u32| *next < zoom && f64::from(*next) > whole(sizes) + 1e-9;
    ZOOMS.into_iter().rev().find(larger).unwrap_or(0)
}

impl Window {
    /// The place in the pane, in pixels of the screen, of a place in the picture. The first pixel seen has its middle
    /// half its size from the edge.
    pub(crate) fn place(&self, pixel: Pixel) -> (f64, f64) {
        let along = |value: f64, from: u32, side: u32, size: u32, at: u32| {
            f64::from(at) + (value + 0.5 - f64::from(from)) * f64::from(size) / f64::from(side.max(1))
        };
        let Part { x, y, width, height } = self.part;
        (along(pixel.x, x, width, self.size.0, self.at.0), along(pixel.y, y, height, self.size.1, self.at.1))
    }

    /// The place in the picture of a place in the pane.
    pub(crate) fn pixel(&self, (across, down): (f64, f64)) -> Pixel {
        let along = |value: f64, from: u32, side: u32, size: u32, at: u32| {
            (value - f64::from(at)) * f64::from(side) / f64::from(size.max(1)) + f64::from(from) - 0.5
        };
        let Part { x, y, width, height } = self.part;
        Pixel::new(
            along(across, x, width, self.size.0, self.at.0),
            along(down, y, height, self.size.1, self.at.1),
        )
    }

    /// Whether a place of the pane lies in the picture.
    pub(crate) fn holds(&self, (across, down): (f64, f64)) -> bool {
        let inside = |value: f64, at: u32, size: u32| {
            value >= f64::from(at) && value < f64::from(at) + f64::from(size)
        };
        inside(across, self.at.0, self.size.0) && inside(down, self.at.1, self.size.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZES: Sizes = Sizes { own: (1280, 720), pixel: PixelAspect::SQUARE, room: (806, 414) };

    fn steps(count: i32, at: (f64, f64)) -> Sight {
        Sight::default().zoomed(count, at, SIZES)
    }

    /// 1280 × 720 into 806 × 414 is 736 × 414, 35 px from the left; then pixels of 1, 2, 3 and 4.
    #[test]
    fn the_whole_picture_fits_and_each_step_makes_pixels_whole() {
        let whole = Sight::default().window(SIZES);
        assert_eq!((whole.size, whole.at), ((736, 414), (35, 0)));
        for (count, zoom) in [(1, 1), (2, 2), (3, 3), (4, 4), (5, 6), (30, 32)] {
            let sight = steps(count, (400.0, 200.0));
            assert_eq!(sight.zoom(), Some(zoom));
            let window = sight.window(SIZES);
            assert_eq!(window.size, (window.part.width * zoom, window.part.height * zoom));
            assert!(window.size.0 <= 806 && window.size.1 <= 414, "{window:?}");
            assert!(window.part.is_within(SIZES.own), "{window:?}");
        }
        let back = steps(4, (400.0, 200.0)).zoomed(-4, (10.0, 10.0), SIZES);
        assert_eq!(back.zoom(), None);
    }

    #[test]
    fn what_is_under_the_pointer_stays_there_to_a_pixel() {
        for at in [(100.0, 300.0), (403.0, 207.0), (700.0, 50.0)] {
            let before = Sight::default().window(SIZES).pixel(at);
            for count in 1..10 {
                let window = steps(count, at).window(SIZES);
                let after = window.pixel(at);
                let off = (after.x - before.x).abs().max((after.y - before.y).abs());
                let edge = window.part.x == 0 || window.part.y == 0;
                assert!(off <= 0.5 + 1e-9 || edge, "{count} steps: {before:?} became {after:?}");
            }
        }
    }

    /// There and back is the same place; a pixel's place is the middle of its block.
    #[test]
    fn a_place_goes_to_the_pane_and_back() {
        for count in 0..8 {
            let window = steps(count, (333.0, 111.0)).window(SIZES);
            for pixel in [Pixel::new(0.0, 0.0), Pixel::new(640.3, 359.9), Pixel::new(1279.0, 719.0)] {
                let back = window.pixel(window.place(pixel));
                assert!((back.x - pixel.x).abs() < 1e-9 && (back.y - pixel.y).abs() < 1e-9);
            }
        }
        let window = steps(4, (333.0, 111.0)).window(SIZES);
        let first = Pixel::new(f64::from(window.part.x), f64::from(window.part.y));
        assert_eq!(window.place(first), (f64::from(window.at.0) + 2.0, f64::from(window.at.1) + 2.0));
    }

    /// 1440 × 1080 of 4:3 is 1920 × 1080 in square pixels: 736 × 414 in the pane, as any picture of 16:9. Turned on its
    /// side, stored pixels are higher than wide.
    #[test]
    fn pixels_that_are_not_square_are_shown_in_their_shape_and_found_again() {
        let shape = PixelAspect::new(4, 3).expect("a shape");
        for (own, pixel, whole) in
            [((1440, 1080), shape, (736, 414)), ((1080, 1440), shape.transposed(), (232, 414))]
        {
            let sizes = Sizes { own, pixel, room: (806, 414) };
            assert_eq!(Sight::default().window(sizes).size, whole);
            for count in 0..9 {
                let at = (333.0, 111.0);
                let window = Sight::default().zoomed(count, at, sizes).window(sizes);
                assert!(window.size.0 <= 806 && window.size.1 <= 414, "{window:?}");
                assert!(window.part.is_within(own), "{window:?}");
                let (across, down) = (window.size.0 * window.part.height, window.size.1 * window.part.width);
                let ratio = f64::from(across) / f64::from(down);
                let wanted = if own.0 > own.1 { 4.0 / 3.0 } else { 3.0 / 4.0 };
                assert!((ratio / wanted - 1.0).abs() < 0.01, "{count} steps: {window:?}");
                for pixel in [Pixel::new(0.0, 0.0), Pixel::new(640.3, 359.9), Pixel::new(1079.0, 719.0)] {
                    let back = window.pixel(window.place(pixel));
                    assert!((back.x - pixel.x).abs() < 1e-9 && (back.y - pixel.y).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn a_picture_is_never_moved_out_of_its_pane() {
        let near = steps(5, (400.0, 200.0));
        for by in [(100.0, 100.0), (-100.0, -100.0)] {
            let window = near.panned(by, SIZES).window(SIZES);
            assert!(window.part.is_within(SIZES.own), "{window:?}");
        }
        let odd = Sizes { own: (1, 1), pixel: PixelAspect::SQUARE, room: (0, 0) };
        assert!(near.window(odd).part.is_within(odd.own));
    }
}
