//! Damaged clips: whatever is done to a file, it gives an error or frames; never a panic, a hang, or memory without
//! bound. These are a few; `cargo bench --bench damaged_clips` tries ten thousand by every decoder.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use std::ops::ControlFlow;
use testing::clips;
use testing::damage::{damage, damaged};

/// Opens a file and decodes what it has, a few frames at most; how many frames came.
fn try_out(path: &std::path::Path, tools: Option<&Tools>) -> usize {
    let Ok(clip) = Clip::open(path, tools) else { return 0 };
    let mut came = 0;
    let size = u64::from(clip.size.0) * u64::from(clip.size.1);
    let ended = clip.pictures(0..clip.frames.len().min(40), &mut |_, picture| {
        assert!(picture.samples.len() as u64 <= size * 8 + 64, "{picture:?}");
        came += 1;
        ControlFlow::Continue(())
    });
    if let Err(reason) = ended {
        assert!(!reason.to_string().is_empty());
    }
    came
}

// PROPERTY: a damaged clip gives an error or frames
#[test]
fn whatever_is_done_to_a_file_it_gives_an_error_or_frames() {
    let sources = clips::all();
    let wholes: Vec<Vec<u8>> =
        sources.iter().map(|stored| std::fs::read(&stored.path).expect("it is there")).collect();
    let folder = tempfile::tempdir().expect("a folder");
    let mut runner = TestRunner::new(testing::repeatable(1));
    let (mut opened, mut frames) = (0, 0);
    for round in 0..400 {
        let damages = damage().new_tree(&mut runner).expect("a case").current();
        let (stored, whole) = (&sources[round % sources.len()], &wholes[round % sources.len()]);
        let path = folder.path().join(&stored.name);
        std::fs::write(&path, damaged(whole, &damages)).expect("it can be written");
        let came = try_out(&path, None);
        opened += usize::from(came > 0);
        frames += came;
    }
    assert!(opened > 20 && frames > 200, "{opened} opened, {frames} frames: nothing was tried");
}

/// FFmpeg as well, for one damage of each clip.
#[test]
fn whatever_ffmpeg_reads_of_a_damaged_file_is_an_error_or_frames() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut runner = TestRunner::new(testing::repeatable(1));
    for stored in clips::all().into_iter().step_by(2) {
        let damages = damage().new_tree(&mut runner).expect("a case").current();
        let path = folder.path().join(&stored.name);
        let whole = std::fs::read(&stored.path).expect("it is there");
        std::fs::write(&path, damaged(&whole, &damages)).expect("it can be written");
        try_out(&path, Some(&tools));
    }
}

#[test]
fn files_that_are_no_clips_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("-i concat:.mp4");
    let tools = Tools::find(None);
    for content in [&b""[..], b"\0", b"ftyp", b"not a clip at all, only words", &[0xff; 4096]] {
        std::fs::write(&path, content).expect("it can be written");
        for tools in [None, tools.as_ref()] {
            let refused = Clip::open(&path, tools).expect_err("no clip");
            assert!(!refused.to_string().is_empty());
        }
    }
    assert!(Clip::open(folder.path(), None).is_err(), "a folder");
}

/// A play list that leads elsewhere is not followed.
#[test]
fn a_list_of_other_files_is_not_followed() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("list.m3u8");
    let other = clips::folder().join("b-in.ts");
    let list = format!(
        "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nhttp://127.0.0.1:9/{}\n#EXT-X-ENDLIST\n",
        other.display()
    );
    std::fs::write(&path, list).expect("it can be written");
    assert!(Clip::open(&path, Some(&tools)).is_err());
}
