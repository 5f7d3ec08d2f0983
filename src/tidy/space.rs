//! Between which pieces a blank stands. Refuses to know of lines.

use super::token::{Shape, Token, is_word_of_language};

/// Says of every piece whether it is set right against the piece before.
pub(super) fn set(tokens: &mut [Token]) {
    let code: Vec<usize> =
        tokens.iter().enumerate().filter(|(_, token)| token.shape != Shape::Comment).map(|(at, _)| at).collect();
    let mut spacer = Spacer { parens: 0, table: false, unary: false };
    for place in 0..code.len() {
        let tight = spacer.tight(&Around { tokens, code: &code, place });
        if let Some(token) = code.get(place).and_then(|at| tokens.get_mut(*at)) {
            token.tight = tight;
        }
    }
}

/// A piece with its neighbours, comments passed over.
struct Around<'a> {
    tokens: &'a [Token],
    code: &'a [usize],
    place: usize,
}

impl Around<'_> {
    fn at(&self, place: usize) -> Option<&Token> {
        self.code.get(place).and_then(|at| self.tokens.get(*at))
    }

    fn before(&self, steps: usize) -> Option<&Token> {
        self.place.checked_sub(steps).and_then(|place| self.at(place))
    }

    fn after(&self, steps: usize) -> Option<&Token> {
        self.at(self.place + steps)
    }

    /// Whether a value ends before this piece, so that a sign here stands between two.
    fn value_ends_before(&self) -> bool {
        self.before(1).is_some_and(|before| match before.shape {
            Shape::Mark(mark) => mark == ')',
            Shape::Word => match before.text.as_str() {
                "yes" | "no" => true,
                "by" => !self.before(2).is_some_and(|follows| follows.says("follows")),
                "least" | "most" => !self.before(2).is_some_and(|at| at.says("at")),
                word => !is_word_of_language(word),
            },
            _ => true,
        })
    }

    /// Whether the sign here is that of a deviation, as in `20 mm +0.1 -0`: two in a row, each against its number,
    /// after a size with which a range begins.
    fn is_deviation(&self) -> bool {
        let signed = |place: usize| {
            let sign = self.at(place).is_some_and(|sign| sign.is('+') || sign.is('-'));
            sign && self.at(place + 1).is_some_and(|number| number.shape == Shape::Number && number.touches)
        };
        let length =
            |place: usize| if self.at(place + 2).is_some_and(|unit| unit.shape == Shape::Unit) { 3 } else { 2 };
        if !signed(self.place) {
            return false;
        }
        let begins = |place: usize| {
            let Some(size) = place.checked_sub(1) else { return false };
            let size = if self.at(size).is_some_and(|unit| unit.shape == Shape::Unit) {
                size.checked_sub(1)
            } else {
                Some(size)
            };
            let word = size.and_then(|size| size.checked_sub(1));
            // A size may be below nought itself: then a word of the language stands before its sign, and no value.
            let negative = word.filter(|place| self.at(*place).is_some_and(|sign| sign.is('-')));
            let word = negative.map_or(word, |sign| sign.checked_sub(1)).and_then(|place| self.at(place));
            word.is_some_and(|word| {
                let goes_on = ["least", "most", "above", "below", "exactly", "to", "and", "or", "of"];
                let begins = negative.is_none() || is_word_of_language(&word.text);
                word.shape == Shape::Word && begins && !goes_on.contains(&word.text.as_str())
            })
        };
        if signed(self.place + length(self.place)) {
            return begins(self.place);
        }
        [2, 3].into_iter().any(|steps| {
            self.place.checked_sub(steps).is_some_and(|first| signed(first) && length(first) == steps && begins(first))
        })
    }
}

struct Spacer {
    parens: usize,
    /// Whether the points of a table are being read.
    table: bool,
    /// Whether the piece before is a sign that belongs to what follows.
    unary: bool,
}

impl Spacer {
    fn tight(&mut self, around: &Around<'_>) -> bool {
        let Some(token) = around.after(0) else { return false };
        let Some(before) = around.before(1) else { return false };
        let unary = std::mem::take(&mut self.unary);
        let after_sign = unary || before.is('(');
        if before.says("table") {
            self.table = true;
        } else if is_word_of_language(&token.text) && token.shape == Shape::Word {
            self.table = false;
        }
        match token.shape {
            Shape::Mark(',') => true,
            Shape::Mark(')') => {
                self.parens = self.parens.saturating_sub(1);
                true
            }
            Shape::Mark('(') => {
                self.parens += 1;
                let call = before.shape == Shape::Word && !is_word_of_language(&before.text);
                after_sign || call
            }
            // Against a unit the power would be the unit's.
            Shape::Mark('^') => before.shape != Shape::Unit,
            Shape::Mark(':') => {
                let ratio =
                    before.shape == Shape::Number && around.after(1).is_some_and(|after| after.shape == Shape::Number);
                (self.parens > 0 || self.table && before.shape != Shape::Mark(')')) && (!ratio || self.table)
            }
            Shape::Mark('-' | '+') => {
                self.unary = !around.value_ends_before() || around.is_deviation();
                after_sign
            }
            _ => after_sign || before.is('^') && before.tight,
        }
    }
}
