//! The plays and cameras that are built into the program.

/// The cameras of the league, as RON for [`crate::rig::read`].
pub const CAMERAS: &str = include_str!("../../demo/cameras.ron");

/// Name and RON of each play. The first is the one of the demo's challenge.
pub const PLAYS: [(&str, &str); 5] = [
    ("catch-beyond-wall", include_str!("../../demo/plays/catch-beyond-wall.ron")),
    ("down-or-fumble", include_str!("../../demo/plays/down-or-fumble.ron")),
    ("inside-line", include_str!("../../demo/plays/inside-line.ron")),
    ("three-down", include_str!("../../demo/plays/three-down.ron")),
    ("pass-interference", include_str!("../../demo/plays/pass-interference.ron")),
];
