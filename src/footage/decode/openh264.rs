//! The library OpenH264 in this process: coded pictures in, packed pictures out. Files, times and frame numbers are
//! the caller's.

use openh264::decoder::{DecodeOptions, DecodedYUV, Decoder, Flush};
use openh264::formats::YUVSource;

/// The largest picture that is decoded here, in pixels: level 5.2 ends below it.
pub(crate) const MOST_PIXELS: u64 = 9_437_184;

/// A picture in 4:2:0 with 8 bits, its planes tightly packed one after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Plain {
    pub(crate) size: (u32, u32),
    pub(crate) samples: Vec<u8>,
}

/// Bytes of a picture of this size.
pub(crate) fn bytes_of((width, height): (u32, u32)) -> usize {
    let (width, height) = (width as usize, height as usize);
    width * height + 2 * (width.div_ceil(2) * height.div_ceil(2))
}

/// What is wanted of a coded picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Wish {
    Shown,
    /// Decoded only because others need it.
    Needed,
    /// The decoder gives whatever picture is due, perhaps none.
    Queued,
}

/// What a coded picture gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Given {
    Picture(Plain),
    /// A picture that was not wanted.
    Unseen,
    Nothing,
}

/// Why no picture came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Trouble {
    NoDecoder,
    Damaged,
    /// The worker process ended by itself; with its last message.
    Crashed(Option<String>),
    /// The worker process made no progress for this long, in milliseconds, and was ended.
    Stalled(u64),
}

/// A decoder in this process.
pub(crate) struct Here {
    decoder: Decoder,
}

impl Here {
    /// As [`super::engine::Engine::begin`].
    pub(crate) fn begin(parameters: &[u8]) -> Result<Here, Trouble> {
        let mut decoder = Decoder::new().map_err(|_| Trouble::NoDecoder)?;
        // Parameters alone give no picture; an error in them shows at the first one.
        let _ = decoder.decode(parameters);
        Ok(Here { decoder })
    }

    /// As [`super::engine::Engine::decode`].
    pub(crate) fn decode(&mut self, stream: &[u8], wish: Wish) -> Result<Given, Trouble> {
        let options = match wish {
            Wish::Shown | Wish::Needed => DecodeOptions::new(),
            Wish::Queued => DecodeOptions::new().flush_after_decode(Flush::NoFlush),
        };
        let decoded = self.decoder.decode_with_options(stream, options).map_err(|_| Trouble::Damaged)?;
        let Some(decoded) = decoded else { return Ok(Given::Nothing) };
        match wish {
            Wish::Needed => Ok(Given::Unseen),
            Wish::Shown | Wish::Queued => packed(&decoded).map(Given::Picture),
        }
    }

    /// As [`super::engine::Engine::rest`].
    pub(crate) fn rest(&mut self) -> Result<Vec<Plain>, Trouble> {
        let rest = self.decoder.flush_remaining().map_err(|_| Trouble::Damaged)?;
        rest.iter().map(packed).collect()
    }
}

fn packed(decoded: &DecodedYUV<'_>) -> Result<Plain, Trouble> {
    let (width, height) = decoded.dimensions();
    let narrow = |side: usize| u32::try_from(side).map_err(|_| Trouble::Damaged);
    let size = (narrow(width)?, narrow(height)?);
    if u64::from(size.0) * u64::from(size.1) > MOST_PIXELS {
        return Err(Trouble::Damaged);
    }
    let (y, u, v) = decoded.strides();
    let half = (width.div_ceil(2), height.div_ceil(2));
    let mut samples = Vec::with_capacity(bytes_of(size));
    let planes = [(decoded.y(), y, (width, height)), (decoded.u(), u, half), (decoded.v(), v, half)];
    for (plane, stride, (wide, high)) in planes {
        for row in plane.chunks(stride.max(1)).take(high) {
            samples.extend_from_slice(row.get(..wide).ok_or(Trouble::Damaged)?);
        }
    }
    (samples.len() == bytes_of(size)).then_some(Plain { size, samples }).ok_or(Trouble::Damaged)
}
