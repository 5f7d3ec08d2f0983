//! How other papers, programs and tongues say things, with what this language says in their place. Refuses to know what
//! a line means.

use super::blame::{Blame, Here};
use super::grammar::Rule;
use super::reader::Context;
use super::scan::Shape;
use super::{wording, wording_habits as habits, words};
use crate::finding::{Code, Finding};

/// Ways to say a bound, longer ones first.
const BOUNDS: [(&[&str], &str); 24] = [
    (&["no", "less", "than"], "at least"),
    (&["not", "less", "than"], "at least"),
    (&["no", "more", "than"], "at most"),
    (&["not", "more", "than"], "at most"),
    (&["less", "than"], "below"),
    (&["smaller", "than"], "below"),
    (&["more", "than"], "above"),
    (&["greater", "than"], "above"),
    (&["larger", "than"], "above"),
    (&["equal", "to"], "exactly"),
    (&["atleast"], "at least"),
    (&["min"], "at least"),
    (&["minimum"], "at least"),
    (&["least"], "at least"),
    (&["atmost"], "at most"),
    (&["max"], "at most"),
    (&["maximum"], "at most"),
    (&["most"], "at most"),
    (&["exact"], "exactly"),
    (&["equals"], "exactly"),
    (&["over"], "above"),
    (&["under"], "below"),
    (&["about"], ""),
    (&["approximately"], ""),
];

/// Ways to join conditions, and to begin one.
const JOINERS: [(&str, &str, Rule); 16] = [
    ("und", "and", Rule::and_word),
    ("et", "and", Rule::and_word),
    ("y", "and", Rule::and_word),
    ("e", "and", Rule::and_word),
    ("but", "and", Rule::and_word),
    ("oder", "or", Rule::or_word),
    ("ou", "or", Rule::or_word),
    ("o", "or", Rule::or_word),
    ("isnt", "is not", Rule::is_word),
    ("equals", "is", Rule::is_word),
    ("are", "is", Rule::is_word),
    ("ist", "is", Rule::is_word),
    ("if", "where", Rule::where_word),
    ("when", "where", Rule::where_word),
    ("wenn", "where", Rule::where_word),
    ("unless", "where not", Rule::where_word),
];

/// Other words for those that make one value of several.
const COLLECTORS: [(&str, &str); 20] = [
    ("average", "mean"),
    ("avg", "mean"),
    ("median", "mean"),
    ("min", "smallest"),
    ("minimum", "smallest"),
    ("lowest", "smallest"),
    ("least", "smallest"),
    ("thinnest", "smallest"),
    ("max", "largest"),
    ("maximum", "largest"),
    ("highest", "largest"),
    ("biggest", "largest"),
    ("greatest", "largest"),
    ("range", "spread"),
    ("difference", "spread"),
    ("total", "sum"),
    ("number", "count"),
    ("every", "each"),
    ("all", "each"),
    ("any", "each"),
];

impl Blame<'_> {
    /// A finding for a way of saying it that is known from elsewhere.
    pub(super) fn habit(&self, here: Here<'_>) -> Option<Finding> {
        self.remark_mark(here)
            .or_else(|| self.bullet(here))
            .or_else(|| self.doubled(here))
            .or_else(|| self.test_mark(here))
            .or_else(|| self.bound_word(here))
            .or_else(|| self.joiner(here))
            .or_else(|| self.collector(here))
            .or_else(|| self.digit(here))
            .or_else(|| self.top(here))
    }

    /// What was written from one token to another.
    fn written(&self, from: usize, to: usize) -> Option<&str> {
        let (from, to) = (self.tokens.get(from)?, self.tokens.get(to)?);
        Some(self.source.slice(from.span.to(to.span)))
    }

    /// A finding about the tokens from one to another.
    fn about(&self, code: Code, from: usize, to: usize, message: String, help: String) -> Option<Finding> {
        let (from, to) = (self.tokens.get(from)?, self.tokens.get(to)?);
        Some(self.at(code, message, from.span.to(to.span)).help(help))
    }

    fn mark(&self, index: usize, mark: char) -> bool {
        self.tokens.is_mark(index, mark)
    }

    fn odd(&self, index: usize, letter: char) -> bool {
        self.tokens.shape(index) == Some(Shape::Odd(letter))
    }

    fn is(&self, index: usize, shape: Shape) -> bool {
        self.tokens.shape(index) == Some(shape)
    }

    fn touches(&self, index: usize) -> bool {
        let next = self.tokens.get(index + 1);
        self.tokens.get(index).zip(next).is_some_and(|(token, next)| token.span.end == next.span.start)
    }

    /// Whether the next token is on the same line as this one.
    fn goes_on(&self, index: usize) -> bool {
        self.tokens.get(index + 1).is_some_and(|next| !next.first)
    }

    // ---- whole findings

    /// `// …`, `-- …`, `/* …` and `; …` for a remark.
    fn remark_mark(&self, here: Here<'_>) -> Option<Finding> {
        let pairs = [('/', '/'), ('-', '-'), ('/', '*')];
        let pair = |index: usize| {
            pairs.iter().any(|(first, second)| self.mark(index, *first) && self.mark(index + 1, *second))
                && self.touches(index)
                && self.is(index + 2, Shape::Word)
        };
        let index = (self.start..=here.index).find(|index| pair(*index));
        if let Some(index) = index {
            let message = wording::no_meaning(self.written(index, index + 1)?);
            return self.about(Code::TextUnexpected, index, index + 1, message, habits::comment_help());
        }
        let line = here.token.is_some_and(|token| token.first) && self.odd(here.index, ';');
        line.then(|| {
            self.about(Code::TextUnexpected, here.index, here.index, wording::no_meaning(";"), habits::comment_help())
        })?
    }

    /// `- …`, `* …` or `1. …` at the head of a line.
    fn bullet(&self, here: Here<'_>) -> Option<Finding> {
        let index = (self.start..=here.index).rev().find(|index| self.tokens.get(*index).is_some_and(|it| it.first))?;
        let text = self.text(index);
        let mark = self.mark(index, '-') || self.mark(index, '*');
        let number = self.is(index, Shape::Number) && text.ends_with('.');
        let stands = index == self.start || matches!(here.text, "standard" | "limit" | "advisory" | ":");
        let row = self.is(index + 1, Shape::Word) && self.goes_on(index);
        ((mark || number) && stands && row && self.context != Context::Texts).then(|| {
            let message = wording::begins_nothing(text);
            self.about(Code::TextUnexpected, index, index, message, habits::bullet_help(text))
        })?
    }

    /// The same word twice, and `**` for a power.
    fn doubled(&self, here: Here<'_>) -> Option<Finding> {
        let before = here.index.checked_sub(1).filter(|index| *index >= self.start)?;
        let token = here.token.filter(|token| !token.first)?;
        if self.mark(before, '*') && self.mark(here.index, '*') {
            let help = wording::write_instead("^", "**");
            return self.about(Code::TextUnexpected, before, here.index, wording::no_meaning("**"), help);
        }
        let clause = matches!(here.text, "standard" | "limit" | "advisory" | "where");
        (token.shape == Shape::Word && self.text(before) == here.text && !clause && !self.expects(Rule::open_paren))
            .then(|| {
                let message = wording::said_twice(here.text);
                self.about(Code::TextUnexpected, before, here.index, message, habits::take_one_out())
            })?
    }

    /// `=` or `==` for a test, `=>` and `=<` for a bound.
    fn test_mark(&self, here: Here<'_>) -> Option<Finding> {
        if here.text != "=" {
            return None;
        }
        for (letter, meant) in [('>', "at least"), ('<', "at most")] {
            if self.odd(here.index + 1, letter) {
                let written = self.written(here.index, here.index + 1)?;
                let message = wording::no_meaning(written);
                let help = wording::write_instead(meant, written);
                return self.about(Code::TextUnexpected, here.index, here.index + 1, message, help);
            }
        }
        if !self.expects(Rule::and_word) {
            return None;
        }
        let last = if self.mark(here.index + 1, '=') { here.index + 1 } else { here.index };
        let meant = if self.is(last + 1, Shape::Number) { "exactly" } else { "is" };
        let written = self.written(here.index, last)?;
        let help = wording::write_instead(meant, written);
        self.about(Code::TextUnexpected, here.index, last, habits::no_test(written), help)
    }

    /// `atleast`, `less than`, `max.`: other words for a bound, before a number.
    fn bound_word(&self, here: Here<'_>) -> Option<Finding> {
        for begin in (0..=2).filter_map(|back| here.index.checked_sub(back)).filter(|begin| *begin > self.start) {
            if self.text(begin).eq_ignore_ascii_case("between")
                && let Some(joint) = (begin + 1..begin + 5).find(|index| self.text(*index) == "and")
                && self.is(joint + 1, Shape::Number)
            {
                let unit = self.is(joint + 2, Shape::Word) && self.goes_on(joint + 1);
                let last = if unit && !words::is_reserved(self.text(joint + 2)) { joint + 2 } else { joint + 1 };
                let low = self.written(begin + 1, joint - 1)?;
                let right = format!("{low} to {}", self.written(joint + 1, last)?);
                let message = wording::word_unknown(self.text(begin));
                let help = wording::write_instead(&right, self.written(begin, last)?);
                return self.about(Code::WordUnexpected, begin, begin, message, help);
            }
            let value = matches!(self.text(begin.saturating_sub(1)), "standard" | "limit" | "is")
                || self.expects(Rule::is_word)
                || self.expects(Rule::limit_word);
            for (phrase, meant) in BOUNDS {
                let fits =
                    phrase.iter().enumerate().all(|(step, word)| self.text(begin + step).eq_ignore_ascii_case(word));
                let mut last = begin + phrase.len() - 1;
                if self.odd(last + 1, '.') && self.touches(last) {
                    last += 1;
                }
                if value && fits && self.is(last + 1, Shape::Number) && self.text(begin.saturating_sub(1)) != "at" {
                    let written = self.written(begin, last)?;
                    let help = match meant {
                        "" => habits::about_help(),
                        _ => wording::write_instead(meant, written),
                    };
                    return self.about(Code::WordUnexpected, begin, last, wording::word_unknown(written), help);
                }
            }
        }
        None
    }

    /// `und`, `if`, `isnt`: other words between and before conditions.
    fn joiner(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token.filter(|token| token.shape == Shape::Word && !token.first)?;
        let (_, meant, _) = JOINERS.iter().find(|(word, _, rule)| {
            here.text.eq_ignore_ascii_case(word) && (self.expects(*rule) || self.tests(*rule))
        })?;
        let help = wording::write_instead(meant, here.text);
        Some(self.at(Code::WordUnexpected, wording::word_unknown(here.text), token.span).help(help))
    }

    /// Whether a test is what could stand here, which pest names by the whole of it.
    fn tests(&self, rule: Rule) -> bool {
        rule == Rule::is_word && self.expects(Rule::test)
    }

    /// `average of`, and `each` without its `of`.
    fn collector(&self, here: Here<'_>) -> Option<Finding> {
        let (before, name) = self.before(here)?;
        if here.text == "of" {
            let (_, meant) = COLLECTORS.iter().find(|(word, _)| name.eq_ignore_ascii_case(word))?;
            let help = wording::write_instead(meant, name);
            return Some(self.at(Code::WordUnexpected, wording::word_unknown(name), before.span).help(help));
        }
        let word = words::COLLECTORS.contains(&name) && here.index == self.start + 1;
        (word && here.token.is_some_and(|token| token.shape == Shape::Word && !token.first)).then(|| {
            let help = wording::between_help("of", name, here.text);
            self.about(Code::TextUnexpected, here.index, here.index, self.sentence(Some(here.text), Some(name)), help)
        })?
    }

    /// The letter O for the digit 0, and the letter x for `*`.
    fn digit(&self, here: Here<'_>) -> Option<Finding> {
        let (before, name) = self.before(here)?;
        let digits = name.strip_prefix("O.").or_else(|| name.strip_prefix("o."));
        if let Some(digits) = digits.filter(|digits| !digits.is_empty() && digits.bytes().all(|it| it.is_ascii_digit()))
        {
            let help = habits::digit_help(&format!("0.{digits}"));
            return Some(self.at(Code::TextUnexpected, wording::number_wrong(name), before.span).help(help));
        }
        let times = matches!(name, "x" | "X") && here.token.is_some_and(|token| !token.first);
        let after = self.mark(here.index, '(') || self.is(here.index, Shape::Number);
        let number = here.index.checked_sub(2).is_some_and(|index| self.is(index, Shape::Number));
        (times && after && number).then(|| {
            self.at(Code::TextUnexpected, wording::no_meaning(name), before.span)
                .help(wording::write_instead("*", name))
        })
    }

    /// What begins no declaration at the top of a book and is no single word.
    fn top(&self, here: Here<'_>) -> Option<Finding> {
        let token =
            here.token.filter(|_| self.context == Context::Top && here.index == self.start && here.index > 0)?;
        let help = match token.shape {
            Shape::Word if here.text.contains('.') => habits::rows_inside_help(),
            Shape::Mark(_) | Shape::Number => habits::comment_help(),
            _ => return None,
        };
        Some(self.at(Code::TextUnexpected, wording::begins_nothing(here.text), token.span).help(help))
    }

    // ---- mends for the plain sentence

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
        if before == "limit" && here.text == "from" || before == "standard" && here.text == "from" {
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
                "(" => Some(wording::write_instead("{", here.text)),
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
            "(" if self.expects(Rule::open_brace) => Some(wording::write_instead("{", "(")),
            ":" => Some(habits::leave_out(":")),
            _ if self.expects(Rule::to_word) && self.is(here.index, Shape::Number) => {
                Some(habits::positions_between(before, here.text))
            }
            _ if self.expects(Rule::at_word) && self.is(here.index, Shape::Word) => Some(habits::positions_help()),
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
            "(" if words::TEXTS.contains(&next) => Some(wording::write_instead("{", "(")),
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
        if self.expects(Rule::to_word) {
            return Some(wording::between_help("to", before, here.text));
        }
        if !number {
            return None;
        }
        Some(if next == "/" { habits::fraction_help() } else { habits::no_spaces_help(before, here.text) })
    }
}
