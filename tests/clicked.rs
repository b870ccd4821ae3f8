//! Toes clicked on filmed, compressed and decoded pictures, in small; `cargo bench --bench evidence` does it at full size.

use crate::support::{clicker, leagues_hall};
use tellframe::scene::action::Action;
use tellframe::scene::dice::Dice;
use tellframe::scene::play::Play;
use tellframe::scene::rig::{self, Station};
use tellframe::scene::shipped::{CAMERAS, PLAYS};
use tellframe::scene::truth::Truth;

#[test]
fn toes_clicked_on_compressed_pictures_lie_where_the_band_says() {
    let hall = leagues_hall();
    let (_, text) = PLAYS.iter().find(|(name, _)| *name == "inside-line").expect("it is shipped");
    // Before the snap everybody stands.
    let play = Play { seconds: 0.1, ..Play::read(text).expect("a play") };
    let action = Action::new(play, hall.walls);
    let near = rig::read(CAMERAS).expect("they are shipped").remove(0);
    // A part of the picture that the camera has, at its full resolution: fewer pixels to draw.
    let mut mounted = near.mounted;
    (mounted.focal, mounted.size, mounted.looks_at) = (2.0 * mounted.focal, (640, 360), (31.0, 14.0, 0.0));
    let near = Station::new(mounted).expect("it is a camera");
    let truth = Truth::of(&action, &hall, std::slice::from_ref(&near));
    let folder = tempfile::tempdir().expect("a folder");
    let clip = clicker::filmed(&hall, &action, &near, folder.path());
    let mut dice = Dice::new(3);
    let (mut off, mut finder) = (Vec::new(), Vec::new());
    let mut held = 0;
    for frame in 1..clip.frames.len() {
        for one in clicker::measured((&action, &truth, &near), &clip, frame, &mut dice) {
            if one.line == "across the field" {
                off.push(one.off_in);
                finder.push(one.finder_px);
                held += usize::from(one.held);
            }
        }
    }
    off.sort_by(f64::total_cmp);
    finder.sort_by(f64::total_cmp);
    assert!(off.len() >= 30, "{} toes", off.len());
    let p95 = off[off.len() * 95 / 100];
    // What the finder adds to the hand's pixel is small beside it.
    let median = finder[finder.len() / 2];
    assert!(median <= 0.8, "{median} px");
    // The bound is that of the near camera for all of its picture; toes of one frame share its calibration.
    assert!(p95 <= 4.0, "{p95} in");
    assert!(held * 100 >= off.len() * 85, "{held} of {}", off.len());
}
