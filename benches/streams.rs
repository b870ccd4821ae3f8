//! Cold exact frames of transport streams and Matroska, 60 s of 1080p59.94 in groups of 60 with two B-frames: from the start
//! of the file, as any comes before its clip was looked through, and from a key afterwards, as one table.
//!
//! `cargo bench --bench streams`. What is measured is FFmpeg's work; `--profile dev` gives the same but for the hash.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

const FRAMES: usize = 3596;

/// Frames spread over the clip, each asked for equally often.
const PLACES: [usize; 4] = [450, 1399, 2345, 3570];

fn main() {
    let Some(tools) = Tools::find(None) else {
        println!("FFmpeg is not installed: nothing is measured");
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    println!("| file | frame | from the start | from a key, twice |");
    println!("| --- | --- | --- | --- |");
    for kind in ["ts", "mkv"] {
        let clip = Clip::open(&make(folder.path(), kind), Some(&tools)).expect("it opens");
        let before: Vec<Duration> = PLACES.into_iter().map(|frame| cold(&clip, frame)).collect();
        let start = Instant::now();
        let ended = clip.pictures(0..clip.frames.len(), &mut |_, _| ControlFlow::Continue(()));
        ended.expect("they come");
        println!("| {kind} | all, once | {:.1} s | |", start.elapsed().as_secs_f64());
        for (frame, before) in PLACES.into_iter().zip(before) {
            let [one, other] = [cold(&clip, frame), cold(&clip, frame)].map(|time| time.as_millis());
            println!("| {kind} | {frame} | {} ms | {one}, {other} ms |", before.as_millis());
        }
    }
}

fn cold(clip: &Clip, frame: usize) -> Duration {
    let start = Instant::now();
    assert!(clip.picture(frame).expect("it comes").exact);
    start.elapsed()
}

fn make(folder: &Path, kind: &str) -> PathBuf {
    let path = folder.join(format!("long.{kind}"));
    let mut command = Command::new("ffmpeg");
    command.args(["-hide_banner", "-loglevel", "error", "-nostdin", "-y", "-f", "lavfi"]);
    command.args(["-i", "testsrc2=size=1920x1080:rate=60000/1001", "-frames:v", &FRAMES.to_string()]);
    command.args(["-pix_fmt", "yuv420p", "-c:v", "libx264", "-preset", "superfast", "-g", "60", "-bf", "2"]);
    assert!(command.arg(&path).status().expect("FFmpeg runs").success());
    path
}
