//! Whether bands hold on compressed pictures: toes clicked by the automatic clicker plus a pixel of noise for the hand,
//! one camera, a few frames; a small version of `cargo bench --bench evidence`.

use rayon::prelude::*;
use scene::action::Action;
use scene::dice::Dice;
use scene::play::Play;
use scene::rig;
use scene::rig::Station;
use scene::shipped::{CAMERAS, PLAYS};
use scene::truth::Truth;
use std::collections::BTreeMap;
use std::path::Path;
use testing::clicker::CHOSEN_ON;
use testing::clicker::films::filmed;
use testing::clicker::measured::{Filmed, Finds, Thing, finds, measured};
use testing::clicker::tally::Tally;
use testing::leagues_hall;

const PLAY: &str = "catch-beyond-wall";
/// Two pictures that are predicted from earlier ones, a fifth of a second apart.
const FRAMES: [usize; 2] = [3, 15];
/// Clicks on each toe.
const CLICKS: usize = 48;

/// The near side's camera over the start of the play: a quarter of its picture, with pixels as at 720p.
fn near_side() -> Station {
    let rig = rig::read(CAMERAS).expect("they are shipped");
    let near = rig.into_iter().find(|station| station.mounted.name == "near side").expect("it is mounted");
    let mut mounted = near.mounted;
    mounted.size = (640, 360);
    mounted.focal *= 2.0;
    // A lens bends by the square of the distance in focal lengths, so its k1 stays.
    Station::new(mounted).expect("it is a camera")
}

/// Number of finds, and the root mean square of their errors, in their own standard errors.
fn in_own_errors<'a>(things: impl Iterator<Item = &'a Thing>) -> (usize, f64) {
    let squares: Vec<f64> = things.map(|thing| thing.square() / 2.0).collect();
    (squares.len(), (squares.iter().sum::<f64>() / squares.len() as f64).sqrt())
}

// PROPERTY: bands from clicks on compressed pictures hold as often as they say
#[test]
fn bands_from_clicks_on_compressed_pictures_hold_as_often_as_they_say() {
    assert_ne!(PLAY, CHOSEN_ON);
    let (hall, station) = (leagues_hall(), near_side());
    let (_, text) = PLAYS.iter().find(|(name, _)| *name == PLAY).expect("it is shipped");
    let action = Action::new(Play::read(text).expect("a play"), hall.walls);
    let truth = Truth::of(&action, &hall, std::slice::from_ref(&station));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("films");
    let clip = filmed(&hall, &action, &station, FRAMES[1] as u64 + 1, &folder);
    let film = Filmed { action: &action, truth: &truth, station: &station };
    let found: Vec<Finds> = FRAMES
        .par_iter()
        .map(|frame| {
            let picture = clip.picture(*frame).expect("a picture");
            finds(film, &picture, *frame, &mut Dice::new(*frame as u64))
        })
        .collect();
    let (ticks, own) = in_own_errors(found.iter().flat_map(|finds| &finds.ticks));
    assert!(ticks > 30 && (0.2..1.3).contains(&own), "{ticks} ticks are off by {own} of their own errors");
    let (toes, own) = in_own_errors(found.iter().flat_map(|finds| finds.toes.iter().map(|toe| &toe.thing)));
    assert!(toes > 5 && (0.2..1.5).contains(&own), "{toes} toes are off by {own} of their own errors");
    let mut lines: BTreeMap<&str, Tally> = BTreeMap::new();
    let mut dice = Dice::new(11);
    for finds in &found {
        for toe in &finds.toes {
            for _ in 0..CLICKS {
                for one in measured(&station, &finds.ticks, &toe.thing, &mut dice) {
                    let (who, side, since) = toe.stand;
                    lines.entry(one.line).or_default().add((0, who, side, since), one);
                }
            }
        }
    }
    assert_eq!(lines.len(), 2);
    for (line, tally) in lines {
        let (count, held) = (tally.count() as f64, tally.held());
        let (share, [low, high]) = (held.share, held.interval);
        // Four standard errors of a true 95 %: three quarters of a pixel stated as one would hold 86 %.
        let slack = 4.0 * (0.0475 / count).sqrt();
        assert!(count > 200.0 && tally.stands() >= 4, "{line}: {count} toes of {} stands", tally.stands());
        assert!((share - 0.95).abs() < slack, "{line}: {share} of {count}");
        assert!(low < 0.97 && 0.93 < high, "{line}: {low} to {high}");
        let (off, stated) = (tally.off_in(95), tally.stated_p95_in());
        assert!((off / stated - 1.0).abs() < 0.25, "{line}: {off} in, {stated} in stated");
    }
}
