//! What to write in place of what stands where a line could not go on, as other papers would have it. Refuses to know what
//! a line means.

use super::blame::{Blame, Here};
use super::grammar::Rule;
use super::reader::Context;
use super::scan::Shape;
use super::{wording, wording_habits as habits, words};
use crate::finding::nearest;

impl Blame<'_> {
    /// What to write in place of what stands here.
    pub(super) fn habit_help(&self, here: Here<'_>) -> Option<String> {
        let token = here.token?;
        let before = self.before(here).map_or("", |(_, text)| text);
        let opens = self.text(self.start);
        let next = self.text(here.index + 1);
        let word = token.shape == Shape::Word;
        if matches!(here.text, ":" | "=") && self.is(here.index + 1, Shape::Words) && self.goes_on(here.index) {
            return Some(habits::leave_out(here.text));
        }
        if opens == "use" && here.text == "," {
            return Some(habits::use_each_help());
        }
        if opens == "general" && self.expects(Rule::caution_word) {
            return Some(if word {
                wording::write_instead("caution", here.text)
            } else {
                wording::between_help("caution", before, here.text)
            });
        }
        if self.context == Context::Texts {
            return self.text_help(here, before);
        }
        if self.expects(Rule::date) {
            return Some(wording::date_help());
        }
        if matches!(before, "standard" | "limit") && matches!(here.text, ":" | "=") {
            let leave = here.text == ":" || matches!(next, "at" | "above" | "below" | "exactly");
            return Some(if leave {
                habits::leave_out(here.text)
            } else {
                wording::write_instead("exactly", here.text)
            });
        }
        if matches!(before, "limit" | "standard") && here.text == "from" {
            return Some(habits::leave_out("from"));
        }
        if here.text == "+" && self.is(here.index + 1, Shape::Number) && self.expects(Rule::number) {
            return Some(habits::leave_out("+"));
        }
        if before == "+" && here.text == "/" && self.mark(here.index + 1, '-') {
            return Some(wording::plus_minus_help());
        }
        self.name_help(here, opens, before)
            .or_else(|| self.position_help(here, opens, before))
            .or_else(|| self.row_help(here, before, next))
            .or_else(|| self.member_help(here, opens, before, next))
            .or_else(|| self.number_help(here, before, next))
    }

    fn text_help(&self, here: Here<'_>, before: &str) -> Option<String> {
        if here.text == "," {
            return Some(habits::leave_out(","));
        }
        if before == "from" && self.is(here.index, Shape::Words) {
            return Some(habits::source_help("own_name"));
        }
        let from = here.index.checked_sub(2).is_some_and(|index| self.text(index) == "from");
        (from && self.is(here.index, Shape::Word)).then(|| habits::source_help(here.text))
    }

    fn name_help(&self, here: Here<'_>, opens: &str, before: &str) -> Option<String> {
        let named = self.expects(Rule::new_name) || self.expects(Rule::name);
        if self.is(here.index, Shape::Words) {
            return match opens {
                "generation" | "basis" | "source" if named => Some(habits::name_first_help(opens)),
                _ if named || self.expects(Rule::segment) => Some(habits::unquote(here.text)),
                _ => None,
            };
        }
        if named && self.is(here.index, Shape::Number) && !self.expects(Rule::whole) && !self.expects(Rule::number) {
            return Some(habits::name_letter_help());
        }
        if named && self.mark(here.index, '{') {
            return Some(habits::leave_out("{"));
        }
        let joint = self.mark(here.index, '-') && self.touches(here.index);
        if joint && matches!(opens, "generation" | "basis") && self.expects(Rule::words) {
            return Some(habits::one_name_help(&format!("{before}_{}", self.text(here.index + 1))));
        }
        let list = self.expects(Rule::comma) && matches!(here.text, "or" | "and" | "/");
        list.then(|| wording::write_instead(",", here.text))
    }

    fn position_help(&self, here: Here<'_>, opens: &str, before: &str) -> Option<String> {
        if matches!(opens, "generation" | "basis") && self.expects(Rule::open_brace) {
            return match here.text {
                "," | "and" => Some(habits::one_follows_help()),
                "(" => Some(wording::braces_instead()),
                ":" => Some(habits::leave_out(":")),
                _ if self.expects(Rule::follows_word) && self.is(here.index, Shape::Word) => {
                    Some(wording::write_instead("follows", here.text))
                }
                _ => None,
            };
        }
        if !matches!(opens, "part" | "fitted" | "extend") {
            return None;
        }
        match here.text {
            "-" if self.expects(Rule::to_word) => Some(wording::write_instead("to", "-")),
            "(" if self.expects(Rule::open_brace) => Some(wording::braces_instead()),
            ":" => Some(habits::leave_out(":")),
            _ if self.expects(Rule::to_word) && self.is(here.index, Shape::Number) => {
                Some(habits::positions_between(before, here.text))
            }
            // `x 2` counts parts; they are named.
            "x" | "X" if self.expects(Rule::at_word) => Some(habits::positions_help()),
            _ => None,
        }
    }

    fn row_help(&self, here: Here<'_>, before: &str, next: &str) -> Option<String> {
        if self.context != Context::Generation {
            return None;
        }
        if self.expects(Rule::all_the_same) {
            return Some(match here.text {
                ":" => habits::leave_out(":"),
                "=" if !before.contains('.') => habits::constant_help(before),
                "-" if self.touches(here.index) => habits::one_name_help(&format!("{before}_{next}")),
                "/" => wording::write(&format!("{before}.{next}")),
                _ if self.is(here.index, Shape::Word) && matches!(next, "standard" | "limit") => {
                    habits::one_name_help(&format!("{before}_{}", here.text))
                }
                _ => wording::tier_help(),
            });
        }
        if !self.expects(Rule::where_word) {
            let condition = self.expects(Rule::and_word) && here.text == ",";
            return condition.then(|| wording::write_instead("and", ","));
        }
        let names = !self.text(here.index.saturating_sub(1)).is_empty()
            && self.is(here.index.saturating_sub(1), Shape::Word)
            && !here.index.checked_sub(2).is_some_and(|index| self.is(index, Shape::Number));
        match here.text {
            "and" | "," if names && self.is(here.index + 1, Shape::Word) && self.goes_on(here.index) => {
                Some(habits::names_or_help(before, next))
            }
            "and" => Some(habits::one_range_help()),
            "," => Some(habits::leave_out(",")),
            "(" if words::TEXTS.contains(&next) => Some(wording::braces_instead()),
            "(" => Some(habits::remark_help()),
            text if words::TEXTS.contains(&text) => Some(habits::braces_help(text)),
            _ => None,
        }
    }

    fn member_help(&self, here: Here<'_>, opens: &str, before: &str, next: &str) -> Option<String> {
        let name = self.text(self.start + 1);
        if here.text == "=" && (self.expects(Rule::colon) || self.expects(Rule::type_name)) {
            match opens {
                "derive" => return Some(habits::type_first_help(name, "")),
                "formula" => return Some(habits::type_first_help(&format!("{name}(…)"), "")),
                "constant" => return Some(habits::constant_top_help(name)),
                _ => {}
            }
        }
        if opens == "formula" && self.expects(Rule::colon) && matches!(here.text, "," | ")") {
            return Some(habits::parameter_help(before));
        }
        if opens == "constant" && here.text == "to" {
            return Some(habits::one_value_help());
        }
        if self.context != Context::Part {
            return None;
        }
        if here.text == "=" && self.expects(Rule::comma) {
            return Some(habits::derive_help(opens));
        }
        if self.expects(Rule::named_type) || self.expects(Rule::type_name) {
            return match here.text {
                "yes" => Some(wording::write_instead("yes/no", "yes or no")),
                _ if self.is(here.index, Shape::Number) => Some(habits::rows_help()),
                _ => None,
            };
        }
        if self.expects(Rule::colon) && self.expects(Rule::at_word) && opens != "derive" {
            let dash = self.mark(here.index, '-') && self.touches(here.index);
            let second = if dash { here.index + 1 } else { here.index };
            if matches!(here.text, "standard" | "limit") {
                return Some(habits::rows_help());
            }
            if self.is(second, Shape::Word) && (self.mark(second + 1, ':') || self.text(second + 1) == "at") {
                return Some(habits::one_name_help(&format!("{before}_{}", self.text(second))));
            }
        }
        if self.mark(here.index, '(') && self.expects(Rule::comma) && next == "optional" {
            return Some(wording::write_instead(", optional", "(optional)"));
        }
        let counts = [Rule::optional_word, Rule::count, Rule::readings_word, Rule::or_more];
        if counts.iter().any(|rule| self.expects(*rule)) {
            let own = here.index.checked_sub(2).map_or("", |index| self.text(index));
            let names = self.is(here.index, Shape::Word) && !matches!(here.text, "at");
            let known = self.text(here.index + 1) != "readings" && names && before == "," && !here.text.contains("opt");
            return Some(match known {
                true => habits::choice_help(own, here.text),
                false => habits::count_help(),
            });
        }
        None
    }

    fn number_help(&self, here: Here<'_>, before: &str, next: &str) -> Option<String> {
        let number = here.index.checked_sub(1).is_some_and(|index| self.is(index, Shape::Number));
        if self.mark(here.index, '(') && number {
            return Some(wording::between_help("*", before, "("));
        }
        if !self.is(here.index, Shape::Number) {
            return None;
        }
        if self.expects(Rule::to_word) && nearest(before, ["to"]).is_some() {
            return Some(wording::write_instead("to", before));
        }
        if self.expects(Rule::to_word) {
            return Some(wording::between_help("to", before, here.text));
        }
        if !number {
            return None;
        }
        Some(if next == "/" { habits::fraction_help() } else { habits::no_spaces_help(before, here.text) })
    }
}
