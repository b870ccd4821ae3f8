//! Footage at 1080p59.94: opening, cold exact frames, warm steps, proxies, four cameras at full speed.
//!
//! `cargo bench --bench footage` makes its clip with FFmpeg (H.264 High, two B-frames, groups of 60) or takes the one
//! that `TELLFRAME_BENCH_CLIP` names. `scripts/seek-peers.py CLIP` times the peers on the same frames.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};
use tellframe::footage::clip::Clip;
use tellframe::footage::deck::{Deck, Event, Quality, Request, Settings};
use tellframe::footage::ffmpeg::Tools;
use tellframe::footage::proxy::Proxy;
use tellframe::footage::survey;
use tellframe::footage::view::{self, Light, Lines};

const FRAMES: usize = 300;

fn main() {
    let Some(tools) = Tools::find(None) else {
        println!("FFmpeg is not installed: nothing is measured");
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    let path = std::env::var_os("TELLFRAME_BENCH_CLIP").map_or_else(|| make(folder.path()), PathBuf::from);
    let open = Instant::now();
    let clip = Clip::open(&path, Some(&tools)).expect("a clip");
    println!(
        "open: {:.0} ms for {} frames, decoder {}",
        ms(open.elapsed()),
        clip.frames.len(),
        clip.decoder()
    );
    cold(&clip);
    let proxy = proxies(&clip, folder.path());
    moving(&clip, &proxy);
    warm(&path, folder.path(), &tools);
}

fn make(folder: &Path) -> PathBuf {
    let path = folder.join("bench.mp4");
    let source = format!(
        "testsrc2=s=1920x1080:r=60000/1001,noise=alls=8:allf=t,trim=end_frame={FRAMES},format=yuv420p"
    );
    let made = Command::new("ffmpeg")
        .args(["-hide_banner", "-loglevel", "error", "-nostdin", "-f", "lavfi", "-i", &source])
        .args([
            "-c:v",
            "libx264",
            "-preset",
            "veryfast",
            "-profile:v",
            "high",
            "-bf",
            "2",
            "-g",
            "60",
            "-crf",
            "26",
        ])
        .arg(&path)
        .status();
    assert!(made.is_ok_and(|status| status.success()), "FFmpeg makes the clip");
    path
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn says(what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: usize| ms(times[(times.len() - 1) * share / 100]);
    println!(
        "{what}: median {:.2} ms, 95 % {:.2} ms, worst {:.2} ms, n {}",
        at(50),
        at(95),
        at(100),
        times.len()
    );
}

/// The frames that the peers' script asks for as well.
fn some_frames(count: usize, frames: usize) -> impl Iterator<Item = usize> {
    (0..count).map(move |index| (index * 7919 + 31) % frames)
}

fn cold(clip: &Clip) {
    let times = some_frames(15, clip.frames.len()).map(|frame| {
        let start = Instant::now();
        let picture = clip.picture(frame).expect("a picture");
        assert!(picture.exact);
        start.elapsed()
    });
    says("cold exact frame", times.collect());
}

fn proxies(clip: &Clip, folder: &Path) -> Proxy {
    let (proxy, mut writer) =
        Proxy::begin(&folder.join("proxy"), clip.size, clip.frames.len()).expect("a file");
    let start = Instant::now();
    survey::look_through(&mut clip.clone(), &mut |_, picture| {
        proxy.add(&mut writer, picture).expect("room on the disk");
        ControlFlow::Continue(())
    });
    let took = start.elapsed();
    println!(
        "looking through, with proxies: {:.0} pictures a second",
        clip.frames.len() as f64 / took.as_secs_f64()
    );
    proxy
}

fn moving(clip: &Clip, proxy: &Proxy) {
    let one = |frame: usize| {
        let start = Instant::now();
        let small = proxy.picture(frame, 0).expect("it is read").expect("it is made");
        view::shown(&small, (small.width, small.height), Lines::All, Light::AS_IT_IS).expect("it is shown");
        start.elapsed()
    };
    says("proxy picture anywhere", some_frames(1000, clip.frames.len()).map(one).collect());
    let start = Instant::now();
    for frame in 0..clip.frames.len() {
        for _camera in 0..4 {
            one(frame);
        }
    }
    let each = clip.frames.len() as f64 / start.elapsed().as_secs_f64();
    println!("four cameras in preview: {each:.0} pictures a second each");
}

fn until_picture(events: &Receiver<Event>, frame: usize) -> Quality {
    loop {
        match events.recv().expect("the deck runs") {
            Event::Picture { request, quality: Quality::Exact, .. } if request.frame == frame => {
                return Quality::Exact;
            }
            Event::NoPicture { why, .. } => panic!("{why}"),
            Event::Refused { why, .. } => panic!("{why}"),
            Event::Picture { .. } | Event::Opened { .. } | Event::Indexing { .. } | Event::Indexed { .. } => {
            }
        }
    }
}

/// From the request of an exact picture to the picture for a pane of 1280 x 720, in a neighbourhood that is warm.
fn warm(path: &Path, folder: &Path, tools: &Tools) {
    let (sender, events) = channel();
    let settings = Settings {
        cache_bytes: 512 << 20,
        proxies: folder.to_owned(),
        proxy_bytes: 0,
        tools: Some(tools.clone()),
        apart: None,
    };
    let deck = Deck::start(settings, sender);
    let clip = deck.open(vec![path.to_owned()])[0];
    while !matches!(events.recv().expect("the deck runs"), Event::Indexed { .. }) {}
    let show = |frame: usize| {
        let (lines, light) = (Lines::All, Light::AS_IT_IS);
        deck.show(Request { pane: 0, clip, frame, size: (1280, 720), part: None, lines, light, rests: true });
    };
    let middle = 150;
    show(middle);
    until_picture(&events, middle);
    // The frames around are decoded ahead; the farthest of them comes last.
    std::thread::sleep(Duration::from_secs(8));
    let there_and_back = (1..=25).chain((0..25).rev()).chain((1..=25).map(|step| -step)).chain(-25..0);
    let times = there_and_back.map(|step: i64| {
        let frame = usize::try_from(middle as i64 + step).expect("in the clip");
        let start = Instant::now();
        show(frame);
        until_picture(&events, frame);
        start.elapsed()
    });
    says("step, warm, 1280x720", times.collect());
}
