//! Which clips are open during a review, and after a desk was killed in one, over a folder that a recorder writes into.

use super::desk::{Desk, film};
use crate::booth::{Message, walk};
use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use std::path::Path;

/// The key that takes the newer clips.
const NEWER: Chord = shift(Cap::Letter('o'));

/// Watches the folder of clips, and waits until its clips are open.
fn watch(desk: &mut Desk, clips: &Path) {
    let game = &desk.in_game().game;
    let cameras = game.cameras.clone();
    desk.in_game_mut().pictures.open(&[clips.to_owned()], &cameras);
    listen(desk);
}

/// Waits until new clips in the folder are finished and open.
fn listen(desk: &mut Desk) {
    (0..8).for_each(|_| desk.send(Message::Now));
    desk.in_game_mut().pictures.wait_for_clips();
    desk.send(Message::Now);
    desk.in_game_mut().pictures.wait_for_clips();
}

/// The open files, in the order of the cameras.
fn open(desk: &Desk) -> Vec<String> {
    let name = |camera: usize| {
        let facts = desk.in_game().pictures.facts(camera)?;
        Some(facts.path.file_name()?.to_string_lossy().into_owned())
    };
    (0..6).filter_map(name).collect()
}

fn message(desk: &Desk) -> String {
    desk.in_game().pictures.told.as_deref().unwrap_or("").to_owned()
}

/// A desk in the walk, with clips of the near side and the high end.
fn desk(folder: &Path, clips: &Path) -> Desk {
    film(clips, "near-side-1.mp4", "timecode.mp4");
    film(clips, "high-end-1.mp4", "main.mp4");
    let mut desk = Desk::new(folder);
    desk.type_in("o11.5 4:37.4");
    watch(&mut desk, clips);
    assert_eq!(open(&desk), ["near-side-1.mp4", "high-end-1.mp4"]);
    desk
}

/// The next files of both cameras come while the near side's frames are looked at.
// PROPERTY: in a review no newer clip takes a place without a key
#[test]
fn in_a_review_no_newer_clip_takes_a_place_without_a_key() {
    let (folder, clips) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let mut desk = desk(folder.path(), clips.path());
    desk.press(plain(Cap::Right));
    film(clips.path(), "near-side-2.mp4", "all-intra.mp4");
    film(clips.path(), "high-end-2.mp4", "all-intra.mp4");
    listen(&mut desk);
    assert_eq!(open(&desk), ["near-side-1.mp4", "high-end-1.mp4"]);
    // The key takes the high end's clip; the near side's frame is being looked at.
    desk.press(NEWER);
    listen(&mut desk);
    assert_eq!(open(&desk), ["near-side-1.mp4", "high-end-2.mp4"], "{}", message(&desk));
    assert!(message(&desk).contains("A near side is looked at"), "{}", message(&desk));
    // From another camera the clip can be taken, as long as no frame of it is marked.
    desk.press(letter('b'));
    desk.press(NEWER);
    listen(&mut desk);
    assert_eq!(open(&desk), ["near-side-2.mp4", "high-end-2.mp4"]);
}

/// Marked frames keep their clip, whatever is pressed, until the review is over.
// PROPERTY: in a review no newer clip takes a place without a key
#[test]
fn a_clip_that_is_marked_keeps_its_place_until_the_review_is_over() {
    let (folder, clips) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let mut desk = desk(folder.path(), clips.path());
    desk.press(plain(Cap::Right));
    desk.press_and_wait(letter('m'));
    film(clips.path(), "near-side-2.mp4", "all-intra.mp4");
    listen(&mut desk);
    for key in [NEWER, letter('b'), NEWER] {
        desk.press(key);
        listen(&mut desk);
        assert_eq!(open(&desk)[0], "near-side-1.mp4", "{key}");
    }
    assert!(message(&desk).contains("after the review"), "{}", message(&desk));
    desk.send(Message::Walk(walk::Message::Act(walk::Act::End)));
    desk.type_in("the recorder failed");
    desk.press(ctrl(Cap::Enter));
    listen(&mut desk);
    assert_eq!(open(&desk)[0], "near-side-2.mp4");
}

/// The desk is killed with a mark in the near side's clip; older and newer files of that camera lie beside it.
// PROPERTY: after a kill the clip of a marked camera comes back
#[test]
fn after_a_kill_the_clip_of_a_marked_camera_comes_back() {
    let (folder, clips) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let mut desk = desk(folder.path(), clips.path());
    desk.press(plain(Cap::Right));
    desk.press_and_wait(letter('m'));
    film(clips.path(), "near-side-0.mp4", "all-intra.mp4");
    film(clips.path(), "near-side-2.mp4", "slices.mp4");
    let mut desk = desk.reopened();
    desk.send(Message::Now);
    watch(&mut desk, clips.path());
    assert_eq!(open(&desk), ["near-side-1.mp4", "high-end-1.mp4"]);
    // If the file is gone, no other file takes its place.
    std::fs::remove_file(clips.path().join("near-side-1.mp4")).expect("it can be removed");
    let mut desk = desk.reopened();
    desk.send(Message::Now);
    watch(&mut desk, clips.path());
    assert_eq!(open(&desk), ["high-end-1.mp4"]);
    desk.press(NEWER);
    listen(&mut desk);
    assert_eq!(open(&desk).len(), 2, "by a key it can be looked at");
}
