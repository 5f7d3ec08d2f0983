//! Braces while a book is read: which block is open, which brace is missing, and the sentences between them. Refuses to
//! know what stands inside a block.

use super::declaration::Text;
use super::reader::{Context, Line, Reader};
use super::scan::{Shape, Token};
use super::tree::{
    FitsDeclaration, ForDeclaration, From, GenerationDeclaration, HouseDeclaration, HouseMember, Item,
    MeasureDeclaration, PartDeclaration, PartMember, Row, Texts, TryDeclaration, Words,
};
use super::{wording, wording_habits, words};
use crate::finding::{Code, Finding};
use crate::text::Span;

/// A block whose closing brace is still to come.
pub(super) struct Frame {
    /// What is being read.
    pub(super) kind: FrameKind,
    /// The token its head begins with.
    pub(super) head: usize,
    /// Its opening brace.
    pub(super) opener: usize,
}

/// What a block is.
pub(super) enum FrameKind {
    /// A part.
    Part(PartDeclaration),
    /// A generation.
    Generation(GenerationDeclaration),
    /// What a shop adds.
    House(HouseDeclaration),
    /// A block of a house.
    For(ForDeclaration),
    /// An example.
    Try(TryDeclaration),
    /// A table of fits.
    Fits(FitsDeclaration),
    /// Its head could not be read: what is inside is read for its mistakes and goes nowhere.
    Lost(Context),
}

impl Reader<'_> {
    // ---- sentences

    pub(super) fn texts_after(&mut self, start: usize, measured: bool) -> (Texts, Option<Span>) {
        if self.tokens.is_mark(self.at, '{') { self.texts(start, measured) } else { (Texts::default(), None) }
    }

    /// Reads `{ because … }`; the reader stands at the opening brace, the member began at token `start`. Only what is
    /// `measured` may say how.
    pub(super) fn texts(&mut self, start: usize, measured: bool) -> (Texts, Option<Span>) {
        let opener = self.at;
        self.at += 1;
        let mut texts = Texts::default();
        while let Some(token) = self.tokens.get(self.at) {
            if token.shape == Shape::Mark('}') {
                self.weigh_layout(start, opener, token);
                self.at += 1;
                self.before = None;
                return (texts, Some(token.span));
            }
            let goes_on = words::TEXTS.contains(&self.word(token));
            if !goes_on && token.first && self.tokens.brace_open && self.begins_line(self.at, Context::Generation) {
                // The next row or member: this block was never closed.
                self.brace_open(opener);
                return (texts, None);
            }
            let begun = self.at;
            match self.parse(Context::Texts) {
                Ok(line) => {
                    self.before = Some((begun, Context::Texts));
                    match line {
                        Some(Line::Text(Text::Measure(_))) if !measured => self.measure_elsewhere(begun, None),
                        Some(Line::Text(text)) => self.keep_text(&mut texts, text),
                        _ => {}
                    }
                }
                Err(failure) => self.junk(Context::Texts, self.at, &failure),
            }
        }
        self.brace_open(opener);
        (texts, None)
    }

    /// Gives a line the sentences after it; with `tiers`, where the standard and the limit come from, for those that it has.
    pub(super) fn sentences(&mut self, start: usize, texts: &mut Texts, span: &mut Span, tiers: Option<(bool, bool)>) {
        let (mut read, end) = self.texts_after(start, false);
        let (standard, limit) = tiers.unwrap_or_default();
        self.tiers_elsewhere(&mut read, (standard, limit));
        *texts = read;
        *span = end.map_or(*span, |end| span.to(end));
    }

    /// Gives a row, or a shop's change of one, the sentences after it.
    pub(super) fn row_sentences(&mut self, start: usize, row: &mut Row) {
        let tiers = (row.standard.is_some(), row.limit.is_some());
        let Row { texts, span, .. } = row;
        self.sentences(start, texts, span, Some(tiers));
    }

    /// Drops where a tier comes from that the line does not have.
    pub(super) fn tiers_elsewhere(&mut self, texts: &mut Texts, (standard, limit): (bool, bool)) {
        let said = [("standard", &mut texts.standard_from, standard), ("limit", &mut texts.limit_from, limit)];
        for (word, from, has) in said {
            if let Some(from) = from.take_if(|_| !has) {
                let finding = Finding::new(Code::WordUnexpected, wording::tier_elsewhere(word))
                    .at(self.source.place(from.span), wording::LABEL_HERE)
                    .help(wording::tier_elsewhere_help(word));
                self.findings.push(finding);
            }
        }
    }

    pub(super) fn keep_text(&mut self, texts: &mut Texts, text: Text) {
        let (word, said) = match text {
            Text::Because(words) => ("because", keep_once(&mut texts.because, words)),
            Text::Remedy(words) => ("remedy", keep_once(&mut texts.remedy, words)),
            Text::Caution(words) => ("caution", keep_once(&mut texts.caution, words)),
            Text::Measure(words) => ("measure", keep_once(&mut texts.measure, words)),
            Text::From(from) => ("from", keep_once(&mut texts.from, from)),
            Text::StandardFrom(from) => ("standard from", keep_once(&mut texts.standard_from, from)),
            Text::LimitFrom(from) => ("limit from", keep_once(&mut texts.limit_from, from)),
        };
        if let Some((first, second)) = said {
            self.said_twice(word, first, second);
        }
    }

    /// Keeps how the positions of the open part are told apart; the line began at token `start`.
    pub(super) fn keep_measure(&mut self, measure: MeasureDeclaration, start: usize) {
        let after_brace = start.checked_sub(1).is_some_and(|before| self.tokens.is_mark(before, '{'));
        if !after_brace && self.tokens.get(start).is_some_and(|token| !token.first) {
            return self.measure_elsewhere(start, Some(wording_habits::braces_help("measure")));
        }
        let Some(Frame { kind: FrameKind::Part(part), .. }) = self.frames.last_mut() else { return };
        match &part.measure {
            Some(first) => {
                let first = first.span;
                self.said_twice("measure", first, measure.span);
            }
            None => part.measure = Some(measure),
        }
    }

    /// The word at token `at` stands where nothing is measured.
    fn measure_elsewhere(&mut self, at: usize, help: Option<String>) {
        let span = self.tokens.get(at).map_or(Span::default(), |token| token.span);
        let place = wording::stands_where("measure").unwrap_or_default();
        let mut finding = Finding::new(Code::WordUnexpected, wording::stands_elsewhere("measure", place))
            .at(self.source.place(span), wording::LABEL_HERE);
        if let Some(help) = help {
            finding = finding.help(help);
        }
        self.findings.push(finding);
    }

    fn said_twice(&mut self, word: &str, first: Span, second: Span) {
        let finding = Finding::new(Code::WordUnexpected, wording::said_twice(word))
            .at(self.source.place(second), wording::LABEL_TWICE)
            .since(self.source.place(first), wording::LABEL_ONCE);
        self.findings.push(finding);
    }

    // ---- braces

    pub(super) fn closing_brace(&mut self, token: Token) {
        let doubled = self.doubled_brace(token);
        self.at += 1;
        self.before = None;
        if doubled {
            let finding = Finding::new(Code::TextUnexpected, wording::brace_doubled())
                .at(self.source.place(token.span), wording::LABEL_STRAY)
                .help(wording::take_out());
            self.findings.push(finding);
            return;
        }
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

    /// Whether this brace stands right behind another, closes a block of several lines, and the book has one too many.
    fn doubled_brace(&self, token: Token) -> bool {
        let (Some(frame), Some(before)) = (self.frames.last(), self.at.checked_sub(1)) else { return false };
        let behind = !token.first && self.tokens.is_mark(before, '}');
        let lines =
            || (frame.opener + 1..self.at).any(|index| self.tokens.get(index).is_some_and(|inside| inside.first));
        behind && lines() && {
            let unpaired = |token: &&Token| token.shape == Shape::Mark('}') && token.partner.is_none();
            let too_many = self.tokens.list.iter().filter(unpaired).count();
            let told = self.findings.iter().filter(|finding| finding.message == wording::brace_doubled()).count();
            told < too_many
        }
    }

    /// A brace that stands under the line of an outer block probably belongs to that one.
    pub(super) fn weigh_layout(&mut self, head: usize, opener: usize, closer: Token) {
        let indent = |index: usize| self.tokens.get(index).filter(|token| token.first).map(|token| token.indent);
        let (Some(own), true) = (indent(head), closer.first) else { return };
        let outer = self.frames.iter().any(|frame| indent(frame.head) == Some(closer.indent));
        if own != closer.indent && outer && self.suspect.is_none() {
            self.suspect = Some(opener);
        }
    }

    pub(super) fn put_away(&mut self, frame: Frame, end: Span) {
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
            FrameKind::House(mut house) => {
                house.span = house.span.to(end);
                self.items.push(Item::House(house));
            }
            FrameKind::For(mut block) => {
                block.span = block.span.to(end);
                if let Some(Frame { kind: FrameKind::House(house), .. }) = self.frames.last_mut() {
                    house.members.push(HouseMember::For(block));
                }
            }
            FrameKind::Try(mut example) => {
                example.span = example.span.to(end);
                self.items.push(Item::Try(example));
            }
            FrameKind::Fits(mut fits) => {
                fits.span = fits.span.to(end);
                self.items.push(Item::Fits(fits));
            }
            FrameKind::Lost(_) => {}
        }
    }

    pub(super) fn brace_open(&mut self, opener: usize) {
        let opener = self.suspect.take().unwrap_or(opener);
        let Some(token) = self.tokens.get(opener) else { return };
        let finding = Finding::new(Code::BraceOpen, wording::brace_open())
            .at(self.source.place(token.span), wording::LABEL_OPENED)
            .help(wording::brace_open_help());
        self.findings.push(finding);
    }

    /// Closes every open block at the end of the book, or where a word stands that only stands at the top.
    pub(super) fn close_all(&mut self) {
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
    pub(super) fn reaches_out(&mut self, token: Token) -> bool {
        let context = self.context();
        if context == Context::Top || !token.first || !self.tokens.brace_open {
            return false;
        }
        let word = self.word(token);
        let here: &[&str] = match context {
            Context::Part => &words::PART_MEMBERS,
            Context::Try => &words::TRY_MEMBERS,
            _ => &words::GENERATION_MEMBERS,
        };
        let top = words::ITEMS.contains(&word) || word == "part";
        if !top || here.contains(&word) {
            return false;
        }
        self.close_all();
        true
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
