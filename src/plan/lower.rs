//! Writes derivations and rows out, position by position, as programs over slots.

use super::{
    Check, CheckRange, Condition, Earlier, Element, Operation, Plain, Plan, PlausibleValues, Program, Step, Subject,
    TestRange, gate, plausible, span, telling, wording,
};
use crate::book::circles;
use crate::book::evaluate::{self, Impossible};
use crate::book::{
    Book, Bound, Characteristic, Constant, Datum, Expression, ExpressionKind, Generation, Id, Kind, Origin, Range,
    RangeKind, Reach, Row, Selector,
};
use crate::finding::Finding;
use crate::quantity::{Band, Days, End, Value};
use crate::syntax::tree::{Operator, RowWord};
use crate::text::Place;
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;
use std::sync::Arc;

pub(super) struct Writer<'a> {
    pub(super) book: &'a Book,
    pub(super) generation: &'a Generation,
    findings: Vec<Finding>,
    /// Constants already said to be missing.
    missing: BTreeSet<Id<Constant>>,
    /// Derived values that something needs.
    needed: BTreeSet<Id<Characteristic>>,
    /// What each expression of the book comes to without a record, by where it lies: every position and station asks again.
    known: FxHashMap<*const Expression, Result<Value, Impossible>>,
    /// The different conditions so far.
    conditions: Vec<Arc<Program>>,
}

/// The plan of a generation; with `only`, without its rows: just what some characteristics take.
pub(super) fn plan(book: &Book, id: Id<Generation>, only: Option<&[Id<Characteristic>]>) -> (Plan, Vec<Finding>) {
    let generation = book.generations.get(id);
    let mut writer = Writer {
        book,
        generation,
        findings: Vec::new(),
        missing: BTreeSet::new(),
        needed: BTreeSet::new(),
        known: FxHashMap::default(),
        conditions: Vec::new(),
    };
    let mut checks = Vec::new();
    match only {
        Some(wanted) => wanted.iter().for_each(|characteristic| writer.need(*characteristic)),
        None => generation.rows.iter().for_each(|row| writer.row(row, &mut checks)),
    }
    let told = |telltales| if only.is_none() { telling::tellings(book, generation, telltales) } else { Vec::new() };
    let (tellings, value_tellings) = (told(&generation.telltales), told(&generation.value_telltales));
    tellings.iter().chain(&value_tellings).for_each(|telling| writer.need(telling.telltale.subject.characteristic));
    let mut steps = Vec::new();
    // A derived value comes after those it needs, so walking the order backwards finds everything needed.
    let order = circles::derivation_order(book);
    for id in order.iter().rev() {
        if !writer.needed.contains(id) {
            continue;
        }
        let characteristic = book.characteristics.get(*id);
        let Origin::Derived(Some(body)) = &characteristic.origin else { continue };
        let instances = book.instances(characteristic.part, generation);
        for positions in instances.iter().rev() {
            let slot = characteristic.slot(book.instance(characteristic.part, positions), 0);
            let program = writer.program(body, positions);
            steps.push(Step { slot, program });
        }
    }
    steps.reverse();
    let mut optional = vec![false; book.slot_count];
    for characteristic in book.characteristics.iter().filter(|characteristic| characteristic.is_optional()) {
        let slots = book.parts.get(characteristic.part).instances * characteristic.slots_each();
        for entry in optional.iter_mut().skip(characteristic.first_slot).take(slots) {
            *entry = true;
        }
    }
    let mut measured = vec![false; book.slot_count];
    for characteristic in book.characteristics.iter() {
        let Kind::Quantity(dimension) = characteristic.kind else { continue };
        if dimension.is_number() || matches!(characteristic.origin, Origin::Derived(_)) {
            continue;
        }
        let slots = book.parts.get(characteristic.part).instances * characteristic.slots_each();
        for entry in measured.iter_mut().skip(characteristic.first_slot).take(slots) {
            *entry = true;
        }
    }
    let mut step_of = vec![None; book.slot_count];
    for (number, step) in (0..u32::MAX).zip(&steps) {
        if let Some(entry) = step_of.get_mut(step.slot) {
            *entry = Some(number);
        }
    }
    let dated = only.is_none() && generation.rows.iter().any(|row| row.days != Days::ALWAYS);
    let plausible = if only.is_none() { plausible::values(&mut writer) } else { PlausibleValues::default() };
    let mut plan = Plan {
        plausible,
        generation: id,
        dated,
        slot_count: book.slot_count,
        optional,
        measured,
        step_of,
        spanned: Vec::new(),
        steps,
        checks,
        gates: Vec::new(),
        plain: Vec::new(),
        condition_count: writer.conditions.len(),
        tellings,
        value_tellings,
    };
    plan.spanned = span::spanned(&plan);
    plan.gates = plan.checks.iter().map(|check| gate::gate(&plan, check)).collect();
    plan.plain = plan.checks.iter().map(Plain::of).collect();
    (plan, writer.findings)
}

impl<'a> Writer<'a> {
    fn row(&mut self, row: &'a Arc<Row>, checks: &mut Vec<Check>) {
        let characteristic = self.book.characteristics.get(row.subject.characteristic);
        let part = characteristic.part;
        let pinned = |positions: &Vec<u16>| {
            row.subject.selectors.iter().zip(positions).all(|(selector, position)| match selector {
                Selector::At(at) => at == position,
                Selector::All | Selector::Same(_) => true,
            })
        };
        let instances: Vec<Vec<u16>> = self.book.instances(part, self.generation).into_iter().filter(pinned).collect();
        if let Some(Range { kind: RangeKind::AllTheSame { across }, .. }) = &row.limit {
            let chain = &self.book.parts.get(part).positioned;
            let before = chain.iter().position(|id| id == across).unwrap_or(0);
            let mut groups: Vec<(Vec<u16>, Vec<Vec<u16>>)> = Vec::new();
            for positions in instances {
                let key: Vec<u16> = positions.iter().take(before).copied().collect();
                match groups.iter_mut().find(|(other, _)| *other == key) {
                    Some((_, group)) => group.push(positions),
                    None => groups.push((key, vec![positions])),
                }
            }
            for (_, group) in groups {
                self.group(row, characteristic, &group, checks);
            }
            return;
        }
        for positions in instances {
            self.check(row, characteristic, positions, checks);
        }
    }

    fn group(
        &mut self,
        row: &'a Arc<Row>,
        characteristic: &Characteristic,
        group: &[Vec<u16>],
        checks: &mut Vec<Check>,
    ) {
        let Some(first) = group.first() else { return };
        self.need(row.subject.characteristic);
        let slots: Vec<(usize, Box<[u16]>)> = group
            .iter()
            .flat_map(|positions| {
                let instance = self.book.instance(characteristic.part, positions);
                stations(characteristic, row.subject.station)
                    .map(move |(station, _)| (characteristic.slot(instance, station), positions.clone().into()))
            })
            .collect();
        let condition = self.condition(row, first);
        checks.push(Check {
            row: row.clone(),
            positions: first.clone().into(),
            instance: self.book.instance(characteristic.part, first),
            condition,
            subject: Subject::Group(slots.into()),
            standard: None,
            limit: Some(CheckRange::Same),
            span: None,
            rounds: false,
        });
    }

    fn check(
        &mut self,
        row: &'a Arc<Row>,
        characteristic: &Characteristic,
        positions: Vec<u16>,
        checks: &mut Vec<Check>,
    ) {
        self.need(row.subject.characteristic);
        let instance = self.book.instance(characteristic.part, &positions);
        let stations: Vec<(usize, Option<u16>)> = stations(characteristic, row.subject.station).collect();
        let subjects: Vec<Subject> = match row.word {
            None => stations
                .iter()
                .map(|(at, station)| Subject::Slot { slot: characteristic.slot(instance, *at), station: *station })
                .collect(),
            Some(RowWord::Each) => stations
                .iter()
                .map(|(at, station)| Subject::Each { slot: characteristic.slot(instance, *at), station: *station })
                .collect(),
            Some(RowWord::Collect(collector)) => {
                let elements = stations.iter().map(|(at, _)| Element::Slot(characteristic.slot(instance, *at)));
                vec![Subject::Made(Program { operations: vec![Operation::Collect(collector, elements.collect())] })]
            }
        };
        for subject in subjects {
            let condition = self.condition(row, &positions);
            let standard = row.standard.as_ref().map(|range| self.range(range, &positions));
            let limit = row.limit.as_ref().map(|range| self.range(range, &positions));
            let span = span::span(standard.as_ref(), limit.as_ref(), &self.book.decision.gauge_ratio);
            checks.push(Check {
                span: span.map(Box::new),
                rounds: row.rounded.is_some(),
                row: row.clone(),
                positions: positions.clone().into(),
                instance,
                condition,
                subject,
                standard,
                limit,
            });
        }
    }

    /// When a row applies at some positions: the same condition for all it is the same for.
    fn condition(&mut self, row: &'a Arc<Row>, positions: &[u16]) -> Option<Condition> {
        let program = self.program(row.condition.as_ref()?, positions);
        let known = self.conditions.iter().position(|known| **known == program);
        let number = known.unwrap_or_else(|| {
            self.conditions.push(Arc::new(program));
            self.conditions.len() - 1
        });
        self.conditions.get(number).map(|program| Condition { number, program: program.clone() })
    }

    fn range(&mut self, range: &'a Range, positions: &[u16]) -> CheckRange {
        match &range.kind {
            RangeKind::Names(names) => CheckRange::Names(names.clone().into()),
            RangeKind::YesNo(yes) => CheckRange::YesNo(*yes),
            RangeKind::AllTheSame { .. } => CheckRange::Same,
            RangeKind::Band { low, high } => {
                let mut known = |bound: &'a Option<Bound>| match bound {
                    None => Some(None),
                    Some(bound) => self.known(&bound.value).ok().map(|value| Some(End { value, closed: bound.closed })),
                };
                if let (Some(low), Some(high)) = (known(low), known(high)) {
                    return CheckRange::Known(Band { low, high });
                }
                let mut worked = |bound: &'a Option<Bound>| {
                    bound.as_ref().map(|bound| (self.program(&bound.value, positions), bound.closed))
                };
                CheckRange::Worked { low: worked(low), high: worked(high) }
            }
        }
    }

    /// What an expression of the book comes to without a record.
    pub(super) fn known(&mut self, expression: &'a Expression) -> Result<Value, Impossible> {
        let (book, generation) = (self.book, self.generation);
        let known = self.known.entry(std::ptr::from_ref(expression));
        known.or_insert_with(|| evaluate::evaluate(book, Some(generation), expression)).clone()
    }

    fn need(&mut self, id: Id<Characteristic>) {
        // Its own stack: a chain of derivations may be longer than any stack is deep.
        let mut open = vec![id];
        while let Some(id) = open.pop() {
            if let Origin::Derived(Some(body)) = &self.book.characteristics.get(id).origin
                && self.needed.insert(id)
            {
                circles::reaches(body, &mut |reach, _| open.push(reach.characteristic));
            }
        }
    }

    fn program(&mut self, expression: &'a Expression, positions: &[u16]) -> Program {
        circles::reaches(expression, &mut |reach, _| self.need(reach.characteristic));
        let mut operations = Vec::new();
        self.write(expression, positions, &[], &mut operations);
        Program { operations: used_only(operations) }
    }

    /// Appends an expression's operations and gives the number of its answer.
    fn write(
        &mut self,
        expression: &'a Expression,
        positions: &[u16],
        parameters: &[Earlier],
        operations: &mut Vec<Operation>,
    ) -> Earlier {
        // What needs no record is worked out now, once, instead of for every record.
        match self.known(expression) {
            Ok(value) => return put(operations, Operation::Known(Datum::Quantity(value))),
            Err(Impossible::NoConstant(id)) => {
                self.missing_constant(id, &expression.place);
                return put(operations, Operation::Impossible);
            }
            Err(Impossible::Arithmetic(_)) => return put(operations, Operation::Impossible),
            // Outside a table the operation is kept, so that it can be said which table and which value.
            Err(Impossible::NeedsRecord | Impossible::OutsideTable(_)) => {}
        }
        let operation = match &expression.kind {
            ExpressionKind::YesNo(yes) => Operation::Known(Datum::YesNo(*yes)),
            ExpressionKind::Name(name) => Operation::Known(Datum::Name(*name)),
            // Both are worked out above, or said to be missing.
            ExpressionKind::Quantity(_) | ExpressionKind::Constant(_) => Operation::Impossible,
            ExpressionKind::Parameter(number) => {
                return parameters.get(usize::from(*number)).copied().unwrap_or_default();
            }
            ExpressionKind::Reach(reach) => match self.slots(reach, positions, &expression.place).first() {
                Some(slot) => Operation::Slot(*slot),
                None => Operation::Impossible,
            },
            ExpressionKind::Negate(inner) => Operation::Negate(self.write(inner, positions, parameters, operations)),
            ExpressionKind::Not(inner) => Operation::Not(self.write(inner, positions, parameters, operations)),
            ExpressionKind::Binary(operator, left, right) => {
                let left = self.write(left, positions, parameters, operations);
                let right = self.write(right, positions, parameters, operations);
                Operation::Binary(*operator, left, right)
            }
            ExpressionKind::Power(base, exponent) => {
                Operation::Power(self.write(base, positions, parameters, operations), *exponent)
            }
            ExpressionKind::Function(function, arguments) => {
                let arguments =
                    arguments.iter().map(|argument| self.write(argument, positions, parameters, operations)).collect();
                Operation::Function(*function, arguments)
            }
            ExpressionKind::Formula(id, arguments) => {
                let arguments: Vec<Earlier> =
                    arguments.iter().map(|argument| self.write(argument, positions, parameters, operations)).collect();
                let body = &self.book.formulas.get(*id).body;
                return self.write(body, positions, &arguments, operations);
            }
            ExpressionKind::Table(table, inner) => {
                Operation::Table(table.clone(), self.write(inner, positions, parameters, operations))
            }
            ExpressionKind::Collect(collector, values) => {
                let mut elements = Vec::new();
                for value in values {
                    if let ExpressionKind::Reach(reach) = &value.kind {
                        let found = self.slots(reach, positions, &value.place);
                        elements.extend(found.into_iter().map(Element::Slot));
                    } else {
                        elements.push(Element::Value(self.write(value, positions, parameters, operations)));
                    }
                }
                Operation::Collect(*collector, elements.into())
            }
            ExpressionKind::Test { subject, negated, range } => {
                let subject = self.write(subject, positions, parameters, operations);
                let range = match &range.kind {
                    RangeKind::Names(names) => TestRange::Names(names.clone().into()),
                    RangeKind::YesNo(yes) => TestRange::YesNo(*yes),
                    // The checker lets this stand in rows only.
                    RangeKind::AllTheSame { .. } => TestRange::Names(Box::new([])),
                    RangeKind::Band { low, high } => {
                        let mut bound = |bound: &'a Option<Bound>| {
                            bound.as_ref().map(|bound| {
                                (self.write(&bound.value, positions, parameters, operations), bound.closed)
                            })
                        };
                        let low = bound(low);
                        let high = bound(high);
                        TestRange::Band { low, high }
                    }
                };
                Operation::Test { subject, negated: *negated, range }
            }
        };
        put(operations, operation)
    }

    fn missing_constant(&mut self, id: Id<Constant>, place: &Place) {
        if self.missing.insert(id) {
            self.findings.push(wording::constant_missing(self.book, self.generation, id, place));
        }
    }

    /// The slots a reach leads to from given positions.
    fn slots(&mut self, reach: &Reach, here: &[u16], place: &Place) -> Vec<usize> {
        self.book.slots_reached(self.generation, reach, here).unwrap_or_else(|(part, absent)| {
            self.findings.push(wording::not_fitted(self.book, self.generation, part, absent, place));
            Vec::new()
        })
    }
}

/// The operations the last one needs, in their order: what was folded away leaves others behind that nothing uses.
fn used_only(operations: Vec<Operation>) -> Vec<Operation> {
    let mut used = vec![false; operations.len()];
    if let Some(last) = used.last_mut() {
        *last = true;
    }
    for (number, operation) in operations.iter().enumerate().rev() {
        if used.get(number) == Some(&true) {
            super::visit(operation, &mut |earlier| {
                if let Some(entry) = used.get_mut(earlier as usize) {
                    *entry = true;
                }
            });
        }
    }
    let mut moved: Vec<Earlier> = Vec::with_capacity(operations.len());
    let mut next = 0;
    for used in &used {
        moved.push(next);
        next += u32::from(*used);
    }
    let new = |earlier: Earlier| moved.get(earlier as usize).copied().unwrap_or_default();
    operations
        .into_iter()
        .zip(&used)
        .filter(|(_, used)| **used)
        .map(|(mut operation, _)| {
            super::renumber(&mut operation, &new);
            operation
        })
        .collect()
}

/// What an operation comes to where all it works on is known from the book: worked out once, not for every record.
fn known(operations: &[Operation], operation: &Operation) -> Option<Operation> {
    let value = |earlier: &Earlier| match operations.get(*earlier as usize) {
        Some(Operation::Known(Datum::Quantity(value))) => Some(value),
        _ => None,
    };
    let made = match operation {
        Operation::Negate(inner) => Some(value(inner)?.negate()),
        Operation::Table(table, inner) => Some(table.at(value(inner)?)?),
        Operation::Power(inner, exponent) => value(inner)?.power(i8::try_from(*exponent).ok()?),
        Operation::Binary(operator, left, right) if !matches!(operator, Operator::And | Operator::Or) => {
            evaluate::binary(*operator, value(left)?, value(right)?)
        }
        Operation::Function(function, arguments) => {
            let arguments: Vec<Value> =
                arguments.iter().map(|earlier| value(earlier).cloned()).collect::<Option<_>>()?;
            evaluate::call(*function, &arguments)
        }
        _ => return None,
    };
    Some(made.map_or(Operation::Impossible, |value| Operation::Known(Datum::Quantity(value))))
}

fn put(operations: &mut Vec<Operation>, operation: Operation) -> Earlier {
    let operation = known(operations, &operation).unwrap_or(operation);
    operations.push(operation);
    u32::try_from(operations.len() - 1).unwrap_or(u32::MAX)
}

/// The stations meant, each with its number as a slot offset and as a name to show.
fn stations(
    characteristic: &Characteristic,
    station: Option<u16>,
) -> impl Iterator<Item = (usize, Option<u16>)> + use<> {
    let count = characteristic.stations().len();
    let numbers: Vec<(usize, Option<u16>)> = match station {
        Some(station) => vec![(usize::from(station), Some(station))],
        None if count == 0 => vec![(0, None)],
        None => (0..count).map(|at| (at, u16::try_from(at).ok())).collect(),
    };
    numbers.into_iter()
}
