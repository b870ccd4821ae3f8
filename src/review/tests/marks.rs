//! Marks of one moment: which replaces which, and which is refused.

use evidence::mark::{Mark, Shot};
use review::decide::Command;
use review::event::Marked;
use testing::booth::Booth;

const FIRST: &str = "00:41:17;22";
const LATER: &str = "00:41:17;25";

/// The proof of a frame of one clip.
fn shot(frame: u64) -> Shot {
    Shot {
        clip_sha256: "c".repeat(64),
        frame,
        pts: i64::try_from(frame).expect("small") * 1001,
        time_base: (1, 30_000),
        sha256: "a".repeat(64),
        exact: true,
        still: None,
    }
}

fn mark(moment: &str, camera: &str, timecode: &str, shot: Option<Shot>) -> Command {
    let timecode = timecode.parse().expect("a timecode");
    let mark = Mark { moment: moment.to_owned(), camera: camera.to_owned(), timecode };
    Command::Mark(Marked { mark, x: None, clock_ms: None, shot, scoreboard: None })
}

/// Typed or in a clip × the same frame or another × the same camera or another × the same moment or another.
// PROPERTY: a typed timecode replaces no frame that is marked in its clip
#[test]
fn a_typed_timecode_never_replaces_a_frame_that_was_marked_in_its_clip() {
    for was_clip in [false, true] {
        for is_clip in [false, true] {
            for timecode in [FIRST, LATER] {
                for camera in ["near side", "high end"] {
                    for moment in ["snap", "hurdle"] {
                        let case = format!("{was_clip} {is_clip} {timecode} {camera} {moment}");
                        let mut booth = Booth::open("inside-line", "foul");
                        booth.does(mark("snap", "near side", FIRST, was_clip.then(|| shot(0))));
                        let other = is_clip.then(|| shot(if timecode == FIRST { 0 } else { 3 }));
                        let second = mark(moment, camera, timecode, other);
                        let same = camera == "near side" && moment == "snap";
                        if same && was_clip && !is_clip && timecode != FIRST {
                            let no = booth.refuses(second);
                            let because = "`snap` on near side is marked in its clip at 00:41:17;22 already: a typed \
                                 timecode does not replace it";
                            assert_eq!((no.because.as_str(), no.reason_carries), (because, false), "{case}");
                            // Taken back, it can be typed.
                            booth.does(Command::Undo);
                            booth.does(mark(moment, camera, timecode, None));
                        } else {
                            booth.does(second);
                        }
                    }
                }
            }
        }
    }
}
