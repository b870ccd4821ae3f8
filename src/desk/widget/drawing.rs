//! A drawing. Its paths are built once, and again only when what it shows has changed.

use iced::widget::canvas::{self, Cache, Canvas, Frame};
use iced::{Rectangle, Renderer, Theme, mouse};
use std::cell::RefCell;

/// A canvas that shows `of` as `paint` draws it.
pub(crate) fn drawing<M, D: PartialEq + Clone + 'static>(
    of: D,
    paint: fn(&D, &mut Frame),
) -> Canvas<Drawing<D>, M> {
    Canvas::new(Drawing { of, paint })
}

pub(crate) struct Drawing<D> {
    of: D,
    paint: fn(&D, &mut Frame),
}

/// The last drawing, and what it shows.
pub(crate) struct Painted<D> {
    of: RefCell<Option<D>>,
    cache: Cache,
}

impl<D> Default for Painted<D> {
    fn default() -> Painted<D> {
        Painted { of: RefCell::new(None), cache: Cache::new() }
    }
}

impl<M, D: PartialEq + Clone + 'static> canvas::Program<M> for Drawing<D> {
    type State = Painted<D>;

    fn draw(
        &self,
        painted: &Painted<D>,
        renderer: &Renderer,
        _theme: &Theme,
        bounds: Rectangle,
        _cursor: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        if painted.of.borrow().as_ref() != Some(&self.of) {
            painted.cache.clear();
            painted.of.replace(Some(self.of.clone()));
        }
        vec![painted.cache.draw(renderer, bounds.size(), |frame| (self.paint)(&self.of, frame))]
    }
}
