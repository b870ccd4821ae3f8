//! The deck that a desk plays from: its events when files are opened, moved over and rested on.

use footage::deck::{Deck, Event, Quality, Request, Settings};
use footage::show::proxy_folder::Room;
use footage::show::view::{Light, Lines};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use testing::clips;

/// Only the built-in decoder, so that the test needs no FFmpeg.
fn deck(folder: &std::path::Path, proxy_bytes: u64) -> (Deck, Receiver<Event>) {
    let (sender, events) = channel();
    let settings =
        Settings { cache_bytes: 1 << 20, proxies: folder.to_owned(), proxy_bytes, tools: None, worker: None };
    // However full this machine's disk is.
    let room = |_: &std::path::Path| Ok(Room { free: 1 << 40, total: 1 << 40 });
    (Deck::start_on(settings, sender, room), events)
}

fn request(clip: usize, frame: usize, rests: bool) -> Request {
    Request {
        pane: 0,
        clip,
        frame,
        size: (48, 48),
        part: None,
        lines: Lines::All,
        light: Light::AS_IT_IS,
        rests,
    }
}

/// The first event that is wanted. A deck that is silent for this long is broken.
fn first<T>(events: &Receiver<Event>, wanted: impl Fn(Event) -> Option<T>) -> T {
    loop {
        let event = events.recv_timeout(Duration::from_secs(120)).expect("the deck says something");
        if let Some(found) = wanted(event) {
            return found;
        }
    }
}

fn indexed(event: Event) -> Option<usize> {
    if let Event::Indexed { clip, .. } = event { Some(clip) } else { None }
}

fn refused(event: Event) -> Option<(usize, String)> {
    if let Event::Refused { clip, why, .. } = event { Some((clip, why)) } else { None }
}

fn picture(event: Event) -> Option<(Request, Quality, (u32, u32))> {
    match event {
        Event::Picture { request, quality, shown } => Some((request, quality, (shown.width, shown.height))),
        Event::NoPicture { why, .. } => panic!("{why}"),
        Event::Opened { .. }
        | Event::Refused { .. }
        | Event::NoProxy { .. }
        | Event::Changed { .. }
        | Event::Indexing { .. }
        | Event::Indexed { .. } => None,
    }
}

#[test]
fn a_moving_playhead_gets_the_small_picture_and_a_resting_one_the_exact_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let (deck, events) = deck(folder.path(), 1 << 30);
    let numbers = deck.open(vec![clips::folder().join("high.mp4"), clips::folder().join("main.mp4")]);
    assert_eq!(numbers, [0, 1]);
    assert_eq!([first(&events, indexed), first(&events, indexed)], [0, 1]);
    deck.show(request(0, 20, false));
    assert_eq!(first(&events, picture), (request(0, 20, false), Quality::Proxy, (48, 32)));
    deck.show(request(0, 20, true));
    let rested = first(&events, |event| picture(event).filter(|(_, quality, _)| *quality != Quality::Proxy));
    assert_eq!(rested, (request(0, 20, true), Quality::Exact, (48, 32)));
    // What was decoded is there at once when the playhead comes by again.
    deck.show(request(0, 20, false));
    assert_eq!(first(&events, picture).1, Quality::Exact);
    // Proxies go with their clips.
    let files = || std::fs::read_dir(folder.path()).expect("it is listed").count();
    assert_eq!(files(), 2);
    deck.close(0);
    deck.show(request(0, 20, true));
    let why = first(&events, |event| if let Event::NoPicture { why, .. } = event { Some(why) } else { None });
    assert_eq!((why.as_str(), files()), ("the clip is not open", 1));
}

#[test]
fn without_room_for_proxies_every_picture_is_decoded_and_inexact_ones_say_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let (deck, events) = deck(folder.path(), 0);
    deck.open(vec![clips::folder().join("high-b.mp4")]);
    first(&events, indexed);
    deck.show(request(0, 7, false));
    assert_eq!(first(&events, picture).1, Quality::NotExact);
    assert_eq!(std::fs::read_dir(folder.path()).expect("it is listed").count(), 0);
}

#[test]
fn what_is_no_clip_is_refused_and_the_others_are_opened() {
    let folder = tempfile::tempdir().expect("a folder");
    let (deck, events) = deck(folder.path(), 0);
    deck.open(vec![PathBuf::from("/nowhere/at/all.mp4"), clips::folder().join("main.mp4")]);
    let refused = first(&events, refused);
    assert_eq!(refused.0, 0);
    assert!(refused.1.starts_with("cannot open it"), "{}", refused.1);
    assert_eq!(first(&events, indexed), 1);
}

/// Whether a picture comes next, or none does.
fn comes(events: &Receiver<Event>) -> bool {
    first(events, |event| {
        let comes = matches!(event, Event::Picture { .. });
        (comes || matches!(event, Event::NoPicture { .. })).then_some(comes)
    })
}

/// The small ones, those that were decoded, and those that were not yet: none is shown for a file that holds another
/// recording now, and the clip is let go.
// PROPERTY: a file that changed gives no picture, no hash and no mark; one that was touched does
#[test]
fn no_picture_of_the_old_recording_is_shown_once_its_file_was_written_over() {
    for asked in [(20, true), (20, false), (3, false), (3, true)] {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("high.mp4");
        std::fs::copy(clips::folder().join("high.mp4"), &path).expect("it can be copied");
        let (deck, events) = deck(folder.path(), 1 << 30);
        deck.open(vec![path.clone()]);
        assert_eq!(first(&events, indexed), 0);
        deck.show(request(0, 20, true));
        first(&events, |event| picture(event).filter(|(_, quality, _)| *quality == Quality::Exact));
        let length =
            usize::try_from(std::fs::metadata(&path).expect("it is there").len()).expect("it is short");
        clips::overwrite(&path, &clips::another(length));
        deck.show(request(0, asked.0, asked.1));
        assert!(!comes(&events), "{asked:?}");
        // Its number is that of the old recording for good.
        deck.show(request(0, 5, true));
        assert!(!comes(&events), "{asked:?}");
        let [again] = deck.open(vec![path])[..] else { panic!("one file was opened") };
        assert_eq!(first(&events, indexed), again);
        deck.show(request(again, 5, true));
        assert!(comes(&events), "{asked:?}");
    }
}
