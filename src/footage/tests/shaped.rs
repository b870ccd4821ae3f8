//! Clips whose pixels are not square: read as FFmpeg's prober reads them, shown in their true shape, proven as stored.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::show::rotation::Rotation;
use footage::show::still;
use footage::show::view::{Light, Lines, Part, Shown};
use std::path::{Path, PathBuf};
use std::process::Command;
use testing::clips;

fn ran(program: &str, arguments: &[&str], file: &Path) -> Vec<u8> {
    let mut command = Command::new(program);
    let ran = command.args(arguments).arg(file).output().expect("it runs");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    ran.stdout
}

/// A clip of one picture: a white circle on black, as high as half the picture, its pixels of the shape `wide`:`high`.
/// `bsf` changes what the stream says afterwards, and not what the container does.
fn circle(path: &Path, coder: &str, size: (u32, u32), (wide, high): (u32, u32), bsf: &str) {
    let (across, down) =
        (f64::from(wide.max(high)) / f64::from(high), f64::from(wide.max(high)) / f64::from(wide));
    let radius = f64::from(size.1) * down / 4.0;
    let inside = format!("lt(hypot((X+0.5-W/2)*{across},(Y+0.5-H/2)*{down}),{radius})");
    let source = format!("nullsrc=size={}x{}:rate=25,format=yuv420p", size.0, size.1);
    let drawn = format!("geq=lum='if({inside},235,16)':cb=128:cr=128,setsar=sar={wide}/{high}:max=1000");
    let all = format!("{source},{drawn}");
    let mut arguments =
        vec!["-hide_banner", "-loglevel", "error", "-nostdin", "-y", "-f", "lavfi", "-i", &all];
    arguments.extend(["-frames:v", "1", "-c:v", coder, "-pix_fmt", "yuv420p"]);
    if !bsf.is_empty() {
        arguments.extend(["-bsf:v", bsf]);
    }
    drop(ran("ffmpeg", &arguments, path));
}

/// What FFmpeg's prober says of the shape of the pixels.
fn by_prober(path: &Path) -> String {
    let asked = ["-v", "error", "-select_streams", "V", "-show_entries", "stream=sample_aspect_ratio"];
    let said = ran("ffprobe", &[&asked[..], &["-of", "csv=p=0"]].concat(), path);
    String::from_utf8(said).expect("text").lines().next().expect("a line").trim_end_matches(',').to_owned()
}

fn whole(clip: &Clip, frame: usize) -> Shown {
    let (own, how) = (clip.shown_size(), (Lines::All, Light::AS_IT_IS, clip.coding));
    let picture = clip.picture(frame).expect("it is decoded");
    let size = clip.shown_pixel_aspect().stretched(own);
    clip.rotation.shown_part(&picture, (Part::whole(own), own), size, how).expect("it is shown")
}

/// Columns and rows in which something is bright.
fn extent(shown: &Shown) -> (usize, usize) {
    let wide = shown.width as usize;
    let is_lit = |at: usize| shown.rgba[at * 4] > 128;
    let high = shown.height as usize;
    let columns = (0..wide).filter(|x| (0..high).any(|y| is_lit(y * wide + x))).count();
    let rows = (0..high).filter(|y| (0..wide).any(|x| is_lit(y * wide + x))).count();
    (columns, rows)
}

/// Turns a copy of an MP4 clip by a quarter (ISO/IEC 14496-12, 8.3.2), and says that it is shown this wide.
fn changed(path: &Path, name: &str, is_turned: bool, shown: Option<(u32, u32)>) -> PathBuf {
    let mut bytes = std::fs::read(path).expect("it is there");
    let header = bytes.windows(4).position(|letters| letters == b"tkhd").expect("a track header");
    let matrix = header + 4 + 4 + 20 + 8 + 8;
    let mut put = |at: usize, value: i32| bytes[at..at + 4].copy_from_slice(&value.to_be_bytes());
    if is_turned {
        for (place, sign) in [(0, 0), (4, 1), (12, -1), (16, 0)] {
            put(matrix + place, sign << 16);
        }
    }
    if let Some((wide, high)) = shown {
        put(matrix + 36, (wide << 16).cast_signed());
        put(matrix + 40, (high << 16).cast_signed());
    }
    let copy = path.with_file_name(name);
    std::fs::write(&copy, bytes).expect("it can be written");
    copy
}

#[test]
fn a_circle_is_a_circle_whoever_says_the_shape_of_the_pixels() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    // The stream says 16:11 in the first of these, and its container 4:3: the container is believed.
    let other = "h264_metadata=sample_aspect_ratio=16/11";
    for (number, (kind, coder, size, pixel, bsf)) in [
        ("mp4", "libx264", (720, 540), (4, 3), other),
        ("mp4", "libx264", (720, 576), (16, 15), ""),
        ("ts", "libx264", (720, 540), (4, 3), ""),
        ("mkv", "libx264", (720, 480), (10, 11), ""),
        ("mp4", "libx265", (480, 540), (2, 1), ""),
        ("ts", "libx265", (720, 576), (12, 11), ""),
        ("ts", "libx264", (720, 540), (151, 100), ""),
    ]
    .into_iter()
    .enumerate()
    {
        let path = folder.path().join(format!("{number}.{kind}"));
        circle(&path, coder, size, pixel, bsf);
        let said = by_prober(&path);
        assert_eq!(said, format!("{}:{}", pixel.0, pixel.1), "{number}");
        let by_one = Clip::open(&path, Some(&tools)).expect("it opens");
        let built_in = Clip::open(&path, None).ok();
        assert_eq!(built_in.is_some(), (kind, coder) == ("mp4", "libx264"));
        for clip in [Some(by_one), built_in].into_iter().flatten() {
            assert_eq!((clip.pixel_aspect.to_string(), clip.size), (said.clone(), size), "{number}");
            let shown = whole(&clip, 0);
            let (across, down) = extent(&shown);
            assert!(across.abs_diff(down) <= 2 && across > 200, "{number}: {across} and {down}");
            let picture = clip.picture(0).expect("it is decoded");
            let kept =
                still::still(&picture, (clip.rotation, clip.pixel_aspect), clip.coding).expect("a still");
            let (across, down) = extent(&still::read(&kept).expect("it reads"));
            assert!(across.abs_diff(down) <= 2 && across > 200, "{number}: {across} and {down} in the still");
        }
    }
}

/// What is neither in a box of its own nor in the track's size is of the stream; both decoders say the same.
#[test]
fn the_box_comes_before_the_size_of_the_track_and_that_before_the_stream() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("circle.mp4");
    circle(&path, "libx264", (720, 540), (4, 3), "h264_metadata=sample_aspect_ratio=16/11");
    let without = folder.path().join("without.mp4");
    let mut bytes = std::fs::read(&path).expect("it is there");
    let at = bytes.windows(4).position(|letters| letters == b"pasp").expect("a box of pixel shape");
    bytes[at..at + 4].copy_from_slice(b"free");
    std::fs::write(&without, bytes).expect("it can be written");
    for (from, shown, expected) in [
        (&path, None, "4:3"),
        (&path, Some((1080, 540)), "4:3"),
        (&without, Some((1080, 540)), "3:2"),
        (&without, Some((720, 540)), "16:11"),
    ] {
        let copy = changed(from, "copy.mp4", false, shown);
        assert_eq!(by_prober(&copy), expected);
        for tools in [Some(&tools), None] {
            let clip = Clip::open(&copy, tools).expect("it opens");
            assert_eq!(clip.pixel_aspect.to_string(), expected, "{shown:?}");
        }
    }
}

/// Turned by a quarter, pixels that are wider than high are shown higher than wide.
#[test]
fn a_circle_on_its_side_is_a_circle_and_the_picture_is_proven_as_it_is_stored() {
    let folder = tempfile::tempdir().expect("a folder");
    let plain = folder.path().join("main.mp4");
    let mut bytes = std::fs::read(clips::folder().join("main.mp4")).expect("it is there");
    let at = bytes.windows(4).position(|letters| letters == b"pasp").expect("a box of pixel shape");
    bytes[at + 4..at + 12].copy_from_slice(&[0, 0, 0, 4, 0, 0, 0, 3]);
    std::fs::write(&plain, bytes).expect("it can be written");
    let stored = clips::stored("main.mp4");
    let clip = Clip::open(&changed(&plain, "wide.mp4", true, None), None).expect("it opens");
    assert_eq!((clip.rotation, clip.pixel_aspect.to_string().as_str()), (Rotation::Quarter, "4:3"));
    assert_eq!((clip.size, clip.shown_size()), ((96, 54), (54, 96)));
    let shown = whole(&clip, 5);
    assert_eq!((shown.width, shown.height), (54, 128));
    assert_eq!(clip.picture(5).expect("it is decoded").sha256(), stored.pictures[5].1);
    if Tools::find(None).is_none() {
        return;
    }
    let path = folder.path().join("circle.mp4");
    circle(&path, "libx264", (720, 540), (4, 3), "");
    let clip = Clip::open(&changed(&path, "turned.mp4", true, None), None).expect("it opens");
    let shown = whole(&clip, 0);
    assert_eq!((shown.width, shown.height), (540, 960));
    let (across, down) = extent(&shown);
    assert!(across.abs_diff(down) <= 2 && across > 200, "{across} and {down}");
}
