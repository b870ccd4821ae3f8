//! The built-in decoder (OpenH264) in this process or in another.
//!
//! It is a C++ library that reads damaged and hostile files. So where the program says how to start one, it runs in a
//! worker process ([`super::worker`]), where a crash or a hang costs only a picture; otherwise it runs here. Never
//! here: files, times, frame numbers.

use crate::decode::openh264::{Given, Here, Plain, Trouble, Wish};
use crate::decode::process::Pace;
use crate::decode::worker::{WorkerCommand, WorkerProcess};

pub(crate) enum Engine {
    /// In this process; `None` before the first [`Engine::begin`].
    Here(Option<Here>),
    WorkerProcess(WorkerProcess),
}

impl Engine {
    /// Starts a decoder, in a worker process where a command for one is given.
    pub(crate) fn start(worker: Option<&WorkerCommand>, pace: Pace) -> Result<Engine, Trouble> {
        Ok(match worker {
            Some(worker) => {
                Engine::WorkerProcess(WorkerProcess::start(worker, pace).map_err(|_| Trouble::NoDecoder)?)
            }
            None => Engine::Here(None),
        })
    }

    /// Starts anew, with parameter sets as a byte stream.
    pub(crate) fn begin(&mut self, parameters: &[u8]) -> Result<(), Trouble> {
        match self {
            Engine::Here(here) => {
                *here = Some(Here::begin(parameters)?);
                Ok(())
            }
            Engine::WorkerProcess(worker) => worker.begin(parameters),
        }
    }

    /// Decodes one coded picture, given as a byte stream.
    pub(crate) fn decode(&mut self, stream: &[u8], wish: Wish) -> Result<Given, Trouble> {
        match self {
            Engine::Here(here) => here.as_mut().ok_or(Trouble::NoDecoder)?.decode(stream, wish),
            Engine::WorkerProcess(worker) => worker.decode(stream, wish),
        }
    }

    /// The pictures that it still holds, in the order of showing.
    pub(crate) fn rest(&mut self) -> Result<Vec<Plain>, Trouble> {
        match self {
            Engine::Here(here) => here.as_mut().ok_or(Trouble::NoDecoder)?.rest(),
            Engine::WorkerProcess(worker) => worker.rest(),
        }
    }
}
