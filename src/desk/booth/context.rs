//! What every screen of the booth is drawn with: the colours, the game, the cameras, the review as it stands.

use crate::theme::Palette;
use review::announcement::Names;
use review::fold::Review;
use rules::book::Book;
use rules::game::situation::Situation;

/// One drawing's surroundings.
#[derive(Clone, Copy)]
pub(crate) struct Context<'a> {
    /// The colours.
    pub palette: &'static Palette,
    pub book: &'a Book,
    pub names: &'a Names,
    pub cameras: &'a [String],
    /// The number of the one in hand.
    pub camera: usize,
    /// The situation at the snap.
    pub situation: Option<Situation>,
    /// The review, if one is held.
    pub review: Option<&'a Review>,
    /// Pixels of the screen for one of the toolkit.
    pub scale: f32,
    /// The window has no room for two columns.
    pub narrow: bool,
    /// The window has no room for tall drawings.
    pub low: bool,
    /// The window has room for the least alone: the line that is typed, the open step, a picture.
    pub tight: bool,
}

impl<'a> Context<'a> {
    /// The camera in hand: its letter and its name.
    pub(crate) fn camera_in_hand(&self) -> String {
        lettered(self.cameras, self.camera)
    }
}

pub(crate) fn lettered(cameras: &[String], number: usize) -> String {
    let letter = ('A'..='Z').nth(number).unwrap_or('?');
    match cameras.get(number) {
        Some(camera) => format!("{letter} {camera}"),
        None => "no camera".to_owned(),
    }
}
