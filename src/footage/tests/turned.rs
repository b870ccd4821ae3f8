//! Clips that a player turns: shown upright, to the pixel as FFmpeg turns them by itself, and proven as they are stored.

use footage::clip::Clip;
use footage::deck::{Deck, Event, Quality, Request, Settings};
use footage::decode::ffmpeg::Tools;
use footage::picture::{Picture, PixelFormat};
use footage::show::proxy_folder::Room;
use footage::show::rotation::Rotation;
use footage::show::still;
use footage::show::view::{Light, Lines, Part, Shown, shown};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::mpsc::channel;
use std::time::Duration;
use testing::clips;

/// The matrices a, b, c, d of a track header (ISO/IEC 14496-12, 8.3.2), as signs: a place (x, y) is shown at
/// (a x + c y, b x + d y).
const TURNS: [(Rotation, [i32; 4]); 8] = [
    (Rotation::AsStored, [1, 0, 0, 1]),
    (Rotation::Quarter, [0, 1, -1, 0]),
    (Rotation::Half, [-1, 0, 0, -1]),
    (Rotation::ThreeQuarters, [0, -1, 1, 0]),
    (Rotation::Mirrored, [-1, 0, 0, 1]),
    (Rotation::MirroredQuarter, [0, -1, -1, 0]),
    (Rotation::MirroredHalf, [1, 0, 0, -1]),
    (Rotation::MirroredThreeQuarters, [0, 1, 1, 0]),
];

/// A copy of a clip of 96x54 or 96x64 whose track header has this matrix.
fn copy(name: &str, [a, b, c, d]: [i32; 4], folder: &Path) -> PathBuf {
    let mut bytes = std::fs::read(clips::folder().join(name)).expect("the clip is there");
    let header = bytes.windows(4).position(|letters| letters == b"tkhd").expect("a track header");
    // After the letters: version and flags, five numbers, two reserved, layer to volume; then a, b, u, c, d.
    let matrix = header + 4 + 4 + 20 + 8 + 8;
    for (place, sign) in [(0, a), (4, b), (12, c), (16, d)] {
        bytes[matrix + place..matrix + place + 4].copy_from_slice(&(sign << 16).to_be_bytes());
    }
    let path = folder.join(format!("{a}{b}{c}{d}-{name}"));
    std::fs::write(&path, bytes).expect("it can be written");
    path
}

fn whole(clip: &Clip, picture: &Picture) -> Shown {
    let own = clip.shown_size();
    let how = (Lines::All, Light::AS_IT_IS, clip.coding);
    clip.rotation.shown_part(picture, (Part::whole(own), own), own, how).expect("it is shown")
}

/// The first pictures of a clip as FFmpeg gives them to a player, turned.
fn turned_by_ffmpeg(path: &Path, size: (u32, u32), frames: usize) -> Vec<Picture> {
    let ran = Command::new("ffmpeg")
        .args(["-hide_banner", "-loglevel", "error", "-nostdin", "-i"])
        .arg(path)
        .args(["-frames:v", &frames.to_string(), "-fps_mode", "passthrough"])
        .args(["-f", "rawvideo", "-pix_fmt", "yuv420p", "-"])
        .output()
        .expect("FFmpeg runs");
    let (width, height) = size;
    let format = PixelFormat::plain(false);
    let picture =
        |samples: &[u8]| Picture { pts: 0, width, height, format, samples: samples.to_vec(), exact: true };
    ran.stdout.chunks(format.size(width, height)).map(picture).collect()
}

// PROPERTY: a turned clip is upright to the pixel, and proven as stored
#[test]
fn every_pixel_stands_where_ffmpeg_turns_it_and_is_proven_as_stored() {
    let folder = tempfile::tempdir().expect("a folder");
    let tools = Tools::find(None);
    for name in ["main.mp4", "high-b.mp4"] {
        let stored = clips::stored(name);
        for (turn, matrix) in TURNS {
            let path = copy(name, matrix, folder.path());
            let clip = Clip::open(&path, tools.as_ref()).expect("it opens");
            let (wide, high) = clip.size;
            let expected = match turn {
                Rotation::AsStored | Rotation::Half | Rotation::Mirrored | Rotation::MirroredHalf => {
                    (wide, high)
                }
                Rotation::Quarter
                | Rotation::ThreeQuarters
                | Rotation::MirroredQuarter
                | Rotation::MirroredThreeQuarters => (high, wide),
            };
            assert_eq!((clip.rotation, clip.shown_size()), (turn, expected), "{name}");
            let Some(_) = tools else { continue };
            let by_ffmpeg = turned_by_ffmpeg(&path, expected, 8);
            assert_eq!(by_ffmpeg.len(), 8, "{name} {turn:?}");
            let decoded = clip.pictures(0..8, &mut |frame, picture| {
                assert_eq!(
                    (picture.pts, picture.sha256()),
                    stored.pictures[frame],
                    "{name} {turn:?} {frame}"
                );
                let theirs = shown(&by_ffmpeg[frame], expected, (Lines::All, Light::AS_IT_IS, clip.coding));
                assert!(whole(&clip, &picture) == theirs.expect("it is shown"), "{name} {turn:?} {frame}");
                ControlFlow::Continue(())
            });
            decoded.expect("they are decoded");
        }
    }
}

#[test]
fn a_still_is_upright() {
    let folder = tempfile::tempdir().expect("a folder");
    for (turn, matrix) in TURNS {
        let clip = Clip::open(&copy("main.mp4", matrix, folder.path()), None).expect("it opens");
        let picture = clip.picture(3).expect("it is decoded");
        let still = still::read(
            &still::still(&picture, (clip.rotation, clip.pixel_aspect), clip.coding).expect("a still"),
        )
        .expect("it reads");
        let upright = whole(&clip, &picture);
        assert_eq!((still.width, still.height), (upright.width, upright.height));
        // JPEG keeps a picture about, and another turn of this one is nothing like it.
        let off = apart(&still, &upright);
        assert!(off < 12.0, "{turn:?}: {off}");
    }
}

/// How far two pictures of one size lie apart, in values of a byte, on average.
fn apart(one: &Shown, other: &Shown) -> f64 {
    let far: u64 = one.rgba.iter().zip(&other.rgba).map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
    far as f64 / one.rgba.len().max(1) as f64
}

/// A deck's pictures of a clip that was scanned; the small one while the playhead moves.
fn from_deck(path: &Path, folder: &Path, requests: &[Request]) -> Vec<(Quality, Shown)> {
    let (sender, events) = channel();
    let settings = Settings {
        cache_bytes: 1 << 20,
        proxies: folder.to_owned(),
        proxy_bytes: 1 << 30,
        tools: None,
        worker: None,
    };
    let room = |_: &Path| Ok(Room { free: 1 << 40, total: 1 << 40 });
    let deck = Deck::start_on(settings, sender, room);
    deck.open(vec![path.to_owned()]);
    let next = || events.recv_timeout(Duration::from_secs(120)).expect("the deck says something");
    while !matches!(next(), Event::Indexed { .. }) {}
    let answer = |asked: &Request| loop {
        match next() {
            Event::Picture { request, quality, shown }
                if request == *asked && (quality == Quality::Proxy) != asked.rests =>
            {
                return (quality, shown);
            }
            Event::NoPicture { why, .. } => panic!("{why}"),
            Event::Picture { .. }
            | Event::Opened { .. }
            | Event::Refused { .. }
            | Event::NoProxy { .. }
            | Event::Changed { .. }
            | Event::Indexing { .. }
            | Event::Indexed { .. } => {}
        }
    };
    let ask = |request: &Request| {
        deck.show(*request);
        answer(request)
    };
    requests.iter().map(ask).collect()
}

/// The small picture and the exact one, whole and near: each is that part of the upright picture.
#[test]
fn a_deck_gives_upright_pictures_and_parts_of_them() {
    for (turn, matrix) in TURNS {
        let folder = tempfile::tempdir().expect("a folder");
        let path = copy("main.mp4", matrix, folder.path());
        let clip = Clip::open(&path, None).expect("it opens");
        let own = clip.shown_size();
        let upright = whole(&clip, &clip.picture(20).expect("it is decoded"));
        let asked = Request {
            pane: 0,
            clip: 0,
            frame: 20,
            size: own,
            part: None,
            lines: Lines::All,
            light: Light::AS_IT_IS,
            rests: false,
        };
        let part = Part { x: 6, y: 14, width: 20, height: 12 };
        let near = Request { part: Some(part), size: (80, 48), rests: true, ..asked };
        let all = Request { part: Some(Part::whole(own)), rests: true, ..asked };
        let found = from_deck(&path, folder.path(), &[asked, near, all]);
        let qualities: Vec<Quality> = found.iter().map(|(quality, _)| *quality).collect();
        assert_eq!(qualities, [Quality::Proxy, Quality::Exact, Quality::Exact], "{turn:?}");
        assert!(found[0].1 == upright && found[2].1 == upright, "{turn:?}");
        let near = &found[1].1;
        assert_eq!((near.width, near.height), (80, 48));
        for (index, pixel) in near.rgba.chunks(4).enumerate() {
            let (x, y) = (part.x as usize + index % 80 / 4, part.y as usize + index / 80 / 4);
            let of = (y * own.0 as usize + x) * 4;
            assert_eq!(pixel, &upright.rgba[of..of + 4], "{turn:?} ({x}, {y})");
        }
    }
}
