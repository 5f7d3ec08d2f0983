//! Whether what is chosen of several values can be so at once, as far as one is calculated from others. Refuses to say that
//! it can: only that it cannot is proved.

use super::super::interval::{binary, call, hull, meet, negate, point, power};
use super::super::{Book, Expression, ExpressionKind, Generation, Origin, Reach, Selector, evaluate};
use super::{expand, same};
use crate::quantity::{Band, End, Number, Value};
use crate::syntax::tree::Collector;

/// Values deeper or with more steps than this are taken to be anything.
const MOST_DEPTH: usize = 40;
const MOST_STEPS: usize = 400;

/// What is known of values, each as an expression looked up from one part, with the band it lies in.
pub(super) struct Bounds<'a> {
    pub(super) book: &'a Book,
    pub(super) generation: Option<&'a Generation>,
    pub(super) known: Vec<(&'a Expression, Band)>,
}

impl Bounds<'_> {
    /// Where a value lies, by what is known of it and of what it is calculated from.
    pub(super) fn of(&self, expression: &Expression) -> Band {
        self.band(expression, 0, &mut 0)
    }

    /// As [`Bounds::of`], by what it is calculated from only.
    pub(super) fn calculated(&self, expression: &Expression) -> Band {
        self.inner(expression, 0, &mut 0)
    }

    fn band(&self, expression: &Expression, depth: usize, steps: &mut usize) -> Band {
        let own = self.known.iter().filter(|(subject, _)| same(subject, expression));
        own.fold(self.inner(expression, depth, steps), |band, (_, known)| meet(&band, known))
    }

    fn inner(&self, expression: &Expression, depth: usize, steps: &mut usize) -> Band {
        *steps += 1;
        if depth > MOST_DEPTH || *steps > MOST_STEPS {
            return Band::default();
        }
        let mut of = |expression: &Expression| self.band(expression, depth + 1, steps);
        match &expression.kind {
            ExpressionKind::Quantity(value) => point(value.clone()),
            ExpressionKind::Name(name) => point(Value::from(Number::from_integer(i64::from(*name)))),
            ExpressionKind::Constant(_) => {
                evaluate::evaluate(self.book, self.generation, expression).map_or_else(|_| Band::default(), point)
            }
            ExpressionKind::Reach(reach) => {
                let Origin::Derived(Some(body)) = &self.book.characteristics.get(reach.characteristic).origin else {
                    return Band::default();
                };
                expand::seen_over(body, &reach.selectors, 0).map_or_else(Band::default, |body| of(&body))
            }
            ExpressionKind::Negate(inner) => negate(&of(inner)),
            ExpressionKind::Binary(operator, left, right) => {
                binary(*operator, &of(left), &of(right)).unwrap_or_default()
            }
            ExpressionKind::Power(base, exponent) => power(&of(base), *exponent),
            ExpressionKind::Function(function, arguments) => {
                let bands: Vec<Band> = arguments.iter().map(of).collect();
                call(*function, &bands).0
            }
            ExpressionKind::Collect(collector, values) => {
                let bands: Vec<Band> = values.iter().map(&mut of).collect();
                self.collected(*collector, values, &bands)
            }
            ExpressionKind::Parameter(_)
            | ExpressionKind::Formula(..)
            | ExpressionKind::Table(..)
            | ExpressionKind::YesNo(_)
            | ExpressionKind::Not(_)
            | ExpressionKind::Test { .. } => Band::default(),
        }
    }

    /// One of several values, by what is known of each and of others of the same values: none lies below the smallest.
    fn collected(&self, collector: Collector, values: &[Expression], bands: &[Band]) -> Band {
        let Some(rank) = rank(collector) else {
            let nothing = End { value: Value::ZERO, closed: true };
            let never_below = matches!(collector, Collector::Spread | Collector::Count);
            return Band { low: never_below.then_some(nothing), high: None };
        };
        let all = bands.iter().cloned().reduce(|one, other| hull(&one, &other)).unwrap_or_default();
        self.known.iter().fold(all, |band, (subject, known)| {
            let (below, above) = match &subject.kind {
                ExpressionKind::Collect(other, of) if alike(of, values) => match self::rank(*other) {
                    Some(other) => (other <= rank, other >= rank),
                    None => (false, false),
                },
                // Among the values itself: the smallest is no larger, the largest no smaller.
                ExpressionKind::Reach(reach) if values.iter().any(|value| covers(value, reach)) => {
                    (rank == LARGEST, rank == SMALLEST)
                }
                _ => (false, false),
            };
            let low = known.low.clone().filter(|_| below);
            let high = known.high.clone().filter(|_| above);
            meet(&band, &Band { low, high })
        })
    }
}

const SMALLEST: u8 = 0;
const LARGEST: u8 = 2;

/// Collectors whose answers never stand the other way round.
fn rank(collector: Collector) -> Option<u8> {
    match collector {
        Collector::Smallest => Some(SMALLEST),
        Collector::Mean => Some(1),
        Collector::Largest => Some(LARGEST),
        Collector::Spread | Collector::Sum | Collector::Count => None,
    }
}

fn alike(one: &[Expression], other: &[Expression]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
}

/// Whether one of several values is what a reach leads to.
fn covers(values: &Expression, reach: &Reach) -> bool {
    let ExpressionKind::Reach(all) = &values.kind else { return false };
    all.characteristic == reach.characteristic
        && (all.station.is_none() || all.station == reach.station)
        && !reach.selectors.contains(&Selector::All)
        && all.selectors.iter().zip(&reach.selectors).all(|(all, one)| *all == Selector::All || all == one)
}
