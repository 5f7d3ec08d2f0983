//! What there is to say about one record, so much of each kind and no more. Refuses to know what the findings say.

use super::{Code, Finding, Note, NoteKind};

/// This many findings of one code are told of one record; the last says how many more there were. Common practice: enough
/// to mend by, while a file of one mistake repeated stays cheap to report.
pub const MOST_ALIKE: usize = 100;

/// The findings so far, in the order found.
#[derive(Default, Debug)]
pub struct Said {
    findings: Vec<Finding>,
    /// How many there were of each code, the ones not kept among them.
    counts: Vec<(Code, usize)>,
}

impl Said {
    /// Adds a finding. Each code is counted by itself: a flood of one kind never hides the first of another.
    pub fn add(&mut self, finding: Finding) {
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
    #[must_use]
    pub fn into_findings(mut self) -> Vec<Finding> {
        for (code, count) in self.counts {
            let more = count.saturating_sub(MOST_ALIKE);
            if more > 0
                && let Some(at) = self.findings.iter().rposition(|finding| finding.code == code)
                && let Some(last) = self.findings.get_mut(at)
            {
                let text = more_alike(more);
                last.notes.push(Note { kind: NoteKind::Remark, text });
            }
        }
        self.findings
    }
}

/// So many more findings of the same kind.
fn more_alike(more: usize) -> String {
    let verb = if more == 1 { "is" } else { "are" };
    format!("{more} more of this kind in this record {verb} not shown")
}
