//! Why something cannot be read, fitted or measured.

/// The most landmarks of one picture: more than anyone clicks, and a bound for what a file can ask for.
pub(crate) const MOST_LANDMARKS: usize = 1000;

/// The most cameras that look at one point.
pub(crate) const MOST_CAMERAS: usize = 64;

/// What is wrong with an input. Landmarks, clicks and cameras count from 1, ties from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    /// A focal length that is not positive.
    #[error("the focal length of a lens is a positive number of pixels")]
    LensFocal,
    /// A centre or coefficient of a lens that is not finite.
    #[error("the centre and the coefficients of a lens are finite numbers")]
    LensNotFinite,
    /// Too few landmarks for a map of the ground.
    #[error("{given} landmarks: at least {needed} are needed")]
    TooFewLandmarks {
        /// How many there are.
        given: usize,
        /// How many it takes.
        needed: usize,
    },
    /// More than [`MOST_LANDMARKS`].
    #[error("{0} landmarks are more than one picture can have: at most {MOST_LANDMARKS}")]
    TooManyLandmarks(usize),
    /// A landmark with a coordinate that is not finite.
    #[error("landmark {0} has a coordinate that is not a finite number")]
    LandmarkNotFinite(usize),
    /// A noise of landmarks that is not finite, or below zero.
    #[error("the noise of landmarks is a number of pixels, zero or more")]
    LandmarkSigma,
    /// Noises that are not one above zero for each landmark.
    #[error("a noise for each landmark is a number of pixels above zero for every one of the {0}")]
    EachLandmarkSigma(usize),
    /// Two landmarks at one place.
    #[error("landmarks {0} and {1} are one place {2}: keep one of them")]
    SameLandmark(usize, usize, Where),
    /// Landmarks on one line: they fix no plane.
    #[error("all landmarks, or all but one, lie on one line {0}: click some that lie off it, on both sides")]
    LandmarksOnALine(Where),
    /// A landmark outside what its lens model can show.
    #[error("landmark {0} stands where this lens shows nothing: check the lens")]
    LandmarkOutsideLens(usize),
    /// No view of a plane puts the landmarks there.
    #[error(
        "no camera sees the landmarks so, all in front of it: check which place of the field each one is"
    )]
    NoGroundView,
    /// Too few landmarks for a pose, on the ground and in all.
    #[error(
        "{given} landmarks, {on_ground} of them on the ground: it takes four on the ground, or six in all that are \
         not all on one plane"
    )]
    TooFewForPose {
        /// How many there are.
        given: usize,
        /// How many of them have height zero.
        on_ground: usize,
    },
    /// The view does not fix the focal length.
    #[error("this view does not tell the focal length: give it, or click landmarks above the ground too")]
    NoFocal,
    /// No camera above the ground sees the landmarks so.
    #[error("no camera above the ground sees the landmarks so: check which place each one is")]
    NoCameraView,
    /// A line with a coordinate that is not finite.
    #[error("it has a coordinate that is not a finite number")]
    LineNotFinite,
    /// A line through two equal points.
    #[error("it goes through one point only: give two")]
    LineThroughOnePoint,
    /// A line whose third point lies on it.
    #[error("the point that counts as past it lies on the line itself")]
    LineWithoutSide,
    /// A click with a coordinate or noise that is not finite.
    #[error("a click is two finite numbers, and its noise a number of pixels, zero or more")]
    ClickNotFinite,
    /// A click at or above the horizon, or outside the lens.
    #[error(
        "it lies at or above the horizon of the ground, or outside the lens: no place of the field stands there"
    )]
    Horizon,
    /// A reading without a click.
    #[error("nothing was clicked")]
    NothingClicked,
    /// A camera with a landmark that is not finite.
    #[error("a landmark of camera {0} has a coordinate that is not a finite number")]
    CameraNotFinite(usize),
    /// What is wrong with one of several cameras.
    #[error("camera {0}: {1}")]
    Camera(usize, Box<Error>),
    /// A camera whose landmarks contradict each other.
    #[error("the landmarks of camera {0} do not agree: click them again before anything is measured by them")]
    Inconsistent(usize),
    /// One camera, where a point in the air takes two.
    #[error("a point in the air takes two calibrated cameras that see it at one moment")]
    OneCamera,
    /// More than [`MOST_CAMERAS`].
    #[error("more cameras than a hall has: at most {MOST_CAMERAS}")]
    TooManyCameras,
    /// A click that is not finite, or without noise.
    #[error("click {0} is not two finite numbers with a noise of more than zero pixels")]
    NoClick(usize),
    /// A click outside what its lens can show.
    #[error("click {0} stands where its lens shows nothing")]
    ClickOutsideLens(usize),
    /// Rays along one line fix no distance.
    #[error(
        "the cameras look along the same line, so they do not tell how far away it is: take another pair"
    )]
    RaysAlongOneLine,
    /// Rays that meet behind a camera.
    #[error("the rays meet behind a camera: the clicks do not show one point at one moment")]
    RaysBehind,
    /// A mark on the first frame, which has none before it.
    #[error("frame 0 is no mark: no frame before it shows that the event had not happened yet")]
    FrameZero,
    /// A frame number on a clip without a rate.
    #[error("the clip has no constant rate, so a frame number says no time: give `at_s` and `since_s`")]
    NoRate,
    /// A mark whose last instant before is not before it.
    #[error("`since_s` must be before `at_s`: it is the last instant that does not show the event")]
    NotBefore,
    /// A time that is not finite, or beyond any game.
    #[error("a time of the mark is not a number, or beyond three years")]
    MarkWithoutTime,
    /// A figure of a clip out of range: its name, and the range.
    #[error("`{0}` must be a finite number{1}")]
    ClipFigure(&'static str, &'static str),
    /// An event without a mark.
    #[error("each event needs at least one mark")]
    NoMark,
    /// A mark on no clip.
    #[error("a mark is on a clip that is not there")]
    NoClip,
    /// A clip without a tie.
    #[error("a clip needs at least one tie: a moment that it and another clip show, or a timecode")]
    NoTie,
    /// A tie whose interval ends before it begins.
    #[error("tie {0} says no time: each of its two intervals begins before it ends")]
    TieWithoutTime(usize),
    /// A standard error of the drift out of range.
    #[error("what is known of the drift must be a standard error in ppm, more than 0 and at most 100000")]
    NoDriftPrior,
    /// ST 12-1 drops counts at 30000/1001 and 60000/1001 only.
    #[error("drop-frame timecode counts 30 or 60 frames a second, not {0}")]
    NoDropFrameAt(u8),
    /// A timecode has two digits for the frame.
    #[error("timecode counts from 1 to 99 frames a second, not {0}")]
    NoTimecodeAt(u8),
    /// The frame of a timecode lies beyond the second, or is one that drop-frame leaves out.
    #[error("there is no frame {code} at {nominal} frames a second")]
    NoSuchFrame {
        /// The timecode.
        code: String,
        /// Frames a second.
        nominal: u8,
    },
    /// A text that is not a timecode.
    #[error("`{0}` is not a timecode: write HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame")]
    NotATimecode(String),
}

/// Where two landmarks coincide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Where {
    /// In the picture.
    Picture,
    /// On the field.
    Field,
}

impl std::fmt::Display for Where {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(match self {
            Where::Picture => "in the picture",
            Where::Field => "of the field",
        })
    }
}
