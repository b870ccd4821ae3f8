//! A challenge to practise on: a game of the invented league at the snap of its script, with the question asked.

use super::pictures::place::{HALL, kept_name};
use super::post::{Begin, Game, Post};
use super::undone::{Fault, Undone};
use field::Field;
use formats::calibration::{HallJson, NamedJson};
use formats::script::{Act, Script};
use host::output::{self, Existing, Output};
use log::files::make_folder;
use review::day::{Camera, Command, Duty, Early, GameCard};
use review::decide::Command as ReviewCommand;
use review::fold::Review;
use review::gate::Stop;
use review::stamp::Stamp;
use rules::game::situation::Situation;
use scene::hall::Hall;
use std::path::Path;

/// Name and view of the cameras, the most useful first.
const CAMERAS: [(&str, &str); 6] = [
    ("near side", "half the field, from the roof of the near side"),
    ("high end", "the whole field, from above the west end"),
    ("low wall", "along the far wall, low"),
    ("far corner", "the far corner; poor"),
    ("scoreboard", "the scoreboard's clock"),
    ("goal line", "along the east goal line, low"),
];

const VENUE: &str = "the Turbine Shed";

/// Begins the script's challenge in a new game, unless a review was left open.
pub(crate) fn begin(
    post: &mut Post,
    left: Option<Game>,
    script: &Script,
    now: &Stamp,
) -> Result<Game, Undone> {
    if let Some(mut left) = left {
        if left.review().is_some() {
            return Ok(left);
        }
        let reason = "another rehearsal begins".to_owned();
        left.day_act(post, Command::EndEarly { how: Early::Called, reason }, now)?;
    }
    let game = (1..).map(|run| numbered(&script.game.id, run)).find(|game| !post.knows(game));
    let card = GameCard {
        game: game.unwrap_or_else(|| script.game.id.clone()),
        week: script.game.week,
        names: script.game.names(),
        venue: VENUE.to_owned(),
        cameras: CAMERAS
            .map(|(name, sees)| Camera { name: name.to_owned(), sees: sees.to_owned(), timecode: None })
            .to_vec(),
        duties: vec![Duty { duty: "replay official".to_owned(), who: script.official.clone() }],
    };
    let mut game = post.open_game(card, &script.book, now)?;
    let situation: Situation = script.situation.read().map_err(Fault::Script)?;
    game.day_act(post, Command::Set(situation), now)?;
    for timed in &script.acts {
        if !matches!(timed.act, Act::Challenge | Act::Ask { .. }) {
            break;
        }
        let command = script.command(&game.book, &Review::default(), &timed.act).map_err(Fault::Script)?;
        if let ReviewCommand::Ask(asked) = command {
            let who = script.initiator.into();
            game.begin(post, Begin { play: 0, who, stop: Stop::BeforeNextSnap, asked }, now)?;
        }
    }
    Ok(game)
}

/// Writes the venue's landmarks that are not on the field, for calibration, unless the file exists.
pub(crate) fn write_landmarks(folder: &Path, field: &Field) {
    let folder = folder.join("calibrations").join(kept_name(VENUE));
    let file = folder.join(HALL);
    if file.exists() {
        return;
    }
    let marks = Hall::new(field, ["", ""]).marks().into_iter();
    let landmarks = marks.map(|(name, at)| NamedJson { name, place: [at.x, at.y, at.z] }).collect();
    if let Err(unkept) = keep(&file, &HallJson { landmarks }) {
        tracing::warn!("the landmarks of {VENUE} are not kept: {unkept}");
    }
}

/// Why landmarks cannot be written.
#[derive(Debug, thiserror::Error)]
#[error(transparent)]
enum Unkept {
    Json(#[from] serde_json::Error),
    Folder(#[from] std::io::Error),
    File(#[from] output::Error),
}

fn keep(file: &Path, hall: &HallJson) -> Result<(), Unkept> {
    let text = serde_json::to_string_pretty(hall)?;
    file.parent().map_or(Ok(()), make_folder)?;
    Ok(Output::new(file, Existing::Keep).write_bytes(text.as_bytes())?)
}

/// The game's id, numbered from the second run on.
fn numbered(id: &str, run: u32) -> String {
    if run == 1 { id.to_owned() } else { format!("{id} {run}") }
}
