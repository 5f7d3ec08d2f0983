//! Fractions of polynomials in numbered quantities, with what is equal taken together: `a / (a + b)`, `a - (a + b) / 2`.
//! Refuses to know what the quantities are.

use crate::book::interval::{add, multiply, point, power};
use crate::quantity::{Band, Value};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// A polynomial of more terms than this is not worked with.
const MOST_TERMS: usize = 300;

/// The quantities a term multiplies, each with its exponent.
type Term = Vec<(usize, u8)>;

/// A sum of terms, each with what it is multiplied by; a term multiplied by nothing is not there.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Polynomial(BTreeMap<Term, Value>);

fn is_zero(value: &Value) -> bool {
    value.compare(&Value::ZERO) == Some(Ordering::Equal)
}

impl Polynomial {
    pub(super) fn constant(value: Value) -> Polynomial {
        let mut made = Polynomial::default();
        made.put(Vec::new(), value);
        made
    }

    pub(super) fn quantity(number: usize) -> Polynomial {
        Polynomial(BTreeMap::from([(vec![(number, 1)], Value::ONE)]))
    }

    fn put(&mut self, term: Term, factor: Value) {
        let whole = match self.0.get(&term) {
            Some(before) => before.add(&factor),
            None => factor,
        };
        if is_zero(&whole) {
            self.0.remove(&term);
        } else {
            self.0.insert(term, whole);
        }
    }

    pub(super) fn add(&self, other: &Polynomial) -> Polynomial {
        let mut sum = self.clone();
        other.0.iter().for_each(|(term, factor)| sum.put(term.clone(), factor.clone()));
        sum
    }

    pub(super) fn times(&self, factor: &Value) -> Polynomial {
        let mut product = Polynomial::default();
        self.0.iter().for_each(|(term, own)| product.put(term.clone(), own.multiply(factor)));
        product
    }

    pub(super) fn negate(&self) -> Polynomial {
        self.times(&Value::ONE.negate())
    }

    /// `None` where it has too many terms.
    pub(super) fn multiply(&self, other: &Polynomial) -> Option<Polynomial> {
        if self.0.len().saturating_mul(other.0.len()) > MOST_TERMS {
            return None;
        }
        let mut product = Polynomial::default();
        for (one, factor) in &self.0 {
            for (other, by) in &other.0 {
                let mut term: BTreeMap<usize, u8> = one.iter().copied().collect();
                for (number, exponent) in other {
                    let whole = term.entry(*number).or_default();
                    *whole = whole.checked_add(*exponent)?;
                }
                product.put(term.into_iter().collect(), factor.multiply(by));
            }
        }
        Some(product)
    }

    /// Its value where it is one whatever the quantities are.
    pub(super) fn only(&self) -> Option<Value> {
        match self.0.first_key_value() {
            None => Some(Value::ZERO),
            Some((term, value)) if term.is_empty() && self.0.len() == 1 => Some(value.clone()),
            Some(_) => None,
        }
    }

    /// The quantity and the factor where it is one quantity times a factor.
    pub(super) fn single(&self) -> Option<(usize, &Value)> {
        let (term, factor) = self.0.first_key_value().filter(|_| self.0.len() == 1)?;
        match term.as_slice() {
            [(number, 1)] => Some((*number, factor)),
            _ => None,
        }
    }

    /// The terms that all of several have, and equally.
    pub(super) fn common(all: &[&Polynomial]) -> Polynomial {
        let Some((first, rest)) = all.split_first() else { return Polynomial::default() };
        let shared = |(term, factor): &(&Term, &Value)| rest.iter().all(|other| other.0.get(*term) == Some(*factor));
        Polynomial(first.0.iter().filter(shared).map(|(term, factor)| (term.clone(), factor.clone())).collect())
    }

    pub(super) fn quantities(&self) -> impl Iterator<Item = usize> {
        self.0.keys().flatten().map(|(number, _)| *number)
    }

    /// The exponents of a term, for each term.
    pub(super) fn terms(&self) -> impl Iterator<Item = &Term> {
        self.0.keys()
    }

    /// The highest exponent of a quantity.
    pub(super) fn degree(&self, of: usize) -> u8 {
        let exponents = self.0.keys().flatten().filter(|(number, _)| *number == of);
        exponents.map(|(_, exponent)| *exponent).max().unwrap_or(0)
    }

    pub(super) fn derivative(&self, by: usize) -> Polynomial {
        let mut slope = Polynomial::default();
        for (term, factor) in &self.0 {
            let Some((_, exponent)) = term.iter().find(|(number, _)| *number == by) else { continue };
            let lower = |(number, exponent): &(usize, u8)| match (*number == by, *exponent) {
                (true, 1) => None,
                (true, exponent) => Some((*number, exponent - 1)),
                (false, exponent) => Some((*number, exponent)),
            };
            let count = Value::from(crate::quantity::Number::from_integer(i64::from(*exponent)));
            slope.put(term.iter().filter_map(lower).collect(), factor.multiply(&count));
        }
        slope
    }

    /// The same with two quantities changed for each other.
    pub(super) fn swapped(&self, one: usize, other: usize) -> Polynomial {
        let turned = |number: usize| match number {
            number if number == one => other,
            number if number == other => one,
            number => number,
        };
        let mut swapped = Polynomial::default();
        for (term, factor) in &self.0 {
            let mut term: Term = term.iter().map(|(number, exponent)| (turned(*number), *exponent)).collect();
            term.sort_unstable();
            swapped.put(term, factor.clone());
        }
        swapped
    }

    /// What it comes to; `None` where a quantity has no value.
    pub(super) fn at(&self, value: &impl Fn(usize) -> Option<Value>) -> Option<Value> {
        self.0.iter().try_fold(Value::ZERO, |sum, (term, factor)| {
            let product = term.iter().try_fold(factor.clone(), |product, (number, exponent)| {
                Some(product.multiply(&value(*number)?.power(i8::try_from(*exponent).ok()?)?))
            });
            Some(sum.add(&product?))
        })
    }

    /// A band that holds all it can come to, term by term.
    pub(super) fn around(&self, band: &impl Fn(usize) -> Band) -> Band {
        self.0.iter().fold(point(Value::ZERO), |sum, (term, factor)| {
            let product = term.iter().fold(point(factor.clone()), |product, (number, exponent)| {
                multiply(&product, &power(&band(*number), *exponent))
            });
            add(&sum, &product)
        })
    }
}

/// One polynomial over another.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Fraction {
    pub above: Polynomial,
    pub below: Polynomial,
}

impl Fraction {
    pub(super) fn whole(above: Polynomial) -> Fraction {
        Fraction { above, below: Polynomial::constant(Value::ONE) }
    }

    /// The polynomial, where nothing stands below.
    pub(super) fn as_whole(&self) -> Option<&Polynomial> {
        (self.below.only() == Some(Value::ONE)).then_some(&self.above)
    }

    pub(super) fn negate(&self) -> Fraction {
        Fraction { above: self.above.negate(), below: self.below.clone() }
    }

    pub(super) fn add(&self, other: &Fraction) -> Option<Fraction> {
        if self.below == other.below {
            return Some(Fraction { above: self.above.add(&other.above), below: self.below.clone() });
        }
        let above = self.above.multiply(&other.below)?.add(&other.above.multiply(&self.below)?);
        Some(Fraction { above, below: self.below.multiply(&other.below)? })
    }

    pub(super) fn multiply(&self, other: &Fraction) -> Option<Fraction> {
        Fraction { above: self.above.multiply(&other.above)?, below: self.below.multiply(&other.below)? }.plain()
    }

    /// Over one whose polynomial above is nowhere zero.
    pub(super) fn divide(&self, other: &Fraction) -> Option<Fraction> {
        Fraction { above: self.above.multiply(&other.below)?, below: self.below.multiply(&other.above)? }.plain()
    }

    /// With a constant below taken into what stands above, and with what both have as a single factor left out.
    fn plain(self) -> Option<Fraction> {
        match self.below.only() {
            Some(value) => Some(Fraction::whole(self.above.times(&Value::ONE.divide(&value)?))),
            None if self.above == self.below => Some(Fraction::whole(Polynomial::constant(Value::ONE))),
            None => Some(self),
        }
    }

    pub(super) fn quantities(&self) -> Vec<usize> {
        let mut all: Vec<usize> = self.above.quantities().chain(self.below.quantities()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// What stands above in its derivative, over the square of what stands below.
    pub(super) fn slope(&self, by: usize) -> Option<Polynomial> {
        let rising = self.above.derivative(by).multiply(&self.below)?;
        Some(rising.add(&self.above.multiply(&self.below.derivative(by))?.negate()))
    }

    pub(super) fn swapped(&self, one: usize, other: usize) -> Fraction {
        Fraction { above: self.above.swapped(one, other), below: self.below.swapped(one, other) }
    }

    pub(super) fn at(&self, value: &impl Fn(usize) -> Option<Value>) -> Option<Value> {
        self.above.at(value)?.divide(&self.below.at(value)?)
    }
}
