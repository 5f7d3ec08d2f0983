//! Yes/no values that come from comparing quantities: they follow from the values as taken, however well those were measured.
//! Refuses to weigh them.

use crate::book::{Book, Characteristic, ExpressionKind, Id, Kind, Origin, RangeKind, circles};

/// What is said wherever such a value is shown.
pub const NOT_WEIGHED: &str =
    "decided by the values as taken; their uncertainty is not weighed, so near a bound the answer may be the other";

/// Whether a yes/no value is derived, itself or through others, from a quantity compared with a bound.
#[must_use]
pub fn compares_quantities(book: &Book, id: Id<Characteristic>) -> bool {
    let (mut open, mut seen) = (vec![id], vec![id]);
    let mut compares = false;
    while let Some(id) = open.pop() {
        let characteristic = book.characteristics.get(id);
        let (Kind::YesNo, Origin::Derived(Some(body))) = (characteristic.kind, &characteristic.origin) else {
            continue;
        };
        circles::walk(body, &mut |node| {
            if let ExpressionKind::Test { range, .. } = &node.kind {
                compares |= matches!(range.kind, RangeKind::Band { .. });
            }
        });
        circles::reaches(body, &mut |reach, _| {
            if !seen.contains(&reach.characteristic) {
                seen.push(reach.characteristic);
                open.push(reach.characteristic);
            }
        });
    }
    compares
}
