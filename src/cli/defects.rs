//! Prints the defects of a book as a compiler prints its own, and as JSON.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use rules::book::defect::Defect;
use rules::book::text::{Sources, Span};
use std::collections::BTreeSet;
use std::path::Path;

/// Each defect with its line of text. `folder` is what the user calls the book by, so that a place can be
/// opened from the terminal.
pub(super) fn text(defects: &[Defect], sources: &Sources, folder: &str, colours: bool) -> String {
    let renderer = if colours { Renderer::styled() } else { Renderer::plain() };
    defects
        .iter()
        .map(|defect| {
            let path = path(defect, sources, folder);
            format!("{}\n\n", renderer.render(&[report(defect, sources, &path)]))
        })
        .collect()
}

fn path(defect: &Defect, sources: &Sources, folder: &str) -> String {
    let file = sources.files().get(defect.at.file).map_or("", |file| file.path.as_str());
    Path::new(folder).join(file).display().to_string()
}

fn report<'a>(defect: &'a Defect, sources: &'a Sources, path: &'a str) -> Group<'a> {
    let title = Level::ERROR.primary_title(defect.message.as_str()).id(defect.kind.name());
    let mut group = Group::with_title(title);
    if let Some(file) = sources.files().get(defect.at.file) {
        let mut snippet = Snippet::source(file.text.as_str())
            .path(path)
            .annotation(AnnotationKind::Primary.span(range(defect.at)));
        for (at, says) in defect.beside.iter().filter(|(at, _)| at.file == defect.at.file) {
            snippet = snippet.annotation(AnnotationKind::Context.span(range(*at)).label(says.as_str()));
        }
        group = group.element(snippet);
    }
    match &defect.help {
        Some(help) => group.element(Level::HELP.message(help.as_str())),
        None => group,
    }
}

fn range(span: Span) -> std::ops::Range<usize> {
    span.start..span.end
}

/// "1 fault", "3 faults".
pub(super) fn count(defects: usize) -> String {
    format!("{defects} fault{}", if defects == 1 { "" } else { "s" })
}

/// "3 faults in 2 files".
pub(super) fn summary(defects: &[Defect]) -> String {
    let files: BTreeSet<usize> = defects.iter().map(|defect| defect.at.file).collect();
    let in_files = if files.len() > 1 { format!(" in {} files", files.len()) } else { String::new() };
    count(defects.len()) + &in_files
}

pub(super) fn json(defects: &[Defect], sources: &Sources) -> Vec<serde_json::Value> {
    let one = |defect: &Defect| {
        let position = sources.position(defect.at);
        serde_json::json!({
            "file": sources.files().get(defect.at.file).map(|file| file.path.as_str()),
            "line": position.line,
            "column": position.column,
            "kind": defect.kind.name(),
            "message": defect.message,
            "help": defect.help,
        })
    };
    defects.iter().map(one).collect()
}
