//! The ball: at rest, snapped, held, thrown, loose.

use super::body::Trunk;
use super::dice::Dice;
use super::play::{BallAct, Play};
use super::space::{GRAVITY, Point, UP, direction, ramp};

/// Half the length of a ball, in yards: 11 inches from tip to tip.
pub(crate) const HALF_LENGTH: f64 = 11.0 / 36.0 / 2.0;
/// Half its thickness: 6.7 inches.
pub(crate) const RADIUS: f64 = 6.7 / 36.0 / 2.0;

/// Where the ball is at a time.
#[derive(Debug, Clone, Copy)]
pub struct At {
    pub place: Point,
    /// Unit vector from tip to tip.
    pub axis: Point,
    /// By index in the play's list.
    pub holder: Option<usize>,
}

/// The trunk of a player at a time: all that the ball needs to know of them.
pub(crate) type Trunks<'a> = dyn Fn(usize, f64) -> Trunk + 'a;

/// The inside of the walls: length from `-end_zone`, width, height; yards.
#[derive(Debug, Clone, Copy)]
pub struct Walls {
    /// West and east.
    pub along: (f64, f64),
    /// South and north.
    pub across: (f64, f64),
    pub height: f64,
}

/// The ball's path through the play.
#[derive(Debug, Clone)]
pub(crate) struct Ball {
    stretches: Vec<Stretch>,
}

#[derive(Debug, Clone)]
struct Stretch {
    from_s: f64,
    way: Way,
}

#[derive(Debug, Clone)]
enum Way {
    Rests(Point),
    Flies { from: Point, velocity: Point },
    Bounces { places: Vec<Point> },
    Held { by: usize, settles_s: f64, met: Spot, kept: Spot, throws_s: Option<f64> },
}

/// A place relative to a trunk: right, front, up, in yards.
type Spot = (f64, f64, f64);

const CHEST: Spot = (0.0, 0.28, 0.40);
const TUCKED: Spot = (0.20, 0.19, 0.28);
const COCKED: Spot = (0.36, -0.20, 0.70);
pub(crate) const RELEASED: Spot = (0.24, 0.40, 0.98);
/// How long a throwing arm takes, in seconds.
pub(crate) const THROW_S: f64 = 0.55;
const TICK: f64 = 1.0 / 480.0;

impl Ball {
    /// Follows the ball through a play. `index` finds a player by short name.
    pub fn new(
        play: &Play,
        walls: Walls,
        index: &dyn Fn(&str) -> Option<usize>,
        trunks: &Trunks<'_>,
    ) -> Ball {
        let at = Point::new(play.ball_at.0, play.ball_at.1, RADIUS);
        let mut ball = Ball { stretches: vec![Stretch { from_s: f64::NEG_INFINITY, way: Way::Rests(at) }] };
        let mut dice = Dice::new(play.seed ^ 0xBA11);
        for (number, act) in play.ball.iter().enumerate() {
            let at_s = act.at_s();
            let here = ball.at(at_s, trunks).place;
            let throws_s = match play.ball.get(number + 1) {
                Some(BallAct::Pass { at_s }) => Some(*at_s),
                Some(
                    BallAct::Snap { .. }
                    | BallAct::Hand { .. }
                    | BallAct::Catch { .. }
                    | BallAct::Loose { .. }
                    | BallAct::Recover { .. },
                )
                | None => None,
            };
            let by = act.by().and_then(index).unwrap_or(0);
            let held = |since: f64, settles_s: f64, met: Spot, kept: Spot| Stretch {
                from_s: since,
                way: Way::Held { by, settles_s, met, kept, throws_s },
            };
            match act {
                BallAct::Snap { arrives_s, .. } => {
                    let to = spot(&trunks(by, *arrives_s), CHEST);
                    ball.fly(at_s, here, to, *arrives_s);
                    ball.stretches.push(held(*arrives_s, *arrives_s, CHEST, CHEST));
                }
                BallAct::Hand { .. } | BallAct::Recover { .. } => {
                    let met = seen_by(&trunks(by, at_s), here);
                    ball.stretches.push(held(at_s, at_s, met, TUCKED));
                }
                BallAct::Pass { .. } => {
                    let Some(next) = play.ball.get(number + 1) else { continue };
                    let to = met_at(next, index, trunks).unwrap_or(here);
                    ball.fly(at_s, here, to, next.at_s());
                }
                BallAct::Catch { control_s, high, ahead, .. } => {
                    ball.stretches.push(held(at_s, *control_s, (0.0, *ahead, *high), TUCKED));
                }
                BallAct::Loose { speed: (x, y, z), .. } => {
                    let lasts = (play.seconds - at_s).max(0.0) + 1.0;
                    let places = bounce(here, Point::new(*x, *y, *z), lasts, walls, &mut dice);
                    ball.stretches.push(Stretch { from_s: at_s, way: Way::Bounces { places } });
                }
            }
        }
        ball
    }

    fn fly(&mut self, at_s: f64, from: Point, to: Point, arrives_s: f64) {
        let lasts = (arrives_s - at_s).max(1e-3);
        let velocity = (to - from) / lasts + UP * (GRAVITY * lasts / 2.0);
        self.stretches.push(Stretch { from_s: at_s, way: Way::Flies { from, velocity } });
    }

    /// The ball at a time, in seconds.
    pub fn at(&self, t: f64, trunks: &Trunks<'_>) -> At {
        let after = self.stretches.partition_point(|stretch| stretch.from_s <= t);
        let Some(stretch) = self.stretches.get(after.saturating_sub(1)) else {
            return At { place: Point::zeros(), axis: Point::x(), holder: None };
        };
        let since = t - stretch.from_s;
        match &stretch.way {
            Way::Rests(place) => At { place: *place, axis: Point::x(), holder: None },
            Way::Flies { from, velocity } => {
                let place = from + velocity * since - UP * (GRAVITY * since * since / 2.0);
                let axis = direction(velocity - UP * (GRAVITY * since), Point::x());
                At { place, axis, holder: None }
            }
            Way::Bounces { places } => {
                let step = ((since / TICK).max(0.0) as usize).min(places.len().saturating_sub(2));
                let (a, b) = (places.get(step), places.get(step + 1));
                // A bouncing ball has at least its first place.
                let here = |place: Option<&Point>| place.copied().unwrap_or_else(Point::zeros);
                let (a, b) = (here(a), here(b.or(a)));
                let part = (since / TICK - step as f64).clamp(0.0, 1.0);
                // It tumbles end over end while it moves.
                let far = places.first().map_or(0.0, |first| (a - first).norm());
                let way = direction(Point::new(b.x - a.x, b.y - a.y, 0.0), Point::x());
                let (sin, cos) = (2.2 * far).sin_cos();
                At { place: a + (b - a) * part, axis: way * cos + UP * sin, holder: None }
            }
            Way::Held { by, settles_s, met, kept, throws_s } => {
                let trunk = trunks(*by, t);
                let settled = mix(*met, *kept, ramp(t, *settles_s, settles_s + 0.4));
                let at = match throws_s {
                    Some(throws_s) => throwing(settled, (t - throws_s) / THROW_S + 1.0),
                    None => settled,
                };
                let mut place = spot(&trunk, at);
                place.z = place.z.max(RADIUS);
                let axis =
                    direction(trunk.front() * 0.8 + trunk.right() * 0.3 + trunk.up() * 0.4, Point::x());
                At { place, axis, holder: Some(*by) }
            }
        }
    }
}

/// Where the next act needs the ball to be.
fn met_at(next: &BallAct, index: &dyn Fn(&str) -> Option<usize>, trunks: &Trunks<'_>) -> Option<Point> {
    match next {
        BallAct::Catch { at_s, by, high, ahead, .. } => {
            Some(spot(&trunks(index(by)?, *at_s), (0.0, *ahead, *high)))
        }
        BallAct::Snap { .. }
        | BallAct::Hand { .. }
        | BallAct::Pass { .. }
        | BallAct::Loose { .. }
        | BallAct::Recover { .. } => None,
    }
}

/// The throwing hand: back over the shoulder, then forward. `part`: of the throw, from 0 to 1.
fn throwing(from: Spot, part: f64) -> Spot {
    let back = mix(from, COCKED, ramp(part, 0.0, 0.6));
    mix(back, RELEASED, ramp(part, 0.55, 1.15) / ramp(1.0, 0.55, 1.15))
}

fn mix(a: Spot, b: Spot, part: f64) -> Spot {
    (a.0 + (b.0 - a.0) * part, a.1 + (b.1 - a.1) * part, a.2 + (b.2 - a.2) * part)
}

fn spot(trunk: &Trunk, at: Spot) -> Point {
    trunk.point(at.0, at.1, at.2)
}

fn seen_by(trunk: &Trunk, place: Point) -> Spot {
    let from = place - trunk.pelvis;
    (from.dot(&trunk.right()), from.dot(&trunk.front()), from.dot(&trunk.up()))
}

/// A loose ball over the ground and off the walls. An oblong ball bounces at random angles.
fn bounce(from: Point, velocity: Point, lasts: f64, walls: Walls, dice: &mut Dice) -> Vec<Point> {
    let (mut place, mut velocity) = (from, velocity);
    let mut places = vec![place];
    for _ in 0..(lasts.min(Play::LONGEST + 1.0) / TICK) as usize {
        velocity.z -= GRAVITY * TICK;
        let next = place + velocity * TICK;
        let low = next.z < walls.height;
        for (axis, (least, most)) in [(0, walls.along), (1, walls.across)] {
            let inside = |at: f64| at > least + RADIUS && at < most - RADIUS;
            if low && inside(place[axis]) && !inside(next[axis]) {
                // A padded wall returns less speed than the floor.
                velocity[axis] *= -0.42;
                velocity[1 - axis] *= 0.85;
            }
        }
        place += velocity * TICK;
        if place.z < RADIUS && velocity.z < 0.0 {
            place.z = RADIUS;
            let hard = -velocity.z;
            velocity.z = if hard > 0.8 { hard * dice.between(0.35, 0.6) } else { 0.0 };
            velocity.x = velocity.x * 0.78 + hard * dice.between(-0.22, 0.22);
            velocity.y = velocity.y * 0.78 + hard * dice.between(-0.22, 0.22);
        }
        if velocity.z == 0.0 || place.z <= RADIUS + 1e-6 {
            velocity.x *= 1.0 - 1.2 * TICK;
            velocity.y *= 1.0 - 1.2 * TICK;
        }
        places.push(place);
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    const WALLS: Walls = Walls { along: (-7.0, 57.0), across: (0.0, 27.0), height: 4.0 / 3.0 };

    #[test]
    fn a_loose_ball_comes_off_the_wall_and_never_sinks() {
        let mut dice = Dice::new(3);
        let from = Point::new(20.0, 25.0, 1.0);
        let places = bounce(from, Point::new(1.0, 9.0, 0.0), 3.0, WALLS, &mut dice);
        assert!(places.iter().all(|place| place.z >= RADIUS - 1e-9 && place.y < 27.0));
        let last = places.last().expect("it has places");
        assert!(last.y < 26.5, "it came back: {last}");
    }

    #[test]
    fn a_ball_over_the_wall_is_gone() {
        let mut dice = Dice::new(3);
        let from = Point::new(20.0, 26.0, 2.2);
        let places = bounce(from, Point::new(0.0, 9.0, 2.0), 2.0, WALLS, &mut dice);
        assert!(places.last().expect("it has places").y > 27.0);
    }
}
