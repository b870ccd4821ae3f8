//! The pictures, drawn: one camera large, the others beside each other, and the time bar with its marks.

use super::eye::Eye;
use super::place::{Mode, Remark, Weight};
use super::{Pane, Pictures, Pointed};
use crate::booth::context::Context;
use crate::theme::{Palette, size};
use crate::widget::drawing::drawing;
use crate::widget::{card, label};
use footage::deck::Quality;
use footage::fault::Fault;
use iced::widget::canvas::{Frame, Path, Stroke, Text};
use iced::widget::text::Alignment;
use iced::widget::{Column, Row, column, container, row, space};
use iced::{Element, Length, Point, Size};

/// Room for six lines of text below a picture that is clicked in.
const WORDS: f32 = 112.0;

/// Room for two lines in a tight window.
const FEW_WORDS: f32 = 44.0;

/// The large picture's share of the height.
const LARGE: u16 = 20;

/// Share of the height for this many small pictures: as high as they are when they fill the width.
fn beside(small: usize) -> u16 {
    match small {
        0..=3 => 8,
        4 => 7,
        _ => 5,
    }
}

/// Draws the pictures as large as there is room.
pub(crate) fn view<'a>(pictures: &'a Pictures, context: &Context<'a>) -> Element<'a, Pointed> {
    let palette = context.palette;
    let Some(lead) = pictures.panes.get(pictures.lead) else {
        return label::plain("no clip is open", palette.muted).into();
    };
    let strip = strip_of(pictures, context);
    let large = large(pictures, (pictures.lead, lead), context);
    let mut parts = Column::new().spacing(if context.tight { 4 } else { 10 }).push(mode(pictures, context));
    parts = parts.push(container(large).height(Length::FillPortion(LARGE)));
    let mut words = Column::new().spacing(2);
    let ties: Vec<Remark> = if pictures.places() { Vec::new() } else { pictures.ties_said().collect() };
    let silent = pictures.remarks().is_empty() && ties.is_empty();
    let mut lines: Vec<Remark> = pictures.remarks().iter().cloned().chain(ties).collect();
    if context.tight {
        // There is room for two lines: doubts and what to do come first.
        lines.sort_by_key(|line| line.weight);
    }
    for line in lines {
        let ink = match line.weight {
            Weight::Head | Weight::Plain => palette.ink,
            Weight::Doubt => palette.accent,
            Weight::Aside => palette.muted,
        };
        let font = if line.weight == Weight::Head { label::BOLD } else { label::PLAIN };
        words = words.push(label::small(line.words, ink).font(font));
    }
    // While something is clicked, the large picture takes the room, and does not move under the pointer when there is
    // more text below it.
    if pictures.places() {
        let room = if context.tight { FEW_WORDS } else { WORDS };
        let parts = parts.push(container(words).height(room).clip(true));
        return framed(context, parts);
    }
    if !silent && !context.tight {
        parts = parts.push(words);
    }
    let small = pictures.panes.len() - usize::from(pictures.is_shown());
    if small > 0 && !context.tight {
        parts = parts.push(strip.height(Length::FillPortion(beside(small))));
    }
    if !context.tight {
        parts = parts.push(bar(pictures, lead, context));
    }
    if let Some(told) = &pictures.told {
        parts = parts.push(label::small(told.as_str(), palette.accent));
    }
    framed(context, parts)
}

fn framed<'a>(context: &Context<'a>, parts: Column<'a, Pointed>) -> Element<'a, Pointed> {
    let card = card::card(context.palette, parts).height(Length::Fill);
    if context.tight { card.padding([6, 10]).into() } else { card.into() }
}

/// The name of the mode that is on, and how to leave it. Meanwhile no key answers a step.
fn mode<'a>(pictures: &'a Pictures, context: &Context<'a>) -> Option<Element<'a, Pointed>> {
    let doing = match pictures.place.mode? {
        Mode::Calibrating => "Calibrating",
        Mode::Measuring => "Measuring in",
    };
    let words = format!("{doing} {}: keys answer no step. Esc leaves", context.camera_in_hand());
    Some(label::small(words, context.palette.accent).font(label::BOLD).into())
}

/// The small pictures, beside each other.
fn strip_of<'a>(pictures: &'a Pictures, context: &Context<'a>) -> Row<'a, Pointed> {
    let small = pictures.panes.iter().enumerate();
    let small = small.filter(|(number, _)| *number != pictures.lead || !pictures.is_shown());
    small.fold(Row::new().spacing(10), |strip, (number, pane)| {
        let small = picture(pictures, (number, pane), context);
        strip.push(container(small).width(Length::Fill).height(Length::Fill))
    })
}

/// The picture of the camera in hand, or why it has none.
fn large<'a>(pictures: &'a Pictures, lead: (usize, &'a Pane), context: &Context<'a>) -> Element<'a, Pointed> {
    if pictures.is_shown() {
        return picture(pictures, lead, context);
    }
    let palette = context.palette;
    let own = pictures.panes.iter().find(|pane| pane.camera == context.camera);
    let why = match own.map(|pane| &pane.why) {
        Some(Some(why)) => why.clone(),
        Some(None) => "being opened".to_owned(),
        None => {
            "no clip is open for this camera: its looks are counted by key, its marks are typed".to_owned()
        }
    };
    column![
        label::small(context.camera_in_hand(), palette.ink),
        container(label::small(why, palette.muted)).center(Length::Fill)
    ]
    .spacing(3)
    .into()
}

/// A camera's picture, with its letter and name, the timecode and the picture's quality above it.
fn picture<'a>(
    pictures: &'a Pictures,
    (number, pane): (usize, &'a Pane),
    context: &Context<'a>,
) -> Element<'a, Pointed> {
    let palette = context.palette;
    let large = number == pictures.lead && pictures.is_shown();
    let head = row![
        label::small(context.lettered(pane.camera), palette.ink),
        space().width(Length::Fill),
        label::small(caption(pictures, pane, large), tone(pane, palette)).size(if large {
            size::SMALL
        } else {
            size::LEAST
        })
    ]
    .spacing(10);
    let body: Element<'a, Pointed> = match (&pane.shown, &pane.why) {
        (Some(shown), _) => {
            let part = shown.request.part.map(|part| (&shown.handle, part, shown.request.size));
            Eye {
                pane: number,
                known: pane.room,
                shown: part,
                window: pane.window(),
                overlay: pictures.overlay(number),
                loupe: if large { pictures.loupe.seen() } else { None },
                scale: context.scale,
                clicks: large && pictures.places(),
            }
            .view()
        }
        (None, Some(why)) => {
            container(label::small(why.as_str(), palette.accent)).center(Length::Fill).into()
        }
        (None, None) => container(label::small("being opened", palette.muted)).center(Length::Fill).into(),
    };
    column![head, body].spacing(3).into()
}

fn tone(pane: &Pane, palette: &Palette) -> crate::theme::Ink {
    match pane.shown.as_ref().map(|shown| shown.quality) {
        Some(Quality::NotExact) => palette.accent,
        Some(Quality::Exact | Quality::Proxy) | None => palette.muted,
    }
}

/// "00:41:17;22 · frame 120 of 431 · exact"; only the timecode's last part for a small picture.
fn caption(pictures: &Pictures, pane: &Pane, large: bool) -> String {
    let Some(facts) = &pane.facts else { return String::new() };
    let Some(shown) = &pane.shown else { return String::new() };
    let (frame, quality) = (shown.request.frame, shown.quality);
    let timecode = facts.timecode_of(frame).map(|timecode| timecode.to_string());
    let quality = match quality {
        Quality::Proxy => "moving",
        Quality::Exact => "exact",
        Quality::NotExact => "picture not exact",
    };
    if !large {
        // Second and frame. Hours and minutes stand above the large picture.
        let short = timecode.and_then(|timecode| timecode.get(6..).map(str::to_owned));
        return short.unwrap_or_else(|| frame.to_string());
    }
    let mut parts: Vec<String> = timecode.into_iter().collect();
    parts.push(format!("frame {frame} of {}", facts.frames.len()));
    parts.push(quality.to_owned());
    if let Some(zoom) = pane.sight.zoom() {
        parts.push(format!("{zoom} to 1"));
    }
    if let Some(light) = pictures.light_says() {
        parts.push(light);
    }
    let faults: Vec<&Fault> = facts.faults.iter().filter(|fault| !fault.is_undone()).collect();
    match faults.as_slice() {
        [] => {}
        [one] => parts.push(shortened(&one.to_string())),
        several => parts.push(format!("{} faults", several.len())),
    }
    if let Some((done, of)) = pane.indexing {
        parts.push(format!("looking through, {done} of {of}"));
    }
    parts.join(" · ")
}

/// A fault in one line; `probe` prints it whole.
fn shortened(fault: &str) -> String {
    match fault.char_indices().nth(32) {
        Some((end, _)) => format!("{}…", &fault[..end]),
        None => fault.to_owned(),
    }
}

/// The time bar of the large camera, with its marks and the playhead.
fn bar<'a>(pictures: &Pictures, lead: &Pane, context: &Context<'a>) -> Element<'a, Pointed> {
    let Some(facts) = &lead.facts else { return space().into() };
    let marks = context.review.map_or(Vec::new(), |review| pictures.marks(review, context.cameras));
    let drawn = Bar {
        palette: *context.palette,
        frames: facts.frames.len(),
        at: pictures.frame().unwrap_or(0),
        marks,
    };
    drawing(drawn, Bar::paint).width(Length::Fill).height(46).into()
}

#[derive(Clone, PartialEq)]
struct Bar {
    palette: Palette,
    frames: usize,
    at: usize,
    marks: Vec<(String, usize)>,
}

impl Bar {
    fn paint(&self, frame: &mut Frame) {
        let last = self.frames.saturating_sub(1).max(1) as f32;
        let wide = frame.width() - 12.0;
        let x = |at: usize| 6.0 + wide * (at as f32 / last).min(1.0);
        let line = Size::new(wide, 3.0);
        frame.fill_rectangle(Point::new(6.0, 22.0), line, self.palette.line.color());
        for (moment, at) in &self.marks {
            let tick = Path::line(Point::new(x(*at), 15.0), Point::new(x(*at), 32.0));
            frame.stroke(&tick, Stroke::default().with_color(self.palette.ink.color()).with_width(2.0));
            frame.fill_text(Text {
                content: moment.clone(),
                position: Point::new(x(*at), 0.0),
                color: self.palette.ink.color(),
                size: size::LEAST.into(),
                font: label::PLAIN,
                align_x: if *at as f32 > last * 0.85 { Alignment::Right } else { Alignment::Left },
                ..Text::default()
            });
        }
        let at = x(self.at);
        let head = Path::new(|path| {
            path.move_to(Point::new(at, 24.0));
            path.line_to(Point::new(at - 7.0, 40.0));
            path.line_to(Point::new(at + 7.0, 40.0));
            path.close();
        });
        frame.fill(&head, self.palette.accent.color());
    }
}
