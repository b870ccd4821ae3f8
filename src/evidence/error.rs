//! Why something cannot be read, fitted or measured.

/// Landmarks of one picture, at most: more than anyone clicks, and a bound on the work that a file can ask for.
pub(crate) const MOST_LANDMARKS: usize = 1000;

/// Cameras that look at one point, at most.
pub(crate) const MOST_CAMERAS: usize = 64;

/// What is wrong with an input. Landmarks, clicks and cameras count from 1, ties from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    #[error("the focal length of a lens is a positive number of pixels")]
    LensFocal,
    #[error("the centre and the coefficients of a lens are finite numbers")]
    LensNotFinite,
    #[error("{given} landmarks: at least {needed} are needed")]
    TooFewLandmarks { given: usize, needed: usize },
    #[error("{0} landmarks are more than one picture can have: at most {MOST_LANDMARKS}")]
    TooManyLandmarks(usize),
    #[error("landmark {0} has a coordinate that is not a finite number")]
    LandmarkNotFinite(usize),
    #[error("the noise of landmarks is a number of pixels, zero or more")]
    LandmarkSigma,
    #[error("a noise for each landmark is a number of pixels above zero for every one of the {0}")]
    EachLandmarkSigma(usize),
    #[error("landmarks {0} and {1} are one place {2}: keep one of them")]
    SameLandmark(usize, usize, Where),
    #[error("all landmarks, or all but one, lie on one line {0}: click some that lie off it, on both sides")]
    LandmarksOnALine(Where),
    #[error("landmark {0} stands where this lens shows nothing: check the lens")]
    LandmarkOutsideLens(usize),
    #[error(
        "no camera sees the landmarks so, all in front of it: check which place of the field each one is"
    )]
    NoGroundView,
    #[error(
        "{given} landmarks, {on_ground} of them on the ground: it takes four on the ground, or six in all that are \
         not all on one plane"
    )]
    TooFewForPose { given: usize, on_ground: usize },
    #[error("this view does not tell the focal length: give it, or click landmarks above the ground too")]
    NoFocal,
    #[error("no camera above the ground sees the landmarks so: check which place each one is")]
    NoCameraView,
    #[error("it has a coordinate that is not a finite number")]
    LineNotFinite,
    #[error("it goes through one point only: give two")]
    LineThroughOnePoint,
    #[error("the point that counts as past it lies on the line itself")]
    LineWithoutSide,
    #[error("a click is two finite numbers, and its noise a number of pixels, zero or more")]
    ClickNotFinite,
    #[error(
        "it lies at or above the horizon of the ground, or outside the lens: no place of the field stands there"
    )]
    Horizon,
    #[error("nothing was clicked")]
    NothingClicked,
    #[error("a landmark of camera {0} has a coordinate that is not a finite number")]
    CameraNotFinite(usize),
    #[error("camera {0}: {1}")]
    Camera(usize, Box<Error>),
    #[error("the landmarks of camera {0} do not agree: click them again before anything is measured by them")]
    Inconsistent(usize),
    #[error("a point in the air takes two calibrated cameras that see it at one moment")]
    OneCamera,
    #[error("more cameras than a hall has: at most {MOST_CAMERAS}")]
    TooManyCameras,
    #[error("click {0} is not two finite numbers with a noise of more than zero pixels")]
    NoClick(usize),
    #[error("click {0} stands where its lens shows nothing")]
    ClickOutsideLens(usize),
    #[error(
        "the cameras look along the same line, so they do not tell how far away it is: take another pair"
    )]
    RaysAlongOneLine,
    #[error("the rays meet behind a camera: the clicks do not show one point at one moment")]
    RaysBehind,
    #[error("frame 0 is no mark: no frame before it shows that the event had not happened yet")]
    FrameZero,
    #[error("the clip has no constant rate, so a frame number says no time: give `at_s` and `since_s`")]
    NoRate,
    #[error("`since_s` must be before `at_s`: it is the last instant that does not show the event")]
    NotBefore,
    #[error("a time of the mark is not a number, or beyond three years")]
    MarkWithoutTime,
    /// Its name, and the range that it must lie in.
    #[error("`{0}` must be a finite number{1}")]
    ClipFigure(&'static str, &'static str),
    #[error("each event needs at least one mark")]
    NoMark,
    #[error("a mark is on a clip that is not there")]
    NoClip,
    #[error("a clip needs at least one tie: a moment that it and another clip show, or a timecode")]
    NoTie,
    #[error("tie {0} says no time: each of its two intervals begins before it ends")]
    TieWithoutTime(usize),
    #[error("what is known of the drift must be a standard error in ppm, more than 0 and at most 100000")]
    NoDriftPrior,
    /// ST 12-1 drops counts at 30000/1001 and 60000/1001 only.
    #[error("drop-frame timecode counts 30 or 60 frames a second, not {0}")]
    NoDropFrameAt(u8),
    #[error("timecode counts from 1 to 99 frames a second, not {0}")]
    NoTimecodeAt(u8),
    /// Beyond the second, or left out by drop-frame. `nominal` is in frames a second.
    #[error("there is no frame {code} at {nominal} frames a second")]
    NoSuchFrame { code: String, nominal: u8 },
    #[error("`{0}` is not a timecode: write HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame")]
    NotATimecode(String),
}

/// Where two landmarks coincide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Where {
    Picture,
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
