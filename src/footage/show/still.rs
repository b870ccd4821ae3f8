//! Stills: the picture of a mark, made small enough to be kept beside the log, as JPEG (ITU-T T.81).
//!
//! A still is for looking: it shows later what was marked. The proof of a mark is the hash of the decoded picture,
//! which a still does not preserve.

use super::colour::Coding;
use super::view::{Light, Lines, Part, Shown, fitted};
use crate::error::Error;
use crate::picture::Picture;
use crate::show::pixel_aspect::PixelAspect;
use crate::show::rotation::Rotation;
use jpeg_encoder::{ColorType, Encoder};
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// A still is at most this large, in pixels: a foot on a line of a 1080-line picture can still be made out.
pub(crate) const MOST_PIXELS: (u32, u32) = (1280, 720);

/// The largest still, in bytes: a review of twenty marks adds less than 8 MB to its log.
pub(crate) const MOST_BYTES: usize = 400_000;

/// Qualities from the best on, as the tables of Annex K of T.81 are scaled; the first whose bytes fit is taken.
const QUALITIES: [u8; 5] = [88, 75, 55, 35, 15];

/// The still of a picture, upright and in square pixels, as the bytes of a JPEG file. `pixel` is the pixel aspect
/// ratio as stored.
///
/// # Errors
/// [`Error`] if the picture cannot be shown, or made small enough.
pub fn still(
    picture: &Picture,
    (rotation, pixel): (Rotation, PixelAspect),
    coding: Coding,
) -> Result<Vec<u8>, Error> {
    let own = rotation.size((picture.width, picture.height));
    let size = fitted(rotation.pixel_aspect(pixel).stretched(own), MOST_PIXELS);
    let how = (Lines::All, Light::AS_IT_IS, coding);
    let Shown { width, height, rgba } = rotation.shown_part(picture, (Part::whole(own), own), size, how)?;
    let side = |pixels: u32| u16::try_from(pixels).map_err(|_| Error::Size(width, height));
    let (wide, high) = (side(width)?, side(height)?);
    for quality in QUALITIES {
        let mut bytes = Vec::new();
        Encoder::new(&mut bytes, quality).encode(&rgba, wide, high, ColorType::Rgba)?;
        if bytes.len() <= MOST_BYTES {
            return Ok(bytes);
        }
    }
    Err(Error::StillTooLarge(MOST_BYTES))
}

/// A still for a screen. One that claims to be larger than any still is refused before it is decoded.
///
/// # Errors
/// [`Error::ReadStill`] for bytes that are not a still.
pub fn read(bytes: &[u8]) -> Result<Shown, Error> {
    let options = DecoderOptions::default()
        .jpeg_set_out_colorspace(ColorSpace::RGBA)
        .set_max_width(MOST_PIXELS.0 as usize)
        .set_max_height(MOST_PIXELS.1 as usize);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let rgba = decoder.decode()?;
    let info = decoder.info().ok_or(DecodeErrors::FormatStatic("it has no header"))?;
    let (width, height) = (u32::from(info.width), u32::from(info.height));
    match rgba.len() == width as usize * height as usize * 4 {
        true => Ok(Shown { width, height, rgba }),
        false => Err(DecodeErrors::FormatStatic("its size does not match its header").into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PixelFormat;
    use crate::show::colour::Matrix;

    const PLAIN: (Rotation, PixelAspect) = (Rotation::AsStored, PixelAspect::SQUARE);
    const CODING: Coding = Coding { matrix: Matrix::Bt601, is_full_range: false };

    /// A picture whose luma is given by place; BT.709 gray.
    fn picture(width: u32, height: u32, luma: impl Fn(u32, u32) -> u8) -> Picture {
        let format = PixelFormat::plain(false);
        let mut samples: Vec<u8> =
            (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| luma(x, y)).collect();
        samples.resize(format.size(width, height), 128);
        Picture { pts: 0, width, height, format, samples, exact: true }
    }

    #[test]
    fn a_still_shows_what_the_picture_shows() {
        // Left half black, right half white: 16 and 235 by ITU-R BT.709.
        let bytes =
            still(&picture(640, 360, |x, _| if x < 320 { 16 } else { 235 }), PLAIN, CODING).expect("a still");
        let back = read(&bytes).expect("it reads");
        assert_eq!((back.width, back.height), (640, 360));
        let at = |x: usize, y: usize| back.rgba[(y * 640 + x) * 4];
        for (x, y, expected) in [(100, 100, 0_u8), (300, 10, 0), (340, 350, 255), (600, 200, 255)] {
            assert!(at(x, y).abs_diff(expected) <= 4, "{x}, {y}: {}", at(x, y));
        }
    }

    #[test]
    fn a_large_picture_is_bounded_in_pixels_and_noise_in_bytes() {
        let noise =
            |x: u32, y: u32| (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)).to_be_bytes()[1] | 16;
        let bytes = still(&picture(1920, 1080, noise), PLAIN, CODING).expect("a still");
        assert!(bytes.len() <= MOST_BYTES, "{}", bytes.len());
        let back = read(&bytes).expect("it reads");
        assert_eq!((back.width, back.height), MOST_PIXELS);
    }

    #[test]
    fn bytes_that_are_no_still_are_refused_without_a_panic() {
        let bytes = still(&picture(64, 48, |x, _| x as u8 * 2), PLAIN, CODING).expect("a still");
        assert!(read(&[]).is_err() && read(b"left foot on the wall").is_err());
        for end in (0..bytes.len()).step_by(7) {
            // A cut file gives a picture or an error.
            if let Ok(shown) = read(&bytes[..end]) {
                assert_eq!(shown.rgba.len(), 64 * 48 * 4);
            }
        }
        // The height in the frame header is made larger than any still: T.81, B.2.2.
        let head = bytes.windows(2).position(|two| two == [0xff, 0xc0]).expect("a frame header");
        let mut huge = bytes.clone();
        huge[head + 5..head + 7].copy_from_slice(&[0xff, 0xff]);
        assert!(read(&huge).is_err());
    }
}
