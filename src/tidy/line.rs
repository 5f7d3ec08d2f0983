//! Pieces broken into lines, one member a line. Refuses to know of columns.

use super::column::Kind;
use super::token::{Shape, Token};
use std::collections::BTreeSet;

/// Columns a row with several sentences may take before they get lines of their own.
const WIDEST: usize = 120;

const INDENT: usize = 4;

/// One line.
#[derive(Debug)]
pub(super) struct Line<'a> {
    /// How many braces it stands in.
    pub(super) depth: usize,
    /// Whether a blank line stands before it.
    pub(super) apart: bool,
    /// Whether it goes on with the member of the line before.
    pub(super) goes_on: bool,
    /// Its pieces without comments.
    pub(super) pieces: Vec<&'a Token>,
    /// What `column` makes of it: text in columns.
    pub(super) kind: Kind,
    /// Its text, once it is set.
    pub(super) text: String,
    /// The comment that ends it, or is all there is.
    pub(super) comment: Option<&'a str>,
    /// The column of that comment.
    pub(super) comment_at: usize,
}

impl Line<'_> {
    /// Blanks before its text.
    pub(super) fn indent(&self) -> usize {
        INDENT * (self.depth + usize::from(self.goes_on))
    }
}

/// Pieces on one line as text.
pub(super) fn joined(pieces: &[&Token]) -> String {
    let mut text = String::new();
    for (place, piece) in pieces.iter().enumerate() {
        if place > 0 && !piece.tight {
            text.push(' ');
        }
        text.push_str(&piece.text);
    }
    text
}

/// What a pair of braces holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Block {
    /// Nothing.
    Empty,
    /// Members, a line each.
    Members,
    /// Sentences that were written on several lines.
    Sentences,
    /// Sentences that were written on one, and as many.
    OneLine(usize),
}

/// Breaks a book into lines.
pub(super) fn lines<'a>(tokens: &'a [Token], starts: &BTreeSet<usize>) -> Vec<Line<'a>> {
    let mut breaker = Breaker {
        tokens,
        starts,
        closers: closers(tokens),
        blocks: Vec::new(),
        lines: Vec::new(),
        member: 0,
        forced: true,
        opened: true,
        one_line_until: None,
    };
    for place in 0..tokens.len() {
        breaker.take(place);
    }
    breaker.lines
}

/// For every opening brace its closing one.
fn closers(tokens: &[Token]) -> Vec<Option<usize>> {
    let mut closers = vec![None; tokens.len()];
    let mut open = Vec::new();
    for (place, token) in tokens.iter().enumerate() {
        if token.is('{') {
            open.push(place);
        } else if token.is('}')
            && let Some(opener) = open.pop()
            && let Some(closer) = closers.get_mut(opener)
        {
            *closer = Some(place);
        }
    }
    closers
}

/// Whether a token begins a sentence, given the one before it: `from` after `standard` or `limit` goes on.
fn begins_sentence(before: Option<&Token>, token: &Token) -> bool {
    let of_tier = |token: &Token| token.says("standard") || token.says("limit");
    let begins = ["because", "remedy", "caution", "measure", "from"].iter().any(|word| token.says(word));
    of_tier(token) || begins && !(token.says("from") && before.is_some_and(of_tier))
}

struct Breaker<'a, 'b> {
    tokens: &'a [Token],
    starts: &'b BTreeSet<usize>,
    closers: Vec<Option<usize>>,
    /// The braces around.
    blocks: Vec<Block>,
    lines: Vec<Line<'a>>,
    /// The line the member began on.
    member: usize,
    /// Whether whatever comes next begins a line.
    forced: bool,
    /// Whether nothing has come since a brace was opened.
    opened: bool,
    /// The brace that ends a block on one line.
    one_line_until: Option<usize>,
}

impl<'a> Breaker<'a, '_> {
    fn take(&mut self, place: usize) {
        let Some(token) = self.tokens.get(place) else { return };
        if token.shape == Shape::Comment {
            return self.comment(place, token);
        }
        if let Some(closer) = self.one_line_until {
            self.push(token);
            if place == closer {
                self.one_line_until = None;
                self.forced = true;
            }
            return;
        }
        match token.shape {
            Shape::Mark('{') => self.open(place, token),
            Shape::Mark('}') => self.close(token),
            _ if self.begins_member(token) => self.begin(token),
            _ if self.forced || token.breaks > 0 && !token.is(',') && !token.is(')') => self.go_on(token),
            _ => self.push(token),
        }
    }

    fn begins_member(&self, token: &Token) -> bool {
        match self.blocks.last() {
            Some(Block::Sentences | Block::OneLine(_)) => {
                let here = self.tokens.partition_point(|other| other.start < token.start);
                let before =
                    self.tokens.get(..here).and_then(|all| all.iter().rfind(|other| other.shape != Shape::Comment));
                begins_sentence(before, token)
            }
            _ => self.starts.contains(&token.start),
        }
    }

    fn line(&mut self, token: &'a Token, depth: usize, goes_on: bool) {
        let apart = token.breaks > 1 && !self.opened && !goes_on && !token.is('}');
        let (pieces, kind) = (Vec::new(), Kind::Other);
        let (text, comment, comment_at) = (String::new(), None, 0);
        self.lines.push(Line { depth, apart, goes_on, pieces, kind, text, comment, comment_at });
    }

    fn push(&mut self, token: &'a Token) {
        if let Some(line) = self.lines.last_mut() {
            line.pieces.push(token);
        }
        self.forced = false;
        self.opened = false;
    }

    fn begin(&mut self, token: &'a Token) {
        self.line(token, self.blocks.len(), false);
        self.member = self.lines.len() - 1;
        self.push(token);
        // The kind depends on where the member stands, so it is said while that is known.
        let within = self.blocks.last().map(|block| matches!(block, Block::Sentences | Block::OneLine(_)));
        if let Some(line) = self.lines.last_mut() {
            line.kind = if within == Some(true) { Kind::Sentence } else { Kind::Member };
        }
    }

    fn go_on(&mut self, token: &'a Token) {
        self.line(token, self.blocks.len(), true);
        // What was broken over lines by hand stands in no columns.
        if let Some(first) = self.lines.get_mut(self.member) {
            first.kind = Kind::Other;
        }
        self.push(token);
    }

    fn open(&mut self, place: usize, token: &'a Token) {
        if self.forced {
            self.go_on(token);
        } else {
            self.push(token);
        }
        match self.block(place) {
            Block::Empty => self.one_line_until = self.closer(place),
            Block::OneLine(_) => self.one_line_until = self.closer(place),
            block => {
                self.blocks.push(block);
                self.forced = true;
                self.opened = true;
            }
        }
    }

    fn close(&mut self, token: &'a Token) {
        self.blocks.pop();
        self.line(token, self.blocks.len(), false);
        if let Some(line) = self.lines.last_mut() {
            line.kind = Kind::Close;
        }
        self.push(token);
        self.forced = true;
    }

    fn closer(&self, opener: usize) -> Option<usize> {
        self.closers.get(opener).copied().flatten()
    }

    fn block(&self, opener: usize) -> Block {
        let Some(closer) = self.closer(opener) else { return Block::Members };
        let inside = self.tokens.get(opener + 1..closer).unwrap_or(&[]);
        let code: Vec<&Token> = inside.iter().filter(|token| token.shape != Shape::Comment).collect();
        let Some(first) = code.first() else {
            return if inside.is_empty() { Block::Empty } else { Block::Members };
        };
        // A part may begin with how it is measured.
        let part = self.lines.last().and_then(|line| line.pieces.first()).is_some_and(|piece| piece.says("part"));
        if part || !begins_sentence(None, first) {
            return Block::Members;
        }
        let broken = self.tokens.get(opener + 1..=closer).is_none_or(|all| all.iter().any(|token| token.breaks > 0));
        if broken || code.len() < inside.len() {
            return Block::Sentences;
        }
        let sentences = code.iter().enumerate().filter(|(at, token)| {
            let before = at.checked_sub(1).and_then(|before| code.get(before).copied());
            begins_sentence(before, token)
        });
        let sentences = sentences.count();
        let head = self.lines.last().map_or(0, |line| line.indent() + joined(&line.pieces).chars().count());
        let width = head + joined(&code).chars().count() + " ".len() + " }".len();
        // One sentence reads best on the line of its row, however long it is.
        if sentences == 1 || width <= WIDEST { Block::OneLine(sentences) } else { Block::Sentences }
    }

    fn comment(&mut self, place: usize, token: &'a Token) {
        let alone = token.breaks > 0 || self.lines.is_empty();
        let text = Some(token.text.as_str());
        if !alone && let Some(line) = self.lines.last_mut() {
            line.comment = text;
            self.forced = true;
            return;
        }
        let next = self.tokens.get(place..).unwrap_or(&[]).iter().find(|token| token.shape != Shape::Comment);
        let inside = !self.opened
            && next.is_some_and(|next| !next.is('}') && !self.begins_member(next))
            && !self.lines.is_empty();
        self.line(token, self.blocks.len(), inside);
        if inside && let Some(first) = self.lines.get_mut(self.member) {
            first.kind = Kind::Other;
        }
        if let Some(line) = self.lines.last_mut() {
            line.comment = text;
            line.kind = Kind::Comment;
        }
        self.forced = true;
        self.opened = false;
    }
}

/// The lines as text.
pub(super) fn write(lines: &[Line<'_>]) -> String {
    let mut out = String::new();
    for line in lines {
        if line.apart {
            out.push('\n');
        }
        let mut text = " ".repeat(line.indent()) + &line.text;
        if let Some(comment) = line.comment {
            let width = text.chars().count();
            text.push_str(&" ".repeat(line.comment_at.saturating_sub(width)));
            text.push_str(comment);
        }
        out.push_str(text.trim_end());
        out.push('\n');
    }
    out
}
