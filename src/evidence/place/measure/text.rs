//! A distance in words: "2.1 in short of the alignment line, ± 2.8 in (95 %), past it with 7 %".

use super::{Distance, Z95};
use crate::text::percent;

impl Distance {
    /// The distance in words; `line` is the line's name.
    pub fn text(&self, line: &str) -> String {
        let probability = percent(self.past_probability);
        if self.is_too_flat() {
            return format!(
                "the view is too flat to say how far it is from the {line}; past it with {probability}"
            );
        }
        let side = if self.yd < 0.0 { "short of" } else { "past" };
        let spread = if self.first_order {
            format!("± {}", length(Z95 * self.sigma_yd))
        } else {
            let [low, high] = self.interval_yd.map(signed);
            format!("between {low} and {high}")
        };
        format!("{} {side} the {line}, {spread} (95 %), past it with {probability}", length(self.yd.abs()))
    }
}

/// Inches below a yard, else yards.
fn length(yd: f64) -> String {
    if yd < 1.0 { format!("{:.1} in", 36.0 * yd) } else { format!("{yd:.2} yd") }
}

fn signed(yd: f64) -> String {
    format!("{} {}", length(yd.abs()), if yd < 0.0 { "short" } else { "past" })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_distance_reads_as_an_official_would_say_it() {
        let of_first_order = |yd: f64, half_in: f64, past_probability| Distance {
            yd,
            sigma_yd: half_in / 36.0 / Z95,
            interval_yd: [yd - half_in / 36.0, yd + half_in / 36.0],
            past_probability,
            first_order: true,
        };
        let short = of_first_order(-2.1 / 36.0, 2.8, 0.07);
        assert_eq!(short.text("line"), "2.1 in short of the line, ± 2.8 in (95 %), past it with 7 %");
        let past = of_first_order(1.25, 2.8, 1.0);
        assert_eq!(past.text("goal line"), "1.25 yd past the goal line, ± 2.8 in (95 %), past it with 100 %");
        let lopsided = Distance { first_order: false, interval_yd: [-0.5, 1.5], ..past };
        assert_eq!(
            lopsided.text("goal line"),
            "1.25 yd past the goal line, between 18.0 in short and 1.50 yd past (95 %), past it with 100 %"
        );
        let flat = Distance { sigma_yd: f64::INFINITY, past_probability: 0.6, ..lopsided };
        assert_eq!(
            flat.text("goal line"),
            "the view is too flat to say how far it is from the goal line; past it with 60 %"
        );
    }
}
