//! The pages of the bench. Refuses to know who asks for them.

mod pair;
mod words_pair;

pub use pair::{PairProblem, write as pair};
