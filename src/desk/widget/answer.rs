//! The shape of an answer: filled for the first option, a ring for the second, half for unclear, a dot for not asked
//! yet. The word always stands beside it.

use crate::theme::Palette;
use crate::widget::drawing::drawing;
use iced::widget::canvas::{self, Frame, Path, Stroke};
use iced::{Element, Point};

/// What is known about a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Shape {
    /// Not asked yet.
    Dot,
    /// The first option: yes.
    Filled,
    /// The second: no.
    Ring,
    /// Another named option, by its number from 2.
    Bars(usize),
    /// Several are left: unclear.
    Half,
}

pub(crate) fn answer<'a, M: 'a>(palette: &Palette, shape: Shape) -> Element<'a, M> {
    let drawn = Drawn { palette: *palette, shape };
    drawing(drawn, Drawn::paint).width(SIDE).height(SIDE).into()
}

const SIDE: f32 = 20.0;

#[derive(Clone, PartialEq)]
struct Drawn {
    palette: Palette,
    shape: Shape,
}

impl Drawn {
    fn paint(&self, frame: &mut Frame) {
        let (center, radius) = (frame.center(), 7.5);
        let ink = self.palette.ink.color();
        let ring = Path::circle(center, radius);
        let stroke = Stroke::default().with_color(ink).with_width(2.5);
        match self.shape {
            Shape::Dot => frame.fill(&Path::circle(center, 2.5), self.palette.muted.color()),
            Shape::Filled => frame.fill(&Path::circle(center, radius + 1.0), ink),
            Shape::Ring => frame.stroke(&ring, stroke),
            Shape::Half => {
                frame.stroke(&ring, stroke);
                frame.fill(&half(center, radius), ink);
            }
            Shape::Bars(number) => {
                frame.stroke(&ring, stroke);
                let bars = number.clamp(1, 4);
                for bar in 0..bars {
                    let x = center.x + (bar as f32 - (bars - 1) as f32 / 2.0) * 3.2;
                    let bar = Path::line(Point::new(x, center.y - 3.5), Point::new(x, center.y + 3.5));
                    frame.stroke(&bar, Stroke::default().with_color(ink).with_width(1.6));
                }
            }
        }
    }
}

/// The left half of a disc.
fn half(center: Point, radius: f32) -> Path {
    Path::new(|path| {
        path.arc(canvas::path::Arc {
            center,
            radius,
            start_angle: iced::Radians(std::f32::consts::FRAC_PI_2),
            end_angle: iced::Radians(3.0 * std::f32::consts::FRAC_PI_2),
        });
        path.close();
    })
}
