//! A figure drawn as a mark with its interval on a track.

use maud::{Markup, html};

/// A mark between 0 and 1 with its interval; what lies outside is drawn at the end.
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
