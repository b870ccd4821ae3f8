//! Figures between 0 and 1 with their intervals, below each other, with remarks on the selected one.

use crate::theme::Palette;
use crate::widget::drawing::drawing;
use crate::widget::label;
use iced::widget::canvas::{Frame, Path, Stroke};
use iced::widget::{column, container, row, space};
use iced::{Element, Length, Point, alignment};

#[derive(Debug, Clone)]
pub(crate) struct Tracks {
    pub title: &'static str,
    /// Where the figures come from.
    pub from: String,
    pub tracks: Vec<Track>,
    /// Remarks on the selected figure.
    pub says: Vec<String>,
    /// How to read the figures.
    pub note: &'static str,
}

#[derive(Debug, Clone)]
pub(crate) struct Track {
    pub words: String,
    /// The figure with its interval, as text.
    pub figure: String,
    pub drawn: Drawn,
    pub pointed: bool,
}

/// A figure with its 95 % interval, to be drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Drawn {
    pub value: Option<f64>,
    pub ci95: Option<[f64; 2]>,
    /// Draw attention to it.
    pub look: bool,
}

pub(super) fn view<'a, M: Clone + 'a>(tracks: &'a Tracks, palette: &'static Palette) -> Element<'a, M> {
    let mut parts =
        column![label::ask(tracks.title, palette.ink), label::small(tracks.from.as_str(), palette.muted)]
            .spacing(6);
    for track in &tracks.tracks {
        let ink = if track.drawn.look { palette.accent } else { palette.ink };
        let line = row![
            label::plain(track.words.as_str(), ink).width(Length::FillPortion(5)),
            container(mark(track.drawn, palette)).width(Length::FillPortion(4)),
            label::small(track.figure.as_str(), ink).width(Length::FillPortion(3))
        ]
        .spacing(16)
        .align_y(alignment::Vertical::Center);
        let ground = palette.raised;
        let pointed = track.pointed;
        parts = parts.push(container(line).padding([5, 8]).style(move |_| container::Style {
            background: pointed.then(|| ground.color().into()),
            ..container::Style::default()
        }));
        if pointed {
            for says in &tracks.says {
                parts = parts.push(row![space().width(24), label::plain(says.as_str(), palette.muted)]);
            }
        }
    }
    parts.push(label::small(tracks.note, palette.muted)).into()
}

fn mark<'a, M: 'a>(drawn: Drawn, palette: &Palette) -> Element<'a, M> {
    drawing((drawn, *palette), paint).width(Length::Fill).height(24).into()
}

/// The scale runs from 0 at the left to 1 at the right. Values outside stop at the ends.
fn paint((drawn, palette): &(Drawn, Palette), frame: &mut Frame) {
    let (width, middle) = (frame.width() - 2.0 * MARGIN, frame.height() / 2.0);
    let at = |value: f64| Point::new(MARGIN + width * value.clamp(0.0, 1.0) as f32, middle);
    let ink = if drawn.look { palette.accent.color() } else { palette.ink.color() };
    let line =
        |from, to, width, ink| (Path::line(from, to), Stroke::default().with_color(ink).with_width(width));
    let (path, stroke) = line(at(0.0), at(1.0), 1.0, palette.line.color());
    frame.stroke(&path, stroke);
    if let Some([low, high]) = drawn.ci95 {
        let (path, stroke) = line(at(low), at(high), 4.0, ink);
        frame.stroke(&path, stroke);
    }
    if let Some(value) = drawn.value {
        frame.fill(&Path::circle(at(value), 7.0), ink);
    }
}

const MARGIN: f32 = 8.0;
