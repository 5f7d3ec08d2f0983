//! Which readings a generation judges, directly or through what is worked out from them. Refuses to know ranges.

use super::wording;
use crate::book::{Book, Bound, Characteristic, Expression, Generation, Id, Kind, Origin, RangeKind, circles};
use crate::finding::Finding;
use crate::text::Place;

/// One reading.
#[derive(Clone, Debug)]
pub struct Coverage {
    /// The reading, as a book writes it.
    pub path: String,
    /// Whether it may be left out.
    pub optional: bool,
    /// What judges it.
    pub how: How,
    /// Where it is declared.
    pub place: Place,
}

/// What judges a reading, the most direct first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum How {
    /// A row of its own.
    Row,
    /// A row on a value worked out from it.
    Derived,
    /// No row, but a row's condition or bound asks for it.
    Condition,
    /// Nothing.
    Nothing,
}

/// Every reading of the parts a generation has, free words left out: nothing can judge those.
pub(super) fn coverage(book: &Book, generation: &Generation) -> (Vec<Coverage>, Vec<Finding>) {
    let mut how = vec![How::Nothing; book.characteristics.len()];
    for row in &generation.rows {
        mark(book, &mut how, row.subject.characteristic, How::Row);
        let mut asked = |expression: &Expression| {
            circles::reaches(expression, &mut |reach, _| mark(book, &mut how, reach.characteristic, How::Condition));
        };
        if let Some(condition) = &row.condition {
            asked(condition);
        }
        for range in [&row.standard, &row.limit].into_iter().flatten() {
            if let RangeKind::Band { low, high } = &range.kind {
                for Bound { value, .. } in [low, high].into_iter().flatten() {
                    asked(value);
                }
            }
        }
    }
    let (mut all, mut findings) = (Vec::new(), Vec::new());
    for (id, characteristic) in book.characteristics.entries() {
        let Origin::Reading { optional, .. } = characteristic.origin else { continue };
        if characteristic.kind == Kind::Text || book.instances(characteristic.part, generation).is_empty() {
            continue;
        }
        let how = how.get(id.index()).copied().unwrap_or(How::Nothing);
        let path = wording::path(book, id, None);
        if how == How::Nothing && !optional {
            findings.push(wording::uncovered(&path, characteristic.place.clone()));
        }
        all.push(Coverage { path, optional, how, place: characteristic.place.clone() });
    }
    (all, findings)
}

/// Marks a characteristic and, through derivations, all it is worked out from.
fn mark(book: &Book, how: &mut [How], id: Id<Characteristic>, by: How) {
    let mut open = vec![(id, by)];
    while let Some((id, by)) = open.pop() {
        let Some(entry) = how.get_mut(id.index()).filter(|entry| **entry > by) else { continue };
        *entry = by;
        if let Origin::Derived(Some(body)) = &book.characteristics.get(id).origin {
            let by = if by == How::Row { How::Derived } else { by };
            circles::reaches(body, &mut |reach, _| open.push((reach.characteristic, by)));
        }
    }
}
