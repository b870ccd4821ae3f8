//! What the program did, for whoever helps an official later: a file a day in the data folder, a few kept;
//! and on stderr with `-v`. It never holds what officials wrote, and never stops a command.

use log::files;
use std::io::IsTerminal as _;
use std::path::Path;
use tracing::level_filters::LevelFilter;
use tracing_appender::rolling::{RollingFileAppender, Rotation};
use tracing_subscriber::Layer as _;
use tracing_subscriber::filter::Targets;
use tracing_subscriber::layer::SubscriberExt as _;
use tracing_subscriber::util::SubscriberInitExt as _;

/// A week: trouble in a game is looked into within days.
const FILES_KEPT: usize = 7;

/// Begins to trace into `folder`, if there is one and it can be written.
pub(super) fn start(verbose: u8, folder: Option<&Path>) {
    let file = match folder {
        Some(folder) => appender(&folder.join("traces")),
        None => Err("the system names no data folder for this user".to_owned()),
    };
    let (file, refused) = match file {
        Ok(file) => (Some(file), None),
        Err(refused) => (None, Some(refused)),
    };
    let only_ours = |level| Targets::new().with_target("tellframe", level);
    let to_file = file.map(|file| {
        tracing_subscriber::fmt::layer()
            .with_writer(std::sync::Mutex::new(file))
            .with_ansi(false)
            .log_internal_errors(false)
            .with_filter(only_ours(LevelFilter::DEBUG))
    });
    let level = match verbose {
        0 => LevelFilter::OFF,
        1 => LevelFilter::INFO,
        _ => LevelFilter::TRACE,
    };
    let to_stderr = tracing_subscriber::fmt::layer()
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal())
        .without_time()
        .with_target(false)
        .log_internal_errors(false)
        .with_filter(only_ours(level));
    // This fails only where a subscriber is set already, and then there is nothing to do.
    let _ = tracing_subscriber::registry().with(to_file).with(to_stderr).try_init();
    tracing::info!("tellframe {}", env!("CARGO_PKG_VERSION"));
    if let Some(refused) = refused {
        tracing::info!("no trace is kept: {refused}");
    }
}

fn appender(folder: &Path) -> Result<RollingFileAppender, String> {
    let refused = |error: &dyn std::fmt::Display| format!("cannot write in {}: {error}", folder.display());
    files::make_folder(folder).map_err(|error| refused(&error))?;
    // Traces are appended to, so a link under the name of one would have it written elsewhere.
    for entry in std::fs::read_dir(folder).map_err(|error| refused(&error))? {
        let path = entry.map_err(|error| refused(&error))?.path();
        if !std::fs::symlink_metadata(&path).map_err(|error| refused(&error))?.is_file() {
            return Err(refused(&format!("{} is not a file", path.display())));
        }
    }
    RollingFileAppender::builder()
        .rotation(Rotation::DAILY)
        .filename_prefix("tellframe")
        .filename_suffix("log")
        .max_log_files(FILES_KEPT)
        .build(folder)
        .map_err(|error| refused(&error))
}
