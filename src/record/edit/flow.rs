//! Adds and takes away keys and items between brackets. Refuses to lay anything else out anew.

use super::layout::Node;
use super::plan::{Fault, Plan, Sketch, Splice};
use super::style::nested;
use super::{Step, Why, Written, lines};

impl Sketch<'_> {
    /// Adds a key or an item between brackets, on a line of its own where the one beside it has one.
    pub(super) fn insert_in_flow(
        &self,
        holder: &Node,
        step: &Step,
        rest: &[Step],
        value: &Written,
        new_at: usize,
    ) -> Result<Plan, Fault> {
        let value = nested(rest, value).ok_or((Why::NotThere, holder.span.start))?;
        let new = match step {
            Step::Key(key) => self.style.entry(key, &value),
            Step::Item(_) if value == Written::Nothing => "\"\"".into(),
            Step::Item(_) => self.style.inline(&value),
        };
        let entries = holder.entries();
        let mut plan = if let Some(next) = entries.get(new_at) {
            let at = next.begin;
            let own_line = lines::begins(self.text, at);
            let gap = if own_line { self.margin(at) } else { " ".into() };
            Plan::one(at..at, format!("{new},{gap}"))
        } else if let Some(last) = entries.last() {
            let end = last.comma.unwrap_or(last.end());
            let comma = if last.comma.is_some() { "" } else { "," };
            let closing = if last.comma.is_some() { "," } else { "" };
            if lines::begins(self.text, last.begin) {
                let line_end = lines::end(self.text, end);
                let rest = lines::piece(self.text, end..line_end);
                let behind = rest.trim_start_matches([' ', '\t']);
                let below = if behind.is_empty() || behind.starts_with('#') { line_end } else { end };
                let text = format!("{}{new}{closing}", self.margin(last.begin));
                if below == end || comma.is_empty() {
                    Plan::one(below..below, format!("{comma}{text}"))
                } else {
                    let splices = [(end, comma.to_owned()), (below, text)];
                    let splices = splices.map(|(at, text)| Splice { range: at..at, text }).into();
                    Plan { splices, ..Plan::default() }
                }
            } else {
                Plan::one(end..end, format!("{comma} {new}{closing}"))
            }
        } else {
            let inside = holder.span.start + 1..holder.span.end.saturating_sub(1);
            let curly = lines::piece(self.text, holder.span.clone()).starts_with('{');
            let pad = if curly { " " } else { "" };
            if lines::is_blank(lines::piece(self.text, inside.clone())) {
                Plan::one(inside, format!("{pad}{new}{pad}"))
            } else {
                // A comment stands there: the new one before the bracket that ends it.
                Plan::one(inside.end..inside.end, format!("{new}{pad}"))
            }
        };
        plan.new_at = new_at;
        Ok(plan)
    }

    /// A line end and the blanks before a byte.
    fn margin(&self, at: usize) -> String {
        let start = lines::start(self.text, at);
        format!("{}{}", self.line_end, lines::piece(self.text, start..at))
    }

    /// Takes away a key or an item between brackets, with one comma; comments stay.
    pub(super) fn take_from_flow(&self, holder: &Node, index: usize) -> Plan {
        let entries = holder.entries();
        let Some(entry) = entries.get(index) else { return Plan::default() };
        let own_end = entry.comma.unwrap_or(entry.end());
        let previous = index.checked_sub(1).and_then(|previous| entries.get(previous));
        let next = entries.get(index + 1);
        let range = match (previous, next) {
            (_, Some(next)) => entry.begin..next.begin,
            (Some(previous), None) => previous.end()..entry.end(),
            (None, None) => holder.span.start + 1..holder.span.end.saturating_sub(1),
        };
        let own = entry.begin..own_end;
        let outside = self.comments_in(range.clone()).len() != self.comments_in(own.clone()).len();
        let within = self.comments_in(own.clone());
        if within.is_empty() {
            let behind = lines::piece(self.text, own_end..self.text.len());
            let blanks = if lines::begins(self.text, entry.begin) { lines::blanks(behind) } else { 0 };
            let own = own.start..own_end + blanks;
            return Plan::one(if outside { own } else { range }, String::new());
        }
        let margin = self.margin(lines::start(self.text, own_end));
        let text: String = within.iter().map(|comment| format!("{}{margin}", self.comment_text(comment))).collect();
        Plan::one(own, text)
    }
}
