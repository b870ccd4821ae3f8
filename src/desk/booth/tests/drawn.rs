//! What the screens show, without a display: the words that the official needs, what a click sends, and two screens to
//! the pixel.

use super::desk::{Desk, opening, stamp};
use crate::booth::{Booth, Message, State, between, penalties, pictures, walk};
use crate::keys::{Cap, letter, plain, shift};
use crate::theme::Light;
use crate::widget::label;
use iced::{Element, Settings, Size};
use iced_test::Simulator;
use log::store::location::Location;
use std::fs;
use std::path::Path;

/// The window size that everything is designed for.
const SIZE: Size = Size::new(1440.0, 900.0);

fn drawn(desk: &Desk, light: Light) -> Simulator<'_, Message> {
    simulated(desk.booth.view(light.palette(), SIZE), SIZE)
}

/// The screen in a window of this size, in the type of the desk.
pub(super) fn simulated(screen: Element<'_, Message>, size: Size) -> Simulator<'_, Message> {
    let settings = Settings {
        fonts: label::FACES.iter().map(|face| std::borrow::Cow::Borrowed(*face)).collect(),
        default_font: label::PLAIN,
        ..Settings::default()
    };
    Simulator::with_size(settings, size, screen)
}

#[test]
fn the_walk_shows_what_the_eye_must_find_in_one_glance() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    let mut screen = drawn(&desk, Light::Dark);
    for words in [
        "Incomplete",
        "Did he leave from inside the field?",
        "Still possible",
        "If you rule now",
        "Stands",
        "Millrace Otters ball, first and 10 at the Otters 11.5.",
        "Timeout charged to Harbour Kites.",
        "not settled yet",
    ] {
        assert!(screen.find(words).is_ok(), "`{words}` is not on the screen");
    }
}

/// Why the game goes on and the ways to end it, who sits at the desk and what is out.
#[test]
fn the_end_of_a_game_and_the_desk_show_what_they_would_write() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    let shows = |desk: &Desk, all: &[&str]| {
        let mut screen = drawn(desk, Light::Dark);
        for words in all {
            assert!(screen.find(*words).is_ok(), "`{words}` is not on {}", desk.title());
        }
    };
    desk.press(shift(Cap::Letter('n')));
    shows(&desk, &["The end of the game", "Kites forfeit", "suspended", "ended early"]);
    desk.press(plain(Cap::Digit(1)));
    desk.type_in("too few players");
    let words = "The game is forfeited by Harbour Kites. The score is Harbour Kites 20, Millrace Otters 14.";
    shows(&desk, &["To be announced", words, "Because: too few players"]);
    desk.press_all(&[plain(Cap::Escape), plain(Cap::Escape), plain(Cap::F(4)), plain(Cap::Digit(2))]);
    desk.type_in("no signal");
    shows(&desk, &["At the desk", "near side", "out", "hand over"]);
    desk.press(plain(Cap::Escape));
    let out = desk.in_game().game.day().lost().collect::<Vec<_>>().join(", ");
    shows(&desk, &[&format!("Out: {out}")]);
}

#[test]
fn a_click_says_what_its_key_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    let mut screen = drawn(&desk, Light::Light);
    screen.click("unclear").expect("it can be clicked");
    let said: Vec<Message> = screen.into_messages().collect();
    assert!(matches!(said.as_slice(), [Message::Walk(walk::Message::Act(walk::Act::Unclear))]), "{said:?}");
}

/// Every play that has a key has a button, between plays and where penalties ask what the play did.
// PROPERTY: every play that has a key has a button
#[test]
fn every_play_that_has_a_key_has_a_button() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    let plays = between::KEYS.iter().filter_map(|binding| match binding.act {
        between::Act::Play(what) => Some(what),
        _ => None,
    });
    for what in plays {
        let mut screen = drawn(&desk, Light::Dark);
        screen.click(what.text()).unwrap_or_else(|_| panic!("`{}` has no button", what.text()));
        let said: Vec<Message> = screen.into_messages().collect();
        let means = Message::Between(between::Message::Act(between::Act::Play(what)));
        assert_eq!(format!("{said:?}"), format!("{:?}", [means]));
    }
    desk.press(letter('p'));
    desk.send(Message::Penalties(penalties::Message::Typed("offside".to_owned())));
    desk.press_all(&[plain(Cap::Enter), plain(Cap::Digit(2)), plain(Cap::Digit(1)), plain(Cap::Enter)]);
    let plays = penalties::KEYS.iter().filter_map(|binding| match binding.act {
        penalties::Act::Play(what) => Some(what),
        _ => None,
    });
    for what in plays {
        let mut screen = drawn(&desk, Light::Dark);
        screen.click(what.text()).unwrap_or_else(|_| panic!("`{}` has no button", what.text()));
        let said: Vec<Message> = screen.into_messages().collect();
        let means = Message::Penalties(penalties::Message::Act(penalties::Act::Play(what)));
        assert_eq!(format!("{said:?}"), format!("{:?}", [means]));
    }
}

/// The page of keys has room for all of them: the walk with its pictures has the most.
// PROPERTY: every key of the walk stands on the page of keys
#[test]
fn every_key_of_the_walk_stands_on_the_page_of_keys() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    let mut page = simulated(desk.booth.key_card(Light::Dark.palette()), SIZE);
    let says = walk::KEYS.iter().map(|binding| binding.says);
    for words in says
        .chain(pictures::KEYS.iter().map(|binding| binding.says))
        .chain(["Any key closes this page and does nothing else."])
    {
        let seen = page.find(words).ok().and_then(|found| found.visible_bounds());
        assert!(
            seen.is_some_and(|seen| seen.y + seen.height <= SIZE.height),
            "`{words}` is cut off: {seen:?}"
        );
    }
}

/// `TELLFRAME_ACCEPT=1` accepts a changed look; look at it first (`scripts/window.sh`).
#[test]
fn the_walk_looks_as_it_was_accepted_in_both_themes() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    for (name, light) in [("walk-dark", Light::Dark), ("walk-light", Light::Light)] {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/golden").join(name);
        let snapshot = drawn(&desk, light).snapshot(&light.theme()).expect("it can be drawn");
        let file = kept.with_file_name(format!("{name}-tiny-skia.sha256"));
        if std::env::var_os("TELLFRAME_ACCEPT").is_some() && file.exists() {
            std::fs::remove_file(&file).expect("it can be made anew");
        }
        assert!(
            file.exists() || std::env::var_os("TELLFRAME_ACCEPT").is_some(),
            "{} is missing: look at the screen, then run again with TELLFRAME_ACCEPT=1",
            file.display()
        );
        assert!(snapshot.matches_hash(&kept).expect("the hash can be read"), "{name} looks different");
    }
}

/// Writes another pseudonym of the same length wherever the file has this one.
fn forge(log: &Path) {
    let mut bytes = fs::read(log).expect("read");
    let (written, forged) = (b"booth-07", b"booth-08");
    let places: Vec<usize> = (0..bytes.len()).filter(|at| bytes[*at..].starts_with(written)).collect();
    assert!(!places.is_empty(), "the log names who acted");
    for at in places {
        bytes[at..at + forged.len()].copy_from_slice(forged);
    }
    fs::write(log, bytes).expect("written");
}

#[test]
fn the_window_opens_on_what_verify_says_of_a_forged_log_and_takes_no_act() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    drop(desk);
    let place = Location::at(folder.path());
    forge(&place.log());
    let before = fs::read(place.log()).expect("read");
    let mut booth = Booth::open(&opening(&place, None), stamp(60_000));
    let because = match &booth.state {
        State::Held(_) => panic!("the forged log is held"),
        State::Broken(undone) => undone.page(),
    };
    let path = place.log().canonicalize().expect("there");
    let broken = "is broken: entry 1 was changed: its hash is not that of its bytes";
    assert!(because.starts_with(&format!("the log {} {broken}", path.display())), "{because}");
    assert!(because.contains("`tellframe log verify`"), "what to do is said: {because}");

    let mut screen = simulated(booth.view(Light::Dark.palette(), SIZE), SIZE);
    assert!(screen.find(because.as_str()).is_ok(), "`{because}` is not on the screen");
    drop(screen);
    for chord in [plain(Cap::Enter), plain(Cap::Digit(1)), letter('y'), letter('m')] {
        drop(booth.update(Message::Pressed(chord), stamp(61_000)));
    }
    drop(booth);
    assert_eq!(fs::read(place.log()).expect("read"), before, "nothing was written");
}

#[test]
fn a_head_that_cannot_be_written_is_said_and_the_act_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    let head = folder.path().join("log.sqlite.head");
    fs::remove_file(&head).expect("a head is kept");
    fs::create_dir_all(head.join("in the way")).expect("made");
    let before = desk.reader().tip().expect("read").entries;
    desk.type_in("o11.5 4:37.4");
    assert!(desk.reader().tip().expect("read").entries > before, "the act is kept");
    let fault = desk.post_and_game().0.head_fault().expect("it cannot be written").to_owned();
    let words = format!("All acts are kept, but the head beside the log could not be written: {fault}");
    assert!(drawn(&desk, Light::Dark).find(words.as_str()).is_ok(), "`{words}` is not on the screen");
}
