//! Where a name leads: its declaration, the rows that judge a reading, every place that has it, and the same places with
//! another name. Refuses to rename what is not the shop's own.

use super::hover::rulings;
use super::keys::{Keys, Led};
use super::names::Occurrence;
use super::publish::Map;
use super::seen::{Seen, declaration, everywhere};
use super::server::{Refusal, Server};
use super::wording;
use crate::record;
use crate::syntax;
use crate::text::{Place, Source};
use lsp_server::ErrorCode;
use lsp_types::{
    Location, PrepareRenameResponse, ReferenceParams, RenameParams, TextDocumentPositionParams, TextEdit, Uri,
    WorkspaceEdit,
};
use std::collections::HashMap;

fn locations(server: &Server, places: &[Place]) -> Vec<Location> {
    let mut map = Map::new(&server.documents, server.encoding, server.shipped.as_deref());
    let mut found: Vec<Location> = Vec::new();
    for location in places.iter().filter_map(|place| map.location(place)) {
        if !found.contains(&location) {
            found.push(location);
        }
    }
    found
}

/// Where what stands at the cursor is declared; from a value in a record, the rows that judge it.
pub(super) fn definition(server: &mut Server, at: &TextDocumentPositionParams) -> Option<Vec<Location>> {
    let seen = Seen::at(server, at)?;
    let places = if seen.is_book() { vec![declaration(&seen.shop, &seen.name()?.meaning)?] } else { in_record(&seen)? };
    Some(locations(server, &places))
}

fn in_record(seen: &Seen) -> Option<Vec<Place>> {
    let book = &seen.shop.book;
    let keys = Keys::at(&record::read(&seen.document.source).0?, seen.offset);
    if !keys.on_key {
        if let [(key, _)] = keys.steps.as_slice()
            && key == "generation"
        {
            let name = seen.document.source.slice(keys.scalar?).trim_matches(['"', '\'']);
            return Some(vec![book.generations.get(book.generation(name)?).place.clone()]);
        }
        let rows: Vec<Place> = rulings(seen, &keys).into_iter().map(|told| told.row).collect();
        if !rows.is_empty() {
            return Some(rows);
        }
    }
    match seen.led(&keys)? {
        Led::Part(id, _) => Some(vec![book.parts.get(id).place.clone()]),
        Led::Reading(id, _) | Led::Said(id) => Some(vec![book.characteristics.get(id).place.clone()]),
    }
}

/// Every place in the books of the shop that has the name at the cursor.
pub(super) fn references(server: &mut Server, params: &ReferenceParams) -> Option<Vec<Location>> {
    let seen = Seen::at(server, &params.text_document_position)?;
    let name = seen.name()?;
    let wanted = |declares: bool| params.context.include_declaration || !declares;
    let places: Vec<Place> = everywhere(&seen.shop, &name.meaning)
        .into_iter()
        .filter(|(_, declares)| wanted(*declares))
        .map(|(place, _)| place)
        .collect();
    Some(locations(server, &places))
}

/// The name at the cursor, if it may be another, with all its places.
fn renamed(seen: &Seen) -> Result<(Occurrence, Vec<Place>), Refusal> {
    let refused = |words: String| (ErrorCode::RequestFailed, words);
    let name = Some(seen).filter(|seen| seen.is_book()).and_then(Seen::name);
    let name = name.ok_or_else(|| refused(wording::NO_NAME.into()))?;
    if !seen.shop.is_sound() {
        return Err(refused(wording::unsound()));
    }
    let places: Vec<Place> = everywhere(&seen.shop, &name.meaning).into_iter().map(|(place, _)| place).collect();
    let written = seen.document.source.slice(name.span);
    if places.iter().any(|place| place.source.name().starts_with("shipped ")) {
        return Err(refused(wording::shipped_name(written)));
    }
    // A unit between quotation marks, or a run of positions, is not written as the name it means.
    if places.iter().any(|place| place.text() != written) {
        return Err(refused(wording::NO_NAME.into()));
    }
    Ok((name, places))
}

/// Whether the name at the cursor may be another, and where it stands.
pub(super) fn prepare(server: &mut Server, at: &TextDocumentPositionParams) -> Result<PrepareRenameResponse, Refusal> {
    let seen = Seen::at(server, at).ok_or((ErrorCode::RequestFailed, wording::NOT_OPEN.to_string()))?;
    let (name, _) = renamed(&seen)?;
    let placeholder = seen.document.source.slice(name.span).to_string();
    Ok(PrepareRenameResponse::RangeWithPlaceholder { range: seen.document.range(name.span), placeholder })
}

/// The edits that give the name at the cursor another name, in every book of the shop.
#[allow(clippy::mutable_key_type, reason = "the protocol's own type of edit has URIs for keys")]
pub(super) fn rename(server: &mut Server, params: &RenameParams) -> Result<WorkspaceEdit, Refusal> {
    let seen = Seen::at(server, &params.text_document_position)
        .ok_or((ErrorCode::RequestFailed, wording::NOT_OPEN.to_string()))?;
    let (_, places) = renamed(&seen)?;
    let new = &params.new_name;
    if !is_name(new) {
        return Err((ErrorCode::InvalidParams, wording::no_new_name(new)));
    }
    if let Some(place) = clash(&seen, new) {
        return Err((ErrorCode::RequestFailed, wording::taken(new, &place)));
    }
    let mut map = Map::new(&server.documents, server.encoding, server.shipped.as_deref());
    let mut changes: HashMap<Uri, Vec<TextEdit>> = HashMap::new();
    for place in places {
        let Some(Location { uri, range }) = map.location(&place) else { continue };
        changes.entry(uri).or_default().push(TextEdit::new(range, new.clone()));
    }
    Ok(WorkspaceEdit::new(changes))
}

/// Whether the language takes these letters for a new name.
fn is_name(name: &str) -> bool {
    let plain = name.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
    let trial = format!("rulebook \"a\" edition 2026-01-01\nclass {name} = a\n");
    plain && syntax::parse(&Source::new("name", trial)).1.is_empty()
}

/// Where a name is declared already, anywhere in the books: what it means nearby must not change.
fn clash(seen: &Seen, new: &str) -> Option<Place> {
    seen.shop.trees().iter().find_map(|tree| {
        let names = super::names::occurrences(&seen.shop.book, tree);
        let taken = names.iter().find(|name| name.declares && tree.source.slice(name.span) == new)?;
        Some(tree.source.place(taken.span))
    })
}
