//! The booth: one game, its log, the review in hand, and the screen that fits where it is.

mod board;
mod evidence;
mod hall;
mod header;
mod post;
mod typed;
mod walk;

use super::app::{CLOCK_STEP, WINDOW_KEYS};
use super::keys::{self, Chord};
use super::theme::Palette;
use super::widget::{card, say};
use hall::Hall;
use iced::widget::{Column, column, container, row};
use iced::{Element, Length, Size, Task};
use post::Post;
use std::time::Duration;
use tellframe::log::location::Location;
use tellframe::log::session::Done;
use tellframe::review::decide::Command;
use tellframe::review::stamp::Stamp;
use typed::Ground;
use walk::Walk;

/// The booth's state.
pub(crate) struct Booth {
    post: Result<Post, String>,
    pane: Pane,
    now: Stamp,
}

/// Where the official is.
enum Pane {
    /// No review is held.
    Idle,
    /// In a review that is open.
    Walk(Walk),
}

/// What can happen in the booth.
#[derive(Debug, Clone)]
pub(crate) enum Message {
    /// A key that no line to type in took.
    Pressed(Chord),
    /// Time went on.
    Now,
    /// On the walk.
    Walk(walk::Message),
}

impl Booth {
    /// The booth over the log of this place, in the review that was left unfinished if there is one.
    pub(crate) fn open(place: &Location, now: Stamp) -> Booth {
        let post = Post::open(place);
        let pane = match &post {
            Ok(post) => match post.review() {
                Some(review) => Pane::Walk(Walk::new(&post.book, &post.names, review)),
                None => Pane::Idle,
            },
            Err(_) => Pane::Idle,
        };
        Booth { post, pane, now }
    }

    /// What stands above the window.
    pub(crate) fn title(&self) -> &str {
        match &self.pane {
            Pane::Idle => "booth",
            Pane::Walk(_) => "review",
        }
    }

    /// How often the screen must be drawn again by itself: only while a limit runs.
    pub(crate) fn clock_runs(&self) -> Option<Duration> {
        let review = self.post.as_ref().ok()?.review()?;
        (review.times.called.is_some() && !review.is_over()).then_some(CLOCK_STEP)
    }

    /// One message in; what is left to the toolkit out.
    pub(crate) fn update(&mut self, message: Message, now: Stamp) -> Task<Message> {
        self.now = now;
        match (message, &mut self.pane) {
            (Message::Now, _) => Task::none(),
            (Message::Pressed(chord), Pane::Walk(_)) => match keys::act(walk::KEYS, chord) {
                Some(act) => self.walk(walk::Message::Act(act)),
                None => Task::none(),
            },
            (Message::Pressed(_), Pane::Idle) => Task::none(),
            (Message::Walk(message), _) => self.walk(message),
        }
    }

    fn walk(&mut self, message: walk::Message) -> Task<Message> {
        let (Pane::Walk(walk), Ok(post)) = (&mut self.pane, &mut self.post) else { return Task::none() };
        let Some(situation) = post.review().and_then(|review| review.situation()) else {
            return Task::none();
        };
        let ground = Ground { field: &post.book.field, names: &post.names, situation: &situation };
        match walk.update(message, &post.cameras, ground) {
            walk::Action::None => Task::none(),
            walk::Action::Focus(id) => iced::widget::operation::focus(id),
            walk::Action::Do(command) => self.act(command),
            walk::Action::Rule | walk::Action::Ask | walk::Action::Flags | walk::Action::End => Task::none(),
        }
    }

    /// A command to the review: written first, then shown.
    fn act(&mut self, command: Command) -> Task<Message> {
        let (Pane::Walk(walk), Ok(post)) = (&mut self.pane, &mut self.post) else { return Task::none() };
        match post.act(command.clone(), self.now.clone()) {
            Ok(Done::Events(_)) => {
                if let Some(review) = post.review() {
                    walk.refresh(&post.book, &post.names, review);
                }
                walk.done(&command);
                Task::none()
            }
            Ok(Done::No(no)) => match walk.refused(command, no) {
                walk::Action::Focus(id) => iced::widget::operation::focus(id),
                _ => Task::none(),
            },
            Err(error) => {
                walk.told = Some(walk::Told::No {
                    because: error,
                    instead: "nothing was written; try again, and go on by hand if it stays so".to_owned(),
                });
                Task::none()
            }
        }
    }

    /// The screen in a window of so much room.
    pub(crate) fn view<'a>(&'a self, palette: &'static Palette, room: Size) -> Element<'a, Message> {
        let post = match &self.post {
            Ok(post) => post,
            Err(error) => {
                return container(say::plain(error.as_str(), palette.ink)).center(Length::Fill).into();
            }
        };
        let camera = match &self.pane {
            Pane::Walk(walk) => walk.camera,
            Pane::Idle => 0,
        };
        let hall = Hall {
            palette,
            book: &post.book,
            names: &post.names,
            cameras: &post.cameras,
            camera,
            situation: post
                .review()
                .and_then(|review| review.called.as_ref())
                .map(|called| &called.situation),
            review: post.review(),
            narrow: room.width < 1180.0,
        };
        let body: Element<'a, Message> = match &self.pane {
            Pane::Idle => say::plain("no review is held", palette.muted).into(),
            Pane::Walk(walk) => walk::view(walk, &hall).map(Message::Walk),
        };
        column![
            header::edge(&hall, &self.now),
            container(column![header::view(&hall, &self.now), body].spacing(10))
                .padding([6, 24])
                .height(Length::Fill)
        ]
        .into()
    }

    /// The page of keys for the screen that is open.
    pub(crate) fn key_card<'a>(&'a self, palette: &'static Palette) -> Element<'a, Message> {
        let mut rows: Vec<(String, &'static str)> = match &self.pane {
            Pane::Walk(_) => told(walk::KEYS),
            Pane::Idle => Vec::new(),
        };
        rows.extend(told(WINDOW_KEYS));
        let half = rows.len().div_ceil(2);
        let column_of = |rows: &[(String, &'static str)]| {
            rows.iter().fold(Column::new().spacing(6).width(Length::Fill), |column, (chords, says)| {
                column.push(
                    row![
                        container(say::figures(chords.clone(), palette.accent)).width(150),
                        say::plain(*says, palette.ink)
                    ]
                    .spacing(12),
                )
            })
        };
        let (left, right) = rows.split_at(half);
        let page = column![
            say::call("Keys", palette.ink),
            row![column_of(left), column_of(right)].spacing(40),
            say::small("Any key puts this page away. No key destroys anything.", palette.muted)
        ]
        .spacing(18);
        container(card::card(palette, page)).max_width(1100).into()
    }
}

fn told<A>(table: &[keys::Binding<A>]) -> Vec<(String, &'static str)> {
    let chords = |binding: &keys::Binding<A>| {
        binding.chords.iter().map(ToString::to_string).collect::<Vec<_>>().join("  ")
    };
    table.iter().map(|binding| (chords(binding), binding.says)).collect()
}
