//! Which camera decided, and what a poor one cost.

use super::line::{Line, Of};
use super::see::See;
use super::tracks::{Drawn, Track, Tracks};
use pages::text;

/// The list of cameras.
pub(super) fn lines(see: &See<'_>) -> Vec<Line> {
    let cameras = see.found.angles.iter().map(|(camera, angle)| Line {
        head: camera.clone(),
        under: format!("proven {} where it was marked", text::counted(&angle.established)),
        look: false,
        of: Of::Itself,
    });
    cameras.collect()
}

/// The figures of all cameras.
pub(super) fn tracks(see: &See<'_>, at: usize) -> Option<Tracks> {
    let angles = &see.found.angles;
    if angles.is_empty() {
        return None;
    }
    let at = at.min(angles.len() - 1);
    let tracks = angles.iter().enumerate().map(|(number, (camera, angle))| Track {
        words: camera.clone(),
        figure: text::share(&angle.established),
        drawn: Drawn { value: angle.established.rate, ci95: angle.established.wilson95, look: false },
        pointed: number == at,
    });
    let says = angles.iter().nth(at).map_or(Vec::new(), |(camera, angle)| {
        let marked = format!(
            "{camera}: {} rulings rest on a frame of it; {} of them were proven.",
            angle.marked, angle.established.count
        );
        let alone = match angle.alone {
            0 => "It was never the only angle.".to_owned(),
            alone => format!(
                "{alone} rest on it alone; {} of them proved nothing for lack of a second angle.",
                angle.alone_unproven
            ),
        };
        vec![marked, alone]
    });
    Some(Tracks {
        title: "Which camera decided",
        from: "share of the rulings with a marked frame of the camera in which the picture established a finding, with Wilson's 95 % interval".to_owned(),
        tracks: tracks.collect(),
        says,
        note: "An angle is chosen where it is needed most: a hard question makes a good camera look poor.",
    })
}
