//! A drawing by a function: it is given a frame of the room that there is, and paints into it.

use iced::widget::canvas::{self, Canvas, Frame};
use iced::{Rectangle, Renderer, Theme, mouse};

/// A canvas on which this function paints, each time anew.
pub(crate) fn drawing<M, F: Fn(&mut Frame)>(paint: F) -> Canvas<Drawing<F>, M> {
    Canvas::new(Drawing(paint))
}

/// What is painted by its function.
pub(crate) struct Drawing<F>(F);

impl<M, F: Fn(&mut Frame)> canvas::Program<M> for Drawing<F> {
    type State = ();

    fn draw(
        &self,
        (): &(),
        renderer: &Renderer,
        _theme: &Theme,
        bounds: Rectangle,
        _cursor: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        let mut frame = Frame::new(renderer, bounds.size());
        (self.0)(&mut frame);
        vec![frame.into_geometry()]
    }
}
