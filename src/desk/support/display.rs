//! A window without a display: it repaints an earlier picture in part, as the real window does, and compares the result
//! with the same screen drawn whole.
//!
//! The damage is computed as `present` in `window/compositor.rs` of `iced_tiny_skia` 0.14.1 computes it: the difference
//! to the layers of the picture that the buffer still holds, grouped and cut to the window. A buffer holds the last
//! picture (X11) or the one before it (Wayland, which has two buffers).

use crate::app;
use crate::theme::Light;
use crate::widget::label;
use iced::advanced::graphics::{Viewport, damage, text};
use iced::advanced::renderer::Style;
use iced::advanced::widget::operation::focusable;
use iced::advanced::{clipboard, mouse};
use iced::theme::Base;
use iced::time::{Duration, Instant};
use iced::{Element, Event, Pixels, Point, Rectangle, Size, Theme, window};
use iced_test::runtime::user_interface::{Cache, UserInterface};
use iced_tiny_skia::{Layer, Renderer};
use std::borrow::Cow;
use std::collections::VecDeque;
use tiny_skia::{Mask, Pixmap};

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Look {
    pub light: Light,
    /// In pixels.
    pub window: (u32, u32),
    /// In per cent.
    pub text_percent: u16,
}

/// Both themes, and the scales 1, 1.15 and 0.87 (the least).
pub(crate) const LOOKS: [Look; 3] = [
    Look { light: Light::Dark, window: (1440, 900), text_percent: 100 },
    Look { light: Light::Light, window: (1440, 900), text_percent: 115 },
    Look { light: Light::Dark, window: (1093, 614), text_percent: 100 },
];

/// Number of earlier pictures to compare with: a display has at most two buffers.
const BUFFERS: usize = 2;

pub(crate) struct Display {
    look: Look,
    theme: Theme,
    viewport: Viewport,
    renderer: Renderer,
    cache: Option<Cache>,
    mask: Mask,
    /// Newest first.
    earlier: VecDeque<Presented>,
    begun: Instant,
    shown: u32,
    /// States whose repainted picture is not the picture drawn whole.
    wrong: Vec<String>,
}

struct Presented {
    layers: Vec<Layer>,
    pixels: Pixmap,
}

impl Display {
    pub(crate) fn new(look: Look) -> Display {
        for face in label::FACES {
            text::font_system().write().expect("no thread panicked").load_font(Cow::Borrowed(face));
        }
        let (width, height) = look.window;
        let scale = app::scale(Size::new(width as f32, height as f32), look.text_percent);
        Display {
            look,
            theme: look.light.theme(),
            viewport: Viewport::with_physical_size(Size::new(width, height), scale),
            renderer: Renderer::new(label::PLAIN, Pixels(16.0)),
            cache: Some(Cache::default()),
            mask: Mask::new(width, height).expect("it has room"),
            earlier: VecDeque::new(),
            begun: Instant::now(),
            shown: 0,
            wrong: Vec::new(),
        }
    }

    pub(crate) fn look(&self) -> Look {
        self.look
    }

    /// Size of the window in logical pixels.
    pub(crate) fn room(&self) -> Size {
        self.viewport.logical_size()
    }

    /// Shows a screen and returns the messages of its widgets. Each picture has the pointer in another place and the
    /// focus on the next text line.
    pub(crate) fn show<M>(&mut self, state: &str, screen: Element<'_, M>) -> Vec<M> {
        self.shown += 1;
        let room = self.room();
        let cache = self.cache.take().expect("it is put back");
        let mut interface = UserInterface::build(screen, room, cache, &mut self.renderer);
        interface.operate(&self.renderer, &mut focusable::focus_next());
        let now = self.begun + Duration::from_millis(500) * self.shown;
        let event = Event::Window(window::Event::RedrawRequested(now));
        let mut messages = Vec::new();
        let pointer = self.pointer();
        let _ = interface.update(&[event], pointer, &mut self.renderer, &mut clipboard::Null, &mut messages);
        let style = Style { text_color: self.theme.base().text_color };
        interface.draw(&mut self.renderer, &self.theme, &style, pointer);
        self.present(state);
        self.cache = Some(interface.into_cache());
        messages
    }

    /// A different place for each picture.
    fn pointer(&self) -> mouse::Cursor {
        let room = self.room();
        let at = |step: u32, room: f32| (self.shown.wrapping_mul(step) % 997) as f32 / 997.0 * room;
        mouse::Cursor::Available(Point::new(at(367, room.width), at(613, room.height)))
    }

    fn present(&mut self, state: &str) {
        let layers = self.renderer.layers().to_vec();
        let (width, height) = self.look.window;
        let mut whole = Pixmap::new(width, height).expect("it has room");
        self.draw(&mut whole, &[Rectangle::with_size(self.viewport.logical_size())]);
        let earlier = std::mem::take(&mut self.earlier);
        for (age, before) in earlier.iter().enumerate() {
            let repainted = self.repainted(before, &layers);
            if let Some(difference) = difference(&repainted, &whole) {
                self.wrong.push(format!("{state}, over picture {} before: {difference}", age + 1));
            }
        }
        self.earlier = earlier;
        self.earlier.push_front(Presented { layers, pixels: whole });
        self.earlier.truncate(BUFFERS);
    }

    /// An earlier picture, repainted where the renderer finds damage.
    fn repainted(&mut self, before: &Presented, now: &[Layer]) -> Pixmap {
        let mut pixels = before.pixels.clone();
        let damage = damage::diff(&before.layers, now, |layer| vec![layer.bounds], Layer::damage);
        if !damage.is_empty() {
            let damage = damage::group(damage, Rectangle::with_size(self.viewport.logical_size()));
            self.draw(&mut pixels, &damage);
        }
        pixels
    }

    /// Fails if any state was repainted wrongly.
    pub(crate) fn ended(self) {
        let Display { look, wrong, shown, .. } = self;
        assert!(
            wrong.is_empty(),
            "{look:?}, {shown} pictures, {} wrong repaints:\n{}",
            wrong.len(),
            wrong.join("\n")
        );
    }

    fn draw(&mut self, pixels: &mut Pixmap, damage: &[Rectangle]) {
        let background = self.theme.base().background_color;
        self.renderer.draw(&mut pixels.as_mut(), &mut self.mask, &self.viewport, damage, background);
    }
}

/// How many pixels differ, and the rectangle that holds them.
fn difference(one: &Pixmap, other: &Pixmap) -> Option<String> {
    if one.data() == other.data() {
        return None;
    }
    let wide = one.width() as usize;
    let pixels = one.pixels().iter().zip(other.pixels()).enumerate();
    let places = pixels.filter(|(_, (one, other))| one != other).map(|(at, _)| (at % wide, at / wide));
    let places: Vec<(usize, usize)> = places.collect();
    let (left, right) = (places.iter().map(|at| at.0).min()?, places.iter().map(|at| at.0).max()?);
    let (top, bottom) = (places.iter().map(|at| at.1).min()?, places.iter().map(|at| at.1).max()?);
    Some(format!("{} pixels differ, from {left}, {top} to {right}, {bottom}", places.len()))
}
