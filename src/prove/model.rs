//! A calculated value written out down to the single values that are read, at one place of the machine. Refuses to know
//! what it can come to.

use super::input::{Known, input, is_countable};
use super::stack::{Under, is_of_the_whole};
use crate::book::{
    Book, Characteristic, Expression, ExpressionKind, Function, Generation, Id, Origin, Reach, Selector,
};
use crate::book::{Table, evaluate};
use crate::quantity::{Band, Number, Value};
use crate::syntax::tree::{Collector, Operator};
use std::sync::Arc;

/// A value of more steps than this, or of more values read, is not written out.
const MOST_STEPS: usize = 2_000;
const MOST_ATOMS: usize = 200;

/// Deeper than this nothing is written out.
const MOST_DEPTH: usize = 64;

/// One value that is read: of which reading, and where.
#[derive(Clone, Debug)]
pub(super) struct Atom {
    pub characteristic: Id<Characteristic>,
    pub positions: Vec<u16>,
    pub station: Option<u16>,
    /// Where a good one lies.
    pub band: Band,
    /// Whether `band` covers cases that differ, or names with gaps.
    pub cases: bool,
    /// Whether it may be left out.
    pub optional: bool,
}

/// How a value is calculated from the values read.
#[derive(Clone, Debug)]
pub(super) enum Tree {
    Atom(usize),
    Value(Value),
    Negate(Box<Tree>),
    Two(Operator, Box<Tree>, Box<Tree>),
    Power(Box<Tree>, u8),
    Call(Function, Vec<Tree>),
    Look(Arc<Table>, Box<Tree>),
    /// One value of several; `open` where a record may hold more of them than stand here, or fewer.
    Of {
        collector: Collector,
        values: Vec<Tree>,
        open: bool,
    },
}

/// A calculated value at one place.
#[derive(Clone, Debug)]
pub(super) struct Model {
    pub atoms: Vec<Atom>,
    pub tree: Tree,
}

/// What is written out, and what is known to be the case there.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub book: &'a Book,
    pub generation: &'a Generation,
    pub under: Option<Under<'a>>,
    /// Conditions that are tried besides.
    pub besides: &'a [&'a Expression],
}

impl Model {
    /// A derived value at the given positions; `None` where it is no quantity, or too large to be written out.
    pub(super) fn new(asked: Asked<'_>, id: Id<Characteristic>, positions: &[u16]) -> Option<Model> {
        let Origin::Derived(Some(body)) = &asked.book.characteristics.get(id).origin else { return None };
        let mut maker = Maker { asked, subject: positions, atoms: Vec::new(), steps: 0 };
        let tree = maker.tree(body, positions, &[], 0)?;
        Some(Model { atoms: maker.atoms, tree })
    }

    /// What it comes to for these values; `None` where it has no answer.
    pub(super) fn value(&self, values: &[Value]) -> Option<Value> {
        self.tree.value(values)
    }
}

impl Tree {
    fn value(&self, values: &[Value]) -> Option<Value> {
        Some(match self {
            Tree::Atom(number) => values.get(*number)?.clone(),
            Tree::Value(value) => value.clone(),
            Tree::Negate(inner) => inner.value(values)?.negate(),
            Tree::Two(operator, left, right) => {
                evaluate::binary(*operator, &left.value(values)?, &right.value(values)?)?
            }
            Tree::Power(base, exponent) => base.value(values)?.power(i8::try_from(*exponent).ok()?)?,
            Tree::Call(function, arguments) => evaluate::call(*function, &all(arguments, values)?)?,
            Tree::Look(table, inner) => table.at(&inner.value(values)?)?,
            Tree::Of { collector, values: of, .. } => evaluate::collect(*collector, &all(of, values)?)?,
        })
    }
}

impl Tree {
    /// How many steps it takes. No deeper than [`MOST_STEPS`], since no more are ever written out.
    fn steps(&self) -> usize {
        1 + match self {
            Tree::Atom(_) | Tree::Value(_) => 0,
            Tree::Negate(inner) | Tree::Power(inner, _) | Tree::Look(_, inner) => inner.steps(),
            Tree::Two(_, left, right) => left.steps() + right.steps(),
            Tree::Call(_, inner) | Tree::Of { values: inner, .. } => inner.iter().map(Tree::steps).sum(),
        }
    }
}

fn all(trees: &[Tree], values: &[Value]) -> Option<Vec<Value>> {
    trees.iter().map(|tree| tree.value(values)).collect()
}

struct Maker<'a> {
    asked: Asked<'a>,
    subject: &'a [u16],
    atoms: Vec<Atom>,
    steps: usize,
}

impl Maker<'_> {
    fn tree(&mut self, expression: &Expression, at: &[u16], parameters: &[Tree], depth: usize) -> Option<Tree> {
        self.steps += 1;
        if self.steps > MOST_STEPS || depth > MOST_DEPTH {
            return None;
        }
        let deeper = depth + 1;
        Some(match &expression.kind {
            ExpressionKind::Quantity(value) => Tree::Value(value.clone()),
            ExpressionKind::Constant(_) => {
                Tree::Value(evaluate::evaluate(self.asked.book, Some(self.asked.generation), expression).ok()?)
            }
            ExpressionKind::Name(name) => Tree::Value(Value::from(Number::from_integer(i64::from(*name)))),
            ExpressionKind::Parameter(number) => {
                let given = parameters.get(usize::from(*number))?;
                // A formula may use what it is given more than once, and formulas stand in formulas.
                self.steps += given.steps();
                if self.steps > MOST_STEPS {
                    return None;
                }
                given.clone()
            }
            ExpressionKind::Reach(reach) => match self.reached(reach, at, deeper)? {
                (mut values, false) if values.len() == 1 => values.pop()?,
                _ => return None,
            },
            ExpressionKind::Negate(inner) => Tree::Negate(Box::new(self.tree(inner, at, parameters, deeper)?)),
            ExpressionKind::Binary(operator, left, right) => Tree::Two(
                *operator,
                Box::new(self.tree(left, at, parameters, deeper)?),
                Box::new(self.tree(right, at, parameters, deeper)?),
            ),
            ExpressionKind::Power(base, exponent) => {
                Tree::Power(Box::new(self.tree(base, at, parameters, deeper)?), *exponent)
            }
            ExpressionKind::Function(function, arguments) => {
                Tree::Call(*function, self.trees(arguments, at, parameters, deeper)?)
            }
            ExpressionKind::Formula(id, arguments) => {
                let arguments = self.trees(arguments, at, parameters, deeper)?;
                let formula = self.asked.book.formulas.get(*id);
                self.tree(&formula.body, at, &arguments, deeper)?
            }
            ExpressionKind::Table(table, inner) => {
                Tree::Look(Arc::clone(table), Box::new(self.tree(inner, at, parameters, deeper)?))
            }
            ExpressionKind::Collect(collector, inner) => {
                let (mut values, mut open) = (Vec::new(), false);
                for one in inner {
                    if let ExpressionKind::Reach(reach) = &one.kind {
                        let (reached, more) = self.reached(reach, at, deeper)?;
                        values.extend(reached);
                        open |= more;
                    } else {
                        values.push(self.tree(one, at, parameters, deeper)?);
                    }
                }
                Tree::Of { collector: *collector, values, open }
            }
            ExpressionKind::YesNo(_) | ExpressionKind::Not(_) | ExpressionKind::Test { .. } => return None,
        })
    }

    fn trees(
        &mut self,
        expressions: &[Expression],
        at: &[u16],
        parameters: &[Tree],
        depth: usize,
    ) -> Option<Vec<Tree>> {
        expressions.iter().map(|expression| self.tree(expression, at, parameters, depth)).collect()
    }

    /// Every value a reach leads to, and whether a record may hold more or fewer.
    fn reached(&mut self, reach: &Reach, at: &[u16], depth: usize) -> Option<(Vec<Tree>, bool)> {
        let (book, generation) = (self.asked.book, self.asked.generation);
        let characteristic = book.characteristics.get(reach.characteristic);
        if !is_countable(book, characteristic.kind) {
            return None;
        }
        let (mut values, mut open) = (Vec::new(), false);
        let asked = |selectors: &[Selector], positions: &[u16]| {
            (0_u16..).zip(selectors.iter().zip(positions)).all(|(_, (selector, position))| match selector {
                Selector::All => true,
                Selector::At(fixed) => fixed == position,
                Selector::Same(depth) => at.get(usize::from(*depth)) == Some(position),
            })
        };
        for positions in book.instances(characteristic.part, generation) {
            if !asked(&reach.selectors, &positions) {
                continue;
            }
            if let Origin::Derived(body) = &characteristic.origin {
                values.push(self.tree(body.as_ref()?, &positions, &[], depth)?);
                continue;
            }
            let stations: Vec<Option<u16>> = match reach.station {
                Some(station) => vec![Some(station)],
                None if characteristic.stations().is_empty() => vec![None],
                None => (0_u16..).zip(characteristic.stations()).map(|(station, _)| Some(station)).collect(),
            };
            for station in stations {
                open |= self.read(reach.characteristic, &positions, station, &mut values)?;
            }
        }
        (!values.is_empty()).then_some((values, open))
    }

    /// The values of one reading at one place.
    fn read(
        &mut self,
        id: Id<Characteristic>,
        positions: &[u16],
        station: Option<u16>,
        values: &mut Vec<Tree>,
    ) -> Option<bool> {
        let characteristic = self.asked.book.characteristics.get(id);
        let Origin::Reading { count, optional, .. } = &characteristic.origin else { return None };
        let fixed = count.most == Some(count.least);
        // Of a list without a fixed length two values are enough to show how far it reaches.
        let least = if fixed { count.least } else { count.least.max(2).min(count.most.unwrap_or(u16::MAX)) };
        let known = |atom: &Atom| atom.characteristic == id && atom.positions == positions && atom.station == station;
        let found: Vec<usize> = (0..).zip(&self.atoms).filter(|(_, atom)| known(atom)).map(|(at, _)| at).collect();
        if !found.is_empty() {
            values.extend(found.into_iter().map(Tree::Atom));
            return Some(!fixed || *optional);
        }
        let asked = self.asked;
        let here = |under: &Under<'_>, condition: &Expression| {
            (under.part == characteristic.part && self.subject == positions) || is_of_the_whole(condition)
        };
        let mut conditions: Vec<&Expression> = asked.besides.to_vec();
        if let Some(under) = asked.under
            && let Some(condition) = under.condition
            && (!asked.besides.is_empty() || here(&under, condition))
        {
            conditions.push(condition);
        }
        let days = asked.under.map_or(crate::quantity::Days::ALWAYS, |under| under.days);
        let given = Known { conditions: &conditions, days, at: Some(positions) };
        let found = input(asked.book, asked.generation, id, station, given);
        for _ in 0..least {
            if self.atoms.len() >= MOST_ATOMS {
                return None;
            }
            values.push(Tree::Atom(self.atoms.len()));
            self.atoms.push(Atom {
                characteristic: id,
                positions: positions.to_vec(),
                station,
                band: found.band.clone(),
                cases: found.cases,
                optional: *optional,
            });
        }
        Some(!fixed || *optional)
    }
}
