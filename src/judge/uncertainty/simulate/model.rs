//! A value as the plan calculates it, in binary numbers over numbered influences: made once, and run for each set of draws.

use super::super::{Influence, Weighing};
use super::joint::Joint;
use super::shape;
use crate::bind::{Reading, Warmth};
use crate::book::{Datum, Function, Table};
use crate::judge::evaluate::Outcome;
use crate::plan::{Element, Operation, Program, Subject};
use crate::quantity::Value;
use crate::statistics::draw::{Draws, Shape};
use crate::syntax::tree::{Collector, Operator};
use rustc_hash::FxHashMap;

/// A value in binary; what is lost is far below any uncertainty.
fn binary(value: &Value) -> f64 {
    value.midpoint().to_f64()
}

/// Where a number is found: an earlier operation, a reading, a step.
type At = usize;

/// How a reading follows the influences.
struct Leaf {
    value: f64,
    /// Each influence on the reading as it was taken, by its number, with the derivative by it.
    terms: Vec<(usize, f64)>,
    warmth: Option<Warm>,
}

/// A reading brought to 20 °C: its expansions and temperatures, in 1/K and K above 20 °C, each with the influence on it.
struct Warm {
    part_expansion: (f64, usize),
    part_warmer: (f64, usize),
    gauge_expansion: (f64, Option<usize>),
    gauge_warmer: (f64, usize),
}

/// The readings of a slot, and the influence of their scatter where there are several.
struct Slot {
    first: At,
    count: usize,
    repeats: Option<usize>,
}

enum Op {
    Fixed(f64),
    Reading(At),
    Step(At),
    Negate(At),
    Binary(Operator, At, At),
    Power(At, i32),
    Table(Vec<(f64, f64)>, bool, At),
    Call(Function, At, Option<At>),
    Collect(Collector, Vec<Item>),
}

/// One part of a collection.
enum Item {
    Op(At),
    Step(At),
    Slot(Slot),
}

/// A program, whether anything in it is uncertain, and whether it is a sum of what is.
struct Made {
    ops: Vec<Op>,
    uncertain: bool,
    straight: bool,
}

/// A value and all it rests on.
pub(super) struct Model<'a> {
    weighing: &'a Weighing<'a>,
    shapes: Vec<Shape>,
    numbers: FxHashMap<Influence, usize>,
    leaves: Vec<Leaf>,
    slots: FxHashMap<usize, At>,
    steps: Vec<Made>,
    step_at: FxHashMap<usize, At>,
    last: Made,
    joint: Option<Joint>,
    // What one set of draws comes to.
    off: Vec<f64>,
    readings: Vec<f64>,
    results: Vec<f64>,
    room: Vec<f64>,
}

impl<'a> Model<'a> {
    /// The model of what a check judges; `None` where nothing in it is uncertain, and where it is a sum of what is normal.
    pub(super) fn of(weighing: &'a Weighing<'a>, subject: &Subject, reading: Option<usize>) -> Option<Model<'a>> {
        let mut model = Model {
            weighing,
            shapes: Vec::new(),
            numbers: FxHashMap::default(),
            leaves: Vec::new(),
            slots: FxHashMap::default(),
            steps: Vec::new(),
            step_at: FxHashMap::default(),
            last: Made { ops: Vec::new(), uncertain: false, straight: true },
            joint: None,
            off: Vec::new(),
            readings: Vec::new(),
            results: Vec::new(),
            room: Vec::new(),
        };
        model.last = match subject {
            Subject::Slot { slot, .. } => model.program(&Program { operations: vec![Operation::Slot(*slot)] }),
            Subject::Each { slot, .. } => {
                let at = model.slot(*slot) + reading.unwrap_or(0);
                let straight = model.leaves.get(at).is_some_and(|leaf| leaf.warmth.is_none());
                Made { ops: vec![Op::Reading(at)], uncertain: true, straight }
            }
            Subject::Made(program) => model.program(program),
            Subject::Group(_) => return None,
        };
        model.joint = Joint::of(weighing, &model.numbers);
        let normal = model.shapes.iter().all(|shape| matches!(shape, Shape::Normal(_)));
        let sum = model.last.straight && normal;
        (model.last.uncertain && !model.shapes.is_empty() && !sum).then_some(model)
    }

    fn influence(&mut self, influence: Influence) -> usize {
        let (weighing, shapes) = (self.weighing, &mut self.shapes);
        *self.numbers.entry(influence).or_insert_with(|| {
            shapes.push(shape(weighing, influence));
            shapes.len() - 1
        })
    }

    /// Where the readings of a slot begin.
    fn slot(&mut self, slot: usize) -> At {
        if let Some(at) = self.slots.get(&slot) {
            return *at;
        }
        let first = self.leaves.len();
        let readings = self.weighing.bench.readings;
        for (number, reading) in readings.taken(slot).iter().enumerate() {
            let leaf = self.leaf(reading, slot, number);
            self.leaves.push(leaf);
        }
        self.slots.insert(slot, first);
        first
    }

    fn leaf(&mut self, reading: &Reading, slot: usize, number: usize) -> Leaf {
        let form = self.weighing.as_taken(reading, slot, number);
        let terms = form.terms.iter().map(|(influence, by)| (self.influence(*influence), binary(by))).collect();
        let warmth = reading.warmth().map(|warmth| self.warm(reading, warmth));
        let value = match (reading.warmth(), &reading.datum) {
            (Some(warmth), _) => binary(&warmth.as_taken),
            (None, Datum::Quantity(value)) => binary(value),
            (None, _) => f64::NAN,
        };
        Leaf { value, terms, warmth }
    }

    fn warm(&mut self, reading: &Reading, warmth: &Warmth) -> Warm {
        let readings = self.weighing.bench.readings;
        let reference = binary(&crate::bind::reference());
        let expansion = self.weighing.book.parts.get(warmth.part).expansion.as_ref();
        let gauge = reading.gauge.and_then(|number| Some((number, readings.gauges.get(usize::from(number))?)));
        let of_gauge = gauge.and_then(|(number, gauge)| Some((number, gauge.expansion.as_ref()?)));
        let at = |temperature: &crate::bind::Temperature| Influence::Temperature(temperature.span.start);
        Warm {
            part_expansion: (
                expansion.map_or(0.0, |expansion| binary(&expansion.coefficient)),
                self.influence(Influence::PartExpansion(warmth.part)),
            ),
            part_warmer: (
                binary(&warmth.part_temperature.value) - reference,
                self.influence(at(&warmth.part_temperature)),
            ),
            gauge_expansion: (
                of_gauge.map_or(0.0, |(_, (coefficient, _))| binary(coefficient)),
                of_gauge.map(|(number, _)| self.influence(Influence::GaugeExpansion(number))),
            ),
            gauge_warmer: (
                binary(&warmth.gauge_temperature.value) - reference,
                self.influence(at(&warmth.gauge_temperature)),
            ),
        }
    }

    /// The step that fills a slot, and those before it; `None` of a slot that is read.
    fn step(&mut self, slot: usize) -> Option<At> {
        let bench = self.weighing.bench;
        let wanted = bench.plan.step_of.get(slot).copied().flatten()? as usize;
        // In the order they are calculated, so that no chain goes deep.
        for number in bench.steps_for(&[slot]) {
            if let (false, Some(step)) = (self.step_at.contains_key(&number), bench.plan.steps.get(number)) {
                let made = self.program(&step.program);
                self.steps.push(made);
                self.step_at.insert(number, self.steps.len() - 1);
            }
        }
        self.step_at.get(&wanted).copied()
    }

    fn program(&mut self, program: &Program) -> Made {
        let results = self.weighing.bench.results(program);
        // Of each operation, whether it is uncertain, and whether it is a sum of what is.
        let mut known: Vec<(bool, bool)> = Vec::with_capacity(results.len());
        let mut ops = Vec::with_capacity(results.len());
        for (operation, result) in program.operations.iter().zip(&results) {
            let value = match result {
                Outcome::Known(Datum::Quantity(value)) => binary(value),
                _ => f64::NAN,
            };
            let (op, uncertain, straight) = self.operation(operation, &results, &known);
            known.push((uncertain, straight));
            // What is certain needs no working out again; names and conditions are among it.
            ops.push(if uncertain { op } else { Op::Fixed(value) });
        }
        let (uncertain, straight) = known.last().copied().unwrap_or((false, true));
        Made { ops, uncertain, straight }
    }

    fn operation(&mut self, operation: &Operation, results: &[Outcome], known: &[(bool, bool)]) -> (Op, bool, bool) {
        let of = |at: u32| known.get(at as usize).copied().unwrap_or((false, true));
        let at = |earlier: u32| earlier as usize;
        match operation {
            Operation::Known(_) | Operation::Impossible | Operation::Not(_) | Operation::Test { .. } => {
                (Op::Fixed(f64::NAN), false, true)
            }
            Operation::Slot(slot) => match self.step(*slot) {
                Some(step) => {
                    let (uncertain, straight) =
                        self.steps.get(step).map_or((false, true), |made| (made.uncertain, made.straight));
                    (Op::Step(step), uncertain, straight)
                }
                None => {
                    let reading = self.slot(*slot);
                    let (uncertain, straight) = self.reading_is(reading, 1);
                    (Op::Reading(reading), uncertain, straight)
                }
            },
            Operation::Negate(inner) => (Op::Negate(at(*inner)), of(*inner).0, of(*inner).1),
            Operation::Binary(operator, left, right) => {
                let ((one, one_straight), (other, other_straight)) = (of(*left), of(*right));
                let straight = match operator {
                    Operator::Add | Operator::Subtract => one_straight && other_straight,
                    Operator::Multiply => (!one && other_straight) || (!other && one_straight),
                    Operator::Divide => !other && one_straight,
                    Operator::And | Operator::Or => false,
                };
                (Op::Binary(*operator, at(*left), at(*right)), one || other, straight)
            }
            Operation::Power(inner, exponent) => (Op::Power(at(*inner), i32::from(*exponent)), of(*inner).0, false),
            Operation::Table(table, inner) => {
                let (points, held) = points(table);
                (Op::Table(points, held, at(*inner)), of(*inner).0, false)
            }
            Operation::Function(function, arguments) => {
                let first = arguments.first().copied().unwrap_or(0);
                let second = arguments.get(1).copied();
                let straight = *function == Function::Radians && of(first).1;
                let uncertain = arguments.iter().any(|argument| of(*argument).0);
                (Op::Call(*function, at(first), second.map(at)), uncertain, straight)
            }
            Operation::Collect(collector, elements) => self.collect(*collector, elements, results, known),
        }
    }

    fn reading_is(&self, first: At, count: usize) -> (bool, bool) {
        let leaves = self.leaves.iter().skip(first).take(count);
        leaves.fold((false, true), |(uncertain, straight), leaf| {
            let warm = leaf.warmth.is_some();
            (uncertain || warm || !leaf.terms.is_empty(), straight && !warm)
        })
    }

    fn collect(
        &mut self,
        collector: Collector,
        elements: &[Element],
        results: &[Outcome],
        known: &[(bool, bool)],
    ) -> (Op, bool, bool) {
        let averaged = matches!(collector, Collector::Mean | Collector::Sum);
        let (mut items, mut uncertain, mut straight) = (Vec::new(), false, averaged);
        let mut add = |item: Item, (is_uncertain, is_straight): (bool, bool)| {
            uncertain |= is_uncertain;
            straight &= is_straight;
            items.push(item);
        };
        for element in elements {
            match element {
                Element::Value(earlier) => {
                    if let Some(Outcome::Known(Datum::Quantity(_))) = results.get(*earlier as usize) {
                        let is = known.get(*earlier as usize).copied().unwrap_or((false, true));
                        add(Item::Op(*earlier as usize), is);
                    }
                }
                Element::Slot(slot) => {
                    let readings = self.weighing.bench.readings;
                    let count = readings.quantities(*slot).map_or(0, |taken| taken.len());
                    if count > 0 {
                        let first = self.slot(*slot);
                        let named = u32::try_from(*slot).unwrap_or(u32::MAX);
                        let several = averaged && count > 1;
                        let repeats = several.then(|| self.influence(Influence::Repeats(named)));
                        let (is, plain) = self.reading_is(first, count);
                        add(Item::Slot(Slot { first, count, repeats }), (is || several, plain));
                    } else if let (Outcome::Known(Datum::Quantity(_)), Some(step)) =
                        (self.weighing.bench.slot(*slot), self.step(*slot))
                    {
                        let is = self.steps.get(step).map_or((false, true), |made| (made.uncertain, made.straight));
                        add(Item::Step(step), is);
                    }
                }
            }
        }
        (Op::Collect(collector, items), uncertain && collector != Collector::Count, straight)
    }

    /// The value for one set of draws; not finite where it has no answer.
    pub(super) fn once(&mut self, draws: &mut Draws) -> f64 {
        self.off.clear();
        self.off.extend(self.shapes.iter().map(|shape| draws.one(*shape)));
        if let Some(joint) = &mut self.joint {
            joint.once(draws, &mut self.off);
        }
        self.readings.clear();
        let off = &self.off;
        self.readings.extend(self.leaves.iter().map(|leaf| leaf.once(off)));
        let (mut results, mut room) = (std::mem::take(&mut self.results), std::mem::take(&mut self.room));
        results.clear();
        for step in &self.steps {
            let value = self.run(step, &results, &mut room);
            results.push(value);
        }
        let value = self.run(&self.last, &results, &mut room);
        (self.results, self.room) = (results, room);
        value
    }

    fn run(&self, made: &Made, steps: &[f64], room: &mut Vec<f64>) -> f64 {
        room.clear();
        let lies = |from: &[f64], at: At| from.get(at).copied().unwrap_or(f64::NAN);
        for op in &made.ops {
            let at = |earlier: At| lies(room, earlier);
            let value = match op {
                Op::Fixed(value) => *value,
                Op::Reading(reading) => lies(&self.readings, *reading),
                Op::Step(step) => lies(steps, *step),
                Op::Negate(inner) => -at(*inner),
                Op::Binary(operator, left, right) => match operator {
                    Operator::Add => at(*left) + at(*right),
                    Operator::Subtract => at(*left) - at(*right),
                    Operator::Multiply => at(*left) * at(*right),
                    Operator::Divide => at(*left) / at(*right),
                    Operator::And | Operator::Or => f64::NAN,
                },
                Op::Power(inner, exponent) => at(*inner).powi(*exponent),
                Op::Table(points, held, inner) => between(points, *held, at(*inner)),
                Op::Call(function, first, second) => called(*function, at(*first), second.map(at)),
                Op::Collect(collector, items) => self.collected(*collector, items, (steps, room)),
            };
            room.push(value);
        }
        room.last().copied().unwrap_or(f64::NAN)
    }

    fn collected(&self, collector: Collector, items: &[Item], (steps, room): (&[f64], &[f64])) -> f64 {
        let (mut low, mut high, mut sum, mut count) = (f64::INFINITY, f64::NEG_INFINITY, 0.0, 0.0);
        let mut take = |value: f64| {
            // Not a number is kept: `min` and `max` would lose it.
            (low, high) = (
                if value < low || value.is_nan() { value } else { low },
                if value > high || value.is_nan() { value } else { high },
            );
            sum += value;
            count += 1.0;
        };
        for item in items {
            match item {
                Item::Op(at) => take(room.get(*at).copied().unwrap_or(f64::NAN)),
                Item::Step(at) => take(steps.get(*at).copied().unwrap_or(f64::NAN)),
                Item::Slot(slot) => {
                    let off = slot.repeats.and_then(|repeats| self.off.get(repeats)).copied().unwrap_or(0.0);
                    self.readings.iter().skip(slot.first).take(slot.count).for_each(|value| take(value + off));
                }
            }
        }
        match collector {
            Collector::Smallest => low,
            Collector::Largest => high,
            Collector::Spread => high - low,
            Collector::Sum => sum,
            Collector::Mean => sum / count,
            Collector::Count => count,
        }
    }
}

impl Leaf {
    fn once(&self, off: &[f64]) -> f64 {
        let drawn = |number: usize| off.get(number).copied().unwrap_or(0.0);
        let value = self.terms.iter().fold(self.value, |value, (number, by)| value + by * drawn(*number));
        let Some(warm) = &self.warmth else { return value };
        let moved = |(value, number): (f64, usize)| value + drawn(number);
        let gauge_expansion = warm.gauge_expansion.0 + warm.gauge_expansion.1.map_or(0.0, drawn);
        let gauge_growth = 1.0 + gauge_expansion * moved(warm.gauge_warmer);
        let part_growth = 1.0 + moved(warm.part_expansion) * moved(warm.part_warmer);
        value * gauge_growth / part_growth
    }
}

fn points(table: &Table) -> (Vec<(f64, f64)>, bool) {
    (table.points.iter().map(|(x, y)| (binary(x), binary(y))).collect(), table.held)
}

/// The value of straight pieces at a place; past the ends that of the end where it is held, and else no answer.
fn between(points: &[(f64, f64)], held: bool, at: f64) -> f64 {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return f64::NAN };
    let end = |value: f64| if held { value } else { f64::NAN };
    if at < first.0 {
        return end(first.1);
    }
    let piece = points.iter().zip(points.iter().skip(1)).find(|(_, right)| at <= right.0);
    match piece {
        Some((left, right)) => left.1 + (at - left.0) / (right.0 - left.0) * (right.1 - left.1),
        None if at > last.0 => end(last.1),
        None => f64::NAN,
    }
}

fn called(function: Function, first: f64, second: Option<f64>) -> f64 {
    match function {
        Function::SquareRoot => first.sqrt(),
        Function::Sine => first.sin(),
        Function::Cosine => first.cos(),
        Function::Tangent => first.tan(),
        Function::ArcSine => first.asin(),
        Function::ArcCosine => first.acos(),
        Function::ArcTangent => first.atan(),
        Function::Absolute => first.abs(),
        Function::Round => second.map_or(f64::NAN, |step| (first / step).round_ties_even() * step),
        Function::Radians => first,
        Function::Exponential => first.exp(),
        Function::Logarithm => first.ln(),
        Function::Significant => second.map_or(f64::NAN, |digits| significant(first, digits)),
    }
}

fn significant(value: f64, digits: f64) -> f64 {
    let first = value.abs().log10().floor();
    // Nought has no first digit, and stays what it is.
    if !first.is_finite() {
        return value;
    }
    let step = 10_f64.powf(first - digits + 1.0);
    (value / step).round_ties_even() * step
}
