//! Small pictures of a whole clip, each readable by itself: what is shown while the playhead moves.
//!
//! A proxy is a file of raw 4:2:0 pictures of one size, in the order of showing. Where a picture lies follows from
//! its number, so any of them is one short read away. It is made while the clip is scanned, and can be read as far as
//! it is made. It is for looking, never for evidence.

use super::view::{self, Lines};
use crate::picture::{Picture, PixelFormat};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// The largest proxy, in pixels: four of them fill a screen.
pub(crate) const SIDE: (u32, u32) = (480, 270);

/// The small pictures of one clip.
#[derive(Debug)]
pub struct Proxy {
    path: PathBuf,
    size: (u32, u32),
    format: PixelFormat,
    frames: usize,
    /// Pictures written so far.
    made: AtomicUsize,
    /// Locked while somebody may read the file, so that a sweep does not take it for the leftover of a killed
    /// process.
    _lock: File,
}

/// Writes a proxy, picture after picture.
#[derive(Debug)]
pub struct Writer {
    file: File,
}

impl Proxy {
    /// Size of the proxy of a clip, in bytes.
    pub(crate) fn bytes_of(clip_size: (u32, u32), frames: usize) -> u64 {
        let (width, height) = view::fitted(clip_size, SIDE);
        PixelFormat::plain(false).size(width, height) as u64 * frames as u64
    }

    /// Begins the proxy of a clip whose pictures have this size: a new file of the final length, which only its owner
    /// may read.
    ///
    /// # Errors
    /// The system's error if the file cannot be made; a file that exists already stays.
    pub fn begin(path: &Path, clip_size: (u32, u32), frames: usize) -> std::io::Result<(Proxy, Writer)> {
        let file = private(path)?;
        // From here on the file is removed with the proxy.
        let lock = file.try_clone().inspect_err(|_| drop(std::fs::remove_file(path)))?;
        let size = view::fitted(clip_size, SIDE);
        let proxy = Proxy {
            path: path.to_owned(),
            size,
            format: PixelFormat::plain(false),
            frames,
            made: AtomicUsize::new(0),
            _lock: lock,
        };
        file.lock()?;
        // The whole length counts from the start, so that desks that begin at once keep to one bound.
        file.set_len(proxy.most_bytes())?;
        Ok((proxy, Writer { file }))
    }

    /// Writes the next picture.
    ///
    /// # Errors
    /// The system's error if it cannot be written; a picture that cannot be shown is left gray.
    pub fn add(&self, writer: &mut Writer, picture: &Picture) -> std::io::Result<()> {
        let small = view::scaled(picture, self.size, Lines::All);
        let samples = small.map_or_else(|_| vec![128; self.picture_bytes()], |small| small.samples);
        writer.file.write_all(&samples)?;
        self.made.fetch_add(1, Ordering::Release);
        Ok(())
    }

    /// How many pictures can be read.
    pub(crate) fn made(&self) -> usize {
        self.made.load(Ordering::Acquire)
    }

    /// Bytes of all its pictures.
    fn most_bytes(&self) -> u64 {
        self.picture_bytes() as u64 * self.frames as u64
    }

    pub(crate) fn picture_bytes(&self) -> usize {
        self.format.size(self.size.0, self.size.1)
    }

    /// A small picture; `None` where it is not made yet.
    ///
    /// # Errors
    /// The system's error if the file cannot be read.
    pub fn picture(&self, frame: usize, pts: i64) -> std::io::Result<Option<Picture>> {
        if frame >= self.made() {
            return Ok(None);
        }
        let mut file = File::open(&self.path)?;
        let mut samples = vec![0; self.picture_bytes()];
        file.seek(SeekFrom::Start(frame as u64 * samples.len() as u64))?;
        file.read_exact(&mut samples)?;
        let (width, height) = self.size;
        Ok(Some(Picture { pts, width, height, format: self.format, samples, exact: false }))
    }
}

#[cfg(unix)]
fn private(path: &Path) -> std::io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt as _;
    File::options().write(true).create_new(true).mode(0o600).open(path)
}

#[cfg(not(unix))]
fn private(path: &Path) -> std::io::Result<File> {
    File::options().write(true).create_new(true).open(path)
}

/// The file lasts as long as somebody may read it.
impl Drop for Proxy {
    fn drop(&mut self) {
        // What cannot be removed now is swept with the folder.
        let _ = std::fs::remove_file(&self.path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_proxy_is_read_as_far_as_it_is_made_and_goes_with_its_owner() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("proxy");
        let (proxy, mut writer) = Proxy::begin(&path, (960, 540), 3).expect("it is made");
        for value in [10, 20, 30] {
            let format = PixelFormat::plain(false);
            let samples = vec![value; format.size(960, 540)];
            let picture = Picture { pts: 0, width: 960, height: 540, format, samples, exact: true };
            proxy.add(&mut writer, &picture).expect("it is written");
        }
        let second = proxy.picture(1, 77).expect("it is read").expect("it is made");
        assert_eq!((second.width, second.height, second.pts, second.exact), (480, 270, 77, false));
        assert!(second.samples.iter().all(|sample| *sample == 20));
        assert_eq!(proxy.picture(3, 0).expect("it is read"), None);
        drop(proxy);
        assert!(!path.exists());
    }
}
