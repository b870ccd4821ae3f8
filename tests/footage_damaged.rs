//! Damaged clips: whatever is done to a file, it gives an error or frames; never a panic, a hang, or memory without
//! bound. `TELLFRAME_CLIPS=10000` tries so many; `TELLFRAME_CLIPS_FFMPEG=1` lets FFmpeg read them as well.

use crate::support::clips;
use proptest::prelude::any;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use std::ops::ControlFlow;
use tellframe::footage::clip::Clip;
use tellframe::footage::ffmpeg::Tools;

/// What is done to a file.
#[derive(Debug, Clone)]
enum Damage {
    /// It ends here, as a share of 65536.
    Cut(u16),
    /// A byte at a share of the file gets another value.
    Byte(u16, u8),
    /// Four bytes at a share of the file, where lengths and counts lie, get a number.
    Number(u16, u32),
    /// A piece is written again somewhere else.
    Moved(u16, u16, u8),
    /// A byte within the index of an MP4 file gets another value.
    InIndex(u16, u8),
    /// Four bytes within the index get a number.
    NumberInIndex(u16, u32),
}

fn damage() -> impl Strategy<Value = Vec<Damage>> {
    use proptest::prop_oneof;
    let number = || {
        prop_oneof![
            any::<u32>(),
            0_u32..64,
            proptest::strategy::Just(u32::MAX),
            (0_u32..32).prop_map(|bit| 1 << bit)
        ]
    };
    let one = prop_oneof![
        1 => any::<u16>().prop_map(Damage::Cut),
        3 => any::<(u16, u8)>().prop_map(|(at, value)| Damage::Byte(at, value)),
        2 => (any::<u16>(), number()).prop_map(|(at, value)| Damage::Number(at, value)),
        1 => any::<(u16, u16, u8)>().prop_map(|(from, to, length)| Damage::Moved(from, to, length)),
        4 => any::<(u16, u8)>().prop_map(|(at, value)| Damage::InIndex(at, value)),
        6 => (any::<u16>(), number()).prop_map(|(at, value)| Damage::NumberInIndex(at, value)),
    ];
    proptest::collection::vec(one, 1..4)
}

/// The byte at a share of a length.
fn place(share: u16, length: usize) -> usize {
    usize::from(share) * length / 65_536
}

fn damaged(whole: &[u8], damages: &[Damage]) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    for damage in damages {
        let index = bytes.windows(4).position(|kind| kind == b"moov").unwrap_or(0);
        let length = bytes.len();
        let mut write = |at: usize, new: &[u8]| {
            for (byte, value) in bytes.iter_mut().skip(at).zip(new) {
                *byte = *value;
            }
        };
        match damage {
            Damage::Cut(share) => bytes.truncate(place(*share, length)),
            Damage::Byte(share, value) => write(place(*share, length), &[*value]),
            Damage::Number(share, value) => write(place(*share, length), &value.to_be_bytes()),
            Damage::Moved(from, to, count) => {
                let from = place(*from, length);
                let piece: Vec<u8> = whole.iter().skip(from).take(usize::from(*count)).copied().collect();
                write(place(*to, length), &piece);
            }
            Damage::InIndex(share, value) => write(index + place(*share, length - index), &[*value]),
            Damage::NumberInIndex(share, value) => {
                write(index + place(*share, length - index), &value.to_be_bytes());
            }
        }
    }
    bytes
}

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

#[test]
fn whatever_is_done_to_a_file_it_gives_an_error_or_frames() {
    let number = |name| std::env::var(name).ok().and_then(|text| text.parse::<u32>().ok());
    let tools = Tools::find(None).filter(|_| number("TELLFRAME_CLIPS_FFMPEG").is_some());
    let sources = clips::all();
    let wholes: Vec<Vec<u8>> =
        sources.iter().map(|stored| std::fs::read(&stored.path).expect("it is there")).collect();
    let folder = tempfile::tempdir().expect("a folder");
    let mut runner = TestRunner::new(crate::support::repeatable(1));
    let (mut opened, mut frames) = (0, 0);
    for round in 0..number("TELLFRAME_CLIPS").unwrap_or(400) as usize {
        let damages = damage().new_tree(&mut runner).expect("a case").current();
        let (stored, whole) = (&sources[round % sources.len()], &wholes[round % sources.len()]);
        let path = folder.path().join(&stored.name);
        std::fs::write(&path, damaged(whole, &damages)).expect("it can be written");
        let came = try_out(&path, tools.as_ref());
        opened += usize::from(came > 0);
        frames += came;
    }
    assert!(opened > 20 && frames > 200, "{opened} opened, {frames} frames: nothing was tried");
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
