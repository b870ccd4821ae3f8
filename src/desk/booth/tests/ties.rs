//! Cameras tied to one clock by a moment that both see: the messages, how they move together, what marks measure, and
//! the same clock after the desk was closed.
//!
//! The near side's clip has 30000/1001 pictures a second and begins with a timecode; the high end's has 25 and none. All
//! figures are worked out by hand: picture k is in the middle of its interval, at (k − ½)/rate, with a standard error of
//! an interval/√12 (JCGM 100, 4.3.7).

use super::desk::{Desk, film};
use crate::booth::{Message, pictures, walk};
use crate::keys::{Binding, Cap, Chord, letter, plain, shift};
use evidence::mark::Quantity;
use review::event::{SameMoment, Tied};
use std::collections::BTreeSet;
use std::path::Path;
use std::time::Duration;

const TIE: Chord = shift(Cap::Letter('t'));

/// A desk in the walk, with these clips for its first two cameras.
fn desk(folder: &Path, clips: [&str; 2]) -> Desk {
    let mut desk = Desk::new(folder);
    desk.type_in("o11.5 4:37.4");
    opened(&mut desk, folder, clips);
    desk
}

fn opened(desk: &mut Desk, folder: &Path, clips: [&str; 2]) {
    let cameras = ["near side", "high end"].map(str::to_owned);
    let files = [film(folder, "near-side.mp4", clips[0]), film(folder, "high-end.mp4", clips[1])];
    desk.in_game_mut().pictures.open(&files, &cameras);
    desk.in_game_mut().pictures.wait_for_clips();
}

fn go(desk: &mut Desk, camera: char, frame: usize) {
    desk.press(letter(camera));
    desk.press(plain(Cap::Home));
    (0..frame).for_each(|_| desk.press(plain(Cap::Right)));
    let pictures = &desk.in_game().pictures;
    let whys: Vec<_> = pictures.panes.iter().map(|pane| pane.why.clone()).collect();
    assert_eq!(pictures.frame(), Some(frame), "{camera}: {:?} {whys:?}", pictures.told);
}

/// Ties a frame of the near side to one of the high end.
fn tie(desk: &mut Desk, near: usize, end: usize) {
    go(desk, 'a', near);
    desk.press_and_wait(TIE);
    go(desk, 'b', end);
    desk.press_and_wait(TIE);
}

fn remarks(desk: &Desk) -> Vec<String> {
    desk.in_game().pictures.ties_said().map(|said| said.words).collect()
}

// PROPERTY: cameras tied by a moment move together, and a closed desk has the same clock again
#[test]
fn a_moment_that_two_cameras_see_ties_them_and_they_move_together() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["timecode.mp4", "main.mp4"]);
    go(&mut desk, 'a', 5);
    // Without a tie both begin at the same instant: 166.8 ms of the one, 160 of the other.
    assert_eq!(desk.in_game().pictures.asked(), [Some(5), Some(4)]);
    desk.press_and_wait(TIE);
    let held = "Near side, frame 5, is held: go to another camera";
    assert!(remarks(&desk)[0].starts_with(held), "{:?}", remarks(&desk));
    go(&mut desk, 'b', 12);
    assert_eq!(
        desk.in_game().pictures.asked(),
        [Some(5), Some(12)],
        "the one stays while the other is stepped"
    );
    desk.press_and_wait(TIE);
    // 4.5 × 1001/30000 s − 11.5/25 s; √((1001/30000)² + (1/25)²)/√12.
    assert_eq!(remarks(&desk), ["Near side – high end: -0.310 s ± 15 ms from 1 tie, drift 0 ± 50 ppm"]);
    let ties: Vec<&Tied> = desk.review().ties().collect();
    let [Tied { one, other }] = ties[..] else { panic!("{ties:?}") };
    let times = |seen: &SameMoment| (seen.since, seen.at, seen.time_base);
    assert_eq!(times(one), (4004, 5005, (1, 30_000)));
    assert_eq!(times(other), (5632, 6144, (1, 12_800)));
    assert_eq!((one.camera.as_str(), other.camera.as_str()), ("near side", "high end"));
    let proven = |seen: &SameMoment| seen.shot.as_ref().map(|shot| (shot.frame, shot.exact));
    assert_eq!((proven(one), proven(other)), (Some((5, true)), Some((12, true))));
    // 440 ms of the high end are 130 ms of the near side, whose frame 3 stands from 100 to 133.
    desk.press(plain(Cap::Left));
    assert_eq!(desk.in_game().pictures.asked(), [Some(3), Some(11)]);
    desk.press(letter('a'));
    desk.press(plain(Cap::Home));
    assert_eq!(desk.in_game().pictures.asked(), [Some(0), Some(7)], "309.85 ms are 7.7 of its intervals");
}

#[test]
fn several_ties_are_fitted_and_taken_back_one_by_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["timecode.mp4", "main.mp4"]);
    tie(&mut desk, 5, 12);
    // 14.5 × 1001/30000 s − 19.5/25 s is -0.296 s: the mean is -0.303 s, with 1/√2 of the error.
    tie(&mut desk, 15, 20);
    let two = "Near side – high end: -0.303 s ± 11 ms from 2 ties, drift 0 ± 50 ppm";
    assert_eq!(remarks(&desk), [two]);
    // 9.5 × 1001/30000 s − 28.5/25 s is -0.823 s: 520 ms off what the others say.
    tie(&mut desk, 10, 29);
    assert_eq!(
        remarks(&desk),
        [two, "The tie of high end at 00:00:01:04 contradicts the others by 520 ms: it is left out"]
    );
    // The same two pictures again add nothing.
    tie(&mut desk, 10, 29);
    let walk = desk.on_walk();
    let Some(walk::Told::No { because, .. }) = walk.shown() else { panic!("{:?}", walk.shown()) };
    assert_eq!(because, "near side and high end are tied by these two pictures already");
    desk.press(plain(Cap::Escape));
    desk.press(plain(Cap::Backspace));
    assert_eq!(remarks(&desk), [two]);
    desk.press(plain(Cap::Backspace));
    desk.press(plain(Cap::Backspace));
    assert_eq!((remarks(&desk).len(), desk.review().ties().count()), (0, 0));
    go(&mut desk, 'a', 5);
    assert_eq!(desk.in_game().pictures.asked(), [Some(5), Some(4)]);
}

// PROPERTY: cameras tied by a moment move together, and a closed desk has the same clock again
#[test]
fn a_desk_that_was_closed_has_the_same_clock_again_in_the_same_clips() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["timecode.mp4", "main.mp4"]);
    tie(&mut desk, 5, 12);
    let words = remarks(&desk);
    let mut desk = desk.reopened();
    opened(&mut desk, folder.path(), ["timecode.mp4", "main.mp4"]);
    desk.send(Message::Now);
    assert_eq!(remarks(&desk), words);
    desk.press(letter('b'));
    desk.press(plain(Cap::Home));
    (0..11).for_each(|_| desk.press(plain(Cap::Right)));
    assert_eq!(desk.in_game().pictures.asked(), [Some(3), Some(11)]);
    // Another clip of that camera is not the one that was tied.
    let mut desk = desk.reopened();
    opened(&mut desk, folder.path(), ["timecode.mp4", "slices.mp4"]);
    desk.send(Message::Now);
    assert_eq!(
        remarks(&desk),
        ["High end was tied at 00:00:00:12 in another clip than the one that is open: this tie is ignored"]
    );
}

/// Both clips carry the same timecode, but show one moment a third of a second apart.
#[test]
fn a_moment_comes_before_timecodes_and_says_how_far_they_are_off() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["timecode.mp4", "timecode.mp4"]);
    go(&mut desk, 'a', 5);
    assert_eq!((desk.in_game().pictures.asked(), remarks(&desk).len()), (vec![Some(5), Some(5)], 0));
    tie(&mut desk, 5, 15);
    assert_eq!(
        remarks(&desk),
        [
            "Near side – high end: -0.334 s ± 14 ms from 1 tie, drift 0 ± 50 ppm",
            "The timecode of high end is 334 ms off the moments seen: the moments count"
        ]
    );
    desk.press(letter('a'));
    assert_eq!(desk.in_game().pictures.asked(), [Some(5), Some(15)]);
}

#[test]
fn what_ties_nothing_is_said_and_a_tie_that_was_begun_can_be_left() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["timecode.mp4", "main.mp4"]);
    desk.press_and_wait(TIE);
    assert!(
        remarks(&desk)[0].starts_with("This picture cannot be tied: the clip has no earlier picture"),
        "{:?}",
        remarks(&desk)
    );
    go(&mut desk, 'a', 5);
    desk.press_and_wait(TIE);
    // In the same camera the tie begins again.
    desk.press(plain(Cap::Right));
    desk.press_and_wait(TIE);
    assert!(remarks(&desk)[0].starts_with("Near side, frame 6, is held"), "{:?}", remarks(&desk));
    desk.press(plain(Cap::Escape));
    assert_eq!(remarks(&desk).len(), 0);
    go(&mut desk, 'b', 12);
    desk.press_and_wait(TIE);
    assert!(remarks(&desk)[0].starts_with("High end, frame 12, is held"), "{:?}", remarks(&desk));
    assert_eq!(desk.review().ties().count(), 0);
    // While landmarks are clicked the key does nothing.
    desk.press(letter('i'));
    assert!(desk.pressed(TIE).is_none());
}

/// Control in frame 8 of the near side, the landing in frame 16 of the high end, in the step that asks which was first.
// PROPERTY: an order of two cameras has the error of their tie
#[test]
fn marks_of_two_cameras_say_an_order_by_the_ties_with_their_error() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["timecode.mp4", "main.mp4"]);
    desk.send(Message::Walk(walk::Message::Open(2)));
    go(&mut desk, 'a', 8);
    desk.press_and_wait(letter('m'));
    go(&mut desk, 'b', 16);
    desk.press_and_wait(letter('m'));
    let timing = |desk: &Desk| desk.on_walk().timing().cloned();
    assert_eq!(desk.review().marks().count(), 2);
    assert_eq!(timing(&desk), None, "nothing ties the two clocks");
    tie(&mut desk, 5, 12);
    let told = timing(&desk).expect("the marks say an order");
    // The probability: both intervals drawn evenly, the clock normally, added up over 160,000 pairs.
    assert_eq!(
        told.says,
        "control 60 ms before touches down, 99.82 %: established (the standard is 99 %); \
         near side – high end: -0.310 s ± 15 ms from 1 tie, drift 0 ± 50 ppm"
    );
    let Some(Quantity::Order { gap_s, sigma_s, .. }) = &told.measurement.of else { panic!("{told:?}") };
    // 15.5/25 − 7.5 × 1001/30000 − (11.5/25 − 4.5 × 1001/30000) s; each interval goes in by its mark and by the tie.
    let (near_s, end_s) = (1001.0 / 30_000.0, 1.0 / 25.0);
    assert!((gap_s - (4.0 * end_s - 3.0 * near_s)).abs() < 1e-9, "{gap_s}");
    let sigma = ((near_s * near_s + end_s * end_s) / 6.0_f64).sqrt();
    assert!((sigma_s - sigma).abs() < 1e-6, "{sigma_s}, {sigma}");
    // A second tie that contradicts the first leaves no order.
    tie(&mut desk, 10, 29);
    let told = timing(&desk).expect("it is said");
    let because = "the ties of the cameras contradict each other: their marks say no order; ";
    assert!(
        told.says.starts_with(because) && told.doubtful && told.measurement.of.is_none(),
        "{}",
        told.says
    );
    assert!(
        remarks(&desk)[1].starts_with("The ties of high end contradict each other, by 257 ms"),
        "{:?}",
        remarks(&desk)
    );
}

/// The near side's file is overwritten between the look and the key.
// PROPERTY: a file that changed gives no picture, no hash and no mark; one that was touched does
#[test]
fn neither_a_mark_nor_a_tie_is_logged_of_a_file_that_was_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path(), ["baseline.mp4", "main.mp4"]);
    desk.send(Message::Walk(walk::Message::Open(2)));
    go(&mut desk, 'b', 12);
    desk.press_and_wait(TIE);
    go(&mut desk, 'a', 8);
    pictures::tests::waited::write_over(&folder.path().join("near-side.mp4"));
    for key in [letter('m'), TIE] {
        desk.press_and_wait(key);
        assert_eq!((desk.review().marks().count(), desk.review().ties().count()), (0, 0), "{key:?}");
        let walk = desk.on_walk();
        let Some(walk::Told::No { because, .. }) = walk.shown() else { panic!("{:?}", walk.shown()) };
        assert!(because.contains("near side: the file was written to after it was opened"), "{because}");
        // The pane says so as well, and opens the file again once nobody writes to it.
        let near = &desk.in_game().pictures.panes[0];
        assert!(near.facts.is_none() && near.why.is_some(), "{key:?}");
        for _ in 0..2 {
            desk.in_game_mut().pictures.tick(Duration::from_secs(1));
        }
        desk.in_game_mut().pictures.wait_for_clips();
        go(&mut desk, 'a', 8);
        pictures::tests::waited::write_over(&folder.path().join("near-side.mp4"));
    }
}

/// A new act does not compile here until it has a number.
#[test]
fn every_act_of_the_pictures_has_a_key() {
    let kind = |binding: &Binding<pictures::Act>| match binding.act {
        pictures::Act::Step(_) => 0,
        pictures::Act::Second(_) => 1,
        pictures::Act::Run(_) => 2,
        pictures::Act::Mark { .. } => 3,
        pictures::Act::Loop => 4,
        pictures::Act::First => 5,
        pictures::Act::Last => 6,
        pictures::Act::Brighter(_) => 7,
        pictures::Act::Contrast(_) => 8,
        pictures::Act::Zoom(_) => 9,
        pictures::Act::Pan(..) => 10,
        pictures::Act::AsItIs => 11,
        pictures::Act::Calibrate => 12,
        pictures::Act::Measure => 13,
        pictures::Act::Tie => 14,
        pictures::Act::Field => 15,
        pictures::Act::Newer => 16,
    };
    let kinds: BTreeSet<u8> = pictures::KEYS.iter().map(kind).collect();
    assert_eq!(kinds, (0..=16).collect());
}
