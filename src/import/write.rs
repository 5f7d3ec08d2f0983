//! Writes a build as a record, in the order of an empty one, and remembers which cell each value came from. Refuses to change a
//! letter of a value.

pub(super) use crate::record::scalar;

use super::about::About;
use super::leaves::Leaves;
use crate::text::Span;
use std::collections::BTreeMap;

/// One value, as it is to be written.
#[derive(Clone, Debug)]
pub(super) struct Value {
    pub(super) text: String,
    pub(super) gauge: Option<String>,
    /// The cell it stands in.
    pub(super) cell: Span,
}

/// What stands at the top of a record.
pub(super) struct Head<'a> {
    /// Where it comes from, in words.
    pub(super) origin: &'a str,
    /// What it is about, and of a loose part the kind as records say it.
    pub(super) about: About,
    pub(super) part: Option<&'a str>,
    pub(super) name: (&'a str, Span),
    pub(super) day: Option<&'a (String, Span)>,
    /// Empty where a loose part may be of any generation.
    pub(super) generation: (&'a str, Span),
}

/// A record, and for each of its values the cell it came from.
pub(super) struct Written {
    pub(super) text: String,
    pub(super) cells: Vec<(Span, Span)>,
}

impl Written {
    /// The record of a build, or of a loose part.
    pub(super) fn of(head: &Head<'_>, leaves: &Leaves<'_>, values: &BTreeMap<usize, Vec<Value>>) -> Written {
        let mut written = Written { text: format!("# {}\n", head.origin), cells: Vec::new() };
        if let Some(part) = head.part {
            written.text.push_str(&format!("part: {part}\n"));
        }
        written.key(0, head.about.name, |written| written.scalar(head.name.0, head.name.1));
        if let Some((day, cell)) = head.day {
            written.key(0, head.about.day, |written| written.scalar(day, *cell));
        }
        if !head.generation.0.is_empty() {
            written.key(0, "generation", |written| written.scalar(head.generation.0, head.generation.1));
        }
        let mut before: &[String] = &[];
        for (number, values) in values {
            let Some(leaf) = leaves.leaves.get(*number) else { continue };
            let shared = before.iter().zip(&leaf.keys).take_while(|(one, other)| one == other).count();
            let Some((last, parts)) = leaf.keys.split_last() else { continue };
            if shared == 0 && (before.is_empty() || before.len() > 1 || !parts.is_empty()) {
                written.text.push('\n');
            }
            for (depth, part) in parts.iter().enumerate().skip(shared) {
                written.indent(depth);
                written.text.push_str(&format!("{part}:\n"));
            }
            written.key(parts.len(), last, |written| written.values(values));
            before = &leaf.keys;
        }
        written
    }

    fn indent(&mut self, depth: usize) {
        self.text.extend(std::iter::repeat_n(' ', 2 * depth));
    }

    fn key(&mut self, depth: usize, key: &str, value: impl FnOnce(&mut Written)) {
        self.indent(depth);
        self.text.push_str(key);
        self.text.push_str(": ");
        value(self);
        self.text.push('\n');
    }

    fn scalar(&mut self, text: &str, cell: Span) {
        let start = self.text.len();
        self.text.push_str(&scalar(text));
        self.cells.push((Span::new(start, self.text.len()), cell));
    }

    /// Readings, and what they were taken with: once, where that is the same of all.
    fn values(&mut self, values: &[Value]) {
        let same = values.windows(2).all(|pair| matches!(pair, [one, other] if one.gauge == other.gauge));
        let gauge = values.first().and_then(|value| value.gauge.as_deref()).filter(|_| same);
        match (values, gauge) {
            (_, Some(gauge)) => {
                self.text.push_str("{ value: ");
                self.listed(values, |written, value| written.scalar(&value.text, value.cell));
                self.text.push_str(&format!(", gauge: {} }}", scalar(gauge)));
            }
            (_, None) if same => self.listed(values, |written, value| written.scalar(&value.text, value.cell)),
            _ => self.listed(values, Written::with_gauge),
        }
    }

    fn with_gauge(&mut self, value: &Value) {
        match &value.gauge {
            Some(gauge) => {
                self.text.push_str("{ value: ");
                self.scalar(&value.text, value.cell);
                self.text.push_str(&format!(", gauge: {} }}", scalar(gauge)));
            }
            None => self.scalar(&value.text, value.cell),
        }
    }

    /// One value as it is, several between brackets.
    fn listed(&mut self, values: &[Value], each: impl Fn(&mut Written, &Value)) {
        if values.len() > 1 {
            self.text.push('[');
        }
        for (number, value) in values.iter().enumerate() {
            if number > 0 {
                self.text.push_str(", ");
            }
            each(self, value);
        }
        if values.len() > 1 {
            self.text.push(']');
        }
    }

    /// The cell that a place of the record comes from.
    pub(super) fn cell(&self, span: Span) -> Option<Span> {
        let overlaps = |one: &Span| one.start < span.end && span.start < one.end;
        self.cells.iter().find(|(written, _)| overlaps(written)).map(|(_, cell)| *cell)
    }
}
