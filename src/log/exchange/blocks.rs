//! Records by the million: JSON Lines in blocks of whole lines, every block on whichever core is free.
//!
//! No more blocks are in memory than there are cores, whatever the length of the file. A line that is not a record is
//! reported as by `log::jsonl`, with its number.

use super::jsonl::{self, Error, Fault};
use rayon::prelude::*;
use std::io::{self, Read};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Bytes that are read at once: few enough to stay in the cache of the core that parses them.
const BLOCK: usize = 1 << 20;
/// Longer records are refused: they would have to be kept whole.
const LONGEST: usize = 64 << 20;
/// How many faults are reported in full; the rest are counted.
const TOLD: usize = 100;
/// Progress is reported after this many records.
const COUNTED: usize = 100_000;

struct Block {
    /// The number of the first line, from 1.
    first: usize,
    /// How many line ends it has.
    count: usize,
    bytes: Vec<u8>,
}

struct Blocks<R> {
    from: R,
    /// What came after the last line end.
    left: Vec<u8>,
    /// The number of the next line.
    line: usize,
    /// Reading failed.
    refused: bool,
}

/// What one core made of the blocks that it took, in their order.
#[derive(Debug)]
pub struct Share<C, T> {
    /// What it carried from block to block.
    pub carried: C,
    /// What came of each block, with the number of its first line.
    pub came: Vec<(usize, T)>,
    faults: Vec<Fault>,
}

/// Reads every line of `file` that is not empty with `take`, each block into a `T` that `begin` makes for about that many
/// lines; `take` may also carry something from one block of its core to the next. `progress` is called with the number
/// of records, after every [`COUNTED`] or so.
///
/// # Errors
/// [`Error`] if the file cannot be read, or with the lines that `take` refuses.
pub fn read<C: Default + Send, T: Send>(
    file: &str,
    from: impl Read + Send,
    begin: impl Fn(usize) -> T + Sync,
    take: impl Fn(&mut C, &mut T, &str) -> Result<(), serde_json::Error> + Sync,
    progress: impl Fn(usize) + Sync,
) -> Result<Vec<Share<C, T>>, Error> {
    let records = AtomicUsize::new(0);
    let block = |mut share: Share<C, T>, block: io::Result<Block>| -> io::Result<Share<C, T>> {
        let block = block?;
        let (mut came, mut count) = (begin(block.count), 0);
        for (number, line) in block.lines() {
            match text(line).and_then(|text| take(&mut share.carried, &mut came, text)) {
                Ok(()) => count += 1,
                Err(error) if share.faults.len() <= TOLD => {
                    share.faults.extend(faults(file, number, line, &error))
                }
                Err(_) => {}
            }
        }
        share.came.push((block.first, came));
        let before = records.fetch_add(count, Ordering::Relaxed);
        if before / COUNTED < (before + count) / COUNTED {
            progress(before + count);
        }
        Ok(share)
    };
    let none = || Share { carried: C::default(), came: Vec::new(), faults: Vec::new() };
    let blocks = Blocks { from, left: Vec::new(), line: 1, refused: false };
    let shares: io::Result<Vec<Share<C, T>>> = blocks.par_bridge().try_fold(none, block).collect();
    let mut shares = shares.map_err(|source| Error::Read { file: file.to_owned(), source })?;
    let mut faults: Vec<Fault> =
        shares.iter_mut().flat_map(|share| std::mem::take(&mut share.faults)).collect();
    if faults.is_empty() {
        Ok(shares)
    } else {
        faults.sort_by_key(|fault| fault.line);
        Err(Error::Lines(shortened(file, faults)))
    }
}

/// What came of the blocks, in the order of the file.
pub fn in_order<T>(came: impl Iterator<Item = (usize, T)>) -> impl Iterator<Item = T> {
    let mut came: Vec<(usize, T)> = came.collect();
    came.sort_by_key(|(first, _)| *first);
    came.into_iter().map(|(_, came)| came)
}

impl Block {
    /// Its lines that are not empty, with their numbers.
    fn lines(&self) -> impl Iterator<Item = (usize, &[u8])> {
        let bytes = if self.first == 1 { jsonl::unmarked(&self.bytes) } else { &self.bytes };
        let ends = memchr::memchr_iter(b'\n', bytes).chain([bytes.len()]);
        let mut start = 0;
        let lines = ends.map(move |end| &bytes[std::mem::replace(&mut start, end + 1)..end]);
        (self.first..).zip(lines).filter(|(_, line)| !line.trim_ascii().is_empty())
    }
}

impl<R: Read> Blocks<R> {
    /// The next whole lines; none at the end of the file.
    fn block(&mut self) -> io::Result<Option<Block>> {
        let mut bytes = Vec::with_capacity(self.left.len() + BLOCK);
        bytes.append(&mut self.left);
        loop {
            let read = self.from.by_ref().take(BLOCK as u64).read_to_end(&mut bytes)?;
            let whole = match read {
                0 => bytes.len(),
                _ => memchr::memrchr(b'\n', &bytes).map_or(0, |end| end + 1),
            };
            if whole > 0 {
                self.left = bytes.split_off(whole);
                let first = self.line;
                let count = memchr::memchr_iter(b'\n', &bytes).count();
                self.line += count;
                return Ok(Some(Block { first, count, bytes }));
            }
            if read == 0 {
                return Ok(None);
            }
            if bytes.len() > LONGEST {
                let message = format!("line {} is longer than {} MiB", self.line, LONGEST >> 20);
                return Err(io::Error::new(io::ErrorKind::InvalidData, message));
            }
        }
    }
}

impl<R: Read> Iterator for Blocks<R> {
    type Item = io::Result<Block>;

    fn next(&mut self) -> Option<io::Result<Block>> {
        if self.refused {
            return None;
        }
        let block = self.block();
        self.refused = block.is_err();
        block.transpose()
    }
}

/// A line is checked to be UTF-8 once, as a whole: checking string by string took a third of all reading.
fn text(line: &[u8]) -> Result<&str, serde_json::Error> {
    std::str::from_utf8(line).map_err(serde::de::Error::custom)
}

/// What is wrong with a line, field by field where it can be said.
fn faults(file: &str, line: usize, bytes: &[u8], error: &serde_json::Error) -> Vec<Fault> {
    let found = match jsonl::read(file, bytes) {
        Err(Error::Lines(faults)) => faults,
        Ok(_) | Err(Error::Read { .. }) => {
            vec![Fault { file: file.to_owned(), line, field: None, message: error.to_string() }]
        }
    };
    found.into_iter().map(|fault| Fault { line, ..fault }).collect()
}

fn shortened(file: &str, mut faults: Vec<Fault>) -> Vec<Fault> {
    if faults.len() > TOLD {
        faults.truncate(TOLD);
        let line = faults.last().map_or(1, |fault| fault.line);
        let message = "and there is more like it further on".to_owned();
        faults.push(Fault { file: file.to_owned(), line, field: None, message });
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: impl Read + Send) -> Result<Vec<String>, String> {
        let take = |count: &mut usize, lines: &mut Vec<String>, line: &str| {
            lines.push(serde_json::from_str(line)?);
            *count += 1;
            Ok(())
        };
        let shares =
            read("week3.jsonl", text, Vec::with_capacity, take, |_| {}).map_err(|error| error.to_string())?;
        let counted: usize = shares.iter().map(|share| share.carried).sum();
        let lines: Vec<String> =
            in_order(shares.into_iter().flat_map(|share| share.came)).flatten().collect();
        assert_eq!(counted, lines.len(), "what is carried goes from block to block");
        Ok(lines)
    }

    #[test]
    fn many_blocks_give_every_line_in_order() {
        let padding = "x".repeat(2_000);
        let text: Vec<String> = (0..6_000).map(|at| format!("\"{at} {padding}\"")).collect();
        let read = lines(text.join("\n\n").as_bytes()).expect("texts");
        let number = |line: &String| line.split(' ').next().and_then(|at| at.parse().ok());
        assert!(read.len() == 6_000 && read.iter().map(number).eq((0..6_000).map(Some)));
    }

    #[test]
    fn a_bad_line_is_told_with_its_number_whatever_its_block() {
        let good = "\"x\"\n".repeat(1_000_000);
        let fault = lines(format!("{good}\n[]\n{good}").as_bytes()).expect_err("a bad line");
        assert_eq!(fault, "week3.jsonl:1000002: not a record: a line holds one object");
        let many = lines("[]\n".repeat(5_000).as_bytes()).expect_err("no texts");
        assert_eq!(many.lines().count(), TOLD + 1);
    }

    #[test]
    fn a_byte_order_mark_stands_before_the_first_line_only() {
        let read = lines("\u{feff}\"a\"\r\n\r\n\"b\"".as_bytes()).expect("texts");
        assert_eq!(read, ["a", "b"]);
        let second = lines("\"a\"\n\u{feff}\"b\"".as_bytes()).expect_err("a mark within");
        assert!(second.starts_with("week3.jsonl:2: "), "{second}");
    }

    #[test]
    fn a_line_that_is_no_text_is_told_as_such() {
        let fault = lines(&b"\"a\"\n\"\xff\"\n"[..]).expect_err("a byte that UTF-8 does not have");
        assert_eq!(fault, "week3.jsonl:2: not UTF-8");
    }

    #[test]
    fn an_empty_file_has_no_lines() {
        assert_eq!(lines("\n\n".as_bytes()), Ok(Vec::new()));
    }

    #[test]
    fn what_the_system_refuses_is_an_error_once() {
        struct Broken;
        impl Read for Broken {
            fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
                Err(io::Error::other("no disk"))
            }
        }
        let refused = lines("\"a\"\n".as_bytes().chain(Broken));
        assert_eq!(refused.expect_err("the disk is gone"), "cannot read week3.jsonl");
    }
}
