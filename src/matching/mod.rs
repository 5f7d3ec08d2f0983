//! Which parts of a shelf go together: every set compared by exact verdicts, and the best proved to be the best. Refuses to
//! read records, and to know what kind of machine it is.
//!
//! A **place** is a part at one position, such as the first of two gears. A set puts a part in each place. `evaluate` says
//! what the rows come to for the parts they rest on, `search` finds the best set, and `conflict` why there is none.

mod bound;
mod branch;
mod classes;
mod conflict;
mod evaluate;
mod left;
mod machines;
mod measure;
mod pairing;
mod search;
mod tables;
#[cfg(test)]
mod tests;

pub use conflict::{Conflict, Refusals, Refused, RowNumber, Stopped, conflict};
pub use evaluate::{Choice, Evaluator, Place, RowAt};
pub use left::Left;
pub use machines::{Remembered, most_machines, repeated};
pub use pairing::{PairCost, least_pairs};
pub use search::{Cost, Found, Group, Limits, NoMore, Problem, ROOM_STEPS, Score, Scores, search};
