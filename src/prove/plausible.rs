//! Plausible ranges beside the rows of their readings, and readings without one. Refuses to know any record.

use super::input::{known, let_through};
use super::reach::meets;
use super::wording;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Origin, RangeKind, Row};
use crate::finding::Finding;
use crate::quantity::{Band, Value};
use crate::syntax::tree::{Collector, RowWord};

/// Rows that allow what is not plausible, and the readings of a generation without a plausible range. Of readings nothing
/// is said where no generation of the books has any range.
pub(super) fn plausible(book: &Book, generation: &Generation) -> Vec<Finding> {
    let mut findings = cut_rows(book, generation);
    if book.generations.iter().any(|generation| !generation.plausible.is_empty()) {
        let without: Vec<Id<Characteristic>> = unbounded(book, generation);
        findings.extend(wording::unbounded(book, generation, &without));
    }
    findings
}

/// Each row with an end outside what its reading can be: no value between there and the plausible range is ever judged.
fn cut_rows(book: &Book, generation: &Generation) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in &generation.rows {
        let characteristic = book.characteristics.get(row.subject.characteristic);
        let (Kind::Quantity(dimension), Origin::Reading { may_be_negative, .. }, true) =
            (characteristic.kind, &characteristic.origin, is_of_values(row))
        else {
            continue;
        };
        for range in [&row.standard, &row.limit].into_iter().flatten() {
            if !matches!(range.kind, RangeKind::Band { .. }) {
                continue;
            }
            let (band, _) = let_through(book, generation, row, range);
            for declared in generation.plausible.iter().filter(|one| meets(&one.subject, &row.subject)) {
                let (plausible, whole) = known(book, generation, &declared.range);
                if whole && !ends_inside(&plausible, &band) {
                    findings.push(wording::cuts_row(book, row, range, (declared, &plausible)));
                }
            }
            let above_zero = !may_be_negative && !dimension.is_point();
            if above_zero && !ends_inside(&Band::at_least(Value::ZERO), &band) {
                findings.push(wording::never_negative(row, range, characteristic));
            }
        }
    }
    findings
}

/// Whether a row is about values of the reading and not about how many there are or how far they lie apart.
fn is_of_values(row: &Row) -> bool {
    !matches!(row.word, Some(RowWord::Collect(Collector::Spread | Collector::Sum | Collector::Count)))
}

/// Whether each end that a band has lies inside another.
fn ends_inside(outer: &Band, band: &Band) -> bool {
    let ends = [&band.low, &band.high].into_iter().flatten();
    // Where an open end meets one that is closed, no value lies between.
    ends.map(|end| Band::exactly(end.value.clone())).all(|end| closed(outer).holds(&end) == Some(true))
}

fn closed(band: &Band) -> Band {
    let mut closed = band.clone();
    [&mut closed.low, &mut closed.high].into_iter().flatten().for_each(|end| end.closed = true);
    closed
}

/// The quantities that are read on a generation and have no plausible range there.
fn unbounded(book: &Book, generation: &Generation) -> Vec<Id<Characteristic>> {
    let readings = book.characteristics.entries().filter(|(id, characteristic)| {
        matches!((characteristic.kind, &characteristic.origin), (Kind::Quantity(_), Origin::Reading { .. }))
            && !generation.plausible.iter().any(|one| one.subject.characteristic == *id)
            && !book.instances(characteristic.part, generation).is_empty()
    });
    readings.map(|(id, _)| id).collect()
}
