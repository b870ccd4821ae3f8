//! Whether what is stated of the shipped plays is true as often as claimed; a small version of
//! `cargo bench --bench evidence`.

use testing::leagues_hall;
use testing::scene_evidence::{Tally, of_plays};

// PROPERTY: what is stated of the scenes' plays is true as often as it says
#[test]
fn what_is_stated_of_the_scenes_plays_is_true_as_often_as_it_says() {
    let (mut times, mut places, mut airs) = (Tally::default(), Tally::default(), Tally::default());
    for stated in of_plays(&leagues_hall(), 24) {
        let tally = match stated.about.as_str() {
            about if about.starts_with("times") => &mut times,
            about if about.contains(" and ") => &mut airs,
            _ => &mut places,
        };
        tally.add(&stated);
    }
    // `most` limits the 95th percentile, in yards or seconds, so that wide intervals cannot hide a bad camera.
    for (name, mut tally, least, most) in
        [("times", times, 15, 0.05), ("places", places, 40, 1.0), ("in the air", airs, 6, 0.5)]
    {
        assert!(tally.p95() < most, "{name}: {}", tally.p95());
        assert!(tally.plays >= least, "{name}: {}", tally.plays);
        // Three standard errors of a true 95 %; statements of one play share their noise, so a little more.
        let slack = 4.0 * (0.0475 / tally.plays as f64).sqrt();
        assert!((tally.share() - 0.95).abs() <= slack, "{name}: {} of {}", tally.held, tally.plays);
        assert!(tally.wrong <= 1 + tally.told / 50, "{name}: {} of {} wrong", tally.wrong, tally.told);
    }
}
