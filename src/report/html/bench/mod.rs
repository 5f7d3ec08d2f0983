//! The pages at the bench, served to a browser: the builds, the shelf, which engine it is, the rules, the gauges. Refuses to gather
//! what they show, and to know who asks for them.

pub mod address;
mod build;
mod builds;
mod changes;
mod files;
mod frame;
mod gauges;
mod lines;
mod lost;
mod matching;
mod pair;
mod rework;
mod rules;
mod shelf;
mod told;
mod which;
mod words;
mod words_build;
mod words_pair;

pub use build::{BuildPage, PageName, write as build};
pub use builds::{Begun, Builds, write as builds};
pub use changes::{Drawn, changes};
pub use files::{File, FileKind, file};
pub use frame::BenchShop;
pub use gauges::{GaugeLine, Gauges, write as gauges};
pub use lines::{BuildLine, PartLine, Standing};
pub use lost::{Lost, write as lost};
pub use matching::{Match, MatchAnswer, MatchAsked, write as matching};
pub use pair::{PairProblem, write as pair};
pub use rework::{Rework, write as rework};
pub use rules::{RuleList, Rules, list as rule_list, write as rules};
pub use shelf::{Shelf, write as shelf};
pub use which::{CANNOT_TELL, Which, write as which};
pub use words_build::{
    AGAIN, GONE, LEADS_OUT, NO_PHOTO, NO_SUCH_READING, NOT_A_PICTURE, NOT_JUDGED, READ_ONLY_ANSWER, TOO_MANY_PHOTOS,
    UNREADABLE, not_written,
};
