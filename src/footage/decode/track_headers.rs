//! What the headers of all coded pictures of an MP4 track say: which decoder is exact, where decoding may begin, and
//! which pictures others are predicted from.

use crate::container::mp4::Video;
use crate::container::mp4::sample::Sample;
use crate::decode::openh264::MOST_PIXELS;
use crate::h264;
use crate::h264::CodedPicture;
use crate::h264::parameters::{Pps, Sps, Unsupported};
use crate::h264::poc;
use crate::h264::poc::Poc;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::Path;

/// What the headers of a whole track say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct TrackHeaders {
    /// Why the built-in decoder is not exact.
    pub(crate) unsupported: Option<Unsupported>,
    /// Where they can be read.
    pub(crate) sets: Option<ParameterSets>,
    /// Which coded pictures are IDR pictures that the file names as keys, as far as they were read.
    pub(crate) idr: Vec<bool>,
    /// Which coded pictures are reference pictures, as far as they were read.
    pub(crate) references: Vec<bool>,
    /// Decoding from any key that the file names gives exact pictures from that key on.
    pub(crate) keys_are_clean: bool,
    /// PTS follow the POC; `None` where the stream does not state that.
    pub(crate) is_ordered: Option<bool>,
    /// Coded pictures at the end that the file does not hold whole.
    pub(crate) missing: usize,
}

/// The parameter sets of a track.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ParameterSets {
    /// The only sequence parameter set.
    pub(crate) sps: Sps,
    /// All sets as a decoder takes them, each after a start code.
    pub(crate) stream: Vec<u8>,
    /// Bytes of the length before each NAL unit of a coded picture.
    pub(crate) length_bytes: u8,
}

impl TrackHeaders {
    /// Of a track whose parameter sets cannot be read.
    const UNREADABLE: TrackHeaders = TrackHeaders {
        unsupported: Some(Unsupported::Unreadable),
        sets: None,
        idr: Vec::new(),
        references: Vec::new(),
        keys_are_clean: false,
        is_ordered: None,
        missing: 0,
    };

    /// The sequence parameter set, where it can be read.
    pub(crate) fn sps(&self) -> Option<&Sps> {
        self.sets.as_ref().map(|sets| &sets.sps)
    }

    /// The sets that the built-in decoder begins with, where it can show the track, exactly or not.
    pub(crate) fn decodable(&self) -> Option<&ParameterSets> {
        let begins = self.idr.first() == Some(&true);
        self.sets.as_ref().filter(|_| begins && self.unsupported.is_none_or(Unsupported::can_be_shown))
    }
}

/// A coded picture larger than this is a mistake: 64 MiB.
const MOST_CODED: u32 = 64 << 20;

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
        sets.flat_map(|set| [&h264::START_CODE, set.as_slice()].concat()).collect()
    }
}

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
pub(crate) fn read(path: &Path, video: &Video) -> std::io::Result<TrackHeaders> {
    let Some(configuration) = video.configuration.as_deref().and_then(Configuration::read) else {
        return Ok(TrackHeaders::UNREADABLE);
    };
    let sequences: Option<Vec<Sps>> = configuration.sequences.iter().map(|set| Sps::read(set)).collect();
    let pictures: Option<Vec<Pps>> = configuration.pictures.iter().map(|set| Pps::read(set)).collect();
    let Some((sps, pictures)) =
        sequences.filter(|sets| sets.len() == 1).and_then(|mut sets| sets.pop()).zip(pictures)
    else {
        return Ok(TrackHeaders::UNREADABLE);
    };
    let of_sets = sps.unsupported().or_else(|| pictures.iter().find_map(|set| set.unsupported()));
    let walked = Walked::read(path, video, &configuration, poc::PocReader::new(&sps, &pictures))?;
    let is_ordered = walked.pocs.as_ref().map(|pocs| poc::times_follow(pocs));
    let untimed = (is_ordered == Some(false)).then_some(Unsupported::Untimed);
    let too_large = u64::from(sps.size.0) * u64::from(sps.size.1) > MOST_PIXELS;
    let cut = (video.is_cut || video.has_several_codings).then_some(Unsupported::Changing);
    let unsupported = of_sets.filter(|unsupported| *unsupported != Unsupported::MayReorder);
    let unsupported = unsupported
        .or(too_large.then_some(Unsupported::Rare))
        .or(cut)
        .or(walked.unsupported)
        .or(untimed)
        .or(of_sets);
    let begins = walked.idr.first() == Some(&true);
    Ok(TrackHeaders {
        unsupported: unsupported.or((!begins).then_some(Unsupported::Rare)),
        sets: Some(ParameterSets {
            stream: configuration.stream(),
            length_bytes: configuration.length_bytes,
            sps,
        }),
        idr: walked.idr,
        references: walked.references,
        keys_are_clean: walked.keys_are_clean,
        is_ordered,
        missing: walked.missing,
    })
}

/// What a walk over all coded pictures found.
struct Walked {
    unsupported: Option<Unsupported>,
    idr: Vec<bool>,
    references: Vec<bool>,
    keys_are_clean: bool,
    /// PTS of each picture by the file, and its POC by the stream; `None` where the stream does not say all.
    pocs: Option<Vec<(i64, Poc)>>,
    missing: usize,
}

impl Walked {
    fn read(
        path: &Path,
        video: &Video,
        configuration: &Configuration,
        mut pocs: poc::PocReader<'_>,
    ) -> std::io::Result<Walked> {
        let mut file = File::open(path)?;
        let mut walked = Walked {
            unsupported: None,
            idr: Vec::new(),
            references: Vec::new(),
            keys_are_clean: true,
            pocs: Some(Vec::new()),
            missing: 0,
        };
        let mut last_pts = None;
        let mut bytes = Vec::new();
        for (index, sample) in video.samples.iter().enumerate() {
            if sample.offset.saturating_add(u64::from(sample.size)) > video.file_size {
                walked.missing = video.samples.len() - index;
                break;
            }
            let picture = match read_sample(&mut file, sample, &mut bytes)? {
                true => h264::coded_picture(&bytes, configuration.length_bytes),
                false => None,
            };
            let units = h264::nal_units(&bytes, configuration.length_bytes).filter(|_| picture.is_some());
            let poc = units.and_then(|units| pocs.poc(&units)).map(|poc| (sample.pts, poc));
            walked.pocs = walked.pocs.take().zip(poc).map(|(mut pocs, poc)| {
                pocs.push(poc);
                pocs
            });
            let reordered = last_pts.is_some_and(|last| sample.pts <= last);
            last_pts = Some(sample.pts);
            walked.take(sample, picture, &bytes, configuration);
            if reordered {
                walked.unsupported.get_or_insert(Unsupported::Reordered);
            }
        }
        Ok(walked)
    }

    fn take(
        &mut self,
        sample: &Sample,
        picture: Option<CodedPicture>,
        bytes: &[u8],
        configuration: &Configuration,
    ) {
        let Some(picture) = picture else {
            self.unsupported = Some(Unsupported::Unreadable);
            self.idr.push(false);
            self.references.push(true);
            self.keys_are_clean = false;
            return;
        };
        self.idr.push(picture.is_idr && sample.is_key);
        // Later pictures need parameter sets.
        self.references.push(picture.is_reference || picture.has_parameter_sets);
        let recovers = picture.recovery_frames == Some(0) && !picture.is_predicted;
        self.keys_are_clean &= !sample.is_key || picture.is_idr || recovers;
        let unsupported = if picture.is_layered || picture.slices == 0 {
            Some(Unsupported::Rare)
        } else if picture.has_parameter_sets && !configuration.repeats(bytes) {
            Some(Unsupported::Changing)
        } else if picture.has_b {
            Some(Unsupported::Bidirectional)
        } else {
            None
        };
        // What cannot be shown at all outranks what is merely inexact.
        match (self.unsupported, unsupported) {
            (None, found) => self.unsupported = found,
            (Some(before), Some(found)) if before.can_be_shown() && !found.can_be_shown() => {
                self.unsupported = Some(found);
            }
            (Some(_), _) => {}
        }
    }
}

impl Configuration {
    /// Whether all parameter sets within a coded picture repeat those of the configuration.
    fn repeats(&self, sample: &[u8]) -> bool {
        let mut units = h264::nal_units(sample, self.length_bytes).into_iter().flatten();
        units.all(|unit| match unit.first().map(|byte| byte & 0x1f) {
            Some(7) => self.sequences.iter().any(|set| set == unit),
            Some(8) => self.pictures.iter().any(|set| set == unit),
            _ => true,
        })
    }
}

/// Reads a coded picture into `bytes`; returns whether the file holds all of it.
pub(crate) fn read_sample(file: &mut File, sample: &Sample, bytes: &mut Vec<u8>) -> std::io::Result<bool> {
    bytes.clear();
    if sample.size > MOST_CODED {
        return Ok(false);
    }
    file.seek(SeekFrom::Start(sample.offset))?;
    let count = file.by_ref().take(u64::from(sample.size)).read_to_end(bytes)?;
    Ok(count == sample.size as usize && count > 0)
}
