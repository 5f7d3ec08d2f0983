//! Writes a value over another one, or where nothing was written yet. Refuses to lose a comment that stands within.

use std::ops::Range;

use super::layout::{Entry, Kind, Node};
use super::plan::{Fault, Plan, Sketch, editable};
use super::{Why, Written, lines};

impl Sketch<'_> {
    /// Writes a value over that of an entry.
    pub(super) fn overwrite(&self, holder: &Node, entry: &Entry, value: &Written) -> Result<Plan, Fault> {
        editable(entry)?;
        let old = &entry.value;
        let new = match self.style.inline(value) {
            // Between brackets nothing is no item.
            nothing if nothing.is_empty() && holder.flow && entry.after.is_none() => "\"\"".to_owned(),
            new => new,
        };
        Ok(match &old.kind {
            Kind::Empty => self.fill_in(holder.flow, entry, &new),
            Kind::Alias => return Err((Why::Alias, old.span.start)),
            Kind::Map(_) | Kind::List(_) if !old.flow => self.in_place_of_lines(entry, &new),
            _ if new.is_empty() => self.empty(holder.flow, entry),
            _ => self.in_place(old.span.clone(), old.kind == Kind::Lines, &new),
        })
    }

    /// Writes behind a colon or dash that has nothing behind it; a comment behind it stays in its column if there is room.
    fn fill_in(&self, flow: bool, entry: &Entry, new: &str) -> Plan {
        if new.is_empty() {
            return Plan::default();
        }
        let Some(after) = entry.after else {
            return Plan::one(entry.named..entry.named, format!(": {new}"));
        };
        let rest = lines::piece(self.text, after..lines::end(self.text, after));
        let blanks = lines::blanks(rest);
        match rest.as_bytes().get(blanks) {
            Some(b'#') => {
                let taken = new.chars().count() + 1;
                let kept = blanks.saturating_sub(taken).max(2);
                Plan::one(after..after + blanks, format!(" {new}{}", " ".repeat(kept)))
            }
            Some(b',') if flow => Plan::one(after..after + blanks, format!(" {new}")),
            _ => Plan::one(after..after, format!(" {new}")),
        }
    }

    /// Leaves nothing behind a colon or dash but the comment, in its column.
    fn empty(&self, flow: bool, entry: &Entry) -> Plan {
        let old = entry.value.span.clone();
        let from = entry.after.unwrap_or(entry.named);
        if !self.comments_in(from..old.end).is_empty() || lines::piece(self.text, from..old.end).contains('\n') {
            if flow {
                return self.in_place(from..old.end, false, "");
            }
            let left = self.left(from, old.end);
            return Plan::one(from..lines::end(self.text, old.end), left);
        }
        let rest = lines::piece(self.text, old.end..lines::end(self.text, old.end));
        let commented = rest.trim_start_matches([' ', '\t']).starts_with('#');
        let wide = lines::piece(self.text, from..old.end).chars().count();
        Plan::one(from..old.end, if commented { " ".repeat(wide) } else { String::new() })
    }

    /// Writes over text or brackets, with the comments of the old value behind the new one.
    fn in_place(&self, old: Range<usize>, is_lines: bool, new: &str) -> Plan {
        let comments = self.comments_in(old.clone());
        let mut text = new.to_owned();
        let margin = " ".repeat(lines::column(self.text, old.start).max(1));
        for (number, comment) in comments.iter().enumerate() {
            if number > 0 {
                text.push_str(self.line_end);
                text.push_str(&margin);
            } else {
                text.push_str("  ");
            }
            text.push_str(self.comment_text(comment));
        }
        let rest = lines::piece(self.text, old.end..lines::end(self.text, old.end));
        if !comments.is_empty() && !is_lines && !lines::is_blank(rest) {
            text.push_str(self.line_end);
            text.push_str(&margin);
        }
        Plan::one(old, text)
    }

    /// Writes behind the colon or dash of a map or list that goes over lines; of these lines the comments stay.
    fn in_place_of_lines(&self, entry: &Entry, new: &str) -> Plan {
        let from = entry.after.unwrap_or(entry.named);
        let to = entry.value.span.end;
        let left = self.left(from, to);
        let space = if new.is_empty() { "" } else { " " };
        Plan::one(from..lines::end(self.text, to), format!("{space}{new}{left}"))
    }

    /// What is left from a byte to the end of the line of another one: comments, and lines that are blank.
    pub(super) fn left(&self, from: usize, to: usize) -> String {
        let end = lines::end(self.text, to);
        let column = " ".repeat(lines::column(self.text, from));
        let mut left = String::new();
        let mut at = from;
        loop {
            let line_end = lines::end(self.text, at).min(end);
            let line = lines::piece(self.text, at..line_end);
            let comment = self.comments_in(at..line_end).first();
            let first = at == from;
            let margin = lines::piece(line, 0..lines::blanks(line));
            let break_before = if first { "" } else { self.line_end };
            if let Some(comment) = comment {
                let before = lines::piece(self.text, at..comment.start);
                let gap = lines::piece(before, before.trim_end_matches([' ', '\t']).len()..before.len());
                let close = if self.manner.close { column.as_str() } else { margin };
                let margin = if first { gap } else { close };
                left.push_str(&format!("{break_before}{margin}{}", self.comment_text(comment)));
            } else if !first && lines::is_blank(line) && !self.manner.close {
                left.push_str(&format!("{break_before}{line}"));
            }
            let next = lines::next(self.text, at);
            if next <= at || next > end {
                return left;
            }
            at = next;
        }
    }
}
