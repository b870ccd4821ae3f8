//! The booth, drawn: the header, the screen that is open, and the page of its keys.

use super::{
    Booth, Message, Pane, after, before, between, challenge, header, pictures, referee, ruling, walk,
};
use crate::booth::context::Hall;
use crate::key_card;
use crate::key_card::told;
use crate::theme::Palette;
use crate::widget::label;
use crate::window_keys::WINDOW_KEYS;
use iced::widget::{column, container};
use iced::{Element, Length, Size};

/// Below this height drawings give way to words.
const LOW: f32 = 860.0;

/// Below this width there is no room for two columns of a review.
const NARROW: f32 = 1180.0;

/// Below this height there is no room for more than the open step, a picture and a line.
const TIGHT: f32 = 640.0;

impl Booth {
    /// The screen in a window of so much room.
    pub(crate) fn view<'a>(&'a self, palette: &'static Palette, room: Size) -> Element<'a, Message> {
        let post = match &self.post {
            Ok(post) => post,
            Err(error) => {
                let words = column![
                    label::call("The log cannot be opened", palette.ink),
                    label::plain(error.as_str(), palette.ink),
                    label::small("Nothing was changed.", palette.muted)
                ];
                return container(words.spacing(10)).center(Length::Fill).into();
            }
        };
        let Some(game) = &post.game else {
            let Pane::Before(before) = &self.pane else { return container(column![]).into() };
            let page = before::view(before, None, post.key_id(), palette).map(Message::Before);
            return container(page).padding([20, 24]).height(Length::Fill).into();
        };
        let hall = Hall {
            palette,
            book: &game.book,
            names: &game.names,
            cameras: &game.cameras,
            camera: self.pictures.in_hand(),
            situation: self.situation(),
            review: post.review(),
            scale: self.window.map_or(1.0, |(width, _)| width as f32 / room.width.max(1.0)),
            narrow: room.width < NARROW,
            low: room.height < LOW,
            tight: room.height < TIGHT,
        };
        let body: Element<'a, Message> = match (&self.pane, post.day()) {
            (Pane::Before(before), day) => {
                before::view(before, day, post.key_id(), palette).map(Message::Before)
            }
            (Pane::Between(between), Some(day)) => between::view(between, day, &hall).map(Message::Between),
            (Pane::Between(_), None) => column![].into(),
            (Pane::Challenge(challenge), _) => challenge::view(challenge, &hall).map(Message::Challenge),
            (Pane::Walk(walk), _) => walk::view(walk, &self.pictures, &hall).map(Message::Walk),
            (Pane::Ruling(ruling) | Pane::Past(ruling), _) => {
                ruling::view(ruling, &hall).map(Message::Ruling)
            }
            (Pane::Referee(referee), _) => referee::view(referee, &hall).map(Message::Referee),
            (Pane::After(after), _) => after::view(after, &hall).map(Message::After),
        };
        let mut page = column![header::view(&hall, &self.now)].spacing(10);
        if let Some(fault) = post.head_fault() {
            let words =
                format!("All acts are kept, but the head beside the log could not be written: {fault}");
            page = page.push(label::small(words, palette.accent));
        }
        let page = container(page.push(body)).padding([6, 24]).height(Length::Fill);
        column![header::edge(&hall, &self.now), page].into()
    }

    /// The page of keys for the screen that is open.
    pub(crate) fn key_card<'a>(&'a self, palette: &'static Palette) -> Element<'a, Message> {
        let mut rows = match &self.pane {
            Pane::Before(_) => told(before::KEYS),
            Pane::Between(_) => told(between::KEYS),
            Pane::Challenge(_) => told(challenge::KEYS),
            Pane::Walk(_) if self.pictures.places() => {
                told(pictures::place::KEYS).into_iter().chain(told(pictures::KEYS)).collect()
            }
            Pane::Walk(_) => told(walk::KEYS).into_iter().chain(told(pictures::KEYS)).collect(),
            Pane::Ruling(_) | Pane::Past(_) => told(ruling::KEYS),
            Pane::Referee(_) => told(referee::KEYS),
            Pane::After(_) => told(after::KEYS),
        };
        rows.extend(told(WINDOW_KEYS));
        let foot = format!("Log and settings lie in {}", self.place.folder().display());
        key_card::page(self.title(), &rows, foot, palette)
    }
}
