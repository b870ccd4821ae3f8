//! The window. It shows what the library says and gives it what the official does.
//!
//! Never here: a rule, a statistic, SQL. Whether something may be done is the review's answer, not a switch of
//! a screen.

mod app;
mod booth;
mod display;
mod key_card;
mod keys;
mod screen;
mod settings;
mod stills;
#[cfg(test)]
mod support;
mod text;
mod theme;
mod week;
mod widget;
mod window_keys;
mod written;

use formats::script::Script;
use host::data::Folder;
use log::store::location::Location;
use std::path::PathBuf;

pub use week::{Named, Weekly};

/// What the window is for.
#[derive(Debug, Clone)]
pub enum Window {
    /// A game and its reviews.
    Booth(Box<Opening>),
    /// What the logs say afterwards.
    Week(Weekly),
}

impl Window {
    /// Where settings lie.
    fn folder(&self) -> &Folder {
        match self {
            Window::Booth(opening) => &opening.folder,
            Window::Week(weekly) => &weekly.folder,
        }
    }
}

/// What the booth opens on.
#[derive(Debug, Clone)]
pub struct Opening {
    /// Where settings lie.
    pub folder: Folder,
    /// Whose log it is.
    pub place: Location,
    /// A challenge to begin with, for practice.
    pub rehearsal: Option<Script>,
    /// A folder whose clips are opened as they are finished.
    pub clips: Option<PathBuf>,
}

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// Nothing to draw on.
    #[error("there is no display to open a window on: {0}")]
    NoDisplay(&'static str),
    /// The toolkit refused.
    #[error("the window could not be opened: {0}")]
    Refused(iced::Error),
    /// The toolkit gave up, for instance since a library of the display is not there; in its words.
    #[error("the window could not be opened: {0}")]
    GaveUp(String),
}

/// Opens the window and holds it until it is closed.
pub fn open(window: Window) -> Result<(), Error> {
    display::hold(|| app::run(window))
}
