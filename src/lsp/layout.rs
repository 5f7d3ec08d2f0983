//! What is answered about a paper as a whole: its layout and its mends.

use super::document::Kind;
use super::publish::Map;
use super::seen::Seen;
use super::server::Server;
use super::wording;
use crate::finding::Finding;
use crate::tidy;
use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, Position, Range, TextDocumentIdentifier,
    TextDocumentPositionParams, TextEdit, WorkspaceEdit,
};
use std::collections::HashMap;

/// The open paper that a request is about.
pub(super) fn seen(server: &mut Server, document: TextDocumentIdentifier) -> Option<Seen> {
    Seen::at(server, &TextDocumentPositionParams::new(document, Position::default()))
}

/// The edits that set a rulebook in its one layout; none for a book with errors.
pub(super) fn formatted(server: &mut Server, document: TextDocumentIdentifier) -> Option<Vec<TextEdit>> {
    let seen = seen(server, document).filter(Seen::is_book)?;
    let tidied = tidy::tidy(&seen.document.source).ok()?;
    let same = tidied == seen.document.source.text();
    Some(if same { Vec::new() } else { vec![TextEdit::new(seen.document.whole(), tidied)] })
}

/// The mends of what is wrong in a range.
#[allow(clippy::mutable_key_type, reason = "the protocol's own type of edit has URIs for keys")]
pub(super) fn mends(server: &mut Server, params: CodeActionParams) -> Option<Vec<CodeActionOrCommand>> {
    let seen = seen(server, params.text_document)?;
    if !server.client.actions {
        return Some(Vec::new());
    }
    let meets = |range: Range| range.start <= params.range.end && params.range.start <= range.end;
    let mut map = Map::new(&server.documents, server.encoding, server.shipped.as_deref());
    let mut actions = Vec::new();
    for finding in findings(&seen) {
        let (Some((place, _)), Some(instead)) = (&finding.place, finding.mend()) else { continue };
        let range = map.range(&place.source, place.span);
        if !place.source.is_same(&seen.document.source) || !meets(range) {
            continue;
        }
        let (_, diagnostic) = map.diagnostic(&finding, place);
        let edit = TextEdit::new(range, instead.to_string());
        let edit = WorkspaceEdit::new(HashMap::from([(seen.document.uri.clone(), vec![edit])]));
        actions.push(CodeActionOrCommand::CodeAction(CodeAction {
            title: wording::mend(instead),
            kind: Some(CodeActionKind::QUICKFIX),
            diagnostics: Some(vec![diagnostic]),
            edit: Some(edit),
            is_preferred: Some(true),
            ..CodeAction::default()
        }));
    }
    Some(actions)
}

fn findings(seen: &Seen) -> Vec<Finding> {
    if seen.document.kind == Kind::Record {
        return seen.mistakes();
    }
    seen.shop.findings().iter().chain(seen.shop.gauge_findings()).cloned().collect()
}
