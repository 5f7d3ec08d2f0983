//! The outline of a record: its parts, their positions and readings, each with what is written. Refuses to judge any of it.

use super::outline::made;
use super::seen::Seen;
use crate::record::{self, MapNode, Node};
use crate::text::Span;
use lsp_types::{DocumentSymbol, SymbolKind};

/// So many letters of a value are shown beside its key. Common practice: a line of a narrow list.
const MOST_SHOWN: usize = 40;

/// What a record holds, in its order; as much of it as can be read.
pub(super) fn symbols(seen: &Seen) -> Vec<DocumentSymbol> {
    let sheet = record::read(&seen.document.source).0;
    sheet.as_ref().and_then(|sheet| sheet.root()).map(|root| inside(seen, root)).unwrap_or_default()
}

/// Maps and lists nest no deeper than the reader lets them.
fn inside(seen: &Seen, node: Node<'_>) -> Vec<DocumentSymbol> {
    match node {
        Node::Map(map) => of_map(seen, map),
        // A list of readings is one value; a list of parts or of concessions has an entry each.
        Node::List(list) => {
            let maps = list.items().filter_map(|item| item.as_map());
            let entry = |map: MapNode<'_>| {
                let first = map.entries().next()?;
                let name = first.1.as_scalar().map_or_else(|| first.0.text(), |value| value.text());
                Some(made(seen, name, SymbolKind::OBJECT, (map.span(), first.0.span()), of_map(seen, map)))
            };
            maps.filter_map(entry).collect()
        }
        Node::Scalar(_) => Vec::new(),
    }
}

fn of_map(seen: &Seen, map: MapNode<'_>) -> Vec<DocumentSymbol> {
    let entries = map.entries().map(|(key, value)| {
        let inner = inside(seen, value);
        let is_reading = matches!(value, Node::Scalar(_) | Node::List(_)) && inner.is_empty();
        let is_reading = is_reading || value.as_map().is_some_and(|map| map.get("value").is_some());
        let kind = if is_reading { SymbolKind::FIELD } else { SymbolKind::STRUCT };
        // What is said of a reading, its gauge and so on, is no part of the machine.
        let inner = if is_reading { Vec::new() } else { inner };
        let whole = Span { start: key.span().start, end: value.span().end.max(key.span().end) };
        let mut symbol = made(seen, key.text(), kind, (whole, key.span()), inner);
        symbol.detail = is_reading.then(|| shown(seen.document.source.slice(value.span()))).filter(|it| !it.is_empty());
        symbol
    });
    entries.collect()
}

/// What is written, on one line and no longer than a list is wide.
fn shown(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(MOST_SHOWN) {
        Some((at, _)) => format!("{}…", line.get(..at).unwrap_or("").trim_end()),
        None => line,
    }
}
