//! The small clips under `tests/clips`, and what the reference decoder makes of them.

use std::path::{Path, PathBuf};

/// A clip of the folder.
pub struct Stored {
    pub name: String,
    pub path: PathBuf,
    /// Time and SHA-256 of every picture, as FFmpeg decodes the clip from first to last; empty where it gives none.
    pub pictures: Vec<(i64, String)>,
}

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../clips")
}

/// One clip by its name.
pub fn stored(name: &str) -> Stored {
    let path = folder().join(name);
    let listed = std::fs::read_to_string(folder().join(format!("{name}.frames"))).into_iter();
    let picture = |line: &str| {
        let (pts, hash) = line.split_once(' ').expect("a time and a hash");
        (pts.parse().expect("a time"), hash.to_owned())
    };
    let listed = listed.flat_map(|text| text.lines().map(str::to_owned).collect::<Vec<_>>());
    let pictures = listed.filter(|line| !line.starts_with('#')).map(|line| picture(&line)).collect();
    Stored { name: name.to_owned(), path, pictures }
}

/// All clips, by name.
pub fn all() -> Vec<Stored> {
    let entries = std::fs::read_dir(folder()).expect("the folder is there");
    let names =
        entries.map(|entry| entry.expect("it can be listed").file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter(|name| !name.ends_with(".frames")).collect();
    names.sort();
    names.iter().map(|name| stored(name)).collect()
}

/// Bytes of another recording, brought to this length by a box that says nothing (`free`).
pub fn another(length: usize) -> Vec<u8> {
    let mut bytes = std::fs::read(folder().join("timecode.mp4")).expect("it is there");
    let free = u32::try_from(length - bytes.len()).expect("it is shorter");
    bytes.extend(free.to_be_bytes());
    bytes.extend(b"free");
    bytes.resize(length, 0);
    bytes
}

/// Writes bytes over the beginning of a file, in place.
pub fn overwrite(path: &Path, bytes: &[u8]) {
    let mut file = std::fs::File::options().write(true).open(path).expect("it can be written");
    std::io::Write::write_all(&mut file, bytes).expect("it can be written");
}
