//! What to write in place of slips in the lines on expansion, rounding, guard bands and gauges. Refuses to know what such a
//! line means.

use super::blame::{Blame, Here};
use super::grammar::Rule;
use super::reader::Context;
use super::scan::Shape;
use super::{wording, wording_habits as habits};
use crate::finding::{Code, Finding};

impl Blame<'_> {
    /// What to write in place of what stands here; `gone` is whether the line ends too early.
    pub(super) fn figure_help(&self, here: Here<'_>, gone: bool) -> Option<String> {
        let opens = self.text(self.start);
        match self.context {
            Context::Part if opens == "expansion" => self.expansion_help(here, gone),
            Context::Part if !gone && here.text == "expansion" && here.index == self.start + 1 => {
                Some(habits::leave_out(opens))
            }
            Context::Generation | Context::Overlay if !gone => self.rounding_help(here),
            Context::House if opens == "judge" && !gone => self.guard_help(here),
            Context::House if opens == "gauges" && !gone => self.gauges_help(here),
            _ => None,
        }
    }

    fn expansion_help(&self, here: Here<'_>, gone: bool) -> Option<String> {
        if !gone && matches!(here.text, ":" | "=" | "-") && here.index == self.start + 1 {
            return Some(habits::leave_out(here.text));
        }
        if here.text == "+" && self.mark(here.index + 1, '-') {
            return Some(wording::plus_minus_help());
        }
        Some(habits::expansion_help())
    }

    /// `round to`, and `rounded to` before the ranges.
    fn rounding_help(&self, here: Here<'_>) -> Option<String> {
        if here.text == "rounded" && self.expects(Rule::all_the_same) {
            return Some(habits::rounded_last_help());
        }
        let other = matches!(here.text, "round" | "rounds" | "rounding" | "resolution" | "nearest" | "step");
        if !other || !self.expects(Rule::rounded_to) {
            return None;
        }
        let words = if self.text(here.index + 1) == "to" { format!("{} to", here.text) } else { here.text.to_string() };
        Some(wording::write_instead("rounded to", &words))
    }

    fn guard_help(&self, here: Here<'_>) -> Option<String> {
        let number = |index: usize| self.is(index, Shape::Number);
        let before = here.index.saturating_sub(1);
        if here.text.ends_with('%') || self.is(here.index, Shape::Odd('%')) {
            return Some(habits::factor_help());
        }
        match here.text {
            "of" => Some(habits::leave_out("of")),
            "U" if !number(before) => Some(wording::write("1 U")),
            "guardband" | "guardbands" => Some(wording::write_instead("guard band", here.text)),
            _ if self.expects(Rule::expanded_word) && number(before) => Some(habits::guard_help()),
            _ => None,
        }
    }

    fn gauges_help(&self, here: Here<'_>) -> Option<String> {
        let number = self.is(here.index, Shape::Number);
        match here.text {
            "to" | "times" | "x" | "/" if self.expects(Rule::colon) => Some(wording::write_instead(":", here.text)),
            _ if number && self.expects(Rule::at_least) => Some(wording::between_help("at least", "gauges", here.text)),
            _ => None,
        }
    }

    /// `judge` in its place, without the `by` it goes on with.
    pub(super) fn judge_alone(&self, here: Here<'_>) -> Option<Finding> {
        if self.context != Context::House || here.index != self.start || here.text != "judge" {
            return None;
        }
        let next = self.text(here.index + 1);
        let token = self.tokens.get(here.index + 1).filter(|token| !token.first && token.shape == Shape::Word);
        let (span, help) = match token {
            Some(token) => (token.span, wording::write_instead("by", next)),
            None => (here.token?.span, wording::write("judge by simple acceptance")),
        };
        Some(self.at(Code::WordUnexpected, habits::judge_alone(), span).help(help))
    }
}
