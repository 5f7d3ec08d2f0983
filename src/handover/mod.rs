//! What a shop hands over of one build, as plain data: every part in the books' order, each reading as it was taken, every
//! ruling on it. Refuses to know how any of it is printed, and where records and books lie.

mod gather;
mod rulings;
mod spelling;
mod taken;
mod used;

pub use gather::handover;
pub use spelling::one_spelling;
pub use used::gauges;

use crate::judge::RulingReport;
use crate::quantity::{Date, Value};

/// One build, ready to be put on paper.
#[derive(Clone, Debug)]
pub struct Handover {
    /// The generation's name, as the record says it.
    pub generation: String,
    /// What the generation is, in technical words.
    pub description: String,
    /// The day whose rows it was judged by; none where no day is known, and all that are in force stand.
    pub judged_on: Option<Date>,
    /// What the record says of the whole machine in words: a serial number, a duty.
    pub facts: Vec<(String, String)>,
    /// The whole machine, then each of its parts, in the order the books declare them.
    pub groups: Vec<Group>,
    /// How its readings are measured, part by part in the books' order: of each that was taken and whose book says so.
    pub how: Vec<Measuring>,
    /// The concessions the record carries.
    pub concessions: Vec<Conceded>,
    /// The gauges its readings were taken with.
    pub gauges: Vec<Used>,
    /// How it is decided near an end of a range.
    pub decision: String,
    /// Every quantity that was judged, for charts over many builds.
    pub measured: Vec<Measured>,
}

/// A part of the whole machine, with all that is inside it.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its name in words; none for the whole machine.
    pub name: Option<String>,
    /// What stands at each of its positions.
    pub spots: Vec<Spot>,
}

/// One position of a part.
#[derive(Clone, Debug)]
pub struct Spot {
    /// Its name in words; none for a part there is one of, and for what is about all positions together.
    pub name: Option<String>,
    /// What was measured and judged there.
    pub lines: Vec<Line>,
}

/// One characteristic.
#[derive(Clone, Debug)]
pub struct Line {
    /// The part inside the part, in words; nothing for the part itself.
    pub inside: String,
    /// Its name in words.
    pub name: String,
    /// Whether it is worked out from others.
    pub derived: bool,
    /// What was taken, in the order written.
    pub taken: Vec<Taken>,
    /// The rulings on it.
    pub rulings: Vec<Ruled>,
}

/// A value as it was taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Taken {
    /// The station it was taken at.
    pub station: Option<String>,
    /// As the record has it, with its unit, and how warm the part was.
    pub written: String,
    /// The gauge.
    pub gauge: Option<String>,
    /// A word about it.
    pub note: Option<String>,
}

/// A ruling, with what is judged of several values.
#[derive(Clone, Debug)]
pub struct Ruled {
    /// Which value of several, in words: `smallest`, `at a`, `reading 2`.
    pub which: Option<String>,
    /// The ruling in words.
    pub told: RulingReport,
}

/// How the readings of one part are measured.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Measuring {
    /// The part in words; none for the whole machine.
    pub part: Option<String>,
    /// How its positions are told apart.
    pub positions: Option<String>,
    /// Each reading in words, and how it is measured.
    pub readings: Vec<(String, String)>,
}

/// A concession as the record has it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conceded {
    /// What it is for, as it is written.
    pub row: String,
    /// Why.
    pub because: String,
    /// Who signed it.
    pub by: String,
    /// The last day it holds.
    pub until: Option<Date>,
    /// The paths of what it excuses; none where nothing needed it.
    pub excuses: Vec<String>,
}

/// A gauge that was used.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Used {
    /// Its name.
    pub name: String,
    /// Its expanded uncertainty, k = 2.
    pub uncertainty: Option<String>,
    /// One step of its scale.
    pub resolution: Option<String>,
    /// The day it was calibrated.
    pub calibrated: Option<Date>,
    /// The day it is due again.
    pub due: Option<Date>,
    /// How many readings were taken with it.
    pub readings: usize,
    /// The file it is listed in.
    pub listed_in: String,
}

/// One quantity that was judged.
#[derive(Clone, PartialEq, Debug)]
pub struct Measured {
    /// What it is, the same at every position: `smallest of rotor.apex_seal.height`.
    pub about: String,
    /// The way to it, positions named.
    pub path: String,
    /// The place of its position among those of the book.
    pub order: usize,
    /// In base units.
    pub value: Value,
    /// What it is printed in.
    pub unit: crate::quantity::Unit,
    /// Whether its row passes.
    pub passes: bool,
    /// The low and the high end of its limit, of its standard where there is no limit, as decimals in `unit`; an outer limit's only
    /// where no other row judges it.
    pub limit: [Option<String>; 2],
}

impl Handover {
    /// Every ruling, in the order of the paper.
    pub fn rulings(&self) -> impl Iterator<Item = &Ruled> {
        let spots = self.groups.iter().flat_map(|group| &group.spots);
        spots.flat_map(|spot| &spot.lines).flat_map(|line| &line.rulings)
    }

    /// How many readings were taken.
    #[must_use]
    pub fn readings(&self) -> usize {
        let spots = self.groups.iter().flat_map(|group| &group.spots);
        spots.flat_map(|spot| &spot.lines).map(|line| line.taken.len()).sum()
    }
}
