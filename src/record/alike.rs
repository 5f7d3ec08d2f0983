//! What there is to say about one record, so much of each kind and no more. Refuses to know what the findings say.

use super::{MOST_ALIKE, wording};
use crate::finding::{Code, Finding, Note, NoteKind};

/// The findings so far, in the order found.
#[derive(Default)]
pub(super) struct Said {
    findings: Vec<Finding>,
    /// How many there were of each code, the ones not kept among them.
    counts: Vec<(Code, usize)>,
}

impl Said {
    /// Adds a finding. Each code is counted by itself: a flood of one kind never hides the first of another.
    pub(super) fn add(&mut self, finding: Finding) {
        let count = match self.counts.iter_mut().find(|(code, _)| *code == finding.code) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                self.counts.push((finding.code, 1));
                1
            }
        };
        if count <= MOST_ALIKE {
            self.findings.push(finding);
        }
    }

    /// Hands the findings over; the last kept of a kind says how many more there were.
    pub(super) fn into_findings(mut self) -> Vec<Finding> {
        for (code, count) in self.counts {
            let more = count.saturating_sub(MOST_ALIKE);
            if more > 0
                && let Some(at) = self.findings.iter().rposition(|finding| finding.code == code)
                && let Some(last) = self.findings.get_mut(at)
            {
                let text = wording::more_alike(more);
                last.notes.push(Note { kind: NoteKind::Remark, text });
            }
        }
        self.findings
    }
}
