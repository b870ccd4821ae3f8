//! The evidence of a review: its marks in the order of their moments, looks by camera, the lines of the snap.
//!
//! Without footage, marks are typed: the camera, and the timecode in its picture.

use super::board::Line;
use crate::booth::context::Context;
use crate::theme::{Palette, size};
use crate::widget::{card, field, label};
use ::field::exact::Yards;
use iced::widget::{Column, Row, column, container, row, scrollable};
use iced::{Element, Length};
use review::announcement::{clock_text, spot};
use review::event::Marked;
use review::marking::in_force;
use rules::book::line::Figure;
use rules::game::situation::{End, Situation, Team};

/// The right side of the walk.
pub(crate) fn view<'a, M: 'a>(context: &Context<'a>, open: Option<&'a Line>) -> Element<'a, M> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(14);
    if let Some(situation) = &context.situation {
        let drawn =
            field::field(palette, plan(context, situation, None), if context.low { 190.0 } else { 250.0 });
        parts = parts.push(card::card(palette, drawn));
    }
    let table = column![cameras(context), card::divide(palette), marks(context, open)].spacing(8);
    parts.push(card::card(palette, table).height(Length::Fill)).into()
}

/// The cameras with their letters and how often each was looked at.
fn cameras<'a, M: 'a>(context: &Context<'a>) -> Element<'a, M> {
    let mut cameras = Row::new().spacing(22);
    for (number, camera) in context.cameras.iter().enumerate() {
        let looks =
            context.review.map_or(0, |review| review.looks().filter(|look| look.camera == *camera).count());
        let (ink, font) = match number == context.camera {
            true => (context.palette.accent, label::BOLD),
            false => (context.palette.ink, label::PLAIN),
        };
        let hand = if number == context.camera { " · in hand" } else { "" };
        let words = format!("{}{hand}", context.lettered(number));
        cameras = cameras.push(
            column![
                label::plain(words, ink).font(font),
                label::small(counted(looks, "look"), context.palette.muted),
            ]
            .spacing(2),
        );
    }
    cameras.wrap().into()
}

fn counted(count: usize, what: &str) -> String {
    match count {
        0 => format!("no {what}"),
        1 => format!("1 {what}"),
        count => format!("{count} {what}s"),
    }
}

fn marks<'a, M: 'a>(context: &Context<'a>, open: Option<&'a Line>) -> Element<'a, M> {
    let palette = context.palette;
    let Some(review) = context.review else { return label::plain("no review", palette.muted).into() };
    let head = |words: &'static str| label::small(words, palette.muted);
    let mut table = Column::new().spacing(6).push(columns([
        head("moment").into(),
        head("camera").into(),
        head("timecode").into(),
        head("spot").into(),
        head("game clock").into(),
    ]));
    let counts = in_force(review);
    for marked in review.marks() {
        let is_replaced = !counts.iter().any(|counted| std::ptr::eq(*counted, marked));
        let timecode = marked.mark.timecode.to_string();
        let timecode = if is_replaced { format!("{timecode}, replaced") } else { timecode };
        let of_open = open.is_some_and(|line| line.moments.contains(&marked.mark.moment));
        let ink = if of_open { palette.ink } else { palette.muted };
        table = table.push(columns([
            label::plain(marked.mark.moment.clone(), ink).into(),
            label::plain(marked.mark.camera.clone(), ink).into(),
            label::small(timecode, ink).size(size::TEXT).into(),
            label::plain(place(context, marked), ink).into(),
            label::plain(marked.clock_ms.map_or(String::new(), clock_text), ink).into(),
        ]));
    }
    if review.marks().next().is_none() {
        table = table.push(label::plain("no marks yet", palette.muted));
    }
    scrollable(table).height(Length::Fill).into()
}

fn columns<'a, M: 'a>(cells: [Element<'a, M>; 5]) -> Element<'a, M> {
    let shares = [4, 3, 3, 2, 2];
    cells
        .into_iter()
        .zip(shares)
        .fold(Row::new().spacing(10), |row, (cell, share)| {
            row.push(container(cell).width(Length::FillPortion(share)))
        })
        .into()
}

fn place(context: &Context<'_>, marked: &Marked) -> String {
    match (marked.x, &context.situation) {
        (Some(x), Some(situation)) => spot(&context.book.field, context.names, situation, x),
        (Some(_) | None, _) => String::new(),
    }
}

/// The field with the ball and the lines of the coming snap; `after` is where a ruling would put the ball.
pub(crate) fn plan(context: &Context<'_>, situation: &Situation, after: Option<&Situation>) -> field::Plan {
    let rules = &context.book.field;
    let snap = situation.snap(rules);
    let across = context.book.lines.iter().filter_map(|line| match line.figure(snap, rules)? {
        Figure::Across(x) => Some((line.name.clone(), from_west(x, rules.length, situation.attacks))),
        Figure::Along(..) | Figure::Between(_) => None,
    });
    let here = |of: &Situation| from_west(of.spot, rules.length, of.attacks);
    let west = match (situation.offense, situation.attacks) {
        (Team::Home, End::East) | (Team::Away, End::West) => Team::Home,
        (Team::Home, End::West) | (Team::Away, End::East) => Team::Away,
    };
    field::Plan {
        size: (rules.length.as_f64() as f32, rules.width.as_f64() as f32, rules.end_zone.as_f64() as f32),
        walled: rules.wall_ft.is_some(),
        ball: Some(here(after.unwrap_or(situation))),
        from: after.map(|_| here(situation)),
        east: after.unwrap_or(situation).attacks == End::East,
        across: if after.is_some() { Vec::new() } else { across.collect() },
        ends: (context.names.short.of(west).clone(), context.names.short.of(west.other()).clone()),
    }
}

/// Yards from the west goal line, given yards from the offense's own.
fn from_west(x: Yards, length: Yards, attacks: End) -> f32 {
    let x = match attacks {
        End::East => x,
        End::West => length - x,
    };
    x.as_f64() as f32
}

/// The marks of a step in a line, which breaks between marks only.
pub(crate) fn marks_line(marks: &[String]) -> String {
    marks.iter().map(|mark| mark.replace(' ', "\u{a0}")).collect::<Vec<_>>().join("   ")
}

/// A row of a label and a value.
pub(crate) fn pair<'a, M: 'a>(context: &Context<'a>, label: &'a str, value: String) -> Element<'a, M> {
    pair_of(context.palette, label, value)
}

/// The same, where no game is open.
pub(crate) fn pair_of<'a, M: 'a>(palette: &Palette, label: &'a str, value: String) -> Element<'a, M> {
    row![
        container(label::small(label, palette.muted)).width(Length::FillPortion(2)),
        container(label::plain(value, palette.ink)).width(Length::FillPortion(5))
    ]
    .spacing(12)
    .into()
}
