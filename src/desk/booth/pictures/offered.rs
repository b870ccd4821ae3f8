//! Which file a camera shows while a review is on. A clip that is looked at is replaced by a key only, a marked clip
//! not at all. After a restart the marked clip is found again by its hash.

use super::Pictures;
use super::keys::{Act, KEYS};
use crate::booth::context::lettered;
use crate::keys::shown;
use review::announcement::capital;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};

/// What the review in hand depends on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Rests {
    /// A review is open and not over.
    pub on: bool,
    /// Cameras with a marked, tied or clicked frame, each with the hash of the clip of the newest one; `None` if that
    /// one was typed.
    pub marked: BTreeMap<usize, Option<String>>,
    pub looked: BTreeSet<usize>,
}

/// How a file arrives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum By {
    /// A person named it or pressed a key.
    Hand,
    Folder,
}

/// A finished file that is not open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Offer {
    file: PathBuf,
    /// The hash of the file, if it was needed.
    sha256: Option<String>,
}

/// Files that wait for a key, for the end of the review, or for their hash.
pub(super) struct Offers {
    /// The newest file of each camera.
    waiting: BTreeMap<usize, Offer>,
    hashed: Receiver<(PathBuf, std::io::Result<String>)>,
    to: Sender<(PathBuf, std::io::Result<String>)>,
    /// Number of files being hashed.
    hashing: usize,
}

impl Default for Offers {
    fn default() -> Offers {
        let (to, hashed) = channel();
        Offers { waiting: BTreeMap::new(), hashed, to, hashing: 0 }
    }
}

/// Why a camera's clip is not replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Held {
    Marked,
    LookedAt,
}

impl Pictures {
    /// Takes in what the review in hand depends on. Once it is over, waiting files are opened.
    pub(crate) fn rests_on(&mut self, rests: Rests, cameras: &[String]) {
        if self.rests == rests {
            return;
        }
        self.rests = rests;
        self.cameras = cameras.to_vec();
        if self.rests.on {
            return;
        }
        let waiting = std::mem::take(&mut self.offers.waiting);
        if !waiting.is_empty() {
            self.told = None;
        }
        let lead = self.panes.get(self.lead).map(|pane| pane.camera);
        for (camera, offer) in waiting {
            self.replace(camera, offer);
        }
        self.in_order(lead);
    }

    /// Takes in a finished file: opens it, or keeps it until a key or the end of the review.
    pub(super) fn arrives(&mut self, file: PathBuf, by: By) {
        let own = named(&file, &self.cameras);
        let missing = |camera: usize| self.is_missing(camera);
        // A file that names no camera may belong to any camera whose marked clip is missing.
        let may_be_marked = match own {
            Some(camera) => missing(camera),
            None => (0..self.cameras.len()).any(missing),
        };
        if may_be_marked {
            return self.hash(file);
        }
        let offer = Offer { file, sha256: None };
        match own.or_else(|| self.free()) {
            Some(camera) => self.admit(camera, offer, by),
            None => {
                self.told = Some(format!("{}: every camera has its clip already", offer.file.display()));
            }
        }
    }

    /// The first camera that has no clip and waits for none.
    fn free(&self) -> Option<usize> {
        (0..self.cameras.len()).find(|camera| !self.is_open(*camera) && !self.is_missing(*camera))
    }

    /// Whether a camera has a clip.
    pub(crate) fn is_open(&self, camera: usize) -> bool {
        self.panes.iter().any(|pane| pane.camera == camera)
    }

    /// Whether the clip that a camera was marked in is not open, and no other one is in its place.
    fn is_missing(&self, camera: usize) -> bool {
        self.rests.on && !self.is_open(camera) && matches!(self.rests.marked.get(&camera), Some(Some(_)))
    }

    fn admit(&mut self, camera: usize, offer: Offer, by: By) {
        let waits = match (self.rests.on && self.is_open(camera), by) {
            (false, _) => false,
            (true, By::Folder) => true,
            (true, By::Hand) => self.held(camera).is_some(),
        };
        match waits {
            false => self.replace(camera, offer),
            true => {
                self.offers.waiting.insert(camera, offer);
                self.tell_offers();
            }
        }
    }

    /// Why a camera's clip may not be replaced now.
    fn held(&self, camera: usize) -> Option<Held> {
        let pane = self.panes.iter().find(|pane| pane.camera == camera)?;
        let is_marked_one = |sha256: &Option<String>| match (sha256, &pane.sha256) {
            (Some(marked), Some(own)) => marked == own,
            (Some(_) | None, _) => true,
        };
        match self.rests.marked.get(&camera) {
            Some(sha256) if is_marked_one(sha256) => Some(Held::Marked),
            Some(_) | None => {
                let looked_at = self.hand == camera && self.rests.looked.contains(&camera);
                looked_at.then_some(Held::LookedAt)
            }
        }
    }

    /// Opens the newer clips, except those of cameras that are marked or looked at.
    pub(crate) fn take_newer(&mut self) {
        if self.offers.waiting.is_empty() {
            self.told = Some("no newer clip is waiting".to_owned());
            return;
        }
        let held: BTreeSet<usize> =
            self.offers.waiting.keys().copied().filter(|camera| self.held(*camera).is_some()).collect();
        let (waits, free): (BTreeMap<usize, Offer>, BTreeMap<usize, Offer>) =
            std::mem::take(&mut self.offers.waiting)
                .into_iter()
                .partition(|(camera, _)| held.contains(camera));
        self.offers.waiting = waits;
        let lead = self.panes.get(self.lead).map(|pane| pane.camera);
        for (camera, offer) in free {
            self.replace(camera, offer);
        }
        self.in_order(lead);
        self.tell_offers();
    }

    pub(super) fn tell_offers(&mut self) {
        let line = |(camera, offer): (&usize, &Offer)| {
            let label = lettered(&self.cameras, *camera);
            let file = name(&offer.file);
            let key = shown(KEYS, Act::Newer);
            match self.held(*camera) {
                Some(Held::Marked) => {
                    format!("{label} is marked in this review: {file} is opened after the review")
                }
                Some(Held::LookedAt) => {
                    format!("{label} is looked at: from another camera, {key} opens {file}")
                }
                None if self.is_missing(*camera) => format!(
                    "{label} was marked in another clip, which is not here: {file} is not it; {key} opens it anyway"
                ),
                None => format!("{label}: {file} is finished; {key} opens it"),
            }
        };
        let lines: Vec<String> = self.offers.waiting.iter().map(line).collect();
        self.told = (!lines.is_empty()).then(|| capital(&lines.join(". ")));
    }

    fn hash(&mut self, file: PathBuf) {
        self.offers.hashing += 1;
        self.told = Some(format!("{} may be a marked clip: it is being read", name(&file)));
        let to = self.offers.to.clone();
        std::thread::spawn(move || {
            let hash = hash(&file);
            // The receiver is gone if the window was closed meanwhile.
            let _ = to.send((file, hash));
        });
    }

    /// Whether files are being hashed.
    pub(super) fn is_hashing(&self) -> bool {
        self.offers.hashing > 0
    }

    /// Takes in hashed files: a marked clip is opened again, another one is offered.
    pub(super) fn take_hashed(&mut self) {
        while let Ok((file, hash)) = self.offers.hashed.try_recv() {
            self.hashed(file, hash);
        }
    }

    #[cfg(test)]
    pub(super) fn wait_for_hash(&mut self) {
        let (file, hash) = self.offers.hashed.recv().expect("a file is being read");
        self.hashed(file, hash);
    }

    fn hashed(&mut self, file: PathBuf, hash: std::io::Result<String>) {
        self.offers.hashing = self.offers.hashing.saturating_sub(1);
        let sha256 = match hash {
            Ok(sha256) => sha256,
            Err(error) => {
                self.told = Some(format!("{} cannot be read: {error}", file.display()));
                return;
            }
        };
        let is_its = |camera: &usize| {
            self.is_missing(*camera) && self.rests.marked.get(camera) == Some(&Some(sha256.clone()))
        };
        let its = (0..self.cameras.len()).find(is_its);
        let offer = Offer { sha256: Some(sha256), file };
        let lead = self.panes.get(self.lead).map(|pane| pane.camera);
        match its {
            Some(camera) => {
                self.offers.waiting.remove(&camera);
                self.replace(camera, offer);
                self.in_order(lead);
            }
            None => match named(&offer.file, &self.cameras).or_else(|| self.free()) {
                Some(camera) if self.is_missing(camera) || self.is_open(camera) => {
                    self.offers.waiting.insert(camera, offer);
                }
                Some(camera) => {
                    self.replace(camera, offer);
                    self.in_order(lead);
                }
                None => {
                    self.told = Some(format!("{}: no camera is free for it", offer.file.display()));
                    return;
                }
            },
        }
        self.tell_offers();
    }

    fn replace(&mut self, camera: usize, offer: Offer) {
        self.close(camera);
        self.open_one(camera, (offer.file, offer.sha256));
    }
}

/// The name of a file without its folder; empty if it has none.
pub(super) fn name(file: &Path) -> String {
    file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

/// SHA-256 of a file, in hexadecimal.
fn hash(file: &Path) -> std::io::Result<String> {
    use sha2::{Digest, Sha256};
    use std::io::Read;
    let mut file = std::fs::File::open(file)?;
    let (mut hash, mut buffer) = (Sha256::new(), vec![0; 1 << 16]);
    loop {
        match file.read(&mut buffer)? {
            0 => break,
            count => hash.update(buffer.get(..count).unwrap_or(&[])),
        }
    }
    Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
}

/// The camera whose name is in a file's name: `near-side.mp4`, `W03 Near Side.mov`.
pub(super) fn named(file: &Path, cameras: &[String]) -> Option<usize> {
    let plain =
        |text: &str| -> String { text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect() };
    let name = plain(&file.file_stem()?.to_string_lossy());
    cameras.iter().position(|camera| !plain(camera).is_empty() && name.contains(&plain(camera)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_belongs_to_the_camera_that_its_name_names() {
        let cameras = ["near side", "high end", "low wall"].map(str::to_owned);
        for (file, expected) in [
            ("near-side.mp4", Some(0)),
            ("/plays/W03 High End.mov", Some(1)),
            ("lowwall_2.mkv", Some(2)),
            ("clip.mp4", None),
        ] {
            assert_eq!(named(Path::new(file), &cameras), expected, "{file}");
        }
    }
}
