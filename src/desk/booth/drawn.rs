//! What stands on the screens, without a display: the words that the official needs, what a click says, and how two
//! screens look to the pixel.

#[cfg(not(feature = "gpu"))]
mod repainted;

use super::whole::Desk;
use super::{Message, pictures, walk};
use crate::desk::theme::Light;
use crate::desk::widget::say;
use iced::{Element, Settings, Size};
use iced_test::Simulator;
use std::path::Path;

/// A window of the size that everything is drawn for.
const SIZE: Size = Size::new(1440.0, 900.0);

fn drawn(desk: &Desk, light: Light) -> Simulator<'_, Message> {
    simulated(desk.booth.view(light.palette(), SIZE))
}

fn simulated<'a>(screen: Element<'a, Message>) -> Simulator<'a, Message> {
    let settings = Settings {
        fonts: say::FACES.iter().map(|face| std::borrow::Cow::Borrowed(*face)).collect(),
        default_font: say::PLAIN,
        ..Settings::default()
    };
    Simulator::with_size(settings, SIZE, screen)
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
        "A timeout is charged to Harbour Kites.",
        "not settled yet",
    ] {
        assert!(screen.find(words).is_ok(), "`{words}` is not on the screen");
    }
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

/// The page of keys has room for all of them: the walk with its pictures has the most.
#[test]
fn every_key_of_the_walk_stands_on_the_page_of_keys() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    let mut page = simulated(desk.booth.key_card(Light::Dark.palette()));
    let says = walk::KEYS.iter().map(|binding| binding.says);
    for words in says
        .chain(pictures::KEYS.iter().map(|binding| binding.says))
        .chain(["Any key puts this page away. No key destroys anything."])
    {
        let seen = page.find(words).ok().and_then(|found| found.visible_bounds());
        assert!(
            seen.is_some_and(|seen| seen.y + seen.height <= SIZE.height),
            "`{words}` is cut off: {seen:?}"
        );
    }
}

/// Two screens to the pixel, in both themes. `TELLFRAME_ACCEPT=1` takes a changed look as the right one; look at it first
/// (`scripts/window.sh`).
#[test]
fn the_walk_looks_as_it_was_accepted_in_both_themes() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    for (name, light) in [("walk-dark", Light::Dark), ("walk-light", Light::Light)] {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
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
