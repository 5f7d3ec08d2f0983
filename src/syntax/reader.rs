//! Reads a book one declaration or member at a time, so that a mistake costs only what it stands in. Refuses to know
//! what is wrong with what it cannot read: that is `blame`'s to say.

use pest::Parser;
use pest::error::{ErrorVariant, InputLocation};

use super::blame::Blame;
use super::declaration::Text;
use super::expression::{Lower, end_of};
use super::grammar::{Grammar, Rule};
use super::scan::{Shape, Token, Tokens};
use super::tree::{
    From, GenerationDeclaration, GenerationMember, Header, Item, PartDeclaration, PartMember, Texts, Tree, Words,
};
use super::{wording, words};
use crate::finding::{Code, Finding};
use crate::text::{Source, Span};

/// Where in a book a line stands, which decides what may stand there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Context {
    /// At the top.
    Top,
    /// Inside a part.
    Part,
    /// Inside a generation.
    Generation,
    /// Between the braces after a row, a reading, a derivation or a constant.
    Texts,
}

/// A block whose closing brace is still to come.
struct Frame {
    kind: FrameKind,
    /// The token its head begins with.
    head: usize,
    /// Its opening brace.
    opener: usize,
}

enum FrameKind {
    Part(PartDeclaration),
    Generation(GenerationDeclaration),
    /// Its head could not be read: what is inside is read for its mistakes and goes nowhere.
    Lost(Context),
}

/// What pest says of a line it could not read.
pub(super) struct Failure {
    /// The byte where it could go no further.
    pub(super) at: usize,
    /// What could have stood there.
    pub(super) expected: Vec<Rule>,
}

/// What one line turned out to be.
enum Line {
    Item(Item),
    Head(FrameKind),
    Header(Option<Header>),
    Member(PartMember),
    Row(GenerationMember),
    Text(Text),
}

/// Reads one book.
pub(super) struct Reader<'a> {
    source: &'a Source,
    text: &'a str,
    tokens: &'a Tokens,
    /// The token read next.
    at: usize,
    /// The token the line before began with, and what it stood in.
    before: Option<(usize, Context)>,
    frames: Vec<Frame>,
    /// An opening brace that the layout says is the one not closed.
    suspect: Option<usize>,
    header: Option<Header>,
    header_seen: bool,
    items: Vec<Item>,
    findings: Vec<Finding>,
}

impl<'a> Reader<'a> {
    /// A reader at the start of a book.
    pub(super) fn new(source: &'a Source, tokens: &'a Tokens) -> Reader<'a> {
        Reader {
            source,
            text: source.text(),
            tokens,
            at: 0,
            before: None,
            frames: Vec::new(),
            suspect: None,
            header: None,
            header_seen: false,
            items: Vec::new(),
            findings: Vec::new(),
        }
    }

    /// Reads it all.
    pub(super) fn read(mut self) -> (Tree, Vec<Finding>) {
        while let Some(token) = self.tokens.get(self.at) {
            if token.shape == Shape::Mark('}') {
                self.closing_brace(token);
            } else if !self.reaches_out(token) {
                self.line(self.context());
            }
        }
        self.close_all();
        if !self.header_seen {
            let span = self.tokens.get(0).map_or(Span::default(), |token| token.span);
            let finding = Finding::new(Code::HeaderMissing, wording::header_missing())
                .at(self.source.place(span), wording::LABEL_HEADER)
                .help(wording::header_help());
            self.findings.push(finding);
        }
        self.findings.sort_by_key(|finding| finding.place.as_ref().map(|(place, _)| place.span.start));
        (Tree { source: self.source.clone(), header: self.header, items: self.items }, self.findings)
    }

    fn context(&self) -> Context {
        match self.frames.last().map(|frame| &frame.kind) {
            None => Context::Top,
            Some(FrameKind::Part(_)) => Context::Part,
            Some(FrameKind::Generation(_)) => Context::Generation,
            Some(FrameKind::Lost(context)) => *context,
        }
    }

    fn word(&self, token: Token) -> &'a str {
        self.text.get(token.span.range()).unwrap_or("")
    }

    // ---- one line

    /// Reads one declaration or member, and the sentences after it.
    fn line(&mut self, context: Context) {
        let start = self.at;
        match self.parse(context) {
            Ok(line) => {
                self.before = Some((start, context));
                if let Some(line) = line {
                    self.keep(line, start);
                } else if self.tokens.is_mark(self.at, '{') && context != Context::Top {
                    // A member with a number too long or the like: its sentences are read and go nowhere.
                    self.texts(start);
                }
            }
            Err(failure) => self.junk(context, start, &failure),
        }
    }

    fn keep(&mut self, line: Line, start: usize) {
        match line {
            Line::Item(item) => self.items.push(item),
            Line::Header(header) => self.keep_header(header, start),
            Line::Head(kind) => self.frames.push(Frame { kind, head: start, opener: self.at.saturating_sub(1) }),
            Line::Member(mut member) => {
                let (texts, end) = self.texts_after(start);
                let (place, span) = match &mut member {
                    PartMember::Reading(reading) => (&mut reading.texts, &mut reading.span),
                    PartMember::Derive(derive) => (&mut derive.texts, &mut derive.span),
                    PartMember::Part(_) => return,
                };
                *place = texts;
                *span = end.map_or(*span, |end| span.to(end));
                if let Some(Frame { kind: FrameKind::Part(part), .. }) = self.frames.last_mut() {
                    part.members.push(member);
                }
            }
            Line::Row(mut member) => {
                let (texts, end) = match member {
                    GenerationMember::Fitted { .. } => (Texts::default(), None),
                    _ => self.texts_after(start),
                };
                match &mut member {
                    GenerationMember::Constant { texts: place, span, .. } => {
                        *place = texts;
                        *span = end.map_or(*span, |end| span.to(end));
                    }
                    GenerationMember::Row(row) => {
                        row.texts = texts;
                        row.span = end.map_or(row.span, |end| row.span.to(end));
                    }
                    GenerationMember::Fitted { .. } => {}
                }
                if let Some(Frame { kind: FrameKind::Generation(generation), .. }) = self.frames.last_mut() {
                    generation.members.push(member);
                }
            }
            Line::Text(_) => {}
        }
    }

    fn keep_header(&mut self, header: Option<Header>, start: usize) {
        let first = start == 0;
        if !first {
            let span = self.tokens.get(start).map_or(Span::default(), |token| token.span);
            let finding = Finding::new(Code::WordUnexpected, wording::header_late())
                .at(self.source.place(span), wording::LABEL_LATE)
                .help(wording::header_late_help());
            self.findings.push(finding);
        }
        if !self.header_seen {
            self.header = header;
        }
        self.header_seen = true;
    }

    /// Matches one line at the present token; the reader then stands behind it.
    fn parse(&mut self, context: Context) -> Result<Option<Line>, Failure> {
        let rule = match context {
            Context::Top => Rule::item,
            Context::Part => Rule::part_line,
            Context::Generation => Rule::generation_line,
            Context::Texts => Rule::text_line,
        };
        let Some(token) = self.tokens.get(self.at) else { return Ok(None) };
        let base = token.span.start as usize;
        let mut pairs = self.matched(rule, base, self.text.len())?;
        let Some(pair) = pairs.next() else { return Ok(None) };
        let end = base + end_of(&pair);
        let next = self.tokens.after(self.at, end);
        if let Some(token) = self.tokens.get(next)
            && (token.span.start as usize) < end
        {
            // pest saw the end of a number or name where more of it stands, such as the second point of 2..3.
            return Err(self.after(self.at, context, next).unwrap_or(Failure { at: end, expected: Vec::new() }));
        }
        let mut lower = Lower { source: self.source, base, findings: Vec::new() };
        let line = match pair.as_rule() {
            Rule::header => Some(Line::Header(lower.header(&pair))),
            Rule::use_file => lower.use_file(&pair).map(|it| Line::Item(Item::Use(it))),
            Rule::unit => lower.unit(&pair).map(|it| Line::Item(Item::Unit(it))),
            Rule::set => lower.set(&pair).map(|it| Line::Item(Item::Set(it))),
            Rule::constant => lower.constant(&pair).map(|it| Line::Item(Item::Constant(it))),
            Rule::formula => lower.formula(&pair).map(|it| Line::Item(Item::Formula(it))),
            Rule::source => lower.source_named(&pair).map(|it| Line::Item(Item::Source(it))),
            Rule::extend => lower.extend(&pair).map(|it| Line::Item(Item::Extend(it))),
            Rule::part_head => {
                let head = lower.part_head(&pair).map(FrameKind::Part);
                Some(Line::Head(head.unwrap_or(FrameKind::Lost(Context::Part))))
            }
            Rule::generation_head => {
                let head = lower.generation_head(&pair).map(FrameKind::Generation);
                Some(Line::Head(head.unwrap_or(FrameKind::Lost(Context::Generation))))
            }
            Rule::derive => lower.derive(&pair).map(|it| Line::Member(PartMember::Derive(it))),
            Rule::reading => lower.reading(&pair).map(|it| Line::Member(PartMember::Reading(it))),
            Rule::given | Rule::fitted | Rule::row => lower.generation_member(&pair).map(Line::Row),
            _ => lower.text(&pair).map(Line::Text),
        };
        self.findings.append(&mut lower.findings);
        self.at = next;
        Ok(line)
    }

    fn matched(&self, rule: Rule, base: usize, end: usize) -> Result<pest::iterators::Pairs<'a, Rule>, Failure> {
        let text: &'a str = self.text.get(base..end).unwrap_or("");
        Grammar::parse(rule, text).map_err(|error| {
            let at = match error.location {
                InputLocation::Pos(at) | InputLocation::Span((at, _)) => base + at,
            };
            let expected = match error.variant {
                ErrorVariant::ParsingError { positives, .. } => positives,
                ErrorVariant::CustomError { .. } => Vec::new(),
            };
            Failure { at, expected }
        })
    }

    /// What could have stood at token `found` had the line that begins at `start` gone on there.
    fn after(&self, start: usize, context: Context, found: usize) -> Option<Failure> {
        let rule = match context {
            Context::Top => Rule::only_item,
            Context::Part => Rule::only_part_line,
            Context::Generation => Rule::only_generation_line,
            Context::Texts => Rule::only_text_line,
        };
        let (start, found) = (self.tokens.get(start)?, self.tokens.get(found)?);
        let failure = self.matched(rule, start.span.start as usize, found.span.end as usize).err()?;
        (failure.at >= found.span.start as usize).then_some(failure)
    }

    // ---- sentences

    fn texts_after(&mut self, start: usize) -> (Texts, Option<Span>) {
        if self.tokens.is_mark(self.at, '{') { self.texts(start) } else { (Texts::default(), None) }
    }

    /// Reads `{ because … }`; the reader stands at the opening brace, the member began at token `start`.
    fn texts(&mut self, start: usize) -> (Texts, Option<Span>) {
        let opener = self.at;
        self.at += 1;
        let mut texts = Texts::default();
        while let Some(token) = self.tokens.get(self.at) {
            if token.shape == Shape::Mark('}') {
                self.weigh_layout(start, opener, token);
                self.at += 1;
                return (texts, Some(token.span));
            }
            let goes_on = words::TEXTS.contains(&self.word(token));
            if !goes_on && token.first && self.tokens.brace_open && self.begins_line(self.at, Context::Generation) {
                // The next row or member: this block was never closed.
                self.brace_open(opener);
                return (texts, None);
            }
            match self.parse(Context::Texts) {
                Ok(Some(Line::Text(text))) => {
                    self.keep_text(&mut texts, text);
                    self.before = None;
                }
                Ok(_) => {}
                Err(failure) => self.junk(Context::Texts, self.at, &failure),
            }
        }
        self.brace_open(opener);
        (texts, None)
    }

    fn keep_text(&mut self, texts: &mut Texts, text: Text) {
        let said = match text {
            Text::Because(words) => keep_once(&mut texts.because, words),
            Text::Remedy(words) => keep_once(&mut texts.remedy, words),
            Text::Caution(words) => keep_once(&mut texts.caution, words),
            Text::From(from) => keep_once(&mut texts.from, from),
        };
        let Some((first, second)) = said else { return };
        let word = self.text.get(second.range()).unwrap_or("");
        let finding = Finding::new(Code::WordUnexpected, wording::said_twice(word))
            .at(self.source.place(second), wording::LABEL_TWICE)
            .since(self.source.place(first), wording::LABEL_ONCE);
        self.findings.push(finding);
    }

    // ---- braces

    fn closing_brace(&mut self, token: Token) {
        self.at += 1;
        self.before = None;
        let Some(frame) = self.frames.pop() else {
            let finding = Finding::new(Code::TextUnexpected, wording::brace_stray())
                .at(self.source.place(token.span), wording::LABEL_STRAY)
                .help(wording::brace_stray_help());
            self.findings.push(finding);
            return;
        };
        self.weigh_layout(frame.head, frame.opener, token);
        self.put_away(frame, token.span);
    }

    /// A brace that stands under the line of an outer block probably belongs to that one.
    fn weigh_layout(&mut self, head: usize, opener: usize, closer: Token) {
        let indent = |index: usize| self.tokens.get(index).filter(|token| token.first).map(|token| token.indent);
        let (Some(own), true) = (indent(head), closer.first) else { return };
        let outer = self.frames.iter().any(|frame| indent(frame.head) == Some(closer.indent));
        if own != closer.indent && outer && self.suspect.is_none() {
            self.suspect = Some(opener);
        }
    }

    fn put_away(&mut self, frame: Frame, end: Span) {
        match frame.kind {
            FrameKind::Part(mut part) => {
                part.span = part.span.to(end);
                match self.frames.last_mut() {
                    None => self.items.push(Item::Part(part)),
                    Some(Frame { kind: FrameKind::Part(outer), .. }) => outer.members.push(PartMember::Part(part)),
                    Some(_) => {}
                }
            }
            FrameKind::Generation(mut generation) => {
                generation.span = generation.span.to(end);
                self.items.push(Item::Generation(generation));
            }
            FrameKind::Lost(_) => {}
        }
    }

    fn brace_open(&mut self, opener: usize) {
        let opener = self.suspect.take().unwrap_or(opener);
        let Some(token) = self.tokens.get(opener) else { return };
        let finding = Finding::new(Code::BraceOpen, wording::brace_open())
            .at(self.source.place(token.span), wording::LABEL_OPENED)
            .help(wording::brace_open_help());
        self.findings.push(finding);
    }

    /// Closes every open block at the end of the book, or where a word stands that only stands at the top.
    fn close_all(&mut self) {
        if let Some(frame) = self.frames.last() {
            self.brace_open(frame.opener);
        }
        let last = self.at.checked_sub(1).and_then(|index| self.tokens.get(index));
        while let Some(frame) = self.frames.pop() {
            let end = last.map_or(Span::default(), |token| token.span);
            self.put_away(frame, end);
        }
        self.before = None;
    }

    /// Whether a line begins a declaration that only stands at the top while blocks are open and braces missing; then
    /// the blocks are closed.
    fn reaches_out(&mut self, token: Token) -> bool {
        let context = self.context();
        if context == Context::Top || !token.first || !self.tokens.brace_open {
            return false;
        }
        let word = self.word(token);
        let here: &[&str] = if context == Context::Part { &words::PART_MEMBERS } else { &words::GENERATION_MEMBERS };
        let top = words::ITEMS.contains(&word) || word == "part";
        if !top || here.contains(&word) {
            return false;
        }
        self.close_all();
        true
    }

    // ---- what cannot be read

    /// Says what is wrong at `start` and goes on to the next line that begins something.
    fn junk(&mut self, context: Context, start: usize, failure: &Failure) {
        let mut begun = start;
        let mut failure = Failure { at: failure.at, expected: failure.expected.clone() };
        // Something on the line of a member that could be read: the mistake is in how that member goes on.
        if let (Some(token), Some((before, within))) = (self.tokens.get(start), self.before)
            && !token.first
            && within == context
            && let Some(longer) = self.after(before, context, start)
        {
            begun = before;
            failure = longer;
        }
        let blame = Blame { source: self.source, tokens: self.tokens, context, start: begun, failure: &failure };
        self.findings.push(blame.finding());
        let first = self.tokens.get(start).map_or("", |token| self.word(token));
        if context == Context::Top && crate::finding::nearest(first, ["rulebook"]).is_some() {
            self.header_seen = true;
        }
        self.before = None;
        self.skip(context, start, failure.at);
    }

    /// Passes over what cannot be read, up to the next line that begins a declaration or member here.
    fn skip(&mut self, context: Context, start: usize, failed: usize) {
        let first = self.tokens.get(start).map_or("", |token| self.word(token));
        let block = block_of(first, context);
        let mut index = start;
        while let Some(token) = self.tokens.get(index) {
            let moved = index > start;
            match token.shape {
                Shape::Mark('}') => break,
                Shape::Mark('{') => {
                    if let Some(context) = block {
                        // The head of a block is lost; the mistakes inside it are still worth saying.
                        self.frames.push(Frame { kind: FrameKind::Lost(context), head: start, opener: index });
                        index += 1;
                        break;
                    }
                    // The sentences after a row are passed over with it.
                    index = token.partner.map_or(index, |partner| partner as usize) + 1;
                    continue;
                }
                _ if moved && self.stops(index, context, failed) => break,
                _ => index += 1,
            }
        }
        self.at = index.max(start + 1).min(self.tokens.list.len());
        if self.tokens.is_mark(start, '}') {
            self.at = start;
        }
    }

    fn stops(&self, index: usize, context: Context, failed: usize) -> bool {
        let Some(token) = self.tokens.get(index) else { return true };
        let word = self.word(token);
        match context {
            Context::Texts => words::TEXTS.contains(&word) || (token.first && self.begins_line(index, context)),
            _ => token.first && token.span.end as usize > failed && self.begins_line(index, context),
        }
    }

    /// Whether a line that begins with this token begins something of its own.
    fn begins_line(&self, index: usize, context: Context) -> bool {
        let Some(token) = self.tokens.get(index) else { return false };
        let word = self.word(token);
        if words::begins_declaration(word) || words::is_kept(word) {
            return true;
        }
        let hangs = index.checked_sub(1).and_then(|before| self.tokens.shape(before)).is_some_and(|shape| {
            matches!(shape, Shape::Mark(',' | ':' | '=' | '(' | '+' | '-' | '*' | '/' | '^' | '±'))
        });
        let text = context != Context::Texts && words::TEXTS.contains(&word);
        token.shape == Shape::Word && !hangs && !text && !words::goes_on(word)
    }
}

/// What kind of block a word opens, also one with a slip in it.
fn block_of(word: &str, context: Context) -> Option<Context> {
    match (crate::finding::nearest(word, ["part", "generation"])?, context) {
        (_, Context::Texts) => None,
        ("part", _) => Some(Context::Part),
        _ => Some(Context::Generation),
    }
}

/// Things with a place, to say where they were said first.
trait Placed {
    fn place(&self) -> Span;
}

impl Placed for Words {
    fn place(&self) -> Span {
        self.span
    }
}

impl Placed for From {
    fn place(&self) -> Span {
        self.span
    }
}

/// Keeps the first of several; gives the places of both where there was one already.
fn keep_once<T: Placed>(kept: &mut Option<T>, new: T) -> Option<(Span, Span)> {
    match kept {
        Some(first) => Some((first.place(), new.place())),
        None => {
            *kept = Some(new);
            None
        }
    }
}
