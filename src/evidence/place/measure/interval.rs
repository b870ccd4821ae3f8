//! From an estimate and its first-order error to a distance with an interval that holds.

use super::{Distance, Z95};
use crate::normal;

/// How far an end of the interval may be off, in half widths, for first order to count as good enough: a
/// tenth at one end turns 95 % into 93.6 to 95.9 %.
const GOOD_ENOUGH: f64 = 0.1;

/// Nothing on a field is farther away, in yards: an interval that reaches beyond is open.
const FAR_YD: f64 = 1000.0;

/// The distance with its interval: of first order where that is good enough. `z` is by how many standard errors the
/// marks lie past an offset; it falls as the offset grows, and is `None` where nothing at that offset can be seen.
pub(crate) fn distance(yd: f64, sigma_yd: f64, z: impl Fn(f64) -> Option<f64>) -> Distance {
    let interval_yd = [yd - Z95 * sigma_yd, yd + Z95 * sigma_yd];
    let past_probability = match sigma_yd {
        sigma if sigma > 0.0 => normal::below(yd / sigma),
        _ if yd == 0.0 => 0.5,
        _ => f64::from(yd > 0.0),
    };
    let first = Distance { yd, sigma_yd, interval_yd, past_probability, first_order: true };
    let [low, high] = interval_yd;
    let good = |offset: f64, wanted: f64| z(offset).is_some_and(|z| (z - wanted).abs() <= GOOD_ENOUGH * Z95);
    if sigma_yd == 0.0 || (good(low, Z95) && good(high, -Z95)) {
        return first;
    }
    let interval_yd = [end(&z, yd, low), end(&z, yd, high)];
    Distance {
        sigma_yd: (interval_yd[1] - interval_yd[0]) / (2.0 * Z95),
        interval_yd,
        past_probability: z(0.0).map_or(past_probability, normal::below),
        first_order: false,
        ..first
    }
}

/// The end of the interval on the side of `first`, the end of first order: there |z| is 1.96.
fn end(z: &impl Fn(f64) -> Option<f64>, middle: f64, first: f64) -> f64 {
    let outward = first - middle;
    let open = f64::INFINITY.copysign(outward);
    let rejected = |reach: f64| z(middle + reach * outward).map(|z| z.abs() >= Z95);
    // INVARIANT: at `inner` the offset is not rejected; at `outer`, once the loop ends, it is.
    let (mut inner, mut outer) = (0.0, 1.0);
    loop {
        match rejected(outer) {
            Some(true) => break,
            Some(false) if (outer * outward).abs() < FAR_YD => (inner, outer) = (outer, 2.0 * outer),
            Some(false) => return open,
            // What lies there is behind the camera. Perhaps the end comes before it.
            None => {
                let (mut seen, mut hidden) = (inner, outer);
                for _ in 0..40 {
                    let half = 0.5 * (seen + hidden);
                    if rejected(half).is_some() { seen = half } else { hidden = half }
                }
                if rejected(seen) != Some(true) {
                    return open;
                }
                outer = seen;
                break;
            }
        }
    }
    for _ in 0..40 {
        let half = 0.5 * (inner + outer);
        if rejected(half) == Some(true) { outer = half } else { inner = half }
    }
    middle + outer * outward
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_scale_keeps_first_order() {
        let far = distance(-0.1, 0.05, |offset| Some((-0.1 - offset) / 0.05));
        assert!(far.first_order && (far.interval_yd[0] + 0.1 + Z95 * 0.05).abs() < 1e-12);
        // scipy.stats.norm.cdf(-2)
        assert!((far.past_probability - 0.022_750_131_948_179_2).abs() < 1e-14, "{}", far.past_probability);
    }

    /// A quotient (Fieller): the pixel 1 / d is measured as 1/10 ± 0.03, so d lies between 1 / 0.1588 and 1 / 0.0412.
    #[test]
    fn a_bent_scale_has_a_lopsided_interval_or_an_open_one() {
        let depth = |sigma: f64| move |offset: f64| (offset > 0.0).then(|| (1.0 / offset - 0.1) / sigma);
        let lopsided = distance(10.0, 3.0, depth(0.03));
        let [low, high] = lopsided.interval_yd;
        assert!(!lopsided.first_order);
        assert!(
            (low - 1.0 / (0.1 + Z95 * 0.03)).abs() < 1e-6 && (high - 1.0 / (0.1 - Z95 * 0.03)).abs() < 1e-6
        );
        let open = distance(10.0, 6.0, depth(0.06));
        assert!(open.is_too_flat() && open.interval_yd[1] == f64::INFINITY, "{open:?}");
        assert!((open.interval_yd[0] - 1.0 / (0.1 + Z95 * 0.06)).abs() < 1e-6);
    }

    #[test]
    fn without_any_noise_the_side_is_certain() {
        for (yd, probability) in [(0.1, 1.0), (0.0, 0.5), (-0.1, 0.0)] {
            assert_eq!(distance(yd, 0.0, |_| None).past_probability, probability);
        }
    }
}
