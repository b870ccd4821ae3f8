//! What a person should know of some landmarks before relying on them.

use super::Calibration;
use std::fmt;

/// A caution about landmarks, counted from 0 here and from 1 in print.
#[derive(Debug, Clone, PartialEq)]
pub enum Caution {
    SetAside {
        landmark: usize,
        /// From where the others put it, in pixels; infinite if they put it behind the camera.
        off_px: f64,
    },
    /// One of these is wrong, and the fit cannot tell which.
    Suspects { landmarks: Vec<usize>, set_aside: bool },
    /// The landmarks do not agree, and no single one explains it.
    Inconsistent {
        /// Of the residuals, in pixels.
        rms_px: f64,
        /// As stated for the clicks, in pixels.
        sigma_px: f64,
    },
    /// Four landmarks, or four that were not set aside: nothing is left over that could show a mistake.
    NothingLeftOver,
    /// The ground is seen as from below.
    Mirrored,
}

impl Calibration {
    /// What to know before relying on this fit.
    pub fn cautions(&self) -> Vec<Caution> {
        let mut cautions = Vec::new();
        match self.set_aside.as_slice() {
            [] => {}
            [landmark] => {
                let residual = self.residuals.get(*landmark);
                let off_px = residual.map_or(f64::INFINITY, |residual| residual.off.norm());
                cautions.push(Caution::SetAside { landmark: *landmark, off_px });
            }
            several => cautions.push(Caution::Suspects { landmarks: several.to_vec(), set_aside: true }),
        }
        if !self.suspects.is_empty() {
            cautions.push(Caution::Suspects { landmarks: self.suspects.clone(), set_aside: false });
        } else if self.is_inconsistent() {
            let sigma_px = self.landmark_sigma_px;
            cautions.push(Caution::Inconsistent { rms_px: self.residual_px().0, sigma_px });
        }
        if self.always_fits() {
            cautions.push(Caution::NothingLeftOver);
        }
        if self.homography.is_mirrored() {
            cautions.push(Caution::Mirrored);
        }
        cautions
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Caution::SetAside { landmark, off_px } if off_px.is_finite() => write!(
                out,
                "landmark {} is {off_px:.0} px from where the others put it, and was set aside: click it again",
                landmark + 1
            ),
            Caution::SetAside { landmark, .. } => {
                write!(
                    out,
                    "landmark {} contradicts the others, and was set aside: click it again",
                    landmark + 1
                )
            }
            Caution::Suspects { landmarks, set_aside } => {
                let numbers: Vec<String> = landmarks.iter().map(|index| (index + 1).to_string()).collect();
                let done = if *set_aside { "all were set aside" } else { "all were used" };
                write!(
                    out,
                    "landmarks {}: one of them is wrong, and which one cannot be told; {done}: click them again, or \
                     one more off their line",
                    numbers.join(", ")
                )
            }
            Caution::Inconsistent { rms_px, sigma_px } => write!(
                out,
                "the landmarks are off by {rms_px:.1} px (rms), more than a noise of {sigma_px} px explains, and no \
                 single one is to blame: check which place each one is, and the lens"
            ),
            Caution::NothingLeftOver => {
                out.write_str("four landmarks always fit: a fifth would show whether one of them is wrong")
            }
            Caution::Mirrored => out.write_str(
                "the picture shows the ground mirrored: check which place of the field each landmark is",
            ),
        }
    }
}
