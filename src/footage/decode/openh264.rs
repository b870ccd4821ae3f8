//! The decoder that is built in (OpenH264): H.264 in MP4, where it is exact, and where nothing else is there.
//!
//! It gives baseline, main and high without B slices to the bit. With B slices it gives the right picture with some
//! wrong samples, and says nothing; such pictures are marked. It begins at instantaneous refreshes only.

use super::engine::{Engine, Given, MOST_PIXELS, Plain, Trouble, Wish};
use crate::container::mp4::Video;
use crate::container::mp4::sample::Sample;
use crate::decode::process::Pace;
use crate::decode::worker::Apart;
use crate::h264;
use crate::h264::Unit;
use crate::h264::order;
use crate::h264::order::Place;
use crate::h264::parameters::{Picture as PictureParameters, Sequence, Unfit};
use crate::picture::{Picture, PixelFormat};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::ops::{ControlFlow, Range};
use std::path::{Path, PathBuf};

/// A coded picture larger than this is a mistake: 64 MiB.
const MOST_CODED: u32 = 64 << 20;

/// A clip as the built-in decoder reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Embedded {
    path: PathBuf,
    parameters: Vec<u8>,
    length_bytes: u8,
    /// In the order of decoding.
    samples: Vec<Sample>,
    /// Whether decoding may begin at the sample.
    begins: Vec<bool>,
    /// The sample of each frame, in the order of showing.
    frames: Vec<usize>,
    size: (u32, u32),
    format: PixelFormat,
    is_exact: bool,
}

/// What the headers of a whole track say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Examined {
    /// The clip, where it can be decoded here, exactly or not.
    pub(crate) clip: Option<Embedded>,
    /// Why it is not exact here.
    pub(crate) unfit: Option<Unfit>,
    /// The sequence parameters, if they can be read.
    pub(crate) sequence: Option<Sequence>,
    /// Which coded pictures are instantaneous refreshes that the file names as keys, as far as they were read.
    pub(crate) refreshes: Vec<bool>,
    /// Which coded pictures others may be predicted from, as far as they were read.
    pub(crate) serves: Vec<bool>,
    /// Decoding from any key that the file names gives exact pictures from that key on.
    pub(crate) keys_are_clean: bool,
    /// The times follow the order in which the stream shows its pictures; `None` where it does not say that order.
    pub(crate) is_ordered: Option<bool>,
    /// Coded pictures at the end that the file does not hold whole.
    pub(crate) missing: usize,
}

/// The decoder gave no picture where it should have.
#[derive(Debug, thiserror::Error)]
pub enum Failed {
    /// The file cannot be read.
    #[error("the file cannot be read: {0}")]
    Io(#[from] std::io::Error),
    /// A picture's data are damaged.
    #[error("the picture at {0} is damaged")]
    Damaged(i64),
    /// The decoder cannot be made.
    #[error("the built-in decoder cannot be started")]
    NoDecoder,
    /// The decoder's process ended by itself.
    #[error("the built-in decoder crashed at the picture at {pts}{}", said.as_ref().map_or_else(String::new, |said| format!(": {said}")))]
    Crashed {
        /// When the picture is shown.
        pts: i64,
        /// The last that it said.
        said: Option<String>,
    },
    /// The decoder's process gave nothing for too long, and was ended.
    #[error("the built-in decoder gave nothing for {} s at the picture at {pts}, and was ended", *waited_ms as f64 / 1000.0)]
    Stalled {
        /// When the picture is shown.
        pts: i64,
        /// For how long it was waited, in milliseconds.
        waited_ms: u64,
    },
}

impl Failed {
    /// What went wrong at the picture that is shown at `pts`.
    fn at(pts: i64, trouble: Trouble) -> Failed {
        match trouble {
            Trouble::NoDecoder => Failed::NoDecoder,
            Trouble::Damaged => Failed::Damaged(pts),
            Trouble::Crashed(said) => Failed::Crashed { pts, said },
            Trouble::Stalled(waited_ms) => Failed::Stalled { pts, waited_ms },
        }
    }
}

/// The parameter sets of an `avcC` box (ISO/IEC 14496-15, 5.3.3.1).
struct Configuration {
    length_bytes: u8,
    sequences: Vec<Vec<u8>>,
    pictures: Vec<Vec<u8>>,
}

impl Configuration {
    fn read(bytes: &[u8]) -> Option<Configuration> {
        let (header, mut rest) = bytes.split_at_checked(6)?;
        let length_bytes = (header.get(4)? & 3) + 1;
        let sequences = sets(&mut rest, header.get(5)? & 0x1f)?;
        let (count, mut rest) = rest.split_first()?;
        let pictures = sets(&mut rest, *count)?;
        Some(Configuration { length_bytes, sequences, pictures })
    }

    /// The sets as a decoder takes them, each after a start code.
    fn stream(&self) -> Vec<u8> {
        let sets = self.sequences.iter().chain(&self.pictures);
        sets.flat_map(|set| [&START, set.as_slice()].concat()).collect()
    }
}

/// What stands before a unit in a stream (B.1.1).
const START: [u8; 4] = [0, 0, 0, 1];

fn sets(rest: &mut &[u8], count: u8) -> Option<Vec<Vec<u8>>> {
    let mut found = Vec::new();
    for _ in 0..count {
        let (length, after) = rest.split_at_checked(2)?;
        let length = length.iter().fold(0_usize, |value, byte| value << 8 | usize::from(*byte));
        let (set, after) = after.split_at_checked(length)?;
        found.push(set.to_vec());
        *rest = after;
    }
    Some(found)
}

/// Reads the headers of every coded picture of a track.
///
/// # Errors
/// What the system says where the file cannot be read.
pub(crate) fn examine(path: &Path, video: &Video) -> std::io::Result<Examined> {
    let nothing = |unfit| Examined {
        clip: None,
        unfit: Some(unfit),
        sequence: None,
        refreshes: Vec::new(),
        serves: Vec::new(),
        keys_are_clean: false,
        is_ordered: None,
        missing: 0,
    };
    let Some(configuration) = video.configuration.as_deref().and_then(Configuration::read) else {
        return Ok(nothing(Unfit::Unreadable));
    };
    let sequences: Option<Vec<Sequence>> =
        configuration.sequences.iter().map(|set| Sequence::read(set)).collect();
    let pictures: Option<Vec<PictureParameters>> =
        configuration.pictures.iter().map(|set| PictureParameters::read(set)).collect();
    let Some((sequence, pictures)) =
        sequences.filter(|sets| sets.len() == 1).and_then(|mut sets| sets.pop()).zip(pictures)
    else {
        return Ok(nothing(Unfit::Unreadable));
    };
    let of_sets = sequence.unfit().or_else(|| pictures.iter().find_map(|set| set.unfit()));
    let walked = Walked::read(path, video, &configuration, order::Reader::new(&sequence, &pictures))?;
    let is_ordered = walked.places.as_ref().map(|places| order::follows(places));
    let untimed = (is_ordered == Some(false)).then_some(Unfit::Untimed);
    let too_large = u64::from(sequence.size.0) * u64::from(sequence.size.1) > MOST_PIXELS;
    let cut = (video.is_cut || video.has_several_codings).then_some(Unfit::Changing);
    let unfit = of_sets.filter(|unfit| *unfit != Unfit::MayReorder);
    let unfit = unfit.or(too_large.then_some(Unfit::Rare)).or(cut).or(walked.unfit).or(untimed).or(of_sets);
    let is_shown = unfit.is_none_or(Unfit::can_be_shown) && walked.begins.first() == Some(&true);
    let whole = video.samples.len() - walked.missing;
    let (keys_are_clean, missing) = (walked.keys_are_clean, walked.missing);
    let frames = walked.frames(video);
    let clip = is_shown.then_some(Embedded {
        path: path.to_owned(),
        parameters: configuration.stream(),
        length_bytes: configuration.length_bytes,
        samples: video.samples.iter().take(whole).copied().collect(),
        frames,
        begins: walked.begins.clone(),
        size: sequence.size,
        format: PixelFormat::plain(sequence.colours.is_full_range == Some(true)),
        is_exact: unfit.is_none(),
    });
    Ok(Examined {
        clip,
        unfit: unfit.or((!is_shown).then_some(Unfit::Rare)),
        sequence: Some(sequence),
        refreshes: walked.begins,
        serves: walked.serves,
        keys_are_clean,
        is_ordered,
        missing,
    })
}

/// What a walk over all coded pictures found.
struct Walked {
    unfit: Option<Unfit>,
    begins: Vec<bool>,
    serves: Vec<bool>,
    keys_are_clean: bool,
    /// When each picture is shown by the file, and its place by the stream; `None` where the stream does not say all.
    places: Option<Vec<(i64, Place)>>,
    missing: usize,
}

impl Walked {
    fn read(
        path: &Path,
        video: &Video,
        configuration: &Configuration,
        mut order: order::Reader<'_>,
    ) -> std::io::Result<Walked> {
        let mut file = File::open(path)?;
        let mut walked = Walked {
            unfit: None,
            begins: Vec::new(),
            serves: Vec::new(),
            keys_are_clean: true,
            places: Some(Vec::new()),
            missing: 0,
        };
        let mut last_shown = None;
        let mut bytes = Vec::new();
        for (index, sample) in video.samples.iter().enumerate() {
            if sample.offset.saturating_add(u64::from(sample.size)) > video.file_size {
                walked.missing = video.samples.len() - index;
                break;
            }
            let unit = match read_sample(&mut file, sample, &mut bytes)? {
                true => h264::unit(&bytes, configuration.length_bytes),
                false => None,
            };
            let units = h264::units(&bytes, configuration.length_bytes).filter(|_| unit.is_some());
            let place = units.and_then(|units| order.place(&units)).map(|place| (sample.shown, place));
            walked.places = walked.places.take().zip(place).map(|(mut places, place)| {
                places.push(place);
                places
            });
            let reordered = last_shown.is_some_and(|last| sample.shown <= last);
            last_shown = Some(sample.shown);
            walked.take(sample, unit, &bytes, configuration);
            if reordered {
                walked.unfit.get_or_insert(Unfit::Reordered);
            }
        }
        Ok(walked)
    }

    fn take(&mut self, sample: &Sample, unit: Option<Unit>, bytes: &[u8], configuration: &Configuration) {
        let Some(unit) = unit else {
            self.unfit = Some(Unfit::Unreadable);
            self.begins.push(false);
            self.serves.push(true);
            self.keys_are_clean = false;
            return;
        };
        self.begins.push(unit.refreshes && sample.is_key);
        // Parameter sets serve whatever follows.
        self.serves.push(unit.serves || unit.sets_parameters);
        let recovers = unit.recovers_after == Some(0) && !unit.predicts;
        self.keys_are_clean &= !sample.is_key || unit.refreshes || recovers;
        let unfit = if unit.is_layered || unit.slices == 0 {
            Some(Unfit::Rare)
        } else if unit.sets_parameters && !configuration.repeats(bytes) {
            Some(Unfit::Changing)
        } else if unit.has_b {
            Some(Unfit::Bidirectional)
        } else {
            None
        };
        // What cannot be shown at all weighs more than what is merely inexact.
        match (self.unfit, unfit) {
            (None, found) => self.unfit = found,
            (Some(before), Some(found)) if before.can_be_shown() && !found.can_be_shown() => {
                self.unfit = Some(found);
            }
            (Some(_), _) => {}
        }
    }

    /// The sample of each frame, in the order of showing, as far as the file holds them whole.
    fn frames(&self, video: &Video) -> Vec<usize> {
        let whole = video.samples.len() - self.missing;
        let mut frames: Vec<usize> = video.shown.iter().copied().filter(|index| *index < whole).collect();
        frames.sort_by_key(|index| video.samples.get(*index).map(|sample| sample.shown));
        frames
    }
}

impl Configuration {
    /// Whether all parameter sets within a coded picture are those that stand before the clip.
    fn repeats(&self, sample: &[u8]) -> bool {
        let mut units = h264::units(sample, self.length_bytes).into_iter().flatten();
        units.all(|unit| match unit.first().map(|byte| byte & 0x1f) {
            Some(7) => self.sequences.iter().any(|set| set == unit),
            Some(8) => self.pictures.iter().any(|set| set == unit),
            _ => true,
        })
    }
}

/// Reads a coded picture; whether it is one that can be read.
fn read_sample(file: &mut File, sample: &Sample, bytes: &mut Vec<u8>) -> std::io::Result<bool> {
    bytes.clear();
    if sample.size > MOST_CODED {
        return Ok(false);
    }
    file.seek(SeekFrom::Start(sample.offset))?;
    let count = file.by_ref().take(u64::from(sample.size)).read_to_end(bytes)?;
    Ok(count == sample.size as usize && count > 0)
}

impl Embedded {
    /// When each frame is shown, whether it is a key, and until when, in the order of showing.
    pub(crate) fn frames(&self) -> impl Iterator<Item = Sample> {
        self.frames.iter().filter_map(|index| self.samples.get(*index).copied())
    }

    /// Decodes frames in the order of showing, and gives them one by one until told to stop; `apart` says how a
    /// process of its own is made for the decoder.
    ///
    /// # Errors
    /// [`Failed`] at the first picture that does not come.
    pub(crate) fn pictures(
        &self,
        wanted: Range<usize>,
        (apart, pace): (Option<&Apart>, Pace),
        give: &mut dyn FnMut(usize, Picture) -> ControlFlow<()>,
    ) -> Result<(), Failed> {
        let pts = self.frames.get(wanted.start).map_or(0, |index| self.shown(*index));
        let engine = Engine::start(apart, pace).map_err(|trouble| Failed::at(pts, trouble))?;
        let mut source = Source { file: File::open(&self.path)?, engine };
        let mut at = wanted.start;
        while at < wanted.end.min(self.frames.len()) {
            let (group, begin) = self.group(at);
            let next = self.frames.get(at..wanted.end).unwrap_or(&[]);
            let until = next.iter().take_while(|index| group.contains(index)).count().max(1) + at;
            let flow = if self.is_exact {
                self.exact(&mut source, begin, at..until, give)?
            } else {
                self.inexact(&mut source, group, at..until, give)?
            };
            if flow.is_break() {
                return Ok(());
            }
            at = until;
        }
        Ok(())
    }

    /// When a coded picture is shown.
    fn shown(&self, index: usize) -> i64 {
        self.samples.get(index).map_or(0, |sample| sample.shown)
    }

    /// The samples of the group that a frame lies in, and where decoding begins.
    fn group(&self, frame: usize) -> (Range<usize>, usize) {
        let sample = self.frames.get(frame).copied().unwrap_or(0);
        let begin = (0..=sample).rev().find(|index| self.begins.get(*index) == Some(&true)).unwrap_or(0);
        let after = self.begins.iter().skip(begin + 1).position(|begins| *begins);
        (begin..after.map_or(self.samples.len(), |after| begin + 1 + after), begin)
    }

    fn stream(&self, file: &mut File, index: usize) -> Result<Vec<u8>, Failed> {
        let sample = self.samples.get(index).ok_or(Failed::Damaged(0))?;
        let mut bytes = Vec::new();
        let is_read = read_sample(file, sample, &mut bytes)?;
        let units = h264::units(&bytes, self.length_bytes).filter(|_| is_read);
        let units = units.ok_or(Failed::Damaged(sample.shown))?;
        Ok(units.into_iter().flat_map(|unit| [&START, unit].concat()).collect())
    }

    /// One picture in, one picture out.
    fn exact(
        &self,
        source: &mut Source,
        begin: usize,
        frames: Range<usize>,
        give: &mut dyn FnMut(usize, Picture) -> ControlFlow<()>,
    ) -> Result<ControlFlow<()>, Failed> {
        let failed = |index, trouble| Failed::at(self.shown(index), trouble);
        source.engine.begin(&self.parameters).map_err(|trouble| failed(begin, trouble))?;
        let mut frame = frames.start;
        for index in begin.. {
            if frame == frames.end {
                break;
            }
            let stream = self.stream(&mut source.file, index)?;
            let is_wanted = self.frames.get(frame) == Some(&index);
            let wish = if is_wanted { Wish::Shown } else { Wish::Needed };
            match source.engine.decode(&stream, wish).map_err(|trouble| failed(index, trouble))? {
                Given::Picture(plain) => {
                    if give(frame, self.picture(plain, self.shown(index), true)?).is_break() {
                        return Ok(ControlFlow::Break(()));
                    }
                    frame += 1;
                }
                Given::Unseen => {}
                Given::Nothing => return Err(Failed::Damaged(self.shown(index))),
            }
        }
        Ok(ControlFlow::Continue(()))
    }

    /// A whole group in, its pictures out in the order of showing; none of them is exact.
    fn inexact(
        &self,
        source: &mut Source,
        group: Range<usize>,
        frames: Range<usize>,
        give: &mut dyn FnMut(usize, Picture) -> ControlFlow<()>,
    ) -> Result<ControlFlow<()>, Failed> {
        let failed = |index, trouble| Failed::at(self.shown(index), trouble);
        let (begin, end) = (group.start, group.end.saturating_sub(1));
        source.engine.begin(&self.parameters).map_err(|trouble| failed(begin, trouble))?;
        let mut order: Vec<usize> = group.clone().collect();
        order.sort_by_key(|index| self.samples.get(*index).map(|sample| sample.shown));
        let mut shown = order.iter().copied();
        let mut frame = frames.start;
        let mut take = |plain: Plain| -> Result<ControlFlow<()>, Failed> {
            let Some(index) = shown.next() else { return Ok(ControlFlow::Break(())) };
            if self.frames.get(frame) != Some(&index) || frame >= frames.end {
                return Ok(ControlFlow::Continue(()));
            }
            frame += 1;
            Ok(give(frame - 1, self.picture(plain, self.shown(index), false)?))
        };
        for index in group {
            let stream = self.stream(&mut source.file, index)?;
            let given = source.engine.decode(&stream, Wish::Queued);
            if let Given::Picture(plain) = given.map_err(|trouble| failed(index, trouble))?
                && take(plain)?.is_break()
            {
                return Ok(ControlFlow::Break(()));
            }
        }
        for plain in source.engine.rest().map_err(|trouble| failed(end, trouble))? {
            if take(plain)?.is_break() {
                return Ok(ControlFlow::Break(()));
            }
        }
        let is_whole = frame == frames.end;
        is_whole.then_some(ControlFlow::Continue(())).ok_or(Failed::Damaged(self.shown(end)))
    }

    /// A picture of the clip, unless the decoder gave one of another size.
    fn picture(&self, plain: Plain, pts: i64, exact: bool) -> Result<Picture, Failed> {
        if plain.size != self.size {
            return Err(Failed::Damaged(pts));
        }
        let (width, height) = self.size;
        Ok(Picture { pts, width, height, format: self.format, samples: plain.samples, exact })
    }
}

/// Where coded pictures come from, and who decodes them.
struct Source {
    file: File,
    engine: Engine,
}
