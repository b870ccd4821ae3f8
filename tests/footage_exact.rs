//! Exact frames: every picture of every kind of clip against the hashes of the reference decoder (FFmpeg 5.1.9, made
//! by `scripts/make-test-clips.sh`). Where FFmpeg is not installed, what only it can decode must be refused in words.

use crate::program::Data;
use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::error::Error;
use rayon::prelude::*;
use std::ops::ControlFlow;
use testing::clips;

/// Clips that the built-in decoder gives exactly, so that they are tested without FFmpeg.
const BUILT_IN: [&str; 18] = [
    "all-intra.mp4",
    "baseline.mp4",
    "begins-late.mp4",
    "dropped.mp4",
    "edit-list.mp4",
    "fragmented.mp4",
    "high.mp4",
    "intra-refresh.mp4",
    "long-group.mp4",
    "main.mp4",
    "repeated.mp4",
    "rotated.mp4",
    "slices.mp4",
    "sound-longer.mp4",
    "timecode.mp4",
    "truncated-fragmented.mp4",
    "truncated-plain.mp4",
    "variable.mp4",
];

/// Times and hashes of all frames, decoded in one run, and whether all say that they are exact.
fn run(clip: &Clip) -> (Vec<(i64, String)>, bool) {
    let (mut found, mut all_exact) = (Vec::new(), true);
    let ended = clip.pictures(0..clip.frames.len(), &mut |frame, picture| {
        assert_eq!(picture.pts, clip.frames[frame].pts);
        all_exact &= picture.exact;
        found.push((picture.pts, picture.sha256()));
        ControlFlow::Continue(())
    });
    ended.unwrap_or_else(|error| panic!("{}: {error}", clip.path.display()));
    (found, all_exact)
}

// PROPERTY: the built-in decoder is exact where it says so
#[test]
fn the_built_in_decoder_gives_every_picture_of_its_clips_exactly() {
    for name in BUILT_IN {
        let stored = clips::stored(name);
        let clip = Clip::open(&stored.path, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(run(&clip), (stored.pictures.clone(), true), "{name}");
        // From anywhere, not only in a row.
        for frame in (0..clip.frames.len()).rev().step_by(5) {
            let picture = clip.picture(frame).unwrap_or_else(|error| panic!("{name} {frame}: {error}"));
            assert_eq!((picture.pts, picture.sha256()), stored.pictures[frame], "{name} {frame}");
        }
    }
}

// PROPERTY: every picture of every kind of clip is the reference decoder's
#[test]
fn every_picture_of_every_clip_is_that_of_the_reference() {
    let tools = Tools::find(None);
    for stored in clips::all() {
        let name = &stored.name;
        let clip = match (Clip::open(&stored.path, tools.as_ref()), &tools) {
            (Ok(clip), _) => clip,
            (Err(_), Some(_)) if stored.pictures.is_empty() => continue,
            (Err(Error::NeedsFfmpeg(reason)), None) => {
                assert!(!reason.is_empty() && !BUILT_IN.contains(&name.as_str()), "{name}: {reason}");
                continue;
            }
            (Err(error), _) => panic!("{name}: {error}"),
        };
        let (found, all_exact) = run(&clip);
        if tools.is_none() && !BUILT_IN.contains(&name.as_str()) {
            assert!(!all_exact, "{name}: shown without FFmpeg, and it does not say that it is not exact");
            continue;
        }
        assert_eq!(found, stored.pictures, "{name}");
        assert!(all_exact || may_be_mended(name) || is_untimed(name), "{name}");
        let never = ["truncated.mp4", "no-first-key.ts"].contains(&name.as_str()) || is_untimed(name);
        assert!(!all_exact || !never, "{name}");
        for frame in [clip.frames.len() / 2, clip.frames.len() - 1] {
            let picture = clip.picture(frame).unwrap_or_else(|error| panic!("{name} {frame}: {error}"));
            assert_eq!((picture.pts, picture.sha256()), stored.pictures[frame], "{name} {frame}");
        }
    }
}

/// The end of a cut file may be mended by guessing; after a missing key the decoder complains.
fn may_be_mended(name: &str) -> bool {
    name.starts_with("truncated") || name == "no-first-key.ts"
}

/// The times of the file do not say in which order its pictures are shown.
fn is_untimed(name: &str) -> bool {
    name.starts_with("untimed")
}

/// The way of the window (a child that waits, and runs from the keys), that of `probe` (one frame, cold) and one run from
/// the start: for every frame of every clip they name the same picture, as exact as each other.
// PROPERTY: window, `probe` and a run from the start name the same picture for every frame
#[test]
fn window_probe_and_a_run_from_the_start_name_the_same_picture_for_every_frame() {
    let (Some(waiting), Some(cold)) = (Tools::find(None), Tools::find(None)) else { return };
    waiting.stand_by();
    let stored: Vec<clips::Stored> = clips::all();
    stored.par_iter().filter(|stored| !stored.pictures.is_empty()).for_each(|stored| {
        let open = |tools| {
            Clip::open(&stored.path, Some(tools)).unwrap_or_else(|error| panic!("{}: {error}", stored.name))
        };
        let (window, probe) = (open(&waiting), open(&cold));
        let from_start = run(&open(&cold)).0;
        assert_eq!(from_start, stored.pictures, "{}", stored.name);
        let mut keys: Vec<usize> =
            window.key_frames().chain([window.frames.len() / 2, window.frames.len()]).collect();
        keys.sort_unstable();
        let mut in_runs = Vec::new();
        for pair in keys.windows(2) {
            let ended = window.pictures(pair[0]..pair[1], &mut |frame, picture| {
                in_runs.push((frame, picture.sha256(), picture.exact));
                ControlFlow::Continue(())
            });
            ended.unwrap_or_else(|error| panic!("{} {pair:?}: {error}", stored.name));
        }
        for (frame, sha256, exact) in in_runs {
            let name = format!("{} {frame}", stored.name);
            let come = |clip: &Clip| clip.picture(frame).unwrap_or_else(|error| panic!("{name}: {error}"));
            let (one, other) = (come(&window), come(&probe));
            let (pts, expected) = &stored.pictures[frame];
            assert_eq!((one.pts, &one.sha256()), (*pts, expected), "{name}, a child that waits");
            assert_eq!((other.pts, &other.sha256()), (*pts, expected), "{name}, cold");
            assert_eq!(&sha256, expected, "{name}, in a run");
            let same = one.exact == other.exact && exact == other.exact;
            assert!(same || may_be_mended(&stored.name), "{name}: exact one way and not another");
        }
    });
}

/// A clip whose times say nothing of the order is shown, says so, and is no evidence; `probe` says it too.
// PROPERTY: times that contradict the order of pictures are never exact
#[test]
fn a_clip_without_times_of_showing_says_that_it_is_not_exact() {
    let Some(tools) = Tools::find(None) else { return };
    let data = Data::new();
    for name in ["untimed-b.mp4", "untimed-b.mkv", "untimed-b.ts", "untimed-hevc.mp4"] {
        let clip = Clip::open(&clips::stored(name).path, Some(&tools))
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(!clip.is_exact() && clip.decoder().ends_with(", not exact"), "{name}: {}", clip.decoder());
        let said: Vec<String> = clip.faults.iter().map(ToString::to_string).collect();
        assert!(!said.iter().any(|said| said.starts_with("damaged")), "{name}: {said:?}");
        assert!(
            said.iter().any(|said| said.starts_with("not exact: its times do not follow")),
            "{name}: {said:?}"
        );
        let path = clips::folder().join(name);
        let ran = data.run(&[
            "probe".as_ref(),
            path.as_path(),
            "--frame".as_ref(),
            "7".as_ref(),
            "--hash".as_ref(),
            "--json".as_ref(),
        ]);
        let expected = &clips::stored(name).pictures[7].1;
        assert_eq!(
            (ran.json()["exact"].as_bool(), ran.json()["sha256"].as_str()),
            (Some(false), Some(expected.as_str())),
            "{name}"
        );
    }
}

/// One by one, as a desk that has an FFmpeg waiting asks for them; what that one cannot take is decoded the usual way.
// PROPERTY: a picture from an FFmpeg that waits is the reference decoder's
#[test]
fn single_pictures_are_those_of_the_reference_where_an_ffmpeg_waits_for_them() {
    let Some(tools) = Tools::find(None) else { return };
    tools.stand_by();
    for stored in clips::all().into_iter().filter(|stored| !stored.pictures.is_empty()) {
        let name = &stored.name;
        let clip = Clip::open(&stored.path, Some(&tools)).unwrap_or_else(|error| panic!("{name}: {error}"));
        for frame in [clip.frames.len() / 2 + 1, clip.frames.len() - 1] {
            let picture = clip.picture(frame).unwrap_or_else(|error| panic!("{name} {frame}: {error}"));
            assert_eq!((picture.pts, picture.sha256()), stored.pictures[frame], "{name} {frame}");
            assert_eq!(
                picture.exact,
                !is_untimed(name) && (picture.exact || !may_be_mended(name)),
                "{name} {frame}"
            );
        }
    }
}

#[test]
fn a_clip_with_b_frames_is_shown_without_ffmpeg_and_no_picture_claims_to_be_exact() {
    for name in ["high-b.mp4", "fifty-b.mp4", "fragmented-b.mp4", "long-group-b.mp4", "edit-list-b.mp4"] {
        let stored = clips::stored(name);
        let clip = Clip::open(&stored.path, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        let times: Vec<i64> = clip.frames.iter().map(|frame| frame.pts).collect();
        assert_eq!(times, stored.pictures.iter().map(|(pts, _)| *pts).collect::<Vec<_>>(), "{name}");
        let mut shown = 0;
        let ended = clip.pictures(0..clip.frames.len(), &mut |_, picture| {
            assert!(!picture.exact, "{name}");
            shown += 1;
            ControlFlow::Continue(())
        });
        ended.unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(shown, clip.frames.len(), "{name}");
        assert!(clip.faults.iter().any(|fault| fault.to_string().starts_with("not exact: it has B-frames")));
    }
}

#[test]
fn what_only_ffmpeg_can_decode_is_refused_in_words_without_it() {
    for (name, reason) in [
        ("interlaced.mp4", "it is interlaced"),
        ("ten-bit.mp4", "it has 10 bits a sample"),
        ("four-four-four.mp4", "its colours are not 4:2:0"),
        ("hevc.mp4", "its coding is hvc1"),
        ("b-in.ts", "not an MP4 or QuickTime file"),
        ("truncated-no-index.mp4", "its index is missing: the recording was cut off before it was closed"),
    ] {
        let refused = Clip::open(&clips::stored(name).path, None).expect_err(name);
        assert_eq!(refused.to_string(), format!("it cannot be shown without FFmpeg: {reason}"), "{name}");
    }
}

/// What the command says of clips that the built-in decoder reads; the times and counts are those that the clips
/// were made with (`scripts/make-test-clips.sh`).
#[test]
fn probe_says_what_a_clip_is() {
    let data = Data::new();
    for (name, frames, rate, duration_s, keys, faults) in [
        ("baseline.mp4", 36, Some("30000/1001"), 1.2012, vec![0, 12, 24], vec![]),
        ("main.mp4", 30, Some("25"), 1.2, vec![0, 10, 20], vec![]),
        ("high.mp4", 36, Some("60000/1001"), 0.6006, vec![0, 12, 24], vec![]),
        ("edit-list.mp4", 18, Some("60000/1001"), 0.3003, vec![6], vec![]),
        ("dropped.mp4", 36, None, 1.6, vec![0, 12, 24], vec!["dropped frames: 4 after frame 11"]),
        (
            "variable.mp4",
            48,
            None,
            1.2,
            vec![0, 12, 24, 36],
            vec!["variable rate: 20.0 to 60.0 ms between pictures"],
        ),
        (
            "repeated.mp4",
            32,
            Some("25"),
            1.28,
            vec![0, 12, 24],
            vec!["duplicate frames: 10, 11 like the one before"],
        ),
        (
            "rotated.mp4",
            30,
            Some("25"),
            1.2,
            vec![0, 10, 20],
            vec!["rotated: a player turns it by 270 degrees"],
        ),
        (
            "sound-longer.mp4",
            20,
            Some("30000/1001"),
            20.0 * 1001.0 / 30_000.0,
            vec![0, 10],
            vec!["audio longer than video: sound goes on 1.03 s after the last picture"],
        ),
        (
            "truncated-plain.mp4",
            24,
            Some("30000/1001"),
            0.8008,
            vec![0, 12],
            vec!["truncated: the last 12 pictures are missing"],
        ),
    ] {
        let path = clips::folder().join(name);
        let ran = data.run(&["probe".as_ref(), path.as_path(), "--json".as_ref(), "--built-in".as_ref()]);
        assert_eq!(ran.status, 0, "{name}: {}", ran.err);
        let found = ran.json();
        assert_eq!(found["codec"], "h264", "{name}");
        assert_eq!(found["frames"], frames, "{name}");
        assert_eq!(found["rate"].as_str(), rate, "{name}");
        let found_s = found["duration_s"].as_f64().expect("a number");
        assert!((found_s - duration_s).abs() < 1e-9, "{name}: {found_s}");
        assert_eq!(found["key_frames"], serde_json::json!(keys), "{name}");
        assert_eq!(found["faults"], serde_json::json!(faults), "{name}");
    }
    let timecode =
        data.run(&["probe".as_ref(), clips::folder().join("timecode.mp4").as_path(), "--json".as_ref()]);
    assert_eq!(timecode.json()["timecode"], "00:41:17;22");
}

#[test]
fn probe_gives_one_frame_or_says_why_not() {
    let data = Data::new();
    let stored = clips::stored("high.mp4");
    let probe = |arguments: &[&str]| {
        let words = ["probe", stored.path.to_str().expect("a plain path"), "--json"];
        data.run(&words.iter().chain(arguments).collect::<Vec<_>>())
    };
    let (pts, hash) = &stored.pictures[17];
    let expected = serde_json::json!(
        {"frame": 17, "pts": pts, "exact": true, "pixel_format": "yuv420p", "sha256": hash}
    );
    assert_eq!(probe(&["--frame", "17", "--hash"]).json(), expected);
    let beyond = probe(&["--frame", "36", "--hash"]);
    assert_eq!(beyond.status, 2);
    assert!(beyond.err.contains("there is no frame 36: the clip has frames 0 to 35"), "{}", beyond.err);
    assert_eq!(probe(&["--hash"]).status, 2);
    let missing = data.run(&["probe", "/nowhere/at/all.mp4"]);
    assert!(
        missing.status == 2 && missing.err.contains("/nowhere/at/all.mp4: cannot open it"),
        "{}",
        missing.err
    );
}
