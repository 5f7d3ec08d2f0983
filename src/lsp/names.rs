//! Every name in a rulebook with what it means, where it is declared and where it is used. Refuses to judge whether that is
//! as it should be.

use crate::book::{Book, Id, Kind, NameSet, Part, Step, steps};
use crate::syntax::Tree;
use crate::syntax::tree::{
    Expr, ExprKind, FromKind, GenerationMember, HouseMember, Item, Name, PartDeclaration, PartMember, Path,
    PositionName, Range, RangeKind, RangeLine, ReworkAction, ReworkLine, Row, Texts, TryMember, TypeName, TypeNameKind,
};
use crate::text::Span;

/// What a name means.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Meaning {
    Unit(Box<str>),
    Set(Box<str>),
    Member(Id<NameSet>, u16),
    Constant(Box<str>),
    Formula(Box<str>),
    Table(Box<str>),
    Generation(Box<str>),
    Citation(Box<str>),
    /// A parameter of the formula that begins at a byte.
    Parameter(Box<str>, u32),
    /// A step of a path.
    Step(Step),
}

/// A name where it stands.
#[derive(Clone, Debug)]
pub(super) struct Occurrence {
    pub(super) span: Span,
    pub(super) meaning: Meaning,
    pub(super) declares: bool,
}

/// Every name of a book.
pub(super) fn occurrences(book: &Book, tree: &Tree) -> Vec<Occurrence> {
    walked(book, tree, None)
}

/// The names of a book around a byte.
pub(super) fn occurrences_at(book: &Book, tree: &Tree, at: u32) -> Vec<Occurrence> {
    walked(book, tree, Some(at))
}

fn walked(book: &Book, tree: &Tree, around: Option<u32>) -> Vec<Occurrence> {
    let mut names = Names { book, found: Vec::new(), formula: None, around };
    for item in &tree.items {
        names.item(item);
    }
    names.found.sort_by_key(|occurrence| occurrence.span);
    names.found
}

struct Names<'a> {
    book: &'a Book,
    found: Vec<Occurrence>,
    /// The names a formula takes, and where it begins.
    formula: Option<(Vec<Box<str>>, u32)>,
    /// The byte whose lines are wanted; all where none.
    around: Option<u32>,
}

impl Names<'_> {
    fn say(&mut self, span: Span, meaning: Meaning, declares: bool) {
        self.found.push(Occurrence { span, meaning, declares });
    }

    fn wants(&self, span: Span) -> bool {
        self.around.is_none_or(|at| span.start <= at && at <= span.end)
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Unit(unit) => {
                for name in &unit.names {
                    self.say(name.span, Meaning::Unit(name.text.clone()), true);
                }
                self.expr(&unit.size, None, None);
                unit.zero.iter().for_each(|zero| self.expr(zero, None, None));
            }
            Item::Set(set) => {
                self.say(set.name.span, Meaning::Set(set.name.text.clone()), true);
                let id = self.book.sets.entries().find(|(_, known)| known.name.as_deref() == Some(&set.name.text));
                if let Some((id, _)) = id {
                    self.members(&set.members, id, true);
                }
            }
            Item::Constant(constant) => {
                self.say(constant.name.span, Meaning::Constant(constant.name.text.clone()), true);
                self.kind(&constant.kind, None);
            }
            Item::Formula(formula) => {
                self.say(formula.name.span, Meaning::Formula(formula.name.text.clone()), true);
                let taken = formula.parameters.iter().map(|one| one.name.text.clone()).collect();
                for parameter in &formula.parameters {
                    let meaning = Meaning::Parameter(parameter.name.text.clone(), formula.span.start);
                    self.say(parameter.name.span, meaning, true);
                    self.kind(&parameter.kind, None);
                }
                self.kind(&formula.result, None);
                self.formula = Some((taken, formula.span.start));
                self.expr(&formula.body, None, None);
                self.formula = None;
            }
            Item::Table(table) => {
                self.say(table.name.span, Meaning::Table(table.name.text.clone()), true);
                self.kind(&table.parameter.kind, None);
                self.kind(&table.result, None);
                for (x, y) in &table.points {
                    self.expr(x, None, None);
                    self.expr(y, None, None);
                }
            }
            Item::Part(part) => self.part(part, self.book.root()),
            Item::Extend(extend) => {
                self.path(&extend.part, self.book.root());
                self.positions(&extend.positions, self.part_at(&extend.part), true);
            }
            Item::Source(source) => self.say(source.name.span, Meaning::Citation(source.name.text.clone()), true),
            Item::Generation(generation) => {
                self.say(generation.name.span, Meaning::Generation(generation.name.text.clone()), true);
                generation.follows.iter().for_each(|name| self.generation(name));
                generation.members.iter().for_each(|member| self.generation_member(member));
            }
            Item::House(house) => house.members.iter().for_each(|member| self.house(member)),
            Item::Try(example) => example.members.iter().for_each(|member| self.example(member)),
            Item::PlausibleGauges(gauges) => {
                self.kind(&gauges.kind, None);
                self.range(&gauges.range, None, None);
                self.texts(&gauges.texts);
            }
            Item::Use(_) | Item::Caution(_) | Item::Fits(_) => {}
        }
    }

    fn generation(&mut self, name: &Name) {
        self.say(name.span, Meaning::Generation(name.text.clone()), false);
    }

    fn members(&mut self, names: &[Name], set: Id<NameSet>, declares: bool) {
        for name in names {
            if let Some(number) = self.book.sets.get(set).number(&name.text) {
                self.say(name.span, Meaning::Member(set, number), declares);
            }
        }
    }

    fn part(&mut self, part: &PartDeclaration, id: Option<Id<Part>>) {
        if !self.wants(part.span) {
            return;
        }
        let Some(id) = id.filter(|id| self.book.parts.get(*id).name == part.name.text) else { return };
        self.say(part.name.span, Meaning::Step(Step::Part(id)), true);
        self.positions(&part.positions, Some(id), true);
        for member in &part.members {
            self.part_member(member, id);
        }
    }

    fn part_member(&mut self, member: &PartMember, part: Id<Part>) {
        use crate::book::Member;
        let known = |name: &str| self.book.parts.get(part).member_by_name.get(name).copied();
        match member {
            PartMember::Part(inner) => {
                let id = match known(&inner.name.text) {
                    Some(Member::Part(id)) => Some(id),
                    _ => None,
                };
                self.part(inner, id);
            }
            PartMember::Reading(reading) => {
                let Some(Member::Characteristic(id)) = known(&reading.name.text) else { return };
                self.say(reading.name.span, Meaning::Step(Step::Characteristic(id)), true);
                for (station, number) in reading.stations.iter().zip(0..) {
                    self.say(station.span, Meaning::Step(Step::Station(id, number)), true);
                }
                self.kind(&reading.kind, Some(self.book.characteristics.get(id).kind));
                reading.agree.iter().for_each(|within| self.expr(within, None, None));
                self.texts(&reading.texts);
            }
            PartMember::Derive(derive) => {
                let Some(Member::Characteristic(id)) = known(&derive.name.text) else { return };
                self.say(derive.name.span, Meaning::Step(Step::Characteristic(id)), true);
                self.kind(&derive.kind, Some(self.book.characteristics.get(id).kind));
                self.expr(&derive.body, Some(part), None);
                self.texts(&derive.texts);
            }
            PartMember::Expansion(expansion) => {
                self.expr(&expansion.coefficient, None, None);
                self.expr(&expansion.half_width, None, None);
                self.texts(&expansion.texts);
            }
        }
    }

    fn generation_member(&mut self, member: &GenerationMember) {
        match member {
            GenerationMember::Constant { name, value, texts, .. } => {
                // Where no book declares it, the first generation that gives it does.
                let declared = self.book.constants.iter().find(|constant| constant.name == name.text);
                let declares = declared.is_some_and(|constant| constant.place.span == name.span);
                self.say(name.span, Meaning::Constant(name.text.clone()), declares);
                self.expr(value, None, None);
                self.texts(texts);
            }
            GenerationMember::Fitted { part, positions, .. } => {
                self.path(part, self.book.root());
                self.positions(positions, self.part_at(part), false);
            }
            GenerationMember::Telltale(line) | GenerationMember::Plausible(line) => self.range_line(line),
            GenerationMember::Rework(line) => self.rework_line(line),
            GenerationMember::Row(row) => self.row(row),
        }
    }

    fn house(&mut self, member: &HouseMember) {
        let HouseMember::For(block) = member else { return };
        block.scope.generations.iter().for_each(|name| self.generation(name));
        block.scope.condition.iter().for_each(|condition| self.expr(condition, self.book.root(), None));
        block.overlays.iter().for_each(|overlay| self.row(&overlay.row));
        block.narrowed.iter().for_each(|line| self.range_line(line));
    }

    fn range_line(&mut self, line: &RangeLine) {
        let subject = self.path(&line.path, self.book.root());
        self.range(&line.range, subject.0, subject.1);
        line.condition.iter().for_each(|condition| self.expr(condition, subject.0, None));
        self.texts(&line.texts);
    }

    fn rework_line(&mut self, line: &ReworkLine) {
        self.path(&line.path, self.book.root());
        match &line.action {
            ReworkAction::Change { most, .. } => most.iter().for_each(|most| self.expr(most, None, None)),
            ReworkAction::Sizes { first, last, step, .. } => {
                [first, last, step].into_iter().for_each(|figure| self.expr(figure, None, None));
            }
            ReworkAction::Replaced(_) => {}
        }
        for follower in &line.followers {
            self.path(&follower.path, self.book.root());
        }
        self.texts(&line.texts);
    }

    fn example(&mut self, member: &TryMember) {
        match member {
            TryMember::Generation(name) => self.generation(name),
            TryMember::Given { path, values, .. } => {
                let (_, set) = self.path(path, self.book.root());
                if let Some(set) = set {
                    self.members(values, set, false);
                }
            }
            TryMember::Expect { path, .. } => {
                self.path(path, self.book.root());
            }
            TryMember::Finished(..) => {}
        }
    }

    fn row(&mut self, row: &Row) {
        if !self.wants(row.span.to(row.path.span)) {
            return;
        }
        let (part, set) = self.path(&row.path, self.book.root());
        for tier in [&row.standard, &row.limit].into_iter().flatten() {
            self.range(&tier.range, part, set);
            tier.also.iter().for_each(|also| self.range(also, part, set));
        }
        row.rounded.iter().for_each(|step| self.expr(step, None, None));
        row.condition.iter().for_each(|condition| self.expr(condition, part, None));
        self.texts(&row.texts);
    }

    fn texts(&mut self, texts: &Texts) {
        for from in texts.sources() {
            if let FromKind::Source(name) = &from.kind {
                self.say(name.span, Meaning::Citation(name.text.clone()), false);
            }
        }
    }

    /// Says the steps of a path; gives the part of the characteristic it leads to, and the set that has names of.
    fn path(&mut self, path: &Path, from: Option<Id<Part>>) -> (Option<Id<Part>>, Option<Id<NameSet>>) {
        let Some(from) = from else { return (None, None) };
        let mut ended = (None, None);
        for (step, segment) in steps(self.book, from, path).into_iter().zip(&path.segments) {
            self.say(segment.span, Meaning::Step(step), false);
            if let Step::Characteristic(id) | Step::Station(id, _) = step {
                let characteristic = self.book.characteristics.get(id);
                let set = if let Kind::Names(set) = characteristic.kind { Some(set) } else { None };
                ended = (Some(characteristic.part), set);
            }
        }
        ended
    }

    fn part_at(&self, path: &Path) -> Option<Id<Part>> {
        match steps(self.book, self.book.root()?, path).last() {
            Some(Step::Part(id)) => Some(*id),
            _ => None,
        }
    }

    fn positions(&mut self, positions: &[PositionName], part: Option<Id<Part>>, declares: bool) {
        for position in positions {
            let (PositionName::One(name), Some(id)) = (position, part) else { continue };
            if let Some(number) = self.book.parts.get(id).position_by_name.get(&name.text) {
                self.say(name.span, Meaning::Step(Step::Position(id, *number)), declares);
            }
        }
    }

    fn kind(&mut self, kind: &TypeName, known: Option<Kind>) {
        match (&kind.kind, known) {
            (TypeNameKind::Choice(names), Some(Kind::Names(set))) => self.members(names, set, true),
            (TypeNameKind::Named(name), _) => {
                if self.book.sets.iter().any(|set| set.name.as_deref() == Some(name)) {
                    self.say(kind.span, Meaning::Set(name.clone()), false);
                } else {
                    self.unit(name, kind.span);
                }
            }
            _ => {}
        }
    }

    /// A unit as written, factor by factor.
    fn unit(&mut self, text: &str, span: Span) {
        if self.book.units.find(text).is_some() {
            self.say(span, Meaning::Unit(text.into()), false);
            return;
        }
        let mut at = span.start as usize;
        for factor in text.split_inclusive(['*', '/', '·']) {
            let name = factor.trim_end_matches(['*', '/', '·']);
            let plain = name.split('^').next().unwrap_or(name);
            let bare = plain.trim_end_matches(|letter: char| letter.is_ascii_digit());
            if let Some(known) = [plain, bare].into_iter().find(|name| self.book.units.find(name).is_some()) {
                self.say(Span::new(at, at + known.len()), Meaning::Unit(known.into()), false);
            }
            at += factor.len();
        }
    }

    /// A value or condition, seen from a part; a single name may be one of a set's.
    fn expr(&mut self, expr: &Expr, from: Option<Id<Part>>, set: Option<Id<NameSet>>) {
        match &expr.kind {
            ExprKind::Quantity(_, unit) => self.unit(&unit.text, unit.span),
            ExprKind::Path(path) => self.value(path, from, set),
            ExprKind::Call { name, arguments } => {
                let table = self.book.tables.iter().any(|table| table.name == name.text);
                let formula = self.book.formulas.iter().any(|formula| formula.name == name.text);
                if table {
                    self.say(name.span, Meaning::Table(name.text.clone()), false);
                } else if formula {
                    self.say(name.span, Meaning::Formula(name.text.clone()), false);
                }
                arguments.iter().for_each(|argument| self.expr(argument, from, None));
            }
            ExprKind::Collect { of, .. } => of.iter().for_each(|one| self.expr(one, from, None)),
            ExprKind::Negate(inner) | ExprKind::Not(inner) | ExprKind::Power { base: inner, .. } => {
                self.expr(inner, from, None);
            }
            ExprKind::Binary { left, right, .. } => {
                self.expr(left, from, None);
                self.expr(right, from, None);
            }
            ExprKind::Test { subject, range, .. } => {
                let set = match &subject.kind {
                    ExprKind::Path(path) => self.set_of(path, from),
                    _ => None,
                };
                self.expr(subject, from, None);
                self.range(range, from, set);
            }
            ExprKind::Number(_) | ExprKind::Ratio(..) | ExprKind::YesNo(_) => {}
        }
    }

    fn set_of(&self, path: &Path, from: Option<Id<Part>>) -> Option<Id<NameSet>> {
        match steps(self.book, from?, path).last() {
            Some(Step::Characteristic(id) | Step::Station(id, _)) => match self.book.characteristics.get(*id).kind {
                Kind::Names(set) => Some(set),
                _ => None,
            },
            _ => None,
        }
    }

    fn value(&mut self, path: &Path, from: Option<Id<Part>>, set: Option<Id<NameSet>>) {
        if let [name] = path.segments.as_slice() {
            if let Some((_, start)) = self.formula.as_ref().filter(|(taken, _)| taken.contains(&name.text)) {
                let meaning = Meaning::Parameter(name.text.clone(), *start);
                self.say(name.span, meaning, false);
                return;
            }
            if let Some(set) = set
                && let Some(number) = self.book.sets.get(set).number(&name.text)
            {
                self.say(name.span, Meaning::Member(set, number), false);
                return;
            }
            let leads = from.is_some_and(|from| !steps(self.book, from, path).is_empty());
            if !leads && self.book.constants.iter().any(|constant| constant.name == name.text) {
                self.say(name.span, Meaning::Constant(name.text.clone()), false);
                return;
            }
        }
        self.path(path, from);
    }

    fn range(&mut self, range: &Range, from: Option<Id<Part>>, set: Option<Id<NameSet>>) {
        match &range.kind {
            RangeKind::Names(names) | RangeKind::NotNames(names) => {
                if let Some(set) = set {
                    self.members(names, set, false);
                }
            }
            RangeKind::AllTheSame { across } => {
                self.path(across, self.book.root());
            }
            RangeKind::Fit { size, .. } => self.expr(size, from, set),
            RangeKind::AtLeast(one)
            | RangeKind::AtMost(one)
            | RangeKind::Above(one)
            | RangeKind::Below(one)
            | RangeKind::Exactly(one) => self.expr(one, from, set),
            RangeKind::Between(one, other) | RangeKind::PlusMinus(one, other) => {
                self.expr(one, from, set);
                self.expr(other, from, set);
            }
            RangeKind::Tolerance { size, first, second } => {
                [size, first, second].into_iter().for_each(|one| self.expr(one, from, set));
            }
        }
    }
}
