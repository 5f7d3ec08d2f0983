//! Every sentence of the customer's sheet. Refuses to know when it is said.

use crate::judge::Grade;
use crate::report::wording;

pub(super) const FINISHED: &str = "finished";
pub(super) const MACHINE: &str = "built as";
pub(super) const LIMIT: &str = "limit";
pub(super) const STANDARD: &str = "as new";
pub(super) const SIGNED_BY: [&str; 2] = ["Workshop", "Customer"];

// Headings, each with a sentence that says what stands under it.
pub(super) const OUT: (&str, &str) = ("Outside its limit", "It may not leave the shop like this.");
pub(super) const UNSETTLED: (&str, &str) =
    ("Too close to call", "These lie so near their limit that the measurement does not decide it.");
pub(super) const UNMEASURED: (&str, &str) = ("Still to be measured", "It may not leave the shop before this is done.");
pub(super) const EXCUSED: (&str, &str) = (
    "Let through, signed for",
    "These are not as they should be. The workshop has let each through for the reason given.",
);
pub(super) const WORN: (&str, &str) =
    ("Worn, and inside its limit", "Used parts that are no longer as new and may still be used.");
pub(super) const ADVICE: (&str, &str) =
    ("Worth watching", "Outside figures that are advice only: no reason to hold it back, and a reason to look again.");
pub(super) const PARTS: &str = "What was measured";
pub(super) const PART_COLUMNS: [&str; 5] =
    ["part", "values", "the value nearest to its limit", "what it may be", "where it lies"];

pub(super) const DEFER: &str = "The ranges are the workshop's. The maker's service documents, local codes and licensed practice come \
     before them.";

pub(super) fn verdict(grade: Option<Grade>, passes: bool) -> &'static str {
    match (grade, passes) {
        (Some(Grade::Good), true) => "Everything measured is as it should be",
        (Some(Grade::Worn), true) => "Fit to run: what is worn is inside its limits",
        (Some(_), true) => "Released by the workshop, with exceptions signed for",
        (Some(Grade::Out), false) => "Not released: something is outside its limit",
        (Some(Grade::Unmeasured), false) => "Not released: not everything was measured",
        (_, false) | (None, true) => "Not released",
    }
}

pub(super) fn measured(values: usize) -> String {
    format!("{} judged", wording::number_of(values, "value"))
}

pub(super) fn rows(count: usize) -> String {
    wording::number_of(count, "value")
}

pub(super) fn more(count: usize) -> String {
    format!("and {count} more, on the workshop's sheet")
}
