//! How one characteristic goes over many builds: its value in each, a chart for each position, groups side by side. Refuses
//! to know where records lie, what a value may be, and how anything is printed.

mod chart;
mod find;
mod group;
mod risk;
mod study;
mod subgroup;
mod survey;

pub use chart::{Chart, charts};
pub use find::Fault;
pub use group::{Group, Groups, Pair};
pub use risk::{Judged, Risk, risks};
pub use study::{GaugeStudy, Unfit, study};
pub use subgroup::{Subgroup, Subgrouped, subgrouped};
pub use survey::{Sight, Survey};

use crate::quantity::{Date, Value};

/// One value of one build.
#[derive(Clone, PartialEq, Debug)]
pub struct Point {
    /// The build.
    pub build: String,
    /// Its record.
    pub file: String,
    /// The day it was finished.
    pub finished: Date,
    /// The generation it is.
    pub generation: String,
    /// The way to the value, positions and station named.
    pub path: String,
    /// The positions and the station alone; nothing where there is one of it.
    pub position: String,
    /// Whether it is of a loose part, and not of a build.
    pub loose: bool,
    /// The place of the position among those of the book.
    pub order: usize,
    /// In base units.
    pub value: Value,
    /// The readings it is the mean of, in the order they were taken; itself where it is anything else.
    pub repeats: Vec<Value>,
    /// The group it belongs to: the place of its name among those declared, and the name. None where builds are not
    /// grouped, or this one does not say.
    pub group: Option<(u16, String)>,
    /// What judges it, where that was asked for and a row does.
    pub judged: Option<Judged>,
}

/// What stands in no chart, and why: builds by their names, files by theirs.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct LeftOut {
    /// Files that cannot be read.
    pub unreadable: Vec<String>,
    /// Files whose rulebooks have errors.
    pub unsound: Vec<String>,
    /// Files of records with errors.
    pub errors: Vec<String>,
    /// Builds whose rulebooks know no such characteristic, or another kind of one.
    pub elsewhere: Vec<String>,
    /// Builds of other generations than the one asked for.
    pub other_generation: Vec<String>,
    /// Loose parts whose generation is open.
    pub open_generation: Vec<String>,
    /// Builds that do not say the day they were finished, and parts that do not say the day they were measured.
    pub no_day: Vec<String>,
    /// Values that were not measured, or have no answer: the build and the path.
    pub unmeasured: Vec<(String, String)>,
}
