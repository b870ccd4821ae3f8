//! Calibrations that are kept for the cameras of a hall: a file each, in the project's form.

use evidence::place::clicked::Landmarks;
use evidence::place::landmark::Known;
use evidence::place::point::Space;
use evidence::place::view::Size;
use formats::calibration::{CalibrationJson, HallJson};
use host::output::{Existing, Output};
use log::store::files::make_folder;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A calibration takes a few thousand bytes; no larger file is read.
const MOST_BYTES: u64 = 1 << 20;

/// The folder of a hall.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// It; none where nothing is kept.
    pub folder: Option<PathBuf>,
    hall: Option<Vec<Known>>,
    /// Cameras that were looked for.
    tried: BTreeSet<String>,
}

impl Kept {
    /// What is kept in this folder.
    pub(super) fn of(folder: PathBuf) -> Kept {
        Kept { folder: Some(folder), ..Kept::default() }
    }

    /// What can be clicked in this hall besides what the book says of its field; read once.
    pub(super) fn hall(&mut self) -> Result<&[Known], String> {
        if self.hall.is_none() {
            let file = self.folder.as_ref().map(|folder| folder.join(HALL)).filter(|file| file.exists());
            let read = file.map_or(Ok(Vec::new()), |file| {
                hall(&file).map_err(|why| format!("{} names no landmarks: {why}", file.display()))
            });
            self.hall = Some(Vec::new());
            self.hall = Some(read?);
        }
        Ok(self.hall.as_deref().unwrap_or(&[]))
    }

    /// The landmarks that are kept for a camera, looked for once; none where there are none.
    pub(super) fn find(&mut self, camera: &str, size: Size) -> Option<Result<Landmarks, String>> {
        let file = self.file(camera)?;
        if !self.tried.insert(camera.to_owned()) || !file.exists() {
            return None;
        }
        let unread = |why: String| format!("{} is no calibration to use: {why}", file.display());
        Some(read(&file, size).map_err(unread))
    }

    /// Keeps the landmarks of a camera.
    pub(super) fn write(&mut self, camera: &str, landmarks: &Landmarks) -> Result<(), String> {
        let Some(file) = self.file(camera) else { return Ok(()) };
        self.tried.insert(camera.to_owned());
        let kept = CalibrationJson::of(camera, landmarks);
        let text = serde_json::to_string_pretty(&kept).map_err(|error| error.to_string());
        let unkept =
            |why: String| format!("{camera} is calibrated for now, but not kept for the next game: {why}");
        let folder = file.parent().map_or(Ok(()), make_folder);
        folder.map_err(|error| unkept(error.to_string()))?;
        // The newest calibration of a camera is the one that is kept.
        let written = Output::new(&file, Existing::Replace).write_bytes(text.map_err(unkept)?.as_bytes());
        written.map_err(|refused| unkept(refused.to_string()))
    }

    fn file(&self, camera: &str) -> Option<PathBuf> {
        Some(self.folder.as_ref()?.join(format!("{}.json", plain(camera))))
    }
}

/// The file of a hall's own landmarks.
pub(crate) const HALL: &str = "landmarks.json";

/// More than anyone would walk through.
const MOST_OF_HALL: usize = 500;

fn hall(file: &Path) -> Result<Vec<Known>, String> {
    let hall: HallJson = serde_json::from_str(&text(file)?).map_err(|error| error.to_string())?;
    if hall.landmarks.len() > MOST_OF_HALL {
        return Err(format!("it has {} of them, more than {MOST_OF_HALL}", hall.landmarks.len()));
    }
    let known = hall.landmarks.into_iter().map(|one| {
        let [x, y, z] = one.place;
        Known { name: one.name, place: Space::new(x, y, z) }
    });
    Ok(known.collect())
}

fn text(file: &Path) -> Result<String, String> {
    let bytes = fs::metadata(file).map_err(|error| error.to_string())?.len();
    if bytes > MOST_BYTES {
        return Err(format!("it has {bytes} bytes"));
    }
    fs::read_to_string(file).map_err(|error| error.to_string())
}

fn read(file: &Path, size: Size) -> Result<Landmarks, String> {
    let kept: CalibrationJson = serde_json::from_str(&text(file)?).map_err(|error| error.to_string())?;
    let landmarks = kept.landmarks().ok_or("it has a lens of its own, and the desk finds the lens anew")?;
    if landmarks.size != size {
        let Size { width, height } = landmarks.size;
        return Err(format!("it is of a picture of {width}x{height}"));
    }
    Ok(landmarks)
}

/// A name as a file or folder can have it.
pub(crate) fn plain(name: &str) -> String {
    let plain: String = name
        .chars()
        .map(|sign| if sign.is_alphanumeric() { sign.to_ascii_lowercase() } else { '-' })
        .collect();
    let plain = plain.trim_matches('-').to_owned();
    if plain.is_empty() { "unnamed".to_owned() } else { plain }
}
