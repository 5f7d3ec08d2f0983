//! Draws a finding for the bench: what was measured and what it may be, why, what to do; then where it stands, in the
//! record and in the rulebook. Refuses to know whether there is a terminal.

use super::excerpt::Excerpt;
use super::style::{self, Ink, Look};
use super::wording;
use crate::finding::{Finding, NoteKind, Severity};
use miette::{Diagnostic, LabeledSpan, ReportHandler, SourceCode};
use std::fmt;

/// Columns before the text of every line: two, the longest word before it, and two.
const MARGIN: usize = 11;

/// The order of what stands under the message: why, what to do, what to mind, where it comes from.
const ORDER: [Option<NoteKind>; 7] = [
    Some(NoteKind::Because),
    Some(NoteKind::Slip),
    Some(NoteKind::Remark),
    Some(NoteKind::Remedy),
    // The finding's own help.
    None,
    Some(NoteKind::Caution),
    Some(NoteKind::Source),
];

/// The drawing of one finding, ended by a line end.
///
/// Its message comes first, then the sentences that go with it, then each place with its file, line and column. Nothing
/// in it is obeyed by a terminal but the colours of `look`.
#[must_use]
pub fn draw(finding: &Finding, look: Look) -> String {
    Laid { card: &Card::new(finding, look), layout: Layout { look } }.to_string()
}

/// The line a finding begins with.
pub(super) fn heading(out: &mut String, severity: Severity, message: &str, look: Look) {
    row(out, wording::severity(severity), ink(severity), message, look);
}

fn ink(severity: Severity) -> Ink {
    match severity {
        Severity::Error => Ink::Fail,
        Severity::Warning => Ink::Mind,
        Severity::Note => Ink::Aside,
    }
}

/// A sentence after a word in the left column.
pub(super) fn sentence(out: &mut String, word: &str, text: &str, look: Look) {
    row(out, word, Ink::Faint, text, look);
}

fn row(out: &mut String, word: &str, ink: Ink, text: &str, look: Look) {
    let pad = " ".repeat((MARGIN - 2).saturating_sub(style::width(word)));
    style::wrapped(out, &format!("  {}{pad}", look.paint(ink, word)), MARGIN, text, look.width);
}

/// A finding as miette has them: a message, and what belongs to it below.
struct Card<'a> {
    finding: &'a Finding,
    lines: Vec<Line<'a>>,
}

/// What belongs to a finding: a sentence, or a place with its excerpt.
struct Line<'a> {
    word: &'a str,
    text: String,
    excerpt: Option<Excerpt>,
    /// Whether the finding is about this place; the others explain it.
    own: bool,
}

impl<'a> Card<'a> {
    fn new(finding: &'a Finding, look: Look) -> Card<'a> {
        let said = |word: &'a str, text: &str| Line { word, text: text.into(), excerpt: None, own: false };
        let mut lines = Vec::new();
        for kind in ORDER {
            match kind {
                Some(kind) => lines.extend(
                    finding.notes.iter().filter(|note| note.kind == kind).map(|note| said(kind.word(), &note.text)),
                ),
                None => lines.extend(finding.help.iter().map(|help| said(wording::HELP, help))),
            }
        }
        lines.push(said(wording::CODE, finding.code.name()));
        let most = look.width.saturating_sub(MARGIN).max(20);
        for (number, (place, label)) in finding.place.iter().chain(&finding.because).enumerate() {
            let own = number == 0 && finding.place.is_some();
            let excerpt = Some(Excerpt::of(place, own, most, look));
            lines.push(Line { word: wording::WHERE, text: label.clone(), excerpt, own });
        }
        Card { finding, lines }
    }
}

impl fmt::Display for Card<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.finding.message)
    }
}

impl fmt::Debug for Card<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.finding, formatter)
    }
}

impl std::error::Error for Card<'_> {}

impl Diagnostic for Card<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.finding.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Note => miette::Severity::Advice,
        })
    }

    fn related<'a>(&'a self) -> Option<Box<dyn Iterator<Item = &'a dyn Diagnostic> + 'a>> {
        Some(Box::new(self.lines.iter().map(|line| line as &dyn Diagnostic)))
    }
}

impl fmt::Display for Line<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.text)
    }
}

impl fmt::Debug for Line<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}: {}", self.word, self.text)
    }
}

impl std::error::Error for Line<'_> {}

impl Diagnostic for Line<'_> {
    /// The word in the left column.
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(self.word))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.excerpt.as_ref().map(|excerpt| excerpt as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let mark = &self.excerpt.as_ref()?.mark;
        let (label, span) = (Some(self.text.clone()), (mark.start, mark.len()));
        let label = if self.own {
            LabeledSpan::new_primary_with_span(label, span)
        } else {
            LabeledSpan::new_with_span(label, span)
        };
        Some(Box::new(std::iter::once(label)))
    }
}

/// The layout of a drawing: a column of words, and beside each what it stands for.
struct Layout {
    look: Look,
}

impl ReportHandler for Layout {
    fn debug(&self, diagnostic: &dyn Diagnostic, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut out = String::new();
        let severity = match diagnostic.severity() {
            Some(miette::Severity::Advice) => Severity::Note,
            Some(miette::Severity::Warning) => Severity::Warning,
            Some(miette::Severity::Error) | None => Severity::Error,
        };
        let ink = ink(severity);
        heading(&mut out, severity, &diagnostic.to_string(), self.look);
        for line in diagnostic.related().into_iter().flatten() {
            let word = line.code().map(|word| word.to_string()).unwrap_or_default();
            match (line.source_code(), line.labels().and_then(|mut labels| labels.next())) {
                (Some(source), Some(label)) => self.place(&mut out, &word, source, &label, ink)?,
                _ => sentence(&mut out, &word, &line.to_string(), self.look),
            }
        }
        formatter.write_str(&out)
    }
}

impl Layout {
    /// A place: file, line and column with what is there, then the line itself with the text underlined.
    fn place(
        &self,
        out: &mut String,
        word: &str,
        source: &dyn SourceCode,
        label: &LabeledSpan,
        ink: Ink,
    ) -> fmt::Result {
        let contents = source.read_span(label.inner(), 1, 0).map_err(|_| fmt::Error)?;
        let at = contents.name().unwrap_or_default();
        let said = label.label().filter(|label| !label.is_empty());
        let said = said.map_or_else(|| at.to_string(), |label| format!("{at}: {label}"));
        sentence(out, word, &said, self.look);
        let text = std::str::from_utf8(contents.data()).map_err(|_| fmt::Error)?;
        let (margin, start) = (" ".repeat(MARGIN), label.offset());
        let mut from = 0;
        for line in text.split_inclusive('\n') {
            out.push_str(format!("{margin}{}", line.trim_end()).trim_end());
            out.push('\n');
            if (from..from + line.len()).contains(&start) {
                let before = text.get(from..start).unwrap_or("");
                let marked = style::width(text.get(start..start + label.len()).unwrap_or(""));
                let line = match (marked, self.look.unicode) {
                    (0, true) => "↑".to_string(),
                    (0, false) => "^".to_string(),
                    (marked, true) => "━".repeat(marked),
                    (marked, false) => "=".repeat(marked),
                };
                let ink = if label.primary() { ink } else { Ink::Aside };
                out.push_str(&format!("{margin}{}{}\n", " ".repeat(style::width(before)), self.look.paint(ink, &line)));
            }
            from += line.len();
        }
        Ok(())
    }
}

/// A card in its layout, to be written.
struct Laid<'a> {
    card: &'a Card<'a>,
    layout: Layout,
}

impl fmt::Display for Laid<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.layout.debug(self.card, formatter)
    }
}

#[cfg(test)]
#[path = "terminal_tests.rs"]
mod tests;
