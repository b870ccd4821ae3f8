//! The top edge of the window: how much of the time limit is used, with a tick at each phase.

use crate::theme::Palette;
use crate::widget::drawing::drawing;
use iced::widget::canvas::Frame;
use iced::{Element, Length, Point, Size};

/// Shares of the limit.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Edge {
    /// The share used, 0 to 1; above 1 the edge is full.
    pub gone: f32,
    /// Times of the phases; those outside 0 to 1 are not drawn.
    pub ticks: Vec<f32>,
}

pub(crate) fn edge<'a, M: 'a>(palette: &Palette, edge: Edge) -> Element<'a, M> {
    let drawn = Drawn { palette: *palette, edge };
    drawing(drawn, Drawn::paint).width(Length::Fill).height(12).into()
}

#[derive(Clone, PartialEq)]
struct Drawn {
    palette: Palette,
    edge: Edge,
}

impl Drawn {
    fn paint(&self, frame: &mut Frame) {
        let whole = Size::new(frame.width(), 9.0);
        frame.fill_rectangle(Point::ORIGIN, whole, self.palette.line.color());
        let gone = Size::new(frame.width() * self.edge.gone.clamp(0.0, 1.0), 9.0);
        frame.fill_rectangle(Point::ORIGIN, gone, self.palette.accent.color());
        for tick in self.edge.ticks.iter().filter(|tick| (0.0..=1.0).contains(*tick)) {
            let at = Point::new((frame.width() * tick - 1.0).max(0.0), 0.0);
            frame.fill_rectangle(at, Size::new(2.0, 12.0), self.palette.ink.color());
        }
    }
}
