//! What is wrong with a rule book: which defect, where, and what to write instead.

use super::text::{BOOK_FILE, Sources, Span};

/// The defects that a rule book can have. The name of each is also the name of its example in
/// `tests/bad-books/`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    Syntax,
    /// A file that the book names is not there, or one that is there is not named.
    Files,
    /// The form of the language is not known to this program.
    Language,
    Figure,
    UnknownName,
    DuplicateName,
    UnreachableStep,
    /// A step that leads back to itself.
    Cycle,
    /// One fact asked at two steps.
    SameFact,
    /// A finding without an effect on a call.
    NoEffect,
    /// A finding with two effects on a call.
    TwoEffects,
    NeverConfirmed,
    NeverReversed,
    /// A finding that no answer leads to.
    IdleFinding,
    /// A step whose answers all lead to the same place.
    IdleStep,
    /// A situation for which a line has no case.
    LineGap,
    /// A situation for which a line has two cases, and the book does not say which goes first.
    LineOverlap,
    /// The longest path takes more time than the book allows.
    TooLong,
    /// More steps, findings or options than a tree may have.
    TooMany,
    /// A tree creates a foul that it may not create, or may create one and never does.
    Creation,
    /// A restart that needs what nobody can give.
    Unobtainable,
    /// A remedy of the referee that the book's own bounds forbid.
    Bound,
    /// Sentences that stand where an earlier form of the language had them.
    Moved,
}

impl Kind {
    /// Every kind, in the order above.
    pub const ALL: [Kind; 23] = [
        Kind::Syntax,
        Kind::Files,
        Kind::Language,
        Kind::Figure,
        Kind::UnknownName,
        Kind::DuplicateName,
        Kind::UnreachableStep,
        Kind::Cycle,
        Kind::SameFact,
        Kind::NoEffect,
        Kind::TwoEffects,
        Kind::NeverConfirmed,
        Kind::NeverReversed,
        Kind::IdleFinding,
        Kind::IdleStep,
        Kind::LineGap,
        Kind::LineOverlap,
        Kind::TooLong,
        Kind::TooMany,
        Kind::Creation,
        Kind::Unobtainable,
        Kind::Bound,
        Kind::Moved,
    ];

    /// The defect's name in reports.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Syntax => "syntax",
            Kind::Files => "files",
            Kind::Language => "language",
            Kind::Figure => "figure",
            Kind::UnknownName => "unknown-name",
            Kind::DuplicateName => "duplicate-name",
            Kind::UnreachableStep => "unreachable-step",
            Kind::Cycle => "cycle",
            Kind::SameFact => "same-fact",
            Kind::NoEffect => "no-effect",
            Kind::TwoEffects => "two-effects",
            Kind::NeverConfirmed => "never-confirmed",
            Kind::NeverReversed => "never-reversed",
            Kind::IdleFinding => "idle-finding",
            Kind::IdleStep => "idle-step",
            Kind::LineGap => "line-gap",
            Kind::LineOverlap => "line-overlap",
            Kind::TooLong => "too-long",
            Kind::TooMany => "too-many",
            Kind::Creation => "creation",
            Kind::Unobtainable => "unobtainable",
            Kind::Bound => "bound",
            Kind::Moved => "moved",
        }
    }
}

/// One defect of a book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Defect {
    pub kind: Kind,
    pub at: Span,
    pub message: String,
    /// Other places that matter, with what stands there.
    pub beside: Vec<(Span, String)>,
    /// What to write instead.
    pub help: Option<String>,
}

impl Defect {
    /// A defect without further places or help.
    pub fn new(kind: Kind, at: Span, message: impl Into<String>) -> Defect {
        Defect { kind, at, message: message.into(), beside: Vec::new(), help: None }
    }

    /// Adds what to write instead.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Defect {
        self.help = Some(help.into());
        self
    }

    /// Adds another place that matters, with what stands there.
    #[must_use]
    pub fn beside(mut self, at: Span, says: impl Into<String>) -> Defect {
        self.beside.push((at, says.into()));
        self
    }

    /// `file:line:column: message`, in one line.
    pub fn line(&self, sources: &Sources) -> String {
        let file = sources.files().get(self.at.file).map_or(BOOK_FILE, |file| file.path.as_str());
        format!("{file}:{}: {}", sources.position(self.at), self.message)
    }
}

/// Keeps one syntax defect for each place: the first one explains those found later.
fn one_a_place(defects: &mut Vec<Defect>) {
    let mut seen: Vec<Span> = Vec::new();
    defects.retain(|defect| {
        let within = |span: &Span| {
            span.file == defect.at.file
                && (span.start == defect.at.start || (span.start..span.end).contains(&defect.at.start))
        };
        let new = defect.kind != Kind::Syntax || !seen.iter().any(within);
        if new && defect.kind == Kind::Syntax {
            seen.push(defect.at);
        }
        new
    });
}

/// Sorted by place, so that a report does not depend on the order of the checks; every place in its file.
pub(super) fn sorted(mut defects: Vec<Defect>, sources: &Sources) -> Vec<Defect> {
    one_a_place(&mut defects);
    for defect in &mut defects {
        defect.at = sources.whole(defect.at);
        defect.beside.iter_mut().for_each(|(at, _)| *at = sources.whole(*at));
    }
    defects.sort_by(|a, b| (a.at, a.kind, &a.message).cmp(&(b.at, b.kind, &b.message)));
    defects.dedup();
    defects
}

/// The most names that a hint lists.
const MOST_NAMED: usize = 24;

/// A hint: `did you mean` the nearest of the known names, else the list of them.
pub fn nearest<'a>(wrong: &str, known: impl Iterator<Item = &'a str>) -> String {
    let known: Vec<&str> = known.collect();
    // Two swapped letters make a short name unlike by Jaro-Winkler, but are one edit for OSA.
    let like = |name: &str| match strsim::osa_distance(wrong, name) {
        0 | 1 => 1.0,
        _ => strsim::jaro_winkler(wrong, name),
    };
    let best = known
        .iter()
        .map(|name| (like(name), name))
        .filter(|(score, _)| *score > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((_, name)) => format!("did you mean `{name}`?"),
        None if known.is_empty() => "there is none yet".to_owned(),
        None => match known.len().checked_sub(MOST_NAMED).filter(|more| *more > 1) {
            Some(more) => format!("there is: {}, and {more} more", known[..MOST_NAMED].join(", ")),
            None => format!("there is: {}", known.join(", ")),
        },
    }
}
