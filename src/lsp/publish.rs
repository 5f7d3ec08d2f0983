//! Findings as an editor's diagnostics: where each is, what goes with it, and the other places that explain it.

use super::document::Document;
use super::position::{Encoding, Lines};
use super::{uri, wording};
use crate::finding::{Finding, Severity};
use crate::shop::{Papers, shipped};
use crate::text::{Place, Source, Span};
use lsp_types::{Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Range, Uri};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where places are, as the client sees them: open papers by the name it gave them.
pub(super) struct Map<'a> {
    pub(super) documents: &'a BTreeMap<PathBuf, Document>,
    pub(super) encoding: Encoding,
    /// Where the shipped rulebooks lie to be looked at.
    pub(super) shipped: Option<&'a Path>,
    /// Lines of files that are not open, by their names.
    lines: BTreeMap<String, (Source, Lines)>,
}

impl<'a> Map<'a> {
    pub(super) fn new(
        documents: &'a BTreeMap<PathBuf, Document>,
        encoding: Encoding,
        shipped: Option<&'a Path>,
    ) -> Map<'a> {
        Map { documents, encoding, shipped, lines: BTreeMap::new() }
    }

    /// The path a source is kept by; none for a shipped book nobody can look at.
    pub(super) fn key(&self, source: &Source) -> Option<PathBuf> {
        match source.name().strip_prefix("shipped ").filter(|book| shipped::names().contains(book)) {
            Some(book) => self.shipped.map(|folder| Papers::key(&folder.join(book))),
            None => Some(Papers::key(Path::new(source.name()))),
        }
    }

    pub(super) fn uri(&self, source: &Source) -> Option<Uri> {
        let key = self.key(source)?;
        match self.documents.get(&key) {
            Some(document) => Some(document.uri.clone()),
            None => uri::of(&key),
        }
    }

    /// The range of a span in its source.
    pub(super) fn range(&mut self, source: &Source, span: Span) -> Range {
        let known = self.lines.get(source.name()).is_some_and(|(of, _)| of.is_same(source));
        if !known {
            let lines = Lines::new(source.text(), self.encoding);
            self.lines.insert(source.name().to_string(), (source.clone(), lines));
        }
        match self.lines.get(source.name()) {
            Some((_, lines)) => lines.range(source.text(), span),
            None => Range::default(),
        }
    }

    pub(super) fn location(&mut self, place: &Place) -> Option<Location> {
        Some(Location::new(self.uri(&place.source)?, self.range(&place.source, place.span)))
    }

    /// A finding as a diagnostic of the file it is in; `home` where it has no place.
    pub(super) fn diagnostic(&mut self, finding: &Finding, home: &Place) -> (Source, Diagnostic) {
        let place = finding.place.as_ref().map_or(home, |(place, _)| place);
        let related: Vec<DiagnosticRelatedInformation> = finding
            .because
            .iter()
            .filter_map(|(place, label)| {
                let location = self.location(place)?;
                Some(DiagnosticRelatedInformation { location, message: label.clone() })
            })
            .collect();
        let diagnostic = Diagnostic {
            range: self.range(&place.source, place.span),
            severity: Some(severity(finding.severity)),
            code: Some(NumberOrString::String(finding.code.name().to_string())),
            source: Some(wording::SERVER.to_string()),
            message: wording::diagnostic(finding),
            related_information: (!related.is_empty()).then_some(related),
            ..Diagnostic::default()
        };
        (place.source.clone(), diagnostic)
    }
}

fn severity(severity: Severity) -> DiagnosticSeverity {
    match severity {
        Severity::Error => DiagnosticSeverity::ERROR,
        Severity::Warning => DiagnosticSeverity::WARNING,
        Severity::Note => DiagnosticSeverity::INFORMATION,
    }
}

/// Where a finding about a paper as a whole is shown: its first line that says something.
pub(super) fn home(source: &Source) -> Place {
    let text = source.text();
    let start = text.find(|letter: char| !letter.is_whitespace() && letter != '\u{feff}').unwrap_or(0);
    let length = text.get(start..).and_then(|rest| rest.lines().next()).map_or(0, |line| line.trim_end().len());
    source.place(Span::new(start, start + length))
}
