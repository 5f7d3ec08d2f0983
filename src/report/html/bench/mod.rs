//! The pages at the bench, served to a browser: the builds, the shelf, which engine it is, the rules, the gauges. Refuses to gather
//! what they show, and to know who asks for them.

mod build;
mod changes;
mod files;
mod frame;
mod lost;
mod pair;
mod told;
mod words;
mod words_build;
mod words_pair;

pub use build::{PageName, write as build};
pub use changes::{changes, differences};
pub use files::{File, FileKind, file};
pub use frame::BenchShop;
pub use lost::{Lost, write as lost};
pub use pair::{PairProblem, write as pair};
pub use words_build::{AGAIN, GONE, NOT_JUDGED, READ_ONLY_ANSWER, UNREADABLE, not_written};

use crate::report::address::encoded;

/// The address of a page about a record.
pub(super) fn address(page: &str, name: &PageName) -> String {
    let path: Vec<String> = name.record.split('/').map(encoded).collect();
    let tag = name.tag.as_ref().map_or_else(String::new, |tag| format!("?tag={}", encoded(tag)));
    format!("{page}/{}{tag}", path.join("/"))
}
