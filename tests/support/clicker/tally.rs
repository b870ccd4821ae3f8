//! What many toes say of a camera and a line: how far off, how far off by their own statement, how often held.

use super::measured::Measured;
use std::collections::BTreeMap;

/// A play, a player, a foot, and since when it stands there: toes of one stand share what the finder does not know.
pub type Stand = (usize, usize, usize, u64);

/// Toes against one line from one camera.
#[derive(Default)]
pub struct Tally {
    toes: Vec<(Stand, Measured)>,
}

/// How often the intervals held.
#[derive(Debug, Clone, Copy)]
pub struct Held {
    pub share: f64,
    /// The 95 % interval of the share: Wilson (1927), with as many toes as would be as good if they were independent.
    pub interval: [f64; 2],
}

impl Tally {
    pub fn add(&mut self, stand: Stand, measured: Measured) {
        self.toes.push((stand, measured));
    }

    pub fn count(&self) -> usize {
        self.toes.len()
    }

    pub fn stands(&self) -> usize {
        self.by_stand().len()
    }

    fn by_stand(&self) -> BTreeMap<Stand, (f64, f64)> {
        let mut stands = BTreeMap::new();
        for (stand, measured) in &self.toes {
            let (count, held) = stands.entry(*stand).or_insert((0.0, 0.0));
            *count += 1.0;
            *held += f64::from(measured.held);
        }
        stands
    }

    /// The error that `percent` of a hundred toes keep below, in inches.
    pub fn off_in(&self, percent: usize) -> f64 {
        let mut off: Vec<f64> = self.toes.iter().map(|(_, one)| one.off_in).collect();
        off.sort_by(f64::total_cmp);
        off.get(off.len() * percent / 100).copied().unwrap_or(f64::NAN)
    }

    /// The error that 95 % should keep below by the stated standard errors: each toe draws from its own normal.
    pub fn stated_p95_in(&self) -> f64 {
        let below = |bound: f64| {
            let each =
                self.toes.iter().map(|(_, one)| 1.0 - libm::erfc(bound / one.sigma_in / f64::sqrt(2.0)));
            each.sum::<f64>() / self.toes.len() as f64
        };
        let (mut low, mut high) = (0.0, 1e4);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if below(middle) < 0.95 { low = middle } else { high = middle }
        }
        high
    }

    /// How often the stated intervals held.
    pub fn held(&self) -> Held {
        let stands = self.by_stand();
        let count = self.toes.len() as f64;
        let share = stands.values().map(|(_, held)| held).sum::<f64>() / count;
        // The variance of a ratio over clusters (Cochran, *Sampling Techniques*, 3rd ed., 1977, chapter 6) over that of
        // independent toes; less than 1 is luck.
        let clusters = stands.len() as f64;
        let squares: f64 = stands.values().map(|(count, held)| (held - share * count).powi(2)).sum();
        let shared =
            squares * clusters / (clusters - 1.0).max(1.0) / (count * share * (1.0 - share)).max(1e-9);
        Held { share, interval: wilson(share, count / shared.max(1.0)) }
    }
}

/// E. B. Wilson's interval of a share of `count` (J. Am. Stat. Assoc. 22, 1927).
fn wilson(share: f64, count: f64) -> [f64; 2] {
    const Z: f64 = 1.959_963_984_540_054;
    let spread = Z * Z / count;
    let middle = (share + spread / 2.0) / (1.0 + spread);
    let half = Z * (share * (1.0 - share) / count + spread / (4.0 * count)).sqrt() / (1.0 + spread);
    [middle - half, middle + half]
}
