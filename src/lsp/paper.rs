//! What is answered about a paper as a whole: its outline, its layout, its mends, and the grade beside each reading.

use super::document::Kind;
use super::hover::all_rulings;
use super::keys::Keys;
use super::publish::Map;
use super::seen::Seen;
use super::server::Server;
use super::wording;
use crate::finding::Finding;
use crate::judge::RulingReport;
use crate::record;
use crate::syntax::tree::{GenerationMember, HouseMember, Item, PartDeclaration, PartMember};
use crate::text::Span;
use crate::tidy;
use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, DocumentSymbol, InlayHint, InlayHintLabel,
    InlayHintParams, Location, Position, Range, SymbolInformation, SymbolKind, TextDocumentIdentifier,
    TextDocumentPositionParams, TextEdit, Uri, WorkspaceEdit,
};
use serde_json::Value;
use std::collections::{BTreeMap, HashMap};

fn seen(server: &mut Server, document: TextDocumentIdentifier) -> Option<Seen> {
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

/// The grade beside each reading that a row judges.
pub(super) fn hints(server: &mut Server, params: InlayHintParams) -> Option<Vec<InlayHint>> {
    let seen = seen(server, params.text_document).filter(|seen| seen.document.kind == Kind::Record)?;
    let sheet = record::read(&seen.document.source).0?;
    let mut by_place: BTreeMap<Span, Vec<RulingReport>> = BTreeMap::new();
    for told in all_rulings(&seen) {
        let place = told.place.clone().filter(|place| place.source.is_same(&seen.document.source));
        if let Some(place) = place {
            by_place.entry(place.span).or_default().push(told);
        }
    }
    let wanted = seen.document.lines.bytes(seen.document.source.text(), params.range);
    let mut hints = Vec::new();
    for (span, told) in by_place.into_iter().filter(|(span, _)| wanted.contains(&(span.start as usize))) {
        let key = seen.path(&Keys::at(&sheet, span.start as usize));
        let words: Vec<String> = told.iter().map(|told| wording::hint(told, &key)).collect();
        let position = seen.document.range(span).end;
        hints.push(InlayHint {
            position,
            label: InlayHintLabel::String(words.join("; ")),
            kind: None,
            text_edits: None,
            tooltip: None,
            padding_left: Some(true),
            padding_right: None,
            data: None,
        });
    }
    Some(hints)
}

/// The outline of a rulebook: as a tree, or as a list for a client that draws none.
pub(super) fn outline(server: &mut Server, document: TextDocumentIdentifier) -> Option<Value> {
    let seen = seen(server, document).filter(Seen::is_book)?;
    let tree = seen.tree()?.clone();
    let symbols: Vec<DocumentSymbol> = tree.items.iter().filter_map(|item| symbol(&seen, item)).collect();
    if server.client.nests {
        return serde_json::to_value(symbols).ok();
    }
    let mut flat = Vec::new();
    flatten(&seen.document.uri, &symbols, &mut flat);
    serde_json::to_value(flat).ok()
}

#[allow(deprecated, reason = "the protocol's type has a member nobody sets any more")]
fn flatten(uri: &Uri, symbols: &[DocumentSymbol], flat: &mut Vec<SymbolInformation>) {
    for symbol in symbols {
        flat.push(SymbolInformation {
            name: symbol.name.clone(),
            kind: symbol.kind,
            tags: None,
            deprecated: None,
            location: Location::new(uri.clone(), symbol.range),
            container_name: None,
        });
        flatten(uri, symbol.children.as_deref().unwrap_or(&[]), flat);
    }
}

#[allow(deprecated, reason = "the protocol's type has a member nobody sets any more")]
fn made(
    seen: &Seen,
    name: &str,
    kind: SymbolKind,
    (span, selected): (Span, Span),
    inner: Vec<DocumentSymbol>,
) -> DocumentSymbol {
    DocumentSymbol {
        name: if name.trim().is_empty() { "?".into() } else { name.to_string() },
        detail: None,
        kind,
        tags: None,
        deprecated: None,
        range: seen.document.range(span),
        selection_range: seen.document.range(selected),
        children: (!inner.is_empty()).then_some(inner),
    }
}

fn symbol(seen: &Seen, item: &Item) -> Option<DocumentSymbol> {
    let plain = |name: &str, kind, spans| Some(made(seen, name, kind, spans, Vec::new()));
    match item {
        Item::Unit(unit) => {
            let name = unit.names.first()?;
            plain(&name.text, SymbolKind::CONSTANT, (unit.span, name.span))
        }
        Item::Set(set) => plain(&set.name.text, SymbolKind::ENUM, (set.span, set.name.span)),
        Item::Constant(constant) => {
            plain(&constant.name.text, SymbolKind::CONSTANT, (constant.span, constant.name.span))
        }
        Item::Formula(formula) => plain(&formula.name.text, SymbolKind::FUNCTION, (formula.span, formula.name.span)),
        Item::Table(table) => plain(&table.name.text, SymbolKind::FUNCTION, (table.span, table.name.span)),
        Item::Source(source) => plain(&source.name.text, SymbolKind::STRING, (source.span, source.name.span)),
        Item::Part(part) => Some(part_symbol(seen, part)),
        Item::Generation(generation) => {
            let inner = generation.members.iter().filter_map(|member| member_symbol(seen, member)).collect();
            let spans = (generation.span, generation.name.span);
            Some(made(seen, &generation.name.text, SymbolKind::CLASS, spans, inner))
        }
        Item::House(house) => {
            let blocks = house.members.iter().filter_map(|member| match member {
                HouseMember::For(block) => Some(block),
                _ => None,
            });
            let rows = blocks.flat_map(|block| &block.overlays).map(|overlay| {
                let row = &overlay.row;
                let name = format!("{} {}", overlay.kind.word(), seen.document.source.slice(row.path.span));
                made(seen, &name, SymbolKind::PROPERTY, (row.span.to(row.path.span), row.path.span), Vec::new())
            });
            Some(made(seen, &house.name.text, SymbolKind::NAMESPACE, (house.span, house.name.span), rows.collect()))
        }
        Item::Try(example) => plain(&example.title.text, SymbolKind::EVENT, (example.span, example.title.span)),
        Item::Fits(fits) => plain(&fits.title.text, SymbolKind::ARRAY, (fits.span, fits.title.span)),
        Item::Use(_) | Item::Extend(_) | Item::Caution(_) | Item::PlausibleGauges(_) => None,
    }
}

/// Parts nest no deeper than the reader lets them.
fn part_symbol(seen: &Seen, part: &PartDeclaration) -> DocumentSymbol {
    let inner = part.members.iter().filter_map(|member| match member {
        PartMember::Part(inner) => Some(part_symbol(seen, inner)),
        PartMember::Reading(reading) => {
            Some(made(seen, &reading.name.text, SymbolKind::FIELD, (reading.span, reading.name.span), Vec::new()))
        }
        PartMember::Derive(derive) => {
            Some(made(seen, &derive.name.text, SymbolKind::PROPERTY, (derive.span, derive.name.span), Vec::new()))
        }
        PartMember::Expansion(_) => None,
    });
    made(seen, &part.name.text, SymbolKind::STRUCT, (part.span, part.name.span), inner.collect())
}

fn member_symbol(seen: &Seen, member: &GenerationMember) -> Option<DocumentSymbol> {
    let (kind, span, selected) = match member {
        GenerationMember::Constant { name, span, .. } => (SymbolKind::CONSTANT, *span, name.span),
        GenerationMember::Telltale(line) => (SymbolKind::KEY, line.span, line.path.span),
        GenerationMember::Plausible(line) => (SymbolKind::OPERATOR, line.span, line.path.span),
        GenerationMember::Rework(line) => (SymbolKind::METHOD, line.span, line.name.span),
        GenerationMember::Row(row) => (SymbolKind::PROPERTY, row.span, row.path.span),
        GenerationMember::Fitted { .. } => return None,
    };
    Some(made(seen, seen.document.source.slice(selected), kind, (span, selected), Vec::new()))
}
