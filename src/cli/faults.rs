//! Prints the faults of a book as a compiler prints its own, and as JSON.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use rules::book::defect::Defect;
use rules::book::text::{Sources, Span};
use std::collections::BTreeSet;
use std::path::Path;

/// Each fault with its line of text. `folder` is what the user calls the book by, so that a place can be
/// opened from the terminal.
pub(super) fn text(faults: &[Defect], sources: &Sources, folder: &str, colours: bool) -> String {
    let renderer = if colours { Renderer::styled() } else { Renderer::plain() };
    faults
        .iter()
        .map(|fault| {
            let path = path(fault, sources, folder);
            format!("{}\n\n", renderer.render(&[report(fault, sources, &path)]))
        })
        .collect()
}

fn path(fault: &Defect, sources: &Sources, folder: &str) -> String {
    let file = sources.files().get(fault.at.file).map_or("", |file| file.path.as_str());
    Path::new(folder).join(file).display().to_string()
}

fn report<'a>(fault: &'a Defect, sources: &'a Sources, path: &'a str) -> Group<'a> {
    let title = Level::ERROR.primary_title(fault.message.as_str()).id(fault.kind.name());
    let mut group = Group::with_title(title);
    if let Some(file) = sources.files().get(fault.at.file) {
        let mut snippet = Snippet::source(file.text.as_str())
            .path(path)
            .annotation(AnnotationKind::Primary.span(range(fault.at)));
        for (at, says) in fault.beside.iter().filter(|(at, _)| at.file == fault.at.file) {
            snippet = snippet.annotation(AnnotationKind::Context.span(range(*at)).label(says.as_str()));
        }
        group = group.element(snippet);
    }
    match &fault.help {
        Some(help) => group.element(Level::HELP.message(help.as_str())),
        None => group,
    }
}

fn range(span: Span) -> std::ops::Range<usize> {
    span.start..span.end
}

/// "1 fault", "3 faults".
pub(super) fn count(faults: usize) -> String {
    format!("{faults} fault{}", if faults == 1 { "" } else { "s" })
}

/// "3 faults in 2 files".
pub(super) fn summary(faults: &[Defect]) -> String {
    let files: BTreeSet<usize> = faults.iter().map(|fault| fault.at.file).collect();
    let in_files = if files.len() > 1 { format!(" in {} files", files.len()) } else { String::new() };
    count(faults.len()) + &in_files
}

/// The faults as JSON.
pub(super) fn json(faults: &[Defect], sources: &Sources) -> Vec<serde_json::Value> {
    let one = |fault: &Defect| {
        let position = sources.position(fault.at);
        serde_json::json!({
            "file": sources.files().get(fault.at.file).map(|file| file.path.as_str()),
            "line": position.line,
            "column": position.column,
            "kind": fault.kind.name(),
            "message": fault.message,
            "help": fault.help,
        })
    };
    faults.iter().map(one).collect()
}
