//! A clip from a phone held upright, in its pane. At every zoom it is seen, clicked and kept in the pixels that a
//! player shows; the proof is of the stored picture.

use crate::booth::pictures::place::Mode;
use crate::booth::pictures::{Pictures, Pointed, Quality};
use evidence::place::view::Size;
use footage::show::still;
use footage::show::view::{Light, Lines, shown};
use iced::widget::image::Handle;
use std::path::{Path, PathBuf};

/// Size as stored. A player turns the clip by 270 degrees, so the stored right side is shown at the top.
const STORED: (u32, u32) = (96, 54);
const UPRIGHT: (u32, u32) = (54, 96);

/// Waits until the pane is at rest with an exact picture.
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

/// The matrices a, b, c, d of a track header, as signs: a stored place (x, y) is shown at (a x + c y, b x + d y)
/// (ISO/IEC 14496-12, 8.3.2). The first is the clip's own, by 270 degrees.
const MATRICES: [[i32; 4]; 8] = [
    [0, -1, 1, 0],
    [1, 0, 0, 1],
    [0, 1, -1, 0],
    [-1, 0, 0, -1],
    [-1, 0, 0, 1],
    [0, -1, -1, 0],
    [1, 0, 0, -1],
    [0, 1, 1, 0],
];

/// Copies the clip into a folder with this matrix and this pixel aspect ratio (12.1.4).
fn copy(folder: &Path, [a, b, c, d]: [i32; 4], pixel: (u32, u32)) -> PathBuf {
    let clip = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips/rotated.mp4");
    let mut bytes = std::fs::read(clip).expect("it is there");
    let at = bytes.windows(4).position(|letters| letters == b"pasp").expect("a box of pixel shape") + 4;
    bytes[at..at + 4].copy_from_slice(&pixel.0.to_be_bytes());
    bytes[at + 4..at + 8].copy_from_slice(&pixel.1.to_be_bytes());
    // After the letters: version and flags, five numbers, two reserved, layer to volume; then a, b, u, c, d.
    let matrix = bytes.windows(4).position(|letters| letters == b"tkhd").expect("a track header") + 44;
    for (place, sign) in [(0, a), (4, b), (12, c), (16, d)] {
        bytes[matrix + place..matrix + place + 4].copy_from_slice(&(sign << 16).to_be_bytes());
    }
    let path = folder.join("near-side.mp4");
    std::fs::write(&path, bytes).expect("it can be written");
    path
}

/// For square pixels, wide ones and tall ones, with the size that the still must have.
// PROPERTY: a click in a turned clip is on the pixel that a player shows there
#[test]
fn what_is_clicked_is_the_pixel_that_a_player_shows_there_and_the_proof_is_of_the_stored_picture() {
    for (pixel, shape) in [((1, 1), UPRIGHT), ((4, 3), (54, 128)), ((10, 11), (59, 96))] {
        clicks_are_exact(MATRICES[0], pixel, shape);
    }
    for matrix in MATRICES {
        let is_on_its_side = matrix[0] == 0;
        clicks_are_exact(matrix, (4, 3), if is_on_its_side { (54, 128) } else { (128, 54) });
    }
}

/// Index of the stored pixel for an upright one. The matrix is undone: rows become columns, and a negative sign counts
/// from the other end.
fn stored_at([a, b, c, d]: [i32; 4], (x, y): (u32, u32)) -> usize {
    let along = |of_x: i32, of_y: i32, side: u32| {
        let back = if of_x + of_y < 0 { side.cast_signed() - 1 } else { 0 };
        (of_x * x.cast_signed() + of_y * y.cast_signed() + back).cast_unsigned()
    };
    (along(c, d, STORED.1) * STORED.0 + along(a, b, STORED.0)) as usize
}

fn clicks_are_exact(matrix: [i32; 4], pixel: (u32, u32), shape: (u32, u32)) {
    let is_on_its_side = matrix[0] == 0;
    let upright = if is_on_its_side { UPRIGHT } else { STORED };
    let folder = tempfile::tempdir().expect("a folder");
    let file = copy(folder.path(), matrix, pixel);
    let pixel = if is_on_its_side { (pixel.1, pixel.0) } else { pixel };
    let mut pictures = Pictures::new(folder.path());
    pictures.open(&[file], &["near side".to_owned()]);
    pictures.wait_for_clips();
    pictures.pointed(Pointed::Room { pane: 0, room: (300, 200) });
    rested(&mut pictures);
    let facts = pictures.panes[0].facts.clone().expect("it is open");
    let stored = facts.picture(0).expect("it is decoded");
    let exact = shown(&stored, STORED, (Lines::All, Light::AS_IT_IS, facts.coding)).expect("it is shown");
    let views = pictures.views();
    assert_eq!(views.panes[0].size, Size { width: upright.0, height: upright.1 });

    pictures.toggle_place(Mode::Measuring);
    for (steps, zoom) in [(1, 2), (2, 4), (2, 8)] {
        pictures.pointed(Pointed::Wheel { pane: 0, steps, at: (140.0, 60.0) });
        rested(&mut pictures);
        assert_eq!(pictures.panes[0].sight.zoom(), Some(zoom));
        let window = pictures.panes[0].window().expect("it is open");
        let (part, size) = (window.part, window.size);
        // Each pixel has its true shape, within half a pixel of the screen over the whole part.
        let (across, down) = (f64::from(size.0 * part.height), f64::from(size.1 * part.width));
        let is_shaped = (across / down / (f64::from(pixel.0) / f64::from(pixel.1)) - 1.0).abs() < 0.02;
        assert!(is_shaped && size.0 <= 300 && size.1 <= 200, "{pixel:?} {window:?}");
        for at in [window.at, (149, 100), (141, 61), (window.at.0 + size.0 - 1, 150)] {
            let middle = (f64::from(at.0) + 0.5, f64::from(at.1) + 0.5);
            pictures.pointed(Pointed::Clicked { pane: 0, at: middle });
            let clicked = pictures.place.loupe().expect("it is clicked");
            // The middle of a pixel of the screen may lie on the edge between two pixels of the picture. Then either
            // may be shown.
            let sides = |value: f64| [1e-6, -1e-6].map(|by| (value + by).round() as u32);
            let either = sides(clicked.x).into_iter().flat_map(|x| sides(clicked.y).map(|y| (x, y)));
            let colours = either.map(|(x, y)| {
                assert!(x < upright.0 && y < upright.1, "{clicked:?}");
                let of = stored_at(matrix, (x, y)) * 4;
                exact.rgba[of..of + 3].to_vec()
            });
            let found = colour(&pictures, at);
            let is_there = colours.collect::<Vec<_>>().contains(&found);
            assert!(is_there, "{matrix:?} {zoom} to 1, {at:?}, {clicked:?}");
        }
    }
    let taken = pictures.target().expect("it can be marked").taken().expect("it is decoded");
    assert_eq!((taken.shot.sha256, taken.shot.exact), (stored.sha256(), true));
    let still = still::read(&taken.still.expect("a still")).expect("it reads");
    assert_eq!((still.width, still.height), shape);
}
