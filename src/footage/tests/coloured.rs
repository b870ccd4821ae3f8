//! Clips are coloured by the matrix and range that their files say: as FFmpeg does, and small copies as exact pictures.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::show::colour::{Coding, Matrix};
use footage::show::proxy::Proxy;
use footage::show::view::{Light, Lines, Shown, shown};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Sides of the pictures: large enough that a small copy is smaller, and of high definition where nothing is said.
const SIZE: (u32, u32) = (1280, 720);

fn ffmpeg(arguments: &[&str], file: &Path) -> Vec<u8> {
    let mut command = Command::new("ffmpeg");
    command.args(["-hide_banner", "-loglevel", "error", "-nostdin", "-y"]);
    let ran = command.args(arguments).arg(file).output().expect("FFmpeg runs");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    ran.stdout
}

/// A clip of coloured bars, one picture, whose stream states a matrix and a range by their numbers.
fn bars(folder: &Path, kind: &str, (matrix, full): (u32, u32)) -> PathBuf {
    let path = folder.join(format!("{matrix}-{full}.{kind}"));
    let stated = format!("h264_metadata=matrix_coefficients={matrix}:video_full_range_flag={full}");
    let source = ["-f", "lavfi", "-i", "smptehdbars=size=1280x720:rate=25", "-frames:v", "1"];
    let coded = ["-pix_fmt", "yuv420p", "-c:v", "libx264", "-preset", "ultrafast", "-bsf:v", &stated];
    ffmpeg(&[&source[..], &coded].concat(), &path);
    path
}

/// The first picture as FFmpeg colours it, with the matrix and range that the file states.
fn by_ffmpeg(path: &Path, matrix: &str, range: &str) -> Vec<u8> {
    let filter =
        format!("scale=in_color_matrix={matrix}:in_range={range}:flags=accurate_rnd+full_chroma_int");
    let input = path.to_str().expect("a plain path");
    let asked = ["-i", input, "-frames:v", "1", "-vf", &filter, "-pix_fmt", "rgba", "-f", "rawvideo"];
    ffmpeg(&asked, Path::new("-"))
}

/// Pixels that lie in plain colour in a picture of [`SIZE`]: all within sixteen columns and rows are alike.
fn plain(rgba: &[u8]) -> Vec<(usize, usize)> {
    let at = |x: usize, y: usize| &rgba[(y * SIZE.0 as usize + x) * 4..][..3];
    let is_like = |a: &[u8], b: &[u8]| a.iter().zip(b).all(|(a, b)| a.abs_diff(*b) <= 2);
    let is_plain = |x: usize, y: usize| {
        (0..33).all(|by| is_like(at(x + by - 16, y), at(x, y)) && is_like(at(x, y + by - 16), at(x, y)))
    };
    let places = (16..704).step_by(8).flat_map(|y| (16..1264).step_by(8).map(move |x| (x, y)));
    places.filter(|(x, y)| is_plain(*x, *y)).collect()
}

/// The colours of a picture at places of one of [`SIZE`].
fn colours(shown: &Shown, places: &[(usize, usize)]) -> Vec<[u8; 3]> {
    let (wide, high) = (shown.width as usize, shown.height as usize);
    let at = |(x, y): &(usize, usize)| {
        let (x, y) = (x * wide / SIZE.0 as usize, y * high / SIZE.1 as usize);
        let from = (y * wide + x) * 4;
        [shown.rgba[from], shown.rgba[from + 1], shown.rgba[from + 2]]
    };
    places.iter().map(at).collect()
}

/// The largest step between two lists of colours.
fn apart(one: &[[u8; 3]], other: &[[u8; 3]]) -> u8 {
    let steps = one.as_flattened().iter().zip(other.as_flattened()).map(|(a, b)| a.abs_diff(*b));
    steps.max().expect("some colours")
}

#[test]
fn a_clip_has_the_colours_that_its_file_says_at_every_size() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    // 2 is "unspecified" (ITU-T H.273, table 4): then the height of the clip says it.
    for (number, full, matrix, name, range) in [
        (1, 0, Matrix::Bt709, "bt709", "tv"),
        (6, 0, Matrix::Bt601, "bt601", "tv"),
        (9, 0, Matrix::Bt2020, "bt2020", "tv"),
        (2, 0, Matrix::Bt709, "bt709", "tv"),
        (6, 1, Matrix::Bt601, "bt601", "pc"),
    ] {
        // The first is read by the decoder that is built in, the second by FFmpeg.
        for kind in ["mp4", "mkv"] {
            let path = bars(folder.path(), kind, (number, full));
            let theirs = Shown { width: SIZE.0, height: SIZE.1, rgba: by_ffmpeg(&path, name, range) };
            let places = plain(&theirs.rgba);
            assert!(places.len() > 1000, "{}", places.len());
            let clip = Clip::open(&path, Some(&tools)).expect("it opens");
            assert_eq!(clip.coding, Coding { matrix, is_full_range: full == 1 }, "{number}");
            let how = (Lines::All, Light::AS_IT_IS, clip.coding);
            let exact = clip.picture(0).expect("it is decoded");
            let ours = shown(&exact, SIZE, how).expect("it is shown");
            let off = apart(&colours(&ours, &places), &colours(&theirs, &places));
            assert!(off <= 3, "{number} {full}: {off}");
            let copy = folder.path().join("proxy");
            let (proxy, mut writer) = Proxy::begin(&copy, clip.size, 1).expect("it is made");
            proxy.add(&mut writer, &exact).expect("it is written");
            let small = proxy.picture(0, 0).expect("it is read").expect("it is made");
            let small = shown(&small, (small.width, small.height), how).expect("it is shown");
            assert!(small.width < SIZE.0);
            let off = apart(&colours(&small, &places), &colours(&ours, &places));
            assert!(off <= 4, "{number} {full}: the small copy is off by {off}");
        }
    }
}

/// The numbers are those of ITU-T H.273, table 3: 16 is perceptual quantization, 18 hybrid log-gamma, 1 that of BT.709.
#[test]
fn a_clip_of_high_dynamic_range_says_that_it_is_shown_flat() {
    let Some(tools) = Tools::find(None) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    for (number, name) in [(16, Some("PQ")), (18, Some("HLG")), (1, None)] {
        for kind in ["mp4", "mkv"] {
            let path = folder.path().join(format!("{number}.{kind}"));
            let stated = format!("h264_metadata=transfer_characteristics={number}");
            let source = ["-f", "lavfi", "-i", "smptehdbars=size=320x180:rate=25", "-frames:v", "1"];
            let coded = ["-pix_fmt", "yuv420p", "-c:v", "libx264", "-bsf:v", &stated];
            ffmpeg(&[&source[..], &coded].concat(), &path);
            let clip = Clip::open(&path, Some(&tools)).expect("it opens");
            let said: Vec<String> = clip.faults.iter().map(ToString::to_string).collect();
            let expected = name.map(|name| {
                format!("high dynamic range: its curve is {name}, which is not applied; shown flat")
            });
            assert_eq!(said, Vec::from_iter(expected), "{number}.{kind}");
        }
    }
}
