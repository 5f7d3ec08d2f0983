//! The corners at which a fraction of polynomials has its extremes, and which of them have to be tried. Refuses to know where
//! the fraction comes from.

use super::fraction::Fraction;
use super::sharp::{Kind, Quantity, Sharp};
use crate::book::interval::{Around, around};
use crate::quantity::{Band, End, Side, Value};
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// More corners than this are not tried.
const MOST_CORNERS: usize = 1_200;

/// On which side of zero something is known to lie.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Sign {
    Positive,
    NotNegative,
    Negative,
    NotPositive,
}

impl Sign {
    pub(super) fn is_strict(self) -> bool {
        matches!(self, Sign::Positive | Sign::Negative)
    }
}

pub(super) fn sign(band: &Band) -> Option<Sign> {
    let strictly = |end: &Option<End>, order: Ordering| {
        end.as_ref().is_some_and(|end| end.value.compare(&Value::ZERO) == Some(order))
    };
    match around(band) {
        _ if strictly(&band.low, Ordering::Greater) => Some(Sign::Positive),
        _ if strictly(&band.high, Ordering::Less) => Some(Sign::Negative),
        Around::Above => Some(Sign::NotNegative),
        Around::Below => Some(Sign::NotPositive),
        Around::Both => None,
    }
}

/// The corners of what a fraction depends on.
pub(super) struct Space<'a> {
    sharp: &'a Sharp<'a>,
    fraction: &'a Fraction,
    /// The quantities that vary freely, and for each what to try; those that only pull one way by themselves.
    pub(super) free: Vec<usize>,
    choices: Vec<Choice>,
    pub(super) exact: bool,
}

/// What is tried of a quantity.
enum Choice {
    /// One end, whichever leads on: whether the value rises with it.
    Pulls { rises: bool },
    /// Each of these; `after` is a quantity that changes nothing if changed for this one, so only choices not before its own
    /// are tried.
    Each { values: Vec<Value>, after: Option<usize> },
    /// Both ends and the vertex of a parabola.
    Parabola,
}

impl<'a> Space<'a> {
    pub(super) fn new(sharp: &'a Sharp<'a>, fraction: &'a Fraction, named: &[usize]) -> Option<Space<'a>> {
        let kind = |number: usize| sharp.quantities.get(number).map(|quantity| &quantity.kind);
        let mut free: BTreeSet<usize> = BTreeSet::new();
        let mut coupled: Vec<BTreeSet<usize>> = Vec::new();
        let mut exact = true;
        for number in named {
            match kind(*number)? {
                Kind::Largest(of) | Kind::Smallest(of) | Kind::Between(of) => {
                    free.extend(of);
                    let mut group: BTreeSet<usize> = of.iter().copied().collect();
                    if matches!(kind(*number)?, Kind::Between(_)) {
                        free.insert(*number);
                        group.insert(*number);
                        exact = false;
                    }
                    // Groups that share a quantity are one.
                    coupled.retain(|other| {
                        let apart = other.is_disjoint(&group);
                        if !apart {
                            group.extend(other);
                        }
                        apart
                    });
                    coupled.push(group);
                }
                _ => {
                    free.insert(*number);
                }
            }
        }
        let is_coupled = |number: usize| {
            coupled.iter().any(|group| group.contains(&number))
                || matches!(kind(number), Some(Kind::Largest(_) | Kind::Smallest(_)))
        };
        if !coupled.is_empty() {
            let linear = |term: &Vec<(usize, u8)>| {
                let of_coupled = term.iter().filter(|(number, _)| is_coupled(*number));
                of_coupled.map(|(_, exponent)| u32::from(*exponent)).sum::<u32>() <= 1
            };
            if !fraction.above.terms().chain(fraction.below.terms()).all(linear) {
                return None;
            }
        }
        let free: Vec<usize> = free.into_iter().collect();
        let mut space = Space { sharp, fraction, free, choices: Vec::new(), exact };
        let mut parabolas = 0;
        for at in 0..space.free.len() {
            let number = *space.free.get(at)?;
            let band = sharp.band(number);
            let (Some(low), Some(high)) = (&band.low, &band.high) else { return None };
            if let Some(group) = coupled.iter().find(|group| group.contains(&number)) {
                let values = grid(sharp, group, &band)?;
                let after =
                    space.free.iter().take(at).rev().copied().find(|other| space.changes_nothing(*other, number));
                space.exact &= low.closed && high.closed;
                space.choices.push(Choice::Each { values, after });
                continue;
            }
            let slope = fraction.slope(number)?.around(&|number| sharp.band(number));
            let slope = sign(&slope);
            if let Some(slope) = slope {
                space.exact &= slope.is_strict() || (low.closed && high.closed);
                let rises = matches!(slope, Sign::Positive | Sign::NotNegative);
                space.choices.push(Choice::Pulls { rises });
                continue;
            }
            space.exact &= low.closed && high.closed;
            let degree = fraction.above.degree(number).max(fraction.below.degree(number));
            if degree <= 1 {
                let values = vec![low.value.clone(), high.value.clone()];
                space.choices.push(Choice::Each { values, after: None });
            } else {
                parabolas += 1;
                if degree > 2 || parabolas > 1 || fraction.as_whole().is_none() {
                    return None;
                }
                space.choices.push(Choice::Parabola);
            }
        }
        (space.corners() <= MOST_CORNERS).then_some(space)
    }

    /// Whether two quantities may be changed for each other.
    fn changes_nothing(&self, one: usize, other: usize) -> bool {
        let together = |quantity: &Quantity| match &quantity.kind {
            Kind::Largest(of) | Kind::Smallest(of) | Kind::Between(of) => of.contains(&one) == of.contains(&other),
            _ => true,
        };
        let between = |number: usize| {
            matches!(self.sharp.quantities.get(number).map(|quantity| &quantity.kind), Some(Kind::Between(_)))
        };
        self.sharp.band(one) == self.sharp.band(other)
            && !between(one)
            && !between(other)
            && self.sharp.quantities.iter().all(together)
            && self.fraction.swapped(one, other) == *self.fraction
    }

    /// How many corners there are, no fewer; those that changing equals saves are counted roughly.
    fn corners(&self) -> usize {
        let mut run = 1_usize;
        self.choices.iter().fold(1_usize, |corners, choice| match choice {
            Choice::Pulls { .. } => corners,
            Choice::Parabola => corners.saturating_mul(3),
            Choice::Each { values, after: None } => {
                run = 1;
                corners.saturating_mul(values.len())
            }
            // Of n alike with k choices each there are (n + k - 1 choose k - 1) sets, which is this step by step.
            Choice::Each { values, after: Some(_) } => {
                run += 1;
                corners.saturating_mul(run + values.len() - 1) / run
            }
        })
    }

    /// The furthest the fraction comes to one way; `None` where that cannot be decided.
    pub(super) fn furthest(&self, outward: Ordering) -> Option<End> {
        let mut values: Vec<Option<Value>> = vec![None; self.sharp.quantities.len()];
        let mut closed = true;
        for (number, choice) in self.free.iter().zip(&self.choices) {
            if let Choice::Pulls { rises } = choice {
                let band = self.sharp.band(*number);
                let end = if *rises == (outward == Ordering::Greater) { band.high } else { band.low }?;
                closed &= end.closed;
                *values.get_mut(*number)? = Some(end.value);
            }
        }
        let mut best = None;
        self.walk(0, &mut values, &mut vec![0; self.free.len()], (outward, &mut best))?;
        // An end that may be reached counts as reached: what is too wide is not too narrow.
        best.map(|value| End { value, closed: closed || !self.exact })
    }

    /// Tries the choices of one quantity after the other. No deeper than there are quantities.
    fn walk(
        &self,
        at: usize,
        values: &mut Vec<Option<Value>>,
        chosen: &mut Vec<usize>,
        (outward, best): (Ordering, &mut Option<Value>),
    ) -> Option<()> {
        let Some((number, choice)) = self.free.get(at).zip(self.choices.get(at)) else {
            // The parabola's own vertex depends on all others, so it comes last.
            let parabola = self.choices.iter().position(|choice| matches!(choice, Choice::Parabola));
            let Some(number) = parabola.and_then(|at| self.free.get(at)) else {
                return self.take(values, (outward, best));
            };
            for value in self.of_parabola(*number, values)? {
                *values.get_mut(*number)? = Some(value);
                self.take(values, (outward, best))?;
            }
            *values.get_mut(*number)? = None;
            return Some(());
        };
        let Choice::Each { values: all, after } = choice else {
            return self.walk(at + 1, values, chosen, (outward, best));
        };
        let from = after.and_then(|after| self.free.iter().position(|number| *number == after));
        let from = from.and_then(|from| chosen.get(from)).copied().unwrap_or(0);
        for (choice, value) in all.iter().enumerate().skip(from) {
            *values.get_mut(*number)? = Some(value.clone());
            *chosen.get_mut(at)? = choice;
            self.walk(at + 1, values, chosen, (outward, best))?;
        }
        *values.get_mut(*number)? = None;
        Some(())
    }

    fn take(&self, values: &[Option<Value>], (outward, best): (Ordering, &mut Option<Value>)) -> Option<()> {
        let value = |number: usize| self.value(number, values);
        for number in &self.free {
            if let Some(Kind::Between(of)) = self.sharp.quantities.get(*number).map(|quantity| &quantity.kind) {
                let between = value(*number)?;
                let of: Vec<Value> = of.iter().map(|number| value(*number)).collect::<Option<_>>()?;
                let inside = Band::between(Value::smallest(&of)?, Value::largest(&of)?);
                if inside.locate(&between) != Side::Inside {
                    return Some(());
                }
            }
        }
        let reached = self.fraction.at(&value)?;
        match best {
            Some(before) if reached.compare(before)? != outward => {}
            _ => *best = Some(reached),
        }
        Some(())
    }

    fn value(&self, number: usize, values: &[Option<Value>]) -> Option<Value> {
        let of =
            |of: &[usize]| -> Option<Vec<Value>> { of.iter().map(|number| values.get(*number)?.clone()).collect() };
        match &self.sharp.quantities.get(number)?.kind {
            Kind::Largest(numbers) => Value::largest(&of(numbers)?),
            Kind::Smallest(numbers) => Value::smallest(&of(numbers)?),
            _ => values.get(number)?.clone(),
        }
    }

    /// Both ends of a quantity, and the vertex of the parabola in it that the others leave, where that lies between.
    fn of_parabola(&self, number: usize, values: &[Option<Value>]) -> Option<Vec<Value>> {
        let band = self.sharp.band(number);
        let mut tried = vec![band.low.as_ref()?.value.clone(), band.high.as_ref()?.value.clone()];
        let slope = self.fraction.above.derivative(number);
        let at = |value: Value| {
            slope.at(&|other| if other == number { Some(value.clone()) } else { self.value(other, values) })
        };
        let (at_zero, at_one) = (at(Value::ZERO)?, at(Value::ONE)?);
        if let Some(vertex) = at_zero.divide(&at_zero.subtract(&at_one))
            && band.locate(&vertex) == Side::Inside
        {
            tried.push(vertex);
        }
        Some(tried)
    }
}

/// Every end of a group's quantities that lies inside a band.
fn grid(sharp: &Sharp<'_>, group: &BTreeSet<usize>, band: &Band) -> Option<Vec<Value>> {
    let inside = Band::between(band.low.as_ref()?.value.clone(), band.high.as_ref()?.value.clone());
    let mut values: Vec<Value> = Vec::new();
    for number in group {
        let other = sharp.band(*number);
        for end in [other.low, other.high] {
            let value = end?.value;
            let known = values.iter().any(|known| known.compare(&value) == Some(Ordering::Equal));
            if !known && inside.locate(&value) == Side::Inside {
                values.push(value);
            }
        }
    }
    Some(values)
}
