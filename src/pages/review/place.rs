//! The points that were placed for a step, with their pictures.

use super::Source;
use crate::placed::shown;
use maud::{Markup, html};

/// The points that stand for a step of a question; nothing where there are none.
pub(super) fn of(source: &Source<'_>, question: usize, step: &str) -> Markup {
    let all = source.review.placed().enumerate();
    let placed = all.filter(|(_, placed)| placed.question == question && placed.step == step);
    html! { @for (number, placed) in placed { (shown(placed, &source.stills, &format!("point-{number}"))) } }
}
