//! Draws the pieces of a moment over the empty hall, with a depth for every pixel.
//!
//! A piece is drawn as it looks from afar: two discs and the area between them, shaded as if round. That is exact for
//! balls in the middle of the picture, off by less than a pixel for limbs at the size they have here, and costs a few
//! nanoseconds for each pixel.

use super::figure::{Piece, Shade, Shirt};
use super::glyph;
use super::hall::Colour;
use super::rig::Station;
use super::space::{Point, UP};
use evidence::place::point::{Pixel, Space};
use nalgebra::Vector3;

type V = Vector3<f32>;

/// A piece projected into a picture.
#[derive(Debug, Clone)]
pub(crate) struct Flat {
    /// Ends in pixels.
    a: (f32, f32),
    b: (f32, f32),
    /// Radii in pixels.
    radii: (f32, f32),
    /// Ends along the camera's axes, and radii, in yards.
    seen: (V, V),
    round: (f32, f32),
    colour: Colour,
    gloss: f32,
    shirt: Option<FlatShirt>,
    /// A lower bound of its depth, for an early test.
    nearest: f32,
}

#[derive(Debug, Clone)]
struct FlatShirt {
    middle: V,
    axes: [V; 3],
    text: String,
    colour: Colour,
}

/// The hall's light, with directions along the camera's axes.
#[derive(Debug, Clone, Copy)]
pub struct Light {
    up: V,
    key: V,
    shine: V,
    gain: f32,
}

/// A rectangle of pixels: left, top, right, bottom, all inclusive.
pub(crate) type Rect = (usize, usize, usize, usize);

impl Light {
    /// The light for this camera.
    pub fn new(station: &Station) -> Light {
        let turn = |of: Point| (station.camera.rotation * of).cast::<f32>();
        let key = turn(Point::new(0.25, -0.45, 0.85).normalize());
        let up = turn(UP);
        let shine = (up + V::new(0.0, 0.0, -1.0)).normalize();
        Light { up, key, shine, gain: station.mounted.gain as f32 }
    }

    /// The light and shine on a surface with this `normal`.
    fn on(&self, normal: V) -> (f32, f32) {
        let above = 0.5 + 0.5 * normal.dot(&self.up);
        let light = 0.34 + 0.46 * above + 0.30 * normal.dot(&self.key).max(0.0);
        let mut shine = normal.dot(&self.shine).max(0.0);
        shine *= shine;
        shine *= shine;
        shine *= shine;
        (light, shine * shine)
    }
}

/// Projects a piece into a picture; `None` behind the camera or outside the picture.
pub fn flatten(piece: &Piece, shirts: &[Shirt], station: &Station) -> Option<Flat> {
    let camera = &station.camera;
    let end = |(place, radius): (Point, f64)| {
        let space = Space::from(place);
        let pixel = camera.project(space)?;
        let seen = camera.seen_from(space);
        // The lens may stretch the picture there, so the radius is measured in the picture.
        let beside = place + camera.rotation.inverse() * Vector3::new(radius, 0.0, 0.0);
        let edge = camera.project(Space::from(beside))?;
        let across = ((edge.x - pixel.x).powi(2) + (edge.y - pixel.y).powi(2)).sqrt();
        (seen.z > 0.3).then_some(((pixel.x as f32, pixel.y as f32), across as f32, seen.cast::<f32>()))
    };
    let (a, ra, seen_a) = end(piece.a)?;
    let (b, rb, seen_b) = end(piece.b)?;
    let turn = |of: Point| (camera.rotation * of).cast::<f32>();
    let shirt = piece.shirt.and_then(|shirt| shirts.get(shirt)).map(|shirt| FlatShirt {
        middle: camera.seen_from(Space::from(shirt.middle)).cast::<f32>(),
        axes: shirt.axes.map(turn),
        text: shirt.text.clone(),
        colour: shirt.colour,
    });
    let round = (piece.a.1 as f32, piece.b.1 as f32);
    let nearest = (seen_a.z - round.0).min(seen_b.z - round.1);
    let (colour, gloss) = (piece.colour, piece.gloss);
    Some(Flat { a, b, radii: (ra, rb), seen: (seen_a, seen_b), round, colour, gloss, shirt, nearest })
}

impl Flat {
    /// The pixels that the piece may touch; `None` outside the picture.
    pub fn bounds(&self, size: (usize, usize)) -> Option<Rect> {
        let reach = |a: f32, b: f32| {
            ((a - self.radii.0).min(b - self.radii.1) - 1.0, (a + self.radii.0).max(b + self.radii.1) + 1.0)
        };
        let (x, y) = (reach(self.a.0, self.b.0), reach(self.a.1, self.b.1));
        clipped((x.0, y.0, x.1, y.1), size)
    }

    /// Draws the piece where it is nearer than what is there; `shift` moves the picture by parts of a pixel.
    pub fn draw(&self, layer: &mut Layer<'_>, shift: (f32, f32), light: &Light) {
        let Some((left, top, right, bottom)) = self.bounds(layer.size) else { return };
        let (dx, dy) = (self.b.0 - self.a.0, self.b.1 - self.a.1);
        let length = dx * dx + dy * dy;
        let scale = if length > 1e-6 { 1.0 / length } else { 0.0 };
        let grows = self.radii.1 - self.radii.0;
        for y in top..=bottom {
            let qy = y as f32 + shift.1 - self.a.1;
            let row = y * layer.size.0;
            let (from, to) = self.span(qy, (dx, dy));
            let from = (from - shift.0).max(left as f32) as usize;
            let to = (to - shift.0).min(right as f32).max(0.0) as usize;
            for x in from..=to {
                let qx = x as f32 + shift.0 - self.a.0;
                let along = ((qx * dx + qy * dy) * scale).clamp(0.0, 1.0);
                let radius = self.radii.0 + grows * along;
                let (ex, ey) = (qx - dx * along, qy - dy * along);
                let off = ex * ex + ey * ey;
                if off >= radius * radius {
                    continue;
                }
                let index = row + x;
                let (Some(depth), Some(rgb)) = (layer.depth.get_mut(index), layer.rgb.get_mut(index)) else {
                    continue;
                };
                if *depth < self.nearest {
                    continue;
                }
                let out = (1.0 - off / (radius * radius)).sqrt();
                let round = self.round.0 + (self.round.1 - self.round.0) * along;
                let z = self.seen.0.z + (self.seen.1.z - self.seen.0.z) * along - out * round;
                if z >= *depth {
                    continue;
                }
                *depth = z;
                *rgb = self.shaded(V::new(ex / radius, ey / radius, -out), along, round, light);
            }
        }
    }

    /// The columns that the piece can touch in a row `qy` below its first end: only a part for a slanted limb.
    fn span(&self, qy: f32, (dx, dy): (f32, f32)) -> (f32, f32) {
        let reach = self.radii.0.max(self.radii.1) + 1.0;
        let part = |off: f32| ((qy + off) / dy).clamp(0.0, 1.0);
        let (a, b) = if dy.abs() > 1e-3 { (part(-reach) * dx, part(reach) * dx) } else { (0.0, dx) };
        (self.a.0 + a.min(b) - reach, self.a.0 + a.max(b) + reach + 1.0)
    }

    fn shaded(&self, normal: V, along: f32, round: f32, light: &Light) -> [u8; 3] {
        let mut colour = self.colour;
        if let Some(shirt) = &self.shirt {
            let place = self.seen.0 + (self.seen.1 - self.seen.0) * along + normal * round;
            if shirt.inked(place, normal) {
                colour = shirt.colour;
            }
        }
        let (bright, shine) = light.on(normal);
        let shine = shine * self.gloss;
        colour.map(|part| (((part * bright + shine) * light.gain) * 255.0 + 0.5).clamp(0.0, 255.0) as u8)
    }
}

impl FlatShirt {
    /// Whether the number is printed at a place: on the chest, and on the back, where left and right are swapped.
    fn inked(&self, place: V, normal: V) -> bool {
        let [right, front, up] = self.axes;
        let facing = normal.dot(&front);
        if facing.abs() < 0.35 {
            return false;
        }
        let from = place - self.middle;
        let (across, rise) = (from.dot(&right) * -facing.signum(), from.dot(&up));
        const HIGH: f64 = 0.27;
        let wide = glyph::width(&self.text) as f64 * HIGH / 7.0;
        glyph::painted(&self.text, HIGH, f64::from(across) + wide / 2.0, f64::from(rise) + HIGH / 2.0 - 0.02)
    }
}

/// The target of drawing: one layer of colour and depth.
#[derive(Debug)]
pub struct Layer<'a> {
    /// Width and height in pixels.
    pub size: (usize, usize),
    /// Row by row.
    pub rgb: &'a mut [[u8; 3]],
    /// In yards.
    pub depth: &'a mut [f32],
}

/// The pixels that a shadow may darken; `None` outside the picture.
pub(crate) fn shade_bounds(shade: &Shade, station: &Station) -> Option<Rect> {
    let r = shade.radius;
    let (x0, x1) = (shade.a.0.min(shade.b.0) - r, shade.a.0.max(shade.b.0) + r);
    let (y0, y1) = (shade.a.1.min(shade.b.1) - r, shade.a.1.max(shade.b.1) + r);
    let mut bounds = (f32::INFINITY, f32::INFINITY, f32::NEG_INFINITY, f32::NEG_INFINITY);
    for (x, y) in [(x0, y0), (x1, y0), (x0, y1), (x1, y1)] {
        let Pixel { x, y } = station.camera.project(Space::new(x, y, 0.0))?;
        let (x, y) = (x as f32, y as f32);
        bounds = (bounds.0.min(x), bounds.1.min(y), bounds.2.max(x), bounds.3.max(y));
    }
    clipped(bounds, station.mounted.size)
}

/// How dark a shadow makes a place on the ground, from 0 to 1.
pub(crate) fn darkness(shade: &Shade, x: f32, y: f32) -> f32 {
    let (ax, ay) = (shade.a.0 as f32, shade.a.1 as f32);
    let (dx, dy) = (shade.b.0 as f32 - ax, shade.b.1 as f32 - ay);
    let length = dx * dx + dy * dy;
    let along = if length > 1e-9 { (((x - ax) * dx + (y - ay) * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
    let (ex, ey) = (x - ax - dx * along, y - ay - dy * along);
    let part = 1.0 - (ex * ex + ey * ey) / (shade.radius * shade.radius) as f32;
    if part > 0.0 { shade.dark as f32 * part * part } else { 0.0 }
}

fn clipped(
    (left, top, right, bottom): (f32, f32, f32, f32),
    (width, height): (usize, usize),
) -> Option<Rect> {
    let (most_x, most_y) = (width as f32 - 1.0, height as f32 - 1.0);
    // NaN fails every comparison and counts as outside.
    let inside = right >= 0.0 && bottom >= 0.0 && left <= most_x && top <= most_y;
    inside.then(|| {
        let low = |edge: f32| edge.floor().max(0.0) as usize;
        let high = |edge: f32, most: f32| edge.ceil().min(most) as usize;
        (low(left), low(top), high(right, most_x), high(bottom, most_y))
    })
}
