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

    pub(super) fn mark(&self, index: usize, mark: char) -> bool {
        self.tokens.is_mark(index, mark)
    }

    fn odd(&self, index: usize, letter: char) -> bool {
        self.tokens.shape(index) == Some(Shape::Odd(letter))
    }

    pub(super) fn is(&self, index: usize, shape: Shape) -> bool {
        self.tokens.shape(index) == Some(shape)
    }

    pub(super) fn touches(&self, index: usize) -> bool {
        let next = self.tokens.get(index + 1);
        self.tokens.get(index).zip(next).is_some_and(|(token, next)| token.span.end == next.span.start)
    }

    /// Whether the next token is on the same line as this one.
    pub(super) fn goes_on(&self, index: usize) -> bool {
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
        let stands = index == self.start || matches!(here.text, "standard" | "limit" | "outer" | "advisory" | ":");
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
        let clause = matches!(here.text, "standard" | "limit" | "outer" | "advisory" | "never" | "where");
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
                    let tier = matches!(self.text(begin.saturating_sub(1)), "standard" | "limit" | "is")
                        || self.expects(Rule::is_word);
                    let help = match meant {
                        "" => habits::about_help(),
                        _ if tier => wording::write_instead(meant, written),
                        // A bound alone does not say whether it is for new parts or for worn ones.
                        _ => habits::tier_and_bound_help(meant, written, self.expects(Rule::standard_word)),
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
}
