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
    #[error("give a noise above zero, in pixels, for each of the {0} landmarks")]
    EachLandmarkSigma(usize),
    #[error("landmarks {0} and {1} are at the same place {2}: remove one")]
    SameLandmark(usize, usize, Where),
    #[error("all landmarks, or all but one, lie on one line {0}: click more on both sides of it")]
    LandmarksOnALine(Where),
    #[error("landmark {0} is outside what the lens can show")]
    LandmarkOutsideLens(usize),
    #[error("no camera position fits these landmarks: check which place each one is")]
    NoGroundView,
    #[error(
        "{given} landmarks, {on_ground} of them on the ground: it takes four on the ground, or six in all that are \
         not all on one plane"
    )]
    TooFewForPose { given: usize, on_ground: usize },
    #[error(
        "the focal length cannot be found from this view: enter it, or also click landmarks above the ground"
    )]
    NoFocal,
    #[error("no camera position fits these landmarks: check which place each one is")]
    NoCameraView,
    #[error("the line has a coordinate that is not a finite number")]
    LineNotFinite,
    #[error("the line needs two different points")]
    LineThroughOnePoint,
    #[error("the point that marks the far side lies on the line")]
    LineWithoutSide,
    #[error("a click is two finite numbers, and its noise a number of pixels, zero or more")]
    ClickNotFinite,
    #[error("the click is at or above the horizon, or outside the lens: it shows no place on the field")]
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
    #[error("too many cameras: at most {MOST_CAMERAS}")]
    TooManyCameras,
    #[error("click {0} is not two finite numbers with a noise of more than zero pixels")]
    NoClick(usize),
    #[error("click {0} is outside what the lens can show")]
    ClickOutsideLens(usize),
    #[error(
        "the cameras look along the same line, so they do not tell how far away it is: take another pair"
    )]
    RaysAlongOneLine,
    #[error("the rays meet behind a camera: the clicks do not show one point at one moment")]
    RaysBehind,
    #[error("frame 0 cannot be a mark: there is no frame before it without the event")]
    FrameZero,
    #[error("the clip has no constant rate: give `at_s` and `since_s` instead of a frame number")]
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
    #[error("a mark refers to a clip that does not exist")]
    NoClip,
    #[error("a clip needs at least one tie: a moment that it and another clip show, or a timecode")]
    NoTie,
    #[error("tie {0}: each interval must begin before it ends")]
    TieWithoutTime(usize),
    #[error("the drift's standard error must be above 0 and at most 100000 ppm")]
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
            Where::Field => "on the field",
        })
    }
}
