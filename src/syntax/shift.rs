//! Moves the places of part of a tree along the text, after something was put in or taken out before it.

use super::tree::{
    Expr, ExprKind, From, FromKind, GenerationMember, HouseMember, Item, Name, Path, PositionName, Range, RangeKind,
    RangeLine, ReworkAction, ReworkLine, Row, Texts, Tier, Words,
};
use crate::text::Span;

/// How far, in bytes; to the front where negative.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shift(pub(super) i64);

impl Shift {
    pub(super) fn span(self, span: &mut Span) {
        let moved = |at: u32| u32::try_from(i64::from(at) + self.0).unwrap_or(0);
        *span = Span { start: moved(span.start), end: moved(span.end) };
    }

    fn name(self, name: &mut Name) {
        self.span(&mut name.span);
    }

    fn words(self, words: &mut Words) {
        self.span(&mut words.span);
    }

    fn path(self, path: &mut Path) {
        self.span(&mut path.span);
        path.segments.iter_mut().for_each(|segment| self.name(segment));
    }

    fn texts(self, texts: &mut Texts) {
        let sentences = [&mut texts.because, &mut texts.remedy, &mut texts.caution, &mut texts.measure];
        sentences.into_iter().flatten().for_each(|words| self.words(words));
        let sources = [&mut texts.from, &mut texts.standard_from, &mut texts.limit_from];
        for From { kind, detail, span } in sources.into_iter().flatten() {
            self.span(span);
            detail.iter_mut().for_each(|words| self.words(words));
            if let FromKind::Source(name) = kind {
                self.name(name);
            }
        }
    }

    pub(super) fn member(self, member: &mut GenerationMember) {
        match member {
            GenerationMember::Constant { name, value, texts, span } => {
                self.name(name);
                self.expr(value);
                self.texts(texts);
                self.span(span);
            }
            GenerationMember::Fitted { part, positions, span } => {
                self.path(part);
                self.span(span);
                for position in positions {
                    match position {
                        PositionName::One(name) => self.name(name),
                        PositionName::Run { span, .. } => self.span(span),
                    }
                }
            }
            GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => self.range_line(line),
            GenerationMember::Rework(line) => self.rework_line(line),
            GenerationMember::Row(row) => self.row(row),
        }
    }

    /// A declaration; whether it is of a kind whose places are known here.
    pub(super) fn item(self, item: &mut Item) -> bool {
        match item {
            Item::Generation(generation) => {
                self.name(&mut generation.name);
                self.words(&mut generation.description);
                generation.follows.iter_mut().for_each(|name| self.name(name));
                generation.members.iter_mut().for_each(|member| self.member(member));
                self.span(&mut generation.span);
            }
            Item::House(house) => {
                self.words(&mut house.name);
                house.members.iter_mut().for_each(|member| self.house(member));
                self.span(&mut house.span);
            }
            _ => return false,
        }
        true
    }

    fn house(self, member: &mut HouseMember) {
        match member {
            HouseMember::Judge(judge) => self.span(&mut judge.span),
            HouseMember::Gauges { ratio, span } => {
                self.expr(ratio);
                self.span(span);
            }
            HouseMember::For(block) => {
                let scope = &mut block.scope;
                scope.generations.iter_mut().for_each(|name| self.name(name));
                for (_, span) in [&mut scope.from, &mut scope.to].into_iter().flatten() {
                    self.span(span);
                }
                scope.condition.iter_mut().for_each(|condition| self.expr(condition));
                self.span(&mut scope.span);
                for overlay in &mut block.overlays {
                    self.span(&mut overlay.word);
                    self.row(&mut overlay.row);
                }
                block.narrowed.iter_mut().for_each(|line| self.range_line(line));
                self.span(&mut block.span);
            }
        }
    }

    fn range_line(self, line: &mut RangeLine) {
        let RangeLine { replace, path, range, or_zero, condition, texts, span } = line;
        [replace, or_zero].into_iter().flatten().for_each(|word| self.span(word));
        self.path(path);
        self.range(range);
        condition.iter_mut().for_each(|condition| self.expr(condition));
        self.texts(texts);
        self.span(span);
    }

    fn rework_line(self, line: &mut ReworkLine) {
        let ReworkLine { replace, name, path, action, followers, texts, span } = line;
        replace.iter_mut().for_each(|word| self.span(word));
        self.name(name);
        self.path(path);
        match action {
            ReworkAction::Change { most, span, .. } => {
                most.iter_mut().for_each(|most| self.expr(most));
                self.span(span);
            }
            ReworkAction::Sizes { first, last, step, span } => {
                [first, last, step].into_iter().for_each(|figure| self.expr(figure));
                self.span(span);
            }
            ReworkAction::Replaced(span) => self.span(span),
        }
        for follower in followers {
            self.path(&mut follower.path);
            follower.by.iter_mut().for_each(|by| self.expr(by));
            self.span(&mut follower.span);
        }
        self.texts(texts);
        self.span(span);
    }

    fn row(self, row: &mut Row) {
        let Row {
            replace,
            word,
            path,
            standard,
            limit,
            rounded,
            outer,
            advisory,
            never_excused,
            condition,
            texts,
            span,
        } = row;
        replace.iter_mut().for_each(|word| self.span(word));
        word.iter_mut().for_each(|(_, word)| self.span(word));
        self.path(path);
        for Tier { word, range, also } in [standard, limit].into_iter().flatten() {
            self.span(word);
            self.range(range);
            also.iter_mut().for_each(|also| self.range(also));
        }
        rounded.iter_mut().for_each(|step| self.expr(step));
        [outer, advisory, never_excused].into_iter().flatten().for_each(|word| self.span(word));
        condition.iter_mut().for_each(|condition| self.expr(condition));
        self.texts(texts);
        self.span(span);
    }

    fn range(self, range: &mut Range) {
        self.span(&mut range.span);
        match &mut range.kind {
            RangeKind::Between(one, other) | RangeKind::PlusMinus(one, other) => {
                self.expr(one);
                self.expr(other);
            }
            RangeKind::AtLeast(one)
            | RangeKind::AtMost(one)
            | RangeKind::Above(one)
            | RangeKind::Below(one)
            | RangeKind::Exactly(one) => self.expr(one),
            RangeKind::Tolerance { size, first, second } => {
                [size, first, second].into_iter().for_each(|one| self.expr(one));
            }
            RangeKind::Fit { size, class } => {
                self.expr(size);
                self.name(class);
            }
            RangeKind::Names(names) | RangeKind::NotNames(names) => names.iter_mut().for_each(|name| self.name(name)),
            RangeKind::AllTheSame { across } => self.path(across),
        }
    }

    /// Values nest no deeper than the reader lets them.
    fn expr(self, expr: &mut Expr) {
        self.span(&mut expr.span);
        match &mut expr.kind {
            ExprKind::Number(_) | ExprKind::Ratio(..) | ExprKind::YesNo(_) => {}
            ExprKind::Quantity(_, unit) => self.span(&mut unit.span),
            ExprKind::Path(path) => self.path(path),
            ExprKind::Call { name, arguments } => {
                self.name(name);
                arguments.iter_mut().for_each(|argument| self.expr(argument));
            }
            ExprKind::Collect { word, of, .. } => {
                self.span(word);
                of.iter_mut().for_each(|one| self.expr(one));
            }
            ExprKind::Negate(inner) | ExprKind::Not(inner) | ExprKind::Power { base: inner, .. } => self.expr(inner),
            ExprKind::Binary { operator_span, left, right, .. } => {
                self.span(operator_span);
                self.expr(left);
                self.expr(right);
            }
            ExprKind::Test { subject, range, .. } => {
                self.expr(subject);
                self.range(range);
            }
        }
    }
}
