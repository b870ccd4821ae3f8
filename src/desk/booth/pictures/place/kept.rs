//! The kept calibrations of a venue's cameras: a file each, in the project's own format.

use evidence::place::clicked::Landmarks;
use evidence::place::landmark::Known;
use evidence::place::point::Space;
use evidence::place::view::Size;
use formats::calibration::{CalibrationJson, HallJson};
use host::output::{self, Existing, Output};
use log::files::make_folder;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A calibration takes a few thousand bytes. Larger files are not read.
const MOST_BYTES: u64 = 1 << 20;

/// Why kept files cannot be used, or a calibration cannot be kept.
#[derive(Debug, thiserror::Error)]
pub(super) enum Error {
    #[error("{} names no landmarks: {why}", file.display())]
    NoLandmarks { file: PathBuf, why: Unusable },
    #[error("{} is not a usable calibration: {why}", file.display())]
    NoCalibration { file: PathBuf, why: Unusable },
    #[error("{camera} is calibrated for now, but not kept for the next game: {why}")]
    NotKept { camera: String, why: Unusable },
}

/// What is wrong with a file of this folder.
#[derive(Debug, thiserror::Error)]
pub(super) enum Unusable {
    #[error(transparent)]
    Json(#[from] serde_json::Error),
    #[error(transparent)]
    Io(#[from] std::io::Error),
    #[error(transparent)]
    NotWritten(#[from] output::Error),
    #[error("it has {0} bytes")]
    TooLarge(u64),
    #[error("it has {0} of them, more than {MOST_OF_HALL}")]
    TooMany(usize),
    #[error("it brings its own lens model, and the desk fits the lens itself")]
    OwnLens,
    #[error("it is of a picture of {0}x{1}")]
    OtherSize(u32, u32),
}

/// The files of a venue.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// `None` if nothing is kept.
    pub folder: Option<PathBuf>,
    venue: Option<Vec<Known>>,
    /// Cameras that were looked for already.
    tried: BTreeSet<String>,
}

impl Kept {
    pub(super) fn of(folder: PathBuf) -> Kept {
        Kept { folder: Some(folder), ..Kept::default() }
    }

    /// Landmarks of this venue besides those of the book's field. The file is read once.
    pub(super) fn venue(&mut self) -> Result<&[Known], Error> {
        if self.venue.is_none() {
            let file = self.folder.as_ref().map(|folder| folder.join(HALL)).filter(|file| file.exists());
            let read = file
                .map_or(Ok(Vec::new()), |file| venue(&file).map_err(|why| Error::NoLandmarks { file, why }));
            self.venue = Some(Vec::new());
            self.venue = Some(read?);
        }
        Ok(self.venue.as_deref().unwrap_or(&[]))
    }

    /// The kept landmarks of a camera; `None` if there are none, or if they were looked for before.
    pub(super) fn find(&mut self, camera: &str, size: Size) -> Option<Result<Landmarks, Error>> {
        let file = self.file(camera)?;
        if !self.tried.insert(camera.to_owned()) || !file.exists() {
            return None;
        }
        Some(read(&file, size).map_err(|why| Error::NoCalibration { file, why }))
    }

    /// Keeps the landmarks of a camera, in place of an earlier calibration.
    pub(super) fn write(&mut self, camera: &str, landmarks: &Landmarks) -> Result<(), Error> {
        let Some(file) = self.file(camera) else { return Ok(()) };
        self.tried.insert(camera.to_owned());
        let write = || -> Result<(), Unusable> {
            let text = serde_json::to_string_pretty(&CalibrationJson::of(camera, landmarks))?;
            file.parent().map_or(Ok(()), make_folder)?;
            Ok(Output::new(&file, Existing::Replace).write_bytes(text.as_bytes())?)
        };
        write().map_err(|why| Error::NotKept { camera: camera.to_owned(), why })
    }

    fn file(&self, camera: &str) -> Option<PathBuf> {
        Some(self.folder.as_ref()?.join(format!("{}.json", plain(camera))))
    }
}

/// The file of a venue's own landmarks.
pub(crate) const HALL: &str = "landmarks.json";

/// More landmarks than anyone would walk through.
const MOST_OF_HALL: usize = 500;

fn venue(file: &Path) -> Result<Vec<Known>, Unusable> {
    let venue: HallJson = serde_json::from_str(&text(file)?)?;
    if venue.landmarks.len() > MOST_OF_HALL {
        return Err(Unusable::TooMany(venue.landmarks.len()));
    }
    let known = venue.landmarks.into_iter().map(|one| {
        let [x, y, z] = one.place;
        Known { name: one.name, place: Space::new(x, y, z) }
    });
    Ok(known.collect())
}

fn text(file: &Path) -> Result<String, Unusable> {
    let bytes = fs::metadata(file)?.len();
    if bytes > MOST_BYTES {
        return Err(Unusable::TooLarge(bytes));
    }
    Ok(fs::read_to_string(file)?)
}

fn read(file: &Path, size: Size) -> Result<Landmarks, Unusable> {
    let kept: CalibrationJson = serde_json::from_str(&text(file)?)?;
    let landmarks = kept.landmarks().ok_or(Unusable::OwnLens)?;
    if landmarks.size != size {
        return Err(Unusable::OtherSize(landmarks.size.width, landmarks.size.height));
    }
    Ok(landmarks)
}

/// A name in a form that a file or folder can have.
pub(crate) fn plain(name: &str) -> String {
    let plain: String = name
        .chars()
        .map(|sign| if sign.is_alphanumeric() { sign.to_ascii_lowercase() } else { '-' })
        .collect();
    let plain = plain.trim_matches('-').to_owned();
    if plain.is_empty() { "unnamed".to_owned() } else { plain }
}
