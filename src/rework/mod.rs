//! What would put a record right: the least change of each reading, and the fewest operations of the books after which the
//! whole build, judged again, is as good as they can make it. Everything here is a prediction. Refuses to write into a
//! record, and to know how it is printed.

mod exchange;
mod least;
mod operation;
mod order;
mod search;
mod state;
mod steps;

pub use exchange::{Exchange, Exchanges, Mended, Spare};
pub use least::LeastChange;
pub use order::{Order, orders};
pub use steps::{Action, Step};

use crate::bind::Readings;
use crate::book::{Book, Datum, Generation, Id, Kind, Part, Row};
use crate::judge::{self, Grade, Ruling};
use crate::plan::{Check, Plan};
use std::sync::Arc;

/// What would put a record right.
#[derive(Clone, Debug)]
pub struct Reworked {
    /// The build, if the record says it.
    pub build: Option<String>,
    /// The generation it is judged as.
    pub generation: Id<Generation>,
    /// Its grade now.
    pub grade: Grade,
    /// Rows that are not good and were measured.
    pub faults: Vec<Fault>,
    /// Rows that lack a reading: no operation is planned for them.
    pub unmeasured: usize,
    /// The operations, in order; none if there is nothing to do, or nothing the books allow helps.
    pub steps: Vec<Step>,
    /// What the record would be judged as after them; rows that must be measured first do not count.
    pub would_be: Grade,
    /// Rows that could not be judged before something is measured, as paths.
    pub open: Vec<String>,
    /// Whether it is proved that no plan with fewer operations does as much, each operation by any amount that its readings
    /// can be written in.
    pub is_fewest: bool,
    /// Whether it is proved that of the plans with as many operations none replaces fewer parts, and that of those that
    /// replace as many none takes off less.
    pub is_least: bool,
    /// How many sets of readings were judged.
    pub tried: usize,
    /// The readings as they would be.
    pub prediction: Readings,
}

/// A row that is not good.
#[derive(Clone, Debug)]
pub struct Fault {
    /// The check of the plan.
    pub check: usize,
    /// What is judged, as a path.
    pub path: String,
    /// The row.
    pub row: Arc<Row>,
    /// Its grade.
    pub grade: Grade,
    /// Whether the row is advisory.
    pub advisory: bool,
    /// The value, with its unit, if there is one.
    pub value: Option<String>,
    /// For each reading it rests on alone, the least change.
    pub least: Vec<LeastChange>,
    /// What it would be judged as after the plan; `None` if it must be measured first, or applies no longer.
    pub would_be: Option<Grade>,
    /// Whether it rests on something new, which must be measured before it can be judged again.
    pub open: bool,
    /// Whether the plan changes it by an amount nobody knows, so that it must be measured again.
    pub changes: bool,
    /// Whether an operation of the books changes anything it rests on.
    pub has_operations: bool,
    /// Operations that change it but cannot be planned before a reading is taken: each with that reading, as a path.
    pub needs: Vec<(Box<str>, String)>,
    /// Operations that would put it right, each with the row it would put out.
    pub refused: Vec<Refused>,
}

impl Fault {
    /// Whether the plan puts it right, or leaves it to be measured.
    #[must_use]
    pub fn is_helped(&self) -> bool {
        !self.changes && (self.open || self.would_be.is_none_or(|grade| grade < self.grade))
    }

    /// Whether the plan puts it wholly right, or leaves it to be measured.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        let is_right = |grade| matches!(grade, Grade::Good | Grade::Excused);
        !self.changes && (self.open || self.would_be.is_none_or(is_right))
    }
}

/// An operation that would put one row right and another out.
#[derive(Clone, Debug)]
pub struct Refused {
    /// The operation's name.
    pub operation: Box<str>,
    /// What it is done to, as a path.
    pub path: String,
    /// The row it would put out, as a path.
    pub row: String,
    /// What that row's value would be, with its unit, if it has one.
    pub value: Option<String>,
    /// What that row would be judged as.
    pub would_be: Grade,
}

impl Reworked {
    /// Whether after the plan no row that binds would fail, those on something new apart, which must be measured.
    #[must_use]
    pub fn puts_right(&self) -> bool {
        let is_left = |fault: &Fault| fault.changes && !fault.advisory && !fault.grade.passes();
        self.would_be.passes() && !self.faults.iter().any(is_left)
    }

    /// Whether there is nothing to put right.
    #[must_use]
    pub fn is_good(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Finds what would put the readings of a whole record right.
#[must_use]
pub fn rework(book: &Book, plan: &Plan, readings: &Readings) -> Reworked {
    planned(&operation::Operations::new(book, plan, readings, None), readings)
}

/// As [`rework`], for the readings of one loose part and the rows that lie within it: the part itself is not replaced.
#[must_use]
pub fn rework_part(book: &Book, plan: &Plan, readings: &Readings, part: Id<Part>) -> Reworked {
    planned(&operation::Operations::new(book, plan, readings, Some(part)), readings)
}

fn planned(operations: &operation::Operations<'_>, readings: &Readings) -> Reworked {
    let (book, plan) = (operations.book, operations.plan);
    let verdict = judge::judge(book, plan, readings);
    let mut faults: Vec<Fault> = Vec::new();
    let mut unmeasured = 0;
    for ruling in &verdict.rulings {
        let Some(check) = plan.checks.get(ruling.check) else { continue };
        match ruling.grade {
            Grade::Unmeasured => unmeasured += 1,
            Grade::Worn | Grade::Unsettled | Grade::Out if !faults.iter().any(|fault| fault.check == ruling.check) => {
                faults.push(fault(book, check, ruling));
            }
            _ => {}
        }
    }
    let checks: Vec<usize> = faults.iter().map(|fault| fault.check).collect();
    for fault in &mut faults {
        fault.least = least::least(book, plan, readings, fault.check);
    }
    let found = search::search(operations, &checks, readings);
    for fault in &mut faults {
        fault.has_operations = operations.operations.iter().any(|one| operations.rests_on(fault.check, &one.touched));
        let lacking = operations.lacking.iter().filter(|one| operations.rests_on(fault.check, &one.follows));
        fault.needs = lacking.map(|one| (one.rework.name.clone(), one.path.clone())).collect();
        let mine = found.refused.iter().filter(|(check, _)| *check == fault.check);
        fault.refused = mine.map(|(_, refused)| refused.clone()).collect();
    }
    let removed = found.removed.clone();
    let steps = steps::steps(operations, readings, &found.done);
    let after = judge::judge(book, plan, &found.readings);
    let (mut would_be, mut open) = (Grade::Good, Vec::new());
    let mut after_of = rustc_hash::FxHashMap::default();
    for ruling in &after.rulings {
        let Some(check) = plan.checks.get(ruling.check) else { continue };
        if ruling.grade == Grade::Unmeasured && operations.rests_on(ruling.check, &removed) {
            open.push(path_of(book, check));
        } else {
            would_be = would_be.max(ruling.weight());
            let entry = after_of.entry(ruling.check).or_insert(ruling.grade);
            *entry = (*entry).max(ruling.grade);
        }
    }
    open.dedup();
    for fault in &mut faults {
        fault.would_be = after_of.get(&fault.check).copied();
        let waits = fault.would_be.is_none() && operations.rests_on(fault.check, &removed);
        fault.open = waits && operations.rests_on(fault.check, &found.renewed);
        fault.changes = waits && !fault.open;
    }
    Reworked {
        build: readings.build.clone(),
        generation: plan.generation,
        grade: verdict.grade,
        faults,
        unmeasured,
        steps,
        would_be,
        open,
        is_fewest: found.is_fewest,
        is_least: found.is_least,
        tried: found.tried,
        prediction: found.readings,
    }
}

/// The value that the worst ruling on a check is about, with its unit.
fn value_of(book: &Book, plan: &Plan, check: usize, readings: &Readings) -> Option<String> {
    let part = plan.only(&[check]);
    let rulings = judge::judge(book, &part, readings).rulings;
    let worst = rulings.iter().rev().max_by_key(|ruling| ruling.grade)?;
    value_in(book, part.checks.first()?, worst)
}

/// The value of a ruling: with its unit, a name, or yes or no.
fn value_in(book: &Book, check: &Check, ruling: &Ruling) -> Option<String> {
    let characteristic = book.characteristics.get(check.row.subject.characteristic);
    match (ruling.value.as_ref()?, characteristic.kind) {
        (Datum::Quantity(value), _) => Some(match &characteristic.unit {
            Some(unit) => shown(value, unit),
            None => value.midpoint().to_text(4),
        }),
        (Datum::Name(name), Kind::Names(set)) => Some(book.sets.get(set).name_of(*name).to_string()),
        (Datum::YesNo(yes), _) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        _ => None,
    }
}

fn fault(book: &Book, check: &Check, ruling: &Ruling) -> Fault {
    let value = value_in(book, check, ruling);
    Fault {
        check: ruling.check,
        path: path_of(book, check),
        row: check.row.clone(),
        grade: ruling.grade,
        advisory: ruling.advisory,
        value,
        least: Vec::new(),
        would_be: None,
        open: false,
        changes: false,
        has_operations: false,
        needs: Vec::new(),
        refused: Vec::new(),
    }
}

/// The way to what a check judges.
fn path_of(book: &Book, check: &Check) -> String {
    use crate::plan::Subject;
    let station = match &check.subject {
        Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
        Subject::Made(_) | Subject::Group(_) => None,
    };
    book.path(check.row.subject.characteristic, &check.positions, station)
}

/// A value with its unit; to four places if it does not end soon.
pub(crate) fn shown(value: &crate::quantity::Value, unit: &crate::quantity::Unit) -> String {
    const MOST_PLACES: usize = 6;
    let exact = unit.decimal(value);
    let places = exact.split_once('.').map_or(0, |(_, after)| after.len());
    let text = if places > MOST_PLACES { unit.from_base(value).midpoint().to_text(4) } else { exact };
    format!("{text} {}", unit.symbol).trim_end().to_string()
}
