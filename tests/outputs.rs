//! What a command writes never destroys what is there: every command that writes a file that a person named, against
//! every kind of thing that can lie in its place, with and without `--force`.
//!
//! After each run the folder is compared as a whole: names, kinds, bytes and modes. So what is refused has changed
//! nothing, and what is written has left nothing but the new file.

use crate::program::Data;
use rules::book::shipped;
use rusqlite::Connection;
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::{FileTypeExt as _, PermissionsExt as _, symlink};
use std::os::unix::net::UnixListener;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;
use testing::challenge::Challenge;
use testing::logs::in_folder;

/// A data folder with a ruled review, `r-1`.
fn desk() -> Data {
    let data = Data::new();
    Challenge::demo().rule(&mut in_folder(data.folder.path()), "r-1");
    data
}

/// Every command that writes a file that a person names, up to that name.
const WRITERS: [&[&str]; 9] = [
    &["log", "export", "--out"],
    &["log", "export", "--format", "parquet", "--out"],
    &["log", "export", "--head"],
    &["log", "show", "r-1", "--html"],
    &["log", "certify", "r-1", "--out"],
    &["log", "head", "--out"],
    &["log", "again", "draw", "LOG", "--reviews", "5", "--seed", "1", "--out"],
    &["audit", "LOG", "--out"],
    &["check", "saltmarsh", "--diagram"],
];

fn run(data: &Data, writer: &[&str], out: &Path, force: bool) -> crate::program::Ran {
    let (log, out) = (data.file("log.sqlite").display().to_string(), out.display().to_string());
    let named = writer.iter().map(|word| if *word == "LOG" { log.as_str() } else { word });
    let words: Vec<&str> = named.chain([out.as_str()]).chain(force.then_some("--force")).collect();
    data.run(&words)
}

/// One entry of a folder: its kind and mode, and its bytes or where it leads.
fn entry(path: &Path) -> (String, Vec<u8>) {
    let about = fs::symlink_metadata(path).expect("it is there");
    let (kind, mode) = (about.file_type(), about.permissions().mode() & 0o777);
    if kind.is_symlink() {
        return (
            "link".to_owned(),
            fs::read_link(path).expect("a link").into_os_string().into_encoded_bytes(),
        );
    }
    let bytes = if kind.is_file() { fs::read(path).expect("it can be read") } else { Vec::new() };
    let word = match (kind.is_file(), kind.is_dir(), kind.is_fifo()) {
        (true, ..) => "file",
        (_, true, _) => "folder",
        (.., true) => "pipe",
        (..) => "other",
    };
    (format!("{word} {mode:o}"), bytes)
}

/// All that lies in a folder and below.
fn all_of(folder: &Path) -> BTreeMap<PathBuf, (String, Vec<u8>)> {
    let mut found = BTreeMap::new();
    for one in fs::read_dir(folder).expect("it can be listed") {
        let path = one.expect("it can be listed").path();
        if fs::symlink_metadata(&path).expect("it is there").is_dir() {
            found.extend(all_of(&path));
        }
        found.insert(path.clone(), entry(&path));
    }
    found
}

/// Whether a target may be written over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum May {
    /// Nothing is there.
    Always,
    /// Somebody's file.
    ByForce,
    /// A file of tellframe, or not a file.
    Never,
}

/// A thing that lies where a command is to write: its name, whether it may be written over, and a function that
/// makes it and returns the path to write to.
type Target = (&'static str, May, fn(&Path, &Path) -> PathBuf);

const TARGETS: &[Target] = &[
    ("absent", May::Always, |folder, _| folder.join("out")),
    ("absent, through a linked folder", May::Always, |folder, _| {
        fs::create_dir(folder.join("real")).expect("made");
        symlink(folder.join("real"), folder.join("linked")).expect("linked");
        folder.join("linked/out")
    }),
    ("absent, with a planted .part link", May::Always, |folder, _| {
        fs::write(folder.join("precious"), "keep me").expect("written");
        symlink(folder.join("precious"), folder.join("out.part")).expect("linked");
        folder.join("out")
    }),
    ("a file", May::ByForce, |folder, _| written(folder, "out", b"old text")),
    ("an empty file", May::ByForce, |folder, _| written(folder, "out", b"")),
    ("a file of a longer page", May::ByForce, |folder, _| written(folder, "out", &[b'x'; 3 << 20])),
    ("a log", May::Never, |folder, data| copied(data, "log.sqlite", folder, "log.sqlite")),
    ("a log of another name", May::Never, |folder, data| copied(data, "log.sqlite", folder, "season.db")),
    ("a hard link of a log", May::Never, |folder, data| {
        let log = copied(data, "log.sqlite", folder, "log.sqlite");
        fs::hard_link(log, folder.join("other")).expect("linked");
        folder.join("other")
    }),
    ("a database", May::Never, |folder, _| {
        let raw = Connection::open(folder.join("data.db")).expect("made");
        raw.execute_batch("CREATE TABLE t (x)").expect("written");
        folder.join("data.db")
    }),
    ("a write-ahead file", May::Never, |folder, data| companion(folder, data, "-wal")),
    ("a shared-memory file", May::Never, |folder, data| companion(folder, data, "-shm")),
    ("a rollback journal", May::Never, |folder, data| companion(folder, data, "-journal")),
    ("a lock", May::Never, |folder, data| companion(folder, data, ".lock")),
    ("a head beside a log", May::Never, |folder, data| companion(folder, data, ".head")),
    ("an unfinished log", May::Never, |folder, data| companion(folder, data, ".new")),
    ("a write-ahead file that is not there", May::Never, |folder, data| {
        copied(data, "log.sqlite", folder, "season.db");
        folder.join("season.db-wal")
    }),
    ("the name of a log, absent", May::Never, |folder, _| folder.join("log.sqlite")),
    ("the name of a key, absent", May::Never, |folder, _| folder.join("key.pem")),
    ("a key", May::Never, |folder, data| copied(data, "key.pem", folder, "key.pem")),
    ("a key of another name", May::Never, |folder, data| copied(data, "key.pem", folder, "desk")),
    ("a book", May::Never, |folder, _| book(folder).join("book.ron")),
    ("a question of a book", May::Never, |folder, _| book(folder).join("false-start.ron")),
    ("a new file that would be part of a book", May::Never, |folder, _| book(folder).join("new.ron")),
    ("a folder", May::Never, |folder, _| {
        fs::create_dir(folder.join("out")).expect("made");
        folder.join("out")
    }),
    ("a pipe", May::Never, pipe),
    ("a socket", May::Never, |folder, _| {
        drop(UnixListener::bind(folder.join("out")).expect("bound"));
        folder.join("out")
    }),
    ("a link to a file", May::Never, |folder, _| linked(folder, &written(folder, "other", b"old text"))),
    ("a link to a log", May::Never, |folder, data| {
        linked(folder, &copied(data, "log.sqlite", folder, "log.sqlite"))
    }),
    ("a link to a key", May::Never, |folder, data| {
        linked(folder, &copied(data, "key.pem", folder, "key.pem"))
    }),
    ("a link to a folder", May::Never, |folder, data| {
        fs::create_dir(folder.join("other")).expect("made");
        let _ = data;
        linked(folder, &folder.join("other"))
    }),
    ("a link to a device", May::Never, |folder, _| linked(folder, Path::new("/dev/null"))),
    ("a link to a pipe", May::Never, |folder, data| {
        let pipe = pipe(folder, data);
        symlink(&pipe, folder.join("link")).expect("linked");
        folder.join("link")
    }),
    ("a link to nothing", May::Never, |folder, _| linked(folder, &folder.join("nothing"))),
    ("a file in a folder that is not there", May::Never, |folder, _| folder.join("nowhere/out")),
    ("a file below a file", May::Never, |folder, _| written(folder, "file", b"x").join("out")),
    ("a name that ends as a folder's", May::Never, |folder, _| folder.join("new/")),
];

fn written(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    fs::write(folder.join(name), bytes).expect("written");
    folder.join(name)
}

fn copied(data: &Path, from: &str, folder: &Path, name: &str) -> PathBuf {
    fs::copy(data.join(from), folder.join(name)).expect("copied");
    folder.join(name)
}

fn companion(folder: &Path, data: &Path, suffix: &str) -> PathBuf {
    copied(data, "log.sqlite", folder, "log.sqlite");
    written(folder, &format!("log.sqlite{suffix}"), b"what only the log can read")
}

fn book(folder: &Path) -> PathBuf {
    for source in shipped::sources("saltmarsh").expect("shipped").files() {
        let path = folder.join("book").join(&source.path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(path, &source.text).expect("written");
    }
    folder.join("book")
}

fn pipe(folder: &Path, _: &Path) -> PathBuf {
    let made = Command::new("mkfifo").arg(folder.join("out")).status().expect("mkfifo runs");
    assert!(made.success());
    folder.join("out")
}

fn linked(folder: &Path, to: &Path) -> PathBuf {
    symlink(to, folder.join("link")).expect("linked");
    folder.join("link")
}

/// Runs one writer onto one target; what is wrong with what came of it.
fn wrong(data: &Data, writer: &[&str], (name, may, make): &Target, force: bool) -> Option<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let out = make(folder.path(), data.folder.path());
    let before = all_of(folder.path());
    let ran = run(data, writer, &out, force);
    let mut after = all_of(folder.path());
    let said = format!("{} onto {name}, force {force}: {} {}", writer.join(" "), ran.status, ran.err);
    let allowed = *may == May::Always || (*may == May::ByForce && force);
    if !allowed {
        let path = out.display().to_string();
        let told = ran.err.lines().any(|line| {
            line.starts_with("error: ")
                && line.contains(path.trim_end_matches('/'))
                && line.len() > path.len()
        });
        return match (ran.status, told, after == before) {
            (2, true, true) => None,
            (_, _, false) => Some(format!("{said}: it changed what was there")),
            (_, false, _) => Some(format!("{said}: the message does not name {path}")),
            (..) => Some(format!("{said}: status 2 was due")),
        };
    }
    // The linked folder is seen under its real name.
    let real = out.parent().and_then(|folder| folder.canonicalize().ok()).expect("a folder").join("out");
    let real = folder
        .path()
        .canonicalize()
        .expect("there")
        .join(real.strip_prefix(folder.path().canonicalize().expect("there")).expect("inside"));
    let key =
        folder.path().join(real.strip_prefix(folder.path().canonicalize().expect("there")).expect("in"));
    let new = after.remove(&key);
    let old = before.get(&key);
    let others: BTreeMap<_, _> = before.iter().filter(|(path, _)| **path != key).collect();
    match new {
        _ if ran.status != 0 => Some(format!("{said}: it should be written")),
        None => Some(format!("{said}: nothing was written")),
        Some((kind, _)) if kind != "file 600" => Some(format!("{said}: it is a {kind}")),
        Some((_, bytes)) if bytes.is_empty() || old.is_some_and(|(_, old)| *old == bytes) => {
            Some(format!("{said}: it is not the new file"))
        }
        Some(_) if after.iter().collect::<BTreeMap<_, _>>() != others => {
            Some(format!("{said}: it left or changed something else"))
        }
        Some(_) => None,
    }
}

// PROPERTY: no command writes over a log, its companions, a key, a database or a book; other files only by `--force`; never through a link
#[test]
fn every_command_that_writes_leaves_what_is_there_or_writes_a_whole_new_file() {
    let found: Vec<String> = std::thread::scope(|scope| {
        let lanes = [false, true].map(|force| {
            scope.spawn(move || {
                // A desk of its own: one of the commands writes to the log, which has room for one desk at a time.
                let data = desk();
                let pairs =
                    WRITERS.iter().flat_map(|writer| TARGETS.iter().map(move |target| (writer, target)));
                let wrong = pairs.filter_map(|(writer, target)| wrong(&data, writer, target, force));
                let wrong = wrong.collect::<Vec<_>>();
                assert_eq!(data.run(&["log", "verify"]).status, 0);
                wrong
            })
        });
        lanes.into_iter().flat_map(|lane| lane.join().expect("it ran")).collect()
    });
    let count = WRITERS.len() * TARGETS.len() * 2;
    assert!(found.is_empty(), "{} of {count} are wrong:\n{}", found.len(), found.join("\n"));
}

/// The log that is read, its key and its lock, named by the command itself.
// PROPERTY: no command writes over a log, its companions, a key, a database or a book; other files only by `--force`; never through a link
#[test]
fn no_command_writes_over_the_log_that_it_reads_or_the_key_that_signs() {
    let data = desk();
    let entries = data.run(&["log", "head"]).json()["entries"].clone();
    let kept = |name: &str| fs::read(data.file(name)).expect("it is there");
    let before = ["log.sqlite", "key.pem", "log.sqlite.lock"].map(kept);
    for writer in WRITERS {
        for name in ["log.sqlite", "log.sqlite-wal", "log.sqlite-shm", "log.sqlite.lock", "key.pem"] {
            for force in [false, true] {
                let ran = run(&data, writer, &data.file(name), force);
                assert_eq!(ran.status, 2, "{} {name} {force}: {}", writer.join(" "), ran.err);
            }
        }
    }
    assert_eq!(["log.sqlite", "key.pem", "log.sqlite.lock"].map(kept), before);
    assert_eq!(data.run(&["log", "verify"]).status, 0);
    assert_eq!(data.run(&["log", "head"]).json()["entries"], entries);
}

#[test]
fn records_that_are_read_are_written_over_only_by_force_and_read_wholly_before() {
    let data = desk();
    let lines = data.run(&["log", "export"]).out;
    let file = data.file("records.jsonl");
    fs::write(&file, &lines).expect("written");
    let name = file.display().to_string();
    let ran = data.run(&["audit", &name, "--out", &name]);
    assert_eq!((ran.status, fs::read_to_string(&file).expect("there")), (2, lines), "{}", ran.err);
    let ran = data.run(&["audit", &name, "--out", &name, "--force", "--json"]);
    assert_eq!((ran.status, &ran.json()["rulings"]), (0, &serde_json::json!(1)), "{}", ran.err);
    assert!(fs::read_to_string(&file).expect("there").trim_end().ends_with("</html>"));
}

#[test]
fn one_file_is_not_both_the_records_and_their_head() {
    let data = desk();
    for (head, out) in [("one", "one"), ("one", "./one"), ("linked/one", "one")] {
        let folder = tempfile::tempdir().expect("a folder");
        symlink(folder.path(), folder.path().join("linked")).expect("linked");
        let path = |name: &str| folder.path().join(name).display().to_string();
        for force in [&[][..], &["--force"]] {
            let words = ["log", "export", "--head", &path(head), "--out", &path(out)];
            let ran = data.run(&[&words[..], force].concat());
            assert_eq!((ran.status, folder.path().join("one").exists()), (2, false), "{}", ran.err);
        }
    }
    // Where the second cannot be written, the first is not either.
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name).display().to_string();
    fs::write(path("records.jsonl"), "mine").expect("written");
    let ran = data.run(&["log", "export", "--head", &path("head.json"), "--out", &path("records.jsonl")]);
    assert_eq!((ran.status, Path::new(&path("head.json")).exists()), (2, false), "{}", ran.err);
}

/// No room: the shell allows files of half a kilobyte, and a drawing takes more.
// PROPERTY: without room the old file stays, and nothing is left beside it
#[test]
fn where_there_is_no_room_the_old_file_stays_and_nothing_is_left_beside_it() {
    let draw = |folder: &TempDir, force: &str| {
        let script = format!(
            "trap '' XFSZ; ulimit -f 1; exec '{}' --data '{}' check saltmarsh --diagram '{}' {force}",
            env!("CARGO_BIN_EXE_tellframe"),
            folder.path().join("data").display(),
            folder.path().join("out").display(),
        );
        Command::new("bash").args(["-c", &script]).output().expect("bash runs")
    };
    for force in ["", "--force"] {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("data")).expect("made");
        if !force.is_empty() {
            written(folder.path(), "out", b"old text");
        }
        let before = entry_names(folder.path());
        let ran = draw(&folder, force);
        assert_eq!(ran.status.code(), Some(2), "{ran:?}");
        assert_eq!(entry_names(folder.path()), before);
        if !force.is_empty() {
            assert_eq!(fs::read(folder.path().join("out")).expect("there"), b"old text");
        }
    }
}

fn entry_names(folder: &Path) -> Vec<PathBuf> {
    let mut names: Vec<PathBuf> =
        fs::read_dir(folder).expect("listed").map(|one| one.expect("listed").path()).collect();
    names.sort();
    names
}

/// Whoever may write anywhere (root) cannot try this.
#[test]
fn a_folder_that_may_not_be_written_is_said() {
    let (data, folder) = (desk(), tempfile::tempdir().expect("a folder"));
    let locked = folder.path().join("locked");
    fs::create_dir(&locked).expect("made");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).expect("set");
    if fs::write(locked.join("probe"), "x").is_ok() {
        println!("not run: this user may write into a folder without the right to");
        return;
    }
    for writer in WRITERS {
        let ran = run(&data, writer, &locked.join("out"), false);
        assert_eq!((ran.status, entry_names(&locked)), (2, Vec::new()), "{}", ran.err);
    }
}
