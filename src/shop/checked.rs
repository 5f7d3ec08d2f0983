//! What came of one record: a build or a loose part, read, bound and judged. Refuses to judge.

use super::{CheckedPart, wording};
use crate::bind::PartState;
use crate::finding::Finding;
use crate::judge::{Counts, Grade, RulingReport, ToMeasure};
use crate::quantity::Date;
use crate::text::Place;
use std::path::Path;

/// One record: read, bound and judged.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The file, as the user named it.
    pub file: String,
    /// The build's name; the file's where the record says none.
    pub build: String,
    /// The generation it was judged as.
    pub generation: Option<String>,
    /// When it was finished.
    pub finished: Option<Date>,
    /// Where the record says that.
    pub finished_place: Option<Place>,
    /// Its grade; none where it could not be judged.
    pub grade: Option<Grade>,
    /// How many rulings of each grade.
    pub counts: Counts,
    /// Rows skipped because a reading that may be left out was.
    pub skipped: usize,
    /// The advisory rows that are not good, each with its position.
    pub unverified: Vec<String>,
    /// Whether what was measured rules out the generation it states.
    pub contradicted: bool,
    /// Errors in the record itself: readings that could not be taken into account.
    pub record_errors: usize,
    /// Whether nothing could be read at all.
    pub unreadable: bool,
    /// Findings of the record, then of its rulings in the books' order.
    pub findings: Vec<Finding>,
    /// Every ruling in words, if asked for.
    pub rulings: Vec<RulingReport>,
    /// What is still to be measured, if rulings or the list are asked for.
    pub to_measure: Vec<ToMeasure>,
    /// What a loose part was judged as; `None` for a build.
    pub part: Option<CheckedPart>,
}

impl Checked {
    /// Whether it is a loose part that is never to be used again.
    #[must_use]
    pub fn is_scrapped(&self) -> bool {
        self.part.as_ref().is_some_and(|part| matches!(part.state, PartState::Scrapped { .. }))
    }

    /// Whether the build may leave the shop, or the part be used.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.record_errors == 0 && self.grade.is_some_and(Grade::passes)
    }
}

impl Checked {
    /// A record that could not be read, and why.
    #[must_use]
    pub fn unread(path: &Path, why: Finding) -> Checked {
        let mut checked = Checked::nothing(path.to_string_lossy().replace('\\', "/"));
        checked.findings.push(why);
        checked.record_errors = 1;
        checked.unreadable = true;
        checked
    }

    /// Says where the build was finished on a day after today.
    pub fn hold_against(&mut self, today: Option<Date>) {
        let Some((finished, today)) = self.finished.zip(today).filter(|(finished, today)| finished > today) else {
            return;
        };
        let finding = if self.part.is_some() {
            wording::measured_future(finished, today, self.finished_place.clone())
        } else {
            wording::finished_future(finished, today, self.finished_place.clone())
        };
        self.record_errors += 1;
        let first = usize::from(self.contradicted);
        self.findings.insert(first.min(self.findings.len()), finding);
    }

    pub(super) fn nothing(file: String) -> Checked {
        let name = file.rsplit('/').next().unwrap_or(&file);
        let build = name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_string();
        Checked {
            file,
            build,
            generation: None,
            finished: None,
            finished_place: None,
            grade: None,
            counts: Counts::default(),
            skipped: 0,
            unverified: Vec::new(),
            contradicted: false,
            record_errors: 0,
            unreadable: false,
            findings: Vec::new(),
            rulings: Vec::new(),
            to_measure: Vec::new(),
            part: None,
        }
    }
}
