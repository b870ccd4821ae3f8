//! One frame of a clip, proven: commands and desk mark it alike.

use tellframe::footage::clip::Clip;
use tellframe::footage::picture::Picture;
use tellframe::proof::mark::Shot;

/// Decodes the very picture, hashes it and the file. Takes as long as that takes.
///
/// # Errors
/// In words, if the picture does not come or the file cannot be read.
pub(crate) fn proven(clip: &Clip, frame: usize) -> Result<(Shot, Picture), String> {
    let picture = clip.picture(frame).map_err(|error| error.to_string())?;
    let shot = Shot {
        clip_sha256: clip.file_sha256().map_err(|error| error.to_string())?,
        frame: u64::try_from(frame).unwrap_or(u64::MAX),
        pts: picture.pts,
        time_base: clip.base.parts(),
        sha256: picture.sha256(),
        exact: picture.exact,
        still: None,
    };
    Ok((shot, picture))
}
