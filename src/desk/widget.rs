//! The parts that screens are made of. Each draws what it is given and knows nothing of reviews.

pub(crate) mod answer;
pub(crate) mod card;
pub(crate) mod drawing;
pub(crate) mod edge;
pub(crate) mod entry;
pub(crate) mod field;
pub(crate) mod key;
pub(crate) mod label;
pub(crate) mod map;
pub(crate) mod redraw;
