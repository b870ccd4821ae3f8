//! A finished picture: planes of luma and colour difference, the sensor's noise and the recorder's stamp.

use super::dice::Dice;
use super::glyph;
use openh264::formats::YUVSource;

/// A picture in 4:2:0, ITU-R BT.709, limited range; the planes have no gaps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Width and height in pixels, even.
    pub size: (usize, usize),
    /// Luma.
    pub y: Vec<u8>,
    /// Blue difference.
    pub u: Vec<u8>,
    /// Red difference.
    pub v: Vec<u8>,
}

impl Picture {
    /// Converts from red, green, blue.
    pub fn of(size: (usize, usize), rgb: &[[u8; 3]]) -> Picture {
        let (width, height) = size;
        let quarter = width / 2 * (height / 2);
        let mut picture =
            Picture { size, y: vec![16; width * height], u: vec![128; quarter], v: vec![128; quarter] };
        picture.set(rgb, (0, 0, width, height));
        picture
    }

    /// Sets a rectangle from red, green, blue: left, top, right, bottom, all even, the last two exclusive.
    pub fn set(&mut self, rgb: &[[u8; 3]], (left, top, right, bottom): (usize, usize, usize, usize)) {
        let width = self.size.0;
        for y in (top..bottom).step_by(2) {
            for x in (left..right).step_by(2) {
                let mut sum = [0i32; 3];
                for index in [y * width + x, y * width + x + 1, (y + 1) * width + x, (y + 1) * width + x + 1]
                {
                    let (Some(pixel), Some(luma)) = (rgb.get(index), self.y.get_mut(index)) else { continue };
                    let [r, g, b] = pixel.map(i32::from);
                    *luma = (16 + ((47 * r + 157 * g + 16 * b + 128) >> 8)) as u8;
                    sum = [sum[0] + r, sum[1] + g, sum[2] + b];
                }
                let [r, g, b] = sum;
                let at = y / 2 * (width / 2) + x / 2;
                // The sums are of four pixels.
                if let (Some(u), Some(v)) = (self.u.get_mut(at), self.v.get_mut(at)) {
                    *u = (128 + ((-26 * r - 86 * g + 112 * b + 512) >> 10)) as u8;
                    *v = (128 + ((112 * r - 102 * g - 10 * b + 512) >> 10)) as u8;
                }
            }
        }
    }

    /// Red, green, blue of every pixel, for a screen.
    pub fn rgb(&self) -> Vec<[u8; 3]> {
        let (width, height) = self.size;
        let pixel = |index: usize| {
            let (x, y) = (index % width, index / width);
            let at = y / 2 * (width / 2) + x / 2;
            let of = |plane: &[u8], at: usize| f32::from(plane.get(at).copied().unwrap_or(128));
            let (l, u, v) =
                (1.164 * (of(&self.y, index) - 16.0), of(&self.u, at) - 128.0, of(&self.v, at) - 128.0);
            [l + 1.793 * v, l - 0.213 * u - 0.533 * v, l + 2.112 * u].map(|part| part.clamp(0.0, 255.0) as u8)
        };
        (0..width * height).map(pixel).collect()
    }

    /// Writes the recorder's stamp into the lower left corner.
    pub fn stamp(&mut self, text: &str) {
        let (width, height) = self.size;
        let dot = (height / 360).max(1);
        let (wide, high) = ((glyph::width(text) + 4) * dot, (glyph::CELL.1 + 4) * dot);
        for row in 0..high.min(height) {
            for column in 0..wide.min(width) {
                let (x, y) = ((column / dot) as i32 - 2, (row / dot) as i32 - 2);
                let index = (height - high.min(height) + row) * width + column;
                if let Some(luma) = self.y.get_mut(index) {
                    *luma = if glyph::inked(text, x, y) { 208 } else { *luma / 3 + 10 };
                }
            }
        }
    }
}

impl YUVSource for Picture {
    fn dimensions(&self) -> (usize, usize) {
        self.size
    }

    fn strides(&self) -> (usize, usize, usize) {
        (self.size.0, self.size.0 / 2, self.size.0 / 2)
    }

    fn y(&self) -> &[u8] {
        &self.y
    }

    fn u(&self) -> &[u8] {
        &self.u
    }

    fn v(&self) -> &[u8] {
        &self.v
    }
}

/// The noise of one camera: a long strip of normal numbers, added to each row from a random place on.
#[derive(Debug, Clone)]
pub struct Noise {
    strip: Vec<i8>,
}

const STRIP: usize = 1 << 15;

impl Noise {
    /// Noise with this standard deviation, in grey levels.
    pub fn new(deviation: f64, seed: u64) -> Noise {
        let mut dice = Dice::new(seed);
        let one = |dice: &mut Dice| (dice.normal() * deviation).round().clamp(-100.0, 100.0) as i8;
        Noise { strip: (0..STRIP).map(|_| one(&mut dice)).collect() }
    }

    /// Adds noise to a picture, different for every `seed`. Colour gets half of it.
    pub fn over(&self, picture: &mut Picture, seed: u64) {
        let mut dice = Dice::new(seed);
        let width = picture.size.0.min(STRIP / 2);
        let Picture { y, u, v, .. } = picture;
        for (plane, row, half) in [(y, width, false), (u, width / 2, true), (v, width / 2, true)] {
            for line in plane.chunks_mut(row.max(1)) {
                let from = (dice.bits() as usize) % (STRIP - width);
                let Some(noise) = self.strip.get(from..from + line.len()) else { continue };
                for (value, grain) in line.iter_mut().zip(noise) {
                    let grain = if half { i16::from(*grain) / 2 } else { i16::from(*grain) };
                    *value = (i16::from(*value) + grain).clamp(0, 255) as u8;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ITU-R BT.709 in limited range: black 16, white 235, and the primaries' luma and difference as tabulated.
    #[test]
    fn colours_are_those_of_the_standard() {
        for (rgb, y, u, v) in [
            ([0, 0, 0], 16, 128, 128),
            ([255, 255, 255], 235, 128, 128),
            ([255, 0, 0], 63, 102, 240),
            ([0, 255, 0], 173, 42, 26),
            ([0, 0, 255], 32, 240, 118),
        ] {
            let picture = Picture::of((2, 2), &[rgb; 4]);
            let near = |a: u8, b: u8| a.abs_diff(b) <= 1;
            let found = (picture.y[0], picture.u[0], picture.v[0]);
            assert!(near(found.0, y) && near(found.1, u) && near(found.2, v), "{rgb:?}: {found:?}");
            let back = picture.rgb()[0];
            assert!(back.iter().zip(rgb).all(|(a, b)| a.abs_diff(b) <= 5), "{rgb:?}: {back:?}");
        }
    }

    #[test]
    fn noise_has_its_deviation_and_follows_its_seed() {
        let mut picture = Picture::of((640, 360), &vec![[128; 3]; 640 * 360]);
        let clean = picture.clone();
        Noise::new(4.0, 1).over(&mut picture, 9);
        let off: Vec<f64> =
            picture.y.iter().zip(&clean.y).map(|(a, b)| f64::from(*a) - f64::from(*b)).collect();
        let deviation = (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt();
        assert!((deviation - 4.0).abs() < 0.15, "{deviation}");
        let mut again = clean.clone();
        Noise::new(4.0, 1).over(&mut again, 9);
        assert_eq!(again, picture);
        again = clean;
        Noise::new(4.0, 1).over(&mut again, 10);
        assert_ne!(again, picture);
    }
}
