//! One frame of a clip with its proof, for the marks of commands and of the desk.

use evidence::mark::Shot;
use footage::clip::Clip;
use footage::error::{Change, Error};
use footage::picture::Picture;

/// Why a frame is not proven.
#[derive(Debug, Clone, thiserror::Error)]
pub enum Unproven {
    /// Its file is no longer the one that was opened, so a proof would name another picture.
    #[error("{0}")]
    Changed(Change),
    /// The picture cannot be decoded or the file cannot be read; the error as text.
    #[error("{0}")]
    Failed(String),
}

impl From<Error> for Unproven {
    fn from(reason: Error) -> Unproven {
        match reason {
            Error::Changed(change) => Unproven::Changed(change),
            reason => Unproven::Failed(reason.to_string()),
        }
    }
}

/// Decodes the exact picture, and hashes it and the file. Blocks until that is done.
///
/// # Errors
/// [`Unproven`] if the picture cannot be decoded, or the file cannot be read or is not the one that was opened.
pub fn proven(clip: &Clip, frame: usize) -> Result<(Shot, Picture), Unproven> {
    let picture = clip.picture(frame)?;
    let shot = Shot {
        clip_sha256: clip.file_sha256()?,
        frame: u64::try_from(frame).unwrap_or(u64::MAX),
        pts: picture.pts,
        time_base: clip.base.parts(),
        sha256: picture.sha256(),
        exact: picture.exact,
        still: None,
    };
    Ok((shot, picture))
}
