//! The pages at the bench, served to a browser: the builds, the shelf, which engine it is, the rules, the gauges. Refuses to gather
//! what they show, and to know who asks for them.

pub mod address;
mod builds;
mod files;
mod frame;
mod lines;
mod lost;
mod words;

pub use builds::{Begun, Builds, write as builds};
pub use files::{File, FileKind, file};
pub use frame::BenchShop;
pub use lines::{BuildLine, PartLine, Standing};
pub use lost::{Lost, write as lost};
