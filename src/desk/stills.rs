//! The stills of a review's marks, for a screen: what was marked, as it was kept beside the log.

use crate::text::chain;
use crate::theme::{Palette, size};
use crate::widget::{card, label};
use footage::show::still;
use iced::widget::image::Handle;
use iced::widget::{Column, Row, column, container, image};
use iced::{ContentFit, Element, Length};
use log::store::stills::Still;

/// One still, ready to be shown.
#[derive(Debug, Clone)]
pub(crate) struct Kept {
    /// `None` if it was erased or cannot be shown.
    picture: Option<Handle>,
    moment: String,
    /// Camera, timecode, and remarks.
    says: String,
}

/// Number of stills decoded for a screen: the last that were marked.
const MOST: usize = 12;
/// Stills in a row.
const ACROSS: usize = 3;

/// Decodes the last stills. If they cannot be read, a text in their place says why.
pub(crate) fn kept<E: std::error::Error>(stills: &Result<Vec<Still>, E>) -> Vec<Kept> {
    match stills {
        Ok(stills) => {
            let first = stills.len().saturating_sub(MOST);
            stills.iter().skip(first).map(one).collect()
        }
        Err(because) => {
            let moment = "The pictures cannot be shown".to_owned();
            vec![Kept { picture: None, moment, says: chain(because) }]
        }
    }
}

fn one(kept: &Still) -> Kept {
    let read = kept.bytes.as_deref().map(still::read);
    let (picture, missing) = match read {
        Some(Ok(shown)) => (Some(Handle::from_rgba(shown.width, shown.height, shown.rgba)), ""),
        Some(Err(_)) => (None, ", cannot be shown"),
        None => (None, ", erased"),
    };
    let mark = &kept.marked.mark;
    let exact = kept.marked.shot.as_ref().is_some_and(|shot| shot.exact);
    let exact = if exact { "" } else { ", picture not exact" };
    Kept {
        picture,
        moment: mark.moment.clone(),
        says: format!("{} {}{exact}{missing}", mark.camera, mark.timecode),
    }
}

/// The stills as a card, if there are any.
pub(crate) fn view<'a, M: Clone + 'a>(
    stills: &'a [Kept],
    palette: &'static Palette,
) -> Option<Element<'a, M>> {
    if stills.is_empty() {
        return None;
    }
    let rows = column![label::small("What was marked", palette.muted), beside(stills, palette)].spacing(10);
    Some(card::card(palette, rows).into())
}

/// The stills in rows.
pub(crate) fn beside<'a, M: Clone + 'a>(stills: &'a [Kept], palette: &'static Palette) -> Element<'a, M> {
    let mut rows = Column::new().spacing(10);
    for some in stills.chunks(ACROSS) {
        let mut row = Row::new().spacing(12);
        for kept in some {
            let picture: Element<'a, M> = match &kept.picture {
                Some(handle) => {
                    image(handle.clone()).content_fit(ContentFit::Contain).width(Length::Fill).into()
                }
                None => container(label::small("no picture", palette.muted)).center_x(Length::Fill).into(),
            };
            let words = column![
                label::small(kept.moment.as_str(), palette.ink),
                label::small(kept.says.as_str(), palette.muted).size(size::LEAST)
            ];
            row = row.push(column![picture, words].spacing(3).width(Length::Fill));
        }
        // A short row keeps the size of the others.
        for _ in some.len()..ACROSS.min(stills.len()) {
            row = row.push(container("").width(Length::Fill));
        }
        rows = rows.push(row);
    }
    rows.into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stills_that_cannot_be_read_say_why() {
        let shown = kept(&Err(std::io::Error::other("the log is broken: entry 2 is not borne out")));
        let [only] = shown.as_slice() else { panic!("{shown:?}") };
        assert_eq!(only.moment, "The pictures cannot be shown");
        assert_eq!(only.says, "the log is broken: entry 2 is not borne out");
        assert!(only.picture.is_none());
    }
}
