//! What several values that vary freely of each other can come to: the smallest, the sum, the spread. Refuses to know
//! which values they are.

use crate::book::interval::{add, hull, multiply, negate, point};
use crate::quantity::{Band, End, Number, Value};
use crate::syntax::tree::Collector;
use std::cmp::Ordering;

/// Values that all vary over one range.
#[derive(Clone, Debug)]
pub(super) struct Element {
    /// The range of each.
    pub band: Band,
    /// At least so many of them are there.
    pub least: u32,
    /// At most so many; `None` for as many as one likes.
    pub most: Option<u32>,
}

impl Element {
    fn count(&self) -> Band {
        let number = |count: u32| Value::from(Number::from_integer(i64::from(count)));
        Band {
            low: Some(End { value: number(self.least), closed: true }),
            high: self.most.map(|most| End { value: number(most), closed: true }),
        }
    }

    fn fixed(&self) -> bool {
        self.most == Some(self.least)
    }
}

/// What one value of several can be, and whether exactly that.
pub(super) fn collect(collector: Collector, elements: &[Element]) -> (Band, bool) {
    let Some((first, rest)) = elements.split_first() else { return (Band::default(), false) };
    let fixed = elements.iter().all(Element::fixed);
    match collector {
        Collector::Count => (rest.iter().fold(first.count(), |sum, element| add(&sum, &element.count())), true),
        Collector::Smallest => (smallest(elements), true),
        Collector::Largest => {
            let turned: Vec<Element> =
                elements.iter().map(|element| Element { band: negate(&element.band), ..element.clone() }).collect();
            (negate(&smallest(&turned)), true)
        }
        Collector::Sum => (sum(elements), fixed),
        Collector::Mean if rest.is_empty() => (first.band.clone(), true),
        Collector::Mean if fixed => {
            let count: i64 = elements.iter().map(|element| i64::from(element.least)).sum();
            match Number::ratio(1, count) {
                Some(share) => (multiply(&sum(elements), &point(Value::from(share))), true),
                None => (Band::default(), false),
            }
        }
        Collector::Mean => (rest.iter().fold(first.band.clone(), |all, element| hull(&all, &element.band)), false),
        Collector::Spread => spread(elements),
    }
}

fn sum(elements: &[Element]) -> Band {
    elements.iter().fold(point(Value::ZERO), |sum, element| add(&sum, &multiply(&element.count(), &element.band)))
}

fn smallest(elements: &[Element]) -> Band {
    let lows: Vec<&Band> = elements.iter().map(|element| &element.band).collect();
    let all = lows
        .iter()
        .skip(1)
        .fold(lows.first().map_or_else(Band::default, |band| (*band).clone()), |all, band| hull(&all, band));
    // Only a value that is there for certain keeps the smallest down.
    let mut high: Option<End> = None;
    let mut certain = false;
    for element in elements.iter().filter(|element| element.least > 0) {
        certain = true;
        high = match (high, &element.band.high) {
            (None, end) => end.clone(),
            (Some(one), None) => Some(one),
            (Some(one), Some(other)) => match one.value.compare(&other.value) {
                Some(Ordering::Less) => Some(one),
                Some(Ordering::Greater) => Some(other.clone()),
                _ => Some(End { value: one.value, closed: one.closed && other.closed }),
            },
        };
    }
    Band { low: all.low, high: if certain { high } else { all.high } }
}

/// The largest less the smallest: from nothing, or from the gap between ranges that do not meet, to the furthest two
/// values can be apart.
fn spread(elements: &[Element]) -> (Band, bool) {
    let zero = || End { value: Value::ZERO, closed: true };
    let mut furthest: Option<Band> = None;
    for (number, one) in elements.iter().enumerate() {
        for (other_number, other) in elements.iter().enumerate() {
            if number == other_number && one.most == Some(1) {
                continue;
            }
            let apart = add(&one.band, &negate(&other.band));
            furthest = Some(match furthest {
                None => apart,
                Some(before) => hull(&before, &apart),
            });
        }
    }
    let Some(furthest) = furthest else { return (point(Value::ZERO), true) };
    let certain: Vec<&Element> = elements.iter().filter(|element| element.least > 0).collect();
    let mut low = zero();
    for one in &certain {
        for other in &certain {
            if let Some(gap) = add(&one.band, &negate(&other.band)).low
                && gap.value.compare(&low.value) == Some(Ordering::Greater)
            {
                low = gap;
            }
        }
    }
    // The two that lie furthest apart are there only if there are two.
    let sure = elements.len() > 1 || elements.iter().all(|element| element.least != 1 || element.most == Some(1));
    (Band { low: Some(low), high: furthest.high }, sure)
}
