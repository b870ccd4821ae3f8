//! A small map of a question: the path taken, the paths left, the findings at their ends.

use crate::theme::Palette;
use crate::widget::drawing::drawing;
use iced::widget::canvas::{Frame, Path, Stroke};
use iced::{Element, Length, Point, Size};
use rules::book::diagram::layout;
use rules::book::diagram::layout::layout;
use rules::book::tree::{Set, Tree};

/// The layout of a question, made once. The answers are drawn over it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Ground {
    nodes: Vec<Point>,
    arrows: Vec<(usize, usize)>,
    steps: usize,
    size: Size,
}

/// What the answers have settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Way {
    /// Steps that can still be reached, or were.
    pub reached: Set,
    pub answered: Set,
    pub open: Option<usize>,
    /// Findings still possible.
    pub possible: Set,
}

impl Ground {
    /// Lays out a tree.
    pub(crate) fn of(tree: &Tree) -> Ground {
        let nodes = tree.steps.len() + tree.findings.len();
        let laid = layout(tree, &vec![layout::Size { width: 14, height: 14 }; nodes]);
        // Layers lie flat here: paths run from left to right.
        let flat = |(x, y): (i64, i64)| Point::new(y as f32, x as f32);
        Ground {
            nodes: laid.places.iter().map(|place| flat(*place)).collect(),
            arrows: laid.arrows.iter().map(|arrow| (arrow.from, arrow.to)).collect(),
            steps: tree.steps.len(),
            size: Size::new(laid.height as f32, laid.width as f32),
        }
    }
}

pub(crate) fn map<'a, M: 'a>(palette: &Palette, ground: Ground, way: Way, height: f32) -> Element<'a, M> {
    let drawn = Drawn { palette: *palette, ground, way };
    drawing(drawn, Drawn::paint).width(Length::Fill).height(height).into()
}

/// Room around the outermost nodes.
const MARGIN: f32 = 10.0;

#[derive(Clone, PartialEq)]
struct Drawn {
    palette: Palette,
    ground: Ground,
    way: Way,
}

impl Drawn {
    fn paint(&self, frame: &mut Frame) {
        let size = self.ground.size;
        let (room_x, room_y) = (frame.width() - 2.0 * MARGIN, frame.height() - 2.0 * MARGIN);
        let (x, y) = (room_x / size.width.max(1.0), room_y / size.height.max(1.0));
        let at = |point: &Point| Point::new(MARGIN + point.x * x, MARGIN + point.y * y);
        let places: Vec<Point> = self.ground.nodes.iter().map(at).collect();
        for (from, to) in &self.ground.arrows {
            let (Some(start), Some(end)) = (places.get(*from), places.get(*to)) else { continue };
            let live = self.live(*from) && self.live(*to);
            let (ink, width) =
                if live { (self.palette.ink.color(), 1.6) } else { (self.palette.line.color(), 1.0) };
            frame.stroke(&bow(*start, *end), Stroke::default().with_color(ink).with_width(width));
        }
        for (node, place) in places.iter().enumerate() {
            self.node(frame, node, *place);
        }
    }

    fn live(&self, node: usize) -> bool {
        match node.checked_sub(self.ground.steps) {
            Some(finding) => self.way.possible.has(finding),
            None => self.way.reached.has(node),
        }
    }

    /// Steps are discs: filled once answered, ringed while open to answer. Findings are squares: filled while
    /// possible, crossed once excluded.
    fn node(&self, frame: &mut Frame, node: usize, place: Point) {
        let Palette { ink, line, accent, card, .. } = self.palette;
        let live = self.live(node);
        let tone = if live { ink.color() } else { line.color() };
        let stroke = Stroke::default().with_color(tone).with_width(1.8);
        if let Some(finding) = node.checked_sub(self.ground.steps) {
            let side = 8.0;
            let corner = Point::new(place.x - side / 2.0, place.y - side / 2.0);
            let square = Path::rectangle(corner, Size::new(side, side));
            if self.way.possible.has(finding) {
                frame.fill(&square, tone);
            } else {
                frame.fill(&square, card.color());
                let (a, b) = (side / 2.0, -side / 2.0);
                for (from, to) in [((b, b), (a, a)), ((b, a), (a, b))] {
                    let from = Point::new(place.x + from.0, place.y + from.1);
                    frame.stroke(&Path::line(from, Point::new(place.x + to.0, place.y + to.1)), stroke);
                }
            }
            return;
        }
        let disc = Path::circle(place, 4.5);
        frame.fill(&disc, if self.way.answered.has(node) { tone } else { card.color() });
        frame.stroke(&disc, stroke);
        if self.way.open == Some(node) {
            let around = Path::circle(place, 8.5);
            frame.stroke(&around, Stroke::default().with_color(accent.color()).with_width(2.0));
        }
    }
}

/// An arrow that leaves and arrives level.
fn bow(start: Point, end: Point) -> Path {
    let middle = (start.x + end.x) / 2.0;
    Path::new(|path| {
        path.move_to(start);
        path.bezier_curve_to(Point::new(middle, start.y), Point::new(middle, end.y), end);
    })
}
