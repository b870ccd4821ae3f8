//! The system's FFmpeg: whether it is installed, and exact pictures from it through pipes.

pub(crate) mod commands;
pub(crate) mod pictures;
pub(crate) mod run;

use crate::decode::pool::ProcessPool;
use crate::decode::process::Running;
use crate::error::Error;
use commands::{DecodeRequest, MOST_IN_ALL, Programs};
use pictures::Pictures;
use std::path::Path;
use std::sync::Arc;

/// FFmpeg and its prober, with a pool of processes that wait for single pictures. Copies share the pool.
#[derive(Debug, Clone)]
pub struct Tools {
    pub(crate) programs: Arc<Programs>,
    pub(crate) pool: ProcessPool,
}

impl Tools {
    /// Looks for both programs in `folder`, or without one in the folders of `PATH`; `None` where one is missing.
    pub fn find(folder: Option<&Path>) -> Option<Tools> {
        let programs = Arc::new(Programs::find(folder)?);
        Some(Tools { pool: ProcessPool::closed(Arc::clone(&programs)), programs })
    }

    /// Keeps a process on standby from now on.
    pub fn stand_by(&self) {
        self.pool.open();
    }

    /// Starts decoding a stream of a clip.
    pub(crate) fn decode(&self, clip: &Path, wanted: &DecodeRequest) -> Result<Pictures, Error> {
        let running = Running::start(self.programs.decode(clip, wanted)).map_err(Error::Ffmpeg)?;
        running.limit_memory(MOST_IN_ALL);
        running.set_pace(wanted.pace);
        Ok(Pictures::of(running))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tools_that_are_not_there_are_not_found() {
        assert!(Tools::find(Some(Path::new("/nowhere/at/all"))).is_none());
    }
}
