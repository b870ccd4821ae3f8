//! The built-in decoder in a worker process, so that a crash of it costs a picture and not the review.
//!
//! The program starts itself once more, with a command that makes it [`serve`]: coded pictures come in on one pipe,
//! decoded ones go out on the other. It opens no file and knows nothing of clips. Each run of frames has its own
//! process, so the run after a crash or a hang has a new one. Without a [`WorkerCommand`] the decoder runs in the
//! caller's process.

use super::openh264::{Given, Here, MOST_PIXELS, Plain, Trouble, Wish, bytes_of};
use crate::decode::process::{Pace, Running};
use crate::h264::parameters::MAX_REORDER_FRAMES;
use std::ffi::OsString;
use std::io::{BufWriter, Read, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;

/// How the program is started as a worker process.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkerCommand {
    pub program: PathBuf,
    /// They make the program [`serve`].
    pub arguments: Vec<OsString>,
    /// A worker that makes no progress for this long is ended.
    pub patience: Duration,
}

/// A picture takes milliseconds; a decoder that needs seconds for one is stuck.
pub const PATIENCE: Duration = Duration::from_secs(4);

/// Bytes of address space that a decoder may take: its own pictures of the largest size are a quarter of that.
const MOST_MEMORY: u64 = 2 << 30;

/// A coded picture larger than this is not accepted.
const MOST_CODED: u64 = 80 << 20;

/// Requests: a byte, the length of what follows, and that.
const BEGIN: u8 = b'b';
const SHOWN: u8 = b's';
const NEEDED: u8 = b'n';
const QUEUED: u8 = b'q';
const REST: u8 = b'r';

/// Answers: a byte, and after `PICTURE` width, height and samples.
const PICTURE: u8 = b'P';
const UNSEEN: u8 = b'U';
const NOTHING: u8 = b'N';
const DAMAGED: u8 = b'D';
const NO_DECODER: u8 = b'X';

pub(crate) struct WorkerProcess {
    running: Running,
    patience: Duration,
}

impl WorkerProcess {
    pub(crate) fn start(worker: &WorkerCommand, pace: Pace) -> std::io::Result<WorkerProcess> {
        let mut command = Command::new(&worker.program);
        command.args(&worker.arguments);
        let running = Running::with_input(command, Stdio::piped(), worker.patience)?;
        running.limit_memory(MOST_MEMORY);
        running.set_pace(pace);
        Ok(WorkerProcess { running, patience: worker.patience })
    }

    /// As [`super::engine::Engine::begin`].
    pub(crate) fn begin(&mut self, parameters: &[u8]) -> Result<(), Trouble> {
        self.ask(BEGIN, parameters)?;
        match self.answer()? {
            Some(Given::Nothing) => Ok(()),
            Some(Given::Picture(_) | Given::Unseen) | None => Err(self.gone()),
        }
    }

    /// As [`super::engine::Engine::decode`].
    pub(crate) fn decode(&mut self, stream: &[u8], wish: Wish) -> Result<Given, Trouble> {
        let asked = match wish {
            Wish::Shown => SHOWN,
            Wish::Needed => NEEDED,
            Wish::Queued => QUEUED,
        };
        self.ask(asked, stream)?;
        self.answer()?.ok_or_else(|| self.gone())
    }

    /// As [`super::engine::Engine::rest`].
    pub(crate) fn rest(&mut self) -> Result<Vec<Plain>, Trouble> {
        self.ask(REST, &[])?;
        let mut found = Vec::new();
        // One more than may wait: the picture decoded last.
        while found.len() <= MAX_REORDER_FRAMES + 1 {
            match self.answer()? {
                Some(Given::Picture(picture)) => found.push(picture),
                Some(Given::Nothing) => return Ok(found),
                Some(Given::Unseen) | None => break,
            }
        }
        Err(self.gone())
    }

    fn ask(&mut self, asked: u8, bytes: &[u8]) -> Result<(), Trouble> {
        let sent = self.running.send(&[&[asked], &(bytes.len() as u64).to_le_bytes()[..], bytes]);
        sent.map_err(|_| self.gone())
    }

    /// The answer; `None` where the pipe ends, or holds what no worker writes.
    fn answer(&mut self) -> Result<Option<Given>, Trouble> {
        let mut kind = [0];
        if self.running.output.read_exact(&mut kind).is_err() {
            return Ok(None);
        }
        match kind {
            [PICTURE] => Ok(self.picture().map(Given::Picture)),
            [UNSEEN] => Ok(Some(Given::Unseen)),
            [NOTHING] => Ok(Some(Given::Nothing)),
            [DAMAGED] => Err(Trouble::Damaged),
            [NO_DECODER] => Err(Trouble::NoDecoder),
            _ => Ok(None),
        }
    }

    fn picture(&mut self) -> Option<Plain> {
        let mut side = || {
            let mut bytes = [0; 4];
            self.running.output.read_exact(&mut bytes).ok().map(|()| u32::from_le_bytes(bytes))
        };
        let size = (side()?, side()?);
        if u64::from(size.0) * u64::from(size.1) > MOST_PIXELS {
            return None;
        }
        let bytes = bytes_of(size);
        let mut samples = Vec::with_capacity(bytes);
        self.running.output.by_ref().take(bytes as u64).read_to_end(&mut samples).ok()?;
        (samples.len() == bytes).then_some(Plain { size, samples })
    }

    /// Ends the process, and says why it gave no answer.
    fn gone(&self) -> Trouble {
        self.running.end();
        if self.running.was_stalled() {
            return Trouble::Stalled(u64::try_from(self.patience.as_millis()).unwrap_or(u64::MAX));
        }
        Trouble::Crashed(self.running.last_message())
    }
}

/// The work of the worker process: decodes what comes in, until the input ends.
///
/// # Errors
/// The system's error if a pipe breaks.
pub fn serve(mut input: impl Read, output: impl Write) -> std::io::Result<()> {
    let mut output = BufWriter::with_capacity(1 << 16, output);
    let mut here = None;
    let mut bytes = Vec::new();
    while let Some(asked) = next(&mut input, &mut bytes)? {
        let decode = |here: &mut Option<Here>, wish| match here {
            Some(here) => here.decode(&bytes, wish),
            None => Err(Trouble::NoDecoder),
        };
        let given = match asked {
            BEGIN => Here::begin(&bytes).map(|begun| {
                here = Some(begun);
                Given::Nothing
            }),
            SHOWN => decode(&mut here, Wish::Shown),
            NEEDED => decode(&mut here, Wish::Needed),
            QUEUED => decode(&mut here, Wish::Queued),
            REST => rest(here.as_mut(), &mut output)?,
            _ => return Ok(()),
        };
        answer(&mut output, &given)?;
        output.flush()?;
    }
    Ok(())
}

/// The next request; `None` at the end.
fn next(input: &mut impl Read, bytes: &mut Vec<u8>) -> std::io::Result<Option<u8>> {
    let mut head = [0; 9];
    match input.read_exact(&mut head) {
        Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => return Ok(None),
        read => read?,
    }
    let [asked, length @ ..] = head;
    let length = u64::from_le_bytes(length);
    if length > MOST_CODED {
        return Err(std::io::ErrorKind::InvalidData.into());
    }
    bytes.clear();
    input.take(length).read_to_end(bytes)?;
    Ok((bytes.len() as u64 == length).then_some(asked))
}

/// Writes the pictures that the decoder holds. The caller writes the answer that ends them.
fn rest(here: Option<&mut Here>, output: &mut impl Write) -> std::io::Result<Result<Given, Trouble>> {
    let held = match here.map_or(Err(Trouble::NoDecoder), Here::rest) {
        Ok(held) => held,
        Err(trouble) => return Ok(Err(trouble)),
    };
    for picture in held {
        answer(output, &Ok(Given::Picture(picture)))?;
    }
    Ok(Ok(Given::Nothing))
}

fn answer(output: &mut impl Write, given: &Result<Given, Trouble>) -> std::io::Result<()> {
    match given {
        Ok(Given::Picture(Plain { size, samples })) => {
            output.write_all(&[PICTURE])?;
            output.write_all(&size.0.to_le_bytes())?;
            output.write_all(&size.1.to_le_bytes())?;
            output.write_all(samples)
        }
        Ok(Given::Unseen) => output.write_all(&[UNSEEN]),
        Ok(Given::Nothing) => output.write_all(&[NOTHING]),
        Err(Trouble::NoDecoder) => output.write_all(&[NO_DECODER]),
        Err(Trouble::Damaged | Trouble::Crashed(_) | Trouble::Stalled(_)) => output.write_all(&[DAMAGED]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(kind: u8, bytes: &[u8]) -> Vec<u8> {
        [&[kind][..], &(bytes.len() as u64).to_le_bytes(), bytes].concat()
    }

    #[test]
    fn what_is_no_picture_is_answered_as_damaged_and_the_pipe_may_end_anywhere() {
        for (input, expected) in [
            (asked(SHOWN, b"before it began"), vec![NO_DECODER]),
            ([asked(BEGIN, &[]), asked(REST, &[])].concat(), vec![NOTHING, NOTHING]),
            ([asked(BEGIN, b"no parameters"), asked(REST, &[])].concat(), vec![NOTHING, NOTHING]),
            (asked(SHOWN, b"cut off").into_iter().take(12).collect(), vec![]),
            (asked(b'?', &[]), vec![]),
            (vec![], vec![]),
        ] {
            let mut output = Vec::new();
            serve(input.as_slice(), &mut output).expect("pipes that hold");
            assert_eq!(output, expected, "{input:?}");
        }
        let endless = [&[SHOWN][..], &u64::MAX.to_le_bytes()].concat();
        assert!(serve(endless.as_slice(), Vec::new()).is_err(), "nothing is made room for");
    }
}
