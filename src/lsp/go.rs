//! Where a name leads: its declaration, the rows that judge a reading, and every place in the books that has it.

use super::hover::rulings;
use super::keys::{Keys, Led};
use super::publish::Map;
use super::seen::{Seen, declaration, everywhere};
use super::server::Server;
use crate::record;
use crate::text::Place;
use lsp_types::{Location, ReferenceParams, TextDocumentPositionParams};

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
