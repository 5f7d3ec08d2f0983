//! The best sets of parts of a shelf in one call, for programs that choose parts.

use super::{MatchReport, Matched};
use crate::matching::{Limits, Remembered};
use crate::record::Record;
use crate::shop::{Choosing, Shop};

/// The best sets of parts of the shop's shelf for a machine, at most so many, the best first; every set that the shelf allows is
/// compared by the rows of the books. If nothing goes together the answer says why. `None` if there is no shelf, no such generation,
/// or no place to fill.
///
/// `given` is what is known about the machine, as names and values a record would have. No part is kept for an open build. The search
/// ends early once `go_on` gives `false`: then [`Matched::proved`] is not set.
#[must_use]
pub fn best_sets(
    shop: &Shop,
    generation: &str,
    given: &[(String, String)],
    build: Option<&Record>,
    best: usize,
    go_on: &dyn Fn() -> bool,
) -> Option<Matched> {
    let generation = shop.book.generation_typed(generation).filter(|id| !shop.book.generations.get(*id).basis)?;
    let choosing = Choosing { generation, given, build, only: &[], without: &[], taken: &[], on: None };
    let prepared = shop.prepare(&choosing)?;
    let one = prepared.problem(Vec::new());
    if one.domains.is_empty() {
        return None;
    }
    let scores = Remembered::new(&prepared.evaluator, one.groups.len());
    let mut matched = Matched::begin(shop, &choosing, &prepared);
    let limits = Limits { best, allow_out: false, allow_open: true };
    MatchReport { shop, prepared: &prepared, one: &one }.choose((limits, &choosing), &scores, go_on, &mut matched);
    Some(matched)
}
