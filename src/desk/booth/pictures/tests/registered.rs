//! Picture and overlay match to the pixel. A test picture has one bright column and one bright row, with lines drawn
//! over them. The window's own renderer paints it at odd scales and odd places of the window.

use crate::booth::pictures::eye::Eye;
use crate::booth::pictures::overlay::Overlay;
use crate::booth::pictures::pointed::Pointed;
use crate::booth::pictures::sight::{Sight, Sizes};
use evidence::place::drawn::Piece;
use evidence::place::point::Pixel;
use footage::picture::{Picture, PixelFormat};
use footage::show::colour::{Coding, Matrix};
use footage::show::pixel_aspect::PixelAspect;
use footage::show::view::{Light, Lines, shown_part};
use iced::widget::container;
use iced::widget::image::Handle;
use iced::{Element, Renderer, Size, Theme};
use iced_test::core::renderer::{Headless, Style};
use iced_test::core::{Event, clipboard, mouse, time, window};
use iced_test::futures::futures::executor::block_on;
use iced_test::runtime::UserInterface;
use iced_test::runtime::user_interface::Cache;

const OWN: (u32, u32) = (1280, 720);
/// The bright column and row.
const COLUMN: u32 = 641;
const ROW: u32 = 363;
/// The window and its edge, in units of the toolkit.
const WINDOW: Size = Size::new(630.0, 370.0);
const EDGE: f32 = 7.3;

fn test_picture() -> Picture {
    let bright = |index: u32| index % OWN.0 == COLUMN || index / OWN.0 == ROW;
    let luma = (0..OWN.0 * OWN.1).map(|index| if bright(index) { 235 } else { 40 });
    let samples: Vec<u8> = luma.chain(std::iter::repeat_n(128, (OWN.0 * OWN.1 / 2) as usize)).collect();
    Picture { pts: 0, width: OWN.0, height: OWN.1, format: PixelFormat::plain(false), samples, exact: true }
}

/// A line through the middles of the bright column's pixels, and one through those of the row.
fn lines() -> Overlay {
    let piece = |from: (f64, f64), to: (f64, f64)| {
        let line = vec![Pixel::new(from.0, from.1), Pixel::new(to.0, to.1)];
        Piece { left: line.clone(), right: line.clone(), line }
    };
    let (x, y) = (f64::from(COLUMN), f64::from(ROW));
    Overlay { lines: vec![piece((x, 0.0), (x, 719.0)), piece((0.0, y), (1279.0, y))], ..Overlay::default() }
}

/// The window's pixels: brightness by column and row.
struct Painted {
    wide: usize,
    values: Vec<f64>,
}

impl Painted {
    fn of(sight: Sight, overlay: &Overlay, scale: f32) -> Painted {
        let room = |side: f32| ((side - 2.0 * EDGE) * scale).floor() as u32 - 1;
        let sizes =
            Sizes { own: OWN, pixel: PixelAspect::SQUARE, room: (room(WINDOW.width), room(WINDOW.height)) };
        let window = sight.window(sizes);
        let coding = Coding { matrix: Matrix::Bt709, is_full_range: false };
        let how = (Lines::All, Light::AS_IT_IS, coding);
        let shown = shown_part(&test_picture(), (window.part, OWN), window.size, how).expect("it is shown");
        let handle = Handle::from_rgba(shown.width, shown.height, shown.rgba);
        let eye = Eye {
            pane: 0,
            known: Some(sizes.room),
            shown: Some((&handle, window.part, window.size)),
            window: Some(window),
            overlay,
            loupe: None,
            scale,
            clicks: false,
        };
        let element: Element<'_, Pointed> = container(eye.view()).padding(EDGE).into();
        let font = iced::Font::DEFAULT;
        let mut renderer = block_on(<Renderer as Headless>::new(font, 16.0.into(), Some("tiny-skia")))
            .expect("the software renderer");
        let mut raw = UserInterface::build(element, WINDOW, Cache::default(), &mut renderer);
        let redraw = [Event::Window(window::Event::RedrawRequested(time::Instant::now()))];
        let cursor = mouse::Cursor::Unavailable;
        let mut said = Vec::new();
        let _ = raw.update(&redraw, cursor, &mut renderer, &mut clipboard::Null, &mut said);
        let style = Style { text_color: iced::Color::WHITE };
        raw.draw(&mut renderer, &Theme::Dark, &style, cursor);
        let size = Size::new((WINDOW.width * scale) as u32, (WINDOW.height * scale) as u32);
        let rgba = renderer.screenshot(size, scale, iced::Color::BLACK);
        let value = |pixel: &[u8]| pixel.iter().take(3).map(|part| f64::from(*part)).sum::<f64>();
        Painted { wide: size.width as usize, values: rgba.chunks(4).map(value).collect() }
    }

    /// The middle of the bright stripe in a row, in pixels; with `bare`, the middle of what differs from it.
    fn middle_of_row(&self, row: usize, bare: Option<&Painted>) -> f64 {
        let line = |painted: &Painted| painted.values[row * self.wide..(row + 1) * self.wide].to_vec();
        middle(&line(self), bare.map(line))
    }

    fn middle_of_column(&self, column: usize, bare: Option<&Painted>) -> f64 {
        let line = |painted: &Painted| -> Vec<f64> {
            painted.values.iter().skip(column).step_by(self.wide).copied().collect()
        };
        middle(&line(self), bare.map(line))
    }
}

/// The brightness-weighted middle of what differs from `bare`, or of what is brighter than the average.
fn middle(values: &[f64], bare: Option<Vec<f64>>) -> f64 {
    let weights: Vec<f64> = match bare {
        Some(bare) => values.iter().zip(bare).map(|(value, bare)| (value - bare).abs()).collect(),
        None => {
            let lit: Vec<f64> = values.iter().copied().filter(|value| *value > 0.0).collect();
            let usual = lit.iter().sum::<f64>() / lit.len() as f64;
            values.iter().map(|value| if *value > usual + 25.0 { value - usual } else { 0.0 }).collect()
        }
    };
    let whole: f64 = weights.iter().sum();
    weights.iter().enumerate().map(|(at, weight)| (at as f64 + 0.5) * weight).sum::<f64>() / whole
}

// PROPERTY: picture, overlay and click lie on each other at every zoom and scale
#[test]
fn a_line_lies_on_the_pixels_that_it_goes_through_at_every_zoom_and_scale() {
    let lines = lines();
    for scale in [1.0, 0.87, 1.25, 2.0] {
        for steps in [0, 1, 3, 5, 8] {
            let room = |side: f32| f64::from((side * scale).floor()) / 2.0;
            let sizes = Sizes { own: OWN, pixel: PixelAspect::SQUARE, room: (600, 340) };
            let whole = Sight::default().zoomed(steps, (room(300.0), room(170.0)), sizes);
            let sight =
                whole.with(Pixel::new(640.0, 360.0), (room(WINDOW.width), room(WINDOW.height)), sizes);
            let bare = Painted::of(sight, &Overlay::default(), scale);
            let drawn = Painted::of(sight, &lines, scale);
            // Away from the other line, so that there is only one stripe.
            let row = (f64::from(WINDOW.height * scale) * 0.3) as usize;
            let column = (f64::from(WINDOW.width * scale) * 0.3) as usize;
            let across = bare.middle_of_row(row, None) - drawn.middle_of_row(row, Some(&bare));
            let down = bare.middle_of_column(column, None) - drawn.middle_of_column(column, Some(&bare));
            // Half a pixel of the screen is the error of a soft edge or of a stripe thinner than a pixel.
            assert!(across.abs() < 0.5 && down.abs() < 0.5, "scale {scale}, {steps} steps: {across}, {down}");
        }
    }
}
