//! Verdicts on places with bad landmarks, from a camera and clicks of this file's own: what the standard allows to be
//! wrong, or no verdict and the reason; the window's reading and `tellframe measure` say the same of every case.
//!
//! `TELLFRAME_PLAYS=100 cargo test --release --test behaviour place_bad_landmarks -- --nocapture` prints the shares.

use crate::program::Data;
use evidence::place::clicked::{Clicked, Edge, Landmarks, read};
use evidence::place::measure::Click;
use evidence::place::point::{Ground, Pixel, Space};
use evidence::place::pose::Sight;
use evidence::place::view::Size;
use evidence::verdict::Verdict;
use serde_json::{Value, json};
use testing::dice::Dice;

const STANDARD: f64 = 0.99;
const SIZE: Size = Size { width: 1280, height: 720 };

/// A pinhole that looks down on the field, written for this test alone.
struct Pinhole {
    from: [f64; 3],
    right: [f64; 3],
    down: [f64; 3],
    ahead: [f64; 3],
    focal_px: f64,
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

fn cross([a, b, c]: [f64; 3], [d, e, f]: [f64; 3]) -> [f64; 3] {
    [b * f - c * e, c * d - a * f, a * e - b * d]
}

fn unit(vector: [f64; 3]) -> [f64; 3] {
    let length = dot(vector, vector).sqrt();
    vector.map(|part| part / length)
}

impl Pinhole {
    fn new(from: [f64; 3], to: [f64; 3], focal_px: f64) -> Pinhole {
        let ahead = unit([to[0] - from[0], to[1] - from[1], to[2] - from[2]]);
        let right = unit(cross(ahead, [0.0, 0.0, 1.0]));
        Pinhole { from, right, down: cross(ahead, right), ahead, focal_px }
    }

    /// Where a place of the ground stands; `None` outside the picture.
    fn project(&self, (x, y): (f64, f64)) -> Option<(f64, f64)> {
        let away = [x - self.from[0], y - self.from[1], -self.from[2]];
        let depth = dot(away, self.ahead);
        let at = |axis| 0.5 + self.focal_px * dot(away, axis) / depth;
        let (x, y) = (639.0 + at(self.right), 359.0 + at(self.down));
        (depth > 0.5 && (0.0..1279.0).contains(&x) && (0.0..719.0).contains(&y)).then_some((x, y))
    }
}

/// What is wrong with one landmark.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Bad {
    Nothing,
    /// Clicked this many standard errors off, in any direction.
    Off(f64),
    /// Clicked this many pixels off.
    OffPx(f64),
    /// Clicked where its neighbour stands.
    Neighbour,
}

const BAD: [Bad; 7] = [
    Bad::Nothing,
    Bad::Off(3.0),
    Bad::Off(5.0),
    Bad::Off(8.0),
    Bad::OffPx(25.0),
    Bad::OffPx(80.0),
    Bad::Neighbour,
];

/// A point against a line, clicked by landmarks of which one may be bad.
struct Case {
    clicked: Clicked,
    line_x: f64,
    is_past: bool,
}

/// Ticks and crossings of the field.
fn places() -> Vec<(f64, f64)> {
    let rows = [0.0, 9.0, 18.0, 27.0];
    (0..=5).flat_map(|line| rows.map(|y| (5.0 * f64::from(line), y))).collect()
}

fn case(dice: &mut Dice, count: usize, sigma_px: f64, bad: Bad) -> Option<Case> {
    let from = [dice.between(0.0, 25.0), dice.between(-18.0, -8.0), dice.between(5.0, 14.0)];
    let camera = Pinhole::new(
        from,
        [dice.between(8.0, 17.0), dice.between(8.0, 14.0), 0.0],
        dice.between(600.0, 1000.0),
    );
    let mut seen: Vec<((f64, f64), (f64, f64))> =
        places().into_iter().filter_map(|place| Some((place, camera.project(place)?))).collect();
    let mut picked = Vec::new();
    while picked.len() < count && !seen.is_empty() {
        picked.push(seen.swap_remove(dice.below(seen.len())));
    }
    let hit = dice.below(count);
    let turn = dice.between(0.0, std::f64::consts::TAU);
    let nearest = |at: (f64, f64)| {
        let far = |other: &(f64, f64)| (other.0 - at.0).hypot(other.1 - at.1);
        seen.iter().map(|(_, image)| *image).min_by(|one, other| far(one).total_cmp(&far(other)))
    };
    let mut sights = Vec::new();
    for (index, ((x, y), image)) in picked.iter().enumerate() {
        let (mut across, mut down) = *image;
        let off = match bad {
            _ if index != hit => 0.0,
            Bad::Nothing => 0.0,
            Bad::Off(times) => times * sigma_px,
            Bad::OffPx(px) => px,
            Bad::Neighbour => {
                (across, down) = nearest(*image)?;
                0.0
            }
        };
        let at = |value: f64, part: f64, dice: &mut Dice| value + off * part + dice.normal(sigma_px);
        let image = Pixel::new(at(across, turn.cos(), dice), at(down, turn.sin(), dice));
        sights.push(Sight { image, place: Space::new(*x, *y, 0.0) });
    }
    let truth = (dice.between(3.0, 22.0), dice.between(3.0, 24.0));
    let (x, y) = camera.project(truth)?;
    let point = Click { image: Pixel::new(x + dice.normal(1.0), y + dice.normal(1.0)), sigma_px: 1.0 };
    // About as far as a few pixels are on the ground: where verdicts are hard.
    let here = camera.project((truth.0 + 0.1, truth.1))?;
    let pixel_yd = 0.1 / (here.0 - x).hypot(here.1 - y);
    let away = dice.between(1.0, 12.0) * pixel_yd * if dice.unit() < 0.5 { -1.0 } else { 1.0 };
    let landmarks = Landmarks { size: SIZE, sights, sigma_px };
    Some(Case { clicked: Clicked { landmarks, point }, line_x: truth.0 - away, is_past: away > 0.0 })
}

fn edge(x: f64) -> Edge {
    Edge { through: [Ground::new(x, 0.0), Ground::new(x, 27.0)], past: Ground::new(x + 1.0, 0.0) }
}

/// Whether a verdict says that the point is past the line; none where it says neither.
fn is_past(verdict: &Verdict) -> Option<bool> {
    match verdict {
        Verdict::Established { .. } => Some(true),
        Verdict::Refuted { .. } => Some(false),
        Verdict::Inconclusive { .. } | Verdict::Contradiction => None,
    }
}

fn plays() -> usize {
    std::env::var("TELLFRAME_PLAYS").ok().and_then(|plays| plays.parse().ok()).unwrap_or(6)
}

// PROPERTY: a bad landmark makes no more verdicts wrong than the standard allows, window and command agree, and say why there is none
#[test]
fn a_bad_landmark_makes_no_more_verdicts_wrong_than_the_standard_allows() {
    for bad in BAD {
        let mut dice = Dice::new(20_261_130);
        let (mut given, mut wrong, mut all) = (0_u32, 0_u32, 0_u32);
        let (mut alone, mut alone_wrong) = (0_u32, 0_u32);
        for count in 4..=10 {
            for sigma_px in [0.5, 1.0, 2.0] {
                for _ in 0..plays() {
                    let Some(case) = case(&mut dice, count, sigma_px, bad) else { continue };
                    all += 1;
                    let line = edge(case.line_x).line().expect("a line");
                    let Ok(reading) = read(&[case.clicked], &line) else { continue };
                    let said = is_past(&reading.verdict(STANDARD));
                    assert!(count > 4 || said.is_none(), "four landmarks always fit");
                    let probable = is_past(&Verdict::of(reading.distance.past_probability, STANDARD));
                    alone += u32::from(probable.is_some());
                    alone_wrong += u32::from(probable.is_some_and(|said| said != case.is_past));
                    given += u32::from(said.is_some());
                    wrong += u32::from(said.is_some_and(|said| said != case.is_past));
                }
            }
        }
        println!(
            "{bad:?}: {all} cases, {given} verdicts, {wrong} wrong; by the probability alone {alone}, {alone_wrong} wrong"
        );
        let expected = (1.0 - STANDARD) * f64::from(given);
        assert!(
            f64::from(wrong) <= expected + 3.0 * expected.sqrt() + 1.0,
            "{bad:?}: {wrong} of {given} are wrong"
        );
        assert!(bad != Bad::Nothing || given * 5 > all, "{given} of {all}: good landmarks prove something");
    }
}

/// The same case for the command, under what the window takes of the lens.
fn asked(case: &Case) -> Value {
    let Clicked { landmarks, point } = &case.clicked;
    let sights = landmarks.sights.iter();
    let marks: Vec<Value> = sights
        .map(
            |sight| json!({"image": [sight.image.x, sight.image.y], "field": [sight.place.x, sight.place.y]}),
        )
        .collect();
    let mut asked = json!({
        "landmarks": marks, "landmark_sigma_px": landmarks.sigma_px, "point_sigma_px": point.sigma_px,
        "points": [{"name": "toe", "image": [point.image.x, point.image.y]}],
        "lines": [{"name": "line", "through": [[case.line_x, 0], [case.line_x, 27]], "past": [case.line_x + 1.0, 0]}],
        "standard": STANDARD,
    });
    if landmarks.sights.len() >= 6 {
        asked["lens"] = json!({"center": [639.5, 359.5], "focal_px": 1280, "fit_k1": true});
    }
    asked
}

// PROPERTY: a bad landmark makes no more verdicts wrong than the standard allows, window and command agree, and say why there is none
#[test]
fn window_and_command_say_the_same_of_every_case_and_why_there_is_no_verdict() {
    let data = Data::new();
    let mut dice = Dice::new(7);
    let mut withheld = 0;
    for bad in BAD {
        for count in 4..=8 {
            let Some(case) = case(&mut dice, count, 1.0, bad) else { continue };
            let file = data.file("measure.json");
            std::fs::write(&file, asked(&case).to_string()).expect("it can be written");
            let ran = data.run(&["measure".as_ref(), file.as_path(), "--json".as_ref()]);
            let plain = data.run(&["measure".as_ref(), file.as_path()]);
            let line = edge(case.line_x).line().expect("a line");
            let reading = match read(&[case.clicked], &line) {
                Ok(reading) => reading,
                // What the window refuses the command refuses too, or gives without a verdict.
                Err(why) => {
                    let found = (ran.status == 0).then(|| ran.json());
                    let verdict = found.and_then(|found| found.pointer("/points/0/lines/0/verdict").cloned());
                    assert!(
                        verdict.is_none_or(|verdict| verdict == "inconclusive"),
                        "{bad:?}, {count}: {why}"
                    );
                    continue;
                }
            };
            assert_eq!(ran.status, 0, "{bad:?}, {count}: {}", ran.err);
            let found = ran.json();
            let of = |field: &str| {
                found.pointer(&format!("/points/0/lines/0/{field}")).cloned().unwrap_or(Value::Null)
            };
            let verdict = reading.verdict(STANDARD);
            assert_eq!(of("verdict"), verdict.word(), "{bad:?}, {count}");
            assert_eq!(
                of("past_probability").as_f64(),
                Some(reading.distance.past_probability),
                "{bad:?}, {count}"
            );
            let probability = reading.distance.past_probability;
            let is_withheld =
                is_past(&verdict).is_none() && is_past(&Verdict::of(probability, STANDARD)).is_some();
            if is_withheld || count == 4 {
                withheld += 1;
                let reason = of("reason");
                let words =
                    reason.as_str().unwrap_or_else(|| panic!("{bad:?}, {count}: no reason in {found}"));
                assert!(plain.out.contains(words), "{words}: {}", plain.out);
            }
        }
    }
    assert!(withheld > 7, "{withheld}");
}
