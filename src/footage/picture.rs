//! Decoded pictures: their samples as the decoder gave them, plane after plane, tightly packed.

use sha2::{Digest, Sha256};
use std::fmt;
use std::ops::ControlFlow;

/// How one plane of a picture is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Plane {
    /// How often width and height are halved, rounded up.
    shifts: (u32, u32),
    /// Bytes of one position: several where samples are interleaved or deeper than 8 bits.
    bytes: u32,
}

/// The layout of a picture, by the name that FFmpeg gives it: "yuv420p".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PixelFormat {
    name: &'static str,
    pub(crate) colours: Colours,
    /// Bits of a sample.
    pub bits: u32,
    planes: &'static [Plane],
}

/// What the samples of a picture mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Colours {
    /// Luma and chroma in planes of their own; how often the chroma planes are halved, across and down.
    Planar(u32, u32),
    /// Luma in a plane, both chroma samples together in another, halved across and down.
    SemiPlanar,
    /// Luma alone.
    Gray,
    /// Hashed and not shown.
    Other,
}

const fn plane(x: u32, y: u32, bytes: u32) -> Plane {
    Plane { shifts: (x, y), bytes }
}

/// A row of the table: planes of luma and chroma.
const fn planar(name: &'static str, bits: u32, x: u32, y: u32, planes: &'static [Plane]) -> PixelFormat {
    PixelFormat { name, colours: Colours::Planar(x, y), bits, planes }
}

const fn other(name: &'static str, bits: u32, colours: Colours, planes: &'static [Plane]) -> PixelFormat {
    PixelFormat { name, colours, bits, planes }
}

const P420: &[Plane] = &[plane(0, 0, 1), plane(1, 1, 1), plane(1, 1, 1)];
const P422: &[Plane] = &[plane(0, 0, 1), plane(1, 0, 1), plane(1, 0, 1)];
const P444: &[Plane] = &[plane(0, 0, 1), plane(0, 0, 1), plane(0, 0, 1)];
const D420: &[Plane] = &[plane(0, 0, 2), plane(1, 1, 2), plane(1, 1, 2)];
const D422: &[Plane] = &[plane(0, 0, 2), plane(1, 0, 2), plane(1, 0, 2)];
const DEEP_WITH_ALPHA: &[Plane] = &[plane(0, 0, 2), plane(0, 0, 2), plane(0, 0, 2), plane(0, 0, 2)];
const D444: &[Plane] = &[plane(0, 0, 2), plane(0, 0, 2), plane(0, 0, 2)];

/// The layouts that cameras and recorders use. Names and layouts are those of FFmpeg's `libavutil/pixfmt.h`.
const FORMATS: [PixelFormat; 34] = [
    planar("yuv420p", 8, 1, 1, P420),
    planar("yuvj420p", 8, 1, 1, P420),
    planar("yuv422p", 8, 1, 0, P422),
    planar("yuvj422p", 8, 1, 0, P422),
    planar("yuv444p", 8, 0, 0, P444),
    planar("yuvj444p", 8, 0, 0, P444),
    planar("yuv440p", 8, 0, 1, &[plane(0, 0, 1), plane(0, 1, 1), plane(0, 1, 1)]),
    planar("yuv411p", 8, 2, 0, &[plane(0, 0, 1), plane(2, 0, 1), plane(2, 0, 1)]),
    planar("yuv410p", 8, 2, 2, &[plane(0, 0, 1), plane(2, 2, 1), plane(2, 2, 1)]),
    planar("yuv420p10le", 10, 1, 1, D420),
    planar("yuv422p10le", 10, 1, 0, D422),
    planar("yuv444p10le", 10, 0, 0, D444),
    planar("yuv420p12le", 12, 1, 1, D420),
    planar("yuv422p12le", 12, 1, 0, D422),
    planar("yuv444p12le", 12, 0, 0, D444),
    planar("yuv444p16le", 16, 0, 0, D444),
    other("nv12", 8, Colours::SemiPlanar, &[plane(0, 0, 1), plane(1, 1, 2)]),
    other("p010le", 16, Colours::Other, &[plane(0, 0, 2), plane(1, 1, 4)]),
    other("gray", 8, Colours::Gray, &[plane(0, 0, 1)]),
    other("gray10le", 10, Colours::Gray, &[plane(0, 0, 2)]),
    other("yuyv422", 8, Colours::Other, &[plane(1, 0, 4)]),
    other("uyvy422", 8, Colours::Other, &[plane(1, 0, 4)]),
    other("rgb24", 8, Colours::Other, &[plane(0, 0, 3)]),
    other("bgr24", 8, Colours::Other, &[plane(0, 0, 3)]),
    other("bgr0", 8, Colours::Other, &[plane(0, 0, 4)]),
    other("rgba", 8, Colours::Other, &[plane(0, 0, 4)]),
    other("bgra", 8, Colours::Other, &[plane(0, 0, 4)]),
    other("gbrp", 8, Colours::Other, P444),
    other("gbrp10le", 10, Colours::Other, D444),
    other("gbrp12le", 12, Colours::Other, D444),
    other("gray12le", 12, Colours::Gray, &[plane(0, 0, 2)]),
    other("rgb48le", 16, Colours::Other, &[plane(0, 0, 6)]),
    other("yuva444p10le", 10, Colours::Other, DEEP_WITH_ALPHA),
    other("yuva444p12le", 12, Colours::Other, DEEP_WITH_ALPHA),
];

impl PixelFormat {
    /// By its name; `None` for a layout that is not read here.
    pub(crate) fn from_name(name: &str) -> Option<PixelFormat> {
        FORMATS.iter().find(|format| format.name == name).copied()
    }

    /// Planar 4:2:0 with 8 bits, as the built-in decoder gives it: with all values used, or those of broadcast.
    pub fn plain(full_range: bool) -> PixelFormat {
        let [broadcast, full, ..] = FORMATS;
        if full_range { full } else { broadcast }
    }

    /// Whether samples use all values from 0 on: black is 0, not 16.
    pub(crate) fn is_full_range(&self) -> bool {
        self.name.starts_with("yuvj")
    }

    /// Width and height of each plane in positions, and bytes of a position.
    pub(crate) fn planes(
        &self,
        width: u32,
        height: u32,
    ) -> impl Iterator<Item = (usize, usize, usize)> + use<> {
        let halved = |size: u32, shift: u32| size.div_ceil(1 << shift) as usize;
        self.planes.iter().map(move |plane| {
            (halved(width, plane.shifts.0), halved(height, plane.shifts.1), plane.bytes as usize)
        })
    }

    /// Bytes of a picture of this size in pixels.
    pub fn size(&self, width: u32, height: u32) -> usize {
        self.planes(width, height).map(|(wide, high, bytes)| wide * high * bytes).sum()
    }
}

impl fmt::Display for PixelFormat {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.name)
    }
}

/// A decoded picture.
#[derive(Clone, PartialEq, Eq)]
pub struct Picture {
    /// In units of the clip's time base.
    pub pts: i64,
    pub width: u32,
    pub height: u32,
    pub format: PixelFormat,
    /// Plane after plane, without padding.
    pub samples: Vec<u8>,
    /// Bit for bit the picture that the clip holds. Otherwise it only resembles it, and is no evidence.
    pub exact: bool,
}

/// Takes pictures as they come, with their frame numbers, until it breaks off.
pub(crate) type Taker<'a> = &'a mut dyn FnMut(usize, Picture) -> ControlFlow<()>;

impl Picture {
    /// SHA-256 over its samples, in hexadecimal.
    pub fn sha256(&self) -> String {
        Sha256::digest(&self.samples).iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// The samples of a plane; empty if there is no such plane.
    pub fn plane(&self, index: usize) -> &[u8] {
        let mut rest = self.samples.as_slice();
        for (at, (wide, high, bytes)) in self.format.planes(self.width, self.height).enumerate() {
            let (plane, after) = rest.split_at_checked(wide * high * bytes).unwrap_or((rest, &[]));
            if at == index {
                return plane;
            }
            rest = after;
        }
        &[]
    }
}

impl fmt::Debug for Picture {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Picture { pts, width, height, format, samples, exact } = self;
        let exact = if *exact { "" } else { ", not exact" };
        write!(out, "picture at {pts}: {width}x{height} {format}, {} bytes{exact}", samples.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sizes as FFmpeg's framehash states them for 95x63.
    #[test]
    fn a_picture_takes_as_many_bytes_as_the_reference_says() {
        for (name, size) in [
            ("yuv420p", 9057),
            ("yuv422p", 12_033),
            ("yuv444p", 17_955),
            ("yuv420p10le", 18_114),
            ("nv12", 9057),
            ("rgb24", 17_955),
            ("yuv411p", 9009),
        ] {
            assert_eq!(PixelFormat::from_name(name).map(|format| format.size(95, 63)), Some(size), "{name}");
        }
        assert_eq!(PixelFormat::from_name("yuv"), None);
        assert_eq!(PixelFormat::plain(true).to_string(), "yuvj420p");
    }

    #[test]
    fn planes_follow_each_other() {
        let samples = (0..9).collect();
        let format = PixelFormat::plain(false);
        let picture = Picture { pts: 0, width: 3, height: 2, format, samples, exact: true };
        assert_eq!(format.size(3, 2), 10);
        assert_eq!(picture.plane(0), [0, 1, 2, 3, 4, 5]);
        assert_eq!(picture.plane(1), [6, 7]);
        assert_eq!(picture.plane(2), [8], "a short picture is not read past its end");
        assert!(picture.plane(3).is_empty());
    }
}
