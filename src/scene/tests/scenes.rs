//! Plays as scenes: pictures agree with the truth, and are the same every time.

use footage::clip::Clip;
use formats::order::{Many, MarkOn};
use formats::script::{Act, Measured, Script};
use scene::action::Action;
use scene::canvas::{Canvas, View};
use scene::error::Error;
use scene::evidence::{Care, Evidence, other_clocks, varied};
use scene::film;
use scene::hall::board::BoardText;
use scene::picture::Picture;
use scene::play::Play;
use scene::rig;
use scene::rig::Station;
use scene::shipped::{CAMERAS, PLAYS};
use scene::stamp::Stamp;
use scene::timecode_track;
use scene::truth::Truth;
use std::fs;
use std::io::Cursor;
use std::sync::Arc;
use testing::challenge::Challenge;
use testing::leagues_hall as hall;

fn rig() -> Vec<Station> {
    rig::read(CAMERAS).expect("the cameras are shipped")
}

fn play(name: &str) -> Play {
    let (_, text) = PLAYS.iter().find(|(known, _)| *known == name).expect("the play is shipped");
    Play::read(text).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn action(name: &str) -> Action {
    Action::new(play(name), hall().walls)
}

/// A camera with a small picture, which is quick to draw, and without noise.
fn small(camera: &str) -> Station {
    let found = rig().into_iter().find(|station| station.mounted.name == camera).expect("it is mounted");
    let mut mounted = found.mounted;
    (mounted.size, mounted.noise) = ((320, 180), 0.0);
    Station::new(mounted).expect("it is a camera")
}

fn drawn(action: &Action, camera: &str, frame: u64) -> Picture {
    let view = View::new(&hall(), &small(camera), "", action.play.seed);
    Canvas::new(Arc::new(view)).picture(action, frame)
}

#[test]
fn every_shipped_play_can_be_played_and_has_its_question_s_moments() {
    for (name, needed) in [
        (
            "catch-beyond-wall",
            &[
                "snap",
                "release",
                "leaves the field",
                "first touch",
                "control",
                "crosses the wall",
                "touches down",
                "after the landing",
            ][..],
        ),
        ("down-or-fumble", &["snap", "contact", "ball loose", "down", "recovery"]),
        ("inside-line", &["snap", "contact"]),
        ("three-down", &["snap", "release", "first touch", "control"]),
        ("pass-interference", &["snap", "release", "contact", "first touch", "ball loose"]),
    ] {
        let action = action(name);
        let truth = Truth::of(&action, &hall(), &rig());
        for moment in needed {
            assert!(truth.at_s(moment).is_some(), "{name}: {moment} of {:?}", truth.moments);
        }
        assert!(truth.moments.is_sorted_by(|a, b| a.at_s <= b.at_s), "{name}");
        for side in ["home", "away"] {
            let of =
                truth.players.iter().filter(|player| format!("{:?}", player.side).to_lowercase() == side);
            assert_eq!(of.count(), 8, "{name}: {side}");
        }
    }
}

#[test]
fn the_catch_beyond_the_wall_happens_as_its_question_asks() {
    let truth = Truth::of(&action("catch-beyond-wall"), &hall(), &rig());
    let at = |moment: &str| truth.at_s(moment).expect("it happens");
    assert!(at("leaves the field") < at("control") && at("control") < at("touches down"));
    let crossing = truth.moments.iter().find(|moment| moment.name == "crosses the wall").expect("it happens");
    // At the north wall, about the 45, which is the Otters' 5.
    assert!((crossing.ball[1] - 27.0).abs() < 0.02 && (crossing.ball[0] - 45.0).abs() < 0.5, "{crossing:?}");
    assert!(at("crosses the wall") < at("touches down"));
}

/// The demo's scripts agree with their films: frames with the truth of the play, timecodes with the stamps, clocks with
/// the scoreboard.
#[test]
fn the_demo_s_scripts_say_what_their_films_show() {
    assert_eq!(marks_of_the_film(&Challenge::demo().script, "catch-beyond-wall"), 6);
    assert_eq!(marks_of_the_film(&Challenge::alignment().script, "inside-line"), 1);
}

/// The number of marks in a script, each checked against the play's film.
fn marks_of_the_film(script: &Script, play: &str) -> usize {
    let action = action(play);
    let (truth, play) = (Truth::of(&action, &hall(), &rig()), &action.play);
    let left = |at_s: f64| play.board.clock_s - at_s;
    let snap = script.situation.clock_s;
    assert!((snap - left(truth.at_s("snap").expect("it happens"))).abs() < 0.05, "{snap}");
    let mut marks = 0;
    for timed in &script.acts {
        if let Act::Mark { moment, camera, timecode, clock_s, .. } = &timed.act {
            let seen = truth.cameras.iter().find(|seen| seen.name == *camera).expect("it is mounted");
            let begins = seen.timecode.as_deref().expect("it has labels");
            let stamp = Stamp::new(begins, 60).expect("it is a label");
            assert_eq!(*timecode, stamp.label(seen.first_frames[moment]), "{moment}, {camera}");
            let happens = truth.at_s(moment).expect("it happens");
            assert!(clock_s.is_none_or(|clock| (clock - left(happens)).abs() < 0.05), "{clock_s:?}");
            marks += 1;
        }
        if let Act::Answer { measured: Some(Measured::Marks(measured)), .. } = &timed.act {
            let frame = |name: &str, moment: &str| {
                let seen = truth.cameras.iter().find(|seen| seen.name == name).expect("it is mounted");
                let told = &measured.clips[name];
                assert_eq!(told.rate.as_deref(), Some(seen.rate.as_str()));
                // The script's offset is within two standard errors of the true one.
                assert!((told.offset_s - seen.offset_s).abs() <= 2.0 * told.offset_sigma_s);
                Many::One(MarkOn {
                    clip: name.to_owned(),
                    frame: Some(seen.first_frames[moment]),
                    at_s: None,
                    since_s: None,
                })
            };
            assert_eq!(measured.first, frame("near side", "control"));
            assert_eq!(measured.then, frame("low wall", "touches down"));
        }
    }
    marks
}

#[test]
fn a_ball_that_is_caught_or_snapped_never_jumps() {
    for (name, _) in PLAYS {
        let action = action(name);
        let mut before = action.ball(0.0).place;
        for step in 1..(action.play.seconds * 480.0) as u32 {
            let t = f64::from(step) / 480.0;
            let here = action.ball(t).place;
            // 40 yards a second is faster than any throw.
            assert!((here - before).norm() < 40.0 / 480.0, "{name} at {t}: {before} to {here}");
            before = here;
        }
    }
}

#[test]
fn bodies_move_without_jumps_and_stand_where_the_truth_says() {
    for (name, _) in PLAYS {
        let action = action(name);
        let mut before = action.poses(0.0);
        for step in 1..(action.play.seconds * 120.0) as u32 {
            let t = f64::from(step) / 120.0;
            let poses = action.poses(t);
            for (who, (a, b)) in before.iter().zip(&poses).enumerate() {
                let moved = (a.trunk.pelvis - b.trunk.pelvis).norm();
                // 13 yards a second is the fastest that anyone has run.
                assert!(moved < 13.0 / 120.0, "{name}: {} at {t}: {moved}", action.play.players[who].id);
            }
            before = poses;
        }
    }
}

// PROPERTY: the same play gives the same bytes
#[test]
fn the_same_play_gives_the_same_pictures() {
    let action = action("catch-beyond-wall");
    let film = || {
        let view = Arc::new(View::new(&hall(), &small("near side"), &action.play.timecode, 7));
        let out = film::shoot(&action, &view, Cursor::new(Vec::new()), |done, _| done < 12);
        out.expect("it is filmed").into_inner()
    };
    let clip = film();
    assert!(clip.len() > 5_000);
    assert_eq!(clip, film());
}

#[test]
fn a_clip_carries_the_timecode_that_stands_in_its_pictures() {
    let action = action("catch-beyond-wall");
    // The camera with half the rate counts 30 frames a second, so its first label has half as many frames.
    for (camera, label) in [("near side", "00:41:12;30"), ("far corner", "00:41:12;15")] {
        let view = Arc::new(View::new(&hall(), &small(camera), &action.play.timecode, 7));
        let shot = film::shoot(&action, &view, Cursor::new(Vec::new()), |done, _| done < 4);
        let mut clip = shot.expect("it is filmed");
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("clip.mp4");
        fs::write(&path, clip.get_ref()).expect("written");
        let without = Clip::open(&path, None).expect("it is a clip");
        let hash = |clip: &Clip| clip.picture(3).expect("it is decoded").sha256();
        let before = hash(&without);
        let stamp = view.stamp.expect("it has labels");
        timecode_track::add(&mut clip, &stamp, view.station.rate).expect("it takes a track");
        fs::write(&path, clip.get_ref()).expect("written");
        let with = Clip::open(&path, None).expect("it is a clip");
        assert_eq!(without.timecode, None);
        assert_eq!(with.timecode.map(|code| code.to_string()).as_deref(), Some(label), "{camera}");
        assert_eq!(with.frames.len(), without.frames.len());
        assert_eq!(hash(&with), before);
        // A clip that is cut off is refused.
        let mut cut = Cursor::new(clip.get_ref()[..clip.get_ref().len() - 40].to_vec());
        assert!(timecode_track::add(&mut cut, &stamp, view.station.rate).is_err());
    }
}

/// The pixels that differ from a picture without the ball show where it is.
// PROPERTY: the ball is drawn where the truth has it
#[test]
fn the_ball_is_drawn_where_the_truth_has_it() {
    let with = action("catch-beyond-wall");
    let mut play = with.play.clone();
    (play.ball, play.ball_at) = (Vec::new(), (-40.0, 40.0));
    let without = Action::new(play, hall().walls);
    // Between passer and receiver, nothing else is near the ball.
    for camera in ["near side", "high end"] {
        let station = small(camera);
        let frame = station.first_frame(4.1).expect("within the play");
        let open_s = station.mounted.exposure * station.rate.interval().as_f64();
        let place = with.ball(station.shows_s(frame) - open_s / 2.0).place;
        let truth = station.camera.project(place.into()).expect("in the picture");
        let (a, b) = (drawn(&with, camera, frame), drawn(&without, camera, frame));
        let centre = changed(&a, &b, (truth.x, truth.y)).expect("the ball is seen");
        let off = (centre.0 - truth.x).hypot(centre.1 - truth.y);
        assert!(off < 0.8, "{camera}: {centre:?} is not {truth:?}");
    }
}

/// The middle of the pixels whose luma differs clearly, up to 8 pixels from a place.
fn changed(a: &Picture, b: &Picture, around: (f64, f64)) -> Option<(f64, f64)> {
    let (mut sum, mut x, mut y) = (0.0, 0.0, 0.0);
    for (index, (a, b)) in a.y.iter().zip(&b.y).enumerate() {
        let (column, row) = ((index % 320) as f64, (index / 320) as f64);
        let off = f64::from(a.abs_diff(*b));
        if off > 4.0 && (column - around.0).abs() < 8.0 && (row - around.1).abs() < 8.0 {
            sum += off;
            x += off * column;
            y += off * row;
        }
    }
    (sum > 0.0).then(|| (x / sum, y / sum))
}

// PROPERTY: the scoreboard shows the clock of the frame
#[test]
fn the_scoreboard_shows_the_clock_of_the_frame() {
    let action = action("catch-beyond-wall");
    let station = small("scoreboard");
    // The displayed second changes between exactly two of these frames.
    let text = |frame: u64| BoardText::at(&action.play, station.shows_s(frame)).clock;
    let turns = (1..200).find(|frame| text(*frame) != text(frame - 1)).expect("it runs");
    assert_eq!((text(turns - 1).as_str(), text(turns).as_str()), ("4:42", "4:41"));
    let differs = |a: u64, b: u64| drawn(&action, "scoreboard", a) != drawn(&action, "scoreboard", b);
    assert!(differs(turns - 1, turns));
    assert!(!differs(turns, turns + 1));
}

// PROPERTY: the first frame of the snap is the first in which the ball has moved
#[test]
fn the_frame_of_the_snap_is_the_first_in_which_the_ball_has_moved() {
    for (name, _) in PLAYS {
        let action = action(name);
        let truth = Truth::of(&action, &hall(), &rig());
        for (camera, station) in truth.cameras.iter().zip(rig()) {
            let frame = camera.first_frames["snap"];
            let moved = |frame: u64| {
                (action.ball(station.shows_s(frame)).place - action.ball(0.0).place).norm() > 1e-9
            };
            assert!(moved(frame) || moved(frame + 1), "{name}, {}", camera.name);
            assert!(!moved(frame - 1), "{name}, {}", camera.name);
        }
    }
}

#[test]
fn clicks_are_projected_truth_with_noise_and_varied_plays_keep_their_truth() {
    let (hall, rig) = (hall(), rig());
    let care = Care { click_px: 1.5, offset_sigma_s: 0.004 };
    let (mut off, mut count, mut gaps) = (0.0, 0, Vec::new());
    for seed in 0..20 {
        let action = Action::new(varied(&play("down-or-fumble"), seed), hall.walls);
        let clocks = other_clocks(&rig, seed).expect("they are cameras");
        let truth = Truth::of(&action, &hall, &clocks);
        gaps.push(truth.at_s("down").expect("it is down") - truth.at_s("ball loose").expect("it is loose"));
        let evidence = Evidence::of(&action, &truth, &clocks, (4, 3.3), care);
        for witness in &evidence.witnesses {
            for click in witness.landmarks.iter().chain(&witness.toe).chain(&witness.ball) {
                let truth = witness.station.camera.project(click.place).expect("it was clicked");
                off += (truth.x - click.pixel.x).powi(2) + (truth.y - click.pixel.y).powi(2);
                count += 2;
            }
        }
    }
    let deviation = (off / f64::from(count)).sqrt();
    assert!(count > 500 && (deviation - 1.5).abs() < 0.1, "{deviation} of {count}");
    assert!(gaps.iter().any(|gap| *gap < 0.0) && gaps.iter().any(|gap| *gap > 0.0), "{gaps:?}");
}

#[test]
fn the_truth_keeps_to_its_schema() {
    let truth = Truth::of(&action("down-or-fumble"), &hall(), &rig());
    let schema = serde_json::to_value(schemars::schema_for!(Truth)).expect("a schema is JSON");
    let validator = jsonschema::validator_for(&schema).expect("a valid schema");
    let value = serde_json::to_value(&truth).expect("the truth is JSON");
    assert!(validator.is_valid(&value));
    assert_eq!(serde_json::from_value::<Truth>(value).expect("it reads back"), truth);
}

#[test]
fn what_cannot_be_played_is_refused_with_everything_that_is_wrong() {
    let (_, text) = PLAYS[0];
    for (was, now, says) in [
        ("seconds: 7.2", "seconds: 9.5", "`seconds` is 9.5: more than 0, at most 8"),
        ("to: \"K8\"", "to: \"K9\"", "the ball at 1.2 s: nobody is called `K9`"),
        ("id: \"K27\"", "id: \"K8\"", "two players are called `K8`"),
        ("Pass(at_s: 3.62)", "Pass(at_s: 0.62)", "the ball at 0.62 s does not come after 1.62 s"),
        ("lands_s: 5.515", "lands_s: 4.5", "`K11`: an act from 4.563 s to 4.5 s"),
    ] {
        assert!(text.contains(was), "{was}");
        match Play::read(&text.replace(was, now)) {
            Err(Error::Play(found)) => assert!(found.iter().any(|one| one == says), "{found:?}"),
            other => panic!("{now}: {other:?}"),
        }
    }
    let unknown = Play::read(&text.replace("seconds:", "secnds:")).expect_err("an unknown field");
    assert!(unknown.to_string().contains("secnds"), "{unknown}");
}
