//! Loose parts judged: which rows lie within one part, what they come to, and which wait for other parts. Refuses to read
//! records, and to know what kind of machine it is.

mod judge;
mod scope;
mod words;

pub use judge::{Conditional, JudgedPart, judge_part};
pub use scope::{Scope, Waiting, slots_of, without_positions};
pub use words::{conditional, waiting};
