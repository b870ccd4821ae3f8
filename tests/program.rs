//! The built program, run in a data folder of its own.

use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// What a run came to.
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// A data folder; it is removed on drop.
pub struct Data {
    pub folder: TempDir,
}

impl Data {
    pub fn new() -> Data {
        Data { folder: tempfile::tempdir().expect("a folder") }
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs `tellframe --data FOLDER` with these arguments.
    pub fn run<A: AsRef<Path>>(&self, arguments: &[A]) -> Ran {
        let ran = Command::new(env!("CARGO_BIN_EXE_tellframe"))
            .arg("--data")
            .arg(self.folder.path())
            .args(arguments.iter().map(AsRef::as_ref))
            .output()
            .expect("the program was built");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
        Ran {
            status: ran.status.code().expect("it ended by itself"),
            out: text(ran.stdout),
            err: text(ran.stderr),
        }
    }
}

impl Ran {
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {} {}", self.out, self.err))
    }
}
