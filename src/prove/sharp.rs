//! The range of a calculated value in which readings stand more than once, sharper than range by range: equal terms are taken
//! together, and the rest is tried at its corners. Refuses to guess: without a proof there is no answer.
//!
//! A fraction of polynomials in which each quantity stands to the first power at most is, with the others held, monotone
//! in each, so it has its extremes at corners. Where it is of the first degree in quantities of which a largest or smallest
//! is taken, it is a quotient of linear functions for each order of those quantities; such a quotient has its extremes at
//! vertices of the polytope (S. Boyd, L. Vandenberghe, Convex Optimization, 2004, 3.4.1 and 4.3.2, the sections from memory,
//! unverified), and at a vertex every quantity, or the tie it is in, stands at some quantity's end.

use super::corners::{Sign, Space, sign};
use super::fraction::{Fraction, Polynomial};
use super::lookup;
use super::model::{Model, Tree};
use crate::book::interval::{Around, around, call, hull, point};
use crate::book::{Function, Table};
use crate::quantity::{Band, Number, Value};
use crate::syntax::tree::{Collector, Operator};
use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::sync::Arc;

/// What a quantity of the fractions is.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Kind {
    /// A value that is read.
    Atom(usize),
    /// A function or a table of a fraction.
    Called(Function, Vec<Fraction>),
    Looked(Arc<Table>, Fraction),
    /// A fraction that is not taken apart.
    Whole(Fraction),
    /// The largest, or the smallest, of other quantities.
    Largest(Vec<usize>),
    Smallest(Vec<usize>),
    /// Something between the smallest and the largest of others: the mean of a list of unknown length.
    Between(Vec<usize>),
}

pub(super) struct Quantity {
    pub(super) kind: Kind,
    pub(super) band: Band,
    /// Whether every value of the band can be.
    exact: bool,
    /// The values read that it depends on.
    atoms: BTreeSet<usize>,
}

/// The range of a calculated value at one place, and whether its ends are reached; `None` where there is no sharper one.
pub(super) fn range(model: &Model) -> Option<(Band, bool)> {
    let mut sharp = Sharp { model, quantities: Vec::new() };
    let fraction = sharp.fraction(&model.tree)?;
    sharp.bounds(&fraction)
}

pub(super) struct Sharp<'a> {
    model: &'a Model,
    pub(super) quantities: Vec<Quantity>,
}

impl Sharp<'_> {
    fn fraction(&mut self, tree: &Tree) -> Option<Fraction> {
        Some(match tree {
            Tree::Atom(number) => {
                let atom = self.model.atoms.get(*number)?;
                let (band, exact) = (atom.band.clone(), !atom.cases);
                self.quantity(Kind::Atom(*number), band, exact, BTreeSet::from([*number]))
            }
            Tree::Value(value) => Fraction::whole(Polynomial::constant(value.clone())),
            Tree::Negate(inner) => self.fraction(inner)?.negate(),
            Tree::Two(operator, left, right) => {
                let (left, right) = (self.fraction(left)?, self.fraction(right)?);
                match operator {
                    Operator::Add => left.add(&right)?,
                    Operator::Subtract => left.add(&right.negate())?,
                    Operator::Multiply => left.multiply(&right)?,
                    Operator::Divide => {
                        if !self.never_zero(&right.above) {
                            return None;
                        }
                        left.divide(&right)?
                    }
                    Operator::And | Operator::Or => return None,
                }
            }
            Tree::Power(base, exponent) => {
                let base = self.fraction(base)?;
                let one = Fraction::whole(Polynomial::constant(Value::ONE));
                (0..*exponent).try_fold(one, |product, _| product.multiply(&base))?
            }
            Tree::Call(function, arguments) => self.called(*function, arguments)?,
            Tree::Look(table, inner) => {
                let inner = self.fraction(inner)?;
                let (band, exact) = self.bounds(&inner)?;
                let atoms = self.atoms(&inner);
                let (answers, _) = lookup::over(table, &band);
                self.quantity(Kind::Looked(Arc::clone(table), inner), answers, exact, atoms)
            }
            Tree::Of { collector, values, open } => self.collected(*collector, values, *open)?,
        })
    }

    fn called(&mut self, function: Function, arguments: &[Tree]) -> Option<Fraction> {
        let fractions: Vec<Fraction> =
            arguments.iter().map(|argument| self.fraction(argument)).collect::<Option<_>>()?;
        let bounds: Vec<(Band, bool)> =
            fractions.iter().map(|fraction| self.bounds(fraction)).collect::<Option<_>>()?;
        let bands: Vec<Band> = bounds.iter().map(|(band, _)| band.clone()).collect();
        let side = bands.first().map_or(Around::Both, around);
        match (function, fractions.first()?) {
            (Function::Radians, inner) => return Some(inner.clone()),
            (Function::Absolute, inner) if side == Around::Above => return Some(inner.clone()),
            (Function::Absolute, inner) if side == Around::Below => return Some(inner.negate()),
            _ => {}
        }
        let (band, exact) = call(function, &bands);
        if let Some(value) = crate::book::interval::only(&band) {
            return Some(Fraction::whole(Polynomial::constant(value.clone())));
        }
        let exact = exact && bounds.iter().all(|(_, exact)| *exact);
        let atoms = fractions.iter().flat_map(|fraction| self.atoms(fraction)).collect();
        Some(self.quantity(Kind::Called(function, fractions), band, exact, atoms))
    }

    fn collected(&mut self, collector: Collector, values: &[Tree], open: bool) -> Option<Fraction> {
        let elements: Vec<Fraction> = values.iter().map(|value| self.fraction(value)).collect::<Option<_>>()?;
        let read = |element: &Fraction| self.atoms(element);
        let optional = |number: &usize| self.model.atoms.get(*number).is_none_or(|atom| atom.optional);
        if elements.len() > 1 && elements.iter().flat_map(read).any(|number| optional(&number)) {
            return None;
        }
        let count = Number::from_integer(i64::try_from(elements.len()).ok()?);
        let sum = || {
            let nothing = Fraction::whole(Polynomial::default());
            elements.iter().try_fold(nothing, |sum, element| sum.add(element))
        };
        match collector {
            Collector::Count if !open => Some(Fraction::whole(Polynomial::constant(Value::from(count)))),
            Collector::Sum if !open => sum(),
            Collector::Mean if !open => {
                let share = Value::ONE.divide(&Value::from(count))?;
                sum()?.multiply(&Fraction::whole(Polynomial::constant(share)))
            }
            Collector::Count | Collector::Sum => None,
            Collector::Mean => self.picked(&elements, Kind::Between, Kind::Between),
            Collector::Smallest => self.picked(&elements, Kind::Smallest, Kind::Largest),
            Collector::Largest => self.picked(&elements, Kind::Largest, Kind::Smallest),
            Collector::Spread => {
                let largest = self.picked(&elements, Kind::Largest, Kind::Smallest)?;
                largest.add(&self.picked(&elements, Kind::Smallest, Kind::Largest)?.negate())
            }
        }
    }

    /// One of several: what all have in common, and one of the rest. `turned` is what it is of quantities that are multiplied
    /// by less than nothing.
    fn picked(
        &mut self,
        elements: &[Fraction],
        kind: fn(Vec<usize>) -> Kind,
        turned: fn(Vec<usize>) -> Kind,
    ) -> Option<Fraction> {
        if let [only] = elements {
            return Some(only.clone());
        }
        let wholes: Option<Vec<&Polynomial>> = elements.iter().map(Fraction::as_whole).collect();
        let apart = wholes.and_then(|wholes| {
            let common = Polynomial::common(&wholes);
            let rests: Vec<Polynomial> = wholes.iter().map(|whole| whole.add(&common.negate())).collect();
            let singles: Vec<(usize, &Value)> = rests.iter().map(Polynomial::single).collect::<Option<_>>()?;
            let (_, factor) = *singles.first()?;
            let plain = |number: usize| {
                let kind = self.quantities.get(number).map(|quantity| &quantity.kind);
                !matches!(kind, Some(Kind::Largest(_) | Kind::Smallest(_) | Kind::Between(_)))
            };
            let alike = singles.iter().all(|(number, other)| *other == factor && plain(*number));
            let rises = match factor.compare(&Value::ZERO) {
                Some(Ordering::Greater) => true,
                Some(Ordering::Less) => false,
                _ => return None,
            };
            let numbers: Vec<usize> = singles.iter().map(|(number, _)| *number).collect();
            alike.then(|| (common, factor.clone(), rises, numbers))
        });
        let (common, factor, rises, mut numbers) = match apart {
            Some(apart) => apart,
            None => {
                let mut numbers = Vec::new();
                for element in elements {
                    let (band, exact) = self.bounds(element)?;
                    let atoms = self.atoms(element);
                    let whole = self.quantity(Kind::Whole(element.clone()), band, exact, atoms);
                    numbers.extend(whole.as_whole().and_then(Polynomial::single).map(|(number, _)| number));
                }
                (Polynomial::default(), Value::ONE, true, numbers)
            }
        };
        numbers.sort_unstable();
        numbers.dedup();
        let picked = match numbers.as_slice() {
            [only] => Polynomial::quantity(*only),
            _ => {
                let band = numbers.iter().filter_map(|number| self.quantities.get(*number)).map(|one| one.band.clone());
                let band = band.reduce(|one, other| hull(&one, &other))?;
                let atoms = numbers
                    .iter()
                    .filter_map(|number| self.quantities.get(*number))
                    .flat_map(|one| one.atoms.iter().copied())
                    .collect();
                let kind = if rises { kind(numbers) } else { turned(numbers) };
                self.quantity(kind, band, true, atoms).above
            }
        };
        Some(Fraction::whole(common.add(&picked.times(&factor))))
    }

    /// A quantity, the same one for what is the same.
    fn quantity(&mut self, kind: Kind, band: Band, exact: bool, atoms: BTreeSet<usize>) -> Fraction {
        let known = self.quantities.iter().position(|quantity| quantity.kind == kind);
        let number = known.unwrap_or(self.quantities.len());
        if known.is_none() {
            self.quantities.push(Quantity { kind, band, exact, atoms });
        }
        Fraction::whole(Polynomial::quantity(number))
    }

    pub(super) fn band(&self, number: usize) -> Band {
        self.quantities.get(number).map_or_else(Band::default, |quantity| quantity.band.clone())
    }

    fn atoms(&self, fraction: &Fraction) -> BTreeSet<usize> {
        let quantities = fraction.quantities().into_iter().filter_map(|number| self.quantities.get(number));
        quantities.flat_map(|quantity| quantity.atoms.iter().copied()).collect()
    }

    fn never_zero(&self, polynomial: &Polynomial) -> bool {
        sign(&polynomial.around(&|number| self.band(number))).is_some_and(Sign::is_strict)
    }

    /// What a fraction can come to, and whether its ends are reached.
    fn bounds(&self, fraction: &Fraction) -> Option<(Band, bool)> {
        let named = fraction.quantities();
        if named.is_empty() {
            return fraction.at(&|_| None).map(|value| (point(value), true));
        }
        if !self.never_zero(&fraction.below) {
            return None;
        }
        let space = Space::new(self, fraction, &named)?;
        let low = space.furthest(Ordering::Less)?;
        let high = space.furthest(Ordering::Greater)?;
        let exact = space.exact && self.are_free(&space.free);
        Some((Band { low: Some(low), high: Some(high) }, exact))
    }

    /// Whether no two of these depend on one value read, and each is exact.
    fn are_free(&self, numbers: &[usize]) -> bool {
        let mut seen = BTreeSet::new();
        numbers
            .iter()
            .filter_map(|number| self.quantities.get(*number))
            .all(|quantity| quantity.exact && quantity.atoms.iter().all(|atom| seen.insert(*atom)))
    }
}
