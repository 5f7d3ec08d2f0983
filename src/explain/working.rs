//! Works an expression of the book out for one record, step by step, and writes each step down. It follows the
//! expression as the book has it, not the judge's programs, so that the two check each other. Refuses to know rows.

use super::Line;
use super::figure::{Figure, figure, product, quotient, root};
use super::held::worse;
use super::replaced::{bracketed, replaced};
use super::wording::folded;
use crate::bind::{Readings, State};
use crate::book::evaluate;
use crate::book::{Book, Constant, Datum, Expression, ExpressionKind, Formula, Function, Generation, Id, Kind, Reach};
use crate::plan::Plan;
use crate::quantity::{Number, Unit, Value};
use crate::syntax::tree::Operator;
use crate::text::{Place, Span};
use std::collections::{BTreeMap, BTreeSet};

/// What something comes to.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Answer {
    Known(Datum),
    Missing,
    Skipped,
    Impossible,
    Undecided,
}

/// What something comes to, with how to show it.
#[derive(Clone, Debug)]
pub(super) struct Term {
    pub(super) answer: Answer,
    /// The unit it is shown in, if it is a quantity.
    pub(super) unit: Unit,
    /// As it stands in the middle of a line.
    pub(super) text: String,
}

/// The names in an expression, each with the value it is replaced by.
type Swaps = Vec<(Span, String)>;

/// A record laid out for explaining.
pub(super) struct Working<'a> {
    pub(super) book: &'a Book,
    pub(super) generation: &'a Generation,
    pub(super) plan: &'a Plan,
    pub(super) readings: &'a Readings,
    /// Whether values may be drawn.
    pub(super) draws: bool,
    /// Derived values worked out so far.
    pub(super) values: BTreeMap<usize, Term>,
    /// The lines of the block being written.
    pub(super) lines: Vec<Line>,
    depth: u8,
    /// Formulas written out so far, with their arguments and results.
    formulas: Vec<(Id<Formula>, Vec<Answer>, Term)>,
    /// Lines on constants, which stand before the others of their block.
    pub(super) given: Vec<Line>,
    constants: BTreeSet<Id<Constant>>,
}

/// The positions and parameters an expression is worked out with.
#[derive(Clone, Copy)]
pub(super) struct Stand<'b> {
    pub(super) positions: &'b [u16],
    /// The arguments of the formula it stands in.
    pub(super) parameters: &'b [Term],
    /// The unit of a literal that borrows its neighbour's.
    pub(super) unit: &'b Unit,
}

impl<'b> Stand<'b> {
    pub(super) fn new(positions: &'b [u16], unit: &'b Unit) -> Stand<'b> {
        Stand { positions, parameters: &[], unit }
    }
}

impl<'a> Working<'a> {
    pub(super) fn new(book: &'a Book, plan: &'a Plan, readings: &'a Readings) -> Working<'a> {
        Working {
            book,
            generation: book.generations.get(plan.generation),
            plan,
            readings,
            draws: false,
            values: BTreeMap::new(),
            lines: Vec::new(),
            depth: 0,
            formulas: Vec::new(),
            given: Vec::new(),
            constants: BTreeSet::new(),
        }
    }

    /// The same, with leave to draw values or without.
    pub(super) fn drawing(self, draws: bool) -> Working<'a> {
        Working { draws, ..self }
    }

    /// Forgets which formulas and constants were written out, so that the next verdict stands by itself.
    pub(super) fn afresh(&mut self) {
        self.formulas.clear();
        self.constants.clear();
        self.lines.clear();
        self.given.clear();
    }

    pub(super) fn say(&mut self, text: impl Into<String>, place: Option<Place>) {
        self.lines.push(Line { text: text.into(), place, depth: self.depth });
    }

    /// A quantity as a term.
    pub(super) fn quantity(&self, value: Value, unit: Unit) -> Term {
        let text = figure(&value, &unit).operand();
        Term { answer: Answer::Known(Datum::Quantity(value)), unit, text }
    }

    pub(super) fn yes(&self, yes: bool) -> Term {
        let text = if yes { "yes" } else { "no" };
        Term { answer: Answer::Known(Datum::YesNo(yes)), unit: Unit::number(), text: text.into() }
    }

    pub(super) fn lacking(&self, answer: Answer) -> Term {
        let text = match answer {
            Answer::Missing | Answer::Known(_) => "(not measured)",
            Answer::Skipped => "(left out)",
            Answer::Impossible => "(no answer)",
            Answer::Undecided => "(not decided)",
        };
        Term { answer, unit: Unit::number(), text: text.into() }
    }

    /// A value of a characteristic as a term.
    pub(super) fn term(&self, datum: &Datum, kind: Kind, unit: Option<&Unit>) -> Term {
        let names = if let Kind::Names(set) = kind { Some(set) } else { None };
        let unit = unit.cloned().unwrap_or_else(Unit::number);
        let text = match datum {
            Datum::Quantity(value) => figure(value, &unit).operand(),
            Datum::Name(number) => {
                names.map_or_else(String::new, |set| self.book.sets.get(set).name_of(*number).to_string())
            }
            Datum::YesNo(yes) => if *yes { "yes" } else { "no" }.into(),
            Datum::Words => "(words)".into(),
        };
        Term { answer: Answer::Known(datum.clone()), unit, text }
    }

    /// Every value of a slot as a term: all its readings, or the one derived value, or what is there instead.
    pub(super) fn terms_of(&self, slot: usize) -> Vec<Term> {
        if let Some(term) = self.values.get(&slot) {
            return vec![term.clone()];
        }
        let taken = self.readings.taken(slot);
        if taken.is_empty() {
            let optional = self.plan.optional.get(slot).copied().unwrap_or(false);
            let absent = self.readings.state(slot) == State::Absent;
            return vec![self.lacking(if optional && absent { Answer::Skipped } else { Answer::Missing })];
        }
        let Some((characteristic, _, _)) = self.book.slot_owner(slot) else { return Vec::new() };
        let characteristic = self.book.characteristics.get(characteristic);
        taken
            .iter()
            .map(|reading| {
                let mut term = self.term(&reading.datum, characteristic.kind, characteristic.unit.as_ref());
                // A reading in the unit it is asked for keeps the digits it was written with.
                let written = folded(self.readings.slice(reading.span));
                if let (Ok((_, length)), Some(unit)) = (Number::parse_prefix(&written), characteristic.unit.as_ref())
                    && written.get(length..).is_some_and(|rest| rest.trim() == &*unit.symbol)
                    && matches!(reading.datum, Datum::Quantity(_))
                    && reading.warmth().is_none()
                {
                    term.text = written;
                }
                term
            })
            .collect()
    }

    /// Writes an expression out and works it out: first with each name replaced by its value, then step by step.
    pub(super) fn work(&mut self, expression: &Expression, stand: Stand<'_>) -> Term {
        let at = self.lines.len();
        let mut swaps = Swaps::new();
        let term = self.step(expression, stand, &mut swaps);
        if expression.is_written()
            && let Some(text) = replaced(&expression.place, swaps)
        {
            self.lines.insert(at, Line { text: format!("= {text}"), place: None, depth: self.depth });
        }
        term
    }

    fn step(&mut self, expression: &Expression, stand: Stand<'_>, swaps: &mut Swaps) -> Term {
        let place = &expression.place;
        match &expression.kind {
            ExpressionKind::Quantity(value) => self.literal(value, place, stand.unit),
            ExpressionKind::YesNo(yes) => self.yes(*yes),
            ExpressionKind::Name(name) => {
                Term { answer: Answer::Known(Datum::Name(*name)), unit: Unit::number(), text: folded(place.text()) }
            }
            ExpressionKind::Constant(id) => {
                let term = self.constant(*id);
                swaps.push((place.span, term.text.clone()));
                term
            }
            ExpressionKind::Parameter(number) => {
                let term = stand.parameters.get(usize::from(*number)).cloned();
                let term = term.unwrap_or_else(|| self.lacking(Answer::Impossible));
                swaps.push((place.span, term.text.clone()));
                term
            }
            ExpressionKind::Reach(reach) => {
                let slot = self.slots(reach, stand.positions).first().copied();
                let term = slot.and_then(|slot| self.terms_of(slot).into_iter().next());
                let term = term.unwrap_or_else(|| self.lacking(Answer::Impossible));
                swaps.push((place.span, term.text.clone()));
                term
            }
            ExpressionKind::Negate(inner) => {
                let inner = self.step(inner, stand, swaps);
                self.made(&[&inner], (inner.unit.clone(), false), |values| Some(values.first()?.negate()), |_| None)
            }
            ExpressionKind::Not(inner) => {
                let inner = self.step(inner, stand, swaps);
                match inner.answer {
                    Answer::Known(Datum::YesNo(yes)) => {
                        let term = self.yes(!yes);
                        self.say(format!("not {} = {}", inner.text, term.text), None);
                        term
                    }
                    _ => inner,
                }
            }
            ExpressionKind::Binary(operator @ (Operator::And | Operator::Or), left, right) => {
                let left = self.step(left, stand, swaps);
                let right = self.step(right, stand, swaps);
                self.logic(*operator, &left, &right)
            }
            ExpressionKind::Binary(operator, left, right) => {
                let left = self.step(left, stand, swaps);
                let right = self.step(right, stand, swaps);
                self.arithmetic(*operator, &left, &right)
            }
            ExpressionKind::Power(base, exponent) => {
                let base = self.step(base, stand, swaps);
                let mut unit = Unit::number();
                for _ in 0..*exponent {
                    unit = product(&self.book.units, &unit, &base.unit);
                }
                let exponent = *exponent;
                self.made(
                    &[&base],
                    (unit, false),
                    |values| values.first()?.power(i8::try_from(exponent).ok()?),
                    |texts| Some(format!("({})^{exponent}", texts.first()?)),
                )
            }
            ExpressionKind::Function(function, arguments) => {
                let terms: Vec<Term> = arguments.iter().map(|argument| self.step(argument, stand, swaps)).collect();
                self.function(*function, &terms)
            }
            ExpressionKind::Formula(id, arguments) => {
                let terms: Vec<Term> = arguments.iter().map(|argument| self.step(argument, stand, swaps)).collect();
                self.formula(*id, terms)
            }
            ExpressionKind::Collect(collector, values) => {
                let mut terms = Vec::new();
                for value in values {
                    if let ExpressionKind::Reach(reach) = &value.kind {
                        let found: Vec<Term> = self
                            .slots(reach, stand.positions)
                            .into_iter()
                            .flat_map(|slot| self.terms_of(slot))
                            .collect();
                        let texts: Vec<&str> = found.iter().map(|term| term.text.as_str()).collect();
                        let joined = texts.join(", ");
                        // In a list of several, the values stand among the others without a bracket of their own.
                        let alone = values.len() == 1 && found.len() > 1;
                        swaps.push((value.place.span, if alone { format!("({joined})") } else { joined }));
                        terms.extend(found);
                    } else {
                        terms.push(self.step(value, stand, swaps));
                    }
                }
                self.collect(*collector, &terms)
            }
            ExpressionKind::Table(table, inner) => {
                let inner = self.step(inner, stand, swaps);
                let unit = self.book.units.of_dimension(table.gives).next().cloned().unwrap_or_else(Unit::number);
                self.made(
                    &[&inner],
                    (unit, false),
                    |values| table.at(values.first()?),
                    |texts| Some(format!("{} at {}, between its points", table.name, texts.first()?)),
                )
            }
            ExpressionKind::Test { subject, negated, range } => {
                let term = self.step(subject, stand, swaps);
                self.test(subject, &term, *negated, range, stand)
            }
        }
    }

    pub(super) fn literal(&mut self, value: &Value, place: &Place, borrowed: &Unit) -> Term {
        let written = folded(place.text());
        let unit = match Number::parse_prefix(&written) {
            Ok((number, length)) => match written.get(length..).map(str::trim).filter(|rest| !rest.is_empty()) {
                Some(name) => {
                    let unit =
                        self.book.units.resolve(name).map_or_else(|_| borrowed.clone(), |unit| unit.into_owned());
                    // On a scale what stands after ± is a difference.
                    if unit.zero.is_some() && unit.to_base(&number) != *value { unit.difference() } else { unit }
                }
                // A bare number of a bound takes its neighbour's unit; any other is plain.
                None if borrowed.to_base(&Number::ONE) != Value::ONE => {
                    let neighbours = [borrowed.clone(), borrowed.difference()];
                    neighbours.into_iter().find(|unit| unit.to_base(&number) == *value).unwrap_or_else(Unit::number)
                }
                None => Unit::number(),
            },
            Err(_) => Unit::number(),
        };
        let own = Number::parse_prefix(&written)
            .is_ok_and(|(_, length)| written.get(length..).is_some_and(|rest| rest.trim() == &*unit.symbol));
        let bare = Number::parse(&written).is_ok();
        let text = match (own || unit.symbol.is_empty(), bare) {
            (true, _) => written,
            // A bare number of a bound, with the unit it takes from its neighbour.
            (false, true) => format!("{written} {}", unit.symbol),
            (false, false) => figure(value, &unit).operand(),
        };
        Term { answer: Answer::Known(Datum::Quantity(value.clone())), unit, text }
    }

    fn constant(&mut self, id: Id<Constant>) -> Term {
        let constant = self.book.constants.get(id);
        let given = self.generation.constants.get(id.index()).and_then(Option::as_ref);
        let Some(given) = given else { return self.lacking(Answer::Impossible) };
        let unit = constant.unit.clone().unwrap_or_else(Unit::number);
        let term = self.quantity(given.value.clone(), unit);
        if self.constants.insert(id) {
            let text = format!("{} is {}, a constant of this generation", constant.name, term.text);
            self.given.push(Line { text, place: Some(given.place.clone()), depth: 0 });
        }
        term
    }

    /// A value made of quantities, written down unless `written` says nothing.
    fn made(
        &mut self,
        terms: &[&Term],
        (unit, bounded): (Unit, bool),
        make: impl Fn(&[Value]) -> Option<Value>,
        written: impl Fn(&[&str]) -> Option<String>,
    ) -> Term {
        let mut values = Vec::new();
        let mut worst = Answer::Known(Datum::YesNo(true));
        for term in terms {
            match &term.answer {
                Answer::Known(Datum::Quantity(value)) => values.push(value.clone()),
                other => worst = worse(&worst, other),
            }
        }
        if values.len() < terms.len() {
            return self.lacking(worst);
        }
        let texts: Vec<&str> = terms.iter().map(|term| term.text.as_str()).collect();
        let line = written(&texts);
        match make(&values) {
            Some(value) => {
                let shown: Figure = figure(&value, &unit);
                if let Some(line) = line {
                    self.say(format!("{line} {}", if bounded { shown.bounded_result() } else { shown.result() }), None);
                }
                self.quantity(value, unit)
            }
            None => {
                if let Some(line) = line {
                    self.say(format!("{line} has no answer"), None);
                }
                self.lacking(Answer::Impossible)
            }
        }
    }

    fn arithmetic(&mut self, operator: Operator, left: &Term, right: &Term) -> Term {
        let units = &self.book.units;
        let (unit, sign) = match operator {
            Operator::Multiply => (product(units, &left.unit, &right.unit), "*"),
            Operator::Divide => (quotient(units, &left.unit, &right.unit), "/"),
            Operator::Add if right.unit.zero.is_some() => (right.unit.clone(), "+"),
            Operator::Subtract if left.unit.zero.is_some() && right.unit.zero.is_some() => {
                (left.unit.difference(), "-")
            }
            Operator::Subtract => (left.unit.clone(), "-"),
            _ => (left.unit.clone(), "+"),
        };
        self.made(
            &[left, right],
            (unit, false),
            |values| evaluate::binary(operator, values.first()?, values.get(1)?),
            |texts| Some(format!("{} {sign} {}", bracketed(texts.first()?), bracketed(texts.get(1)?))),
        )
    }

    fn function(&mut self, function: Function, terms: &[Term]) -> Term {
        let name = Function::ALL.iter().find(|(_, other, _)| *other == function).map_or("", |(name, _, _)| name);
        let first = terms.first().map_or_else(Unit::number, |term| term.unit.clone());
        let unit = match function {
            Function::SquareRoot => root(&self.book.units, &first),
            Function::Absolute | Function::Round => first,
            Function::ArcSine | Function::ArcCosine | Function::ArcTangent => {
                self.book.units.find("rad").cloned().unwrap_or_else(Unit::number)
            }
            Function::Sine
            | Function::Cosine
            | Function::Tangent
            | Function::Radians
            | Function::Exponential
            | Function::Logarithm
            | Function::Significant => Unit::number(),
        };
        self.made(
            &terms.iter().collect::<Vec<_>>(),
            (unit, true),
            |values| evaluate::call(function, values),
            |texts| Some(format!("{name}({})", texts.join(", "))),
        )
    }

    fn formula(&mut self, id: Id<Formula>, terms: Vec<Term>) -> Term {
        let formula = self.book.formulas.get(id);
        let texts: Vec<String> =
            formula.parameters.iter().zip(&terms).map(|((name, _), term)| format!("{name} = {}", term.text)).collect();
        let call = format!("{}({})", formula.name, texts.join(", "));
        let answers: Vec<Answer> = terms.iter().map(|term| term.answer.clone()).collect();
        let known = self.formulas.iter().find(|(other, before, _)| *other == id && *before == answers);
        if let Some(term) = known.map(|(_, _, term)| term.clone()) {
            // Written out once: the same arguments give the same steps.
            self.say(format!("{call} {}, as calculated above", result_of(&term)), None);
            return term;
        }
        self.say(format!("{call} is {}", folded(formula.body.place.text())), Some(formula.place.clone()));
        self.depth = self.depth.saturating_add(1);
        let plain = Unit::number();
        let term = self.work(&formula.body, Stand { positions: &[], parameters: &terms, unit: &plain });
        self.depth = self.depth.saturating_sub(1);
        self.say(format!("{call} {}", result_of(&term)), None);
        self.formulas.push((id, answers, term.clone()));
        term
    }

    /// The slots a reach leads to from given positions.
    pub(super) fn slots(&self, reach: &Reach, here: &[u16]) -> Vec<usize> {
        self.book.slots_reached(self.generation, reach, here).unwrap_or_default()
    }
}

/// A term as it stands at the end of a line.
pub(super) fn result_of(term: &Term) -> String {
    match &term.answer {
        Answer::Known(Datum::Quantity(value)) => figure(value, &term.unit).result(),
        _ => format!("= {}", term.text),
    }
}
