//! What is drawn over a picture, in its own pixels: the field's grid, the rule's line with its band, the clicks.
//!
//! It has its own colours, not those of the theme: light on a dark rim, to be seen on any turf.

use super::sight::Window;
use crate::theme::{DARK, size};
use crate::widget::label;
use evidence::place::drawn::Piece;
use evidence::place::point::Pixel;
use iced::widget::canvas::{Frame, Path, Stroke, Text};
use iced::{Color, Point};

#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Overlay {
    /// Lines of the field.
    pub grid: Vec<Vec<Pixel>>,
    /// The rule's line with the edges of its 95 % band.
    pub lines: Vec<Piece>,
    /// Clicks.
    pub crosses: Vec<Cross>,
    /// The 95 % region of a measured place.
    pub ring: Vec<Pixel>,
}

/// A place that was clicked, or is to be clicked.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cross {
    pub at: Pixel,
    /// Shown beside it; empty for none.
    pub name: String,
    pub tone: Tone,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tone {
    Landmark,
    /// A landmark that contradicts the others.
    Bad,
    /// Where the next landmark should be.
    Wanted,
    Point,
}

/// Maps pixels of the picture to places of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Onto {
    pub window: Window,
    /// Pixels of the screen for one unit of the toolkit.
    pub scale: f32,
    /// Distance from the pane's corner to its first whole pixel of the screen, in pixels of the screen.
    pub snap: (f32, f32),
}

impl Onto {
    /// The place of the drawing for a place of the picture.
    pub(crate) fn point(&self, pixel: Pixel) -> Point {
        let (x, y) = self.window.place(pixel);
        Point::new((x as f32 + self.snap.0) / self.scale, (y as f32 + self.snap.1) / self.scale)
    }

    fn path(&self, points: &[Pixel]) -> Path {
        Path::new(|path| {
            for (index, pixel) in points.iter().enumerate() {
                let at = self.point(*pixel);
                if index == 0 { path.move_to(at) } else { path.line_to(at) }
            }
        })
    }
}

const RIM: Color = Color { r: 0.05, g: 0.06, b: 0.07, a: 0.65 };

/// A line with a dark rim.
fn rimmed(frame: &mut Frame, path: &Path, ink: Color, width: f32) {
    frame.stroke(path, Stroke::default().with_color(RIM).with_width(width + 2.0));
    frame.stroke(path, Stroke::default().with_color(ink).with_width(width));
}

impl Overlay {
    pub(crate) fn paint(&self, onto: &Onto, frame: &mut Frame) {
        let chalk = DARK.ink.faint(0.45);
        for line in &self.grid {
            frame.stroke(&onto.path(line), Stroke::default().with_color(chalk).with_width(1.0));
        }
        for piece in &self.lines {
            let band: Vec<Pixel> = piece.left.iter().chain(piece.right.iter().rev()).copied().collect();
            frame.fill(&onto.path(&band), DARK.accent.faint(0.28));
            for edge in [&piece.left, &piece.right] {
                let thin = Stroke::default().with_color(DARK.accent.faint(0.8)).with_width(1.0);
                frame.stroke(&onto.path(edge), thin);
            }
            rimmed(frame, &onto.path(&piece.line), DARK.accent.color(), 1.6);
        }
        if self.ring.len() > 2 {
            rimmed(frame, &onto.path(&self.ring), DARK.ink.color(), 1.2);
        }
        for cross in &self.crosses {
            cross.paint(onto, frame);
        }
    }
}

impl Cross {
    fn paint(&self, onto: &Onto, frame: &mut Frame) {
        let at = onto.point(self.at);
        let (arm, gap) = (9.0, 2.5);
        let ink = match self.tone {
            Tone::Landmark | Tone::Point => DARK.ink.color(),
            Tone::Bad | Tone::Wanted => DARK.accent.color(),
        };
        match self.tone {
            Tone::Landmark | Tone::Point => {
                for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                    let place = |far: f32| Point::new(at.x + x * far, at.y + y * far);
                    rimmed(frame, &Path::line(place(gap), place(arm)), ink, 1.4);
                }
            }
            // A slanted cross: the shape also shows that it is wrong.
            Tone::Bad => {
                for (x, y) in [(1.0, 1.0), (-1.0, 1.0)] {
                    let place = |far: f32| Point::new(at.x + x * far, at.y + y * far);
                    rimmed(frame, &Path::line(place(-arm), place(arm)), ink, 1.8);
                }
            }
            Tone::Wanted => rimmed(frame, &Path::circle(at, arm), ink, 1.4),
        }
        if self.tone == Tone::Point {
            rimmed(frame, &Path::circle(at, arm + 3.0), ink, 1.2);
        }
        if self.name.is_empty() {
            return;
        }
        // On a plate, since letters over a crowd cannot be read.
        let wide = 7.2 * self.name.chars().count() as f32 + 8.0;
        let left = if at.x + wide + 14.0 > frame.width() { at.x - 14.0 - wide } else { at.x + 14.0 };
        let plate = iced::Size::new(wide, size::LEAST + 6.0);
        frame.fill_rectangle(Point::new(left, at.y - 22.0), plate, RIM);
        frame.fill_text(Text {
            content: self.name.clone(),
            position: Point::new(left + 4.0, at.y - 21.0),
            color: ink,
            size: size::LEAST.into(),
            font: label::PLAIN,
            ..Text::default()
        });
    }
}
