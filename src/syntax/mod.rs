//! The rulebook language as text: grammar, tree, recovery after a mistake. Refuses to know what any name means.

pub mod tree;
