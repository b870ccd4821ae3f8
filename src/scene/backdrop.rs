//! What a camera sees of the empty hall, rendered once.

use super::hall::board::BoardText;
use super::hall::{Colour, Hall};
use super::rig::Station;
use super::space::direction;
use evidence::place::lens::Lens;
use evidence::place::point::Pixel;
use nalgebra::{Matrix3, Vector3};
use rayon::prelude::*;

/// A picture of the empty hall, with what is needed to draw bodies into it.
#[derive(Debug, Clone)]
pub struct Backdrop {
    /// Width and height in pixels.
    pub size: (usize, usize),
    /// Red, green, blue, row by row.
    pub rgb: Vec<[u8; 3]>,
    /// Depth along the camera's axis, in yards.
    pub depth: Vec<f32>,
    /// The place on the ground that a pixel shows, in yards; NaN where it shows something else.
    pub ground: Vec<[f32; 2]>,
    /// The pixels that show a scoreboard, in order: index, and the samples of the pixel.
    pub board: Vec<(usize, Vec<Sample>)>,
}

/// One sample of a pixel that shows a scoreboard.
#[derive(Debug, Clone, Copy)]
pub enum Sample {
    /// Place on its face, from its lower left, as shares of its width and height.
    Face(f64, f64),
    /// The colour of what is beside it.
    Beside(Colour),
}

/// Sampled places of a pixel, relative to its middle, as shares of its size.
const SAMPLES: [(f64, f64); 3] = [(0.0, 0.0), (-0.3, 0.22), (0.3, -0.22)];
/// More samples, for pixels whose first ones differ.
const MORE: [(f64, f64); 8] = [
    (-0.4, -0.4),
    (0.4, 0.4),
    (-0.4, 0.05),
    (0.4, -0.05),
    (-0.12, -0.2),
    (0.12, 0.2),
    (-0.05, 0.42),
    (0.05, -0.42),
];

struct Cell {
    rgb: [u8; 3],
    depth: f32,
    ground: [f32; 2],
    board: Option<Vec<Sample>>,
}

impl Backdrop {
    /// Renders the hall through a camera.
    pub fn new(hall: &Hall, station: &Station) -> Backdrop {
        let (width, height) = station.mounted.size;
        let rays = Rays::new(station);
        let cells: Vec<Cell> = (0..width * height)
            .into_par_iter()
            .with_min_len(width)
            .map(|index| cell(hall, station, &rays, (index % width, index / width)))
            .collect();
        let board = cells.iter().enumerate();
        Backdrop {
            size: (width, height),
            board: board.filter_map(|(at, cell)| Some((at, cell.board.clone()?))).collect(),
            rgb: cells.iter().map(|cell| cell.rgb).collect(),
            depth: cells.iter().map(|cell| cell.depth).collect(),
            ground: cells.iter().map(|cell| cell.ground).collect(),
        }
    }

    /// The colour of a pixel of the scoreboard while it shows this text.
    pub(crate) fn board_rgb(samples: &[Sample], says: &BoardText, gain: f64) -> [u8; 3] {
        let colours = samples.iter().map(|sample| match sample {
            Sample::Face(across, up) => says.colour(*across, *up).map(|part| part * gain as f32),
            Sample::Beside(colour) => *colour,
        });
        rgb(mean(&colours.collect::<Vec<_>>()))
    }
}

/// The directions of a camera's pixels. A lens is symmetric around its centre, so it is evaluated once for a row of
/// distances and interpolated: to a millionth of a pixel, in a tenth of the time.
struct Rays {
    turn: Matrix3<f64>,
    axis: Vector3<f64>,
    lens: Lens,
    /// The factor of the lens for a distance from its centre; `None` where it shows nothing.
    scales: Vec<Option<f64>>,
    /// Entries of `scales` for one pixel.
    each: f64,
}

impl Rays {
    fn new(station: &Station) -> Rays {
        const EACH: f64 = 8.0;
        let (width, height) = station.mounted.size;
        let (lens, rotation) = (station.camera.lens, station.camera.rotation.inverse());
        let entries = ((width as f64).hypot(height as f64) * EACH) as usize + 2;
        let scale = |entry: usize| {
            let off = (entry as f64 / EACH).max(1e-6);
            let ideal = lens.undistort(Pixel::new(lens.center.x + off, lens.center.y))?;
            Some(ideal.x * lens.focal_px / off)
        };
        Rays {
            turn: *rotation.matrix(),
            axis: rotation * Vector3::z(),
            lens,
            scales: (0..entries).map(scale).collect(),
            each: EACH,
        }
    }

    /// The direction of a place in the picture; `None` where the lens shows nothing.
    fn at(&self, x: f64, y: f64) -> Option<Vector3<f64>> {
        let (dx, dy) = (x - self.lens.center.x, y - self.lens.center.y);
        let entry = dx.hypot(dy) * self.each;
        let scale = |entry: usize| self.scales.get(entry).copied().flatten();
        let (low, high) = (scale(entry as usize)?, scale(entry as usize + 1)?);
        let scale = (low + (high - low) * entry.fract()) / self.lens.focal_px;
        Some(direction(self.turn * Vector3::new(dx * scale, dy * scale, 1.0), self.axis))
    }
}

fn cell(hall: &Hall, station: &Station, rays: &Rays, (x, y): (usize, usize)) -> Cell {
    let gain = station.mounted.gain as f32;
    let from = station.camera.position.vector();
    let look = |(dx, dy): (f64, f64)| {
        // Where the lens shows nothing, the picture is black.
        let toward = rays.at(x as f64 + dx, y as f64 + dy)?;
        Some((hall.look(from, toward), toward))
    };
    let mut cell = Cell { rgb: [0; 3], depth: f32::INFINITY, ground: [f32::NAN; 2], board: None };
    let mut samples = Vec::with_capacity(SAMPLES.len());
    let mut colours = Vec::with_capacity(SAMPLES.len() + MORE.len());
    let mut on_board = false;
    for (number, at) in SAMPLES.into_iter().enumerate() {
        let Some((seen, toward)) = look(at) else { continue };
        let colour = seen.colour.map(|part| part * gain);
        if number == 0 {
            cell.depth = (seen.far * toward.dot(&rays.axis)) as f32;
            cell.ground = seen.ground.map_or([f32::NAN; 2], |(x, y)| [x as f32, y as f32]);
        }
        on_board |= seen.board.is_some();
        samples.push(seen.board.map_or(Sample::Beside(colour), |(across, up)| Sample::Face(across, up)));
        colours.push(colour);
    }
    if on_board {
        cell.board = Some(samples);
    } else if differ(&colours) {
        colours
            .extend(MORE.into_iter().filter_map(look).map(|(seen, _)| seen.colour.map(|part| part * gain)));
    }
    cell.rgb = rgb(mean(&colours));
    cell
}

fn differ(colours: &[Colour]) -> bool {
    let range = |part: usize| {
        let (low, high) = colours
            .iter()
            .map(|colour| colour[part])
            .fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
        high - low
    };
    (0..3).any(|part| range(part) > 0.10)
}

fn mean(colours: &[Colour]) -> Colour {
    let count = colours.len().max(1) as f32;
    [0, 1, 2].map(|part| colours.iter().map(|colour| colour[part]).sum::<f32>() / count)
}

fn rgb(colour: Colour) -> [u8; 3] {
    colour.map(|part| (part * 255.0 + 0.5).clamp(0.0, 255.0) as u8)
}

#[cfg(test)]
mod tests {
    use super::super::rig;
    use super::super::shipped::CAMERAS;
    use super::*;

    /// Against the camera itself, which solves for every pixel.
    #[test]
    fn a_pixel_looks_where_the_camera_says() {
        for station in rig::read(CAMERAS).expect("they are shipped") {
            let rays = Rays::new(&station);
            for (x, y) in [(0.0, 0.0), (639.5, 359.5), (640.1, 359.4), (1279.4, 719.3), (313.7, 600.2)] {
                let exact = station.camera.ray(Pixel::new(x, y)).map(|ray| ray.toward);
                let off = exact.zip(rays.at(x, y)).map(|(exact, read)| (exact - read).norm());
                let pixel = 1.0 / station.camera.lens.focal_px;
                assert!(
                    off.is_some_and(|off| off < 1e-5 * pixel),
                    "{} {x} {y}: {off:?}",
                    station.mounted.name
                );
            }
        }
    }
}
