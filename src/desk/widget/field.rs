//! The field from above, fixed to the building: west on the left, as in the hall's own frame.
//!
//! The ball, its direction and the lines of the coming snap; after a ruling, where the ball was and where it is.

use crate::theme::{Palette, size};
use crate::widget::drawing::drawing;
use crate::widget::label;
use iced::alignment::Vertical;
use iced::widget::canvas::{Frame, LineDash, Path, Stroke, Text};
use iced::widget::text::Alignment;
use iced::{Element, Length, Point, Size};

/// What is drawn, in yards of the hall's frame: x from the west goal line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Plan {
    /// Distance between the goal lines, width, depth of an end zone.
    pub size: (f32, f32, f32),
    pub walled: bool,
    /// x of the ball; `None` before a kick-off is placed.
    pub ball: Option<f32>,
    /// x of the ball before, if that is another place.
    pub from: Option<f32>,
    /// The offense goes east.
    pub east: bool,
    /// Lines across the field: name and x.
    pub across: Vec<(String, f32)>,
    /// Whose end zone is west, and whose is east.
    pub ends: (String, String),
}

/// Draws the plan across the width available.
pub(crate) fn field<'a, M: 'a>(palette: &Palette, plan: Plan, height: f32) -> Element<'a, M> {
    let drawn = Drawn { palette: *palette, plan };
    drawing(drawn, Drawn::paint).width(Length::Fill).height(height).into()
}

#[derive(Clone, PartialEq)]
struct Drawn {
    palette: Palette,
    plan: Plan,
}

/// From yards to pixels.
struct Scale {
    left: f32,
    top: f32,
    yard: f32,
}

impl Scale {
    fn new(plan: &Plan, bounds: Size) -> Scale {
        let (length, width, end) = plan.size;
        // Room for the names of lines above.
        let names = NAME * named(plan).len() as f32 + 6.0;
        let (wide, high) = (bounds.width - 8.0, (bounds.height - names).max(1.0));
        let yard = (wide / (length + 2.0 * end)).min(high / width).max(0.5);
        let left = (bounds.width - yard * length) / 2.0;
        Scale { left, top: names + (high - yard * width).max(0.0) / 2.0, yard }
    }

    fn x(&self, yards: f32) -> f32 {
        self.left + yards * self.yard
    }
}

/// Pixels from the middle of the ball to the tip of its arrow.
const ARROW: f32 = 26.0;
/// Pixels above the field for the name of one line.
const NAME: f32 = 16.0;

/// The lines by their places, from west to east; lines in one place share their names.
fn named(plan: &Plan) -> Vec<(String, f32)> {
    let mut across = plan.across.clone();
    across.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut named: Vec<(String, f32)> = Vec::new();
    for (name, x) in across {
        match named.last_mut().filter(|(_, at)| (*at - x).abs() < 0.01) {
            Some((names, _)) => *names = format!("{names}, {name}"),
            None => named.push((name, x)),
        }
    }
    named
}

impl Drawn {
    fn paint(&self, frame: &mut Frame) {
        let scale = Scale::new(&self.plan, frame.size());
        self.floor(frame, &scale);
        self.ends(frame, &scale);
        self.lines(frame, &scale);
        self.ball(frame, &scale);
    }

    fn floor(&self, frame: &mut Frame, scale: &Scale) {
        let (length, width, end) = self.plan.size;
        let corner = Point::new(scale.x(-end), scale.top);
        let whole = Size::new((length + 2.0 * end) * scale.yard, width * scale.yard);
        frame.fill_rectangle(corner, whole, self.palette.floor.color());
        let chalk = |width: f32, alpha: f32| {
            Stroke::default().with_color(self.palette.chalk.faint(alpha)).with_width(width)
        };
        let down = |x: f32| Path::line(Point::new(x, scale.top), Point::new(x, scale.top + whole.height));
        let mut yards = 0.0;
        while yards <= length {
            let goal = yards == 0.0 || yards == length;
            frame.stroke(&down(scale.x(yards)), if goal { chalk(2.0, 1.0) } else { chalk(1.0, 0.35) });
            yards += 5.0;
        }
        let edge = if self.plan.walled { self.palette.wall } else { self.palette.chalk };
        let around = Path::rectangle(corner, whole);
        let thick = if self.plan.walled { 4.0 } else { 2.0 };
        frame.stroke(&around, Stroke::default().with_color(edge.color()).with_width(thick));
    }

    fn ends(&self, frame: &mut Frame, scale: &Scale) {
        let (length, width, end) = self.plan.size;
        // The ball and its arrow lie in the middle: a name that they reach stands above them.
        let reached =
            |x: f32| self.plan.ball.is_some_and(|ball| (scale.x(ball) - scale.x(x)).abs() < ARROW + NAME);
        for (name, x) in [(&self.plan.ends.0, -end / 2.0), (&self.plan.ends.1, length + end / 2.0)] {
            let down = if reached(x) { width / 4.0 } else { width / 2.0 };
            frame.with_save(|frame| {
                frame.translate(iced::Vector::new(scale.x(x), scale.top + down * scale.yard));
                frame.rotate(iced::Radians(-std::f32::consts::FRAC_PI_2));
                frame.fill_text(self.text(name.clone(), Point::ORIGIN, self.palette.chalk.color()));
            });
        }
    }

    /// Lines of the rules, dashed. Their names stand above the field as a stair, so that near ones do not touch, each beside
    /// the thread that leads to its line, on the side where the field has more room: to its west with the easternmost in
    /// the top row, or the other way round.
    fn lines(&self, frame: &mut Frame, scale: &Scale) {
        let bottom = scale.top + self.plan.size.1 * scale.yard;
        let named = named(&self.plan);
        let rows = named.len();
        let middle = named.iter().map(|(_, yards)| yards).sum::<f32>() / rows.max(1) as f32;
        let (to_west, away) = if middle * 2.0 >= self.plan.size.0 { (true, -6.0) } else { (false, 6.0) };
        for (number, (name, yards)) in named.into_iter().enumerate() {
            let x = scale.x(yards);
            let from_top = if to_west { rows - 1 - number } else { number };
            let row = NAME * (from_top as f32 + 0.5);
            let dash = LineDash { segments: &[6.0, 4.0], offset: 0 };
            let line = Path::line(Point::new(x, scale.top), Point::new(x, bottom));
            let stroke = Stroke { line_dash: dash, ..Stroke::default() };
            frame.stroke(&line, stroke.with_color(self.palette.accent.color()).with_width(2.0));
            let up = Path::line(Point::new(x, row), Point::new(x, scale.top));
            frame.stroke(&up, Stroke::default().with_color(self.palette.muted.color()).with_width(1.0));
            let words = self.text(name, Point::new(x + away, row), self.palette.ink.color());
            let align_x = if to_west { Alignment::Right } else { Alignment::Left };
            frame.fill_text(Text { align_x, ..words });
        }
    }

    fn ball(&self, frame: &mut Frame, scale: &Scale) {
        let middle = scale.top + self.plan.size.1 * scale.yard / 2.0;
        let ink = self.palette.chalk.color();
        if let Some(from) = self.plan.from {
            let ring = Path::circle(Point::new(scale.x(from), middle), 6.0);
            frame.stroke(&ring, Stroke::default().with_color(ink).with_width(2.0));
            if let Some(ball) = self.plan.ball {
                let way = Path::line(Point::new(scale.x(from), middle), Point::new(scale.x(ball), middle));
                frame.stroke(
                    &way,
                    Stroke::default().with_color(self.palette.chalk.faint(0.6)).with_width(1.5),
                );
            }
        }
        let Some(ball) = self.plan.ball else { return };
        let x = scale.x(ball);
        frame.fill(&Path::circle(Point::new(x, middle), 6.5), ink);
        let way = if self.plan.east { 1.0 } else { -1.0 };
        let arrow = Path::new(|path| {
            path.move_to(Point::new(x + way * ARROW, middle));
            path.line_to(Point::new(x + way * 14.0, middle - 7.0));
            path.line_to(Point::new(x + way * 14.0, middle + 7.0));
            path.close();
        });
        frame.fill(&arrow, ink);
    }

    fn text(&self, content: String, position: Point, color: iced::Color) -> Text {
        Text {
            content,
            position,
            color,
            size: size::LEAST.into(),
            font: label::PLAIN,
            align_x: Alignment::Center,
            align_y: Vertical::Center,
            ..Text::default()
        }
    }
}
