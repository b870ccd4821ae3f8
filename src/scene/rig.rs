//! The cameras of the league: pose, picture quality, and the errors of their clocks.

use super::error::Error;
use evidence::place::camera::Camera;
use evidence::place::lens::Lens;
use evidence::place::point::{Pixel, Space};
use evidence::time::rate::Rate;
use serde::Deserialize;

/// A camera as it is written in `demo/cameras.ron`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mounted {
    /// As the crew calls it.
    pub name: String,
    /// In yards of the hall frame.
    pub at: (f64, f64, f64),
    /// The place in the middle of its picture.
    pub looks_at: (f64, f64, f64),
    /// Clockwise.
    #[serde(default)]
    pub roll_deg: f64,
    /// Focal length as a share of the picture's width.
    pub focal: f64,
    /// Radial distortion.
    #[serde(default)]
    pub k1: f64,
    /// Radial distortion, fourth order.
    #[serde(default)]
    pub k2: f64,
    /// Width and height of the picture in pixels, even.
    pub size: (usize, usize),
    /// Pictures a second, `N/D`.
    pub rate: String,
    /// As a share of the time between two pictures.
    pub exposure: f64,
    /// Standard deviation of the sensor's noise, in grey levels.
    pub noise: f64,
    /// Of the encoder: from 0, which keeps everything, to 51, which keeps almost nothing.
    pub quantiser: u8,
    /// Brightness: 1 leaves it as it is.
    #[serde(default = "even")]
    pub gain: f64,
    /// Common time of its frame 0, in seconds.
    #[serde(default)]
    pub offset_s: f64,
    /// How much faster the common clock runs than its own, in millionths.
    #[serde(default)]
    pub drift_ppm: f64,
}

fn even() -> f64 {
    1.0
}

/// A camera with pose, lens and rate worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// As written.
    pub mounted: Mounted,
    pub camera: Camera,
    pub rate: Rate,
}

/// The longest side of a picture, in pixels: enough for current cameras, and bounded.
const LARGEST: usize = 4096;

/// Reads cameras from RON.
///
/// # Errors
/// [`Error`] with the place of what cannot be read, or the first camera with impossible values.
pub fn read(text: &str) -> Result<Vec<Station>, Error> {
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    let mounted: Vec<Mounted> = options.from_str(text)?;
    mounted.into_iter().map(Station::new).collect()
}

impl Station {
    /// Checks a camera and works out its pose, lens and rate.
    ///
    /// # Errors
    /// [`Error::Camera`] with what is wrong.
    pub fn new(mounted: Mounted) -> Result<Station, Error> {
        let wrong = |message: String| Error::Camera { camera: mounted.name.clone(), message };
        let (width, height) = mounted.size;
        let fits = |side: usize| (16..=LARGEST).contains(&side) && side.is_multiple_of(2);
        if !(fits(width) && fits(height)) {
            return Err(wrong(format!("`size` {width} x {height}: even, from 16 to {LARGEST}")));
        }
        let rate: Rate = mounted.rate.parse().map_err(|error| wrong(format!("{error}")))?;
        if !(1.0..=240.0).contains(&rate.as_f64()) {
            return Err(wrong(format!("`rate` {rate}: from 1 to 240 pictures a second")));
        }
        for (name, value, least, most) in [
            ("focal", mounted.focal, 0.1, 50.0),
            ("exposure", mounted.exposure, 0.0, 1.0),
            ("noise", mounted.noise, 0.0, 40.0),
            ("gain", mounted.gain, 0.1, 4.0),
            ("offset_s", mounted.offset_s, -8.0, 8.0),
            ("drift_ppm", mounted.drift_ppm, -1000.0, 1000.0),
        ] {
            if !(least..=most).contains(&value) {
                return Err(wrong(format!("`{name}` is {value}: from {least} to {most}")));
            }
        }
        if mounted.quantiser > 51 {
            return Err(wrong(format!("`quantiser` is {}: from 0 to 51", mounted.quantiser)));
        }
        let lens = Lens {
            focal_px: mounted.focal * width as f64,
            center: Pixel::new(width as f64 / 2.0 - 0.5, height as f64 / 2.0 - 0.5),
            k1: mounted.k1,
            k2: mounted.k2,
        };
        let space = |(x, y, z): (f64, f64, f64)| Space::new(x, y, z);
        let camera =
            Camera::look_at(space(mounted.at), space(mounted.looks_at), mounted.roll_deg.to_radians(), lens)
                .ok_or_else(|| {
                    wrong("it looks straight up or down, or its target is its own position".to_owned())
                })?;
        Ok(Station { mounted, camera, rate })
    }

    /// The same camera with another picture size; the view is the same if the aspect ratio is.
    ///
    /// # Errors
    /// [`Error::Camera`] where the size is impossible.
    pub fn resized(&self, size: (usize, usize)) -> Result<Station, Error> {
        Station::new(Mounted { size, ..self.mounted.clone() })
    }

    /// Common time of an instant of its own clock, in seconds: `offset_s` + clip time × (1 + drift).
    pub fn common_s(&self, clip_s: f64) -> f64 {
        self.mounted.offset_s + clip_s * (1.0 + self.mounted.drift_ppm * 1e-6)
    }

    /// Its own clock at a common time, in seconds from its frame 0.
    pub fn clip_s(&self, common_s: f64) -> f64 {
        (common_s - self.mounted.offset_s) / (1.0 + self.mounted.drift_ppm * 1e-6)
    }

    /// The common time that a frame shows, which is when its shutter closes.
    pub fn shows_s(&self, frame: u64) -> f64 {
        self.common_s(self.rate.at(frame).as_f64())
    }

    /// The first frame that shows an event at this common time; `None` before frame 0.
    pub fn first_frame(&self, common_s: f64) -> Option<u64> {
        let frame = (self.clip_s(common_s) * self.rate.as_f64() - 1e-9).ceil();
        (frame >= 0.0).then_some(frame as u64)
    }

    /// The number of frames in a play of this length.
    pub fn frames(&self, seconds: f64) -> u64 {
        (self.clip_s(seconds) * self.rate.as_f64()).floor().max(0.0) as u64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(rate: &str, offset_s: f64, drift_ppm: f64) -> Station {
        let text = format!(
            "[(name: \"near side\", at: (25, -10, 10), looks_at: (25, 13, 0), focal: 1, size: (320, 180),
               rate: \"{rate}\", exposure: 0.5, noise: 0, quantiser: 20, offset_s: {offset_s}, drift_ppm: {drift_ppm})]"
        );
        read(&text).expect("it is a rig").remove(0)
    }

    /// Frame k shows k/rate, so an event is first seen in frame k if it lies in ((k-1)/rate, k/rate].
    #[test]
    fn an_event_is_first_shown_by_the_frame_whose_shutter_closes_after_it() {
        let camera = station("60000/1001", 0.0, 0.0);
        for (at_s, frame) in
            [(0.0, Some(0)), (0.001, Some(1)), (1.001, Some(60)), (1.0011, Some(61)), (-0.1, None)]
        {
            assert_eq!(camera.first_frame(at_s), frame, "{at_s}");
        }
        let late = station("30", 0.412, 500.0);
        assert!((late.shows_s(30) - (0.412 + 1.0 * 1.0005)).abs() < 1e-12);
        assert_eq!(late.first_frame(late.shows_s(30)), Some(30));
    }

    #[test]
    fn what_is_no_camera_is_refused_with_its_name() {
        for (was, now, says) in [
            ("(320, 180)", "(321, 180)", "`size` 321 x 180"),
            ("focal: 1", "focal: 0", "`focal` is 0"),
            ("\"30\"", "\"0\"", "is not a frame rate"),
            ("(25, 13, 0)", "(25, -10, 0)", "straight up or down"),
        ] {
            let text = "[(name: \"A\", at: (25, -10, 10), looks_at: (25, 13, 0), focal: 1, size: (320, 180),
                rate: \"30\", exposure: 0.5, noise: 0, quantiser: 20)]";
            let refused = read(&text.replace(was, now)).expect_err("it is no camera").to_string();
            assert!(refused.starts_with("camera `A`: ") && refused.contains(says), "{refused}");
        }
        assert!(matches!(read("[(nam: 1)]"), Err(Error::Written { line: 1, .. })));
    }
}
