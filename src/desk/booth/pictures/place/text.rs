//! Remarks on places under the pictures: what to click, what was measured, which camera would help most.

use super::keys::{Act, KEYS};
use super::{CLICK_PX, Mode, PaneView, Place, Views};
use crate::keys::shown;
use evidence::place::clicked::BEND_FROM;
use evidence::place::homography::Calibration;
use evidence::place::point::Ground;
use evidence::place::triangulate::Plane;
use evidence::place::view::{HallView, View, rank, rank_pairs};
use evidence::text::percent;
use review::announcement::capital;

/// A line of text under the pictures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Remark {
    pub words: String,
    pub weight: Weight,
}

/// The kind of a remark, the most important first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Weight {
    /// A reason not to rely on it.
    Doubt,
    /// What to do.
    Head,
    /// A result.
    Plain,
    /// Keys and hints.
    Aside,
}

/// A remark with a capital at its beginning.
pub(crate) fn remark(weight: Weight, words: impl Into<String>) -> Remark {
    Remark { words: capital(&words.into()), weight }
}

/// Height of a point in the air, in yards, for ranking cameras before it was clicked.
const USUAL_HEIGHT_YD: f64 = 1.0;

impl Place {
    /// The lines under the pictures.
    pub(crate) fn remarks(&self, views: &Views) -> Vec<Remark> {
        let mut lines = match self.mode {
            Some(Mode::Calibrating) => self.calibrating(views),
            Some(Mode::Measuring) => self.measuring(views),
            None => Vec::new(),
        };
        lines.extend(self.told.iter().map(|told| remark(Weight::Doubt, told.as_str())));
        if self.mode != Some(Mode::Calibrating) {
            lines.extend(self.ranking(views).map(|words| remark(Weight::Aside, words)));
        }
        lines
    }

    fn calibrating(&self, views: &Views) -> Vec<Remark> {
        let Some(pane) = views.lead() else { return Vec::new() };
        let Some(marks) = self.clicks.get(&pane.camera) else { return Vec::new() };
        let next = marks.known.get(marks.next).map_or("no landmark", |known| known.name.as_str());
        let mut lines = vec![remark(
            Weight::Head,
            format!(
                "calibrate {}: click {next} ({} another, {} at the cross)",
                pane.label,
                shown(KEYS, Act::Next),
                shown(KEYS, Act::Set)
            ),
        )];
        let landmarks = marks.landmarks(pane.size);
        let today = landmarks.on_ground();
        if let Some(held) = self.held.get(&pane.camera).filter(|held| held.unchecked) {
            lines.push(match held.fit.recheck(&today, CLICK_PX) {
                Ok(compared) if today.len() < 2 => remark(
                    Weight::Plain,
                    format!(
                        "a kept calibration: off by {:.1} px here; one landmark more",
                        compared.shift().norm()
                    ),
                ),
                Ok(compared) if compared.holds() => remark(
                    Weight::Plain,
                    format!(
                        "the kept calibration holds until the camera moves; {} keeps it",
                        shown(KEYS, Act::Keep)
                    ),
                ),
                Ok(compared) => remark(
                    Weight::Doubt,
                    format!(
                        "the camera has moved since: about {:.0} px. Keep clicking to calibrate it again",
                        compared.shift().norm()
                    ),
                ),
                Err(_) => {
                    remark(Weight::Plain, "a calibration is kept: two landmarks compare it with this picture")
                }
            });
        }
        match (today.len(), landmarks.ground()) {
            (0..=3, _) => lines.push(remark(
                Weight::Plain,
                format!(
                    "{} of at least 4 landmarks; from {BEND_FROM} on the bend of the lens is found too",
                    today.len()
                ),
            )),
            (_, Err(no)) => lines.push(remark(Weight::Doubt, no.to_string())),
            (_, Ok(fit)) => lines.extend(fitted(&fit, &marks.ground_names())),
        }
        lines.push(remark(
            Weight::Aside,
            format!(
                "arrows move the click by a tenth of a pixel, Shift by one; {} takes it away, {} keeps the calibration, {} \
                 leaves",
                shown(KEYS, Act::Remove),
                shown(KEYS, Act::Keep),
                shown(KEYS, Act::Leave)
            ),
        ));
        lines
    }

    fn measuring(&self, views: &Views) -> Vec<Remark> {
        let (Some(pane), Some(subject)) = (views.lead(), &self.subject) else { return Vec::new() };
        let point = subject.asks.as_ref().map_or("point", |asks| asks.point.as_str());
        let line = self.line.as_deref().unwrap_or("line that you choose");
        let ground = if self.in_air { "in the air" } else { "on the ground" };
        let mut lines = vec![remark(
            Weight::Head,
            format!(
                "measure the {point} against the {line} ({} another), {ground} ({}), on {}",
                shown(KEYS, Act::Next),
                shown(KEYS, Act::Air),
                pane.label
            ),
        )];
        lines.extend(self.uncalibrated(pane).map(|words| remark(Weight::Doubt, words)));
        let here = pane.frame.map(|frame| vec![(pane.camera, frame)]);
        let asks = subject.asks.as_ref().zip(here).filter(|_| !self.in_air);
        lines.extend(
            asks.and_then(|(asks, here)| asks.beside(views, &here)).map(|words| remark(Weight::Doubt, words)),
        );
        match &self.read {
            _ if self.line.is_none() => {
                lines.push(remark(Weight::Plain, format!("choose a line with {}", shown(KEYS, Act::Next))));
            }
            None => lines.push(remark(Weight::Plain, format!("click the {point}"))),
            Some(Err(unplaced)) => lines.push(remark(Weight::Doubt, unplaced.to_string())),
            Some(Ok((_, reading))) => {
                let verdict = reading.verdict(subject.standard);
                let standard = percent(subject.standard);
                lines.push(remark(
                    Weight::Plain,
                    format!("{}: {} (the standard is {standard})", reading.text(line), verdict.word()),
                ));
                let withheld = reading.withheld(subject.standard);
                lines.extend(withheld.map(|withheld| remark(Weight::Doubt, withheld.to_string())));
                lines.extend(reading.cautions.iter().map(|caution| remark(Weight::Doubt, caution.as_str())));
                lines.extend(self.apart(views).map(|words| remark(Weight::Aside, words)));
            }
        }
        lines.push(remark(
            Weight::Aside,
            format!(
                "{} keeps it for the step, {} leaves; , and . step",
                shown(KEYS, Act::Keep),
                shown(KEYS, Act::Leave)
            ),
        ));
        lines
    }

    /// Why this camera measures nothing; `None` if it does.
    fn uncalibrated(&self, pane: &PaneView) -> Option<String> {
        match self.held.get(&pane.camera) {
            None => {
                Some(format!("{} is not calibrated: leave, then press I to click its landmarks", pane.label))
            }
            Some(held) if held.unchecked => Some(format!(
                "{} has a kept calibration: press I to compare it with this picture first",
                pane.label
            )),
            Some(_) => None,
        }
    }

    /// The time between the clicked frames, as text.
    fn apart(&self, views: &Views) -> Option<String> {
        let used: Vec<i64> = views
            .panes
            .iter()
            .filter(|pane| self.points.get(&pane.camera).is_some_and(|spot| pane.frame == Some(spot.frame)))
            .map(|pane| pane.at_ns)
            .collect();
        let (first, last) = (used.iter().min()?, used.iter().max()?);
        let ms = (last - first) as f64 / 1e6;
        (self.in_air && used.len() > 1).then(|| {
            format!("the frames are {ms:.0} ms apart, by the cameras' clocks: a fast point moves in between")
        })
    }

    /// Cameras by the interval that each would leave, the smallest first.
    fn ranking(&self, views: &Views) -> Option<String> {
        self.subject.as_ref()?.asks.as_ref()?;
        let edge = self.edges().first()?;
        let line = edge.line().ok()?;
        let [from, to] = edge.through;
        let middle = Ground::new(0.5 * (from.x + to.x), 0.5 * (from.y + to.y));
        let reading = self.read.as_ref().and_then(|read| read.as_ref().ok());
        let about = reading.map_or(middle.raised(USUAL_HEIGHT_YD), |(_, reading)| reading.place);
        let known: Vec<(&PaneView, &super::Held)> =
            views.panes.iter().filter_map(|pane| Some((pane, self.held.get(&pane.camera)?))).collect();
        if known.is_empty() {
            return Some("no camera is calibrated yet: press I to calibrate the large one".to_owned());
        }
        let mut words: Vec<String> = Vec::new();
        if self.in_air {
            let posed: Vec<(&PaneView, HallView<'_>)> = known
                .iter()
                .filter_map(|(pane, held)| {
                    Some((*pane, HallView { camera: held.pose.as_ref()?, size: pane.size }))
                })
                .collect();
            let views: Vec<HallView<'_>> = posed.iter().map(|(_, view)| *view).collect();
            for left in rank_pairs(&views, about, &Plane::over(&line), CLICK_PX).iter().take(3) {
                let label = |number: usize| posed.get(number).map_or("", |(pane, _)| pane.label.as_str());
                let (first, second) = left.camera;
                words.push(format!("{} with {}", label(first), label(second)) + &half(left.half_width_yd()));
            }
            if words.is_empty() {
                return Some("two calibrated cameras that see the place measure it in the air".to_owned());
            }
        } else {
            let views: Vec<View<'_>> =
                known.iter().map(|(pane, held)| View { calibration: &held.fit, size: pane.size }).collect();
            for left in rank(&views, about.ground(), &line, CLICK_PX).iter().take(4) {
                let label = known.get(left.camera).map_or("", |(pane, _)| pane.label.as_str());
                words.push(label.to_owned() + &half(left.half_width_yd()));
            }
            if words.is_empty() {
                return Some("no calibrated camera sees the line there".to_owned());
            }
        }
        Some(format!("uncertainty by camera, best first: {}", words.join(", ")))
    }
}

/// An example: " ± 2.0 in".
fn half(yd: f64) -> String {
    if yd < 1.0 { format!(" ± {:.1} in", 36.0 * yd) } else { format!(" ± {yd:.1} yd") }
}

/// How well the landmarks fit. Bad ones are named.
fn fitted(fit: &Calibration, names: &[&str]) -> Vec<Remark> {
    let (rms, worst) = fit.residual_px();
    let used = fit.residuals.iter().enumerate().filter(|(_, residual)| residual.used);
    let worst_at = used.max_by(|one, other| one.1.off.norm().total_cmp(&other.1.off.norm()));
    let named = |number: usize| names.get(number).copied().unwrap_or("a landmark");
    let at = worst_at.map_or("", |(number, _)| named(number));
    let mut lines = vec![remark(
        Weight::Plain,
        format!("{} landmarks, off by {rms:.2} px (rms), {worst:.2} px at worst: {at}", fit.landmarks.len()),
    )];
    let wrong: Vec<&str> = fit.set_aside.iter().chain(&fit.suspects).map(|number| named(*number)).collect();
    match wrong.as_slice() {
        [] if fit.is_inconsistent() => lines.push(remark(
            Weight::Doubt,
            "they do not agree, and no single one is to blame: check which place each one is",
        )),
        [] => {}
        [one] => {
            let off = fit.set_aside.first().and_then(|number| fit.residuals.get(*number));
            let off = off.map_or(String::new(), |off| format!(", {:.0} px off", off.off.norm()));
            lines.push(remark(Weight::Doubt, format!("{one} contradicts the others{off}: click it again")));
        }
        several => {
            lines.push(remark(
                Weight::Doubt,
                format!("one of these is wrong: {}. Click them again", several.join("; ")),
            ));
        }
    }
    if fit.always_fits() {
        lines.push(remark(Weight::Doubt, "four landmarks always fit: no verdict rests on them; click more"));
    }
    if fit.landmarks.len() < BEND_FROM {
        lines.push(remark(
            Weight::Doubt,
            format!(
                "the lens is taken as straight: {BEND_FROM} landmarks find its bend, and show a bad click"
            ),
        ));
    }
    lines
}
