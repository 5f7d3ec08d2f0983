//! What a row rounds a value to before it is compared, found between the two multiples beside it rather than by the judge's
//! own rounding, so that the two check each other. Refuses to know ranges.

use super::Block;
use super::figure::figure;
use super::wording::folded;
use super::working::{Answer, Term, Working};
use crate::book::{Datum, Rounding};
use crate::plan::Check;
use crate::quantity::{Enclosure, Number, Unit, Value, shown};
use std::cmp::Ordering;

impl Working<'_> {
    /// The rounded value of a check whose row rounds, with a block that shows how; none where nothing is rounded.
    pub(super) fn rounded(&self, check: &Check, term: &Term, blocks: &mut Vec<Block>) -> Option<Term> {
        let (Some(rounding), Answer::Known(Datum::Quantity(value))) = (&check.row.rounded, &term.answer) else {
            return None;
        };
        let (rounded, how) = nearest(rounding, value, &term.unit)?;
        let places = rounding.places(&term.unit);
        let text = shown(&rounded, &term.unit, places);
        let title = format!("rounded to {}: {text}", folded(rounding.place.text()));
        let mut block = Block::new(title, Some(rounding.place.clone()));
        block.say(how, None);
        blocks.push(block);
        Some(self.quantity(rounded, term.unit.clone()))
    }
}

/// The nearest multiple of the step, and in words which two it was chosen from.
fn nearest(rounding: &Rounding, value: &Value, unit: &Unit) -> Option<(Value, String)> {
    let steps = value.subtract(&rounding.zero).divide(&rounding.step)?;
    let at = |steps: &Number| rounding.step.multiply(&Value::from(steps.clone())).add(&rounding.zero);
    let text = |steps: &Number| shown(&at(steps), unit, rounding.places(unit));
    let taken = figure(value, unit).operand();
    let Some(exact) = steps.is_exact_rational() else {
        let Enclosure { low, high } = steps.enclosure();
        let (low, high) = (multiple(&low)?.0, multiple(&high)?.0);
        if low == high {
            return Some((at(&low), format!("{taken} lies nearest to {}", text(&low))));
        }
        let words =
            format!("{taken} lies so near halfway that its last digits do not say {} or {}", text(&low), text(&high));
        let both = Value::from(Enclosure { low, high }).multiply(&rounding.step).add(&rounding.zero);
        return Some((both, words));
    };
    let (chosen, below, side) = multiple(exact)?;
    if *exact == below {
        return Some((at(&chosen), format!("{taken} is a multiple of the step")));
    }
    let between = format!("{taken} lies between {} and {}", text(&below), text(&(&below + &Number::ONE)));
    let words = match side {
        Ordering::Equal => format!("{between}, halfway: {} is the even multiple", text(&chosen)),
        _ => format!("{between}, nearer to {}", text(&chosen)),
    };
    Some((at(&chosen), words))
}

/// The whole number nearest to a number, the even one of two as near; the one below it; and how the rest lies to a half.
fn multiple(steps: &Number) -> Option<(Number, Number, Ordering)> {
    let below = steps.floor_number();
    let above = &below + &Number::ONE;
    let side = (steps - &below).cmp(&Number::ratio(1, 2)?);
    let even = below.checked_div(&Number::from_integer(2))?.is_integer();
    let chosen = match side {
        Ordering::Less => below.clone(),
        Ordering::Equal if even => below.clone(),
        _ => above,
    };
    Some((chosen, below, side))
}
