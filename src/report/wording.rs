//! Every sentence this room says. Refuses to know when it is said.

use crate::finding::Severity;
use crate::judge::{Counts, Grade, Wanted};

/// What stands before an instruction that mends it, before a code, and before a place.
pub(super) const HELP: &str = "to do";
pub(super) const CODE: &str = "code";
pub(super) const WHERE: &str = "where";

/// What lies behind the names of shipped rulebooks.
pub(super) const SHIPPED_BOOKS: &str = "the rulebooks inside the program";

/// The suite of what is wrong outside the records.
pub(super) const OUTSIDE_RECORDS: &str = "rulebooks, paths and gauges";

/// What stands before a ruling's path, and before the places of its reading and its row.
pub(super) const ROW: &str = "row";
pub(super) const READING_AT: &str = "measured at";
pub(super) const RULE_AT: &str = "declared at";

/// How many records a table makes, and of how many builds it makes none.
pub(super) fn imported(done: usize, not_done: usize, noun: &str) -> String {
    match (done, not_done) {
        (0, 0) => format!("the table has no {noun}s\n"),
        (_, 0) => format!("{}\n", number_of(done, "record")),
        _ => format!("{}; no record for {}\n", number_of(done, "record"), number_of(not_done, noun)),
    }
}

pub(super) const SAY_WHERE_TO: &str = "nothing was written: name a folder with --to\n";

/// The word people read for how much a finding matters.
pub(super) fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "fault",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// The word documents have for it: SARIF 2.1.0 fixes its levels, and JSON has the same.
pub(super) fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// The grade of a ruling as documents have it. An advisory row that is not good says so in the same word, so that whoever counts
/// `out` counts what binds.
pub(super) fn graded(grade: Grade, advisory: bool) -> String {
    if advisory && grade != Grade::Good { format!("advisory {}", grade.word()) } else { grade.word().to_string() }
}

pub(super) fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

/// The word in place of a grade.
pub(super) const NOT_JUDGED: &str = "not judged";

pub(super) fn number_of(count: usize, one: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") }
}

pub(super) fn examples_hold(holding: usize, all: usize) -> String {
    match (holding, all) {
        (1, 1) => "the example holds".into(),
        _ if holding == all => format!("all {all} examples hold"),
        _ => format!("{holding} of {all} examples hold"),
    }
}

/// Rows by grade, the worst first; good ones only said when there is nothing else.
pub(super) fn rows(counts: &Counts, skipped: usize) -> String {
    let mut said: Vec<String> = Grade::ALL
        .into_iter()
        .rev()
        .filter(|grade| *grade != Grade::Good && counts.of(*grade) > 0)
        .map(|grade| format!("{} {}", counts.of(grade), grade.word()))
        .collect();
    if said.is_empty() && counts.of(Grade::Good) > 0 {
        let others = counts.advisory + counts.advisory_unmeasured > 0;
        said.push(format!("all{} good", if others { " others" } else { "" }));
        said.extend(not_measured(counts));
    }
    if skipped > 0 {
        said.push(format!("{skipped} skipped"));
    }
    let rows = number_of(counts.total(), "row");
    if said.is_empty() { rows } else { format!("{rows}: {}", said.join(", ")) }
}

/// `2 unverified not measured`; `None` if there are none.
fn not_measured(counts: &Counts) -> Option<String> {
    (counts.advisory_unmeasured > 0).then(|| format!("{} unverified not measured", counts.advisory_unmeasured))
}

/// What a pass rests on besides its good rows: `2 unverified rows are not good`. `None` if there are none.
pub(super) fn unverified(counts: &Counts) -> Option<String> {
    match counts.advisory {
        0 => None,
        1 => Some("1 unverified row is not good".into()),
        more => Some(format!("{more} unverified rows are not good")),
    }
}

/// The same with the first of them named.
pub(super) fn unverified_named(counts: &Counts, names: &[String]) -> Option<String> {
    const MOST_NAMED: usize = 3;
    let count = unverified(counts)?;
    let named: Vec<&str> = names.iter().take(MOST_NAMED).map(String::as_str).collect();
    let more = names.len().saturating_sub(named.len());
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    Some(if named.is_empty() { count } else { format!("{count}: {}{more}", named.join(", ")) })
}

/// What stands before the names of these rows.
pub(super) const UNVERIFIED: &str = "unverified";

/// What stands before what a pass rests on.
pub(super) const PASSES: &str = "passes";

/// What was measured rules out the generation the record states.
pub(super) fn contradicted(generation: &str) -> String {
    format!("not generation {generation}")
}

/// A build whose readings pass, and whose record has an error.
pub(super) fn good_but_for_errors(all_good: bool, errors: usize, line: usize) -> String {
    let readings = if all_good { "every reading is good" } else { "every reading passes" };
    match (errors, line) {
        (1, 0) => format!("{readings}, but the record has an error"),
        (1, line) => format!("{readings}, but the record has an error: line {line}"),
        (more, 0) => format!("{readings}, but the record has {more} errors"),
        (more, line) => format!("{readings}, but the record has {more} errors, the first in line {line}"),
    }
}

pub(super) fn record_errors(count: usize) -> String {
    format!("{} in the record", number_of(count, "error"))
}

pub(super) const CANNOT_READ: &str = "cannot be read";
pub(super) const BOOKS_UNSOUND: &str = "its rulebooks have errors";
pub(super) const GENERATION_NEEDED: &str = "no generation to judge it by";

/// Grades and how many of each, the best first; those with none left out.
pub(super) fn grades(counts: &Counts) -> String {
    let mut said: Vec<String> = Grade::ALL
        .into_iter()
        .filter(|grade| counts.of(*grade) > 0)
        .map(|grade| format!("{} {}", counts.of(grade), grade.word()))
        .collect();
    if counts.advisory > 0 {
        said.push(format!("{} unverified not good", counts.advisory));
    }
    said.extend(not_measured(counts));
    said.join(", ")
}

pub(super) fn unjudged(count: usize) -> String {
    format!("{} could not be judged", number_of(count, "record"))
}

pub(super) const NOTHING_JUDGED: &str = "no record was judged";

pub(super) fn passes(builds: usize) -> String {
    if builds == 1 { "the build passes".into() } else { "every build passes".into() }
}

pub(super) fn fails(failing: usize, records: usize) -> String {
    match (failing, records) {
        (1, 1) => "the build fails".into(),
        (1, _) => format!("1 of {records} records fails"),
        _ => format!("{failing} of {records} records fail"),
    }
}

/// The headings of a code's page.
pub(super) const WHAT_TO_DO: &str = "what to do";
pub(super) const IN_BOTH: &str = "in both examples";
pub(super) const SAYS_NOT: &str = "this does not";

pub(super) fn says(code: &str) -> String {
    format!("this says {code}")
}

pub(super) const CAUTION: &str = "caution";

/// The general cautions in short, the first sentence of each, and where they are printed in full.
pub(super) fn cautions(cautions: &[Box<str>]) -> String {
    let first = |caution: &str| match caution.split_once(". ") {
        Some((first, _)) => format!("{first}."),
        None => caution.to_string(),
    };
    let shortened = cautions.iter().any(|caution| caution.contains(". "));
    let said: Vec<String> = cautions.iter().map(|caution| first(caution)).collect();
    let full = if shortened { " In full: `trochoid blank GENERATION`." } else { "" };
    format!("{}{full}", said.join(" "))
}

/// What stands over the readings that are missing, and beside each part of them.
pub(super) fn to_measure(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Missing => "still to measure",
        Wanted::Unknown => "written as unknown",
        Wanted::Advice => "needed only by unverified rows",
    }
}

pub(super) fn to_measure_help(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Missing => {
            "measure these and write them down; write `unknown` for one that cannot be read. `--all` shows each row that waits for them"
        }
        Wanted::Unknown => "find another way to measure it; without it the build passes only with a concession",
        Wanted::Advice => "the build can pass without these",
    }
}

/// How many values pass near an end.
pub(super) fn edges(count: usize, permille: u16) -> String {
    let share = format!("{}.{}", permille / 10, permille % 10);
    let share = share.strip_suffix(".0").unwrap_or(&share).to_owned();
    let pass = if count == 1 { "passes" } else { "pass" };
    format!("{} {pass} within {share} % of an end, the nearest first", number_of(count, "value"))
}

/// One value that passes near an end.
pub(super) fn edge(build: &str, edge: &crate::judge::Edge, place: &str) -> String {
    format!("{build}: {} is {}, {} inside its {}  [{place}]", edge.subject, edge.value, edge.room, edge.range)
}

/// How many rows a conversion would have decided.
pub(super) fn conversions(count: usize) -> String {
    match count {
        0 => "no verdict would change if values were converted and rounded".to_owned(),
        1 => "1 verdict would change if its value were converted and rounded".to_owned(),
        more => format!("{more} verdicts would change if their values were converted and rounded"),
    }
}

/// One row that a conversion would have decided.
pub(super) fn conversion(build: &str, one: &crate::judge::Conversion, place: &str) -> String {
    format!(
        "{build}: {} is {}: {}; converted to {} and rounded to {}, it would be {}: {}  [{place}]",
        one.path,
        one.value,
        one.grade.word(),
        one.unit,
        match one.decimals {
            0 => "a whole number".to_owned(),
            more => number_of(usize::from(more), "decimal"),
        },
        one.on_paper,
        one.grade_on_paper.word()
    )
}

/// How many rows fail somewhere.
pub(super) fn most_often(rows: usize) -> String {
    format!("{} did not pass in some build, the most frequent first", number_of(rows, "row"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_said_worst_first() {
        let mut counts = Counts::default();
        assert_eq!(rows(&counts, 0), "0 rows");
        counts.count(Grade::Good);
        assert_eq!(rows(&counts, 0), "1 row: all good");
        counts.count(Grade::Worn);
        counts.count(Grade::Out);
        counts.count(Grade::Out);
        assert_eq!(rows(&counts, 1), "4 rows: 2 out, 1 worn, 1 skipped");
        counts.advisory = 3;
        assert_eq!(rows(&counts, 0), "7 rows: 2 out, 1 worn");
        assert_eq!(unverified(&counts).as_deref(), Some("3 unverified rows are not good"));
        let names: Vec<String> = ["a", "b", "c", "d"].map(String::from).to_vec();
        assert_eq!(
            unverified_named(&counts, &names).as_deref(),
            Some("3 unverified rows are not good: a, b, c and 1 more")
        );
        assert_eq!(grades(&counts), "1 good, 1 worn, 2 out, 3 unverified not good");
        counts.advisory_unmeasured = 4;
        assert_eq!(grades(&counts), "1 good, 1 worn, 2 out, 3 unverified not good, 4 unverified not measured");
        assert_eq!(unverified(&counts).as_deref(), Some("3 unverified rows are not good"));
    }

    #[test]
    fn unverified_rows_without_a_reading_are_not_called_not_good() {
        let mut counts = Counts::default();
        counts.advisory_unmeasured = 2;
        assert_eq!(unverified(&counts), None);
        assert_eq!(rows(&counts, 0), "2 rows");
        counts.count(Grade::Good);
        assert_eq!(rows(&counts, 0), "3 rows: all others good, 2 unverified not measured");
        counts.count(Grade::Unmeasured);
        assert_eq!(rows(&counts, 0), "4 rows: 1 unmeasured");
    }
}
