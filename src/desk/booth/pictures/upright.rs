//! A clip of a phone that was held upright, in its pane: seen, pointed at and kept in the pixels of the picture as a
//! player shows it, at every zoom; proven by the picture as stored.

use super::place::Mode;
use super::{Pictures, Pointed, Quality};
use iced::widget::image::Handle;
use std::path::Path;
use tellframe::footage::still;
use tellframe::footage::view::{Light, Lines, shown};
use tellframe::proof::view::Size;

/// As the clip is stored: a player turns it by 270 degrees, so what is stored at the right stands at the top.
const STORED: (u32, u32) = (96, 54);
const UPRIGHT: (u32, u32) = (54, 96);

/// The pane at rest, with the very picture.
fn rested(pictures: &mut Pictures) {
    let rests = |pictures: &Pictures| {
        let pane = &pictures.panes[0];
        assert_eq!(pane.why, None);
        let exact = pane.shown.as_ref().is_some_and(|shown| shown.quality == Quality::Exact);
        exact && pane.due.is_none()
    };
    while !rests(pictures) {
        pictures.wait();
    }
}

/// Red, green and blue of the pane's picture at a place of the pane.
fn colour(pictures: &Pictures, at: (u32, u32)) -> Vec<u8> {
    let pane = &pictures.panes[0];
    let window = pane.window().expect("it is open");
    let showing = pane.shown.as_ref().expect("it is shown");
    let Handle::Rgba { width, pixels, .. } = &showing.handle else { panic!("pixels are shown") };
    assert_eq!(showing.request.part, Some(window.part));
    let from = ((at.1 - window.at.1) * width + at.0 - window.at.0) as usize * 4;
    pixels[from..from + 3].to_vec()
}

#[test]
fn what_is_clicked_is_the_pixel_that_a_player_shows_there_and_the_proof_is_of_the_stored_picture() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clips/rotated.mp4");
    let mut pictures = Pictures::new(folder.path());
    pictures.open(&[file], &["near side".to_owned()]);
    pictures.wait_for_clips();
    pictures.pointed(Pointed::Room { pane: 0, room: (300, 200) });
    rested(&mut pictures);
    let facts = pictures.panes[0].facts.clone().expect("it is open");
    let stored = facts.picture(0).expect("it is decoded");
    let exact = shown(&stored, STORED, (Lines::All, Light::AS_IT_IS, facts.coding)).expect("it is shown");
    let views = pictures.views();
    assert_eq!(views.panes[0].size, Size { width: UPRIGHT.0, height: UPRIGHT.1 });

    pictures.toggle_place(Mode::Measuring);
    for (steps, zoom) in [(1, 2), (2, 4), (2, 8)] {
        pictures.pointed(Pointed::Wheel { pane: 0, steps, at: (140.0, 60.0) });
        rested(&mut pictures);
        assert_eq!(pictures.panes[0].sight.zoom(), Some(zoom));
        let window = pictures.panes[0].window().expect("it is open");
        for at in [window.at, (149, 100), (141, 61), (window.at.0 + window.size.0 - 1, 150)] {
            let middle = (f64::from(at.0) + 0.5, f64::from(at.1) + 0.5);
            pictures.pointed(Pointed::Clicked { pane: 0, at: middle });
            let clicked = pictures.place.loupe().expect("it is clicked");
            let (x, y) = (clicked.x.round() as u32, clicked.y.round() as u32);
            assert!(x < UPRIGHT.0 && y < UPRIGHT.1, "{clicked:?}");
            let of = (x * STORED.0 + STORED.0 - 1 - y) as usize * 4;
            assert_eq!(colour(&pictures, at), exact.rgba[of..of + 3], "{zoom} to 1, {at:?}, {clicked:?}");
        }
    }

    let taken = pictures.target().expect("it can be marked").taken().expect("it is decoded");
    assert_eq!((taken.shot.sha256, taken.shot.exact), (stored.sha256(), true));
    let still = still::read(&taken.still.expect("a still")).expect("it reads");
    assert_eq!((still.width, still.height), UPRIGHT);
}
