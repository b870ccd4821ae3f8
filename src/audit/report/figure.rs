//! Figures in words and as a mark with its interval on a track.

use crate::wire::audit::{Rate, Times};
use maud::{Markup, html};

/// A share in per cent with its interval, n beside it.
pub(super) fn share(rate: &Rate) -> String {
    match (rate.rate, rate.wilson95) {
        (Some(share), Some([low, high])) => {
            format!("{:.0} % ({:.0}–{:.0})", 100.0 * share, 100.0 * low, 100.0 * high)
        }
        (_, None) | (None, _) => "–".to_owned(),
    }
}

/// "14 of 19".
pub(super) fn counted(rate: &Rate) -> String {
    format!("{} of {}", rate.count, rate.of)
}

/// A number with its interval.
pub(super) fn with_interval(value: Option<f64>, ci95: Option<[f64; 2]>, decimals: usize) -> String {
    match (value, ci95) {
        (Some(value), Some([low, high])) => {
            format!("{value:.decimals$} ({low:.decimals$} to {high:.decimals$})")
        }
        (Some(value), None) => format!("{value:.decimals$} (no interval)"),
        (None, _) => "not defined".to_owned(),
    }
}

/// Seconds, or that the curve does not come down so far.
pub(super) fn seconds(value: Option<f64>) -> String {
    value.map_or("not reached".to_owned(), |value| format!("{value:.0} s"))
}

/// A median with its interval.
pub(super) fn median(times: &Times) -> String {
    let [low, high] = times.median_ci95.map(|end| end.map_or("…".to_owned(), |end| format!("{end:.0}")));
    times.median_s.map_or("not reached".to_owned(), |median| format!("{median:.0} s ({low}–{high})"))
}

/// A p-value.
pub(super) fn probability(p: Option<f64>) -> String {
    match p {
        Some(p) if p < 0.0005 => "below 0.0005".to_owned(),
        Some(p) => format!("{p:.3}"),
        None => "–".to_owned(),
    }
}

/// A mark between 0 and 1 with its interval; what lies outside stops at the end.
pub(super) fn track(value: Option<f64>, ci95: Option<[f64; 2]>, look: bool) -> Markup {
    let percent = |value: f64| 100.0 * value.clamp(0.0, 1.0);
    html! {
        div.track.look[look] aria-hidden="true" {
            @if let Some([low, high]) = ci95 {
                i style={ "left:" (format!("{:.1}", percent(low))) "%;width:" (format!("{:.1}", percent(high) - percent(low))) "%" } {}
            }
            @if let Some(value) = value {
                b style={ "left:" (format!("{:.1}", percent(value))) "%" } {}
            }
        }
    }
}
