//! The stills of the records that the page shows, bounded in number and size, so that the page can be sent.

use crate::still::{caption, jpeg};
use formats::audit::Audit;
use log::Error;
use log::store::reader::Reader;
use log::store::stills;
use log::streams::reviews;
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

/// Most stills of one record: the marks that were set last, which are those that settled it.
const A_RECORD: usize = 2;
/// Most bytes of all stills of the page, before they are encoded.
const ALL_BYTES: usize = 6 << 20;

#[derive(Debug, Default)]
pub(super) struct Stills {
    by_review: BTreeMap<String, Vec<Picture>>,
    /// How many were left out for their size.
    pub left_out: usize,
}

#[derive(Debug)]
struct Picture {
    address: String,
    caption: String,
}

impl Stills {
    /// Those of the records that the figures name, where these logs have them.
    pub(super) fn of(found: &Audit, logs: &[Reader]) -> Result<Stills, Error> {
        let inconsistent = found
            .inconsistent
            .iter()
            .filter(|one| one.why != "edition")
            .flat_map(|one| one.records.iter().take(super::ruling::SHOWN));
        let named: BTreeSet<&str> =
            inconsistent.chain(&found.avoidable.by_crew).map(|id| review_of(id)).collect();
        let (mut all, mut bytes) = (Stills::default(), 0);
        for log in logs.iter().filter(|_| !named.is_empty()) {
            for held in reviews::Held::all(log)?.iter().filter(|held| named.contains(held.id.as_str())) {
                let mut kept = stills::of_review(log, &held.review())?;
                kept.reverse();
                let mut pictures = Vec::new();
                for still in kept.iter().take(A_RECORD) {
                    let Some(data) = &still.bytes else { continue };
                    let Some(address) = jpeg(data) else { continue };
                    if bytes + data.len() > ALL_BYTES {
                        all.left_out += 1;
                        continue;
                    }
                    bytes += data.len();
                    pictures.push(Picture { address, caption: caption(&still.marked.mark) });
                }
                pictures.reverse();
                all.by_review.insert(held.id.to_string(), pictures);
            }
        }
        Ok(all)
    }

    /// The stills of the review that a record is of.
    pub(super) fn of_record(&self, id: &str) -> Markup {
        shown(self.kept(id))
    }

    /// The last of them, by which a play in a list is recognised.
    pub(super) fn last_of(&self, id: &str) -> Markup {
        let pictures = self.kept(id);
        shown(&pictures[pictures.len().saturating_sub(1)..])
    }

    fn kept(&self, id: &str) -> &[Picture] {
        self.by_review.get(review_of(id)).map_or(&[][..], Vec::as_slice)
    }
}

fn shown(pictures: &[Picture]) -> Markup {
    html! {
        @if !pictures.is_empty() {
            div.stills {
                @for picture in pictures {
                    figure { img src=(picture.address) alt=(picture.caption); figcaption { (picture.caption) } }
                }
            }
        }
    }
}

/// The review of a record: its id without the number of the question.
fn review_of(id: &str) -> &str {
    id.rsplit_once('/').map_or(id, |(review, _)| review)
}
