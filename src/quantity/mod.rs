//! Exact numbers, dimensions, units, bands and dates. Refuses to know what is measured.

/// (to come)
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Number;
/// (to come)
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Date;
