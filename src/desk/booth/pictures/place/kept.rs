//! Calibrations that are kept for the cameras of a hall: a file each, in the project's form.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use tellframe::proof::clicked::Landmarks;
use tellframe::proof::view::Size;
use tellframe::wire::calibration::CalibrationJson;

/// A calibration takes a few thousand bytes; no larger file is read.
const MOST_BYTES: u64 = 1 << 20;

/// The folder of a hall.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// It; none where nothing is kept.
    pub folder: Option<PathBuf>,
    /// Cameras that were looked for.
    tried: BTreeSet<String>,
}

impl Kept {
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
        let unkept = |why: String| {
            format!("{camera} is calibrated for now, but {} cannot be written: {why}", file.display())
        };
        let folder = file.parent().map_or(Ok(()), |folder| fs::create_dir_all(folder));
        folder.map_err(|error| unkept(error.to_string()))?;
        fs::write(&file, text.map_err(unkept)?).map_err(|error| unkept(error.to_string()))
    }

    fn file(&self, camera: &str) -> Option<PathBuf> {
        Some(self.folder.as_ref()?.join(format!("{}.json", plain(camera))))
    }
}

fn read(file: &std::path::Path, size: Size) -> Result<Landmarks, String> {
    let bytes = fs::metadata(file).map_err(|error| error.to_string())?.len();
    if bytes > MOST_BYTES {
        return Err(format!("it has {bytes} bytes"));
    }
    let text = fs::read_to_string(file).map_err(|error| error.to_string())?;
    let kept: CalibrationJson = serde_json::from_str(&text).map_err(|error| error.to_string())?;
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
