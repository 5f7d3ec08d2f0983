//! Says who: which book declared a row, who replaced it, which shop changed it, and from when. Refuses to judge.

use super::Found;
use crate::book::{Book, Change, ChangeKind, Provenance, Row};
use crate::quantity::Days;
use crate::text::Place;

/// The change that a place of a row was written by: the last one that holds it, else the last of all.
fn writer<'a>(row: &'a Row, place: &Place) -> Option<&'a Change> {
    let holds = |change: &&Change| {
        change.place.source == place.source
            && change.place.span.start <= place.span.start
            && place.span.end <= change.place.span.end
    };
    row.history.iter().rev().find(holds).or(row.history.last())
}

/// What is said beside a range: who wrote it.
pub(super) fn label(row: &Row, place: &Place) -> String {
    let kind = writer(row, place).map_or(ChangeKind::Declared, |change| change.kind);
    format!("{} here", kind.word())
}

/// Where a row stood before a shop changed it.
pub(super) fn before(row: &Row) -> Option<Place> {
    let shop = row.history.iter().position(|change| is_shop(change.kind))?;
    row.history.get(shop.checked_sub(1)?).map(|change| change.place.clone())
}

/// Whether a shop did it, not the book that the row comes from.
#[must_use]
pub fn is_shop(kind: ChangeKind) -> bool {
    !matches!(kind, ChangeKind::Declared | ChangeKind::Replaced)
}

/// Each step of a row's history in words, with its place: "tightened by Kestrel Rotary from 2026-06-01".
#[must_use]
pub fn history(row: &Row) -> Vec<(String, Place)> {
    row.history
        .iter()
        .map(|change| {
            let days = if change.days == Days::ALWAYS { String::new() } else { format!(" {}", change.days) };
            let binds = if change.binds && change.kind != ChangeKind::Adopted { ", and made binding," } else { "" };
            (format!("{}{binds} by {}{days}", change.kind.word(), change.by), change.place.clone())
        })
        .collect()
}

/// A provenance in words.
#[must_use]
pub fn source_words(book: &Book, provenance: &Provenance) -> String {
    let with = |text: &str, detail: &Option<Box<str>>| match detail {
        Some(detail) => format!("{text}, {detail}"),
        None => text.to_string(),
    };
    match provenance {
        Provenance::Source(id, detail) => with(&book.citations.get(*id).citation, detail),
        Provenance::CommonPractice(detail) => with("common practice", detail),
        Provenance::Memory(detail) => with("from memory, unverified", detail),
        Provenance::House(words) => words.to_string(),
    }
}

/// Where the numbers of a whole row come from, in words: each tier by itself where they differ.
#[must_use]
pub fn row_source_words(book: &Book, row: &Row) -> Option<String> {
    if !row.has_tier_provenance() {
        return row.texts.provenance.as_ref().map(|provenance| source_words(book, provenance));
    }
    let tiers = [("standard", row.standard.is_some(), false), (row.limit_word(), row.limit.is_some(), true)];
    let said = tiers.into_iter().filter(|(_, there, _)| *there).map(|(word, _, limit)| {
        let words = row.provenance(limit).map(|provenance| source_words(book, provenance));
        format!("{word} from: {}", words.as_deref().unwrap_or("nothing is said"))
    });
    Some(said.collect::<Vec<_>>().join("; "))
}

/// Where the numbers of the tier that decided come from, in words; those of the whole row where none did.
pub(super) fn ruled_by(book: &Book, row: &Row, found: Found) -> Option<String> {
    match found {
        Found::Outside { limit, .. } | Found::Guarded { limit, .. } | Found::Undecided { limit } => {
            row.provenance(limit).map(|provenance| source_words(book, provenance))
        }
        _ => row_source_words(book, row),
    }
}

/// Whether nobody knows the value: then nothing is to be done to the part yet but measuring it.
pub(super) fn nobody_measured(found: Found) -> bool {
    matches!(found, Found::Missing | Found::ConditionMissing)
}
