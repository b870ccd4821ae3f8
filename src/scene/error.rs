//! Why a scene cannot be read or filmed.

/// What is wrong with a play, its cameras or its film.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A text that is not RON of the right form. Line and column count from 1.
    #[error("{line}:{column}: {message}")]
    Written {
        /// Line.
        line: usize,
        /// Column.
        column: usize,
        /// What is wrong there.
        message: String,
    },
    /// A play that is read and cannot be played: everything that is wrong.
    #[error("this cannot be played: {}", .0.join("; "))]
    Play(Vec<String>),
    /// A camera that cannot be.
    #[error("camera `{camera}`: {message}")]
    Camera {
        /// Its name.
        camera: String,
        /// What is wrong.
        message: String,
    },
    /// The encoder refused a picture.
    #[error("cannot encode the picture: {0}")]
    Encode(#[from] openh264::Error),
    /// The clip could not be written.
    #[error("cannot write the clip: {0}")]
    Write(#[from] mp4::Error),
    /// The encoder gave a stream that has no beginning.
    #[error("the encoder gave pictures without their parameters")]
    NoParameters,
    /// The encoder left a picture out.
    #[error("the encoder left out frame {0}")]
    LeftOut(u64),
}

impl From<ron::error::SpannedError> for Error {
    fn from(error: ron::error::SpannedError) -> Error {
        let start = error.span.start;
        Error::Written { line: start.line, column: start.col, message: error.code.to_string() }
    }
}
