//! The system's FFmpeg: whether it is there, and exact pictures from it through a pipe.
//!
//! The filter `showinfo` says of every picture when it is shown, how large it is and how it is laid out, on the one
//! pipe; the picture follows on the other. Pictures are chosen by their time with `select`, so what comes is the
//! picture of the time that was asked for, or nothing. Turning, changing the rate and converting are switched off.

use crate::decode::pool::{EACH, Waiting};
use crate::decode::process;
use crate::decode::process::{Pace, Running};
use crate::picture::{Picture, PixelFormat};
use std::ffi::OsString;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Arc, OnceLock};

/// FFmpeg and its prober.
#[derive(Debug, Clone)]
pub struct Tools {
    ffmpeg: PathBuf,
    ffprobe: PathBuf,
    /// Asked for when it is needed: a clip that is decoded here needs no child.
    version: Arc<OnceLock<String>>,
    /// The child that was started ahead.
    pub(crate) waiting: Waiting,
}

/// The largest picture that is decoded, in pixels: 8192 x 8192.
pub(crate) const MOST_PIXELS: u64 = 1 << 26;

/// The largest piece of memory that the child may ask for at once, in bytes.
const MOST_MEMORY: &str = "1073741824";

/// Bytes of address space that the child may take in all: sixteen pictures of the largest size and depth, twice over.
pub(crate) const MOST_IN_ALL: u64 = 16 << 30;

/// Why pictures do not come.
#[derive(Debug, thiserror::Error)]
pub enum Broken {
    /// The child cannot be started or read.
    #[error("FFmpeg cannot be run: {0}")]
    Io(#[from] std::io::Error),
    /// A layout that is not read here.
    #[error("pictures are laid out as {0}, which is not read here")]
    Format(String),
    /// The picture changes its size or layout on the way.
    #[error("the picture changes its size or layout at {0}")]
    Changes(i64),
    /// A picture larger than is decoded.
    #[error("a picture of {0}x{1} pixels is larger than is decoded here")]
    TooLarge(u32, u32),
}

impl Tools {
    /// Looks for both programs in the folders where the system looks for programs, or in `folder` alone; `None` where
    /// one is missing.
    pub fn find(folder: Option<&Path>) -> Option<Tools> {
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
        Some(Tools { ffmpeg, ffprobe, version: Arc::default(), waiting: Waiting::none() })
    }

    /// As it names itself: "5.1.9"; "unknown" where it does not.
    pub fn version(&self) -> &str {
        self.version.get_or_init(|| version(&self.ffmpeg).unwrap_or_else(|| "unknown".to_owned()))
    }

    /// A prober's command that reads nothing but this file.
    pub(crate) fn prober(&self, clip: &Path) -> Command {
        let mut command = Command::new(&self.ffprobe);
        command.args(["-hide_banner", "-loglevel", "level+error", "-max_alloc", MOST_MEMORY]);
        command.args(["-protocol_whitelist", "file"]).arg("-i").arg(as_file(clip));
        command
    }

    /// Starts decoding a stream of a clip.
    ///
    /// # Errors
    /// [`Broken::Io`] where it cannot be started.
    pub(crate) fn decode(&self, clip: &Path, wanted: &Wanted) -> Result<Pictures, Broken> {
        let mut command = self.decoder("file");
        if let Some(seconds) = &wanted.seek {
            command.args(["-noaccurate_seek", "-seek_timestamp", "1", "-ss", seconds]);
        }
        command.arg("-i").arg(as_file(clip));
        let stream = match wanted.stream {
            Stream::Number(number) => format!("0:{number}"),
            Stream::FirstVideo => "0:V:0".to_owned(),
        };
        // Every picture that is read is named, so that a child on its way to a late one is not taken for one that stalls.
        let select = |what: &str, (first, last): (i64, i64)| {
            format!("showinfo@reads=checksum=0,select=between({what}\\,{first}\\,{last})")
        };
        let which = match wanted.which {
            Which::All => None,
            Which::Shown(first, last) => Some(select("pts", (first, last))),
            Which::Numbered(first, last) => Some(select("n", (first, last))),
        };
        self.writes(&mut command, &stream, which, wanted.count);
        let running = Running::start(command)?;
        running.hold_to(MOST_IN_ALL);
        running.keep_to(wanted.pace);
        Ok(Pictures::of(running))
    }

    /// Starts a child that will be fed pieces, and gives of each the picture whose time is a multiple of [`EACH`]. It looks
    /// no further than it must before it decodes, and keeps as many pictures back for their order as the coding allows:
    /// what it gives comes in the order of showing without having been looked at before.
    ///
    /// # Errors
    /// [`Broken::Io`] where it cannot be started.
    pub(crate) fn start_waiting(&self) -> Result<Running, Broken> {
        let mut command = self.decoder("pipe");
        command.args(["-threads", &threads().to_string()]);
        command.args(["-probesize", "32", "-fpsprobesize", "0", "-strict", "1"]);
        command.args(["-f", "mov", "-i", "pipe:0"]);
        // A picture is written when it is there, not when the next one comes.
        command.args(["-threads", "1", "-flush_packets", "1"]);
        self.writes(&mut command, "0:V:0", Some(format!("select=eq(mod(pts\\,{EACH})\\,0)")), None);
        let running = Running::that_waits(command)?;
        running.hold_to(MOST_IN_ALL);
        Ok(running)
    }

    /// So many pictures lie in the threads of a child that waits before it gives the first of them.
    pub(crate) fn held_back(&self) -> usize {
        threads() - 1
    }

    /// A command that reads by one protocol alone.
    fn decoder(&self, protocol: &str) -> Command {
        let mut command = Command::new(&self.ffmpeg);
        command.args(["-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info"]);
        command.args(["-max_alloc", MOST_MEMORY, "-protocol_whitelist", protocol]);
        command.args(["-noautorotate", "-copyts", "-max_pixels"]).arg(MOST_PIXELS.to_string());
        command
    }

    /// What it writes: the pictures of a stream that a filter lets through, the first so many of them.
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

/// Threads of a child that waits: each decodes a picture of its own. A short group leaves more of them idle.
fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from).min(4)
}

/// A stream of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stream {
    /// By its number.
    Number(u32),
    /// The first with pictures.
    FirstVideo,
}

/// Which pictures are let through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Which {
    /// All.
    All,
    /// By the times of the first and the last, in the stream's units.
    Shown(i64, i64),
    /// By the numbers of the first and the last, from 0 at the first that is decoded.
    Numbered(i64, i64),
}

/// Which pictures are asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Wanted {
    /// Which stream of the file.
    pub(crate) stream: Stream,
    /// Decoding begins at the last key before this time, in seconds; else at the start of the file.
    pub(crate) seek: Option<String>,
    /// Which of those that are decoded.
    pub(crate) which: Which,
    /// It ends after so many.
    pub(crate) count: Option<usize>,
    /// Whether somebody waits for them.
    pub(crate) pace: Pace,
}

/// The path such that it is never taken for a switch, a pattern or a protocol.
fn as_file(clip: &Path) -> OsString {
    let mut name = OsString::from("file:");
    name.push(clip);
    name
}

fn version(ffmpeg: &Path) -> Option<String> {
    let mut command = Command::new(ffmpeg);
    command.arg("-version");
    let said = process::run(command, (1 << 16, MOST_IN_ALL)).ok().filter(|said| said.is_well)?;
    let text = String::from_utf8_lossy(&said.output).into_owned();
    let name = text.strip_prefix("ffmpeg version ")?.split_whitespace().next()?;
    // "5.1.9-0+deb12u1" is 5.1.9 to whoever compares.
    Some(name.split(['-', '+']).next().filter(|name| name.contains('.')).unwrap_or(name).to_owned())
}

/// Then the switch that keeps every picture had another name.
fn is_before_5_1(version: &str) -> bool {
    let mut parts = version.split('.').map(str::parse::<u32>);
    match (parts.next(), parts.next()) {
        (Some(Ok(major)), Some(Ok(minor))) => (major, minor) < (5, 1),
        _ => false,
    }
}

/// What `showinfo` says of a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Info {
    pts: i64,
    format: String,
    size: (u32, u32),
    is_key: bool,
    is_b: bool,
}

impl Info {
    /// `… n:   0 pts:   1001 … fmt:yuv420p … s:96x64 i:P iskey:1 type:I`
    fn read(line: &str) -> Option<Info> {
        let line = line.strip_prefix("[Parsed_showinfo")?;
        let (_, line) = line.split_once(" n:")?;
        let value = |key: &str| {
            let (_, after) = line.split_once(&format!(" {key}:"))?;
            after.split_whitespace().next()
        };
        let (wide, high) = value("s")?.split_once('x')?;
        Some(Info {
            pts: value("pts")?.parse().ok()?,
            format: value("fmt")?.to_owned(),
            size: (wide.parse().ok()?, high.parse().ok()?),
            is_key: value("iskey")? == "1",
            is_b: value("type") == Some("B"),
        })
    }
}

/// A picture, with what the decoder says of it.
#[derive(Debug)]
pub(crate) struct Decoded {
    /// The picture; exactness is for the caller to say.
    pub(crate) picture: Picture,
    /// Decoding may begin here.
    pub(crate) is_key: bool,
    /// It is predicted from two sides.
    pub(crate) is_b: bool,
}

/// Pictures as the child gives them.
#[derive(Debug)]
pub(crate) struct Pictures {
    /// Who gives them.
    pub(crate) running: Running,
    first: Option<((u32, u32), PixelFormat)>,
    errors: Vec<String>,
}

/// So many messages of damage are kept.
const ERRORS: usize = 400;

/// What is no damage of a picture: an end that is cut off, and times that go back, where pictures are written.
const NO_DAMAGE: [&str; 2] = ["partial file", "non monotonically increasing dts"];

/// What FFmpeg says once for each packet of H.264 that gives no picture.
const NO_PICTURE: &str = "no frame!";

/// What it says of packets that give no picture because what they refer to never came.
const LOSSES: [&str; 6] = [
    NO_PICTURE,
    "non-existing PPS",
    "non-existing SPS",
    "decode_slice_header error",
    "Error while decoding stream",
    "    Last message repeated",
];

impl Pictures {
    /// What a child gives.
    pub(crate) fn of(running: Running) -> Pictures {
        Pictures { running, first: None, errors: Vec::new() }
    }

    /// The next picture; `None` at the end.
    ///
    /// # Errors
    /// [`Broken`], after which nothing more comes.
    pub(crate) fn next(&mut self) -> Result<Option<Decoded>, Broken> {
        let Some(info) = self.next_info() else { return Ok(None) };
        let format = PixelFormat::named(&info.format).ok_or_else(|| Broken::Format(info.format.clone()))?;
        let (width, height) = info.size;
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(Broken::TooLarge(width, height));
        }
        if *self.first.get_or_insert((info.size, format)) != (info.size, format) {
            return Err(Broken::Changes(info.pts));
        }
        let size = format.size(width, height);
        let mut samples = Vec::with_capacity(size);
        self.running.output.by_ref().take(size as u64).read_to_end(&mut samples)?;
        if samples.len() < size {
            return Ok(None);
        }
        let picture = Picture { pts: info.pts, width, height, format, samples, exact: false };
        Ok(Some(Decoded { picture, is_key: info.is_key, is_b: info.is_b }))
    }

    fn next_info(&mut self) -> Option<Info> {
        while let Ok(line) = self.running.messages.recv() {
            if let Some(info) = Info::read(&line) {
                return Some(info);
            }
            self.note(&line);
        }
        None
    }

    fn note(&mut self, line: &str) {
        let said = ["[error] ", "[fatal] ", "[panic] "].iter().find_map(|level| line.split_once(level));
        // What the file's end cuts off is known from its index; what a cut picture does to others, the decoder says.
        let is_damage = |message: &str| !NO_DAMAGE.iter().any(|no_damage| message.contains(no_damage));
        if let Some((_, message)) = said
            && self.errors.len() < ERRORS
            && is_damage(message)
        {
            self.errors.push(message.to_owned());
        }
    }

    /// What the decoder said of damage so far.
    pub(crate) fn errors(&self) -> &[String] {
        &self.errors
    }

    /// Whether it said nothing of damage, but that `lost` pictures at the start cannot be decoded: those are not
    /// shown, and the ones after the first key do not depend on them.
    pub(crate) fn is_clean_after(&self, lost: usize) -> bool {
        let is_loss = |said: &&String| LOSSES.iter().any(|loss| said.starts_with(loss));
        let pictures = self.errors.iter().filter(|said| said.starts_with(NO_PICTURE)).count();
        self.errors.len() < ERRORS
            && pictures <= lost
            && self.errors.iter().all(|said| is_loss(&said) && lost > 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As FFmpeg 5.1 and 7.1 print it.
    #[test]
    fn what_is_said_of_a_picture_is_read_in_either_spelling() {
        let old = "[Parsed_showinfo_1 @ 0x56084d426180] [info] n:   1 pts:   1001 pts_time:0.0166833 pos:     2150 fmt:yuv420p sar:1/1 s:96x64 i:T iskey:0 type:B ";
        let new = "[Parsed_showinfo_1 @ 0x6000] [info] n:   1 pts:   1001 pts_time:0.0166833 duration:   1001 duration_time:0.0166833 fmt:yuv420p cl:left sar:1/1 s:96x64 i:T iskey:0 type:B ";
        let info =
            Info { pts: 1001, format: "yuv420p".to_owned(), size: (96, 64), is_key: false, is_b: true };
        for line in [old, new] {
            assert_eq!(Info::read(line), Some(info.clone()));
        }
        for line in [
            "",
            "n: 1 pts: 1",
            &old.replace("Parsed_showinfo_1", "showinfo@reads"),
            "[Parsed_showinfo_1 @ 0x6000] [info] n: 1 pts:NOPTS fmt:gray s:1x1 iskey:1",
        ] {
            assert_eq!(Info::read(line), None, "{line}");
        }
    }

    #[test]
    fn the_switch_goes_by_the_version() {
        for (version, is_old) in
            [("4.4.2", true), ("5.0", true), ("5.1.9", false), ("7.1", false), ("N-118", false)]
        {
            assert_eq!(is_before_5_1(version), is_old, "{version}");
        }
    }

    #[test]
    fn tools_that_are_not_there_are_not_found() {
        assert!(Tools::find(Some(Path::new("/nowhere/at/all"))).is_none());
    }
}
