//! What the window shows: the booth, or the supervisor's week.

use super::booth::{self, Booth};
use super::keys::Chord;
use super::theme::Palette;
use super::week::{self, Week};
use super::{Opening, Window};
use host::clock;
use iced::{Element, Size, Task};
use std::path::PathBuf;
use std::time::Duration;

pub(super) enum Screen {
    Booth(Box<Booth>),
    Week(Box<Week>),
}

#[derive(Debug, Clone)]
pub(crate) enum Message {
    Booth(booth::Message),
    Week(week::Message),
}

impl Screen {
    /// The screen of this window, with its first task.
    pub(super) fn open(window: &Window) -> (Screen, Task<Message>) {
        match window {
            Window::Booth(opening) => Screen::booth(opening),
            Window::Week(weekly) => {
                let (week, read) = Week::open(weekly.clone());
                (Screen::Week(Box::new(week)), read.map(Message::Week))
            }
        }
    }

    fn booth(opening: &Opening) -> (Screen, Task<Message>) {
        let booth = Booth::open(opening, clock::now());
        let typing = booth.begin_typing().map(Message::Booth);
        (Screen::Booth(Box::new(booth)), typing)
    }

    pub(super) fn title(&self) -> String {
        match self {
            Screen::Booth(booth) => booth.title().to_owned(),
            Screen::Week(week) => week.title(),
        }
    }

    /// Redraw interval while a clock runs.
    pub(super) fn clock_runs(&self) -> Option<Duration> {
        match self {
            Screen::Booth(booth) => booth.clock_runs(),
            Screen::Week(_) => None,
        }
    }

    /// Messages for the other kind of screen are ignored: the week has no clock, no clips, and no pictures that depend
    /// on the size of the window.
    pub(super) fn update(&mut self, message: Message) -> Task<Message> {
        match (self, message) {
            (Screen::Booth(booth), Message::Booth(message)) => {
                booth.update(message, clock::now()).map(Message::Booth)
            }
            (Screen::Week(week), Message::Week(message)) => week.update(message).map(Message::Week),
            (Screen::Booth(_), Message::Week(_)) | (Screen::Week(_), Message::Booth(_)) => Task::none(),
        }
    }

    pub(super) fn pressed(&mut self, chord: Chord) -> Task<Message> {
        match self {
            Screen::Booth(_) => self.update(Message::Booth(booth::Message::Pressed(chord))),
            Screen::Week(_) => self.update(Message::Week(week::Message::Pressed(chord))),
        }
    }

    pub(super) fn tick(&mut self) -> Task<Message> {
        self.update(Message::Booth(booth::Message::Now))
    }

    /// Sets the window size, in the system's own units.
    pub(super) fn room(&mut self, window: Size) -> Task<Message> {
        let room = (window.width as u32, window.height as u32);
        self.update(Message::Booth(booth::Message::Room(room)))
    }

    pub(super) fn dropped(&mut self, path: PathBuf) -> Task<Message> {
        self.update(Message::Booth(booth::Message::Dropped(path)))
    }

    pub(super) fn view(&self, palette: &'static Palette, room: Size) -> Element<'_, Message> {
        match self {
            Screen::Booth(booth) => booth.view(palette, room).map(Message::Booth),
            Screen::Week(week) => week.view(palette, room).map(Message::Week),
        }
    }

    pub(super) fn key_card(&self, palette: &'static Palette) -> Element<'_, Message> {
        match self {
            Screen::Booth(booth) => booth.key_card(palette).map(Message::Booth),
            Screen::Week(week) => week.key_card(palette).map(Message::Week),
        }
    }
}
