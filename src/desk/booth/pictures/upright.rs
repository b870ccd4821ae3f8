//! A clip of a phone that was held upright, in its pane: seen, pointed at and kept in the pixels of the picture as a
//! player shows it, at every zoom; proven by the picture as stored.

use super::place::Mode;
use super::{Pictures, Pointed, Quality};
use iced::widget::image::Handle;
use std::path::{Path, PathBuf};
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

/// The clip in a folder, its pixels of this shape by a box of its own (ISO/IEC 14496-12, 12.1.4).
fn copy(folder: &Path, pixel: (u32, u32)) -> PathBuf {
    let clip = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clips/rotated.mp4");
    let mut bytes = std::fs::read(clip).expect("it is there");
    let at = bytes.windows(4).position(|letters| letters == b"pasp").expect("a box of pixel shape") + 4;
    bytes[at..at + 4].copy_from_slice(&pixel.0.to_be_bytes());
    bytes[at + 4..at + 8].copy_from_slice(&pixel.1.to_be_bytes());
    let path = folder.join("near-side.mp4");
    std::fs::write(&path, bytes).expect("it can be written");
    path
}

/// Stored pixels that are square, wider than high, higher than wide; and the still's size, which is the true shape.
#[test]
fn what_is_clicked_is_the_pixel_that_a_player_shows_there_and_the_proof_is_of_the_stored_picture() {
    for (pixel, shape) in [((1, 1), UPRIGHT), ((4, 3), (54, 128)), ((10, 11), (59, 96))] {
        clicks_are_exact(pixel, shape);
    }
}

fn clicks_are_exact(pixel: (u32, u32), shape: (u32, u32)) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = copy(folder.path(), pixel);
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
        let (part, size) = (window.part, window.size);
        // Each pixel is as large as it should be, to half of one of the screen over the whole part.
        let (across, down) = (f64::from(size.0 * part.height), f64::from(size.1 * part.width));
        let is_shaped = (across / down / (f64::from(pixel.1) / f64::from(pixel.0)) - 1.0).abs() < 0.02;
        assert!(is_shaped && size.0 <= 300 && size.1 <= 200, "{pixel:?} {window:?}");
        for at in [window.at, (149, 100), (141, 61), (window.at.0 + size.0 - 1, 150)] {
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
    assert_eq!((still.width, still.height), shape);
}
