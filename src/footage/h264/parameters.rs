//! Parameter sets of H.264: what a stream asks of a decoder (7.3.2.1 and 7.3.2.2).

use super::bits::{Bits, payload};
use crate::show::colour::{Matrix, StatedColour, Transfer};
use crate::show::pixel_aspect::PixelAspect;
use std::fmt;

/// The largest reorder depth (ITU-T H.264, A.3.1).
pub(crate) const MAX_REORDER_FRAMES: usize = 16;

/// A sequence parameter set, as far as it decides who can decode and how large the picture is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sps {
    /// 66 baseline, 77 main, 88 extended, 100 high, above: more bits or more chroma.
    pub(crate) profile: u8,
    /// 0 none, 1 4:2:0, 2 4:2:2, 3 4:4:4.
    pub(crate) chroma: u32,
    /// Of a luma sample.
    pub(crate) bits: u32,
    /// Of a chroma sample.
    pub(crate) chroma_bits: u32,
    /// All pictures are whole frames.
    pub(crate) frames_only: bool,
    /// Frame numbers may be skipped.
    pub(crate) gaps_allowed: bool,
    /// In pixels, cropped.
    pub(crate) size: (u32, u32),
    /// Where the stream states one (E.2.1).
    pub(crate) pixel_aspect: Option<PixelAspect>,
    pub(crate) colours: StatedColour,
    /// Ticks a second and ticks a field, where the stream states them.
    pub(crate) timing: Option<(u32, u32)>,
    /// No picture waits for another to be shown: stated, or implied by the profile or the order counts.
    pub(crate) keeps_order: bool,
    /// Where the stream states it (E.2.1).
    pub(crate) max_reorder_frames: Option<u32>,
    pub(crate) poc: PicOrderCount,
    /// Bits of a frame's number in a slice.
    pub(crate) frame_num_bits: u32,
    /// The three planes are coded separately, and each slice states its plane.
    pub(crate) has_separate_planes: bool,
}

/// How a stream counts its pictures (7.3.2.1.1).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PicOrderCount {
    /// Each slice carries this many lower bits of its count.
    Lsb(u32),
    /// By differences, which are not followed here.
    Delta,
    /// As they are decoded.
    DecodingOrder,
}

/// A picture parameter set, as far as it decides who can decode.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pps {
    pub(crate) has_slice_groups: bool,
    /// Slices may come twice.
    pub(crate) has_redundant: bool,
    /// Slices name the set by it.
    pub(crate) id: u32,
    /// Slices of frames also state the count of the lower field.
    pub(crate) has_bottom_poc: bool,
}

/// Why the built-in decoder does not give a stream exactly.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unsupported {
    Interlaced,
    /// Bits a sample.
    Deep(u32),
    /// Not 4:2:0.
    Chroma,
    /// Another profile than baseline, main and high.
    Profile(u8),
    Bidirectional,
    /// Coding tools that are rare and were not tried.
    Rare,
    /// The order of showing is not the order of decoding.
    Reordered,
    /// The times of the file contradict the order in which the stream shows its pictures.
    Untimed,
    /// The header allows reordering; the built-in decoder then gives some pictures late or not at all.
    MayReorder,
    Changing,
    Unreadable,
}

impl Unsupported {
    /// Whether a picture of the built-in decoder is still worth showing, marked as not exact.
    pub(crate) fn can_be_shown(self) -> bool {
        match self {
            Unsupported::Bidirectional
            | Unsupported::Reordered
            | Unsupported::Untimed
            | Unsupported::MayReorder => true,
            Unsupported::Interlaced
            | Unsupported::Deep(_)
            | Unsupported::Chroma
            | Unsupported::Profile(_)
            | Unsupported::Rare
            | Unsupported::Changing
            | Unsupported::Unreadable => false,
        }
    }
}

impl fmt::Display for Unsupported {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unsupported::Interlaced => write!(out, "it is interlaced"),
            Unsupported::Deep(bits) => write!(out, "it has {bits} bits a sample"),
            Unsupported::Chroma => write!(out, "its colours are not 4:2:0"),
            Unsupported::Profile(profile) => write!(out, "its H.264 profile is {profile}"),
            Unsupported::Bidirectional => write!(out, "it has B-frames"),
            Unsupported::Rare => write!(out, "it uses rare coding tools"),
            Unsupported::Reordered => write!(out, "its pictures are not stored in the order of showing"),
            Unsupported::Untimed => write!(out, "its times do not follow the order of its pictures"),
            Unsupported::MayReorder => write!(out, "its header allows pictures out of order"),
            Unsupported::Changing => write!(out, "its parameters change within the clip"),
            Unsupported::Unreadable => write!(out, "its headers cannot be read"),
        }
    }
}

impl Sps {
    /// Reads a unit of kind 7; `None` where it cannot be.
    pub(crate) fn read(unit: &[u8]) -> Option<Sps> {
        let payload = payload(unit.get(1..)?, 4096);
        let mut bits = Bits::new(&payload);
        let profile = u8::try_from(bits.fixed(8)?).ok()?;
        bits.fixed(16)?;
        bits.unsigned()?;
        let colour = Colour::read(&mut bits, profile)?;
        let frame_num_bits = lengthened(bits.unsigned()?)?;
        let poc = order_counts(&mut bits)?;
        bits.unsigned()?;
        let gaps_allowed = bits.flag()?;
        let (wide, high) = (bits.unsigned()?.checked_add(1)?, bits.unsigned()?.checked_add(1)?);
        let frames_only = bits.flag()?;
        if !frames_only {
            bits.flag()?;
        }
        bits.flag()?;
        let fields = if frames_only { 1 } else { 2 };
        let coded = (wide.checked_mul(16)?, high.checked_mul(16 * fields)?);
        let size = crop(&mut bits, coded, colour.chroma, fields)?;
        let vui = if bits.flag()? { Vui::read(&mut bits)? } else { Vui::NOTHING };
        Some(Sps {
            profile,
            chroma: colour.chroma,
            bits: colour.bits,
            chroma_bits: colour.chroma_bits,
            frames_only,
            gaps_allowed,
            size,
            pixel_aspect: vui.pixel_aspect,
            colours: vui.colours,
            timing: vui.timing,
            // Type 2 counts pictures as they are decoded (8.2.1.3); baseline has nothing to wait for.
            keeps_order: vui.max_reorder_frames == Some(0)
                || poc == PicOrderCount::DecodingOrder
                || profile == 66,
            max_reorder_frames: vui.max_reorder_frames,
            poc,
            frame_num_bits,
            has_separate_planes: colour.has_separate_planes,
        })
    }

    /// What about it the built-in decoder does not give exactly, if anything.
    pub(crate) fn unsupported(&self) -> Option<Unsupported> {
        if !self.frames_only {
            Some(Unsupported::Interlaced)
        } else if self.bits.max(self.chroma_bits) > 8 {
            Some(Unsupported::Deep(self.bits.max(self.chroma_bits)))
        } else if self.chroma != 1 {
            Some(Unsupported::Chroma)
        } else if ![66, 77, 100].contains(&self.profile) {
            Some(Unsupported::Profile(self.profile))
        } else if self.gaps_allowed {
            Some(Unsupported::Rare)
        } else if !self.keeps_order {
            Some(Unsupported::MayReorder)
        } else {
            None
        }
    }
}

/// A number of bits that is written less four.
fn lengthened(written: u32) -> Option<u32> {
    written.checked_add(4).filter(|bits| *bits <= 16)
}

struct Colour {
    chroma: u32,
    bits: u32,
    chroma_bits: u32,
    has_separate_planes: bool,
}

impl Colour {
    fn read(bits: &mut Bits<'_>, profile: u8) -> Option<Colour> {
        if ![100, 110, 122, 244, 44, 83, 86, 118, 128, 138, 139, 134, 135].contains(&profile) {
            return Some(Colour { chroma: 1, bits: 8, chroma_bits: 8, has_separate_planes: false });
        }
        let chroma = bits.unsigned()?;
        let has_separate_planes = chroma == 3 && bits.flag()?;
        let depth = |bits: &mut Bits<'_>| bits.unsigned()?.checked_add(8).filter(|depth| *depth <= 14);
        let (luma_bits, chroma_bits) = (depth(bits)?, depth(bits)?);
        bits.flag()?;
        if bits.flag()? {
            for list in 0..if chroma == 3 { 12 } else { 8 } {
                if bits.flag()? {
                    scaling(bits, if list < 6 { 16 } else { 64 })?;
                }
            }
        }
        Some(Colour { chroma, bits: luma_bits, chroma_bits, has_separate_planes })
    }
}

/// 7.3.2.1.1.1: a list of scaling factors, skipped.
fn scaling(bits: &mut Bits<'_>, size: u32) -> Option<()> {
    let (mut last, mut next) = (8_i32, 8_i32);
    for _ in 0..size {
        if next != 0 {
            next = last.checked_add(bits.signed()?)?.checked_add(256)?.rem_euclid(256);
        }
        last = if next == 0 { last } else { next };
    }
    Some(())
}

/// The part on picture order counts.
fn order_counts(bits: &mut Bits<'_>) -> Option<PicOrderCount> {
    match bits.unsigned()? {
        0 => Some(PicOrderCount::Lsb(lengthened(bits.unsigned()?)?)),
        1 => {
            bits.flag()?;
            bits.signed()?;
            bits.signed()?;
            for _ in 0..bits.unsigned().filter(|count| *count <= 255)? {
                bits.signed()?;
            }
            Some(PicOrderCount::Delta)
        }
        _ => Some(PicOrderCount::DecodingOrder),
    }
}

fn crop(bits: &mut Bits<'_>, coded: (u32, u32), chroma: u32, fields: u32) -> Option<(u32, u32)> {
    if !bits.flag()? {
        return Some(coded);
    }
    let mut edge = || bits.unsigned();
    let (left, right, top, bottom) = (edge()?, edge()?, edge()?, edge()?);
    // Table 6-1: crops are counted in chroma samples.
    let (across, down) = match chroma {
        1 => (2, 2 * fields),
        2 => (2, fields),
        _ => (1, fields),
    };
    let cut = |a: u32, b: u32, unit: u32| a.checked_add(b)?.checked_mul(unit);
    let wide = coded.0.checked_sub(cut(left, right, across)?)?;
    let high = coded.1.checked_sub(cut(top, bottom, down)?)?;
    (wide > 0 && high > 0).then_some((wide, high))
}

/// The part of the VUI (E.1.1) that is used.
struct Vui {
    pixel_aspect: Option<PixelAspect>,
    colours: StatedColour,
    timing: Option<(u32, u32)>,
    max_reorder_frames: Option<u32>,
}

impl Vui {
    const NOTHING: Vui =
        Vui { pixel_aspect: None, colours: StatedColour::NOTHING, timing: None, max_reorder_frames: None };

    fn read(bits: &mut Bits<'_>) -> Option<Vui> {
        let mut vui = Vui::NOTHING;
        if bits.flag()? {
            // 255: the ratio is written out (Extended_SAR).
            vui.pixel_aspect = match bits.fixed(8)? {
                255 => PixelAspect::new(bits.fixed(16)?.into(), bits.fixed(16)?.into()),
                number => PixelAspect::from_code(number),
            };
        }
        if bits.flag()? {
            bits.flag()?;
        }
        if bits.flag()? {
            bits.fixed(3)?;
            vui.colours.is_full_range = Some(bits.flag()?);
            if bits.flag()? {
                // Primaries, then the curve and the matrix.
                bits.fixed(8)?;
                vui.colours.transfer = Transfer::from_code(bits.fixed(8)?);
                vui.colours.matrix = Matrix::from_code(bits.fixed(8)?);
            }
        }
        if bits.flag()? {
            bits.unsigned()?;
            bits.unsigned()?;
        }
        if bits.flag()? {
            let (ticks, scale) = (bits.fixed(32)?, bits.fixed(32)?);
            vui.timing = (ticks > 0 && scale > 0).then_some((scale, ticks));
            bits.flag()?;
        }
        // Some cameras end their header early: what is not there is not stated.
        vui.max_reorder_frames = reorders(bits);
        Some(vui)
    }
}

/// The rest of E.1.1, for how many pictures wait at most.
fn reorders(bits: &mut Bits<'_>) -> Option<u32> {
    let mut has_buffers = false;
    for _ in 0..2 {
        if bits.flag()? {
            has_buffers = true;
            buffers(bits)?;
        }
    }
    if has_buffers {
        bits.flag()?;
    }
    bits.flag()?;
    if !bits.flag()? {
        return None;
    }
    bits.flag()?;
    for _ in 0..4 {
        bits.unsigned()?;
    }
    bits.unsigned()
}

/// E.1.2, skipped.
fn buffers(bits: &mut Bits<'_>) -> Option<()> {
    let count = bits.unsigned().filter(|count| *count < 32)? + 1;
    bits.fixed(8)?;
    for _ in 0..count {
        bits.unsigned()?;
        bits.unsigned()?;
        bits.flag()?;
    }
    bits.fixed(20).map(|_| ())
}

impl Pps {
    /// Reads a unit of kind 8; `None` where it cannot be.
    pub(crate) fn read(unit: &[u8]) -> Option<Pps> {
        let payload = payload(unit.get(1..)?, 4096);
        let mut bits = Bits::new(&payload);
        let id = bits.unsigned()?;
        bits.unsigned()?;
        bits.flag()?;
        let has_bottom_poc = bits.flag()?;
        if bits.unsigned()? > 0 {
            return Some(Pps { has_slice_groups: true, has_redundant: false, id, has_bottom_poc });
        }
        bits.unsigned()?;
        bits.unsigned()?;
        bits.fixed(3)?;
        for _ in 0..3 {
            bits.signed()?;
        }
        bits.fixed(2)?;
        Some(Pps { has_slice_groups: false, has_redundant: bits.flag()?, id, has_bottom_poc })
    }

    /// What about it the built-in decoder does not give exactly, if anything.
    pub(crate) fn unsupported(self) -> Option<Unsupported> {
        (self.has_slice_groups || self.has_redundant).then_some(Unsupported::Rare)
    }
}
