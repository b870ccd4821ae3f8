//! The built-in decoder in a process of its own: the same pictures; and a process that crashes, is killed or hangs costs
//! one picture, with a message, and nothing more.

use footage::clip::Clip;
use footage::deck::{Deck, Event, Quality, Request, Settings};
use footage::decode::worker::WorkerCommand;
use footage::show::view::{Light, Lines};
use std::ffi::OsString;
use std::ops::{ControlFlow, Range};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use testing::clips;

const PROGRAM: &str = env!("CARGO_BIN_EXE_tellframe");

/// Long enough for a busy machine.
const PATIENT: Duration = Duration::from_secs(60);

fn whole() -> WorkerCommand {
    WorkerCommand { program: PROGRAM.into(), arguments: vec!["decode-apart".into()], patience: PATIENT }
}

/// The decoder by way of a shell, which spoils the runs whose numbers, from 0, lie in `spoils`.
fn spoilt(counted: &Path, spoils: Range<usize>, how: &str, patience: Duration) -> WorkerCommand {
    let Range { start: from, end: to } = spoils;
    let script = format!(
        "runs=$(cat \"$1\" 2>/dev/null | wc -c); printf x >> \"$1\"\n\
         if [ \"$runs\" -lt {from} ] || [ \"$runs\" -ge {to} ]; then exec \"$0\" decode-apart; fi\n{how}"
    );
    let arguments: [OsString; 4] = ["-c".into(), script.into(), PROGRAM.into(), counted.into()];
    WorkerCommand { program: "/bin/sh".into(), arguments: arguments.into(), patience }
}

/// Times and hashes of the pictures of a clip, and why no more came.
fn run(clip: &Clip) -> (Vec<(i64, String)>, Option<String>) {
    let mut found = Vec::new();
    let ended = clip.pictures(0..clip.frames.len(), &mut |_, picture| {
        found.push((picture.pts, picture.sha256()));
        ControlFlow::Continue(())
    });
    (found, ended.err().map(|why| why.to_string()))
}

#[test]
fn a_decoder_of_its_own_gives_the_same_pictures() {
    // Exact, cut, with an edit list, and with pictures that wait: those come at the end of their group.
    for name in ["high.mp4", "truncated-plain.mp4", "edit-list.mp4", "long-group-b.mp4", "high-b.mp4"] {
        let clip =
            Clip::open(&clips::stored(name).path, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        let here = run(&clip);
        assert!(!here.0.is_empty(), "{name}");
        let away = clip.with_worker(Some(&whole()));
        assert_eq!(run(&away), here, "{name}");
        let middle = away.frames.len() / 2;
        let picture = away.picture(middle).unwrap_or_else(|error| panic!("{name} {middle}: {error}"));
        assert_eq!((picture.pts, picture.sha256()), here.0[middle], "{name} {middle}");
    }
}

/// The real decoder gets the first bytes of what it is asked, and then this happens.
const SPOILS: [(&str, &str, &str); 4] = [
    (
        "it is killed",
        "dd bs=1 count=2000 2>/dev/null | \"$0\" decode-apart; kill -9 $$",
        "the built-in decoder crashed at the picture at ",
    ),
    (
        "it gives up with words",
        "dd bs=1 count=2000 2>/dev/null | \"$0\" decode-apart; echo 'no such slice' >&2; exit 134",
        ": no such slice",
    ),
    (
        "it writes nonsense",
        "dd bs=1 count=2000 2>/dev/null | \"$0\" decode-apart; printf nonsense",
        "the built-in decoder crashed at the picture at ",
    ),
    (
        "it hangs",
        "dd bs=1 count=2000 2>/dev/null | \"$0\" decode-apart; exec sleep 1000",
        "the built-in decoder made no progress for 0.4 s at the picture at ",
    ),
];

// PROPERTY: a decoder that crashes or hangs costs a picture, and the next one comes
#[test]
fn a_decoder_that_crashes_or_hangs_in_the_middle_costs_the_rest_of_its_run_and_the_next_run_is_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let stored = clips::stored("high.mp4");
    for (number, (name, how, says)) in SPOILS.into_iter().enumerate() {
        let apart = spoilt(&folder.path().join(number.to_string()), 0..1, how, Duration::from_millis(400));
        let clip = Clip::open(&stored.path, None).expect("a clip").with_worker(Some(&apart));
        let (came, why) = run(&clip);
        let why = why.unwrap_or_else(|| panic!("{name}: nothing went wrong"));
        assert!(why.contains(says), "{name}: {why}");
        assert!(!came.is_empty() && came.len() < stored.pictures.len(), "{name}: {} came", came.len());
        assert_eq!(came, stored.pictures[..came.len()], "{name}");
        // A busy machine may be slow, but not for so long.
        let apart = WorkerCommand { patience: PATIENT, ..apart };
        let clip = clip.with_worker(Some(&apart));
        assert_eq!(run(&clip), (stored.pictures.clone(), None), "{name}");
    }
}

#[test]
fn a_decoder_that_cannot_be_started_says_so() {
    let missing = WorkerCommand { program: PathBuf::from("/nowhere/at/all"), ..whole() };
    let clip = Clip::open(&clips::stored("high.mp4").path, None).expect("a clip");
    let why = clip.with_worker(Some(&missing)).picture(0).expect_err("there is no such program");
    assert_eq!(why.to_string(), "the built-in decoder cannot be started");
}

/// The shell tells its bound in KiB; it reads first what is sent after the bound is set.
#[cfg(target_os = "linux")]
#[test]
fn the_memory_of_a_decoder_is_bounded() {
    let folder = tempfile::tempdir().expect("a folder");
    let tells = "dd bs=1 count=9 of=/dev/null 2>/dev/null; ulimit -v >&2; exit 1";
    let apart = spoilt(&folder.path().join("runs"), 0..1, tells, PATIENT);
    let clip = Clip::open(&clips::stored("high.mp4").path, None).expect("a clip").with_worker(Some(&apart));
    let why = clip.picture(0).expect_err("it does not decode").to_string();
    assert!(why.ends_with(": 2097152"), "{why}");
}

fn next(events: &Receiver<Event>) -> Event {
    events.recv_timeout(Duration::from_secs(120)).expect("the deck says something")
}

#[test]
fn the_desk_says_that_a_picture_failed_and_shows_it_when_it_is_asked_for_again() {
    let folder = tempfile::tempdir().expect("a folder");
    // The first run looks the clip through; the next two are for the picture: with its neighbours, and alone.
    let apart = spoilt(&folder.path().join("runs"), 1..3, "kill -9 $$", PATIENT);
    let (sender, events) = channel();
    let proxies = folder.path().to_owned();
    let settings =
        Settings { cache_bytes: 1 << 20, proxies, proxy_bytes: 0, tools: None, worker: Some(apart) };
    let deck = Deck::start(settings, sender);
    deck.open(vec![clips::stored("high.mp4").path]);
    while !matches!(next(&events), Event::Indexed { .. }) {}
    let request = Request {
        pane: 0,
        clip: 0,
        frame: 11,
        size: (48, 48),
        part: None,
        lines: Lines::All,
        light: Light::AS_IT_IS,
        rests: true,
    };
    deck.show(request);
    match next(&events) {
        Event::NoPicture { why, .. } => assert!(why.starts_with("the built-in decoder crashed"), "{why}"),
        other => panic!("{other:?}"),
    }
    deck.show(request);
    match next(&events) {
        Event::Picture { quality, .. } => assert_eq!(quality, Quality::Exact),
        other => panic!("{other:?}"),
    }
}
