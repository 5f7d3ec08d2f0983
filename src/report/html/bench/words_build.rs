//! Every sentence on the page of one record at the bench. Refuses to know when it is shown.

use crate::judge::Grade;
use crate::report::wording;
use crate::shop::Checked;
use crate::worksheet::Worksheet;

pub(super) const STILL: &str = "Still to take";
pub(super) const UNDO: &str = "Undo";
pub(super) const SHEET: &str = "Build sheet";
pub(super) const LABEL: &str = "Label to print";
pub(super) const REWORK: &str = "What would put it right";
pub(super) const ALL_KEPT: &str = "Everything is kept.";
pub(super) const PROGRESS: &str = "readings taken";
pub(super) const NO_SCRIPT: &str =
    "Scripts are off in this browser: the page shows the record, and nothing can be entered.";
pub(super) const HOW: &str = "How to measure";
pub(super) const HOW_CALCULATED: &str = "How it is calculated";
pub(super) const ONE_MORE: &str = "One more";
pub(super) const MORE: &str = "More";
pub(super) const UNKNOWN: &str = "unknown";
pub(super) const UNUSUAL: &str = "This reading is written in a form that is not changed here. Change it in the file.";
pub(super) const OUTER: &str = "outer limit";
pub(super) const SLIP: &str = "slip?";
pub(super) const REMEDY: &str = "What to do:";
pub(super) const CONCEDE: &str = "Let it through";
pub(super) const CONCEDE_HOW: &str =
    "A concession names the row, says why it is let through, and is signed by a person.";
pub(super) const SIGN: &str = "Sign";
pub(super) const CONCESSION_FIELDS: [&str; 4] = ["row", "why it is let through", "signed by", "holds until"];
pub(super) const PHOTO: &str = "photo";
pub(super) const WRITE_BESIDE: &str = "Write";
pub(super) const CANNOT_READ: &str = "Cannot be read";
pub(super) const TAKE_AWAY: &str = "Take the value away";
pub(super) const MEASURE_AGAIN: &str = "I will measure again";
pub(super) const CONFIRMED_BY: &str = "It is right. Measured twice by";
pub(super) const CONFIRM: &str = "Confirm";
pub(super) const ALL_THE_SAME: &str = "Write it anyway; it does not count";

/// What may be written beside a value, with the words for it.
pub(super) const SAYS: [(&str, &str); 9] = [
    ("gauge", "gauge"),
    ("at", "temperature of the part"),
    ("gauge_at", "temperature of the gauge"),
    ("uncertainty", "uncertainty"),
    ("k", "its k, if not 2"),
    ("coverage", "or its coverage, as 95 %"),
    ("degrees_of_freedom", "degrees of freedom"),
    ("confirmed", "confirmed by"),
    ("note", "note"),
];

/// Sentences that the page's script shows.
pub(super) const FOR_SCRIPT: [(&str, &str); 12] = [
    ("no_photo", "No answer from the shop's machine: the photograph was not kept. Take it again once values are kept."),
    ("all_kept", ALL_KEPT),
    ("keeping", "Keeping …"),
    ("kept", "Kept."),
    ("not_kept_one", "1 value is not kept yet"),
    ("not_kept", "values are not kept yet"),
    ("no_answer", "no answer from the shop's machine, tried again every two seconds"),
    ("not_written", "Not written:"),
    ("mine", "Write"),
    ("theirs", "Leave"),
    ("nothing_open", "Nothing is left to take."),
    ("undone", "Taken back."),
];

// What the server answers.

/// Nothing may be written.
pub const READ_ONLY_ANSWER: &str = "this page is for reading only";
/// What was sent cannot be read.
pub const UNREADABLE: &str = "what the page sent cannot be read: load the page again";
/// The record is not there.
pub const GONE: &str = "the record is not there any more: it was moved or deleted";
/// The record cannot be judged.
pub const NOT_JUDGED: &str = "the record cannot be judged as it stands: its generation or its books are in doubt";
/// The file changed in this moment.
pub const AGAIN: &str = "the file changed at that moment: sent again";

/// The record is elsewhere.
pub const LEADS_OUT: &str = "this is a link that leads out of the shop's folder: change the record in its own folder";
/// What was sent as a photograph is something else.
pub const NOT_A_PICTURE: &str = "this is not a JPEG, PNG, WebP or HEIF picture";
/// The reading a photograph is of is not there.
pub const NO_SUCH_READING: &str = "there is no such reading in this record";
/// One reading has too many photographs.
pub const TOO_MANY_PHOTOS: &str = "this reading has fifty photographs: take some away first";
/// A photograph is not there.
pub const NO_PHOTO: &str = "The record names no such photograph, or it is not there any more.";

/// The disk did not take a value.
#[must_use]
pub fn not_written(error: &std::io::Error) -> String {
    format!("the disk refused it, so the file is unchanged: {error}")
}

/// Words for what stands beside a value.
pub(super) fn beside(key: &str) -> &str {
    match key {
        "gauge" => "by",
        "at" => "at",
        "note" => "note:",
        "photo" => "photo",
        other => SAYS.iter().find(|(known, _)| *known == other).map_or(other, |(_, words)| words),
    }
}

pub(super) fn until(day: &str) -> String {
    format!("until {day}")
}

pub(super) fn kind(sheet: &Worksheet) -> String {
    match &sheet.checked.part {
        Some(part) => format!("Loose part: {}", part.part.replace(['_', '.'], " ")),
        None => "Build at the bench".into(),
    }
}

pub(super) fn head(key: &str) -> &str {
    match key {
        "serial" => "serial number",
        other => other,
    }
}

/// `31 of 137 taken`.
pub(super) fn taken(taken: usize, required: usize) -> String {
    format!("{taken} of {required} taken")
}

pub(super) fn more_wrong(more: usize) -> String {
    format!("and {more} more")
}

/// `May be left out: year, bore`, with no more names than a line holds.
pub(super) fn may_be_left_out(names: &[&str]) -> String {
    const MOST: usize = 4;
    let listed = names.iter().take(MOST).copied().collect::<Vec<_>>().join(", ");
    let more = names.len().saturating_sub(MOST);
    if more > 0 { format!("May be left out: {listed} and {more} more") } else { format!("May be left out: {listed}") }
}

pub(super) fn value(number: usize) -> String {
    format!("value {number}")
}

pub(super) fn verdict(checked: &Checked) -> String {
    let word = checked.grade.map_or(wording::NOT_JUDGED, Grade::word);
    match (&checked.part, checked.passes()) {
        (Some(_), true) => format!("{word}: may be used"),
        (Some(_), false) => format!("{word}: may not be used as it is"),
        (None, passes) => crate::report::html::words::verdict(checked.grade, passes),
    }
}
