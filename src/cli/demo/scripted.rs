//! The challenges that the demo holds, each about a play of `demo/plays`: their scripts are built into the program.

use crate::cli::{Unable, input};
use formats::read::Form;
use formats::script::Script;

/// A challenge and its play.
pub(super) struct Scripted {
    /// The play, among those of `demo/plays`: its film is that of the challenge.
    pub play: &'static str,
    pub script: Script,
}

/// In the order of the game: the play, the file, its text.
const SCRIPTS: [(&str, &str, &str); 2] = [
    ("catch-beyond-wall", "demo/challenge.ron", include_str!("../../../demo/challenge.ron")),
    ("inside-line", "demo/alignment.ron", include_str!("../../../demo/alignment.ron")),
];

/// All of them, or the one about a play.
///
/// # Errors
/// [`Unable`] names the plays that have one.
pub(super) fn about(play: Option<&str>) -> Result<Vec<Scripted>, Unable> {
    let wanted = SCRIPTS.iter().filter(|(name, ..)| play.is_none_or(|play| play == *name));
    let read = |(play, file, text): &(&'static str, &str, &str)| {
        Ok(Scripted { play, script: input::parse(text, file, Form::Ron)?.into_value() })
    };
    let scripted: Vec<Scripted> = wanted.map(read).collect::<Result<_, Unable>>()?;
    match play {
        Some(play) if scripted.is_empty() => {
            let names: Vec<&str> = SCRIPTS.iter().map(|(name, ..)| *name).collect();
            Err(Unable::new(format!("no challenge is scripted about a play `{play}`"))
                .help(format!("name one of: {}; `--footage-only` films any other", names.join(", "))))
        }
        _ => Ok(scripted),
    }
}
