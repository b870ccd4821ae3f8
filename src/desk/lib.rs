//! The window. It shows what the library returns and passes on what the official does.
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

/// What the window opens on.
#[derive(Debug, Clone)]
pub enum Window {
    /// A game and its reviews.
    Booth(Box<Opening>),
    /// What the logs show afterwards.
    Week(Weekly),
}

impl Window {
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
    /// Holds the settings.
    pub folder: Folder,
    pub place: Location,
    /// A challenge to begin with, for practice.
    pub rehearsal: Option<Script>,
    /// A folder whose clips are opened as they are finished.
    pub clips: Option<PathBuf>,
}

/// Why the window could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("there is no display to open a window on: {0}")]
    NoDisplay(&'static str),
    /// The toolkit returned an error.
    #[error("the window could not be opened: {0}")]
    Refused(iced::Error),
    /// The toolkit panicked, for instance because a library of the display is missing. Holds its message.
    #[error("the window could not be opened: {0}")]
    GaveUp(String),
}

/// Opens the window and returns when it is closed.
pub fn open(window: Window) -> Result<(), Error> {
    display::hold(|| app::run(window))
}
