//! Colours and sizes: what stands out first, readable in a dark hall and on a bright day.
//!
//! Colour is never the only sign: a word or a shape always says the same.

use iced::{Color, Theme, theme};

/// A colour: red, green, blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ink(u8, u8, u8);

impl Ink {
    pub(crate) fn color(self) -> Color {
        Color::from_rgb8(self.0, self.1, self.2)
    }

    /// The same colour, partly transparent.
    pub(crate) fn faint(self, alpha: f32) -> Color {
        Color { a: alpha, ..self.color() }
    }
}

impl From<Ink> for Color {
    fn from(ink: Ink) -> Color {
        ink.color()
    }
}

/// The colours of one theme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Palette {
    /// Behind everything.
    pub ground: Ink,
    pub card: Ink,
    /// What is raised from a card: the open step, a pressed key.
    pub raised: Ink,
    /// Text that must be read.
    pub ink: Ink,
    /// Secondary text.
    pub muted: Ink,
    /// Rules between parts, edges of cards; never text.
    pub line: Ink,
    /// The one thing to look at.
    pub accent: Ink,
    /// The field's floor in drawings.
    pub floor: Ink,
    /// Lines on the floor.
    pub chalk: Ink,
    /// The padded wall.
    pub wall: Ink,
}

/// For a dim hall.
pub(crate) const DARK: Palette = Palette {
    ground: Ink(0x14, 0x16, 0x1a),
    card: Ink(0x1d, 0x20, 0x26),
    raised: Ink(0x25, 0x29, 0x32),
    ink: Ink(0xf3, 0xef, 0xe6),
    muted: Ink(0xa9, 0xa5, 0x98),
    line: Ink(0x3a, 0x3f, 0x4a),
    accent: Ink(0xf0, 0xb2, 0x4a),
    floor: Ink(0x2d, 0x47, 0x38),
    chalk: Ink(0xf3, 0xef, 0xe6),
    wall: Ink(0x8a, 0x6f, 0x57),
};

/// For daylight and for print: warm paper.
pub(crate) const LIGHT: Palette = Palette {
    ground: Ink(0xf6, 0xf2, 0xe9),
    card: Ink(0xff, 0xfd, 0xf7),
    raised: Ink(0xec, 0xe5, 0xd5),
    ink: Ink(0x1b, 0x1c, 0x1f),
    muted: Ink(0x5a, 0x57, 0x4d),
    line: Ink(0xc9, 0xc1, 0xae),
    accent: Ink(0x7d, 0x4e, 0x00),
    floor: Ink(0xcf, 0xdf, 0xd0),
    chalk: Ink(0x1b, 0x1c, 0x1f),
    wall: Ink(0x9a, 0x7a, 0x5c),
};

/// Sizes of type at a window of 1440 × 900; the window scales them all.
pub(crate) mod size {
    /// The seconds left.
    pub(crate) const SECONDS: f32 = 44.0;
    /// The call and the outcome.
    pub(crate) const CALL: f32 = 30.0;
    /// The open question, and words to announce.
    pub(crate) const ASK: f32 = 25.0;
    pub(crate) const TEXT: f32 = 18.0;
    /// Secondary text.
    pub(crate) const SMALL: f32 = 15.0;
    /// Nothing is smaller than this on any screen.
    pub(crate) const LEAST: f32 = 13.0;
}

/// Dark or light.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub(crate) enum Light {
    #[default]
    Dark,
    Light,
}

impl Light {
    pub(crate) fn palette(self) -> &'static Palette {
        match self {
            Light::Dark => &DARK,
            Light::Light => &LIGHT,
        }
    }

    pub(crate) fn other(self) -> Light {
        match self {
            Light::Dark => Light::Light,
            Light::Light => Light::Dark,
        }
    }

    /// The toolkit's theme in the same colours, for what it draws itself.
    pub(crate) fn theme(self) -> Theme {
        let palette = self.palette();
        let name = match self {
            Light::Dark => "hall",
            Light::Light => "paper",
        };
        Theme::custom(
            name,
            theme::Palette {
                background: palette.ground.color(),
                text: palette.ink.color(),
                primary: palette.accent.color(),
                success: palette.ink.color(),
                warning: palette.accent.color(),
                danger: palette.accent.color(),
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast ratio of two colours (WCAG 2.2, "contrast ratio" and "relative luminance").
    fn contrast(one: Ink, other: Ink) -> f64 {
        let channel = |value: u8| {
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        let luminance =
            |ink: Ink| 0.2126 * channel(ink.0) + 0.7152 * channel(ink.1) + 0.0722 * channel(ink.2);
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn the_ratio_is_that_of_the_standard() {
        // WCAG 2.2 states the two ends of the scale: 1:1 and 21:1.
        assert!((contrast(Ink(0, 0, 0), Ink(255, 255, 255)) - 21.0).abs() < 1e-9);
        assert!((contrast(Ink(9, 9, 9), Ink(9, 9, 9)) - 1.0).abs() < 1e-9);
    }

    // PROPERTY: colours have the contrast that reading needs
    #[test]
    fn what_matters_in_ninety_seconds_has_seven_to_one_and_the_rest_four_and_a_half() {
        for (name, palette) in [("dark", DARK), ("light", LIGHT)] {
            for (on, ground) in
                [("ground", palette.ground), ("card", palette.card), ("raised", palette.raised)]
            {
                let of = |ink| contrast(ink, ground);
                assert!(of(palette.ink) >= 7.0, "{name}: ink on {on} has {:.2}", of(palette.ink));
                assert!(of(palette.muted) >= 4.5, "{name}: muted on {on} has {:.2}", of(palette.muted));
                assert!(of(palette.accent) >= 4.5, "{name}: accent on {on} has {:.2}", of(palette.accent));
            }
            assert!(contrast(palette.chalk, palette.floor) >= 7.0, "{name}: lines on the floor");
        }
    }
}
