//! A book cut into tokens, coarsely: enough to find the next declaration after a mistake, to match braces, and to say
//! what stands at a place. Refuses to know the grammar.

use super::words;
use crate::text::Span;

/// What a token looks like.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Shape {
    /// Letters, digits, `_` and dots beginning with a letter, `°` or `%`: a word, a path or a unit.
    Word,
    /// Begins with a digit or with `.` and a digit; letters and dots that touch it included.
    Number,
    /// Words between quotation marks.
    Words,
    /// A quotation mark whose line ends before it is closed.
    WordsOpen,
    /// One character of punctuation the language uses.
    Mark(char),
    /// One character, or a run of letters of no use here, that the language has no use for.
    Odd(char),
}

/// One token.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Token {
    /// What it looks like.
    pub(super) shape: Shape,
    /// Where it is.
    pub(super) span: Span,
    /// Whether it is the first on its line.
    pub(super) first: bool,
    /// The characters between the line's beginning and this token, if it is the first.
    pub(super) indent: u32,
    /// For a brace: the index of the one that belongs to it.
    pub(super) partner: Option<u32>,
}

/// The tokens of a book, and what their brackets look like.
pub(super) struct Tokens {
    /// In order.
    pub(super) list: Vec<Token>,
    /// Whether some `{` has no `}`.
    pub(super) brace_open: bool,
    /// Whether some line is longer than any person writes.
    pub(super) endless: bool,
    /// The first bracket nested deeper than a book may nest, if there is one.
    pub(super) too_deep: Option<Span>,
}

/// How deep `(` and `{` together may nest.
pub(super) const MOST_NESTING: usize = 64;

/// How long a line may be in a book whose every mistake is looked for.
const LONGEST_LINE: usize = 16 * 1024;

/// Cuts the text into tokens. A byte order mark at the start is passed over.
pub(super) fn scan(text: &str) -> Tokens {
    let mut scanner = Scanner { text, at: 0, list: Vec::new(), first: true, line_start: 0 };
    if text.starts_with('\u{feff}') {
        scanner.at = '\u{feff}'.len_utf8();
        scanner.line_start = scanner.at;
    }
    while scanner.step() {}
    let mut tokens = Tokens { list: scanner.list, brace_open: false, endless: false, too_deep: None };
    tokens.endless = text.split('\n').any(|line| line.len() > LONGEST_LINE);
    tokens.match_brackets(|span| words::begins_declaration(text.get(span.range()).unwrap_or("")));
    tokens
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
    list: Vec<Token>,
    first: bool,
    line_start: usize,
}

impl Scanner<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn step(&mut self) -> bool {
        let rest = self.rest();
        let mut letters = rest.chars();
        let Some(letter) = letters.next() else { return false };
        let next = letters.next();
        match letter {
            '\n' | '\r' => {
                self.at += 1;
                self.first = true;
                self.line_start = self.at;
            }
            ' ' | '\t' => self.at += 1,
            '#' => self.at += rest.find(['\n', '\r']).unwrap_or(rest.len()),
            '"' => self.words(),
            '0'..='9' => self.run(Shape::Number, is_number_letter),
            '.' if next.is_some_and(|digit| digit.is_ascii_digit()) => self.run(Shape::Number, is_number_letter),
            letter if is_word_start(letter) => self.run(Shape::Word, is_word_letter),
            '{' | '}' | '(' | ')' | ',' | ':' | '=' | '^' | '-' | '+' | '*' | '/' | '±' | '·' => {
                self.push(Shape::Mark(letter), letter.len_utf8());
            }
            // Words between typographic marks are one token, so that no word in them is taken for the language's.
            '“' | '”' | '„' | '‟' | '«' | '‘' | '’' => {
                let line = rest.get(..rest.find(['\n', '\r']).unwrap_or(rest.len())).unwrap_or(rest);
                let closed =
                    line.char_indices().skip(1).find(|(_, letter)| matches!(letter, '”' | '“' | '»' | '’' | '"'));
                let length = closed.map_or(letter.len_utf8(), |(offset, closer)| offset + closer.len_utf8());
                self.push(Shape::Odd(letter), length);
            }
            // Full-width digits and other letters the language has no use for go together: one finding, not one each.
            letter if letter.is_alphanumeric() => self.run(Shape::Odd(letter), char::is_alphanumeric),
            letter => self.push(Shape::Odd(letter), letter.len_utf8()),
        }
        true
    }

    fn run(&mut self, shape: Shape, belongs: impl Fn(char) -> bool) {
        let rest = self.rest();
        let length = rest.find(|letter| !belongs(letter)).unwrap_or(rest.len());
        // A dot that ends a word ends a sentence, not a path.
        let length =
            if shape == Shape::Word { rest.get(..length).unwrap_or("").trim_end_matches('.').len() } else { length };
        self.push(shape, length.max(1));
    }

    fn words(&mut self) {
        let rest = self.rest();
        let mut escaped = false;
        for (offset, letter) in rest.char_indices().skip(1) {
            match letter {
                '\n' | '\r' => return self.words_open(offset),
                _ if escaped => escaped = false,
                '\\' => escaped = true,
                '"' => return self.push(Shape::Words, offset + 1),
                _ => {}
            }
        }
        self.words_open(rest.len());
    }

    /// Braces at the end of the line close what they would have closed had the quotation mark not been forgotten.
    fn words_open(&mut self, length: usize) {
        let line = self.rest().get(..length).unwrap_or("");
        let kept = line.trim_end_matches([' ', '\t', '}']).len();
        self.push(Shape::WordsOpen, kept.max(1));
    }

    fn push(&mut self, shape: Shape, length: usize) {
        let span = Span::new(self.at, self.at + length);
        let indent = u32::try_from(self.at - self.line_start).unwrap_or(u32::MAX);
        self.list.push(Token { shape, span, first: self.first, indent, partner: None });
        self.first = false;
        self.at += length;
    }
}

/// Letters a unit or name begins with. Full-width forms look like ASCII letters and are none.
fn is_word_start(letter: char) -> bool {
    (letter.is_alphabetic() && !is_full_width(letter)) || matches!(letter, '°' | '%')
}

fn is_word_letter(letter: char) -> bool {
    is_word_start(letter) || letter.is_ascii_digit() || matches!(letter, '_' | '.')
}

fn is_number_letter(letter: char) -> bool {
    is_word_letter(letter)
}

/// The full-width forms of ASCII, as an input method for East Asian scripts types them.
pub(super) fn is_full_width(letter: char) -> bool {
    ('\u{ff01}'..='\u{ff5e}').contains(&letter)
}

impl Tokens {
    /// The token at an index.
    pub(super) fn get(&self, index: usize) -> Option<Token> {
        self.list.get(index).copied()
    }

    /// The shape of the token at an index.
    pub(super) fn shape(&self, index: usize) -> Option<Shape> {
        self.list.get(index).map(|token| token.shape)
    }

    /// Whether this mark stands at an index.
    pub(super) fn is_mark(&self, index: usize, mark: char) -> bool {
        self.shape(index) == Some(Shape::Mark(mark))
    }

    /// The first token at or after `from` that ends after a byte offset.
    pub(super) fn after(&self, from: usize, offset: usize) -> usize {
        let rest = self.list.get(from..).unwrap_or(&[]);
        from + rest.partition_point(|token| token.span.end as usize <= offset)
    }

    fn match_brackets(&mut self, begins: impl Fn(Span) -> bool) {
        let mut open: Vec<usize> = Vec::new();
        let mut depth = 0_usize;
        for index in 0..self.list.len() {
            match self.shape(index) {
                Some(Shape::Mark('{')) => {
                    open.push(index);
                    depth += 1;
                }
                Some(Shape::Mark('}')) => {
                    if let Some(opener) = open.pop() {
                        self.pair(opener, index);
                    }
                    // Parentheses do not reach across braces.
                    depth = open.len();
                }
                Some(Shape::Mark('(')) => depth += 1,
                Some(Shape::Mark(')')) => depth = depth.saturating_sub(1).max(open.len()),
                // No value reaches across a word that begins a declaration, so an unclosed parenthesis ends there.
                Some(Shape::Word) if self.get(index).is_some_and(|token| begins(token.span)) => depth = open.len(),
                _ => {}
            }
            if depth > MOST_NESTING && self.too_deep.is_none() {
                self.too_deep = self.get(index).map(|token| token.span);
            }
        }
        self.brace_open = !open.is_empty();
    }

    fn pair(&mut self, opener: usize, closer: usize) {
        if let Some(token) = self.list.get_mut(opener) {
            token.partner = u32::try_from(closer).ok();
        }
        if let Some(token) = self.list.get_mut(closer) {
            token.partner = u32::try_from(opener).ok();
        }
    }
}
