//! Judges: a plan and a record's readings give a verdict, the same one every time. Refuses to know the day, the place
//! it is printed, or what kind of machine it is about.

mod again;
mod contradicted;
mod conversions;
mod evaluate;
mod figures;
mod grade;
mod inputs;
mod margin;
mod not_weighed;
mod outside;
mod plausible;
mod printed;
mod ranges;
mod reporter;
mod rounding;
mod ruling_report;
mod slip;
mod swapped;
mod to_measure;
pub mod uncertainty;
mod value;
mod value_contradicted;
mod warmth;
mod weighed;
mod who;
mod wording;
mod wording_plausible;
mod wording_uncertainty;

pub use again::ReportedBefore;
pub use contradicted::contradicted;
pub use conversions::{Conversion, conversions};
pub use figures::Figures;
pub use margin::Edge;
pub use not_weighed::{NOT_WEIGHED, compares_quantities};
pub use plausible::{screen, screen_for_any};
pub use ranges::Ranges;
pub use reporter::{Reporter, keys};
pub use ruling_report::RulingReport;
pub use to_measure::{MissingReading, ToMeasure, Wanted};
pub use value::{gauges_of, values_of};
pub use value_contradicted::values_contradicted;
pub use weighed::{TierWeighed, Weighed};
pub use who::{history as row_history, is_shop, row_source_words, source_words};

use crate::bind::Readings;
use crate::book::{Book, Datum};
use crate::finding::Finding;
use crate::plan::Plan;

/// What one row, or a whole build, comes to. The order is from best to worst: a build's grade is its worst row's.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum Grade {
    /// Inside `standard`, or inside `limit` where there is no `standard`.
    Good,
    /// Inside `limit`, and outside `standard` or too near it to tell.
    Worn,
    /// Would be worse than good, and the record carries a signed concession for it.
    Excused,
    /// The measurement does not decide it.
    Unsettled,
    /// A required reading is not there.
    Unmeasured,
    /// Outside `limit`, or outside `standard` where there is no `limit`.
    Out,
}

impl Grade {
    /// Every grade, best first.
    pub const ALL: [Grade; GRADES] =
        [Grade::Good, Grade::Worn, Grade::Excused, Grade::Unsettled, Grade::Unmeasured, Grade::Out];

    /// The word printed.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Grade::Good => "good",
            Grade::Worn => "worn",
            Grade::Excused => "excused",
            Grade::Unsettled => "unsettled",
            Grade::Unmeasured => "unmeasured",
            Grade::Out => "out",
        }
    }

    /// The grade of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Grade> {
        Grade::ALL.into_iter().find(|grade| grade.word() == word)
    }

    /// Whether a build of this grade may leave the shop: good, worn and excused ones may.
    #[must_use]
    pub fn passes(self) -> bool {
        self <= Grade::Excused
    }
}

/// Which rulings get a finding: by their grade, those of advisory rows apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct GradeSet(u8);

/// The bits of a [`GradeSet`] after those of the grades.
const ADVISORY: u8 = 1 << GRADES;
const LISTED: u8 = 1 << (GRADES + 1);

impl GradeSet {
    /// No grade.
    pub const NONE: GradeSet = GradeSet(0);

    /// Every grade but good, advisory rows included.
    pub const NOT_GOOD: GradeSet = GradeSet(0b11_1110 | ADVISORY);

    /// The set of these grades, without advisory rows.
    #[must_use]
    pub fn of(grades: &[Grade]) -> GradeSet {
        GradeSet(grades.iter().fold(0, |bits, grade| bits | 1 << (*grade as u8)))
    }

    /// Whether a grade is in it.
    #[must_use]
    pub fn contains(self, grade: Grade) -> bool {
        self.0 & (1 << (grade as u8)) != 0
    }

    /// The same, with the advisory rows that are not good.
    #[must_use]
    pub fn with_advisory(self) -> GradeSet {
        GradeSet(self.0 | ADVISORY)
    }

    /// The same, but a row that lacks a reading gets no finding of its own: [`Reporter::to_measure`] lists the readings.
    #[must_use]
    pub fn with_list(self) -> GradeSet {
        GradeSet(self.0 | LISTED)
    }

    /// Whether missing readings are listed.
    #[must_use]
    pub fn lists(self) -> bool {
        self.0 & LISTED != 0
    }

    /// Whether a ruling of this grade is in it: one of an advisory row that is not good by that alone.
    #[must_use]
    pub fn shows(self, grade: Grade, advisory: bool) -> bool {
        if advisory && grade != Grade::Good { self.0 & ADVISORY != 0 } else { self.contains(grade) }
    }
}

/// How many grades there are.
pub const GRADES: usize = 6;

/// How many rulings of each grade, those of advisory rows that are not good counted apart, and of these the ones without a reading.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Counts {
    grades: [usize; GRADES],
    /// Rulings of advisory rows that were judged and are not good.
    pub advisory: usize,
    /// Rulings of advisory rows that are unmeasured.
    pub advisory_unmeasured: usize,
}

impl Counts {
    /// The counts of each grade in order, then of advisory rows: those not good, and those unmeasured.
    #[must_use]
    pub fn numbers(&self) -> [usize; GRADES + 2] {
        let mut numbers = [self.advisory_unmeasured; GRADES + 2];
        let counts = self.grades.iter().chain([&self.advisory]);
        numbers.iter_mut().zip(counts).for_each(|(number, count)| *number = *count);
        numbers
    }

    /// The counts that have such numbers.
    #[must_use]
    pub fn of_numbers(numbers: [usize; GRADES + 2]) -> Counts {
        let [grades @ .., advisory, advisory_unmeasured] = numbers;
        Counts { grades, advisory, advisory_unmeasured }
    }

    /// So many good ones.
    fn good(count: usize) -> Counts {
        let mut counts = Counts::default();
        if let Some(good) = counts.grades.get_mut(Grade::Good as usize) {
            *good = count;
        }
        counts
    }

    /// How many of a grade.
    #[must_use]
    pub fn of(&self, grade: Grade) -> usize {
        self.grades.get(grade as usize).copied().unwrap_or(0)
    }

    /// How many in all.
    #[must_use]
    pub fn total(&self) -> usize {
        self.grades.iter().sum::<usize>() + self.advisory + self.advisory_unmeasured
    }

    /// Counts one more of a grade.
    pub fn count(&mut self, grade: Grade) {
        if let Some(count) = self.grades.get_mut(grade as usize) {
            *count += 1;
        }
    }

    /// Counts one more ruling of a row, apart where the row is advisory and the ruling not good.
    pub fn count_ruling(&mut self, ruling: &Ruling) {
        match (ruling.advisory, ruling.grade) {
            (true, Grade::Unmeasured) => self.advisory_unmeasured += 1,
            (true, grade) if grade > Grade::Good => self.advisory += 1,
            (_, grade) => self.count(grade),
        }
    }

    /// Adds the counts of another build.
    pub fn add(&mut self, other: &Counts) {
        for (sum, more) in self.grades.iter_mut().zip(other.grades) {
            *sum += more;
        }
        self.advisory += other.advisory;
        self.advisory_unmeasured += other.advisory_unmeasured;
    }
}

/// All that is to be said of one build.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// Its grade: the worst of its rulings, an advisory one counting as worn at most.
    pub grade: Grade,
    /// Its rulings, in the order of the plan; some good ones may be left out ([`judge_for_faults`]).
    pub rulings: Vec<Ruling>,
    /// How many of each grade.
    pub counts: Counts,
    /// Rows skipped because a reading that may be left out was.
    pub skipped: usize,
    /// What is to be said of its concessions.
    pub findings: Vec<Finding>,
}

/// What one row comes to at one position.
#[derive(Clone, PartialEq, Debug)]
pub struct Ruling {
    /// Which check of the plan.
    pub check: usize,
    /// Which reading of several, where each is judged by itself.
    pub reading: Option<usize>,
    /// Its grade.
    pub grade: Grade,
    /// How it was arrived at.
    pub found: Found,
    /// The value judged, where there is one.
    pub value: Option<Datum>,
    /// Which concession of the record excuses it.
    pub concession: Option<usize>,
    /// Whether the row is advisory.
    pub advisory: bool,
}

impl Ruling {
    /// The grade it gives its build: an advisory row never makes a build worse than worn.
    #[must_use]
    pub fn weight(&self) -> Grade {
        if self.advisory { self.grade.min(Grade::Worn) } else { self.grade }
    }
}

/// How a ruling was arrived at.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Found {
    /// Inside every range of the row.
    Inside,
    /// Outside a tier.
    Outside {
        /// Whether it is the limit.
        limit: bool,
        /// On which side, where there are sides.
        side: Side,
    },
    /// Nearer to an end of a tier than the guard band, so that the measurement does not decide it.
    Guarded {
        /// Whether it is the limit.
        limit: bool,
        /// At which end.
        side: Side,
    },
    /// The enclosure of the value holds an end of the tier.
    Undecided {
        /// Whether it is the limit.
        limit: bool,
    },
    /// Whether the row applies is not decided.
    ConditionUndecided,
    /// Something it needs was not measured.
    Missing,
    /// Whether the row applies depends on something that was not measured.
    ConditionMissing,
    /// What it asks for has no answer: a division by zero, or the like.
    Impossible,
}

/// On which side of a range.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// Under its lower end.
    Below,
    /// Over its upper end.
    Above,
    /// Not among its names, or not all the same: there are no sides.
    Beside,
}

/// Judges a record's readings by a plan.
#[must_use]
pub fn judge(book: &Book, plan: &Plan, readings: &Readings) -> Verdict {
    grade::judge(book, plan, readings, true)
}

/// As [`judge`], for whom good rulings are only a number: they are counted, and kept only where the record's own gauges or
/// concessions ask for each of them.
#[must_use]
pub fn judge_for_faults(book: &Book, plan: &Plan, readings: &Readings) -> Verdict {
    grade::judge(book, plan, readings, false)
}

/// The rulings of [`judge`], without its findings, grade and counts.
#[must_use]
pub fn rulings(book: &Book, plan: &Plan, readings: &Readings) -> Vec<Ruling> {
    grade::rulings(book, plan, readings)
}
