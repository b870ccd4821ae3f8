//! Who sits at the desk, which cameras are there, and the card put right while the game is open.

use super::fold::Day;
use super::{Event, GameCard};
use crate::refusal::{Refusal, no, unknown};

/// The card put right. Its id names the game's entries in the log, so it stays; so does the rule book, under which plays
/// and rulings are judged.
pub(super) fn correct_card(day: &Day, to: Box<GameCard>, reason: Option<String>) -> Result<Event, Refusal> {
    let Some(opened) = &day.opened else { return no("no game is open", "open the game with its card") };
    let from = &opened.card;
    if to.game != from.game {
        return no(
            format!("`{}` names the game in the log, and cannot be changed", from.game),
            "leave it; or end this game early and open another with the right one",
        );
    }
    if *to == *from {
        return no("the card says that already", "change what is wrong, or leave it as it is");
    }
    if let Some(out) = day.lost().find(|out| !to.cameras.iter().any(|camera| camera.name == *out)) {
        return no(
            format!("the camera {out} is out, so it must stay on the card"),
            "say first that it is back",
        );
    }
    Ok(Event::CardCorrected { from: Box::new(from.clone()), to, reason })
}

/// Another official sits at the desk.
pub(super) fn hand_over(day: &Day, who: &str) -> Result<Event, Refusal> {
    let who = who.trim();
    if who.is_empty() {
        return no("nobody is named", "write a pseudonym, such as booth-07");
    }
    match &day.official {
        Some(sits) if sits == who => no(format!("{who} sits at the desk already"), "name who comes"),
        from => Ok(Event::HandedOver { from: from.clone(), to: who.to_owned() }),
    }
}

/// A camera of the card that gives no picture.
pub(super) fn camera_lost(day: &Day, camera: String, reason: String) -> Result<Event, Refusal> {
    on_the_card(day, &camera)?;
    if day.is_out(&camera) {
        return no(format!("the camera {camera} is out already"), "say when it is back");
    }
    if reason.trim().is_empty() {
        return no("a lost camera needs a reason", "say what failed");
    }
    Ok(Event::CameraLost { camera, reason })
}

/// A camera that gives pictures again.
pub(super) fn camera_back(day: &Day, camera: String) -> Result<Event, Refusal> {
    on_the_card(day, &camera)?;
    match day.is_out(&camera) {
        true => Ok(Event::CameraBack { camera }),
        false => no(format!("the camera {camera} is not out"), "go on"),
    }
}

fn on_the_card(day: &Day, camera: &str) -> Result<(), Refusal> {
    let cameras = day.opened.iter().flat_map(|opened| &opened.card.cameras);
    let mut names = cameras.map(|camera| camera.name.as_str());
    match names.clone().any(|name| name == camera) {
        true => Ok(()),
        false => unknown("camera", camera, &mut names),
    }
}
