//! `tellframe measure FILE`: where points on the ground are, and on which side of a line.

use super::{Answer, Unable, input};
use evidence::place::homography::Calibration;
use evidence::place::measure::judged::{Checked, Judged};
use evidence::place::measure::{Located, locate};
use evidence::text::percent;
use formats::error::Error;
use formats::measure::{Asked, DistanceJson, Found, PlacedJson};
use std::path::PathBuf;

/// Arguments of `measure`.
#[derive(Debug, clap::Args)]
pub(super) struct Measure {
    /// Landmarks, points and lines, as RON or JSON
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Measure {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let input = input::file::<Asked>(&self.file)?;
        let measured = measured(input.value()).map_err(|error| input.fault(error))?;
        if self.json { super::print_json(&measured.found()) } else { super::print(&measured.text()) }
    }
}

/// A picture measured.
struct Measured<'a> {
    calibration: Calibration,
    standard: Option<f64>,
    points: Vec<Point<'a>>,
}

/// A point, and its distance to each line.
struct Point<'a> {
    name: &'a str,
    located: Located,
    distances: Vec<(&'a str, Judged)>,
}

fn measured(asked: &Asked) -> Result<Measured<'_>, Error> {
    let standard = asked.standard()?;
    let (lines, clicks) = (asked.lines()?, asked.clicks()?);
    let calibration = asked.calibrated()?;
    let checked = Checked::new(&calibration);
    let mut points = Vec::new();
    for (index, (name, click)) in clicks.into_iter().enumerate() {
        let located =
            locate(&calibration, click).map_err(|error| Error::from(error).item(index).within("points"))?;
        let distances = lines.iter().map(|(line_name, line)| (*line_name, checked.judge(&located, line)));
        points.push(Point { name, distances: distances.collect(), located });
    }
    Ok(Measured { calibration, standard, points })
}

impl Measured<'_> {
    fn found(&self) -> Found {
        let point = |Point { name, located, distances }: &Point<'_>| {
            let lines = distances.iter().map(|(name, far)| DistanceJson::new(name, far, self.standard));
            PlacedJson::new(name, located, lines.collect())
        };
        Found { points: self.points.iter().map(point).collect(), ..Found::from(&self.calibration) }
    }

    fn text(&self) -> String {
        let (rms, worst) = self.calibration.residual_px();
        let used = self.calibration.residuals.iter().filter(|residual| residual.used).count();
        let mut text = vec![format!("{used} landmarks, off by {rms:.2} px (rms), {worst:.2} px at worst")];
        text.extend(self.calibration.cautions().iter().map(|caution| format!("caution: {caution}")));
        for Point { name, located, distances } in &self.points {
            let outside =
                if located.inside_landmarks { "" } else { "; outside the landmarks, so extrapolated" };
            let place = located.place;
            text.push(format!("{name}: x {:.2} yd, y {:.2} yd{outside}", place.x, place.y));
            for (line, judged) in distances {
                let (verdict, withheld) = self.standard.map(|standard| judged.verdict(standard)).unzip();
                let verdict = verdict.zip(self.standard).map_or(String::new(), |(verdict, standard)| {
                    format!(": {} (the standard is {})", verdict.word(), percent(standard))
                });
                text.push(format!("  {}{verdict}", judged.distance.text(line)));
                text.extend(withheld.flatten().map(|withheld| format!("  {withheld}")));
            }
        }
        text.push("a measurement advises; the official decides".to_owned());
        text.join("\n")
    }
}
