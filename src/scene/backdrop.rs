//! What a camera sees of the hall without anybody in it, looked at once.

use super::hall::board::Says;
use super::hall::{Colour, Hall};
use super::rig::Station;
use super::space::direction;
use crate::proof::place::Pixel;
use nalgebra::Vector3;
use rayon::prelude::*;

/// A picture of the empty hall, with what is needed to put bodies into it.
#[derive(Debug, Clone)]
pub struct Backdrop {
    /// Width and height in pixels.
    pub size: (usize, usize),
    /// Red, green, blue, row by row.
    pub rgb: Vec<[u8; 3]>,
    /// Depth along the camera's axis, in yards.
    pub depth: Vec<f32>,
    /// The place on the ground that a pixel shows, in yards; not a number where it shows something else.
    pub ground: Vec<[f32; 2]>,
    /// The pixels that show a scoreboard, in order: which, and where on its face, for each of its samples.
    pub board: Vec<(usize, Vec<Sample>)>,
}

/// One look at a scoreboard: its place there, or the colour of what is beside it.
#[derive(Debug, Clone, Copy)]
pub enum Sample {
    /// On its face.
    Face(f64, f64),
    /// Beside it.
    Beside(Colour),
}

/// Places within a pixel, as shares of it: its middle, and two beside it.
const SAMPLES: [(f64, f64); 3] = [(0.0, 0.0), (-0.3, 0.22), (0.3, -0.22)];
/// More of them where the first ones differ.
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
    /// Looks at the hall through a camera.
    pub fn new(hall: &Hall, station: &Station) -> Backdrop {
        let (width, height) = station.mounted.size;
        let axis = station.camera.rotation.inverse() * Vector3::z();
        let cells: Vec<Cell> = (0..width * height)
            .into_par_iter()
            .with_min_len(width)
            .map(|index| cell(hall, station, axis, (index % width, index / width)))
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

    /// The colour of a pixel of the scoreboard while it says this.
    pub fn board_rgb(samples: &[Sample], says: &Says, gain: f64) -> [u8; 3] {
        let colours = samples.iter().map(|sample| match sample {
            Sample::Face(across, up) => says.colour(*across, *up).map(|part| part * gain as f32),
            Sample::Beside(colour) => *colour,
        });
        rgb(mean(&colours.collect::<Vec<_>>()))
    }
}

fn cell(hall: &Hall, station: &Station, axis: Vector3<f64>, (x, y): (usize, usize)) -> Cell {
    let gain = station.mounted.gain as f32;
    let from = station.camera.position.vector();
    let look = |(dx, dy): (f64, f64)| {
        let pixel = Pixel::new(x as f64 + dx, y as f64 + dy);
        // Where the lens shows nothing the picture is black.
        station.camera.ray(pixel).map(|ray| (hall.look(from, direction(ray.toward, axis)), ray.toward))
    };
    let mut cell = Cell { rgb: [0; 3], depth: f32::INFINITY, ground: [f32::NAN; 2], board: None };
    let mut samples = Vec::with_capacity(SAMPLES.len());
    let mut colours = Vec::with_capacity(SAMPLES.len() + MORE.len());
    let mut on_board = false;
    for (number, at) in SAMPLES.into_iter().enumerate() {
        let Some((seen, toward)) = look(at) else { continue };
        let colour = seen.colour.map(|part| part * gain);
        if number == 0 {
            cell.depth = (seen.far * toward.dot(&axis)) as f32;
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
