//! The pages at the bench, served to a browser: the builds, the shelf, which engine it is, the rules, the gauges. Refuses to gather
//! what they show, and to know who asks for them.

pub mod address;
mod builds;
mod files;
mod frame;
mod gauges;
mod lines;
mod lost;
mod matching;
mod rework;
mod rules;
mod shelf;
mod which;
mod words;

pub use builds::{Begun, Builds, write as builds};
pub use files::{File, FileKind, file};
pub use frame::BenchShop;
pub use gauges::{GaugeLine, Gauges, write as gauges};
pub use lines::{BuildLine, PartLine, Standing};
pub use lost::{Lost, write as lost};
pub use matching::{Match, MatchAnswer, MatchAsked, write as matching};
pub use rework::{Rework, write as rework};
pub use rules::{RuleList, Rules, list as rule_list, write as rules};
pub use shelf::{Shelf, write as shelf};
pub use which::{CANNOT_TELL, Which, write as which};
