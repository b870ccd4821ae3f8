//! Footage at 1080p59.94 against its bounds and its peers, as one table.
//!
//! `cargo bench --bench footage` makes its clips with FFmpeg: H.264 High with two B-frames in groups of 60, and one
//! without B-frames in groups of 30, as the league's recorders write. Where `python3` has OpenCV or PyAV,
//! `scripts/seek-peers.py` times them on the same frames of the same clips in the same run. A desk has an FFmpeg that
//! waits: cold frames are timed without and with it, and with it both at once one after the other and a moment apart, as
//! a hand asks. `TELLFRAME_STEPS=1000` takes fewer steps than 10,000 for the memory.

use footage::clip::Clip;
use footage::deck::{Deck, Event, Quality, Request, Settings};
use footage::decode::ffmpeg::Tools;
use footage::decode::worker::{PATIENCE, WorkerCommand};
use footage::duplicate_frames;
use footage::show::proxy::Proxy;
use footage::show::view;
use footage::show::view::{Light, Lines};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

const FRAMES: usize = 300;

fn main() {
    let (Some(tools), Some(ahead)) = (Tools::find(None), Tools::find(None)) else {
        println!("FFmpeg is not installed: nothing is measured");
        return;
    };
    ahead.stand_by();
    let folder = tempfile::tempdir().expect("a folder");
    let with_b = make(folder.path(), "b-frames", (1920, 1080), &["-bf", "2", "-g", "60"]);
    let plain = make(folder.path(), "no-b-frames", (1920, 1080), &["-bf", "0", "-g", "30"]);
    let small = make(folder.path(), "small", (640, 360), &["-bf", "0", "-g", "30"]);
    println!("| what | median | 95 % | worst | n |");
    println!("| --- | --- | --- | --- | --- |");
    for (name, path) in [("two B-frames, group 60", &with_b), ("no B-frames, group 30", &plain)] {
        let clip = opened(name, path, &tools);
        let awaited = opened(name, path, &ahead);
        cold(&format!("{name}, nobody waits"), &clip, Duration::ZERO);
        // In turn with the peers, so that a machine that is busy for a while is busy for both.
        for _ in 0..2 {
            peers(name, path);
            cold(&format!("{name}, one that waits, a moment apart"), &awaited, MOMENT);
            cold(&format!("{name}, one that waits, at once"), &awaited, Duration::ZERO);
        }
        peers(name, path);
    }
    let clip = opened("for the proxy", &with_b, &tools);
    for_a_pane(&clip);
    anywhere(&clip, &proxies(&clip, folder.path()));
    for (name, path) in [("two B-frames", &with_b), ("no B-frames", &plain)] {
        warm(name, path, folder.path(), &tools);
    }
    four_cameras(&[&with_b, &plain, &with_b, &plain], folder.path(), &tools);
    memory(&small, folder.path(), &tools);
}

fn make(folder: &Path, name: &str, (width, height): (u32, u32), groups: &[&str]) -> PathBuf {
    let path = folder.join(format!("{name}.mp4"));
    let source = format!(
        "testsrc2=s={width}x{height}:r=60000/1001,noise=alls=8:allf=t,trim=end_frame={FRAMES},format=yuv420p"
    );
    let made = Command::new("ffmpeg")
        .args(["-hide_banner", "-loglevel", "error", "-nostdin", "-f", "lavfi", "-i", &source])
        .args(["-c:v", "libx264", "-preset", "veryfast", "-profile:v", "high", "-crf", "26"])
        .args(groups)
        // With B-frames the header must allow pictures to wait, without them it must not.
        .args(["-sc_threshold", "0"])
        .arg(&path)
        .status();
    assert!(made.is_ok_and(|status| status.success()), "FFmpeg makes the clip");
    path
}

fn apart() -> WorkerCommand {
    let program = PathBuf::from(env!("CARGO_BIN_EXE_tellframe"));
    WorkerCommand { program, arguments: vec!["decode-apart".into()], patience: PATIENCE }
}

fn opened(name: &str, path: &Path, tools: &Tools) -> Clip {
    let open = Instant::now();
    let clip = Clip::open(path, Some(tools)).expect("a clip").with_worker(Some(&apart()));
    let took = ms(open.elapsed());
    println!("| open {name}: {}, {} frames | {took:.0} ms | | | 1 |", clip.decoder(), clip.frames.len());
    clip
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn says(what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: usize| ms(times[(times.len() - 1) * share / 100]);
    let (median, p95, worst) = (at(50), at(95), at(100));
    println!("| {what} | {median:.2} ms | {p95:.2} ms | {worst:.2} ms | {} |", times.len());
}

/// The frames that the peers' script asks for as well.
fn some_frames(count: usize, frames: usize) -> impl Iterator<Item = usize> {
    (0..count).map(move |index| (index * 7919 + 31) % frames)
}

/// Between the cold frames that a hand asks for.
const MOMENT: Duration = Duration::from_millis(400);

fn cold(name: &str, clip: &Clip, apart: Duration) {
    let times = some_frames(20, clip.frames.len()).map(|frame| {
        std::thread::sleep(apart);
        let start = Instant::now();
        let picture = clip.picture(frame).expect("a picture");
        assert!(picture.exact);
        start.elapsed()
    });
    says(&format!("cold exact frame, {name}"), times.collect());
}

fn peers(name: &str, path: &Path) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("scripts/seek-peers.py");
    match Command::new("python3").arg(script).arg(path).arg(name).output() {
        Ok(said) if said.status.success() => print!("{}", String::from_utf8_lossy(&said.stdout)),
        Ok(_) | Err(_) => println!("| no peers: python3 or its libraries are not there | | | | |"),
    }
}

fn proxies(clip: &Clip, folder: &Path) -> Proxy {
    let (proxy, mut writer) =
        Proxy::begin(&folder.join("proxy"), clip.size, clip.frames.len()).expect("a file");
    let start = Instant::now();
    duplicate_frames::scan(&mut clip.clone(), &mut |_, picture| {
        proxy.add(&mut writer, picture).expect("room on the disk");
        ControlFlow::Continue(())
    });
    let each = clip.frames.len() as f64 / start.elapsed().as_secs_f64();
    println!("| looking through, with proxies | {each:.0} pictures a second | | | {} |", clip.frames.len());
    proxy
}

/// What a warm step costs at least: the picture is there, and is made ready for a pane of 1280 x 720.
fn for_a_pane(clip: &Clip) {
    let picture = clip.picture(150).expect("a picture");
    let one = |_| {
        let start = Instant::now();
        view::shown(&picture, (1280, 720), (Lines::All, Light::AS_IT_IS, clip.coding)).expect("it is shown");
        start.elapsed()
    };
    says("a picture made ready for a pane", (0..200).map(one).collect());
}

fn anywhere(clip: &Clip, proxy: &Proxy) {
    let one = |frame: usize| {
        let start = Instant::now();
        let small = proxy.picture(frame, 0).expect("it is read").expect("it is made");
        view::shown(&small, (small.width, small.height), (Lines::All, Light::AS_IT_IS, clip.coding))
            .expect("it is shown");
        start.elapsed()
    };
    says("proxy picture anywhere", some_frames(1000, clip.frames.len()).map(one).collect());
}

fn deck(folder: &Path, tools: &Tools, cache_bytes: usize, proxy_bytes: u64) -> (Deck, Receiver<Event>) {
    let (sender, events) = channel();
    let settings = Settings {
        cache_bytes,
        proxies: folder.to_owned(),
        proxy_bytes,
        tools: Some(tools.clone()),
        worker: Some(apart()),
    };
    (Deck::start(settings, sender), events)
}

fn request(pane: u32, clip: usize, frame: usize, size: (u32, u32), rests: bool) -> Request {
    Request { pane, clip, frame, size, part: None, lines: Lines::All, light: Light::AS_IT_IS, rests }
}

fn until_indexed(events: &Receiver<Event>) {
    while !matches!(events.recv().expect("the deck runs"), Event::Indexed { .. }) {}
}

fn until_exact(events: &Receiver<Event>, frame: usize) {
    loop {
        match events.recv().expect("the deck runs") {
            Event::Picture { request, quality: Quality::Exact, .. } if request.frame == frame => return,
            Event::NoPicture { why, .. } | Event::Refused { why, .. } => panic!("{why}"),
            Event::Changed { why, .. } => panic!("{why}"),
            Event::Picture { .. }
            | Event::NoProxy { .. }
            | Event::Opened { .. }
            | Event::Indexing { .. }
            | Event::Indexed { .. } => {}
        }
    }
}

/// From the request of an exact picture to the picture for a pane of 1280 x 720, in a neighbourhood that is warm.
fn warm(name: &str, path: &Path, folder: &Path, tools: &Tools) {
    let (deck, events) = deck(folder, tools, 512 << 20, 0);
    let clip = deck.open(vec![path.to_owned()])[0];
    until_indexed(&events);
    let middle = 150;
    deck.show(request(0, clip, middle, (1280, 720), true));
    until_exact(&events, middle);
    // The frames around are decoded ahead; the farthest of them comes last.
    std::thread::sleep(Duration::from_secs(8));
    let steps = |steps: &mut dyn Iterator<Item = i64>| -> Vec<Duration> {
        let one = |step: i64| {
            let frame = usize::try_from(middle as i64 + step).expect("in the clip");
            let start = Instant::now();
            deck.show(request(0, clip, frame, (1280, 720), true));
            until_exact(&events, frame);
            start.elapsed()
        };
        steps.map(one).collect()
    };
    let (mut on, mut back) = (Vec::new(), Vec::new());
    for _ in 0..4 {
        on.extend(steps(&mut (1..=25)));
        back.extend(steps(&mut (-25..25).rev()));
        on.extend(steps(&mut (-24..=0)));
    }
    says(&format!("step forward, warm, {name}"), on);
    says(&format!("step back, warm, {name}"), back);
}

/// Four panes of a quarter of the screen, asked for the next frame 59.94 times a second for five seconds, each time as a
/// playhead does it: a frame that has not come by then is skipped.
fn four_cameras(paths: &[&PathBuf; 4], folder: &Path, tools: &Tools) {
    let (deck, events) = deck(folder, tools, 256 << 20, 4 << 30);
    let clips = deck.open(paths.iter().map(|path| (*path).clone()).collect());
    clips.iter().for_each(|_| until_indexed(&events));
    let interval = Duration::from_secs(1001) / 60_000;
    let start = Instant::now();
    let mut came = [0_u32; 4];
    for tick in 0_u32..300 {
        for (pane, clip) in (0..).zip(&clips) {
            deck.show(request(pane, *clip, tick as usize, (640, 360), false));
        }
        let next = start + interval * (tick + 1);
        while let Some(left) = next.checked_duration_since(Instant::now()) {
            match events.recv_timeout(left) {
                Ok(Event::Picture { request, .. }) => came[request.pane as usize] += 1,
                Ok(other) => panic!("{other:?}"),
                Err(_) => break,
            }
        }
    }
    let took = start.elapsed().as_secs_f64();
    let slowest = came.iter().min().map_or(0.0, |count| f64::from(*count) / took);
    println!(
        "| four cameras at full speed, the slowest | {slowest:.1} pictures a second | | | {took:.1} s |"
    );
}

/// Memory of this process beyond what it takes without pictures, against the bound of the cache.
fn memory(path: &Path, folder: &Path, tools: &Tools) {
    const BOUND: usize = 64 << 20;
    let steps = std::env::var("TELLFRAME_STEPS").ok().and_then(|text| text.parse().ok()).unwrap_or(10_000);
    let (deck, events) = deck(folder, tools, BOUND, 0);
    let clip = deck.open(vec![path.to_owned()])[0];
    until_indexed(&events);
    let without = resident();
    let (mut at, mut frame, mut most) = (7_usize, 150_usize, 0_u64);
    for _ in 0..steps {
        // A linear congruential sequence: anywhere, and the same every time.
        at = at.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let far = [1, 1, 1, 10, 10, 60][(at >> 33) % 6];
        frame = if at >> 60 & 1 == 0 { (frame + far).min(FRAMES - 1) } else { frame.saturating_sub(far) };
        deck.show(request(0, clip, frame, (640, 360), true));
        until_exact(&events, frame);
        most = most.max(resident());
    }
    let beyond = most.saturating_sub(without) as f64 / BOUND as f64;
    println!(
        "| memory over {steps} random steps, of the bound of the cache | {:.1} % | | | |",
        100.0 * beyond
    );
}

/// Bytes of this process that are in memory; 0 where the system does not say.
fn resident() -> u64 {
    let statm = std::fs::read_to_string("/proc/self/statm").ok();
    let pages = statm.and_then(|text| text.split_whitespace().nth(1)?.parse::<u64>().ok());
    pages.map_or(0, |pages| pages * 4096)
}
