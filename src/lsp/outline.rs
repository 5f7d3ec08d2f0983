//! The outline of a rulebook: what it declares, with what is inside. Refuses to know what any of it means.

use super::document::Kind;
use super::layout::seen;
use super::outline_record;
use super::seen::Seen;
use super::server::Server;
use crate::syntax::tree::{GenerationMember, HouseMember, Item, PartDeclaration, PartMember};
use crate::text::Span;
use lsp_types::{DocumentSymbol, Location, SymbolInformation, SymbolKind, TextDocumentIdentifier, Uri};
use serde_json::Value;

/// The outline of a paper: as a tree, or as a list for a client that draws none.
pub(super) fn outline(server: &mut Server, document: TextDocumentIdentifier) -> Option<Value> {
    let seen = seen(server, document)?;
    let symbols: Vec<DocumentSymbol> = match seen.document.kind {
        Kind::Book => seen.tree()?.clone().items.iter().filter_map(|item| symbol(&seen, item)).collect(),
        Kind::Record => outline_record::symbols(&seen),
        Kind::Settings | Kind::Gauges => return None,
    };
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
pub(super) fn made(
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
