//! Prints the faults of a book as a compiler prints its own, and as JSON.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use std::io::IsTerminal;
use tellframe::book::fault::Fault;
use tellframe::book::text::{Sources, Span};

/// Prints each fault with its line of text.
pub(super) fn print(faults: &[Fault], sources: &Sources) {
    let renderer = if std::io::stderr().is_terminal() { Renderer::styled() } else { Renderer::plain() };
    for fault in faults {
        eprintln!("{}\n", renderer.render(&[report(fault, sources)]));
    }
}

fn report<'a>(fault: &'a Fault, sources: &'a Sources) -> Group<'a> {
    let title = Level::ERROR.primary_title(fault.message.as_str()).id(fault.kind.name());
    let mut group = Group::with_title(title);
    if let Some(file) = sources.files().get(fault.at.file) {
        let mut snippet = Snippet::source(file.text.as_str())
            .path(file.path.as_str())
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

/// The faults as JSON.
pub(super) fn json(faults: &[Fault], sources: &Sources) -> Vec<serde_json::Value> {
    let one = |fault: &Fault| {
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
