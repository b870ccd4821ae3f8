//! Ten thousand damaged clips of every kind, by every decoder: an error or frames, never a panic, a hang, or memory
//! without bound.
//!
//! `cargo bench --bench damaged_clips`; `TELLFRAME_DAMAGES=500` tries that many, `TELLFRAME_SEED=2` others. A file that
//! crashed the built-in decoder, or took longer than ten seconds, is kept in the folder for temporary files.

use testing::damage;

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::decode::worker::{PATIENCE, WorkerCommand};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

struct Mode {
    name: &'static str,
    worker: Option<WorkerCommand>,
    tools: Option<Tools>,
}

/// What became of the files of one mode.
#[derive(Default)]
struct Tally {
    files: u32,
    refused: u32,
    with_frames: u32,
    frames: usize,
    crashes: u32,
    stalls: u32,
    worst: Duration,
}

fn number(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

fn main() {
    let apart = || WorkerCommand {
        program: PathBuf::from(env!("CARGO_BIN_EXE_tellframe")),
        arguments: vec!["decode-apart".into()],
        patience: PATIENCE,
    };
    let mut modes = vec![
        Mode { name: "built in, in a process of its own", worker: Some(apart()), tools: None },
        Mode { name: "built in, in this process", worker: None, tools: None },
    ];
    if let Some(tools) = Tools::find(None) {
        modes.push(Mode { name: "FFmpeg where it is needed", worker: Some(apart()), tools: Some(tools) });
    }
    let sources = sources();
    let folder = tempfile::tempdir().expect("a folder");
    let rng_seed = RngSeed::Fixed(number("TELLFRAME_SEED", 1));
    let mut runner = TestRunner::new(Config { failure_persistence: None, rng_seed, ..Config::default() });
    let mut tallies: Vec<Tally> = modes.iter().map(|_| Tally::default()).collect();
    for round in 0..number("TELLFRAME_DAMAGES", 10_000) as usize {
        let damages = damage::damage().new_tree(&mut runner).expect("a case").current();
        let (source, mode) = (round % sources.len(), round / sources.len() % modes.len());
        let (name, whole) = &sources[source];
        let path = folder.path().join(name);
        std::fs::write(&path, damage::damaged(whole, &damages)).expect("it can be written");
        let bad = try_out(&path, &modes[mode], &mut tallies[mode]);
        if let Some(why) = bad {
            let kept = std::env::temp_dir().join(format!("damaged-{round}-{name}"));
            std::fs::copy(&path, &kept).expect("there is room");
            println!("{}: {why}: {}; {damages:?}", modes[mode].name, kept.display());
        }
    }
    println!("| decoder | files | refused | with frames | frames | crashed | stalled | longest |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (mode, tally) in modes.iter().zip(&tallies) {
        let Tally { files, refused, with_frames, frames, crashes, stalls, worst } = tally;
        let worst = worst.as_secs_f64();
        println!(
            "| {} | {files} | {refused} | {with_frames} | {frames} | {crashes} | {stalls} | {worst:.2} s |",
            mode.name
        );
    }
    println!("most memory of this process: {}", testing::peak_memory());
}

/// The clips of the tests: names and contents.
fn sources() -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clips");
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let files = entries.map(|entry| entry.expect("it can be listed").path());
    let clips = files.filter(|path| path.extension().is_none_or(|ending| ending != "frames"));
    let mut found: Vec<(String, Vec<u8>)> = clips
        .map(|path| {
            let name = path.file_name().expect("a file").to_string_lossy().into_owned();
            (name, std::fs::read(&path).expect("it can be read"))
        })
        .collect();
    found.sort();
    found
}

/// Opens a file and decodes what it has, some frames at most; answers what is wrong with how that went.
fn try_out(path: &Path, mode: &Mode, tally: &mut Tally) -> Option<String> {
    let start = Instant::now();
    tally.files += 1;
    let mut bad = None;
    match Clip::open(path, mode.tools.as_ref()) {
        Err(reason) => {
            assert!(!reason.to_string().is_empty());
            tally.refused += 1;
        }
        Ok(clip) => {
            let clip = clip.with_worker(mode.worker.as_ref());
            let (mut came, size) = (0, u64::from(clip.size.0) * u64::from(clip.size.1));
            let ended = clip.pictures(0..clip.frames.len().min(40), &mut |_, picture| {
                assert!(picture.samples.len() as u64 <= size * 8 + 64, "{picture:?}");
                came += 1;
                ControlFlow::Continue(())
            });
            tally.with_frames += u32::from(came > 0);
            tally.frames += came;
            let why = ended.err().map(|why| why.to_string()).unwrap_or_else(String::new);
            let (crashed, stalled) = (why.contains("crashed"), why.contains("made no progress for"));
            tally.crashes += u32::from(crashed);
            tally.stalls += u32::from(stalled);
            bad = (crashed || stalled).then_some(why);
        }
    }
    let took = start.elapsed();
    tally.worst = tally.worst.max(took);
    bad.or_else(|| (took > Duration::from_secs(10)).then(|| format!("it took {:.1} s", took.as_secs_f64())))
}
