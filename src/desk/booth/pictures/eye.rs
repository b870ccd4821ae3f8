//! A picture in its pane, with the overlay and the loupe, and what the pointer does there.
//!
//! The deck delivers the picture in pixels of the screen. It is placed on whole pixels, and the overlay starts at the
//! same corner, so both match whatever the renderer rounds.

use super::overlay::{Onto, Overlay};
use super::pointed::Pointed;
use super::sight::Window;
use crate::theme::DARK;
use evidence::place::point::Pixel;
use footage::show::view::Part;
use iced::widget::canvas::{self, Cache, Canvas, Frame, Path, Stroke};
use iced::widget::image::{FilterMethod, Handle};
use iced::widget::{space, stack};
use iced::{Element, Event, Length, Point, Rectangle, Renderer, Size, Theme, mouse};
use std::cell::RefCell;

pub(super) struct Eye<'a> {
    pub pane: usize,
    /// The pane's room as known so far, in pixels of the screen.
    pub known: Option<(u32, u32)>,
    /// The picture, the part of the clip's picture that it shows, and its size in its own pixels.
    pub shown: Option<(&'a Handle, Part, (u32, u32))>,
    /// `None` before the clip is open.
    pub window: Option<Window>,
    pub overlay: &'a Overlay,
    /// If this pane has the loupe: its picture, its window, and the place that it is held over.
    pub loupe: Option<(&'a Handle, Window, Pixel)>,
    /// Pixels of the screen for one unit of the toolkit.
    pub scale: f32,
    /// Whether a click sets something.
    pub clicks: bool,
}

impl<'a> Eye<'a> {
    pub(super) fn view(self) -> Element<'a, Pointed> {
        let Eye { pane, known, shown, window, overlay, loupe, scale, clicks } = self;
        let picture = shown.zip(window).map(|((handle, part, size), window)| Set {
            handle: handle.clone(),
            part,
            size,
            window,
            scale,
        });
        let over = Over { pane, known, window, overlay: overlay.clone(), scale, clicks };
        let mut layers = stack![space().width(Length::Fill).height(Length::Fill)].clip(true);
        if let Some(picture) = picture {
            layers = layers.push(painted(move |frame, bounds| picture.paint(frame, bounds)));
        }
        if let Some((handle, lens, at)) = loupe {
            let place = window.map_or((0.0, 0.0), |window| window.place(at));
            let glass = Glass { handle: handle.clone(), lens, at, place, scale };
            let hairs = glass.clone();
            layers = layers.push(painted(move |frame, bounds| glass.paint(frame, bounds)));
            layers = layers.push(painted(move |frame, bounds| hairs.paint_hairs(frame, bounds)));
        }
        layers.push(layer(over)).into()
    }
}

fn layer<P: canvas::Program<Pointed>>(program: P) -> Canvas<P, Pointed> {
    Canvas::new(program).width(Length::Fill).height(Length::Fill)
}

/// A layer without state, painted anew each time.
fn painted<F: Fn(&mut Frame, Rectangle)>(paint: F) -> Canvas<Painted<F>, Pointed> {
    layer(Painted(paint))
}

struct Painted<F>(F);

impl<F: Fn(&mut Frame, Rectangle)> canvas::Program<Pointed> for Painted<F> {
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
        (self.0)(&mut frame, bounds);
        vec![frame.into_geometry()]
    }
}

/// Distance from the pane's corner to the first whole pixel of the screen, in pixels of the screen.
fn snap(bounds: Rectangle, scale: f32) -> (f32, f32) {
    let beyond = |at: f32| (at * scale).ceil() - at * scale;
    (beyond(bounds.x), beyond(bounds.y))
}

/// A rectangle of the screen within the pane, in units of the toolkit. A quarter of a pixel keeps the corner on its
/// pixel if the renderer truncates.
fn on_screen(corner: (f64, f64), size: (f64, f64), snap: (f32, f32), scale: f32) -> Rectangle {
    let at = |value: f64, snap: f32| (value as f32 + snap + 0.25) / scale;
    Rectangle::new(
        Point::new(at(corner.0, snap.0), at(corner.1, snap.1)),
        Size::new(size.0 as f32 / scale, size.1 as f32 / scale),
    )
}

/// The picture itself.
struct Set {
    handle: Handle,
    /// The part that it shows, and its size in its own pixels.
    part: Part,
    size: (u32, u32),
    window: Window,
    scale: f32,
}

impl Set {
    fn paint(&self, frame: &mut Frame, bounds: Rectangle) {
        // Until another part comes, the one that is there stays where it belongs.
        let Part { x, y, width, height } = self.part;
        let corner = |x: u32, y: u32| self.window.place(Pixel::new(f64::from(x) - 0.5, f64::from(y) - 0.5));
        let (from, to) = (corner(x, y), corner(x + width, y + height));
        let size = (to.0 - from.0, to.1 - from.1);
        let filter = if self.part == self.window.part { FilterMethod::Nearest } else { FilterMethod::Linear };
        let mut place = on_screen(from, size, snap(bounds, self.scale), self.scale);
        if self.part != self.window.part || self.size != self.window.size {
            // The renderer places a scaled picture on the multiple of its pixel size before its place, which may be
            // outside the area that is repainted. Here it goes on the multiple after it.
            let after = |origin: f32, at: f32, size: f32, own: u32| {
                let pixel = (size / own.max(1) as f32).max(f32::MIN_POSITIVE);
                (((origin + at) / pixel).ceil() + 0.01) * pixel - origin
            };
            place.x = after(bounds.x, place.x, place.width, self.size.0);
            place.y = after(bounds.y, place.y, place.height, self.size.1);
        }
        frame.draw_image(place, canvas::Image::new(self.handle.clone()).filter_method(filter));
    }
}

/// The overlay, and the pointer.
struct Over {
    pane: usize,
    /// The pane's room as known so far, in pixels of the screen.
    known: Option<(u32, u32)>,
    window: Option<Window>,
    overlay: Overlay,
    scale: f32,
    clicks: bool,
}

/// What was painted last, and what the pointer does.
#[derive(Default)]
struct Hand {
    painted: RefCell<Option<(Overlay, Onto)>>,
    cache: Cache,
    /// While a button is down: where it went down, the pixel there, and whether it drags the picture.
    down: Option<(Point, Pixel, bool)>,
}

/// How far the pointer may move with a button down before that drags the picture, in units of the toolkit.
const STILL: f32 = 4.0;

impl Over {
    fn onto(&self, bounds: Rectangle) -> Option<Onto> {
        Some(Onto { window: self.window?, scale: self.scale, snap: snap(bounds, self.scale) })
    }

    /// Pixels of the screen from the first whole pixel of the pane.
    fn at(&self, place: Point, bounds: Rectangle) -> (f64, f64) {
        let snap = snap(bounds, self.scale);
        let along = |value: f32, snap: f32| f64::from(value * self.scale - snap);
        (along(place.x - bounds.x, snap.0), along(place.y - bounds.y, snap.1))
    }

    fn room(&self, bounds: Rectangle) -> (u32, u32) {
        let side = |side: f32| ((side * self.scale).floor() as u32).saturating_sub(1).clamp(1, 8192);
        (side(bounds.width), side(bounds.height))
    }

    fn pointer(
        &self,
        hand: &mut Hand,
        event: &mouse::Event,
        at: (f64, f64),
        place: Point,
    ) -> Option<Pointed> {
        let (pane, window) = (self.pane, self.window?);
        match event {
            mouse::Event::WheelScrolled { delta } => {
                let turned = match delta {
                    mouse::ScrollDelta::Lines { y, .. } => *y,
                    mouse::ScrollDelta::Pixels { y, .. } => *y / 40.0,
                };
                let steps = if turned > 0.0 { 1 } else { -1 };
                (turned != 0.0).then_some(Pointed::Wheel { pane, steps, at })
            }
            mouse::Event::ButtonPressed(_) => {
                hand.down = Some((place, window.pixel(at), false));
                None
            }
            mouse::Event::ButtonReleased(button) => {
                let (_, _, drew) = hand.down.take()?;
                let clicked = !drew && *button == mouse::Button::Left && window.holds(at);
                clicked.then_some(Pointed::Clicked { pane, at })
            }
            mouse::Event::CursorMoved { .. } => match &mut hand.down {
                Some((from, hold, drew)) => {
                    *drew |= from.distance(place) > STILL;
                    drew.then_some(Pointed::Drawn { pane, hold: *hold, at })
                }
                None => Some(Pointed::Over { pane, at }),
            },
            mouse::Event::CursorEntered | mouse::Event::CursorLeft => None,
        }
    }
}

impl canvas::Program<Pointed> for Over {
    type State = Hand;

    fn update(
        &self,
        hand: &mut Hand,
        event: &Event,
        bounds: Rectangle,
        cursor: mouse::Cursor,
    ) -> Option<canvas::Action<Pointed>> {
        match event {
            Event::Window(iced::window::Event::RedrawRequested(_)) => {
                let room = self.room(bounds);
                (self.known != Some(room))
                    .then(|| canvas::Action::publish(Pointed::Room { pane: self.pane, room }))
            }
            Event::Mouse(event) => {
                let place = match hand.down {
                    Some(_) => cursor.position()?,
                    None => cursor.position_over(bounds)?,
                };
                let at = self.at(place, bounds);
                Some(canvas::Action::publish(self.pointer(hand, event, at, place)?).and_capture())
            }
            _ => None,
        }
    }

    fn draw(
        &self,
        hand: &Hand,
        renderer: &Renderer,
        _theme: &Theme,
        bounds: Rectangle,
        _cursor: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        let Some(onto) = self.onto(bounds) else { return Vec::new() };
        let now = Some((self.overlay.clone(), onto));
        if *hand.painted.borrow() != now {
            hand.cache.clear();
            hand.painted.replace(now);
        }
        vec![hand.cache.draw(renderer, bounds.size(), |frame| self.overlay.paint(&onto, frame))]
    }

    fn mouse_interaction(&self, hand: &Hand, bounds: Rectangle, cursor: mouse::Cursor) -> mouse::Interaction {
        match (hand.down, cursor.is_over(bounds)) {
            (Some((_, _, true)), _) => mouse::Interaction::Grabbing,
            (_, true) if self.clicks => mouse::Interaction::Crosshair,
            _ => mouse::Interaction::default(),
        }
    }
}

/// The loupe's picture, with its hairs.
#[derive(Clone)]
struct Glass {
    handle: Handle,
    lens: Window,
    /// The place in the picture that the loupe is held over.
    at: Pixel,
    /// The same place in the pane, in pixels of the screen.
    place: (f64, f64),
    scale: f32,
}

/// Distance between the place and the loupe, in pixels of the screen.
const ASIDE: f64 = 28.0;

impl Glass {
    /// Beside the place, on the side that has room.
    fn corner(&self, bounds: Rectangle) -> (f64, f64) {
        let beside = |at: f64, size: u32, room: f32| {
            let (size, room) = (f64::from(size), f64::from(room * self.scale));
            let after = at + ASIDE;
            (if after + size > room { at - ASIDE - size } else { after })
                .clamp(0.0, (room - size).max(0.0))
                .floor()
        };
        (
            beside(self.place.0, self.lens.size.0, bounds.width),
            beside(self.place.1, self.lens.size.1, bounds.height),
        )
    }

    fn frame(&self, bounds: Rectangle) -> Rectangle {
        let size = (f64::from(self.lens.size.0), f64::from(self.lens.size.1));
        on_screen(self.corner(bounds), size, snap(bounds, self.scale), self.scale)
    }

    fn paint(&self, frame: &mut Frame, bounds: Rectangle) {
        let image = canvas::Image::new(self.handle.clone()).filter_method(FilterMethod::Nearest);
        frame.draw_image(self.frame(bounds), image);
    }

    fn paint_hairs(&self, frame: &mut Frame, bounds: Rectangle) {
        let glass = self.frame(bounds);
        let (x, y) = self.lens.place(self.at);
        let at = Point::new(glass.x + x as f32 / self.scale, glass.y + y as f32 / self.scale);
        let hair = Stroke::default().with_color(DARK.accent.color()).with_width(1.0);
        for (from, to) in [
            (Point::new(glass.x, at.y), Point::new(at.x - 5.0, at.y)),
            (Point::new(at.x + 5.0, at.y), Point::new(glass.x + glass.width, at.y)),
            (Point::new(at.x, glass.y), Point::new(at.x, at.y - 5.0)),
            (Point::new(at.x, at.y + 5.0), Point::new(at.x, glass.y + glass.height)),
        ] {
            frame.stroke(&Path::line(from, to), hair);
        }
        let edge = Path::rectangle(glass.position(), glass.size());
        frame.stroke(&edge, Stroke::default().with_color(DARK.ink.color()).with_width(1.5));
    }
}
