//! Every sentence on a page of HTML that is not a text of the papers. Refuses to know when it is said.

use crate::judge::{Grade, Wanted};
use crate::report::lines;
use crate::report::wording;
use crate::shop::Checked;

pub(super) const FOOT: &str = "judged by trochoid; the maker's documents come first";
pub(super) const PAGE: &str = "page";
pub(super) const OF: &str = "of";

pub(super) const SHEET: &str = "Build sheet";
pub(super) const RELEASED: &str = "may leave the shop";
pub(super) const HELD: &str = "may not leave the shop";
pub(super) const TO_MEASURE: &str = "Readings that are missing";
pub(super) const FINDINGS: &str = "What was found";
pub(super) const NOTHING_FOUND: &str = "Nothing: every row that was judged is good, and the record has no faults.";
pub(super) const CONCESSIONS: &str = "Let through by concession";
pub(super) const MEASUREMENTS: &str = "Measurements";
pub(super) const WHOLE: &str = "whole machine";
pub(super) const TOGETHER: &str = "compared with each other";
pub(super) const GAUGES: &str = "Gauges and their calibration";
pub(super) const NO_GAUGES: &str = "The record names no gauge, so nobody can say how well anything was measured.";
pub(super) const HOW: &str = "How the readings are measured";
pub(super) const RESTS_ON: &str = "What this verdict is based on";
pub(super) const DIGESTS: &str = "A digest is the SHA-256 of the file's bytes (FIPS 180-4): as long as a file has the digest \
     printed here, it is the one that was judged.";
pub(super) const CAUTIONS: &str = "Cautions";
pub(super) const DEFER: &str = "The ranges come from the rulebooks named here. The maker's service documents, local codes and \
     licensed practice come before them.";
pub(super) const SIGNATURES: &str = "Signed";
pub(super) const SIGNED_BY: [&str; 4] = ["Measured", "Inspected", "Released", "Received"];
pub(super) const SIGN_COLUMNS: [&str; 3] = ["name", "signature", "day"];

pub(super) const AS_TAKEN: &str = "as taken";
pub(super) const WORKED_OUT: &str = "calculated";
pub(super) const NOT_MEASURED: &str = "not measured";
pub(super) const NOT_JUDGED_ALONE: &str = "Also measured, with no row of its own";
pub(super) const COLUMNS: [&str; 6] = ["what", "reading", "standard", "limit", "where it lies", "grade"];
pub(super) const GAUGE_COLUMNS: [&str; 7] =
    ["gauge", "uncertainty, k = 2", "resolution", "calibrated", "due", "readings", "listed in"];
pub(super) const FILE_COLUMNS: [&str; 3] = ["file", "title and edition", "SHA-256"];
pub(super) const CONCESSION_COLUMNS: [&str; 5] = ["for", "excuses", "because", "signed by", "holds until"];

/// How a bar is read.
pub(super) const BAR_KEY: &str = "Hatched: standard, as new. Box between long ticks: limit, how far wear may go. Mark: the reading, \
     with its uncertainty as a line across. An upright line at the left end: zero. Arrow: off the \
     scale. An outer limit that holds is not printed where other rows judge the same value.";

pub(super) fn verdict(grade: Option<Grade>, passes: bool) -> String {
    let word = grade.map_or(wording::NOT_JUDGED, Grade::word);
    format!("{word}: {}", if passes { RELEASED } else { HELD })
}

/// `174 rows: all good`, and what else is to be counted.
pub(super) fn counts(checked: &Checked) -> String {
    lines::remarks(checked)
}

/// `Still to measure: 31 readings`.
pub(super) fn to_measure(wanted: Wanted, readings: usize) -> String {
    capital(&format!("{}: {}", wording::to_measure(wanted), wording::number_of(readings, "reading")))
}

/// Beside the box that unfolds good rows on a phone.
pub(super) fn all_rows(good: usize) -> String {
    format!("show the good rows too ({good})")
}

/// The caption of a part's table.
pub(super) fn caption(name: Option<&str>) -> String {
    capital(name.unwrap_or(WHOLE))
}

/// With a capital, for the beginning of a line.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

pub(super) fn grade_key(grade: Grade) -> &'static str {
    match grade {
        Grade::Good => "inside its standard, or its limit where there is no standard",
        Grade::Worn => "inside its limit, and outside its standard or too near it to tell",
        Grade::Excused => "let through by a signed concession",
        Grade::Unsettled => "too near an end to decide with this uncertainty",
        Grade::Unmeasured => "a reading is missing",
        Grade::Out => "outside its limit",
    }
}

// The page over many builds.
pub(super) const INDEX: &str = "Builds";
pub(super) const INDEX_COLUMNS: [&str; 6] = ["build", "grade", "finished", "generation", "rows", "what stands out"];
pub(super) const INDEX_PARTS: &str = "Loose parts";
pub(super) const INDEX_CAPTION: &str = "Every record, those that may not leave the shop first";
pub(super) const FILTER: &str = "Show only builds that contain";
pub(super) const CHARTS: &str = "Over time";
pub(super) const CHARTS_KEY: &str = "The builds from left to right in the order of the days they were finished, each a line from the smallest of \
     its values to the largest; with many builds one line for several. A cross: a value that does not pass. Thick line: the limit of \
     the newest build's rule, where it lies near. Thin line: the mean of all. Dashed lines: three standard deviations from it, \
     calculated from the steps between values; they show what these builds do, not what a rule requires.";
pub(super) const MORE_CHARTS: &str = "All charts of a generation:";
pub(super) const ANY: &str = "any";
pub(super) const FROM_DAY: &str = "finished from";
pub(super) const TO_DAY: &str = "to";
pub(super) const PAGE_BEFORE: &str = "Previous page";
pub(super) const PAGE_AFTER: &str = "Next page";
pub(super) const FEW_CHARTS: &str = "No generation has three builds with a finish date: there is nothing to chart yet.";
pub(super) const TROUBLES: &str = "What could not be done";
pub(super) const NO_SHEET: &str = "no sheet";

/// Figures of a chart in words, for those who cannot see it.
pub(super) fn chart(builds: usize, values: usize, low: &str, high: &str, failing: usize) -> String {
    let failing = match failing {
        0 => String::new(),
        1 => "; 1 does not pass".to_string(),
        more => format!("; {more} do not pass"),
    };
    format!(
        "{} from {}, from {low} to {high}{failing}",
        wording::number_of(values, "value"),
        wording::number_of(builds, "build")
    )
}

// Labels of loose parts.
pub(super) const LABELS: &str = "Labels";
pub(super) const LABELS_HOW: &str = "Print, cut along the dashed lines, punch the hole and tie each to its part.";
pub(super) const SCRAPPED: &str = "scrapped";
pub(super) const MEASURED_ON: &str = "measured";

// The sheet to write on.
pub(super) const BLANK: &str = "Measuring sheet";
pub(super) const BLANK_HOW: &str = "Write each reading as it was taken, not rounded, with its unit if that is not the one printed; write \
     `unknown` if it cannot be read. Calculated values need no entry.";
pub(super) const BLANK_FACTS: [&str; 5] = ["build", "finished", "measured by", "room temperature", "gauges"];
pub(super) const BLANK_FACTS_OF_PART: [&str; 5] = ["tag", "measured", "measured by", "room temperature", "gauges"];
pub(super) const OPTIONAL: &str = "may be left out";
pub(super) const OPTIONALS: &str = "What may be left out";
pub(super) const OPTIONALS_HOW: &str =
    "Write where it was taken before the value if there are several places: rear 2: 0.08 mm.";

// What a verdict is based on, beside the books.
pub(super) const THE_RECORD: &str = "the record";
pub(super) const THE_PART: &str = "a part it takes from the shelf";
pub(super) const THE_GAUGES: &str = "the shop's list of gauges";
