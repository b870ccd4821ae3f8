//! Plays as a camera filmed them: drawn, compressed, kept beside the build so that each is made once.

use footage::clip::Clip;
use scene::action::Action;
use scene::canvas::View;
use scene::film;
use scene::hall::Hall;
use scene::rig::Station;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The clip of a play by a camera, from its first frame up to `frames` of them or a few more. What is kept in `folder`
/// is made anew where the play, the camera, or a line of what draws and encodes has changed.
pub fn filmed(hall: &Hall, action: &Action, station: &Station, frames: u64, folder: &Path) -> Clip {
    let mut made_of = DefaultHasher::new();
    format!("{:?} {:?} {frames}", action.play, station.mounted).hash(&mut made_of);
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    for source in sources(&root.join("src/scene")).iter().chain([&root.join("Cargo.lock")]) {
        fs::read(source).expect("it can be read").hash(&mut made_of);
    }
    let path = folder.join(format!("{:016x}.mp4", made_of.finish()));
    if !path.exists() {
        fs::create_dir_all(folder).expect("there is room");
        let view = Arc::new(View::new(hall, station, &action.play.timecode, action.play.seed));
        let film = film::shoot(action, &view, Cursor::new(Vec::new()), |done, _| done < frames);
        // Under its name only when it is whole.
        let begun = path.with_extension(format!("{}.part", std::process::id()));
        fs::write(&begun, film.expect("it is filmed").into_inner()).expect("there is room");
        fs::rename(&begun, &path).expect("it is in the same folder");
    }
    Clip::open(&path, None).expect("a clip")
}

/// Every file below a folder, in order.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() { found.extend(sources(&path)) } else { found.push(path) }
    }
    found.sort();
    found
}
