//! What every screen of the booth is drawn with.

use crate::theme::Palette;
use review::announcement::Names;
use review::day::fold::Day;
use review::fold::Review;
use rules::book::Book;
use rules::game::situation::Situation;

/// Shown beside every advice.
pub(crate) const CAUTION: &str =
    "The league's published rules prevail, and the official decides. This desk advises and records.";

/// The game and the window, for one drawing.
#[derive(Clone, Copy)]
pub(crate) struct Context<'a> {
    pub palette: &'static Palette,
    pub book: &'a Book,
    pub names: &'a Names,
    pub cameras: &'a [String],
    /// With the cameras that are out, and who sits at the desk.
    pub day: &'a Day,
    /// Index of the camera in hand.
    pub camera: usize,
    /// At the snap.
    pub situation: Option<Situation>,
    pub review: Option<&'a Review>,
    /// Screen pixels per pixel of the toolkit.
    pub scale: f32,
    /// No room for two columns.
    pub narrow: bool,
    /// No room for tall drawings.
    pub low: bool,
    /// Room only for the open line, the open step and a picture.
    pub tight: bool,
}

impl<'a> Context<'a> {
    /// Letter and name of the camera in hand.
    pub(crate) fn camera_in_hand(&self) -> String {
        self.lettered(self.camera)
    }

    /// Letter and name of a camera, and whether it is out.
    pub(crate) fn lettered(&self, number: usize) -> String {
        let words = lettered(self.cameras, number);
        let is_out = self.cameras.get(number).is_some_and(|camera| self.day.is_out(camera));
        if is_out { words + " (out)" } else { words }
    }
}

pub(crate) fn lettered(cameras: &[String], number: usize) -> String {
    let letter = ('A'..='Z').nth(number).unwrap_or('?');
    match cameras.get(number) {
        Some(camera) => format!("{letter} {camera}"),
        None => "no camera".to_owned(),
    }
}
