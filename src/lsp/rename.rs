//! The name at the cursor in its every place, with another name. Refuses to rename what is not the shop's own, and to leave a record
//! behind that says the old name.

use super::document::Kind;
use super::names::Occurrence;
use super::publish::Map;
use super::record_names::record_names;
use super::rename_records;
use super::seen::{Seen, everywhere};
use super::server::{Refusal, Server};
use super::wording;
use crate::record;
use crate::syntax;
use crate::text::{Place, Source};
use lsp_server::ErrorCode;
use lsp_types::{
    Location, PrepareRenameResponse, RenameParams, TextDocumentPositionParams, TextEdit, Uri, WorkspaceEdit,
};
use std::collections::HashMap;

/// The name at the cursor, if it may be another, with all its places.
fn renamed(seen: &Seen) -> Result<(Occurrence, Vec<Place>), Refusal> {
    let refused = |words: String| (ErrorCode::RequestFailed, words);
    let name = if seen.is_book() { seen.name() } else { named_in_record(seen) };
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
    if places.is_empty() || places.iter().any(|place| place.text() != written) {
        return Err(refused(wording::NO_NAME.into()));
    }
    Ok((name, places))
}

/// The name that the cursor touches in a record.
fn named_in_record(seen: &Seen) -> Option<Occurrence> {
    let at = u32::try_from(seen.offset).ok()?;
    let source =
        Some(&seen.document).filter(|document| document.kind == Kind::Record).map(|document| &document.source)?;
    let (names, _) = record_names(&seen.shop.book, record::read(source).0.as_ref()?, source);
    names.into_iter().find(|name| name.span.start <= at && at <= name.span.end)
}

/// Whether the name at the cursor may be another, and where it stands.
pub(super) fn prepare(server: &mut Server, at: &TextDocumentPositionParams) -> Result<PrepareRenameResponse, Refusal> {
    let seen = Seen::at(server, at).ok_or((ErrorCode::RequestFailed, wording::NOT_OPEN.to_string()))?;
    let (name, _) = renamed(&seen)?;
    let placeholder = seen.document.source.slice(name.span).to_string();
    Ok(PrepareRenameResponse::RangeWithPlaceholder { range: seen.document.range(name.span), placeholder })
}

/// The edits that give the name at the cursor another name, in every book and every record of the shop.
#[allow(clippy::mutable_key_type, reason = "the protocol's own type of edit has URIs for keys")]
pub(super) fn rename(server: &mut Server, params: &RenameParams) -> Result<WorkspaceEdit, Refusal> {
    let seen = Seen::at(server, &params.text_document_position)
        .ok_or((ErrorCode::RequestFailed, wording::NOT_OPEN.to_string()))?;
    let (name, mut places) = renamed(&seen)?;
    let new = &params.new_name;
    if !is_name(new) {
        return Err((ErrorCode::InvalidParams, wording::no_new_name(new)));
    }
    if let Some(place) = clash(&seen, new) {
        return Err((ErrorCode::RequestFailed, wording::taken(new, &place)));
    }
    let old = seen.document.source.slice(name.span);
    places.extend(rename_records::places(server, &seen, &name.meaning, old)?);
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
