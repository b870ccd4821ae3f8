//! The supervisor's week, drawn: the tabs at the top, the list on the left, the selected item on the right.

use super::board::{Board, Detail};
use super::keys::{Act, Given, KEYS};
use super::line::{Line, Of};
use super::{Message, Reading, Tab, Week, What, edition, grading, line_id, pairs, precedents, time, tracks};
use crate::key_card;
use crate::key_card::rows;
use crate::keys::shown;
use crate::theme::{Palette, size};
use crate::widget::key::{Weight, key, line as clickable};
use crate::widget::{card, entry, label};
use crate::window_keys::WINDOW_KEYS;
use formats::audit::CAUTION;
use iced::widget::{Column, Row, column, container, row, scrollable, space};
use iced::{Element, Length, Size, alignment};
use std::borrow::Cow;

pub(super) fn view<'a>(week: &'a Week, palette: &'static Palette, room: Size) -> Element<'a, Message> {
    let body: Element<'a, Message> = match &week.reading {
        Reading::On => plain("The logs are being read.", palette),
        Reading::Unread(error) => plain(error.line(), palette),
        Reading::Done(_) => body(week, palette, room),
    };
    column![header(week, palette), tabs(week, palette), body, foot(week, palette)]
        .spacing(14)
        .padding([16, 24])
        .into()
}

fn plain<'a>(words: impl Into<Cow<'a, str>>, palette: &'static Palette) -> Element<'a, Message> {
    card::card(palette, label::plain(words.into(), palette.ink)).height(Length::Fill).into()
}

fn header<'a>(week: &'a Week, palette: &'static Palette) -> Element<'a, Message> {
    let title = week.week.map_or("All weeks".to_owned(), |week| format!("Week {week}"));
    row![
        label::call(title, palette.ink),
        label::small(week.board.lead.as_str(), palette.muted).width(Length::Fill),
        label::small("← → another week", palette.muted)
    ]
    .spacing(24)
    .align_y(alignment::Vertical::Center)
    .into()
}

fn tabs<'a>(week: &'a Week, palette: &'static Palette) -> Element<'a, Message> {
    let tab = |tab: Tab| {
        let weight = if week.tab == tab { Weight::Chosen } else { Weight::Plain };
        key(palette, tab.name(), shown(KEYS, Act::Tab(tab)), weight, Some(Message::Act(Act::Tab(tab))))
    };
    Row::with_children(Tab::ALL.into_iter().map(tab)).spacing(10).wrap().into()
}

fn body<'a>(week: &'a Week, palette: &'static Palette, room: Size) -> Element<'a, Message> {
    let board = &week.board;
    if board.lines.is_empty() && matches!(board.detail, Detail::Nothing) {
        return plain(board.nothing, palette);
    }
    let list = card::card(palette, list(week, board, palette, room)).height(Length::Fill);
    let detail: Element<'a, Message> = match &board.detail {
        Detail::Nothing => label::plain(board.nothing, palette.muted).into(),
        Detail::Pair(pair) => pairs::draw_pair(pair, palette),
        Detail::Change(change) => pairs::draw_change(change, palette),
        Detail::Time(time) => time::view(time, palette),
        Detail::Tracks(all) => tracks::view(all, palette),
        Detail::Sheet(sheet) => grading::view(sheet, palette),
        Detail::Precedent(one) => precedents::view(one, palette),
        Detail::Edition(one) => edition::view(one, palette),
    };
    let detail = card::card(palette, scrollable(detail).spacing(6)).height(Length::Fill);
    row![list.width(Length::FillPortion(4)), detail.width(Length::FillPortion(9))]
        .spacing(16)
        .height(Length::Fill)
        .into()
}

/// As many lines as fit, with the selected one among them, so that a list of thousands is drawn as fast as a short one.
fn list<'a>(week: &'a Week, board: &'a Board, palette: &'static Palette, room: Size) -> Element<'a, Message> {
    if board.lines.is_empty() {
        return label::small(board.nothing, palette.muted).into();
    }
    let chosen = if chosen(week).is_some() { CHOSEN } else { 0.0 };
    let typed = if week.typing.is_some() { TYPED } else { 0.0 };
    let told = if week.told.is_some() { TOLD } else { 0.0 };
    let tabs = if room.width < TABS_WIDE { SECOND_ROW } else { 0.0 };
    let fit = (((room.height - AROUND - tabs - typed - chosen - told) / LINE) as usize).max(2);
    let at = week.pointed();
    let first = at.saturating_sub(fit / 2).min(board.lines.len().saturating_sub(fit));
    let mut lines = Column::new().spacing(2);
    for (number, line) in board.lines.iter().enumerate().skip(first).take(fit) {
        lines = lines.push(clickable(palette, one(line, palette), number == at, Message::Line(number)));
    }
    let count = match board.more {
        0 => format!("{} of {}", at + 1, board.lines.len()),
        more => format!("{} of {}, and {more} more", at + 1, board.lines.len()),
    };
    column![lines.height(Length::Fill), label::small(count, palette.muted)]
        .spacing(6)
        .height(Length::Fill)
        .into()
}

/// Height of a line of the list, and of everything around the list.
const LINE: f32 = 66.0;
const AROUND: f32 = 320.0;
/// In a window narrower than `TABS_WIDE` the tabs need a second row, which takes `SECOND_ROW` from the list.
const TABS_WIDE: f32 = 1100.0;
const SECOND_ROW: f32 = 48.0;
/// Height that a line to type in and a message take from the list.
const TYPED: f32 = 70.0;
const TOLD: f32 = 36.0;
/// Height that a chosen grade takes from the list.
const CHOSEN: f32 = 52.0;

fn one<'a>(line: &'a Line, palette: &'static Palette) -> Element<'a, Message> {
    let ink = if line.look { palette.accent } else { palette.ink };
    let head = label::small(line.head.as_str(), ink).wrapping(iced::widget::text::Wrapping::None);
    let under = label::small(line.under.as_str(), palette.muted).size(size::LEAST).height(34);
    container(column![head, under].spacing(2)).clip(true).into()
}

fn foot<'a>(week: &'a Week, palette: &'static Palette) -> Element<'a, Message> {
    let mut parts = Column::new().spacing(8);
    if let Some(typing) = &week.typing {
        let label = match typing.what {
            What::Regrade(_) => "Why? Enter signs it, Esc leaves it. Both grades are kept.",
            What::Poor => {
                "Type `camera: sight line it lacked: why it matters` (end zone: along the goal line: the ball is hidden)"
            }
            What::Position => week.crew.asks.as_str(),
            What::Letter => "The answer to the oldest letter that waits",
            What::Approve => "Approve: the weeks, a colon, why (7-12: it came up twice; 7: from week 7 on)",
            What::Narrow => {
                "Narrow: the weeks, a colon, the facts that must match, a colon, why (7: down is 4, late is yes: only late)"
            }
            What::Withdraw => "Withdraw: the first week without it, a colon, the reason",
            What::Folder => "The folder of a rule book (it holds a book.ron), or the name of a built-in one",
        };
        let line = entry::Line { id: line_id(), hint: "", text: &typing.text };
        parts = parts.push(entry::entry(palette, label, line, Message::Typed));
    }
    if let Some(given) = chosen(week) {
        let act = Act::Sign;
        let sign = key(palette, "sign it", shown(KEYS, act), Weight::Plain, Some(Message::Act(act)));
        let signs = label::plain(signs(week, given), palette.accent).width(Length::Fill);
        let line = row![signs].push(week.typing.is_none().then_some(sign));
        parts = parts.push(line.spacing(12).align_y(alignment::Vertical::Center));
    }
    if let Some(told) = &week.told {
        parts = parts.push(label::plain(told.as_str(), palette.accent));
    }
    let button = |word: &'static str, act: Act| {
        key(palette, word, shown(KEYS, act), Weight::Plain, Some(Message::Act(act)))
    };
    let mut keys = row![button("write the page", Act::Page), button("read again", Act::Reread)].spacing(10);
    if week.tab == Tab::Grades {
        keys =
            keys.push(button(if week.blind { "show who decided" } else { "hide who decided" }, Act::Blind));
        keys = keys
            .push(button(if week.graded_too { "only ungraded ones" } else { "all records" }, Act::GradedToo));
    }
    if week.tab == Tab::Edition {
        let (again, other) = match week.edition.is_judged() {
            true => ("judge again", button("choose again", Act::Choose)),
            false => ("judge", button("a book in a folder", Act::Type(What::Folder))),
        };
        keys = keys.push(button(again, Act::Judge)).push(other);
    }
    let keys = keys
        .push(space().width(Length::Fill))
        .push(label::small("F1 keys", palette.muted))
        .align_y(alignment::Vertical::Center);
    parts.push(keys).push(label::small(CAUTION, palette.muted).size(size::LEAST)).into()
}

/// The grade that is about to be signed.
fn chosen(week: &Week) -> Option<Given> {
    let typed = || match week.typing.as_ref()?.what {
        What::Regrade(given) => Some(given),
        What::Poor
        | What::Position
        | What::Letter
        | What::Approve
        | What::Narrow
        | What::Withdraw
        | What::Folder => None,
    };
    week.chosen.or_else(typed)
}

/// The grade to be signed, its record, and the grade that it replaces.
fn signs(week: &Week, given: Given) -> String {
    let grade = given.grade();
    let line = week.board.lines.get(week.pointed());
    let of = line.map_or(String::new(), |line| format!(", {} ({})", line.head, line.under));
    let graded = match line.map(|line| &line.of) {
        Some(Of::Record(id)) => week.acts.graded.get(id),
        Some(_) | None => None,
    };
    let stands = graded.and_then(|graded| graded.standing(grade.matter()));
    let stands = stands.map_or(String::new(), |stands| format!(", in place of {}", stands.grade.text()));
    format!("To be signed: {}: {}{stands}{of}", grade.matter().word(), grade.text())
}

pub(super) fn key_card<'a>(palette: &'static Palette) -> Element<'a, Message> {
    let all: Vec<_> = rows(KEYS).into_iter().chain(rows(WINDOW_KEYS)).collect();
    key_card::page("the supervisor's week", &all, CAUTION.to_owned(), palette)
}
