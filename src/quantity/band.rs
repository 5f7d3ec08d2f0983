//! A range of allowed values and where a value lies to it; refuses to say what being outside means.

use super::value::Value;
use std::cmp::Ordering;

/// One end of a band.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct End {
    /// Where it stands, in SI base units.
    pub value: Value,
    /// Whether the value itself is inside.
    pub closed: bool,
}

/// Everything from one end to the other; an end left out is no limit.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Band {
    /// The lower limit.
    pub low: Option<End>,
    /// The upper limit.
    pub high: Option<End>,
}

/// Where a value lies to a band.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum Side {
    /// Within it.
    Inside,
    /// Under its lower limit.
    Below,
    /// Over its upper limit.
    Above,
    /// The value is not known closely enough to tell.
    Undecided,
}

impl Band {
    /// Both limits counted in.
    #[must_use]
    pub fn between(low: Value, high: Value) -> Band {
        Band { low: Some(End { value: low, closed: true }), high: Some(End { value: high, closed: true }) }
    }

    /// The limit or more.
    #[must_use]
    pub fn at_least(low: Value) -> Band {
        Band { low: Some(End { value: low, closed: true }), high: None }
    }

    /// The limit or less.
    #[must_use]
    pub fn at_most(high: Value) -> Band {
        Band { low: None, high: Some(End { value: high, closed: true }) }
    }

    /// More than the limit.
    #[must_use]
    pub fn above(low: Value) -> Band {
        Band { low: Some(End { value: low, closed: false }), high: None }
    }

    /// Less than the limit.
    #[must_use]
    pub fn below(high: Value) -> Band {
        Band { low: None, high: Some(End { value: high, closed: false }) }
    }

    /// This value and no other.
    #[must_use]
    pub fn exactly(value: Value) -> Band {
        Band::between(value.clone(), value)
    }

    /// Where a value lies.
    #[must_use]
    pub fn locate(&self, value: &Value) -> Side {
        let under = self.low.as_ref().map_or(Some(false), |end| past(value, end, Ordering::Less));
        if under == Some(true) {
            return Side::Below;
        }
        let over = self.high.as_ref().map_or(Some(false), |end| past(value, end, Ordering::Greater));
        match (under, over) {
            (_, Some(true)) => Side::Above,
            (Some(false), Some(false)) => Side::Inside,
            _ => Side::Undecided,
        }
    }

    /// Whether it is proved that nothing lies inside.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        match (&self.low, &self.high) {
            (Some(low), Some(high)) => separated(low, high) == Some(true),
            _ => false,
        }
    }

    /// Whether everything inside `inner` is inside this band too; an empty `inner` is inside any band.
    #[must_use]
    pub fn holds(&self, inner: &Band) -> Option<bool> {
        if inner.is_empty() {
            return Some(true);
        }
        let covers = |outer: &Option<End>, inner: &Option<End>, outward: Ordering| match (outer, inner) {
            (None, _) => Some(true),
            (Some(_), None) => Some(false),
            (Some(outer), Some(inner)) => outer.value.compare(&inner.value).map(|ordering| {
                ordering == outward || (ordering == Ordering::Equal && (outer.closed || !inner.closed))
            }),
        };
        both(covers(&self.low, &inner.low, Ordering::Less), covers(&self.high, &inner.high, Ordering::Greater))
    }

    /// Whether any value is inside both.
    #[must_use]
    pub fn overlaps(&self, other: &Band) -> Option<bool> {
        if self.is_empty() || other.is_empty() {
            return Some(false);
        }
        let meet = |low: &Option<End>, high: &Option<End>| match (low, high) {
            (Some(low), Some(high)) => separated(low, high).map(|apart| !apart),
            _ => Some(true),
        };
        both(meet(&self.low, &other.high), meet(&other.low, &self.high))
    }

    /// From end to end; `None` where one is missing.
    #[must_use]
    pub fn width(&self) -> Option<Value> {
        Some(self.high.as_ref()?.value.subtract(&self.low.as_ref()?.value))
    }

    /// How far a value lies outside, from the nearer end; `None` inside, and where that is undecided.
    #[must_use]
    pub fn distance(&self, value: &Value) -> Option<Value> {
        match self.locate(value) {
            Side::Below => Some(self.low.as_ref()?.value.subtract(value)),
            Side::Above => Some(value.subtract(&self.high.as_ref()?.value)),
            Side::Inside | Side::Undecided => None,
        }
    }

    /// How far a value inside is from the nearest end; `None` outside, where that is undecided, and without any end.
    #[must_use]
    pub fn margin(&self, value: &Value) -> Option<Value> {
        if self.locate(value) != Side::Inside {
            return None;
        }
        let low = self.low.as_ref().map(|end| value.subtract(&end.value));
        let high = self.high.as_ref().map(|end| end.value.subtract(value));
        Value::smallest(&low.into_iter().chain(high).collect::<Vec<_>>())
    }
}

/// Whether a value lies past an end; `outward` is the way out of the band there.
fn past(value: &Value, end: &End, outward: Ordering) -> Option<bool> {
    value.compare(&end.value).map(|ordering| ordering == outward || (ordering == Ordering::Equal && !end.closed))
}

/// Whether nothing lies between a lower and an upper end.
fn separated(low: &End, high: &End) -> Option<bool> {
    low.value
        .compare(&high.value)
        .map(|ordering| ordering == Ordering::Greater || (ordering == Ordering::Equal && !(low.closed && high.closed)))
}

/// Both true; one proved false is enough for false, whatever the other is.
fn both(one: Option<bool>, other: Option<bool>) -> Option<bool> {
    match (one, other) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
