//! The keys of a record in the capitals of the book: `Rotor`, `FRONT` and `Finished` as the names they can only mean. Refuses to
//! choose between two, and leaves a shop's own names, those of its gauges, as they are.

use super::gauge_entry::GAUGE_KEYS;
use super::header::CONCESSION_KEYS;
use super::loose::{PART_HEADER, PARTS_HEADER};
use super::reading::KEYS;
use super::walk::HEADER;
use crate::book::Book;
use crate::finding::{Code, Finding};
use crate::record::Sheet;
use crate::text::same_letters;
use rustc_hash::FxHashMap;

/// Whether one of the findings may come of a key in other capitals.
pub(super) fn may_matter(findings: &[Finding]) -> bool {
    findings
        .iter()
        .any(|finding| matches!(finding.code, Code::KeyUnknown | Code::PlaceUnknown | Code::GenerationMissing))
}

/// The sheet with each key that the book and the language know in other capitals only as they write it; `None` if there is
/// none. A key stays as it is if two names fit it, or if its map has the same key in other capitals besides.
pub(crate) fn as_named(book: &Book, sheet: &Sheet) -> Option<Sheet> {
    let names = names(book);
    sheet.with_keys(|map, key, above| {
        // The names of gauges are the shop's own.
        if matches!(above, ["gauges"] | ["parts", "gauges"]) {
            return None;
        }
        let written = key.text();
        let name = (*names.get(&*written.to_lowercase())?)?;
        let alone = || map.entries().filter(|(other, _)| same_letters(other.text(), written)).nth(1).is_none();
        (name != written && alone()).then(|| name.to_owned())
    })
}

/// Every name that a key may be, by its small letters; `None` where several names have the same.
fn names(book: &Book) -> FxHashMap<String, Option<&str>> {
    let mut names: FxHashMap<String, Option<&str>> = FxHashMap::default();
    let words = [&HEADER[..], &PART_HEADER, &PARTS_HEADER, &KEYS, &GAUGE_KEYS, &CONCESSION_KEYS];
    let words = words.into_iter().flatten().copied().chain(["concessions", "scrapped"]);
    let parts = book
        .parts
        .iter()
        .flat_map(|part| part.members.iter().map(|(name, _)| &**name).chain(part.positions.iter().map(|name| &**name)));
    let stations = book.characteristics.iter().flat_map(|one| one.stations()).map(|name| &**name);
    for name in words.chain(parts).chain(stations) {
        names
            .entry(name.to_lowercase())
            .and_modify(|known| *known = known.filter(|known| *known == name))
            .or_insert(Some(name));
    }
    names
}
