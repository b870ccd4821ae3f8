//! Makes the renderer redraw the whole window whenever it draws at all.
//!
//! Left to itself, the software renderer repaints what it finds damaged, and is wrong about it: text is repainted in the
//! wrong place, and an edge on a fraction of a pixel is blended twice. `docs/decisions.md` has the measurements, and says
//! when this can go.

use iced::advanced::layout::{Limits, Node};
use iced::advanced::widget::{Tree, tree};
use iced::advanced::{Layout, Renderer as _, Widget, renderer};
use iced::{Element, Length, Rectangle, Renderer, Size, Theme, mouse};
use std::cell::Cell;

/// A widget that shows nothing and damages the whole window. Place it first in a stack.
pub(crate) fn redraw<'a, M: 'a>() -> Element<'a, M> {
    Element::new(Redraw)
}

struct Redraw;

/// Number of the picture, modulo `CYCLE`.
#[derive(Default)]
struct Drawn(Cell<u8>);

/// More than the pictures that a display holds in its buffers, so that no two of them have the same number.
const CYCLE: u8 = 16;

impl<M> Widget<M, Theme, Renderer> for Redraw {
    fn tag(&self) -> tree::Tag {
        tree::Tag::of::<Drawn>()
    }

    fn state(&self) -> tree::State {
        tree::State::new(Drawn::default())
    }

    fn size(&self) -> Size<Length> {
        Size::new(Length::Fill, Length::Fill)
    }

    fn layout(&mut self, _tree: &mut Tree, _renderer: &Renderer, limits: &Limits) -> Node {
        Node::new(limits.max())
    }

    fn draw(
        &self,
        tree: &Tree,
        renderer: &mut Renderer,
        _theme: &Theme,
        _style: &renderer::Style,
        _layout: Layout<'_>,
        _cursor: mouse::Cursor,
        viewport: &Rectangle,
    ) {
        let Drawn(number) = tree.state.downcast_ref();
        number.set((number.get() + 1) % CYCLE);
        // A layer whose bounds change is damaged over its whole area. They change outside the window only.
        let layer = Rectangle { width: viewport.width + f32::from(number.get()), ..*viewport };
        renderer.with_layer(layer, |_| {});
    }
}
