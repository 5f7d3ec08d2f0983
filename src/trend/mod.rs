//! How one characteristic goes over many builds: its value in each, a chart for each position, groups side by side. Refuses
//! to know where records lie, what a value may be, and how anything is printed.

mod chart;
mod find;
mod group;
mod survey;

pub use chart::{Chart, charts};
pub use find::{Fault, names};
pub use group::{Group, Groups, Pair};
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
    /// The place of the position among those of the book.
    pub order: usize,
    /// In base units.
    pub value: Value,
    /// The group it belongs to: the place of its name among those declared, and the name. None where builds are not
    /// grouped, or this one does not say.
    pub group: Option<(u16, String)>,
}
