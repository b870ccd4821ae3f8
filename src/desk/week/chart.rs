//! The chart of individuals: each review's seconds in order, with the mean, the limits, and what stands out.

use crate::theme::{Palette, size};
use crate::widget::drawing::drawing;
use crate::widget::label;
use audit::figures::tempo::Timed;
use formats::audit::{Control, Id};
use iced::alignment::Vertical;
use iced::widget::canvas::{Frame, LineDash, Path, Stroke, Text};
use iced::widget::text;
use iced::{Color, Element, Length, Point};
use std::collections::BTreeSet;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chart {
    dots: Vec<Dot>,
    center: Option<f64>,
    upper: Option<f64>,
    pointed: Option<usize>,
}

/// A review.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Dot {
    seconds: f64,
    after_settled: f64,
    signal: bool,
}

impl Chart {
    /// These reviews with the chart's limits; `pointed` is the selected one.
    pub(super) fn of(timed: &[Timed], control: &Control, pointed: Option<usize>) -> Chart {
        let signals = control.signals.iter().filter_map(|id| match id {
            Id::Record(id) => Some(id.as_str()),
            Id::Row(_) => None,
        });
        let signals: BTreeSet<&str> = signals.collect();
        let dots = timed.iter().map(|one| Dot {
            seconds: one.seconds,
            after_settled: one.after_settled,
            signal: signals.contains(one.id.as_str()),
        });
        Chart { dots: dots.collect(), center: control.center, upper: control.upper, pointed }
    }
}

pub(super) fn view<'a, M: 'a>(chart: &Chart, palette: &Palette) -> Element<'a, M> {
    drawing((chart.clone(), *palette), paint).width(Length::Fill).height(HEIGHT).into()
}

const HEIGHT: f32 = 300.0;
/// Room for the seconds on the left and for the names of the limits on the right.
const LEFT: f32 = 44.0;
const RIGHT: f32 = 120.0;
const TOP: f32 = 12.0;
const BOTTOM: f32 = 10.0;

fn paint((chart, palette): &(Chart, Palette), frame: &mut Frame) {
    let most = chart.dots.iter().map(|dot| dot.seconds).fold(chart.upper.unwrap_or(60.0), f64::max).max(30.0);
    let (width, height) = (frame.width() - LEFT - RIGHT, frame.height() - TOP - BOTTOM);
    let y = |seconds: f64| TOP + height * (1.0 - (seconds.max(0.0) / most) as f32);
    let x = |at: usize| LEFT + width * (at as f32 + 0.5) / chart.dots.len().max(1) as f32;
    let level = |frame: &mut Frame, seconds: f64, ink: Color, dashed: bool| {
        let line = Path::line(Point::new(LEFT, y(seconds)), Point::new(LEFT + width, y(seconds)));
        let dash = LineDash { segments: if dashed { &[7.0, 5.0] } else { &[] }, offset: 0 };
        frame.stroke(&line, Stroke { line_dash: dash, ..Stroke::default().with_color(ink).with_width(1.5) });
    };
    for seconds in grid(most) {
        level(frame, seconds, palette.line.color(), false);
        write(
            frame,
            format!("{seconds:.0}"),
            Point::new(LEFT - 8.0, y(seconds)),
            palette.muted.color(),
            true,
        );
    }
    for (seconds, ink, word) in
        [(chart.center, palette.muted, "mean"), (chart.upper, palette.accent, "upper limit")]
    {
        if let Some(seconds) = seconds {
            level(frame, seconds, ink.color(), true);
            let at = Point::new(LEFT + width + 8.0, y(seconds));
            write(frame, format!("{word} {seconds:.0}"), at, ink.color(), false);
        }
    }
    let thick = (width / chart.dots.len().max(1) as f32 * 0.5).clamp(1.0, 5.0);
    let radius = if chart.dots.len() > 150 { 2.5 } else { 4.0 };
    for (at, dot) in chart.dots.iter().enumerate() {
        let (x, top) = (x(at), y(dot.seconds));
        if dot.after_settled > 0.0 {
            let bar = Path::line(Point::new(x, top), Point::new(x, y(dot.seconds - dot.after_settled)));
            frame.stroke(&bar, Stroke::default().with_color(palette.line.color()).with_width(thick));
        }
        frame.fill(&Path::circle(Point::new(x, top), radius), palette.ink.color());
        if dot.signal {
            ring(frame, Point::new(x, top), radius + 3.5, 2.0, palette.accent.color());
        }
        if chart.pointed == Some(at) {
            ring(frame, Point::new(x, top), radius + 8.0, 3.0, palette.accent.color());
        }
    }
}

fn ring(frame: &mut Frame, at: Point, radius: f32, width: f32, ink: Color) {
    frame.stroke(&Path::circle(at, radius), Stroke::default().with_color(ink).with_width(width));
}

/// Multiples of 30 s, or of the smallest multiple of it that leaves at most six lines above 0.
fn grid(most: f64) -> impl Iterator<Item = f64> {
    let step = 30.0 * (most / 180.0).ceil().max(1.0);
    (0..=(most / step) as usize).map(move |at| at as f64 * step)
}

fn write(frame: &mut Frame, content: String, position: Point, color: Color, right: bool) {
    let align_x = if right { text::Alignment::Right } else { text::Alignment::Left };
    frame.fill_text(Text {
        content,
        position,
        color,
        size: size::LEAST.into(),
        font: label::PLAIN,
        align_x,
        align_y: Vertical::Center,
        ..Text::default()
    });
}
