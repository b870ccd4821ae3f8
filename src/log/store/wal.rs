//! Can the write-ahead file of a log be read to its end?
//!
//! SQLite reads it up to the first frame that does not check and drops the rest without a word: one turned bit, and acts
//! that were acknowledged are gone, and gone for good with the next checkpoint. So it is walked here before SQLite is let
//! near it (SQLite's file format, section 4).
//!
//! The header has two salts; each frame repeats them and has a checksum over all that was written before it with the same
//! salts. At the first frame that does not check, what follows says what it is:
//!
//! | the file goes on with | it is |
//! | --- | --- |
//! | nothing, or frames of other salts | the end: frames left over from before a checkpoint, or an act that was cut off while it was written and never acknowledged |
//! | frames of the same salts | damage: they were written after this one |
//!
//! What this cannot see: damage of the very last frame of the newest act, which looks like an act that was cut off; and a
//! file that was cut off, emptied, removed or put back to what it was earlier. Those lose acts as well, and a signed head
//! shows them. What it takes for damage and is none: a machine that loses its power while the newest act is written may
//! leave later frames on the disk without an earlier one.
//!
//! An act that was rolled back or cut off may leave frames of the same salts behind a shorter one. Whoever writes empties
//! the file therefore before the next act (`store.rs`).

use crate::Error;
use crate::files;
use std::io::{self, BufReader, Read};
use std::path::Path;
use std::thread;
use std::time::Duration;

const HEADER: usize = 32;
const FRAME_HEADER: usize = 24;

/// The first four bytes, but for the lowest bit: that says how checksums take up bytes.
const MAGIC: u32 = 0x377f_0682;

/// The version of the format; there has been one.
const VERSION: u32 = 3_007_000;

/// How long a desk takes to finish the frame that it is writing, at most.
const FRAME_TIME: Duration = Duration::from_millis(20);

/// A desk that writes meanwhile shows another picture each time.
const LOOKS: usize = 6;

/// What is wrong with a write-ahead file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum WalError {
    #[error("its header is damaged")]
    Header,
    /// What was written behind it is not reached any more.
    #[error("frame {frame} is damaged, and {after} behind it cannot be reached")]
    Frame {
        /// Its number, from 1.
        frame: u64,
        /// How many frames were written after it.
        after: u64,
    },
}

/// Refuses the log at `path` where its write-ahead file is damaged.
pub(crate) fn check(path: &Path) -> Result<(), Error> {
    let file = files::beside(path, "-wal");
    let look = || match files::open_regular(&file)? {
        Some(open) => walk(BufReader::with_capacity(1 << 16, open)).map_err(|e| Error::of_file(path, e)),
        None => Ok(None),
    };
    let mut seen = look()?;
    for _ in 1..LOOKS {
        if seen.is_none() {
            return Ok(());
        }
        thread::sleep(FRAME_TIME);
        let again = look()?;
        if again == seen {
            break;
        }
        seen = again;
    }
    match seen {
        Some(fault) => Err(Error::WriteAhead { path: path.to_owned(), fault }),
        None => Ok(()),
    }
}

/// What is wrong with a write-ahead file, if anything is.
fn walk(mut file: impl Read) -> io::Result<Option<WalError>> {
    let mut header = Vec::with_capacity(HEADER);
    file.by_ref().take(HEADER as u64).read_to_end(&mut header)?;
    let Ok(header) = <[u8; HEADER]>::try_from(header) else { return Ok(None) };
    let Some(mut chain) = Chain::begun(&header) else { return unreadable(&header, file) };
    let (mut frames, mut failed, mut after) = (0, None, 0);
    let mut frame = Vec::with_capacity(FRAME_HEADER + chain.page);
    loop {
        frame.clear();
        file.by_ref().take((FRAME_HEADER + chain.page) as u64).read_to_end(&mut frame)?;
        if frame.is_empty() {
            break;
        }
        frames += 1;
        match failed {
            None if chain.goes_on(&frame) => {}
            None => failed = Some(frames),
            Some(_) if frame.get(8..16) == Some(chain.salts.as_slice()) => after += 1,
            Some(_) => {}
        }
    }
    Ok(failed.filter(|_| after > 0).map(|frame| WalError::Frame { frame, after }))
}

/// A header that does not check: with nothing behind it there is nothing to lose. Before its header is on the disk no act
/// is acknowledged, so a file of zeros was cut off as it was made.
fn unreadable(header: &[u8], mut rest: impl Read) -> io::Result<Option<WalError>> {
    let mut zeros = header.iter().all(|byte| *byte == 0);
    let (mut behind, mut piece) = (0, [0; 4096]);
    loop {
        match rest.read(&mut piece)? {
            0 => break,
            count => {
                behind += count;
                zeros &= piece.iter().take(count).all(|byte| *byte == 0);
            }
        }
    }
    Ok((behind > 0 && !zeros).then_some(WalError::Header))
}

struct Chain {
    page: usize,
    salts: [u8; 8],
    word: fn([u8; 4]) -> u32,
    sums: [u32; 2],
}

impl Chain {
    /// That of a header; none where it does not check.
    fn begun(header: &[u8; HEADER]) -> Option<Chain> {
        let number = |at: usize| be(header, at);
        let magic = number(0)?;
        let page = usize::try_from(number(8)?).ok()?;
        let sound = magic & !1 == MAGIC
            && number(4)? == VERSION
            && page.is_power_of_two()
            && (512..=65_536).contains(&page);
        let word: fn([u8; 4]) -> u32 = if magic & 1 == 1 { u32::from_be_bytes } else { u32::from_le_bytes };
        let salts = header.get(16..24)?.try_into().ok()?;
        let mut chain = Chain { page, salts, word, sums: [0, 0] };
        chain.add(header.get(..24)?);
        (sound && chain.sums == [number(24)?, number(28)?]).then_some(chain)
    }

    /// Takes a frame in, if it is the next one.
    fn goes_on(&mut self, frame: &[u8]) -> bool {
        let before = self.sums;
        let checks = self.next(frame) == Some(true);
        if !checks {
            self.sums = before;
        }
        checks
    }

    fn next(&mut self, frame: &[u8]) -> Option<bool> {
        let data = frame.get(FRAME_HEADER..).filter(|data| data.len() == self.page)?;
        self.add(frame.get(..8)?);
        self.add(data);
        let stated = [be(frame, 16)?, be(frame, 20)?];
        Some(be(frame, 0)? != 0 && frame.get(8..16)? == self.salts && self.sums == stated)
    }

    /// Bytes in words of eight, as the format says.
    fn add(&mut self, bytes: &[u8]) {
        let [mut first, mut second] = self.sums;
        for words in bytes.chunks_exact(8) {
            if let [a, b, c, d, e, f, g, h] = *words {
                first = first.wrapping_add((self.word)([a, b, c, d])).wrapping_add(second);
                second = second.wrapping_add((self.word)([e, f, g, h])).wrapping_add(first);
            }
        }
        self.sums = [first, second];
    }
}

fn be(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at + 4)?.try_into().ok().map(u32::from_be_bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rusqlite::Connection;
    use std::fs;

    /// What SQLite wrote for so many acts, in pages of 512 bytes.
    fn written(acts: u32) -> Vec<u8> {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("x.sqlite");
        let raw = Connection::open(&path).expect("made");
        raw.execute_batch("PRAGMA page_size = 512; PRAGMA journal_mode = WAL; CREATE TABLE t (x)")
            .expect("made");
        raw.execute_batch("PRAGMA wal_checkpoint(TRUNCATE)").expect("emptied");
        for act in 0..acts {
            raw.execute("INSERT INTO t VALUES (?1)", [act]).expect("written");
        }
        fs::read(files::beside(&path, "-wal")).expect("there")
    }

    fn fault(bytes: &[u8]) -> Option<WalError> {
        walk(bytes).expect("read from memory")
    }

    const FRAME: usize = FRAME_HEADER + 512;

    // PROPERTY: a turned bit of the write-ahead file is an error or all acts are there
    #[test]
    fn every_turned_bit_but_those_of_the_last_frame_is_damage() {
        let mut wal = written(3);
        assert_eq!((wal.len(), fault(&wal)), (HEADER + 3 * FRAME, None));
        for at in 0..wal.len() {
            for bit in 0..8 {
                wal[at] ^= 1 << bit;
                let due = match at {
                    ..HEADER => Some(WalError::Header),
                    at => match (at - HEADER) / FRAME {
                        2 => None,
                        frame => Some(WalError::Frame { frame: frame as u64 + 1, after: 2 - frame as u64 }),
                    },
                };
                assert_eq!(fault(&wal), due, "bit {bit} of byte {at}");
                wal[at] ^= 1 << bit;
            }
        }
    }

    #[test]
    fn a_file_that_was_cut_off_anywhere_has_an_end() {
        let wal = written(3);
        for length in 0..=wal.len() {
            assert_eq!(fault(&wal[..length]), None, "{length} bytes");
        }
        assert_eq!(fault(&[0; HEADER + FRAME]), None, "room was made, and nothing written");
    }

    #[test]
    fn frames_of_other_salts_are_left_over_and_those_of_the_same_are_lost() {
        let (new, old) = (written(2), written(4));
        let mut overwritten = old.clone();
        overwritten[..new.len()].copy_from_slice(&new);
        assert_eq!(fault(&overwritten), None, "two frames of the old generation are left");
        overwritten[HEADER + FRAME + 30] ^= 1;
        assert_eq!(fault(&overwritten), None, "the newest frame looks cut off");
        overwritten[HEADER + 30] ^= 1;
        assert_eq!(fault(&overwritten), Some(WalError::Frame { frame: 1, after: 1 }));
        // A frame that is missing in the middle, as after a loss of power.
        let mut holed = old;
        holed[HEADER + FRAME..HEADER + 2 * FRAME].fill(0);
        assert_eq!(fault(&holed), Some(WalError::Frame { frame: 2, after: 2 }));
    }
}
