//! The grade of each reading of an open record, at the end of its line. Refuses to say what the row asks: the cursor shows that.

use super::document::Kind;
use super::hover::all_rulings;
use super::keys::Keys;
use super::layout::seen;
use super::server::Server;
use super::wording;
use crate::judge::RulingReport;
use crate::record;
use crate::text::Span;
use lsp_types::{InlayHint, InlayHintLabel, InlayHintParams};
use std::collections::BTreeMap;

/// One hint a line, for all readings on it that a row judges; none where the user wants none.
pub(super) fn hints(server: &mut Server, params: InlayHintParams) -> Option<Vec<InlayHint>> {
    if !server.shows_hints {
        return Some(Vec::new());
    }
    let seen = seen(server, params.text_document).filter(|seen| seen.document.kind == Kind::Record)?;
    let sheet = record::read(&seen.document.source).0?;
    let mut by_place: BTreeMap<Span, Vec<RulingReport>> = BTreeMap::new();
    for ruling in all_rulings(&seen) {
        let place = ruling.place.clone().filter(|place| place.source.is_same(&seen.document.source));
        if let Some(place) = place {
            by_place.entry(place.span).or_default().push(ruling);
        }
    }
    let text = seen.document.source.text();
    let wanted = seen.document.lines.bytes(text, params.range);
    let mut by_line: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for (span, rulings) in by_place.into_iter().filter(|(span, _)| wanted.contains(&(span.start as usize))) {
        let key = seen.path(&Keys::at(&sheet, span.start as usize));
        let rest = text.get(span.end as usize..).unwrap_or("");
        let line_end = span.end as usize + rest.find(['\n', '\r']).unwrap_or(rest.len());
        let words = by_line.entry(line_end).or_default();
        words.extend(rulings.iter().map(|ruling| wording::hint(ruling, &key)));
    }
    let hint = |(end, words): (usize, Vec<String>)| InlayHint {
        position: seen.document.range(Span::new(end, end)).end,
        label: InlayHintLabel::String(words.join("; ")),
        kind: None,
        text_edits: None,
        tooltip: None,
        padding_left: Some(true),
        padding_right: None,
        data: None,
    };
    Some(by_line.into_iter().map(hint).collect())
}
