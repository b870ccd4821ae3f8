//! Command lines of FFmpeg and its prober: one file, no other protocol, bounded memory, pictures as they are stored.
//!
//! The filter `showinfo` prints PTS, size and pixel format of each picture to one pipe; the picture follows on the
//! other. `select` chooses pictures by PTS, so the output is the picture that was asked for, or nothing. Rotation,
//! rate conversion and pixel conversion are switched off.

use crate::decode::process::{self, Pace};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// FFmpeg and its prober.
#[derive(Debug)]
pub(crate) struct Programs {
    ffmpeg: PathBuf,
    ffprobe: PathBuf,
    version: OnceLock<String>,
}

/// The largest picture that is decoded, in pixels: 8192 x 8192.
pub(crate) const MOST_PIXELS: u64 = 1 << 26;

/// The largest single allocation of the child, in bytes.
const MOST_MEMORY: &str = "1073741824";

/// Address space of the child, at most, in bytes: sixteen pictures of the largest size and depth, twice over.
pub(crate) const MOST_IN_ALL: u64 = 16 << 30;

impl Programs {
    /// Looks for both programs in `folder`, or without one in the folders of `PATH`; `None` where one is missing.
    pub(crate) fn find(folder: Option<&Path>) -> Option<Programs> {
        let path = std::env::var_os("PATH").filter(|_| folder.is_none());
        let folders: Vec<PathBuf> = match folder {
            Some(folder) => vec![folder.to_owned()],
            None => path.iter().flat_map(std::env::split_paths).filter(|path| path.is_absolute()).collect(),
        };
        let find = |name: &str| {
            let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
            folders.iter().map(|folder| folder.join(&file)).find(|path| path.is_file())
        };
        let (ffmpeg, ffprobe) = (find("ffmpeg")?, find("ffprobe")?);
        Some(Programs { ffmpeg, ffprobe, version: OnceLock::new() })
    }

    /// Its version, read when it is first needed; "unknown" if it prints none.
    pub(crate) fn version(&self) -> &str {
        self.version.get_or_init(|| version(&self.ffmpeg).unwrap_or_else(|| "unknown".to_owned()))
    }

    /// A prober's command that reads nothing but this file.
    pub(crate) fn prober(&self, clip: &Path) -> Command {
        let mut command = Command::new(&self.ffprobe);
        command.args(["-hide_banner", "-loglevel", "level+error", "-max_alloc", MOST_MEMORY]);
        command.args(["-protocol_whitelist", "file"]).arg("-i").arg(as_file(clip));
        command
    }

    /// Decodes a stream of a clip.
    pub(crate) fn decode(&self, clip: &Path, wanted: &DecodeRequest) -> Command {
        let mut command = self.decoder("file");
        if let Some(seconds) = &wanted.seek {
            command.args(["-noaccurate_seek", "-seek_timestamp", "1", "-ss", seconds]);
        }
        command.arg("-i").arg(as_file(clip));
        let stream = match wanted.stream {
            Stream::Number(number) => format!("0:{number}"),
            Stream::FirstVideo => "0:V:0".to_owned(),
        };
        // Every picture that is read is named, so that a child on its way to a late one does not count as stalled.
        let select = |what: &str, (first, last): (i64, i64)| {
            format!("showinfo@reads=checksum=0,select=between({what}\\,{first}\\,{last})")
        };
        let which = match wanted.selection {
            Selection::All => None,
            Selection::Pts(first, last) => Some(select("pts", (first, last))),
            Selection::Numbered(first, last) => Some(select("n", (first, last))),
        };
        self.writes(&mut command, &stream, which, wanted.count);
        command
    }

    /// Reads GOPs from its input, and gives of each the picture whose PTS is a multiple of `each`. It probes as
    /// little of the input as possible, and holds back as many pictures as the coding may reorder, so that pictures
    /// come in the order of PTS although nothing was probed.
    pub(crate) fn standby(&self, each: i64) -> Command {
        let mut command = self.decoder("pipe");
        command.args(["-threads", &threads().to_string()]);
        command.args(["-probesize", "32", "-fpsprobesize", "0", "-strict", "1"]);
        command.args(["-f", "mov", "-i", "pipe:0"]);
        // A picture is written at once, not when the next one comes.
        command.args(["-threads", "1", "-flush_packets", "1"]);
        self.writes(&mut command, "0:V:0", Some(format!("select=eq(mod(pts\\,{each})\\,0)")), None);
        command
    }

    /// How many pictures a standby process holds in its decoding threads before it gives the first.
    pub(crate) fn held_back(&self) -> usize {
        threads() - 1
    }

    /// A decoder that reads by one protocol only.
    fn decoder(&self, protocol: &str) -> Command {
        let mut command = Command::new(&self.ffmpeg);
        command.args(["-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info"]);
        command.args(["-max_alloc", MOST_MEMORY, "-protocol_whitelist", protocol]);
        command.args(["-noautorotate", "-copyts", "-max_pixels"]).arg(MOST_PIXELS.to_string());
        command
    }

    /// Its output: the pictures of a stream that a filter lets through, at most `count` of them.
    fn writes(&self, command: &mut Command, stream: &str, which: Option<String>, count: Option<usize>) {
        command.args(["-map", stream, "-an", "-sn", "-dn"]);
        let select = which.map_or_else(String::new, |which| format!("{which},"));
        command.args(["-vf", &format!("{select}showinfo=checksum=0")]);
        command.args([if is_before_5_1(self.version()) { "-vsync" } else { "-fps_mode" }, "passthrough"]);
        if let Some(count) = count {
            command.args(["-frames:v", &count.to_string()]);
        }
        command.args(["-enc_time_base", "-1", "-f", "rawvideo", "pipe:1"]);
    }
}

/// Threads of a standby process: each decodes a picture of its own. A short GOP leaves more of them idle.
fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from).min(4)
}

/// A stream of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stream {
    Number(u32),
    FirstVideo,
}

/// Which pictures are let through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Selection {
    All,
    /// By the times of the first and the last, in the stream's units.
    Pts(i64, i64),
    /// By the numbers of the first and the last, from 0 at the first that is decoded.
    Numbered(i64, i64),
}

/// Which pictures are asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct DecodeRequest {
    pub(crate) stream: Stream,
    /// Decoding begins at the last key before this time, in seconds; `None`: at the start of the file.
    pub(crate) seek: Option<String>,
    pub(crate) selection: Selection,
    /// Decoding ends after this many.
    pub(crate) count: Option<usize>,
    pub(crate) pace: Pace,
}

/// The path in a form that is never taken for a switch, a pattern or a protocol.
fn as_file(clip: &Path) -> OsString {
    let mut name = OsString::from("file:");
    name.push(clip);
    name
}

fn version(ffmpeg: &Path) -> Option<String> {
    let mut command = Command::new(ffmpeg);
    command.arg("-version");
    let finished =
        process::run(command, (1 << 16, MOST_IN_ALL)).ok().filter(|finished| finished.succeeded)?;
    let text = String::from_utf8_lossy(&finished.output).into_owned();
    let name = text.strip_prefix("ffmpeg version ")?.split_whitespace().next()?;
    // "5.1.9-0+deb12u1" is version 5.1.9.
    Some(name.split(['-', '+']).next().filter(|name| name.contains('.')).unwrap_or(name).to_owned())
}

/// Older versions use another switch to keep every picture.
fn is_before_5_1(version: &str) -> bool {
    let mut parts = version.split('.').map(str::parse::<u32>);
    match (parts.next(), parts.next()) {
        (Some(Ok(major)), Some(Ok(minor))) => (major, minor) < (5, 1),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_switch_goes_by_the_version() {
        for (version, is_old) in
            [("4.4.2", true), ("5.0", true), ("5.1.9", false), ("7.1", false), ("N-118", false)]
        {
            assert_eq!(is_before_5_1(version), is_old, "{version}");
        }
    }
}
