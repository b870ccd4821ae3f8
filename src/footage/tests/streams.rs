//! Transport streams and Matroska: once a clip was looked through, a cold picture is decoded from a key, and is to the bit
//! the one that came from the start; what is not comes from the start.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::duplicate_frames;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;
use testing::clips;

/// A moving picture of 4 s in groups of 10, coded and written with these arguments.
fn make(path: &Path, coded: &[&str]) {
    let mut command = Command::new("ffmpeg");
    command.args(["-hide_banner", "-loglevel", "error", "-nostdin", "-y", "-f", "lavfi"]);
    command.args(["-i", "testsrc2=size=160x120:rate=25", "-frames:v", "100", "-pix_fmt", "yuv420p"]);
    assert!(command.args(coded).arg(path).status().expect("FFmpeg runs").success());
}

/// Times and hashes of all pictures, in one run from the start.
fn from_start(clip: &Clip) -> Vec<(i64, String)> {
    let mut all = Vec::new();
    let ended = clip.pictures(0..clip.frames.len(), &mut |_, picture| {
        assert!(picture.exact);
        all.push((picture.pts, picture.sha256()));
        ControlFlow::Continue(())
    });
    ended.expect("all come");
    all
}

#[test]
fn a_cold_picture_of_a_stream_is_the_one_that_came_from_the_start() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let plain = ["-c:v", "libx264", "-g", "10", "-bf", "2"];
    // Keys of which only a part is whole: pictures recover bit by bit, so from there on they are not those of the clip.
    let refreshed = ["-c:v", "libx264", "-g", "10", "-bf", "0", "-x264-params", "intra-refresh=1"];
    let open = ["-c:v", "libx264", "-g", "10", "-bf", "2", "-x264-params", "open-gop=1:scenecut=0"];
    let hevc = ["-c:v", "libx265", "-x265-params", "log-level=error:keyint=10"];
    for (number, (kind, coded)) in [
        ("ts", &plain[..]),
        ("mkv", &plain),
        ("ts", &refreshed),
        ("mkv", &refreshed),
        ("ts", &open),
        ("mkv", &hevc),
    ]
    .into_iter()
    .enumerate()
    {
        let path = folder.path().join(format!("{number}.{kind}"));
        make(&path, coded);
        let mut clip = Clip::open(&path, Some(&tools)).expect("it opens");
        let other = Clip::open(&path, Some(&tools)).expect("it opens");
        let expected = from_start(&other);
        duplicate_frames::scan(&mut clip, &mut |_, _| ControlFlow::Continue(()));
        for frame in [97, 33, 60, 61, 5, 48] {
            let picture = clip.picture(frame).expect("it comes");
            let found = (picture.pts, picture.sha256());
            assert!(picture.exact && found == expected[frame], "{number}.{kind}, frame {frame}");
        }
        let mut run = Vec::new();
        let ended = clip.pictures(42..58, &mut |frame, picture| {
            assert!(picture.exact);
            run.push((frame, picture.pts, picture.sha256()));
            ControlFlow::Continue(())
        });
        ended.expect("they come");
        let wanted = (42..58).map(|frame| (frame, expected[frame].0, expected[frame].1.clone()));
        assert_eq!(run, wanted.collect::<Vec<_>>(), "{number}.{kind}");
    }
}

/// What is known of a file is known of that file alone.
#[test]
fn a_file_that_was_damaged_after_it_was_looked_through_gives_no_picture() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    for kind in ["ts", "mkv"] {
        let path = folder.path().join(format!("changed.{kind}"));
        make(&path, &["-c:v", "libx264", "-g", "10", "-bf", "2"]);
        let mut clip = Clip::open(&path, Some(&tools)).expect("it opens");
        duplicate_frames::scan(&mut clip, &mut |_, _| ControlFlow::Continue(()));
        assert!(clip.picture(75).expect("it comes").exact);
        spoil(&path, 0.25..0.35);
        assert!(clip.picture(75).is_err(), "{kind}: ahead of the picture");
        spoil(&path, 0.35..0.95);
        assert!(clip.picture(75).is_err(), "{kind}: the picture itself");
    }
}

/// Writes noise over a share of a file.
fn spoil(path: &PathBuf, share: std::ops::Range<f64>) {
    let mut bytes = std::fs::read(path).expect("it is there");
    let place = |share: f64| (bytes.len() as f64 * share) as usize;
    let places = place(share.start)..place(share.end);
    for (index, byte) in bytes[places].iter_mut().enumerate() {
        *byte = (index * 151 % 251) as u8;
    }
    std::fs::write(path, bytes).expect("it can be written");
}

/// A stream that is cut off is decoded as before: scanned or not, each picture is the same and as exact.
#[test]
fn a_stream_that_is_cut_off_is_as_it_was() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let whole = std::fs::read(clips::folder().join("b-in.ts")).expect("it is there");
    let path = folder.path().join("cut.ts");
    std::fs::write(&path, &whole[..whole.len() * 2 / 3 + 91]).expect("it can be written");
    let plain = Clip::open(&path, Some(&tools)).expect("it opens");
    let mut clip = Clip::open(&path, Some(&tools)).expect("it opens");
    duplicate_frames::scan(&mut clip, &mut |_, _| ControlFlow::Continue(()));
    for frame in [0, clip.frames.len() / 2, clip.frames.len() - 1] {
        let (one, other) = (plain.picture(frame), clip.picture(frame));
        assert_eq!(one.ok(), other.ok(), "{frame}");
    }
}
