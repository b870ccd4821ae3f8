//! The view of the booth: the header, the open screen, and the page of its keys.

use super::in_game::InGame;
use super::post::Post;
use super::{
    At, Booth, Message, Screen, State, after, before, between, brought, card, challenge, end, games, header,
    penalties, referee, ruling, station, walk,
};
use crate::booth::context::Context;
use crate::key_card;
use crate::key_card::rows;
use crate::theme::Palette;
use crate::widget::label;
use crate::window_keys::WINDOW_KEYS;
use iced::widget::{column, container};
use iced::{Element, Length, Size};
use rules::game::situation::Situation;

/// Below this height there is no room for tall drawings.
const LOW: f32 = 860.0;
/// Below this width there is no room for two columns of a review.
const NARROW: f32 = 1180.0;
/// Below this height there is only room for the open step, a picture and a line.
const TIGHT: f32 = 640.0;

impl Booth {
    pub(crate) fn view<'a>(&'a self, palette: &'static Palette, room: Size) -> Element<'a, Message> {
        match &self.state {
            State::Broken(undone) => {
                let words = column![
                    label::call("The log cannot be opened", palette.ink),
                    label::plain(undone.page(), palette.ink),
                    label::small("Nothing was changed.", palette.muted)
                ];
                container(words.spacing(10)).center(Length::Fill).into()
            }
            State::Held(held) => match &held.at {
                At::NoGame(card) => {
                    let page = card::view(card, palette).map(Message::Card);
                    container(page).padding([20, 24]).height(Length::Fill).into()
                }
                At::Games(games) => {
                    let page = games::view(games, palette).map(Message::Games);
                    container(page).padding([20, 24]).height(Length::Fill).into()
                }
                At::Game(game) => self.game(game, &held.post, palette, room),
            },
        }
    }

    fn game<'a>(
        &'a self,
        game: &'a InGame,
        post: &'a Post,
        palette: &'static Palette,
        room: Size,
    ) -> Element<'a, Message> {
        let InGame { game, screen, pictures, .. } = game;
        let context = Context {
            palette,
            book: &game.book,
            names: &game.names,
            cameras: &game.cameras,
            day: game.day(),
            camera: pictures.in_hand(),
            situation: situation(game, screen),
            review: game.review(),
            scale: self.window.map_or(1.0, |(width, _)| width as f32 / room.width.max(1.0)),
            narrow: room.width < NARROW,
            low: room.height < LOW,
            tight: room.height < TIGHT,
        };
        let day = context.day;
        let body: Element<'a, Message> = match screen {
            Screen::Before(before) => before::view(before, day, post.key_id(), palette).map(Message::Before),
            Screen::Between(between) => between::view(between, day, &context).map(Message::Between),
            Screen::Challenge(challenge) => challenge::view(challenge, &context).map(Message::Challenge),
            Screen::Walk(walk) => walk::view(walk, pictures, &context).map(Message::Walk),
            Screen::Ruling(ruling) | Screen::Past(ruling) => {
                ruling::view(ruling, &context).map(Message::Ruling)
            }
            Screen::Penalties(penalties) => penalties::view(penalties, &context).map(Message::Penalties),
            Screen::Brought(brought) => brought::view(brought, &context).map(Message::Brought),
            Screen::Referee(referee) => referee::view(referee, &context).map(Message::Referee),
            Screen::After(after) => after::view(after, &context).map(Message::After),
            Screen::Station(station) => {
                station::view(station, day, &game.book, palette).map(Message::Station)
            }
            Screen::End(ending) => end::view(ending, day, &context).map(Message::End),
            Screen::Card(card) => card::view(card, palette).map(Message::Card),
        };
        let mut page = column![header::view(&context, &self.now)].spacing(10);
        if let Some(fault) = post.head_fault() {
            let words =
                format!("All acts are kept, but the head beside the log could not be written: {fault}");
            page = page.push(label::small(words, palette.accent));
        }
        let page = container(page.push(body)).padding([6, 24]).height(Length::Fill);
        column![header::edge(&context, &self.now), page].into()
    }

    pub(crate) fn key_card<'a>(&'a self, palette: &'static Palette) -> Element<'a, Message> {
        let mut all = match &self.state {
            State::Broken(_) => Vec::new(),
            State::Held(held) => match &held.at {
                At::NoGame(_) => rows(card::KEYS),
                At::Games(_) => rows(games::KEYS),
                At::Game(game) => game.screen.keys(&game.pictures),
            },
        };
        all.extend(rows(WINDOW_KEYS));
        let foot = format!("Log and settings lie in {}", self.place.folder().display());
        key_card::page(self.title(), &all, foot, palette)
    }
}

/// The situation that the screen is about.
fn situation(game: &super::Game, screen: &Screen) -> Option<Situation> {
    match (screen, game.review()) {
        (Screen::Challenge(challenge), None) => challenge.situation(),
        (_, Some(review)) => review.situation(),
        (_, None) => game.day().situation(),
    }
}
