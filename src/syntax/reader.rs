//! Reads a book one declaration or member at a time, so that a mistake costs only what it stands in. Refuses to know
//! what is wrong with what it cannot read: that is `blame`'s to say.

use super::ask::{self, Failure};
use super::blame::Blame;
use super::blocks::{Frame, FrameKind};
use super::declaration::Text;
use super::expression::{Lower, end_of};
use super::grammar::Rule;
use super::scan::{Shape, Token, Tokens, is_full_width};
use super::tree::{
    FitsMember, GenerationMember, Header, HouseMember, Item, MeasureDeclaration, Overlay, PartMember, RangeLine, Tree,
    TryMember,
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
    /// Inside a house.
    House,
    /// Inside a house's `for`.
    Overlay,
    /// Inside a try.
    Try,
    /// Inside a table of fits.
    Fits,
    /// Between the braces after a row, a reading, a derivation or a constant.
    Texts,
}

/// What one line turned out to be.
#[allow(clippy::large_enum_variant, reason = "one exists at a time")]
pub(super) enum Line {
    Item(Item),
    Head(FrameKind),
    Header(Option<Header>),
    Member(PartMember),
    Measure(MeasureDeclaration),
    Row(GenerationMember),
    House(HouseMember),
    Overlay(Overlay),
    Narrow(RangeLine),
    Try(TryMember),
    Fits(FitsMember),
    Text(Text),
}

/// Reads one book.
pub(super) struct Reader<'a> {
    pub(super) source: &'a Source,
    pub(super) text: &'a str,
    pub(super) tokens: &'a Tokens,
    /// The token read next.
    pub(super) at: usize,
    /// The token the line before began with, and what it stood in.
    pub(super) before: Option<(usize, Context)>,
    pub(super) frames: Vec<Frame>,
    /// An opening brace that the layout says is the one not closed.
    pub(super) suspect: Option<usize>,
    pub(super) header: Option<Header>,
    pub(super) header_seen: bool,
    pub(super) items: Vec<Item>,
    pub(super) findings: Vec<Finding>,
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

    pub(super) fn context(&self) -> Context {
        match self.frames.last().map(|frame| &frame.kind) {
            None => Context::Top,
            Some(FrameKind::Part(_)) => Context::Part,
            Some(FrameKind::Generation(_)) => Context::Generation,
            Some(FrameKind::House(_)) => Context::House,
            Some(FrameKind::For(_)) => Context::Overlay,
            Some(FrameKind::Try(_)) => Context::Try,
            Some(FrameKind::Fits(_)) => Context::Fits,
            Some(FrameKind::Lost(context)) => *context,
        }
    }

    pub(super) fn word(&self, token: Token) -> &'a str {
        self.text.get(token.span.range()).unwrap_or("")
    }

    // ---- one line

    /// Reads one declaration or member, and the sentences after it.
    fn line(&mut self, context: Context) {
        let start = self.at;
        match self.parse(context) {
            Ok(line) => {
                self.before = Some((start, context));
                match line {
                    Some(line) => self.keep(line, start),
                    None => self.lost(context, start),
                }
            }
            Err(failure) => self.junk(context, start, &failure),
        }
    }

    /// After a line that has its finding already, such as for a number too long: the rest of it goes nowhere.
    fn lost(&mut self, context: Context, start: usize) {
        if self.tokens.is_mark(self.at, '{') && context != Context::Top {
            self.texts(start, true);
        } else if self.tokens.get(self.at).is_some_and(|token| !token.first && token.shape != Shape::Mark('}')) {
            self.skip(context, self.at, 0);
        }
    }

    fn keep(&mut self, line: Line, start: usize) {
        match line {
            Line::Item(Item::PlausibleGauges(mut gauges)) => {
                self.sentences(start, &mut gauges.texts, &mut gauges.span, None);
                self.items.push(Item::PlausibleGauges(gauges));
            }
            Line::Item(item) => self.items.push(item),
            Line::Header(header) => self.keep_header(header, start),
            Line::Head(kind) => self.frames.push(Frame { kind, head: start, opener: self.at.saturating_sub(1) }),
            Line::Member(mut member) => {
                let measured = matches!(member, PartMember::Reading(_));
                let (texts, span) = match &mut member {
                    PartMember::Reading(reading) => (&mut reading.texts, &mut reading.span),
                    PartMember::Derive(derive) => (&mut derive.texts, &mut derive.span),
                    PartMember::Expansion(expansion) => (&mut expansion.texts, &mut expansion.span),
                    PartMember::Part(_) => return,
                };
                let (mut read, end) = self.texts_after(start, measured);
                self.tiers_elsewhere(&mut read, (false, false));
                (*texts, *span) = (read, end.map_or(*span, |end| span.to(end)));
                if let Some(Frame { kind: FrameKind::Part(part), .. }) = self.frames.last_mut() {
                    part.members.push(member);
                }
            }
            Line::Row(mut member) => {
                match &mut member {
                    GenerationMember::Constant { texts, span, .. } => self.sentences(start, texts, span, None),
                    GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => {
                        self.sentences(start, &mut line.texts, &mut line.span, None);
                    }
                    GenerationMember::Row(row) => self.row_sentences(start, row),
                    GenerationMember::Rework(line) => self.sentences(start, &mut line.texts, &mut line.span, None),
                    GenerationMember::Fitted { .. } => {}
                }
                if let Some(Frame { kind: FrameKind::Generation(generation), .. }) = self.frames.last_mut() {
                    generation.members.push(member);
                }
            }
            Line::House(mut member) => {
                if let HouseMember::For(block) = &mut member {
                    let (mut texts, end) = self.texts_after(start, false);
                    self.tiers_elsewhere(&mut texts, (false, false));
                    block.span = end.map_or(block.span, |end| block.span.to(end));
                    if let Some(retired) = block.overlays.first_mut() {
                        retired.row.texts = texts;
                        retired.row.span = end.map_or(retired.row.span, |end| retired.row.span.to(end));
                    }
                }
                if let Some(Frame { kind: FrameKind::House(house), .. }) = self.frames.last_mut() {
                    house.members.push(member);
                }
            }
            Line::Overlay(mut overlay) => {
                self.row_sentences(start, &mut overlay.row);
                if let Some(Frame { kind: FrameKind::For(block), .. }) = self.frames.last_mut() {
                    block.overlays.push(overlay);
                }
            }
            Line::Narrow(mut line) => {
                self.sentences(start, &mut line.texts, &mut line.span, None);
                if let Some(Frame { kind: FrameKind::For(block), .. }) = self.frames.last_mut() {
                    block.narrowed.push(line);
                }
            }
            Line::Try(member) => {
                if let Some(Frame { kind: FrameKind::Try(example), .. }) = self.frames.last_mut() {
                    example.members.push(member);
                }
            }
            Line::Fits(member) => {
                if let Some(Frame { kind: FrameKind::Fits(fits), .. }) = self.frames.last_mut() {
                    fits.members.push(member);
                }
            }
            Line::Measure(measure) => self.keep_measure(measure, start),
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
    pub(super) fn parse(&mut self, context: Context) -> Result<Option<Line>, Failure> {
        let Some(token) = self.tokens.get(self.at) else { return Ok(None) };
        let base = token.span.start as usize;
        let text: &'a str = self.text.get(base..).unwrap_or("");
        let Some(pair) = ask::line(context, text) else {
            let failure = ask::why_not(context, self.text, self.tokens, self.at);
            return Err(failure.unwrap_or(Failure { at: base, expected: Vec::new() }));
        };
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
            Rule::general => lower.general_caution(&pair).map(|it| Line::Item(Item::Caution(it))),
            Rule::source => lower.source_named(&pair).map(|it| Line::Item(Item::Source(it))),
            Rule::extend => lower.extend(&pair).map(|it| Line::Item(Item::Extend(it))),
            Rule::plausible_gauges => lower.plausible_gauges(&pair).map(|it| Line::Item(Item::PlausibleGauges(it))),
            Rule::table => lower.table(&pair).map(|it| Line::Item(Item::Table(it))),
            Rule::house_head => head(lower.house_head(&pair).map(FrameKind::House), Context::House),
            Rule::for_head => head(lower.for_head(&pair).map(FrameKind::For), Context::Overlay),
            Rule::try_head => head(lower.try_head(&pair).map(FrameKind::Try), Context::Try),
            Rule::fits_head => head(lower.fits_head(&pair).map(FrameKind::Fits), Context::Fits),
            Rule::part_head => head(lower.part_head(&pair).map(FrameKind::Part), Context::Part),
            Rule::generation_head => head(lower.generation_head(&pair).map(FrameKind::Generation), Context::Generation),
            Rule::derive => lower.derive(&pair).map(|it| Line::Member(PartMember::Derive(it))),
            Rule::expansion => lower.expansion(&pair).map(|it| Line::Member(PartMember::Expansion(it))),
            Rule::measure if context == Context::Part => lower.part_measure(&pair).map(Line::Measure),
            Rule::reading => lower.reading(&pair).map(|it| Line::Member(PartMember::Reading(it))),
            Rule::judge | Rule::gauges | Rule::retire_for => lower.house_line(&pair).map(Line::House),
            Rule::change | Rule::drop => lower.overlay(&pair).map(Line::Overlay),
            Rule::narrow => lower.range_line(&pair).map(Line::Narrow),
            Rule::try_generation | Rule::try_finished | Rule::try_given | Rule::expect => {
                lower.try_line(&pair).map(Line::Try)
            }
            Rule::sizes | Rule::grade | Rule::deviations => lower.fits_line(&pair).map(Line::Fits),
            Rule::given | Rule::fitted | Rule::telltale | Rule::plausible | Rule::rework | Rule::row => {
                lower.generation_member(&pair).map(Line::Row)
            }
            _ => lower.text(&pair).map(Line::Text),
        };
        self.findings.append(&mut lower.findings);
        self.at = next;
        Ok(line)
    }

    /// What could have stood at token `found` had the line that begins at `start` gone on there.
    fn after(&self, start: usize, context: Context, found: usize) -> Option<Failure> {
        let found = self.tokens.get(found)?;
        let failure = ask::what_else(context, self.text, self.tokens, start)?;
        (failure.at >= found.span.start as usize).then_some(failure)
    }

    // ---- what cannot be read

    /// Says what is wrong at `start` and goes on to the next line that begins something.
    pub(super) fn junk(&mut self, context: Context, start: usize, failure: &Failure) {
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
            self.forget_half(before);
        }
        let blame = Blame { source: self.source, tokens: self.tokens, context, start: begun, failure: &failure };
        self.findings.push(blame.finding());
        let first = self.tokens.get(start).map_or("", |token| self.word(token));
        let unworded = start == 0 && self.tokens.shape(0) != Some(Shape::Word);
        if context == Context::Top && (unworded || crate::finding::nearest(first, ["rulebook"]).is_some()) {
            self.header_seen = true;
        }
        self.before = None;
        // Where the line ended too early, what stands behind it begins a line of its own.
        match blame.ends_early() {
            Some(index) => self.at = index,
            None => self.skip(context, start, failure.at),
        }
    }

    /// Takes back the line that begins at a token: half a row would judge, and half a value count, by half of what is
    /// written. A declaration that only gives names keeps those it could read.
    fn forget_half(&mut self, begun: usize) {
        let Some(start) = self.tokens.get(begun).map(|token| token.span.start) else { return };
        match self.frames.last_mut().map(|frame| &mut frame.kind) {
            None => {
                self.items.pop_if(|item| match item {
                    Item::Unit(unit) => unit.span.start == start,
                    Item::Formula(formula) => formula.span.start == start,
                    Item::Table(table) => table.span.start == start,
                    _ => false,
                });
            }
            Some(FrameKind::Part(part)) => {
                part.members.pop_if(|member| match member {
                    PartMember::Derive(derive) => derive.span.start == start,
                    PartMember::Expansion(expansion) => expansion.span.start == start,
                    PartMember::Reading(_) | PartMember::Part(_) => false,
                });
            }
            Some(FrameKind::Generation(generation)) => {
                generation.members.pop_if(|member| match member {
                    GenerationMember::Constant { span, .. } => span.start == start,
                    GenerationMember::Row(row) => row.span.start == start,
                    GenerationMember::Rework(line) => line.span.start == start,
                    GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => line.span.start == start,
                    GenerationMember::Fitted { .. } => false,
                });
            }
            Some(FrameKind::House(house)) => {
                house.members.pop_if(|member| match member {
                    HouseMember::For(block) => block.span.start == start,
                    HouseMember::Judge(judge) => judge.span.start == start,
                    HouseMember::Gauges { span, .. } => span.start == start,
                });
            }
            Some(FrameKind::For(block)) => {
                block.overlays.pop_if(|overlay| overlay.row.span.start == start);
            }
            Some(FrameKind::Try(example)) => {
                example.members.pop_if(|member| match member {
                    TryMember::Given { span, .. } | TryMember::Expect { span, .. } => span.start == start,
                    TryMember::Generation(_) | TryMember::Finished(..) => false,
                });
            }
            Some(FrameKind::Fits(fits)) => {
                fits.members.pop_if(|member| match member {
                    FitsMember::Sizes { span, .. }
                    | FitsMember::Grade { span, .. }
                    | FitsMember::Deviations { span, .. } => span.start == start,
                });
            }
            Some(FrameKind::Lost(_)) => {}
        }
    }

    /// Passes over what cannot be read, up to the next line that begins a declaration or member here.
    fn skip(&mut self, context: Context, start: usize, failed: usize) {
        let first = self.tokens.get(start).map_or("", |token| self.word(token));
        // `basis : mm` is a reading with a word of the language for its name.
        let block = block_of(first, context).filter(|_| !self.tokens.is_mark(start + 1, ':'));
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
                _ if moved && self.stops(index, block.unwrap_or(context), failed) => break,
                _ => index += 1,
            }
        }
        self.at = index.max(start + 1).min(self.tokens.list.len());
        // A head whose brace was forgotten, with lines set in below it, still opens its block.
        let indent = |index: usize| self.tokens.get(index).filter(|token| token.first).map(|token| token.indent);
        if let Some(context) = block
            && !matches!(self.tokens.shape(index.saturating_sub(1)), Some(Shape::Mark('{')))
            && index > start
            && indent(index).zip(indent(start)).is_some_and(|(inner, head)| inner > head)
        {
            self.frames.push(Frame { kind: FrameKind::Lost(context), head: start, opener: index.saturating_sub(1) });
        }
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
    pub(super) fn begins_line(&self, index: usize, context: Context) -> bool {
        let Some(token) = self.tokens.get(index) else { return false };
        let word = self.word(token);
        if words::begins_declaration(word) {
            return true;
        }
        // `limit : mm` is a reading with a word of the language for its name.
        if context == Context::Part && self.tokens.is_mark(index + 1, ':') {
            return true;
        }
        let hangs = index.checked_sub(1).and_then(|before| self.tokens.shape(before)).is_some_and(|shape| {
            matches!(shape, Shape::Mark(',' | ':' | '=' | '(' | '+' | '-' | '*' | '/' | '^' | '±'))
        });
        let text = context != Context::Texts && words::TEXTS.contains(&word);
        let worded = match token.shape {
            Shape::Word => true,
            Shape::Odd(letter) => is_full_width(letter) && letter.is_alphabetic(),
            _ => false,
        };
        worded && !hangs && !text && !words::goes_on(word)
    }
}

/// The head of a block; where it could not be made, what is inside is still read for its mistakes.
fn head(kind: Option<FrameKind>, within: Context) -> Option<Line> {
    Some(Line::Head(kind.unwrap_or(FrameKind::Lost(within))))
}

/// What kind of block a word opens, also one with a slip in it.
fn block_of(word: &str, context: Context) -> Option<Context> {
    match (crate::finding::nearest(word, ["part", "generation", "basis", "house", "for", "try", "fits"])?, context) {
        // No part stands inside a generation: its lines would each be one more mistake.
        (_, Context::Texts) | ("part", Context::Generation) => None,
        ("part", _) => Some(Context::Part),
        ("house", _) => Some(Context::House),
        ("for", Context::House) => Some(Context::Overlay),
        ("for", _) => None,
        ("try", _) => Some(Context::Try),
        ("fits", _) => Some(Context::Fits),
        _ => Some(Context::Generation),
    }
}
