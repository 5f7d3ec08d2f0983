//! What the program has to say, as a plain value: a code, a place, reasons and a mend. Knows nothing of ink or files.

mod alike;
mod code;
mod nearest;
mod phrase;

pub use alike::{MOST_ALIKE, Said};
pub use code::Code;
pub use nearest::{nearest, nearest_within};
pub use phrase::{did_you_mean, instead, list, plural};

use crate::text::Place;

/// How much a finding matters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum Severity {
    /// Worth knowing; changes nothing.
    Note,
    /// Worth a look; the work goes on and the result stands.
    Warning,
    /// Wrong: what it touches was not taken into account.
    Error,
}

/// A sentence under a finding that is not a place: why the rule is there, what to do, where it comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Note {
    /// What kind of sentence.
    pub kind: NoteKind,
    /// The sentence.
    pub text: String,
}

/// The kinds of sentence a finding may carry.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum NoteKind {
    /// Why the rule is there.
    Because,
    /// What to do about it.
    Remedy,
    /// What can hurt someone or cannot be put back.
    Caution,
    /// Where the number comes from.
    Source,
    /// What the value reads like: a unit slip or swapped digits.
    Slip,
    /// Anything else worth a line.
    Remark,
}

impl NoteKind {
    /// The word printed before the sentence.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            NoteKind::Because => "because",
            NoteKind::Remedy => "remedy",
            NoteKind::Caution => "caution",
            NoteKind::Source => "source",
            NoteKind::Slip => "slip?",
            NoteKind::Remark => "note",
        }
    }
}

/// One thing the program has to say.
///
/// The same value is read four ways: drawn in a terminal, written as JSON, as a code host's annotation, and by an editor.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// Which kind of finding, stable for ever.
    pub code: Code,
    /// How much it matters.
    pub severity: Severity,
    /// One lowercase sentence without a full stop, the part first.
    pub message: String,
    /// What it is about, in words that stay the same when the file is written again with other numbers; none where the
    /// message alone says it.
    pub about: Option<Box<str>>,
    /// Where it is, and at most three words on what is there.
    pub place: Option<(Place, String)>,
    /// Other places that explain it, each with at most three words.
    pub because: Vec<(Place, String)>,
    /// A full instruction that mends it, or nothing.
    pub help: Option<String>,
    /// Sentences that go with it.
    pub notes: Vec<Note>,
}

impl Finding {
    /// A finding with the severity its code usually has, and nothing else yet.
    #[must_use]
    pub fn new(code: Code, message: impl Into<String>) -> Finding {
        Finding {
            code,
            severity: code.severity(),
            message: message.into(),
            about: None,
            place: None,
            because: Vec::new(),
            help: None,
            notes: Vec::new(),
        }
    }

    /// Says what it is about, the same whatever was measured.
    #[must_use]
    pub fn about(mut self, words: impl Into<Box<str>>) -> Finding {
        self.about = Some(words.into());
        self
    }

    /// Says where, with a label of at most three words.
    #[must_use]
    pub fn at(mut self, place: Place, label: impl Into<String>) -> Finding {
        self.place = Some((place, label.into()));
        self
    }

    /// Adds another place that explains it.
    #[must_use]
    pub fn since(mut self, place: Place, label: impl Into<String>) -> Finding {
        self.because.push((place, label.into()));
        self
    }

    /// Adds the mend.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Finding {
        self.help = Some(help.into());
        self
    }

    /// Adds the mend if there is one.
    #[must_use]
    pub fn maybe_help(mut self, help: Option<String>) -> Finding {
        self.help = help.or(self.help);
        self
    }

    /// Adds a sentence.
    #[must_use]
    pub fn note(mut self, kind: NoteKind, text: impl Into<String>) -> Finding {
        self.notes.push(Note { kind, text: text.into() });
        self
    }

    /// What to write in place of what stands at its place, where its mend comes to that.
    #[must_use]
    pub fn mend(&self) -> Option<&str> {
        instead(self.help.as_deref()?)
    }

    /// Whether it is an error.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}
