//! Draws a finding with the text it is about: the reading in the record and the row in the rulebook, both underlined.
//! Refuses to know whether there is a terminal.

use super::excerpt::Excerpt;
use super::style::{self, Ink, Look};
use super::wording;
use crate::finding::{Finding, Severity};
use crate::text::Place;
use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, SourceCode, ThemeCharacters, ThemeStyles};
use std::fmt;

/// The drawing of one finding, ended by a line end.
///
/// Its places come first, each with its file, line and column; then the sentences that go with it. Nothing in it is
/// obeyed by a terminal but the colours of `look`.
#[must_use]
pub fn draw(finding: &Finding, look: Look) -> String {
    let mut out = String::new();
    let drawing = Drawing::new(finding, look);
    if handler(finding, &drawing, look).render_report(&mut out, &drawing).is_err() {
        // A finding that cannot be drawn is still said.
        out.clear();
        out.push_str(&super::plain::line(finding));
    }
    for note in &finding.notes {
        sentence(&mut out, note.kind.word(), &note.text, look);
    }
    if let Some(help) = &finding.help {
        sentence(&mut out, wording::HELP, help, look);
    }
    out
}

pub(super) fn sentence(out: &mut String, word: &str, text: &str, look: Look) {
    let head = format!("    {} ", look.paint(Ink::Faint, &format!("{:<8}", format!("{word}:"))));
    style::wrapped(out, &head, 13, text, look.width);
}

/// A finding as miette wants it.
struct Drawing<'a> {
    finding: &'a Finding,
    excerpt: Excerpt,
    labels: Vec<LabeledSpan>,
}

impl Drawing<'_> {
    fn new(finding: &Finding, look: Look) -> Drawing<'_> {
        let places: Vec<&(Place, String)> = finding.place.iter().chain(&finding.because).collect();
        let excerpt = Excerpt::of(places.iter().map(|(place, _)| place), look);
        let labels = excerpt
            .marks
            .iter()
            .map(|mark| {
                let label = places.get(mark.place).map(|(_, label)| style::clean(label).into_owned());
                let label = label.filter(|label| !label.is_empty());
                let span = (mark.span.start, mark.span.len());
                if mark.place == 0 {
                    LabeledSpan::new_primary_with_span(label, span)
                } else {
                    LabeledSpan::new_with_span(label, span)
                }
            })
            .collect();
        Drawing { finding, excerpt, labels }
    }
}

impl fmt::Display for Drawing<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&style::clean(&self.finding.message))
    }
}

impl fmt::Debug for Drawing<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.finding, formatter)
    }
}

impl std::error::Error for Drawing<'_> {}

impl miette::Diagnostic for Drawing<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.finding.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Note => miette::Severity::Advice,
        })
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.excerpt)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        (!self.labels.is_empty()).then(|| Box::new(self.labels.iter().cloned()) as Box<_>)
    }
}

fn handler(finding: &Finding, drawing: &Drawing<'_>, look: Look) -> GraphicalReportHandler {
    let mut characters = if look.unicode { drawn_characters() } else { ThemeCharacters::ascii() };
    for mark in [&mut characters.error, &mut characters.warning, &mut characters.advice] {
        *mark = format!("{mark} {}:", finding.code.name());
    }
    let styles = if look.colour {
        let mut styles = ThemeStyles::ansi();
        styles.link = styles.linum;
        let first = match finding.severity {
            Severity::Error => styles.error,
            Severity::Warning => styles.warning,
            Severity::Note => styles.advice,
        };
        // One style for each mark in the order of the text, so that the finding's own place has its colour.
        styles.highlights =
            drawing.excerpt.marks.iter().map(|mark| if mark.place == 0 { first } else { styles.help }).collect();
        if styles.highlights.is_empty() {
            styles.highlights = vec![first];
        }
        styles
    } else {
        ThemeStyles::none()
    };
    GraphicalReportHandler::new_themed(GraphicalTheme { characters, styles })
        .with_width(look.width.max(40))
        .with_context_lines(1)
        .with_links(false)
        .without_syntax_highlighting()
        .without_cause_chain()
}

/// Square corners, and a heavy line under the text as a pencil would make.
fn drawn_characters() -> ThemeCharacters {
    ThemeCharacters {
        vbar_break: '│',
        uarrow: '↑',
        ltop: '┌',
        lbot: '└',
        underbar: '┯',
        underline: '━',
        error: "✗".into(),
        warning: "▲".into(),
        advice: "●".into(),
        ..ThemeCharacters::unicode()
    }
}

#[cfg(test)]
#[path = "terminal_tests.rs"]
mod tests;
