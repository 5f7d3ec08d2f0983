//! Whether two generations can be told from each other by what identifies them. Refuses to judge a build.

use super::input::known;
use super::reach::meets;
use crate::book::{Book, Generation, Range, RangeKind, Reach};

/// What identifies one generation: values that its machines have.
#[derive(Clone, Copy, Debug)]
pub struct Identity<'a> {
    /// The generation, for its constants.
    pub generation: &'a Generation,
    /// Each characteristic with the range it has in this generation.
    pub telltales: &'a [(Reach, Range)],
}

/// Whether it is proved that no machine fits both: some characteristic has a telltale in each, and the two ranges have
/// nothing in common.
#[must_use]
pub fn told_apart(book: &Book, one: Identity<'_>, other: Identity<'_>) -> bool {
    one.telltales.iter().any(|(subject, range)| {
        other.telltales.iter().any(|(other_subject, other_range)| {
            meets(subject, other_subject)
                && match (&range.kind, &other_range.kind) {
                    (RangeKind::Names(names), RangeKind::Names(others)) => {
                        !names.iter().any(|name| others.contains(name))
                    }
                    (RangeKind::YesNo(yes), RangeKind::YesNo(other)) => yes != other,
                    (RangeKind::Band { .. }, RangeKind::Band { .. }) => {
                        let (band, _) = known(book, one.generation, range);
                        let (other_band, _) = known(book, other.generation, other_range);
                        band.overlaps(&other_band) == Some(false)
                    }
                    _ => false,
                }
        })
    })
}
