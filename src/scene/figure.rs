//! How a body looks: rounded pieces around its bones, in the colours of its team, and its shadows.

use super::ball::{At, HALF_LENGTH, RADIUS};
use super::body::{Pose, TRUNK, sign};
use super::dice::grain;
use super::hall::Colour;
use super::play::{Player, Side};
use super::space::{Point, UP, direction};

/// A rounded piece: the hull of a ball that grows or shrinks from one place to another.
#[derive(Debug, Clone, Copy)]
pub struct Piece {
    /// One end: place and radius.
    pub a: (Point, f64),
    /// The other end: place and radius.
    pub b: (Point, f64),
    pub colour: Colour,
    /// From 0 to 1.
    pub gloss: f32,
    /// Index of the shirt whose number is printed on it.
    pub shirt: Option<usize>,
}

/// A number on a chest and a back.
#[derive(Debug, Clone)]
pub(crate) struct Shirt {
    /// Middle of the chest, inside.
    pub middle: Point,
    /// To the right, out of the chest, up the trunk.
    pub axes: [Point; 3],
    pub text: String,
    pub colour: Colour,
}

/// A soft shadow on the ground around a line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shade {
    pub a: (f64, f64),
    pub b: (f64, f64),
    /// In yards.
    pub radius: f64,
    /// In the middle, from 0 to 1.
    pub dark: f64,
}

struct Kit {
    helmet: Colour,
    stripe: Colour,
    shirt: Colour,
    sleeve: Colour,
    number: Colour,
    trousers: Colour,
    socks: Colour,
    shoes: Colour,
    gloves: Colour,
}

/// Home: slate blue and amber. Visitors: bone and umber. The crew: grey with yellow sleeves.
fn kit(side: Side) -> Kit {
    match side {
        Side::Home => Kit {
            helmet: [0.90, 0.60, 0.14],
            stripe: [0.10, 0.24, 0.42],
            shirt: [0.10, 0.25, 0.45],
            sleeve: [0.12, 0.29, 0.52],
            number: [0.95, 0.80, 0.45],
            trousers: [0.62, 0.64, 0.67],
            socks: [0.10, 0.25, 0.45],
            shoes: [0.10, 0.10, 0.11],
            gloves: [0.90, 0.60, 0.14],
        },
        Side::Away => Kit {
            helmet: [0.30, 0.17, 0.11],
            stripe: [0.86, 0.82, 0.72],
            shirt: [0.88, 0.85, 0.78],
            sleeve: [0.80, 0.76, 0.68],
            number: [0.32, 0.16, 0.10],
            trousers: [0.42, 0.25, 0.16],
            socks: [0.85, 0.82, 0.75],
            shoes: [0.80, 0.80, 0.80],
            gloves: [0.25, 0.20, 0.18],
        },
        Side::Official => Kit {
            helmet: [0.08, 0.08, 0.09],
            stripe: [0.08, 0.08, 0.09],
            shirt: [0.36, 0.38, 0.41],
            sleeve: [0.86, 0.80, 0.16],
            number: [0.86, 0.80, 0.16],
            trousers: [0.07, 0.07, 0.08],
            socks: [0.07, 0.07, 0.08],
            shoes: [0.06, 0.06, 0.06],
            gloves: [0.70, 0.52, 0.42],
        },
    }
}

const SKIN: [Colour; 4] = [[0.78, 0.58, 0.46], [0.55, 0.37, 0.27], [0.36, 0.23, 0.16], [0.68, 0.48, 0.36]];

/// Adds the pieces and the shirt of a body.
pub(crate) fn dress(
    who: usize,
    player: &Player,
    pose: &Pose,
    pieces: &mut Vec<Piece>,
    shirts: &mut Vec<Shirt>,
) {
    let kit = kit(player.side);
    let pick = (grain(who as i64, i64::from(player.number), 77) * SKIN.len() as f32) as usize;
    let skin = SKIN.get(pick).copied().unwrap_or([0.6, 0.45, 0.35]);
    let number = shirts.len();
    let trunk = &pose.trunk;
    shirts.push(Shirt {
        middle: trunk.point(0.0, 0.0, 0.34),
        axes: [trunk.right(), trunk.front(), trunk.up()],
        text: if player.side == Side::Official { String::new() } else { player.number.to_string() },
        colour: kit.number,
    });
    let mut add = |a: Point, ra: f64, b: Point, rb: f64, colour: Colour| {
        pieces.push(Piece { a: (a, ra), b: (b, rb), colour, gloss: 0.0, shirt: None });
        pieces.len() - 1
    };
    // Officials wear no pads.
    let pads = if player.side == Side::Official { 0.80 } else { 1.0 };
    let mut shirted = Vec::with_capacity(4);
    for side in [0, 1] {
        let out = sign(side);
        let (low, high) = (trunk.point(out * 0.085, 0.0, 0.10), trunk.point(out * 0.12 * pads, 0.0, 0.44));
        shirted.push(add(low, 0.135, high, 0.165 * pads, kit.shirt));
        add(
            pose.hips[side] + trunk.up() * 0.04,
            0.145,
            pose.hips[side] - trunk.up() * 0.02,
            0.135,
            kit.trousers,
        );
        add(pose.hips[side], 0.125, pose.knees[side], 0.085, kit.trousers);
        add(pose.knees[side], 0.080, pose.ankles[side], 0.052, kit.socks);
        let calf = pose.knees[side] + (pose.ankles[side] - pose.knees[side]) * 0.32;
        add(calf, 0.078, calf + (pose.ankles[side] - calf) * 0.4, 0.066, kit.socks);
        let (heel, toe) = (pose.heels[side] + UP * 0.045, pose.toes[side] + UP * 0.035);
        add(heel, 0.050, toe, 0.040, kit.shoes);
        let (shoulder, elbow, hand) = (pose.shoulders[side], pose.elbows[side], pose.hands[side]);
        let mid = shoulder + (elbow - shoulder) * 0.55;
        add(shoulder, 0.115 * pads, mid, 0.085, kit.sleeve);
        add(mid, 0.070, elbow, 0.062, skin);
        add(elbow, 0.062, hand, 0.045, skin);
        add(hand, 0.056, hand + direction(hand - elbow, UP) * 0.05, 0.048, kit.gloves);
    }
    let (left, right) =
        (trunk.point(-0.21 * pads, 0.0, TRUNK - 0.055), trunk.point(0.21 * pads, 0.0, TRUNK - 0.055));
    shirted.push(add(left, 0.125 * pads, right, 0.125 * pads, kit.shirt));
    add(pose.neck - trunk.up() * 0.02, 0.075, pose.head, 0.075, skin);
    for piece in shirted {
        if let Some(piece) = pieces.get_mut(piece) {
            piece.shirt = Some(number);
        }
    }
    head(player.side, &kit, skin, pose, pieces);
}

/// A helmet with a stripe and a face cage, or an official's cap.
fn head(side: Side, kit: &Kit, skin: Colour, pose: &Pose, pieces: &mut Vec<Piece>) {
    let (at, ahead) = (pose.head, pose.looks);
    let over = direction(UP - ahead * UP.dot(&ahead), pose.trunk.up());
    let across = ahead.cross(&over);
    let mut add = |a: Point, ra: f64, b: Point, rb: f64, colour: Colour, gloss: f32| {
        pieces.push(Piece { a: (a, ra), b: (b, rb), colour, gloss, shirt: None });
    };
    if side == Side::Official {
        add(at - over * 0.02, 0.115, at + over * 0.02, 0.115, skin, 0.0);
        add(at + over * 0.07, 0.112, at + over * 0.075 - ahead * 0.02, 0.11, kit.helmet, 0.0);
        add(at + over * 0.055 + ahead * 0.08, 0.05, at + over * 0.04 + ahead * 0.16, 0.045, kit.helmet, 0.0);
        return;
    }
    add(at - ahead * 0.035, 0.150, at + ahead * 0.01 + over * 0.01, 0.152, kit.helmet, 0.55);
    // The helmet shades the face.
    let face = skin.map(|part| part * 0.55);
    add(at + ahead * 0.055 - over * 0.045, 0.115, at + ahead * 0.06 - over * 0.06, 0.11, face, 0.0);
    let (front, back) = (at + ahead * 0.09 + over * 0.112, at - ahead * 0.13 + over * 0.085);
    add(front, 0.040, at + over * 0.128, 0.045, kit.stripe, 0.3);
    add(at + over * 0.128, 0.045, back, 0.040, kit.stripe, 0.3);
    add(back, 0.040, at - ahead * 0.165 - over * 0.03, 0.035, kit.stripe, 0.3);
    for down in [0.035, 0.095] {
        let middle = at + ahead * 0.155 - over * down;
        for out in [-1.0, 1.0] {
            let side = at + ahead * 0.09 + across * (out * 0.105) - over * down;
            add(middle, 0.018, side, 0.018, [0.55, 0.56, 0.58], 0.2);
        }
    }
}

/// Adds the ball: pointed at both ends, a light stripe around each.
pub fn ball(at: &At, pieces: &mut Vec<Piece>) {
    let leather = [0.47, 0.23, 0.10];
    for end in [-1.0, 1.0] {
        let tip = at.place + at.axis * (end * (HALF_LENGTH - 0.03));
        let waist = at.place + at.axis * (end * 0.035);
        pieces.push(Piece { a: (waist, RADIUS), b: (tip, 0.03), colour: leather, gloss: 0.25, shirt: None });
        let stripe = at.place + at.axis * (end * 0.085);
        pieces.push(Piece {
            a: (stripe, RADIUS * 0.80),
            b: (stripe + at.axis * (end * 0.016), RADIUS * 0.74),
            colour: [0.90, 0.88, 0.84],
            gloss: 0.1,
            shirt: None,
        });
    }
}

/// The lamps that cast the clearest shadows: four groups under the roof, as shares of the field's length and width from
/// its middle, and their height in yards.
const LAMPS: [(f64, f64); 4] = [(-0.35, -0.9), (0.35, -0.9), (-0.35, 0.9), (0.35, 0.9)];
const LAMP_HEIGHT: f64 = 19.0;

/// Adds the shadows of a body: under its feet, under itself, and a faint long one for every group of lamps.
pub fn shade(pose: &Pose, field: (f64, f64), shades: &mut Vec<Shade>) {
    let low = |point: Point| (point.x, point.y);
    for side in [0, 1] {
        let (heel, toe) = (pose.heels[side], pose.toes[side]);
        let dark = 0.62 * (1.0 - (heel.z.min(toe.z) / 0.30)).clamp(0.0, 1.0);
        if dark > 0.0 {
            shades.push(Shade { a: low(heel), b: low(toe), radius: 0.20, dark });
        }
    }
    let (pelvis, head) = (pose.trunk.pelvis, pose.head);
    let near = (1.2 / (pelvis.z + 0.35)).min(1.6);
    shades.push(Shade { a: low(pelvis), b: low(pose.neck), radius: 0.62, dark: 0.30 * near.min(1.25) });
    for (along, across) in LAMPS {
        let lamp = Point::new(field.0 * (0.5 + along), field.1 * (0.5 + across), LAMP_HEIGHT);
        let cast = |point: Point| {
            let from = point - lamp;
            let reach = LAMP_HEIGHT / (LAMP_HEIGHT - point.z).max(1.0);
            (lamp.x + from.x * reach, lamp.y + from.y * reach)
        };
        let feet = (pose.ankles[0] + pose.ankles[1]) / 2.0;
        shades.push(Shade { a: cast(feet), b: cast(head), radius: 0.36, dark: 0.125 });
    }
}

pub(crate) fn ball_shade(at: &At, shades: &mut Vec<Shade>) {
    let low = (at.place.x, at.place.y);
    let dark = 0.45 * (1.0 - at.place.z / 2.5).clamp(0.0, 1.0);
    if dark > 0.0 {
        shades.push(Shade { a: low, b: low, radius: 0.16 + at.place.z * 0.1, dark });
    }
}
