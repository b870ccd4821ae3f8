//! The stills of a step's marks, beside each other, with what each is and the hash that it is proven by.

use super::Source;
use crate::still::{caption, jpeg};
use log::store::stills::Still;
use maud::{Markup, html};
use review::event::Marked;

/// The stills of these marks, without those of the marks that stood before; empty where none was kept.
pub(super) fn of(marks: &[&Marked], before: &[&Marked], source: &Source<'_>) -> Markup {
    let among = |marks: &[&Marked], still: &Still| marks.iter().any(|marked| **marked == still.marked);
    let kept = source.stills.iter().filter(|still| among(marks, still) && !among(before, still));
    let kept: Vec<&Still> = kept.collect();
    html! {
        @if !kept.is_empty() {
            div.stills { @for still in kept { (one(still)) } }
        }
    }
}

fn one(still: &Still) -> Markup {
    let caption = caption(&still.marked.mark);
    let exact = still.marked.shot.as_ref().is_some_and(|shot| shot.exact);
    html! {
        figure {
            @match still.bytes.as_deref().map(jpeg) {
                Some(Some(address)) => img src=(address) alt=(caption);
                Some(None) => p.note { "The stored file is not a picture that can be shown." }
                None => p.note { "The still was erased, or is not in this log." }
            }
            figcaption {
                (caption) @if !exact { ", picture not exact" }
                br; span.mono { (still.name.chars().take(16).collect::<String>()) "…" }
            }
        }
    }
}
