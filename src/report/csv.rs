//! A run as comma-separated text for a spreadsheet, a line for each row judged. Refuses to say anything that is not of a
//! record.
//!
//! RFC 4180, in UTF-8 with a byte order mark, the columns named in the first line. A build without any ruling has one line, so
//! that none is lost: its `path` is empty and its `build_grade` says how it stands (`not judged` where it could not be).
//! What is wrong with rulebooks and paths has no line; whoever writes the table says it elsewhere.
//!
//! | columns | what they are |
//! | --- | --- |
//! | `file`, `build`, `finished`, `generation` | the record |
//! | `build_grade`, `passes`, `record_errors` | how the whole build stands; how many errors are in the record itself |
//! | `path`, `grade`, `advisory` | what is judged, its grade (`advisory out` where an advisory row is not good), whether the row is advisory |
//! | `value`, `unit`, `written` | the value as a number, in the unit the book declares, and as the record has it |
//! | `rounded` | the number compared, where the row rounds |
//! | `standard`, `standard_low`, `standard_high` | the range as the book writes it, and its ends as numbers |
//! | `limit`, `limit_low`, `limit_high` | the same of the limit |
//! | `beyond`, `side`, `room` | how far outside and on which side (`under`, `over`); how far inside |
//! | `uncertainty`, `gauges` | the expanded uncertainty; the gauges it was taken with, `; ` between them |
//! | `missing`, `concession`, `slip` | readings that are not there, `; ` between them; who lets it through; what it reads like |
//! | `source`, `because`, `remedy`, `caution` | what the book says of the row |
//! | `reading`, `row` | where the reading and the row stand, as `file:line:column` |
//!
//! What is still to be measured has no list here: each row that lacks a reading has its line, `grade` says `unmeasured` and
//! `missing` names the readings by their paths, also those that the record says are `unknown` and those that do not count.
//!
//! Numbers are decimals with a point, of at most twelve places; differences (`beyond`, `room`) are in the unit too. A text
//! that a spreadsheet would reckon out stands behind an apostrophe.

use super::{cells, wording};
use crate::judge::{Grade, RulingReport};
use crate::shop::Checked;
use crate::text::Place;

/// What every line begins with.
const OF_THE_BUILD: [&str; 7] = ["file", "build", "finished", "generation", "build_grade", "passes", "record_errors"];

const OF_THE_RULING: [&str; 27] = [
    "path",
    "grade",
    "advisory",
    "value",
    "unit",
    "written",
    "rounded",
    "standard",
    "standard_low",
    "standard_high",
    "limit",
    "limit_low",
    "limit_high",
    "beyond",
    "side",
    "room",
    "uncertainty",
    "gauges",
    "missing",
    "concession",
    "slip",
    "source",
    "because",
    "remedy",
    "caution",
    "reading",
    "row",
];

/// The first line.
pub(super) fn begin() -> String {
    let columns: Vec<&str> = OF_THE_BUILD.into_iter().chain(OF_THE_RULING).collect();
    format!("{}{}", cells::MARK, cells::line(&columns))
}

/// The lines of one record.
pub(super) fn record(checked: &Checked) -> String {
    let build: [String; OF_THE_BUILD.len()] = [
        checked.file.clone(),
        checked.build.clone(),
        checked.finished.map(|day| day.to_string()).unwrap_or_default(),
        checked.generation.clone().unwrap_or_default(),
        checked.grade.map_or(wording::NOT_JUDGED, Grade::word).to_string(),
        wording::yes_no(checked.passes()).to_string(),
        checked.record_errors.to_string(),
    ];
    if checked.rulings.is_empty() {
        return lone(&build);
    }
    checked.rulings.iter().map(|told| joined(&build, &ruling(told))).collect()
}

/// A record not judged because its rulebooks have errors: it was not even opened.
pub(super) fn unsound(file: &str) -> String {
    let [empty, no] = [String::new(), wording::yes_no(false).to_string()];
    let grade = wording::NOT_JUDGED.to_string();
    lone(&[file.to_string(), empty.clone(), empty.clone(), empty.clone(), grade, no, empty])
}

fn lone(build: &[String]) -> String {
    joined(build, &[const { String::new() }; OF_THE_RULING.len()])
}

fn joined(build: &[String], ruling: &[String]) -> String {
    cells::line(&build.iter().chain(ruling).collect::<Vec<_>>())
}

fn ruling(told: &RulingReport) -> [String; OF_THE_RULING.len()] {
    let known = |text: &Option<String>| text.clone().unwrap_or_default();
    let place = |place: &Place| place.to_string();
    let figures = &told.figures;
    let [standard_low, standard_high] = &figures.standard;
    let [limit_low, limit_high] = &figures.limit;
    [
        told.path.clone(),
        wording::graded(told.grade, told.advisory),
        wording::yes_no(told.advisory).to_string(),
        known(&figures.value),
        known(&told.unit),
        known(&told.value),
        known(&figures.rounded),
        known(&told.standard),
        known(standard_low),
        known(standard_high),
        known(&told.limit),
        known(limit_low),
        known(limit_high),
        known(&figures.beyond),
        told.beyond.as_ref().and_then(|beyond| beyond.rsplit(' ').next()).unwrap_or_default().to_string(),
        known(&figures.room),
        told.uncertainty.as_ref().map(|weighed| weighed.expanded.clone()).unwrap_or_default(),
        told.gauges.join("; "),
        told.missing.join("; "),
        known(&told.concession),
        known(&told.slip),
        known(&told.source),
        known(&told.because),
        known(&told.remedy),
        known(&told.caution),
        told.place.as_ref().map(place).unwrap_or_default(),
        place(&told.row),
    ]
}
