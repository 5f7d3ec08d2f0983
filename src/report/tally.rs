//! What a run comes to so far, in numbers. Refuses to know any one build.

use crate::judge::{Counts, Grade};
use crate::shop::Checked;

/// The numbers of a run, or of one record.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    /// Records looked at.
    pub records: usize,
    /// Builds judged, by their grade.
    pub builds: Counts,
    /// Loose parts judged, by their grade; scrapped ones are not among them.
    pub parts: Counts,
    /// Loose parts looked at, those that could not be judged too.
    pub loose: usize,
    /// Loose parts that are scrapped.
    pub scrapped: usize,
    /// Rulings of all builds and parts, by their grade.
    pub rows: Counts,
    /// Rows skipped because a reading that may be left out was.
    pub skipped: usize,
    /// Records that do not pass: out, unmeasured, unsettled, not judged, or with errors of their own.
    pub failing: usize,
    /// Records that could not be judged, for whatever reason.
    pub unjudged: usize,
    /// What kept the command from its work: unreadable files, books with errors, paths with nothing there.
    pub troubles: usize,
    /// Errors in records whose readings alone would pass.
    pub errors: usize,
    /// The line of the first of these; 0 if none has a line.
    pub error_line: usize,
}

impl Tally {
    /// The numbers of one record.
    #[must_use]
    pub fn of(checked: &Checked) -> Tally {
        let mut tally = Tally {
            records: 1,
            rows: checked.counts,
            skipped: checked.skipped,
            failing: usize::from(!(checked.passes() || checked.is_scrapped() && checked.record_errors == 0)),
            unjudged: usize::from(checked.grade.is_none()),
            troubles: usize::from(checked.unreadable),
            ..Tally::default()
        };
        tally.loose = usize::from(checked.part.is_some());
        tally.scrapped = usize::from(checked.is_scrapped());
        if let Some(grade) = checked.grade {
            match &checked.part {
                Some(_) if checked.is_scrapped() => {}
                Some(_) => tally.parts.count(grade),
                None => tally.builds.count(grade),
            }
            if grade.passes() && checked.record_errors > 0 {
                tally.errors = checked.record_errors;
                let mut errors = checked.findings.iter().filter(|finding| finding.is_error());
                let place = errors.find_map(|finding| finding.place.as_ref());
                tally.error_line = place.map_or(0, |(place, _)| place.line_column().line);
            }
        }
        tally
    }

    /// The numbers of one record that was not judged because its rulebooks have errors.
    #[must_use]
    pub fn of_unsound() -> Tally {
        Tally { records: 1, failing: 1, unjudged: 1, troubles: 1, ..Tally::default() }
    }

    /// Adds other numbers.
    pub fn add(&mut self, other: &Tally) {
        self.records += other.records;
        self.builds.add(&other.builds);
        self.parts.add(&other.parts);
        self.loose += other.loose;
        self.scrapped += other.scrapped;
        self.rows.add(&other.rows);
        self.skipped += other.skipped;
        self.failing += other.failing;
        self.unjudged += other.unjudged;
        self.troubles += other.troubles;
        if self.error_line == 0 {
            self.error_line = other.error_line;
        }
        self.errors += other.errors;
    }

    /// How many loose parts have a grade.
    #[must_use]
    pub fn parts_judged(&self) -> usize {
        Grade::ALL.into_iter().map(|grade| self.parts.of(grade)).sum()
    }

    /// How many builds have a grade.
    #[must_use]
    pub fn judged(&self) -> usize {
        Grade::ALL.into_iter().map(|grade| self.builds.of(grade)).sum()
    }

    /// The exit status: 0 every build passes, 1 some build fails, 2 the command could not do all its work.
    #[must_use]
    pub fn status(&self) -> u8 {
        match (self.troubles, self.failing) {
            (0, 0) => 0,
            (0, _) => 1,
            _ => 2,
        }
    }
}
