//! Says what is wrong with a line that could not be read, and how to mend it. Refuses to look names up.

use super::ask::Failure;
use super::grammar::Rule;
use super::reader::Context;
use super::scan::{Shape, Token, Tokens};
use super::{mend, wording, words};
use crate::finding::{Code, Finding, nearest};
use crate::text::{Source, Span};

/// All there is to know about a line that could not be read.
pub(super) struct Blame<'a> {
    /// The book.
    pub(super) source: &'a Source,
    /// Its tokens.
    pub(super) tokens: &'a Tokens,
    /// What the line stands in.
    pub(super) context: Context,
    /// The token the line begins with.
    pub(super) start: usize,
    /// What pest says.
    pub(super) failure: &'a Failure,
}

/// The token where the line could not go on.
#[derive(Clone, Copy)]
pub(super) struct Here<'a> {
    pub(super) index: usize,
    pub(super) token: Option<Token>,
    pub(super) text: &'a str,
}

impl<'a> Blame<'a> {
    /// The one finding the line gets: the most telling that fits.
    pub(super) fn finding(&self) -> Finding {
        let index = self.tokens.after(self.start, self.failure.at);
        let here = Here { index, token: self.tokens.get(index), text: self.text(index) };
        if let Some(early) = self.ends_early() {
            return self.line_early(early);
        }
        self.words_wrong(here)
            .or_else(|| self.date_wrong(here))
            .or_else(|| self.habit(here))
            .or_else(|| mend::odd_character(self.source, self.tokens, here.index))
            .or_else(|| self.name_reserved(here))
            .or_else(|| self.first_word(here))
            .or_else(|| self.number_wrong(here))
            .or_else(|| self.two_words(here))
            .or_else(|| self.misspelt(here))
            .or_else(|| self.row_without_range(here))
            .or_else(|| self.clause_order(here))
            .or_else(|| self.outer_alone(here))
            .or_else(|| self.name_letters(here))
            .unwrap_or_else(|| self.plain(here))
    }

    pub(super) fn text(&self, index: usize) -> &'a str {
        self.tokens.get(index).map_or("", |token| self.source.slice(token.span))
    }

    pub(super) fn expects(&self, rule: Rule) -> bool {
        self.failure.expected.contains(&rule)
    }

    pub(super) fn at(&self, code: Code, message: String, span: Span) -> Finding {
        Finding::new(code, message).at(self.source.place(span), wording::LABEL_HERE)
    }

    pub(super) fn before(&self, here: Here<'_>) -> Option<(Token, &'a str)> {
        let index = here.index.checked_sub(1).filter(|index| *index >= self.start)?;
        Some((self.tokens.get(index)?, self.text(index)))
    }

    /// Where a line ended before its value and the next line's name was taken for the value: that name's token.
    pub(super) fn ends_early(&self) -> Option<usize> {
        let index =
            self.tokens.after(self.start, self.failure.at).checked_sub(1).filter(|index| *index > self.start)?;
        self.tokens.get(index).filter(|token| token.first && token.shape == Shape::Word)?;
        let hanging = index.checked_sub(1)?;
        let mark = self
            .tokens
            .shape(hanging)
            .is_some_and(|shape| matches!(shape, Shape::Mark('=' | ':' | ',' | '(' | '+' | '-' | '*' | '/' | '±')));
        let word = matches!(
            self.text(hanging),
            "least"
                | "most"
                | "above"
                | "below"
                | "exactly"
                | "standard"
                | "limit"
                | "where"
                | "to"
                | "of"
                | "and"
                | "or"
                | "not"
                | "is"
                | "across"
                | "at"
        );
        let clause = self.tokens.get(index + 1).is_none_or(|next| !next.first);
        ((mark || word) && clause && !words::is_reserved(self.text(index))).then_some(index)
    }

    fn line_early(&self, next: usize) -> Finding {
        let last = next.saturating_sub(1);
        let span = self.tokens.get(last).map_or(Span::default(), |token| token.span);
        self.at(Code::TextUnexpected, wording::line_early(self.text(last)), span)
            .help(wording::line_early_help(self.text(last)))
    }

    /// A date in another country's order.
    fn date_wrong(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token.filter(|token| self.expects(Rule::date) && !token.first)?;
        let line = (here.index + 1..).map_while(|index| self.tokens.get(index)).take(8);
        let end = line
            .take_while(|token| !token.first)
            .filter(|token| matches!(token.shape, Shape::Number | Shape::Mark('-' | '/')))
            .last();
        let span = end.map_or(token.span, |end| token.span.to(end.span));
        let finding = self.at(Code::DateWrong, wording::date_shape(self.source.slice(span)), span);
        (token.shape == Shape::Number).then(|| finding.help(wording::date_help()))
    }

    /// A quotation mark not closed, or words that hold what they may not.
    fn words_wrong(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token?;
        match token.shape {
            Shape::WordsOpen => Some(
                Finding::new(Code::QuoteOpen, wording::quote_open())
                    .at(self.source.place(token.span), wording::LABEL_OPENED)
                    .help(wording::quote_open_help()),
            ),
            Shape::Words if self.expects(Rule::words) => mend::words_inside(self.source, token),
            _ => None,
        }
    }

    /// A word of the language where a name belongs.
    fn name_reserved(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token.filter(|token| token.shape == Shape::Word)?;
        // In a path the step that is a word of the language, else the word itself.
        let mut start = token.span.start as usize;
        let mut reserved = None;
        for step in here.text.split('.') {
            if words::is_reserved(step) && reserved.is_none() {
                reserved = Some((step, Span::new(start, start + step.len())));
            }
            start += step.len() + 1;
        }
        let (word, span) = reserved?;
        let path = word.len() != here.text.len() && self.failure.at > token.span.start as usize;
        let next = self.text(here.index + 1);
        let names = match here.index == self.start {
            true => self.context == Context::Part && matches!(next, ":" | "at"),
            false if token.first => false,
            // `at` and its like say that the name itself was forgotten.
            false => {
                let declares = self.expects(Rule::new_name) || self.failure.expected == [Rule::name];
                let value = self.expects(Rule::segment) || self.expects(Rule::called);
                let begins = words::begins_declaration(word) || words::TEXTS.contains(&word);
                (declares && !matches!(word, "at" | "or" | "follows")) || (value && begins)
            }
        };
        (names || path).then(|| {
            self.at(Code::NameReserved, wording::name_reserved(word), span).help(wording::name_reserved_help(word))
        })
    }

    /// The word the line begins with: misspelt, in the wrong place, or none that begins anything.
    fn first_word(&self, here: Here<'_>) -> Option<Finding> {
        let first = self.tokens.get(self.start).filter(|token| token.shape == Shape::Word)?;
        let word = self.text(self.start);
        if here.index > self.start + 1 || word.contains('.') {
            return None;
        }
        let mut begin: Vec<&str> = match self.context {
            Context::Top => words::ITEMS.iter().chain(&["part"]).copied().collect(),
            Context::Part => words::PART_MEMBERS.to_vec(),
            Context::Generation => words::GENERATION_MEMBERS.to_vec(),
            Context::House => words::HOUSE_MEMBERS.to_vec(),
            Context::Overlay => words::OVERLAYS.to_vec(),
            Context::Try => words::TRY_MEMBERS.to_vec(),
            Context::Fits => words::FITS_MEMBERS.to_vec(),
            Context::Texts => words::TEXTS.to_vec(),
        };
        if self.context == Context::Generation && self.text(self.start + 1) == "of" {
            begin = words::COLLECTORS.to_vec();
        }
        if !words::is_reserved(word)
            && here.token.is_some_and(|token| here.index == self.start || !token.first)
            && let Some(meant) = nearest(word, begin.iter().copied())
            && meant != word
        {
            return Some(
                self.at(Code::WordUnexpected, wording::word_unknown(word), first.span)
                    .help(wording::did_you_mean(meant)),
            );
        }
        if here.index != self.start {
            return None;
        }
        if let Some(finding) = self.judge_alone(here) {
            return Some(finding);
        }
        if words::is_reserved(word) {
            let place = wording::stands_where(word)?;
            return Some(self.at(Code::WordUnexpected, wording::stands_elsewhere(word, place), first.span));
        }
        if matches!(self.context, Context::Part | Context::Generation | Context::Try) {
            return None;
        }
        let finding = self.at(Code::WordUnexpected, wording::begins_nothing(word), first.span);
        Some(finding.help(wording::begins_help(&begin)))
    }

    /// A number as other programs write it, or one before which its unit stands.
    fn number_wrong(&self, here: Here<'_>) -> Option<Finding> {
        let wrong = mend::number_like(self.source, self.tokens, here.index);
        if wrong.is_some() && (!self.expects(Rule::comma) || here.text != ",") {
            return wrong;
        }
        let token = here.token.filter(|token| token.shape == Shape::Number && !token.first)?;
        let (unit, name) = self.before(here)?;
        let hangs = here.index.checked_sub(2).map_or("", |index| self.text(index));
        let value = matches!(
            hangs,
            "least" | "most" | "above" | "below" | "exactly" | "standard" | "limit" | "to" | "=" | "is"
        );
        (unit.shape == Shape::Word && value && !words::is_reserved(name)).then(|| {
            let span = unit.span.to(token.span);
            self.at(Code::TextUnexpected, wording::unit_first(name), span)
                .help(wording::write(&format!("{} {name}", here.text)))
        })
    }

    /// Phrases of several words with a slip in a later one.
    fn two_words(&self, here: Here<'_>) -> Option<Finding> {
        let phrases: [(&[&str], &str); 4] = [
            (&["at", "least"], "at least"),
            (&["at", "most"], "at most"),
            (&["all", "the", "same", "across"], "all the same across"),
            (&["common", "practice"], "common practice"),
        ];
        // pest stops at the first word of a phrase, or behind it where that word is also a name.
        for begin in [Some(here.index), here.index.checked_sub(1)].into_iter().flatten() {
            for (phrase, whole) in phrases {
                let wrong = phrase.iter().enumerate().find(|(step, word)| self.text(begin + step) != **word);
                let Some((step, word)) = wrong.filter(|(step, _)| *step > 0) else { continue };
                let index = begin + step;
                let Some(token) = self.tokens.get(index).filter(|token| !token.first) else { continue };
                if nearest(self.text(index), [*word]).is_some() {
                    let message = wording::word_unknown(self.text(index));
                    return Some(self.at(Code::WordUnexpected, message, token.span).help(wording::did_you_mean(whole)));
                }
            }
        }
        None
    }

    /// A word close to one that could stand here.
    fn misspelt(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token.filter(|token| token.shape == Shape::Word && !token.first)?;
        let literals = self.failure.expected.iter().filter_map(|rule| wording::literal(*rule));
        let words: Vec<&str> =
            literals.filter(|literal| literal.starts_with(|letter: char| letter.is_alphabetic())).collect();
        let first = |literal: &&'static str| literal.split(' ').next().unwrap_or(literal);
        let close = nearest(here.text, words.iter().map(|literal| literal.split(' ').next().unwrap_or(literal)))?;
        let meant = words.iter().find(|literal| first(literal) == close)?;
        let message = self.sentence(Some(here.text), self.before(here).map(|(_, text)| text));
        (*meant != here.text)
            .then(|| self.at(Code::WordUnexpected, message, token.span).help(wording::did_you_mean(meant)))
    }

    /// A row that ends before it says anything.
    fn row_without_range(&self, here: Here<'_>) -> Option<Finding> {
        let ends = here.token.is_none_or(|token| token.first || token.shape == Shape::Mark('}'));
        if !ends || !self.expects(Rule::standard_word) || !self.expects(Rule::all_the_same) {
            return None;
        }
        let (path, name) = self.before(here)?;
        Some(
            self.at(Code::RowWithoutRange, wording::row_without_range(name), path.span)
                .help(wording::row_without_range_help()),
        )
    }

    /// `outer limit` after another range, or with no path before it.
    fn outer_alone(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token.filter(|_| here.text == "outer" && self.text(here.index + 1) == "limit")?;
        Some(self.at(Code::WordUnexpected, wording::outer_alone(), token.span).help(wording::outer_alone_help()))
    }

    /// A clause of a row that stands too late or twice.
    fn clause_order(&self, here: Here<'_>) -> Option<Finding> {
        const ORDER: [&str; 6] = ["standard", "limit", "rounded", "advisory", "never", "where"];
        let token = here.token.filter(|token| !token.first || self.context == Context::Generation)?;
        let own = ORDER.iter().position(|word| *word == here.text)?;
        for index in self.start..here.index {
            let text = self.text(index);
            if text == here.text {
                let finding = self.at(Code::WordUnexpected, wording::said_twice(text), token.span);
                let first = self.tokens.get(index).map_or(token.span, |token| token.span);
                return Some(finding.since(self.source.place(first), wording::LABEL_ONCE));
            }
            if ORDER.iter().position(|word| *word == text).is_some_and(|other| other > own) {
                let message = wording::clause_late(here.text, text);
                return Some(self.at(Code::WordUnexpected, message, token.span).help(wording::clause_order_help()));
            }
        }
        None
    }

    /// A name with letters no name may have.
    fn name_letters(&self, here: Here<'_>) -> Option<Finding> {
        let token = here.token.filter(|token| token.shape == Shape::Word)?;
        let names = [Rule::new_name, Rule::name, Rule::segment];
        let inside = self.failure.at > token.span.start as usize;
        let wanted = names.iter().any(|rule| self.expects(*rule));
        let help = match self.text(self.start) {
            "unit" => wording::unit_quoted(here.text),
            _ => wording::name_letters_help(),
        };
        (!here.text.is_ascii() && (inside || wanted))
            .then(|| self.at(Code::TextUnexpected, wording::name_letters(here.text), token.span).help(help))
    }

    // ---- the plain sentence

    pub(super) fn sentence(&self, found: Option<&str>, before: Option<&str>) -> String {
        wording::expected(&self.failure.expected, before, found)
    }

    /// What could have stood here, after what, and what stands here instead.
    fn plain(&self, here: Here<'_>) -> Finding {
        let before = self.before(here);
        let value = [Rule::number, Rule::sum, Rule::factor, Rule::minus, Rule::segment, Rule::name, Rule::range];
        let empty = matches!(here.text, "{" | "}") && value.into_iter().any(|rule| self.expects(rule));
        let gone = empty || here.token.is_none_or(|token| token.first && here.index != self.start);
        let finding = match (here.token, before) {
            // The line ends too early: its last word is underlined, not the next line's first.
            (_, Some((token, text))) if gone => {
                let whole = self.expects(Rule::to_word).then(|| self.value_start(here)).flatten();
                let span = whole.map_or(token.span, |begin| begin.span.to(token.span));
                self.at(Code::TextUnexpected, self.sentence(None, Some(text)), span)
            }
            (Some(token), before) => {
                self.at(Code::TextUnexpected, self.sentence(Some(here.text), before.map(|(_, text)| text)), token.span)
            }
            (None, _) => {
                let last = self.tokens.list.last().map_or(Span::default(), |token| token.span);
                self.at(Code::TextUnexpected, self.sentence(None, None), last)
            }
        };
        let help = self.figure_help(here, gone).or_else(|| if gone { None } else { self.habit_help(here) });
        let finding = finding.maybe_help(help.or_else(|| self.help(here, gone)));
        match self.unclosed(here) {
            Some(open) if self.expects(Rule::close_paren) => {
                finding.since(self.source.place(open), wording::LABEL_OPENED)
            }
            _ => finding,
        }
    }

    fn help(&self, here: Here<'_>, gone: bool) -> Option<String> {
        let before = self.before(here).map_or("", |(_, text)| text);
        if self.expects(Rule::to_word)
            && let Some(fit) = [here.text, before].into_iter().find(|text| looks_like_a_fit(text))
        {
            return Some(wording::fit_help(fit));
        }
        if self.expects(Rule::to_word)
            && let Some(help) = self.range_help(here)
        {
            return Some(help);
        }
        if here.text == "=" && self.expects(Rule::and_word) {
            return Some(wording::equals_help());
        }
        if here.text == "=" && self.expects(Rule::colon) {
            return Some(wording::write_instead(":", "="));
        }
        if here.text == ":" && self.expects(Rule::equals) {
            return Some(wording::write_instead("=", ":"));
        }
        let opens = self.text(self.start);
        if self.expects(Rule::words) && matches!(opens, "generation" | "basis") {
            return Some(wording::generation_help(opens));
        }
        if self.expects(Rule::words) && here.token.is_some_and(|token| token.shape == Shape::Word) {
            let more = self.tokens.get(here.index + 1).is_some_and(|next| !next.first);
            return (!gone).then(|| wording::quote_it(here.text, more));
        }
        if self.expects(Rule::close_paren) {
            return Some(wording::close_paren_help());
        }
        // Where one sign is all that can stand between two words, it was forgotten.
        if !before.is_empty() && !gone {
            let signs = [(Rule::equals, "="), (Rule::colon, ":"), (Rule::at_word, "at")];
            // After a number a ':' makes a ratio; nothing says that one was meant.
            let number = self.before(here).is_some_and(|(token, _)| token.shape == Shape::Number);
            let found = signs.into_iter().find(|(rule, _)| self.expects(*rule) && !(number && *rule == Rule::colon));
            if let Some((_, sign)) = found {
                return Some(wording::between_help(sign, before, here.text));
            }
        }
        if self.expects(Rule::limit_word) && matches!(here.text, "at" | "above" | "below" | "exactly" | "not") {
            return Some(wording::tier_help());
        }
        if matches!(
            before,
            "+" | "-"
                | "*"
                | "/"
                | "of"
                | "("
                | "="
                | "and"
                | "or"
                | "to"
                | "least"
                | "most"
                | "above"
                | "below"
                | "exactly"
        ) {
            return Some(wording::value_help(before));
        }
        if self.text(here.index.saturating_sub(1)) == "limit" || self.text(here.index.saturating_sub(1)) == "standard" {
            return Some(wording::a_range_help());
        }
        let listed =
            here.text != "at" && here.token.is_some_and(|token| matches!(token.shape, Shape::Word | Shape::Number));
        if self.expects(Rule::comma) && !gone && listed {
            return Some(wording::comma_help(before, here.text));
        }
        if self.expects(Rule::edition_word) || (self.expects(Rule::rulebook_word) && here.index == 0) {
            return Some(wording::header_help());
        }
        None
    }

    /// The token the value before this place begins with.
    fn value_first(&self, here: Here<'_>) -> usize {
        let stops = |index: &usize| matches!(self.text(*index), "standard" | "limit" | "is" | "not" | "where");
        let within = (self.start..here.index).rev().take(40);
        within.take_while(|index| !stops(index)).last().unwrap_or(here.index)
    }

    fn value_start(&self, here: Here<'_>) -> Option<Token> {
        self.tokens.get(self.value_first(here)).filter(|_| self.context == Context::Generation)
    }

    /// What to write where a range has only one end.
    fn range_help(&self, here: Here<'_>) -> Option<String> {
        let first = self.value_first(here);
        let (begin, end) = (self.tokens.get(first)?, self.tokens.get(here.index.checked_sub(1)?)?);
        let written = self.source.slice(begin.span.to(end.span));
        let marks = |index: usize, mark: char| self.tokens.is_mark(index, mark);
        for index in first..here.index {
            if marks(index, '+') && marks(index + 1, '-') {
                return Some(wording::plus_minus_help());
            }
            if marks(index, '-') && index > first {
                let (low, high) = (self.tokens.get(index - 1)?, self.tokens.get(index + 1)?);
                let low = self.source.slice(begin.span.to(low.span));
                let high = self.source.slice(high.span.to(end.span));
                return Some(wording::write(&format!("{low} to {high}")));
            }
        }
        (first < here.index && !written.contains('\n')).then(|| wording::range_help(written))
    }

    /// The last parenthesis of the line that is not closed.
    fn unclosed(&self, here: Here<'_>) -> Option<Span> {
        let mut open = Vec::new();
        for index in self.start..here.index {
            if self.tokens.is_mark(index, '(') {
                open.push(index);
            } else if self.tokens.is_mark(index, ')') {
                open.pop();
            }
        }
        open.last().and_then(|index| self.tokens.get(*index)).map(|token| token.span)
    }
}

/// Whether a word is written as a fit is: one or two letters and a grade of one or two digits.
fn looks_like_a_fit(word: &str) -> bool {
    let letters = word.bytes().take_while(u8::is_ascii_alphabetic).count();
    let digits = word.bytes().skip(letters).take_while(u8::is_ascii_digit).count();
    // `mm2` and `m3` are units; no shop works to grades that fine.
    let unit = digits == 1 && word.ends_with(['2', '3']);
    (1..=2).contains(&letters) && (1..=2).contains(&digits) && letters + digits == word.len() && !unit
}
