//! One camera's pictures of a play: bodies over the empty hall, blurred by their own movement.
//!
//! A frame shows the instant at which its shutter closes. It is the mean of a few moments spread over the exposure
//! before that, each shifted by a part of a pixel, which also smooths edges. Only the tiles in which something moves
//! are drawn.

use super::action::Action;
use super::backdrop::Backdrop;
use super::figure::{self, Shade};
use super::hall::board::BoardText;
use super::paint::{self, Flat, Layer, Light, Rect};
use super::picture::{Noise, Picture};
use super::rig::Station;
use super::stamp::Stamp;
use std::sync::Arc;

/// The sub-pixel shift of each moment of an exposure.
const MOMENTS: [(f32, f32); 5] = [(-0.2, 0.4), (0.4, 0.0), (-0.4, -0.2), (0.0, 0.2), (0.2, -0.4)];
const TILE: usize = 16;

/// How a tile of a frame is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Touched {
    /// As the empty hall.
    Not,
    /// The ground is in a shadow, which is drawn once.
    Shaded,
    /// Something moves, so it is drawn for every moment.
    Moved,
}

/// Everything about a camera that does not change from frame to frame.
#[derive(Debug)]
pub struct View {
    pub station: Station,
    pub backdrop: Backdrop,
    light: Light,
    noise: Noise,
    /// The timecodes of its frames, if the camera's recorder writes them.
    pub stamp: Option<Stamp>,
    field: (f64, f64),
    seed: u64,
}

impl View {
    /// Prepares a camera in a hall. `seed` is the play's, so that every play has its own noise.
    pub fn new(hall: &super::hall::Hall, station: &Station, timecode: &str, seed: u64) -> View {
        let name = station.mounted.name.bytes();
        let seed = name.fold(seed, |seed, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte)));
        let nominal = station.rate.as_f64().round() as u64;
        View {
            station: station.clone(),
            backdrop: Backdrop::new(hall, station),
            light: Light::new(station),
            noise: Noise::new(station.mounted.noise, seed),
            stamp: Stamp::new(timecode, nominal),
            field: (hall.length, hall.width),
            seed,
        }
    }

    /// The timecode of a frame, as the camera's recorder writes it.
    pub fn label(&self, frame: u64) -> Option<String> {
        self.stamp.map(|stamp| stamp.label(frame))
    }
}

/// The buffers in which one thread draws a camera's frames.
#[derive(Debug)]
pub struct Canvas {
    view: Arc<View>,
    /// The hall with the text of the scoreboard, as colours and as planes.
    hall: Vec<[u8; 3]>,
    planes: Picture,
    shown: Option<BoardText>,
    layer: Vec<[u8; 3]>,
    shaded: Vec<[u8; 3]>,
    depth: Vec<f32>,
    sum: Vec<[u16; 3]>,
    dirty: Vec<Touched>,
}

impl Canvas {
    /// Allocates the buffers for one thread.
    pub fn new(view: Arc<View>) -> Canvas {
        let hall = view.backdrop.rgb.clone();
        let (width, height) = view.backdrop.size;
        let tiles = width.div_ceil(TILE) * height.div_ceil(TILE);
        Canvas {
            planes: Picture::of(view.backdrop.size, &hall),
            layer: hall.clone(),
            shaded: hall.clone(),
            depth: view.backdrop.depth.clone(),
            sum: vec![[0; 3]; hall.len()],
            dirty: vec![Touched::Not; tiles],
            shown: None,
            hall,
            view,
        }
    }

    /// Draws a frame.
    pub fn picture(&mut self, action: &Action, frame: u64) -> Picture {
        let view = Arc::clone(&self.view);
        let station = &view.station;
        let shows_s = station.shows_s(frame);
        self.show_board(BoardText::at(&action.play, shows_s));
        let open_s = station.mounted.exposure * station.rate.interval().as_f64();
        let moments = MOMENTS.len() as f64;
        let layers: Vec<Vec<Flat>> = (0..MOMENTS.len())
            .map(|number| shows_s - open_s * (1.0 - (number as f64 + 0.5) / moments))
            .map(|t| flats(action, t, station))
            .collect();
        let shades = self.shades(action, shows_s - open_s / 2.0);
        self.dirty.fill(Touched::Not);
        let moved = layers.iter().flatten().filter_map(|flat| flat.bounds(view.backdrop.size));
        shades.iter().for_each(|(_, bounds)| self.touch(*bounds, Touched::Shaded));
        moved.for_each(|bounds| self.touch(bounds, Touched::Moved));
        self.darken(&shades);
        for (flats, shift) in layers.iter().zip(MOMENTS) {
            self.each_row(Touched::Moved, |canvas, row| {
                canvas.layer[row.clone()].copy_from_slice(&canvas.shaded[row.clone()]);
                canvas.depth[row.clone()].copy_from_slice(&canvas.view.backdrop.depth[row]);
            });
            let size = view.backdrop.size;
            let mut layer = Layer { size, rgb: &mut self.layer, depth: &mut self.depth };
            flats.iter().for_each(|flat| flat.draw(&mut layer, shift, &view.light));
            self.each_row(Touched::Moved, |canvas, row| {
                let (sums, parts) =
                    (canvas.sum[row.clone()].as_flattened_mut(), canvas.layer[row].as_flattened());
                for (sum, part) in sums.iter_mut().zip(parts) {
                    *sum += u16::from(*part);
                }
            });
        }
        let mut picture = self.developed();
        view.noise.over(&mut picture, view.seed ^ frame.wrapping_mul(0x9E37_79B9));
        if let Some(label) = view.label(frame) {
            picture.stamp(&format!("{}  {label}", station.mounted.name.to_uppercase()));
        }
        picture
    }

    /// Redraws the scoreboard if its text has changed.
    fn show_board(&mut self, board: BoardText) {
        if self.shown.as_ref() == Some(&board) {
            return;
        }
        let view = Arc::clone(&self.view);
        for (index, samples) in &view.backdrop.board {
            if let Some(pixel) = self.hall.get_mut(*index) {
                *pixel = Backdrop::board_rgb(samples, &board, view.station.mounted.gain);
            }
        }
        if !view.backdrop.board.is_empty() {
            self.planes = Picture::of(view.backdrop.size, &self.hall);
        }
        self.shown = Some(board);
    }

    fn shades(&self, action: &Action, t: f64) -> Vec<(Shade, Rect)> {
        let mut shades = Vec::new();
        for pose in action.poses(t) {
            figure::shade(&pose, self.view.field, &mut shades);
        }
        figure::ball_shade(&action.ball(t), &mut shades);
        let bounds = |shade: Shade| paint::shade_bounds(&shade, &self.view.station).map(|rect| (shade, rect));
        shades.into_iter().filter_map(bounds).collect()
    }

    fn touch(&mut self, (left, top, right, bottom): Rect, how: Touched) {
        let across = self.view.backdrop.size.0.div_ceil(TILE);
        for row in top / TILE..=bottom / TILE {
            for column in left / TILE..=right / TILE {
                if let Some(dirty) = self.dirty.get_mut(row * across + column) {
                    *dirty = how.max(*dirty);
                }
            }
        }
    }

    /// Calls `each` with the range of every row of every tile that is touched at least as much as `how`.
    fn each_row(&mut self, how: Touched, mut each: impl FnMut(&mut Canvas, std::ops::Range<usize>)) {
        let (width, height) = self.view.backdrop.size;
        let across = width.div_ceil(TILE);
        for tile in 0..self.dirty.len() {
            if self.dirty[tile] < how {
                continue;
            }
            let (left, top) = (tile % across * TILE, tile / across * TILE);
            for y in top..(top + TILE).min(height) {
                each(self, y * width + left..y * width + (left + TILE).min(width));
            }
        }
    }

    /// Draws the shadows of bodies on the ground, and clears the sums.
    fn darken(&mut self, shades: &[(Shade, Rect)]) {
        self.each_row(Touched::Shaded, |canvas, row| {
            canvas.shaded[row.clone()].copy_from_slice(&canvas.hall[row.clone()]);
            canvas.sum[row].fill([0; 3]);
        });
        let width = self.view.backdrop.size.0;
        for (shade, (left, top, right, bottom)) in shades {
            for y in *top..=*bottom {
                for index in y * width + left..=y * width + right {
                    let [x, y] = self.view.backdrop.ground[index];
                    // NaN: not ground.
                    if x.is_nan() {
                        continue;
                    }
                    let dark = paint::darkness(shade, x, y);
                    if dark > 0.003 {
                        let keeps = ((1.0 - dark) * 256.0) as u16;
                        for part in &mut self.shaded[index] {
                            *part = ((u16::from(*part) * keeps) >> 8) as u8;
                        }
                    }
                }
            }
        }
    }

    fn developed(&mut self) -> Picture {
        const COUNT: u16 = MOMENTS.len() as u16;
        let mut picture = self.planes.clone();
        self.each_row(Touched::Moved, |canvas, row| {
            let (parts, sums) =
                (canvas.layer[row.clone()].as_flattened_mut(), canvas.sum[row].as_flattened());
            for (part, sum) in parts.iter_mut().zip(sums) {
                *part = ((sum + COUNT / 2) / COUNT) as u8;
            }
        });
        let (width, height) = self.view.backdrop.size;
        let across = width.div_ceil(TILE);
        for (tile, touched) in self.dirty.iter().enumerate() {
            let (left, top) = (tile % across * TILE, tile / across * TILE);
            let rect = (left, top, (left + TILE).min(width), (top + TILE).min(height));
            match touched {
                Touched::Not => {}
                Touched::Shaded => picture.set(&self.shaded, rect),
                Touched::Moved => picture.set(&self.layer, rect),
            }
        }
        picture
    }
}

/// Everything that moves, projected into a camera's picture at a time.
fn flats(action: &Action, t: f64, station: &Station) -> Vec<Flat> {
    let (mut pieces, mut shirts) = (Vec::new(), Vec::new());
    for (who, (mover, pose)) in action.movers().iter().zip(action.poses(t)).enumerate() {
        figure::dress(who, &mover.player, &pose, &mut pieces, &mut shirts);
    }
    figure::ball(&action.ball(t), &mut pieces);
    pieces.iter().filter_map(|piece| paint::flatten(piece, &shirts, station)).collect()
}
