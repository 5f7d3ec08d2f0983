//! What YAML takes without a word and was plainly meant otherwise: texts cut off by ` #`, keys joined to their values, tabs. Refuses
//! to change what was read.

use super::Builder;
use crate::finding::{Code, Finding};
use crate::record::unreadable::{Reason, has_tab_before_text, line_start};
use crate::record::{remark, repair, wording};
use crate::text::Span;

impl Builder<'_> {
    /// What follows ` #` is not part of a value: said where it does not look like a remark.
    #[inline]
    pub(super) fn watch_remark(&mut self, span: Span) {
        let end = span.end as usize;
        if self.text.as_bytes().get(end) == Some(&b' ') {
            self.cut_by_remark(span);
        }
    }

    fn cut_by_remark(&mut self, span: Span) {
        let end = span.end as usize;
        let Some(rest) = self.text.get(end..).and_then(|rest| rest.split(['\n', '\r']).next()) else { return };
        let remark = rest.trim_start_matches([' ', '\t']);
        let apart = rest.len() - remark.len();
        if remark.starts_with('#') && !remark::is_plainly_one(apart, remark) {
            let at = end + apart;
            let finding = Finding::new(Code::CommentCuts, wording::comment_cuts(remark))
                .at(self.source.place(Span::new(at, at + remark.trim_end().len())), wording::COMMENT_CUTS_LABEL)
                .help(wording::comment_cuts_help(self.text.get(span.range()).unwrap_or(""), remark));
            self.said.add(finding);
        }
    }

    /// A value in a line of its own, or with a bracket at its end, may be a key and its value without a blank between.
    #[inline]
    pub(super) fn watch_joined(&mut self, span: Span) {
        let (begin, end) = (span.start as usize, span.end as usize);
        let bytes = self.text.as_bytes();
        let beside = |back: usize, letter: u8| begin.checked_sub(back).and_then(|at| bytes.get(at)) == Some(&letter);
        let usual = beside(1, b' ') && (beside(2, b':') || beside(2, b','));
        let bracket = matches!(bytes.get(end.wrapping_sub(1)), Some(b'}' | b']'));
        if (!usual || bracket) && self.open.last().is_some_and(|open| !open.bracket) {
            self.joined(begin);
        }
    }

    fn joined(&mut self, begin: usize) {
        let line = line_start(self.text, begin);
        let first = line + self.text.get(line..).map_or(0, |rest| rest.len() - rest.trim_start_matches(' ').len());
        if let Some(repair) = repair::joined(self.text, first) {
            self.slip = Some((repair.span.start as usize, Reason::Joined));
        }
    }

    /// The reader lets some tabs pass that other readers refuse.
    pub(super) fn watch_tab(&mut self, key: usize) {
        let source = self.source.text();
        let start = line_start(source, key);
        let before = source.get(start..key).unwrap_or("");
        let Some(tab) = before.find('\t').filter(|_| before.trim_start().is_empty()) else { return };
        self.tab_watch = false;
        let lines = source.split('\n').filter(|line| has_tab_before_text(line)).count();
        self.said.add(wording::tab_finding(self.source, start + tab, lines));
    }
}
