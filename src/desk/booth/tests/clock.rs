//! The scoreboard's clock read in two frames, and the clock of a mark in another camera taken from it.

use super::desk::{Desk, film};
use crate::booth::walk;
use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use log::streams::reviews;
use review::event::Marked;
use review::text;
use std::path::Path;

/// The near side and the scoreboard, by index among the rehearsal's cameras.
const CAMERAS: [(usize, &str); 2] = [(0, "near-side.mp4"), (4, "scoreboard.mp4")];

/// A desk in the walk, with one clip for both cameras: 20 frames at 30000/1001 a second, the first at 00:41:17;22
/// (`scripts/make-test-clips.sh`).
fn desk(folder: &Path) -> Desk {
    let mut desk = Desk::new(folder);
    desk.type_in("o11.5 4:37.4");
    let paths = CAMERAS.map(|(_, name)| film(folder, name, "timecode.mp4"));
    let game = &desk.in_game().game;
    let cameras = game.cameras.clone();
    desk.in_game_mut().pictures.open(&paths, &cameras);
    while CAMERAS.iter().any(|(camera, _)| desk.in_game().pictures.facts(*camera).is_none()) {
        desk.in_game_mut().pictures.wait();
    }
    desk
}

fn frame(desk: &mut Desk, camera: char, frame: usize) {
    desk.press(letter(camera));
    desk.press(plain(Cap::Home));
    (0..frame).for_each(|_| desk.press(plain(Cap::Right)));
}

fn reads(desk: &mut Desk, camera: char, at: usize, shown: &str) {
    frame(desk, camera, at);
    desk.press(letter('r'));
    desk.type_in(shown);
}

const TAKE: Chord = ctrl(Cap::Letter('r'));

// PROPERTY: a clock read in two frames of the scoreboard gives the clock of a mark, with its error
#[test]
fn a_clock_that_is_read_in_two_frames_gives_the_clock_of_a_mark_with_its_error() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    reads(&mut desk, 'e', 0, "4:38");
    assert_eq!(desk.on_walk().scoreboard(), None, "one reading gives no clock");
    reads(&mut desk, 'e', 1, "4:37");
    frame(&mut desk, 'a', 5);
    // 4:38.000 was between frames 0 and 1, so four frames later, between frames 4 and 5, it was 4:38 less four times
    // 33.37 ms. Its error: two rectangles of a frame, and a tie of two cameras by their frames.
    let offer = desk.on_walk().scoreboard().cloned().expect("two readings");
    let read = "read on scoreboard: 4:38 at 00:41:17;22, 4:37 at 00:41:17;23";
    assert_eq!(offer.text(), format!("4:37.87 ± 0.04 s (95 %), {read}"));
    desk.press(shift(Cap::Letter('m')));
    desk.press(TAKE);
    let text = desk.on_walk().line().expect("a mark is typed").to_owned();
    assert_eq!(text, "c4:37.867");
    desk.type_in(&format!("00:41:17;27 {text}"));
    let marked = the_mark(&desk);
    assert_eq!((marked.clock_ms, marked.scoreboard.as_deref()), (Some(277_867), Some(&offer)));
    assert!(text::stood(&marked).ends_with(read), "{}", text::stood(&marked));
    desk.press(plain(Cap::Backspace));
    assert_eq!(desk.on_walk().boards()[0].steps[0].marks, Vec::<String>::new());
}

/// A mark as the log has it.
fn the_mark(desk: &Desk) -> Marked {
    let held = reviews::Held::all(&desk.reader()).expect("read").pop().expect("there");
    held.review().marks().last().cloned().expect("it is marked")
}

#[test]
fn a_clock_that_was_typed_otherwise_rests_on_no_reading_and_a_bad_one_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    frame(&mut desk, 'e', 0);
    desk.press(letter('r'));
    desk.type_in("late");
    let Some(walk::Typing::Clock { wrong: Some(wrong), .. }) = desk.on_walk().typing() else {
        panic!("{:?}", desk.on_walk().typing())
    };
    assert!(wrong.contains("is not a clock"), "{wrong}");
    desk.type_in("4:38");
    reads(&mut desk, 'e', 1, "4:30");
    let offer = desk.on_walk().scoreboard().cloned().expect("two readings");
    assert!(offer.text().starts_with("no running clock fits these readings"), "{}", offer.text());
    desk.press(shift(Cap::Letter('m')));
    desk.press(TAKE);
    assert_eq!(desk.on_walk().line(), Some(""), "there is nothing to take");
    desk.type_in("00:41:17;23 c4:37");
    let marked = the_mark(&desk);
    assert_eq!((marked.clock_ms, marked.scoreboard), (Some(277_000), None));
}
