//! Why a scene cannot be read or filmed.

/// Why a play, a camera or a film was refused.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The text is not RON of the right form. Line and column count from 1.
    #[error("{line}:{column}: {message}")]
    Written { line: usize, column: usize, message: String },
    /// A well-formed play that cannot be played, with everything that is wrong.
    #[error("this cannot be played: {}", .0.join("; "))]
    Play(Vec<String>),
    /// A camera with impossible values.
    #[error("camera `{camera}`: {message}")]
    Camera { camera: String, message: String },
    #[error("cannot encode the picture: {0}")]
    Encode(#[from] openh264::Error),
    #[error("cannot write the clip: {0}")]
    Write(#[from] mp4::Error),
    /// The encoder gave a stream without parameter sets.
    #[error("the encoder gave pictures without their parameters")]
    NoParameters,
    /// The encoder skipped a frame.
    #[error("the encoder left out frame {0}")]
    LeftOut(u64),
}

impl From<ron::error::SpannedError> for Error {
    fn from(error: ron::error::SpannedError) -> Error {
        let start = error.span.start;
        Error::Written { line: start.line, column: start.col, message: error.code.to_string() }
    }
}
