//! The two plots of the page, drawn as SVG.

use super::style::{ACCENT, INK, LINE, MUTED, PAPER};
use audit::figures::tempo::Timed;
use audit::stats::survival::band95;
use formats::audit::{Control, Id};
use plotters::coord::Shift;
use plotters::prelude::{
    AreaSeries, ChartBuilder, Circle, DrawingArea, DrawingAreaErrorKind, IntoDrawingArea, IntoFont,
    LineSeries, PathElement, RGBColor, SVGBackend,
};
use plotters::style::{Color, TextStyle};
use std::collections::BTreeSet;

const WIDTH: u32 = 960;
const HEIGHT: u32 = 360;
const FONT: &str = "B612, Verdana, sans-serif";

type Drawn<'a> =
    Result<(), DrawingAreaErrorKind<<SVGBackend<'a> as plotters::prelude::DrawingBackend>::ErrorType>>;

fn colour((r, g, b): (u8, u8, u8)) -> RGBColor {
    RGBColor(r, g, b)
}

/// Each review in order: a dot at its time, a bar down to where it was settled, mean and limits.
pub(super) fn chart(timed: &[Timed], control: &Control) -> String {
    svg("Seconds of each review in order, with limits", |area| draw_chart(area, timed, control))
}

fn draw_chart<'a>(
    area: &DrawingArea<SVGBackend<'a>, Shift>,
    timed: &[Timed],
    control: &Control,
) -> Drawn<'a> {
    let most = timed.iter().map(|one| one.seconds).fold(control.upper.unwrap_or(0.0), f64::max);
    let end = timed.len() as f64;
    let mut chart = ChartBuilder::on(area)
        .margin(12)
        .x_label_area_size(52)
        .y_label_area_size(56)
        .build_cartesian_2d(-1.0..end, 0.0..(most * 1.08).max(1.0))?;
    let labels = text(15);
    let mut mesh = chart.configure_mesh();
    mesh.disable_x_mesh()
        .light_line_style(colour(PAPER))
        .bold_line_style(colour(LINE))
        .axis_style(colour(MUTED))
        .x_desc("reviews, in the order of the calls")
        .y_desc("seconds")
        .x_label_formatter(&|at| format!("{:.0}", at + 1.0))
        .y_label_formatter(&|at| format!("{at:.0}"))
        .label_style(labels.clone())
        .axis_desc_style(labels);
    mesh.draw()?;
    let at = |place: usize| place as f64;
    let width = (700.0 / end).clamp(1.0, 6.0) as u32;
    chart.draw_series(timed.iter().enumerate().filter(|(_, one)| one.after_settled > 0.0).map(
        |(place, one)| {
            let bar = [(at(place), (one.seconds - one.after_settled).max(0.0)), (at(place), one.seconds)];
            PathElement::new(bar, colour(MUTED).mix(0.55).stroke_width(width))
        },
    ))?;
    for (level, style) in [
        (control.center, colour(MUTED).stroke_width(2)),
        (control.upper, colour(ACCENT).stroke_width(2)),
        (control.lower.filter(|lower| *lower > 0.0), colour(ACCENT).stroke_width(2)),
    ] {
        if let Some(level) = level {
            chart.draw_series(LineSeries::new([(-1.0, level), (end, level)], style))?;
        }
    }
    let signals: BTreeSet<&str> = control
        .signals
        .iter()
        .filter_map(|id| match id {
            Id::Record(id) => Some(id.as_str()),
            Id::Row(_) => None,
        })
        .collect();
    let size = if timed.len() > 150 { 3 } else { 4 };
    let all = timed.iter().enumerate();
    chart.draw_series(
        all.clone().map(|(place, one)| Circle::new((at(place), one.seconds), size, colour(INK).filled())),
    )?;
    let rings = all.filter(|(_, one)| signals.contains(one.id.as_str()));
    chart.draw_series(rings.map(|(place, one)| {
        Circle::new((at(place), one.seconds), size + 4, colour(ACCENT).stroke_width(2))
    }))?;
    area.present()
}

/// The survival curve as steps, with its band on the plain scale, kept between 0 and 1.
pub(super) fn survival(curve: &[(f64, f64, Option<f64>)]) -> String {
    svg("Share of reviews still going on after each time", |area| draw_survival(area, curve))
}

fn draw_survival<'a>(
    area: &DrawingArea<SVGBackend<'a>, Shift>,
    curve: &[(f64, f64, Option<f64>)],
) -> Drawn<'a> {
    let end = curve.last().map_or(1.0, |(at, ..)| at * 1.05).max(1.0);
    let mut chart = ChartBuilder::on(area)
        .margin(12)
        .x_label_area_size(52)
        .y_label_area_size(56)
        .build_cartesian_2d(0.0..end, 0.0..1.0)?;
    let labels = text(15);
    let mut mesh = chart.configure_mesh();
    mesh.light_line_style(colour(PAPER))
        .bold_line_style(colour(LINE))
        .axis_style(colour(MUTED))
        .x_desc("seconds from the call to the announcement")
        .y_desc("still going on")
        .x_label_formatter(&|at| format!("{at:.0}"))
        .y_label_formatter(&|share| format!("{:.0} %", 100.0 * share))
        .label_style(labels.clone())
        .axis_desc_style(labels);
    mesh.draw()?;
    let band = |side: usize| steps(curve, end, move |survival, se| band95(survival, se)[side]);
    chart.draw_series(AreaSeries::new(band(1), 0.0, colour(LINE).mix(0.6)))?;
    chart.draw_series(AreaSeries::new(band(0), 0.0, colour(PAPER)))?;
    chart.draw_series(LineSeries::new(
        steps(curve, end, |survival, _| survival),
        colour(INK).stroke_width(3),
    ))?;
    chart.draw_series(LineSeries::new([(0.0, 0.5), (end, 0.5)], colour(MUTED).stroke_width(1)))?;
    area.present()
}

/// The corners of a curve of steps.
fn steps(
    curve: &[(f64, f64, Option<f64>)],
    end: f64,
    height: impl Fn(f64, Option<f64>) -> f64,
) -> Vec<(f64, f64)> {
    let (mut corners, mut before) = (vec![(0.0, 1.0)], 1.0);
    for (at, survival, se) in curve {
        corners.push((*at, before));
        before = height(*survival, *se);
        corners.push((*at, before));
    }
    corners.push((end, before));
    corners
}

fn text(size: u32) -> TextStyle<'static> {
    (FONT, size).into_font().color(&colour(INK))
}

/// A drawing as an element that grows with the page, `what` as its description.
fn svg(what: &str, draw: impl for<'a> FnOnce(&DrawingArea<SVGBackend<'a>, Shift>) -> Drawn<'a>) -> String {
    let mut text = String::new();
    {
        let area = SVGBackend::with_string(&mut text, (WIDTH, HEIGHT)).into_drawing_area();
        // Drawing into a string fails only on a scale without extent; the page then has no plot.
        if draw(&area).is_err() {
            return String::new();
        }
    }
    let size = format!("<svg width=\"{WIDTH}\" height=\"{HEIGHT}\" ");
    text.replacen(&size, &format!("<svg role=\"img\" aria-label=\"{what}\" "), 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_of_steps_goes_down_at_its_times() {
        let corners = steps(&[(10.0, 0.5, None), (20.0, 0.0, None)], 25.0, |survival, _| survival);
        assert_eq!(corners, [(0.0, 1.0), (10.0, 1.0), (10.0, 0.5), (20.0, 0.5), (20.0, 0.0), (25.0, 0.0)]);
    }

    #[test]
    fn plots_have_no_fixed_size_and_mark_their_signals() {
        let timed: Vec<_> = (0..9)
            .map(|at| Timed { id: format!("r{at}"), seconds: 40.0 + f64::from(at % 3), after_settled: 5.0 })
            .collect();
        let control = Control {
            center: Some(41.0),
            upper: Some(44.0),
            lower: Some(38.0),
            signals: vec![Id::Record("r4".to_owned())],
            ..Control::default()
        };
        let drawn = chart(&timed, &control);
        assert!(drawn.starts_with("<svg role=\"img\"") && !drawn.contains("NaN"), "{drawn}");
        assert_eq!(drawn.matches("<circle").count(), 9 + 1);
        assert!(survival(&[(10.0, 0.5, Some(0.1)), (20.0, 0.0, None)]).contains("<poly"));
    }
}
