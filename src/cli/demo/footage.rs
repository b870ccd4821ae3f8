//! `tellframe demo --footage-only`: films the plays of the invented league, with the truth beside each.

use crate::cli::{Answer, Unable, books, input, print, print_json};
use host::data;
use host::output::{Existing, Output};
use log::files::make_folder;
use scene::action::Action;
use scene::canvas::View;
use scene::film;
use scene::hall::Hall;
use scene::play::Play;
use scene::rig;
use scene::rig::Station;
use scene::shipped::{CAMERAS, PLAYS};
use scene::timecode_track;
use scene::truth::Truth;
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Arguments that are about footage.
#[derive(Debug, clap::Args)]
pub(super) struct Footage {
    /// Make the footage of the demo's plays, and nothing else
    #[arg(long)]
    pub(super) footage_only: bool,
    /// Only the challenge about this play, or its footage: a name of its own; to be filmed, also a file (FILE.ron)
    #[arg(long, value_name = "PLAY")]
    pub(super) play: Option<String>,
    /// Only this camera
    #[arg(long, value_name = "NAME", requires = "footage_only")]
    camera: Option<String>,
}

/// The book whose field is filmed.
const BOOK: &str = "saltmarsh";
/// The words in the end zones.
const WORDS: [&str; 2] = ["KITES", "HARBOUR"];

/// The folder of a play's clips, which is made if it is not there.
pub(super) fn clips(folder: &data::Folder, play: &str) -> Result<PathBuf, Unable> {
    let place = folder.root()?.join("demo").join("footage").join(play);
    make_folder(&place).map_err(|error| cannot_write(&place, &error))?;
    Ok(place)
}

impl Footage {
    /// All cameras of one play.
    #[cfg(feature = "desk")]
    pub(super) fn of(play: &str) -> Footage {
        Footage { footage_only: true, play: Some(play.to_owned()), camera: None }
    }

    /// Films what is asked for, and names the clips.
    pub(super) fn run(&self, folder: &data::Folder, json: bool) -> Result<Answer, Unable> {
        let made = self.make(folder)?;
        if json {
            return print_json(&made);
        }
        print(&made.join("\n"))
    }

    /// Films what is asked for into `footage` in the demo's folder. A clip that is there is not made again.
    pub(super) fn make(&self, folder: &data::Folder) -> Result<Vec<String>, Unable> {
        let book = books::load(BOOK)?;
        let hall = Hall::new(&book.field, WORDS);
        let rig = rig::read(CAMERAS).map_err(|error| Unable::new(format!("demo/cameras.ron: {error}")))?;
        let wanted: Vec<&Station> = rig
            .iter()
            .filter(|station| self.camera.as_ref().is_none_or(|name| station.mounted.name == *name))
            .collect();
        if wanted.is_empty() {
            let names: Vec<&str> = rig.iter().map(|station| station.mounted.name.as_str()).collect();
            return Err(
                Unable::new("there is no such camera").help(format!("name one of: {}", names.join(", ")))
            );
        }
        let root = folder.root()?.join("demo").join("footage");
        let mut made = Vec::new();
        for (name, text) in self.plays()? {
            let play = Play::read(&text).map_err(|error| Unable::new(format!("{name}: {error}")))?;
            let action = Action::new(play, hall.walls);
            let place = root.join(&name);
            make_folder(&place).map_err(|error| cannot_write(&place, &error))?;
            let truth = Truth::of(&action, &hall, &rig);
            let text = serde_json::to_string(&truth).map_err(|error| Unable::new(error.to_string()))?;
            let path = place.join("truth.json");
            Output::new(&path, Existing::Replace).write_bytes(text.as_bytes())?;
            for station in &wanted {
                let clip = place.join(format!("{}.mp4", station.mounted.name.replace(' ', "-")));
                if !clip.exists() {
                    film((&action, &hall), station, &Output::new(&clip, Existing::Keep))?;
                }
                made.push(clip.display().to_string());
            }
        }
        Ok(made)
    }

    /// Names and texts of the plays that are asked for.
    fn plays(&self) -> Result<Vec<(String, String)>, Unable> {
        let shipped = PLAYS.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
        let Some(asked) = &self.play else { return Ok(shipped.collect()) };
        let path = Path::new(asked);
        if path.extension().is_some_and(|ending| ending == "ron") {
            let text = input::text(path)?;
            let name =
                path.file_stem().map_or_else(|| asked.clone(), |name| name.to_string_lossy().into_owned());
            return Ok(vec![(name, text)]);
        }
        let found: Vec<(String, String)> = shipped.filter(|(name, _)| name == asked).collect();
        if found.is_empty() {
            let names: Vec<&str> = PLAYS.iter().map(|(name, _)| *name).collect();
            return Err(Unable::new(format!("there is no play `{asked}`"))
                .help(format!("name a file that ends in .ron, or one of: {}", names.join(", "))));
        }
        Ok(found)
    }
}

/// Films into a file that has its name only when it is whole.
fn film((action, hall): (&Action, &Hall), station: &Station, clip: &Output) -> Result<(), Unable> {
    let play = &action.play;
    let label = format!("{}, {}", play.title, station.mounted.name);
    eprintln!("{label}: looking at the hall");
    let view = Arc::new(View::new(hall, station, &play.timecode, play.seed));
    let mut told = 0;
    let progress = |done: u64, frames: u64| {
        // A line every tenth.
        if done * 10 / frames.max(1) > told {
            told = done * 10 / frames.max(1);
            eprintln!("{label}: {done} of {frames} frames");
        }
        true
    };
    let written = clip.write(|file| {
        let out = film::shoot(action, &view, BufWriter::new(&mut *file), progress);
        let out = out.map_err(|error| error.to_string())?;
        out.into_inner().map_err(|error| error.error().to_string())?;
        let Some(stamp) = &view.stamp else { return Ok(()) };
        timecode_track::add(file, stamp, station.rate).map_err(|error| error.to_string())
    });
    match written {
        // Another process has filmed the same meanwhile, and the film is the same.
        Err(refused) if refused.exists() => Ok(()),
        written => Ok(written?),
    }
}

fn cannot_write(path: &Path, error: &std::io::Error) -> Unable {
    Unable::new(format!("cannot write {}: {error}", path.display()))
}
