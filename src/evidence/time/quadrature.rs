//! Gauss–Legendre quadrature over panels, and Gauss–Hermite nodes of a normal error.

/// Nodes of a panel.
pub(crate) const NODES: usize = 10;

/// Nodes and weights on [-1, 1] of the Gauss–Legendre rule with [`NODES`] points, the positive half (Abramowitz and
/// Stegun, table 25.4; `numpy.polynomial.legendre.leggauss(10)`).
const LEGENDRE: [(f64, f64); NODES / 2] = [
    (0.148_874_338_981_631_22, 0.295_524_224_714_752_8),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_5),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_4),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_14),
];

/// Nodes and weights of the five-point rule for the mean of a function of a standard normal variable
/// (`numpy.polynomial.hermite_e.hermegauss(5)`, weights divided by √(2π)).
pub(crate) const NORMAL: [(f64, f64); 5] = [
    (-2.856_970_013_872_805_6, 0.011_257_411_327_720_677),
    (-1.355_626_179_974_266, 0.222_075_922_005_612_57),
    (0.0, 0.533_333_333_333_333_5),
    (1.355_626_179_974_266, 0.222_075_922_005_612_57),
    (2.856_970_013_872_805_6, 0.011_257_411_327_720_677),
];

/// The nodes on [-1, 1] with their weights, in ascending order.
fn on_unit() -> impl Iterator<Item = (f64, f64)> {
    let lower = LEGENDRE.into_iter().rev().map(|(node, weight)| (-node, weight));
    lower.chain(LEGENDRE)
}

/// The integral of a function over one panel.
pub(crate) fn integral(low: f64, high: f64, mut of: impl FnMut(f64) -> f64) -> f64 {
    let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
    on_unit().map(|(node, weight)| weight * of(middle + half * node)).sum::<f64>() * half
}

/// Where a function bends, and over what length: 0 for a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bend {
    pub at: f64,
    /// Sigma of the normal that smooths it.
    pub over: f64,
}

/// The ends of panels from `low` to `high` such that a function with these bends is smooth on each. No panel where
/// `low` is not the lower one.
pub(crate) fn panels(low: f64, high: f64, bends: &[Bend], ends: &mut Vec<f64>) {
    ends.clear();
    if low >= high || low.is_nan() || high.is_nan() {
        return;
    }
    // A bend over sigma is over at five of them; ten nodes follow it in panels of two and a half.
    let spread = bends.iter().flat_map(|bend| {
        let steps: &[f64] = if bend.over > 0.0 { &[-5.0, -2.5, 0.0, 2.5, 5.0] } else { &[0.0] };
        steps.iter().map(|step| (bend.at + step * bend.over, bend.over))
    });
    let mut all: Vec<(f64, f64)> = spread.filter(|(at, _)| low < *at && *at < high).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    ends.push(low);
    let nothing = (high - low) * 1e-12;
    for (at, over) in all {
        let last = ends.last().copied().unwrap_or(low);
        if at - last > nothing.max(2.0 * over) {
            ends.push(at);
        }
    }
    ends.push(high);
}

/// A density known at the nodes of one panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Panel {
    low: f64,
    high: f64,
    /// The Legendre coefficients of the polynomial through the nodes, on [-1, 1].
    coefficients: [f64; NODES],
}

impl Panel {
    /// Takes a function at the nodes of one panel.
    pub fn of(low: f64, high: f64, mut function: impl FnMut(f64) -> f64) -> Panel {
        let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
        let mut coefficients = [0.0; NODES];
        for (node, weight) in on_unit() {
            let value = function(middle + half * node);
            let (mut before, mut now) = (0.0, 1.0);
            for (degree, coefficient) in coefficients.iter_mut().enumerate() {
                let n = degree as f64;
                *coefficient += (2.0 * n + 1.0) / 2.0 * weight * value * now;
                (before, now) = (now, ((2.0 * n + 1.0) * node * now - n * before) / (n + 1.0));
            }
        }
        Panel { low, high, coefficients }
    }

    /// The lower end.
    pub fn low(&self) -> f64 {
        self.low
    }

    /// The upper end.
    pub fn high(&self) -> f64 {
        self.high
    }

    /// The integral over the panel.
    pub(crate) fn mass(&self) -> f64 {
        self.coefficients[0] * (self.high - self.low)
    }

    /// The integral from the lower end to `x`.
    pub(crate) fn mass_to(&self, x: f64) -> f64 {
        let half = (self.high - self.low) / 2.0;
        let at = ((x - self.low) / half - 1.0).clamp(-1.0, 1.0);
        // ∫ P_n from -1 to t is (P_{n+1}(t) - P_{n-1}(t)) / (2n + 1); of P_0 it is t + 1.
        let (mut before, mut now) = (1.0, at);
        let mut sum = self.coefficients[0] * (at + 1.0);
        for (degree, coefficient) in self.coefficients.iter().enumerate().skip(1) {
            let n = degree as f64;
            let next = ((2.0 * n + 1.0) * at * now - n * before) / (n + 1.0);
            sum += coefficient * (next - before) / (2.0 * n + 1.0);
            (before, now) = (now, next);
        }
        sum * half
    }

    /// The integrals of (x - from) and (x - from)² times the density over the panel.
    pub fn moments(&self, from: f64) -> (f64, f64) {
        let (middle, half) = ((self.low + self.high) / 2.0 - from, (self.high - self.low) / 2.0);
        let [zeroth, first, second, ..] = self.coefficients;
        // On [-1, 1]: ∫ P_n² = 2/(2n + 1), x = P_1, x² = (2 P_2 + P_0)/3.
        let mass = 2.0 * zeroth;
        let mean = 2.0 / 3.0 * first;
        let square = (4.0 / 5.0 * second + 2.0 * zeroth) / 3.0;
        let one = half * (middle * mass + half * mean);
        let two = half * (middle * middle * mass + 2.0 * middle * half * mean + half * half * square);
        (one, two)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomials_are_integrated_exactly() {
        // ∫₁³ x⁹ = (3¹⁰ - 1)/10.
        assert!((integral(1.0, 3.0, |x| x.powi(9)) - 5904.8).abs() < 1e-9);
        let panel = Panel::of(1.0, 3.0, |x| x.powi(9));
        assert!((panel.mass() - 5904.8).abs() < 1e-9);
        assert!((panel.mass_to(2.0) - 102.3).abs() < 1e-9);
        // ∫₁³ (x - 1) x = 14/3, ∫₁³ (x - 1)² x = 20/3.
        let (one, two) = Panel::of(1.0, 3.0, |x| x).moments(1.0);
        assert!((one - 14.0 / 3.0).abs() < 1e-12 && (two - 20.0 / 3.0).abs() < 1e-12, "{one} {two}");
    }

    #[test]
    fn the_nodes_of_a_normal_error_have_its_moments() {
        for (power, moment) in [(0, 1.0), (1, 0.0), (2, 1.0), (4, 3.0), (6, 15.0), (8, 105.0)] {
            let sum: f64 = NORMAL.iter().map(|(node, weight)| weight * node.powi(power)).sum();
            assert!((sum - moment).abs() < 1e-9 * moment.max(1.0), "{power}: {sum}");
        }
    }

    #[test]
    fn a_corner_always_ends_a_panel_and_a_bend_is_followed() {
        let mut ends = Vec::new();
        panels(0.0, 10.0, &[Bend { at: 4.0, over: 0.0 }, Bend { at: 12.0, over: 0.0 }], &mut ends);
        assert_eq!(ends, [0.0, 4.0, 10.0]);
        panels(0.0, 10.0, &[Bend { at: 4.0, over: 0.2 }], &mut ends);
        assert_eq!(ends, [0.0, 3.0, 3.5, 4.0, 4.5, 5.0, 10.0]);
        panels(1.0, 1.0, &[], &mut ends);
        assert!(ends.is_empty());
    }
}
