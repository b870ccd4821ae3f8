//! How a player moves along a path: when and where each foot stands, and how it swings in between.
//!
//! A standing foot does not slide: its toe stays at one point from the moment it comes down to the moment it leaves.
//! Cadence and ground contact follow measurements of runners: 2.5 steps a second in a quick walk, above 4 in a sprint;
//! a foot is down for 60 % of its stride in a walk and below 30 % in a sprint.

use super::heading::Heading;
use super::path::Path;
use super::space::{Point, between, direction, ramp, right_of};

/// A foot on the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Contact {
    /// When it comes down; before the clip for the first one.
    pub from_s: f64,
    /// When the toe leaves the ground; after the clip for the last one.
    pub to_s: f64,
    /// On the ground.
    pub toe: Point,
    /// Direction of the toe, level.
    pub points: Point,
}

/// A foot at one time.
#[derive(Debug, Clone, Copy)]
pub struct Foot {
    /// Lower side.
    pub toe: Point,
    /// Direction of the toe, level.
    pub points: Point,
    /// Angle of the raised heel around the toe, in radians.
    pub lifted: f64,
    /// On the ground.
    pub planted: bool,
    /// How much it supports the body: 0 as it comes down, up to 1, then 0 as it leaves.
    pub carries: f64,
}

/// The steps of one player.
#[derive(Debug, Clone)]
pub(crate) struct Gait {
    /// Left and right.
    feet: [Vec<Contact>; 2],
}

/// The input for a player's steps.
#[derive(Debug, Clone)]
pub struct Steps<'a> {
    pub path: &'a Path,
    pub heading: &'a Heading,
    /// How far apart the feet are while standing, and how far the right one is behind, in yards.
    pub stance: (f64, f64),
    /// Spans of time, in seconds, in which no foot comes down.
    pub airborne: &'a [(f64, f64)],
    /// In seconds.
    pub until: f64,
}

/// Below this speed, in yards a second, a player stands.
const STANDING: f64 = 0.35;
const TICK: f64 = 1.0 / 240.0;
/// Longer than any clip, in seconds: a contact that never ends.
const EVER: f64 = 1e3;

/// Steps a second at a speed in yards a second.
fn cadence(speed: f64) -> f64 {
    (1.7 + 0.34 * speed).min(4.5)
}

/// Seconds that a foot stands at a speed in yards a second.
fn stands_for(speed: f64) -> f64 {
    between(0.62, 0.27, (speed / 8.0).min(1.0)) * 2.0 / cadence(speed)
}

impl Gait {
    /// Walks along the path once and records every step.
    pub fn new(steps: &Steps<'_>) -> Gait {
        let faces = steps.heading.at(0.0);
        let first =
            |side| Contact { from_s: -EVER, to_s: EVER, toe: stance(steps, side, 0.0, faces), points: faces };
        let mut feet = [vec![first(0)], vec![first(1)]];
        let (mut phase, mut side, mut moving, mut t) = (0.75, 0usize, false, 0.0);
        while t < steps.until {
            t += TICK;
            let (_, velocity) = steps.path.at(t);
            let speed = velocity.norm();
            let up = steps.airborne.iter().any(|(from, to)| t > *from && t < *to);
            if speed < STANDING {
                if moving && !up {
                    // Both feet come to rest beside the body, one after the other.
                    moving = false;
                    for (late, foot) in [(0.08, side), (0.30, 1 - side)] {
                        let (strike, faces) = (t + late, steps.heading.at(t + 0.5));
                        let toe = stance(steps, foot, strike + 0.3, faces);
                        add(&mut feet, foot, Contact { from_s: strike, to_s: EVER, toe, points: faces });
                    }
                    phase = 0.75;
                }
                continue;
            }
            moving = true;
            phase += cadence(speed) * TICK;
            if phase >= 1.0 {
                phase -= 1.0;
                if !up {
                    let lasts = stands_for(speed);
                    let (under, then) = steps.path.at(t + lasts / 2.0);
                    let (faces, way) = (steps.heading.at(t), direction(then, steps.heading.at(t)));
                    // When running backwards or sideways, the toes point where the player faces.
                    let points = if way.dot(&faces) > 0.3 { direction(way + faces, faces) } else { faces };
                    let out = right_of(points) * if side == 0 { -0.10 } else { 0.10 };
                    let toe = under + out + points * 0.12;
                    add(&mut feet, side, Contact { from_s: t, to_s: t + lasts, toe, points });
                }
                side = 1 - side;
            }
        }
        for (from, to) in steps.airborne {
            feet.iter_mut().for_each(|foot| cut(foot, *from, *to));
            land(steps, &mut feet, *to);
        }
        feet.iter_mut().flatten().for_each(|contact| let_go(steps.path, contact));
        Gait { feet }
    }

    /// Where each foot stands and when: left, right.
    pub(crate) fn contacts(&self) -> &[Vec<Contact>; 2] {
        &self.feet
    }

    /// A foot (0 left, 1 right) at a time, for a body that moves at `speed` yards a second.
    pub fn foot(&self, side: usize, t: f64, speed: f64) -> Foot {
        let contacts = &self.feet[side.min(1)];
        let after = contacts.partition_point(|contact| contact.from_s <= t);
        let (Some(here), next) = (contacts.get(after.saturating_sub(1)), contacts.get(after)) else {
            return Foot {
                toe: Point::zeros(),
                points: Point::x(),
                lifted: 0.0,
                planted: false,
                carries: 0.0,
            };
        };
        let push = (0.2 + 0.11 * speed).min(1.0);
        if t < here.to_s {
            let lasts = here.to_s - here.from_s;
            let lifted = if lasts < EVER { push * ramp((t - here.from_s) / lasts, 0.5, 1.1) } else { 0.0 };
            // However short a contact is, the body must not drop onto it.
            let comes = ramp(t, here.from_s, here.from_s + (0.25 * lasts).clamp(0.1, 0.25));
            let goes = ramp(t, here.to_s - (0.3 * lasts).min(0.12), here.to_s);
            let carries = comes * (1.0 - goes);
            return Foot { toe: here.toe, points: here.points, lifted, planted: true, carries };
        }
        // After the last contact the foot hangs where it left; the body's leap moves it.
        let Some(next) = next else {
            return Foot { toe: here.toe, points: here.points, lifted: push, planted: false, carries: 0.0 };
        };
        let s = (t - here.to_s) / (next.from_s - here.to_s).max(1e-6);
        let far = (next.toe - here.toe).norm();
        let lift = (0.05 + 0.11 * far).min(0.30);
        let mut toe = here.toe + (next.toe - here.toe) * ramp(s, -0.05, 1.0);
        toe.z = lift * (std::f64::consts::PI * s).sin() * (1.3 - 0.6 * s);
        let heel = (0.25 * far).min(0.75);
        let lifted =
            push * (1.0 - s) + heel * (std::f64::consts::PI * s.powf(0.8)).sin() - 0.22 * s * s * (1.0 - s);
        Foot {
            toe,
            points: direction(here.points * (1.0 - s) + next.points * s, next.points),
            lifted,
            planted: false,
            carries: 0.0,
        }
    }
}

/// Where a foot stands while the player stands.
fn stance(steps: &Steps<'_>, side: usize, t: f64, faces: Point) -> Point {
    let (apart, behind) = steps.stance;
    let (under, _) = steps.path.at(t);
    let out = right_of(faces) * (apart / 2.0) * if side == 0 { -1.0 } else { 1.0 };
    under + out + faces * (0.12 + if side == 0 { behind / 2.0 } else { -behind / 2.0 })
}

/// Adds a contact; the foot leaves the previous one in time to swing.
fn add(feet: &mut [Vec<Contact>; 2], side: usize, contact: Contact) {
    let Some(foot) = feet.get_mut(side) else { return };
    if let Some(before) = foot.last_mut() {
        // A swing of at least 0.2 s looks like a step, a shorter one like a twitch.
        let latest = (contact.from_s - 0.2).max((before.from_s + contact.from_s) / 2.0);
        before.to_s = before.to_s.min(latest);
    }
    foot.push(contact);
}

/// Ends a contact before the body is too far ahead for the leg to reach.
fn let_go(path: &Path, contact: &mut Contact) {
    const FAR: f64 = 0.85;
    let mut t = contact.from_s.max(0.0);
    let until = contact.to_s.min(20.0);
    while t < until {
        let (under, velocity) = path.at(t);
        let from = under - contact.toe;
        if from.norm() > FAR && from.dot(&velocity) > 0.0 {
            contact.to_s = t;
            return;
        }
        t += TICK;
    }
}

/// Ends contacts while the body is in the air.
fn cut(foot: &mut Vec<Contact>, from: f64, to: f64) {
    foot.retain(|contact| contact.from_s < from - 0.03 || contact.from_s >= to);
    let before = foot.iter_mut().rfind(|contact| contact.from_s < from);
    if let Some(last) = before
        && (last.to_s > from || from - last.to_s < 0.16)
    {
        last.to_s = from;
    }
}

/// Brings both feet down where a player lands who runs on, and drops steps that are too close.
fn land(steps: &Steps<'_>, feet: &mut [Vec<Contact>; 2], at: f64) {
    if at >= EVER {
        return;
    }
    let faces = steps.heading.at(at);
    for (side, foot) in feet.iter_mut().enumerate() {
        foot.retain(|contact| contact.from_s < at || contact.from_s > at + 0.35);
        let place = foot.iter().position(|contact| contact.from_s > at).unwrap_or(foot.len());
        let until = foot.get(place).map_or(EVER, |next| (next.from_s - 0.2).max(at + 0.05));
        let late = if side == 0 { 0.0 } else { 0.06 };
        let toe = stance(steps, side, at + 0.1, faces);
        foot.insert(place, Contact { from_s: at + late, to_s: until, toe, points: faces });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run() -> Gait {
        let path =
            Path::new((0.0, 5.0), &[(1.0, 0.0, 5.0), (2.0, 4.0, 5.0), (3.0, 11.0, 5.5), (5.0, 20.0, 9.0)]);
        let heading = Heading::new(&path, 0.0, 6.0, |_, _| None);
        let steps = Steps { path: &path, heading: &heading, stance: (0.3, 0.2), airborne: &[], until: 6.0 };
        Gait::new(&steps)
    }

    // PROPERTY: a foot that stands does not slide
    #[test]
    fn a_foot_that_stands_does_not_slide_and_every_step_is_ahead_of_the_last() {
        let gait = run();
        for (side, contacts) in gait.contacts().iter().enumerate() {
            assert!(contacts.len() > 4, "{}", contacts.len());
            for pair in contacts.windows(2) {
                assert!(pair[0].to_s < pair[1].from_s, "{pair:?}");
                assert!(pair[1].toe.x > pair[0].toe.x - 0.3, "{pair:?}");
            }
            for contact in contacts {
                let from = contact.from_s.max(0.0);
                for part in [0.01, 0.3, 0.7, 0.99] {
                    let t = from + (contact.to_s.min(6.0) - from) * part;
                    let foot = gait.foot(side, t, 5.0);
                    assert!(foot.planted && (foot.toe - contact.toe).norm() < 1e-9, "{t}");
                }
            }
        }
    }

    #[test]
    fn a_sprinter_makes_steps_of_more_than_a_yard_and_a_half() {
        let gait = run();
        let mut strikes: Vec<(f64, f64)> = Vec::new();
        for contacts in gait.contacts() {
            strikes.extend(contacts.iter().map(|contact| (contact.from_s, contact.toe.x)));
        }
        strikes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let fast = strikes.windows(2).filter(|pair| pair[0].0 > 2.2 && pair[1].0 < 2.9);
        for pair in fast {
            // Sprint steps of 1.4 to 2.2 yards are what people make at 7 yards a second.
            assert!((1.4..2.2).contains(&(pair[1].1 - pair[0].1)), "{pair:?}");
        }
    }

    #[test]
    fn no_foot_stands_while_the_player_is_in_the_air() {
        let path = Path::new((0.0, 5.0), &[(0.5, 0.0, 5.0), (3.0, 14.0, 5.0)]);
        let airborne = [(2.0, 2.6)];
        let heading = Heading::new(&path, 0.0, 4.0, |_, _| None);
        let steps =
            Steps { path: &path, heading: &heading, stance: (0.3, 0.2), airborne: &airborne, until: 4.0 };
        let gait = Gait::new(&steps);
        for side in [0, 1] {
            assert!(gait.contacts()[side].iter().all(|c| c.to_s <= 2.0 + 1e-9 || c.from_s >= 2.6 - 1e-9));
        }
        let last = gait.contacts().iter().flatten().filter(|c| c.from_s < 2.0).map(|c| c.to_s);
        assert_eq!(last.fold(0.0, f64::max), 2.0);
    }
}
