//! Adds and takes away lines of maps and lists without brackets. Refuses to touch the lines beside them.

use super::layout::{Entry, Kind, Node};
use super::plan::{Fault, Plan, Region, Sketch, Splice};
use super::style::nested;
use super::{Step, Why, Written, lines};

impl Sketch<'_> {
    /// Adds a key or an item to a map or list.
    pub(super) fn insert_in_block(
        &self,
        holder: &Node,
        (step, rest): (&Step, &[Step]),
        value: &Written,
        new_at: usize,
        region: &Region,
    ) -> Result<Plan, Fault> {
        let Some(first) = holder.entries().first() else { return Err((Why::Unusual, holder.span.start)) };
        let column = lines::column(self.text, first.begin);
        if let (Step::Key(key), []) = (step, rest) {
            let before = |at: usize| holder.entries().iter().filter(|entry| entry.begin < at).count();
            if let Some(mut plan) = self.uncomment(region, key, value, column, |found| found == column) {
                let at = plan.splices.first().map_or(0, |splice| splice.range.start);
                plan.new_at = before(at);
                return Ok(plan);
            }
        }
        let new = match step {
            Step::Key(key) => {
                let path: Vec<Step> = std::iter::once(Step::Key(key.clone())).chain(rest.iter().cloned()).collect();
                self.block_lines(column, &path, value)?
            }
            Step::Item(_) => {
                let value = nested(rest, value).ok_or((Why::NotThere, first.begin))?;
                let value = self.style.inline(&value);
                let space = if value.is_empty() { "" } else { " " };
                format!("{}-{space}{value}", " ".repeat(column))
            }
        };
        let mut plan = match new_at.checked_sub(1).and_then(|before| holder.entries().get(before)) {
            Some(before) => self.new_lines(self.below(before, column, region.end), &new),
            None if lines::begins(self.text, first.begin) => {
                let at = lines::start(self.text, first.begin);
                Plan::one(at..at, format!("{new}{}", self.line_end))
            }
            // On the line of a dash.
            None => {
                let text = format!("{}{}{}", new.trim_start(), self.line_end, " ".repeat(column));
                Plan::one(first.begin..first.begin, text)
            }
        };
        plan.new_at = new_at;
        Ok(plan)
    }

    /// Writes a value some keys below a key or dash that has nothing behind it.
    pub(super) fn fill(
        &self,
        holder: &Node,
        entry: &Entry,
        rest: &[Step],
        value: &Written,
        region: &Region,
    ) -> Result<Plan, Fault> {
        super::plan::editable(entry)?;
        let is_block_map = !holder.flow && matches!(holder.kind, Kind::Map(_));
        if !is_block_map || !matches!(rest.first(), Some(Step::Key(_))) {
            let value = nested(rest, value).ok_or((Why::NotThere, entry.begin))?;
            return self.overwrite(holder, entry, &value);
        }
        let column = lines::column(self.text, entry.begin);
        if let [Step::Key(key)] = rest
            && let Some(plan) = self.uncomment(region, key, value, column + self.indent, |found| found > column)
        {
            return Ok(plan);
        }
        let at = self.below(entry, column, region.end);
        Ok(self.new_lines(at, &self.block_lines(column + self.indent, rest, value)?))
    }

    /// The line below an entry and the comments that are plainly its own: directly below and further right than its key.
    fn below(&self, entry: &Entry, column: usize, limit: usize) -> usize {
        let end = entry.end().max(entry.value.tail);
        let is_line_start = end > entry.end() && lines::start(self.text, end) == end;
        let mut at = if is_line_start { end } else { lines::next(self.text, end) };
        loop {
            let text_at = at + lines::blanks(lines::piece(self.text, at..self.text.len()));
            let is_comment = !self.comments_in(text_at..text_at + 1).is_empty();
            if at >= limit || !is_comment || lines::column(self.text, text_at) <= column {
                return at;
            }
            at = lines::next(self.text, at);
        }
    }

    /// Takes the `# ` away before a key that stands in a comment of its own, and writes the value behind it.
    pub(super) fn uncomment(
        &self,
        region: &Region,
        key: &str,
        value: &Written,
        column: usize,
        fits: impl Fn(usize) -> bool,
    ) -> Option<Plan> {
        if !self.manner.uncomments {
            return None;
        }
        let written = self.style.key(key);
        let first = self.layout.comments.partition_point(|comment| comment.start < region.start);
        let own = |comment: &&std::ops::Range<usize>| comment.start < region.end;
        self.layout.comments.iter().skip(first).take_while(own).zip(first..).find_map(|(comment, number)| {
            let text = self.comment_text(comment);
            let found = text.strip_prefix('#')?.trim_start_matches(' ').strip_prefix(written.as_str())?;
            let found = found.strip_prefix(':')?;
            let blanks = lines::blanks(found);
            let remark = lines::piece(found, blanks..found.len());
            let is_key = (remark.is_empty() || (remark.starts_with('#') && blanks > 0))
                && lines::begins(self.text, comment.start)
                && fits(lines::column(self.text, comment.start));
            if !is_key {
                return None;
            }
            let new = self.style.entry(key, value);
            let margin = " ".repeat(column);
            let mut text = format!("{margin}{new}");
            let end = if remark.is_empty() {
                comment.end
            } else {
                let reached = lines::column(self.text, comment.end - remark.len());
                let kept = reached.saturating_sub(text.chars().count()).max(2);
                text.push_str(&" ".repeat(kept));
                comment.end - remark.len()
            };
            let splice = Splice { range: lines::start(self.text, comment.start)..end, text };
            let uncommented = Some((number, self.comment_text(comment).len() - remark.len()));
            Some(Plan { splices: vec![splice], new_at: 0, uncommented })
        })
    }

    /// Takes away the lines of an entry; comments in them stay.
    pub(super) fn take_from_block(&self, holder: &Node, index: usize) -> Plan {
        let Some(entry) = holder.entries().get(index) else { return Plan::default() };
        let line_end = lines::end(self.text, entry.end());
        let left = self.left(entry.begin, entry.end());
        if lines::begins(self.text, entry.begin) {
            let start = lines::start(self.text, entry.begin);
            if left.trim().is_empty() && !left.contains('\n') {
                let mut end = lines::next(self.text, entry.end());
                while self.manner.close && end < self.text.len() {
                    let line = end..lines::end(self.text, end);
                    if !lines::is_blank(lines::piece(self.text, line)) {
                        break;
                    }
                    end = lines::next(self.text, end);
                }
                return Plan::one(start..end, String::new());
            }
            // A comment alone stands where the key stood; what is left of further lines begins with their line end.
            let starts_below = left.starts_with(['\r', '\n']);
            let (from, left) = if starts_below {
                (start, left.trim_start_matches(['\r', '\n']).to_owned())
            } else {
                (entry.begin, left.trim_start().to_owned())
            };
            return Plan::one(from..line_end, left);
        }
        // On the line of a dash.
        if let Some(next) = holder.entries().get(index + 1)
            && self.comments_in(entry.begin..next.begin).is_empty()
        {
            return Plan::one(entry.begin..next.begin, String::new());
        }
        let blank = lines::piece(self.text, lines::start(self.text, entry.begin)..entry.begin);
        let trimmed = entry.begin - (blank.len() - blank.trim_end().len());
        let from = if left.is_empty() { trimmed } else { entry.begin };
        Plan::one(from..line_end, if left.starts_with(' ') { left.trim_start().to_owned() } else { left })
    }
}
