//! Files whose times contradict the order of their pictures: whatever the recorder wrote, a picture that says it is exact
//! is the one that a run from the start names for its frame.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use rayon::prelude::*;
use std::ops::ControlFlow;
use std::path::Path;
use testing::clips;

/// What a recorder may get wrong.
#[derive(Debug, Clone, Copy)]
enum Wrong {
    /// No times of showing: the box `ctts` is not there.
    NoShifts,
    /// They are there, and all 0.
    ZeroShifts,
    /// Those of two neighbours are swapped.
    SwappedShifts,
    /// All pictures stand at one instant.
    OneInstant,
    /// Times of decoding are left out for the second half.
    HalfTheTimes,
    /// The edit list begins later.
    LaterEdit,
}

const ALL: [Wrong; 6] = [
    Wrong::NoShifts,
    Wrong::ZeroShifts,
    Wrong::SwappedShifts,
    Wrong::OneInstant,
    Wrong::HalfTheTimes,
    Wrong::LaterEdit,
];

fn number(bytes: &[u8], at: usize) -> u32 {
    bytes[at..at + 4].iter().fold(0, |value, byte| value << 8 | u32::from(*byte))
}

fn put(bytes: &mut [u8], at: usize, value: u32) {
    bytes[at..at + 4].copy_from_slice(&value.to_be_bytes());
}

/// The clip with that mistake; `None` where it has no such box (ISO/IEC 14496-12, 8.6.1 and 8.6.6).
fn with(bytes: &[u8], wrong: Wrong) -> Option<Vec<u8>> {
    let mut bytes = bytes.to_vec();
    let box_at = |kind: &[u8; 4]| bytes.windows(4).position(|letters| letters == kind);
    // After the letters: version and flags, a count, then pairs.
    let pairs = |at: usize| (0..number(&bytes, at + 8) as usize).map(move |pair| at + 12 + 8 * pair);
    match wrong {
        Wrong::NoShifts => {
            let at = box_at(b"ctts")?;
            bytes[at..at + 4].copy_from_slice(b"free");
        }
        Wrong::ZeroShifts => {
            let at = box_at(b"ctts")?;
            let all: Vec<usize> = pairs(at).collect();
            all.into_iter().for_each(|pair| put(&mut bytes, pair + 4, 0));
        }
        Wrong::SwappedShifts => {
            let at = box_at(b"ctts")?;
            let all: Vec<usize> = pairs(at).collect();
            let single = |one: usize, other: usize| (number(&bytes, one), number(&bytes, other)) == (1, 1);
            let differ = |one: usize, other: usize| number(&bytes, one + 4) != number(&bytes, other + 4);
            let pair =
                all.windows(2).skip(4).find(|pair| single(pair[0], pair[1]) && differ(pair[0], pair[1]))?;
            let (one, other) = (number(&bytes, pair[0] + 4), number(&bytes, pair[1] + 4));
            let pair = [pair[0], pair[1]];
            put(&mut bytes, pair[0] + 4, other);
            put(&mut bytes, pair[1] + 4, one);
        }
        Wrong::OneInstant => {
            let at = box_at(b"stts")?;
            let all: Vec<usize> = pairs(at).collect();
            all.into_iter().for_each(|pair| put(&mut bytes, pair + 4, 0));
        }
        Wrong::HalfTheTimes => {
            let at = box_at(b"stts")?;
            let half = number(&bytes, at + 12) / 2;
            put(&mut bytes, at + 8, 1);
            put(&mut bytes, at + 12, half);
        }
        Wrong::LaterEdit => {
            let at = box_at(b"elst")?;
            let from = number(&bytes, at + 16);
            put(&mut bytes, at + 16, from + 1001);
        }
    }
    Some(bytes)
}

/// The pictures of one run from the start, as far as they come.
fn from_start(clip: &Clip) -> Vec<String> {
    let mut found = Vec::new();
    // Where it ends early, what comes after has no picture to be compared with.
    drop(clip.pictures(0..clip.frames.len(), &mut |_, picture| {
        found.push(picture.sha256());
        ControlFlow::Continue(())
    }));
    found
}

/// How many single pictures say that they are exact; each is the one of the run.
fn exact(path: &Path, waiting: &Tools, said: &str) -> usize {
    let Some(cold) = Tools::find(None) else { return 0 };
    let Ok(window) = Clip::open(path, Some(waiting)) else { return 0 };
    let probe = Clip::open(path, Some(&cold)).expect("it opened a moment ago");
    let run = from_start(&probe);
    let mut exact = 0;
    // Groups of these clips are longer than that, and none is a multiple of it.
    for frame in (0..window.frames.len()).step_by(7) {
        for (way, clip) in [("waiting", &window), ("cold", &probe)] {
            let Ok(picture) = clip.picture(frame) else { continue };
            if picture.exact {
                assert_eq!(run.get(frame), Some(&picture.sha256()), "{said}, frame {frame}, {way}");
                exact += 1;
            }
        }
    }
    exact
}

// PROPERTY: times that contradict the order of pictures are never exact
#[test]
fn whatever_a_recorder_got_wrong_a_picture_that_says_it_is_exact_is_that_of_its_frame() {
    let Some(waiting) = Tools::find(None) else { return };
    waiting.stand_by();
    let folder = tempfile::tempdir().expect("a folder");
    let names = ["fifty-b.mp4", "open-group.mp4", "edit-list-b.mp4", "interlaced.mp4", "high.mp4"];
    let cases: Vec<(&str, Wrong)> = names.iter().flat_map(|name| ALL.map(|wrong| (*name, wrong))).collect();
    cases.par_iter().for_each(|(name, wrong)| {
        let whole = std::fs::read(clips::folder().join(name)).expect("it is there");
        let Some(bytes) = with(&whole, *wrong) else { return };
        let path = folder.path().join(format!("{wrong:?}-{name}"));
        std::fs::write(&path, bytes).expect("it can be written");
        let said = format!("{name}, {wrong:?}");
        let exact = exact(&path, &waiting, &said);
        let contradicts = matches!(wrong, Wrong::NoShifts | Wrong::ZeroShifts | Wrong::SwappedShifts);
        assert!(!contradicts || exact == 0, "{said}: {exact} pictures say that they are exact");
    });
}
