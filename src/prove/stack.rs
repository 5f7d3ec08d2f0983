//! Stack-up: what a derived value can come to while all it is made of is good. Refuses to know whether that is right.

use super::collect::{Element, collect};
use super::input::{Known, input, is_countable};
use super::lookup;
use super::model::{Asked, Model};
use super::sharp;
use super::worth::{Loose, Pull, Worth};
use crate::book::interval::{Around, around, binary, call, hull, meet, negate, point, power};
use crate::book::wave;
use crate::book::{
    Book, Characteristic, Expression, ExpressionKind, Function, Generation, Id, Origin, Part, Reach, Row, Selector,
    circles, evaluate,
};
use crate::quantity::{Band, Days};
use crate::syntax::tree::{Collector, Operator};

/// A value at more places than this is not looked at place by place.
const MOST_PLACES: usize = 24;

/// What is known to be the case, as seen from a part.
#[derive(Clone, Copy)]
pub(super) struct Under<'a> {
    pub condition: Option<&'a Expression>,
    pub days: Days,
    pub part: Id<Part>,
    /// Which positions of it are meant.
    pub selectors: &'a [Selector],
}

impl<'a> Under<'a> {
    /// Where a row on a part applies.
    pub(super) fn of(row: &'a Row, part: Id<Part>) -> Under<'a> {
        let selectors = &row.subject.selectors;
        Under { condition: row.condition.as_deref(), days: row.days, part, selectors }
    }

    pub(super) fn means(&self, positions: &[u16]) -> bool {
        self.selectors.iter().zip(positions).all(|(selector, position)| match selector {
            Selector::At(at) => at == position,
            Selector::All | Selector::Same(_) => true,
        })
    }
}

/// The derived values of one generation.
pub(super) struct Stacks<'a> {
    book: &'a Book,
    generation: &'a Generation,
    /// For each characteristic that is derived and countable, what it can be.
    worths: Vec<Option<Worth>>,
}

impl<'a> Stacks<'a> {
    pub(super) fn new(book: &'a Book, generation: &'a Generation) -> Stacks<'a> {
        let mut stacks = Stacks { book, generation, worths: vec![None; book.characteristics.len()] };
        // Each after those it needs: a chain of derivations may be longer than any stack is deep.
        for id in circles::derivation_order(book) {
            let worth = stacks.of(id, None);
            if let Some(entry) = stacks.worths.get_mut(id.index()) {
                *entry = worth;
            }
        }
        stacks
    }

    /// What a derived value can be, where something is known to be the case. `None` where it is no quantity.
    pub(super) fn of(&self, id: Id<Characteristic>, under: Option<Under<'_>>) -> Option<Worth> {
        let characteristic = self.book.characteristics.get(id);
        let Origin::Derived(Some(body)) = &characteristic.origin else { return None };
        is_countable(self.book, characteristic.kind).then(|| {
            let worth = self.value(body, &[], under);
            self.sharper(id, worth, under)
        })
    }

    /// The same with a sharper range, where readings stand in it more than once and it can be had.
    fn sharper(&self, id: Id<Characteristic>, mut worth: Worth, under: Option<Under<'_>>) -> Worth {
        if worth.looseness().is_none() || !worth.missing.is_empty() {
            return worth;
        }
        let part = self.book.characteristics.get(id).part;
        let asked = Asked { book: self.book, generation: self.generation, under, besides: &[] };
        let meant = |positions: &Vec<u16>| under.is_none_or(|under| under.means(positions));
        let places: Vec<Vec<u16>> = self.book.instances(part, self.generation).into_iter().filter(meant).collect();
        let mut all: Option<(Band, bool)> = None;
        for positions in places.iter().take(MOST_PLACES + 1) {
            let Some(model) = Model::new(asked, id, positions) else { return worth };
            let Some((band, exact)) = sharp::range(&model) else { return worth };
            all = Some(match all {
                None => (band, exact),
                Some((before, so_far)) => (hull(&before, &band), so_far && exact),
            });
        }
        match all {
            Some((band, true)) if places.len() <= MOST_PLACES => Worth { band, sharp: true, ..worth },
            Some((band, false)) if places.len() <= MOST_PLACES => {
                worth.band = meet(&worth.band, &band);
                worth
            }
            _ => worth,
        }
    }

    fn value(&self, expression: &Expression, parameters: &[Worth], under: Option<Under<'_>>) -> Worth {
        let value = |expression: &Expression| self.value(expression, parameters, under);
        let keep = |pull: Pull| pull;
        match &expression.kind {
            ExpressionKind::Quantity(value) => Worth::of(point(value.clone())),
            ExpressionKind::Constant(_) => match evaluate::evaluate(self.book, Some(self.generation), expression) {
                Ok(value) => Worth::of(point(value)),
                Err(_) => anything(),
            },
            ExpressionKind::Name(name) => {
                Worth::of(point(crate::quantity::Value::from(crate::quantity::Number::from_integer(i64::from(*name)))))
            }
            ExpressionKind::Parameter(number) => parameters.get(usize::from(*number)).cloned().unwrap_or_else(anything),
            ExpressionKind::Reach(reach) => self.reach(reach, reach.station, false, under),
            ExpressionKind::Negate(inner) => {
                let inner = value(inner);
                Worth::made(negate(&inner.band), true, vec![(inner, Pull::turned as fn(Pull) -> Pull)])
            }
            ExpressionKind::Binary(operator, left, right) => two(*operator, value(left), value(right)),
            ExpressionKind::Power(base, exponent) => {
                let base = value(base);
                let side = if exponent.is_multiple_of(2) { around(&base.band) } else { Around::Above };
                Worth::made(power(&base.band, *exponent), true, vec![(base, move |pull: Pull| pull.times(side))])
            }
            ExpressionKind::Function(function, arguments) => {
                let arguments: Vec<Worth> = arguments.iter().map(value).collect();
                let bands: Vec<Band> = arguments.iter().map(|argument| argument.band.clone()).collect();
                let (band, exact) = call(*function, &bands);
                let first = bands.first().map_or(Around::Both, around);
                let rises = bands.first().and_then(|band| rises(*function, band));
                let pull = move |pull: Pull| falls(*function, (first, rises), pull);
                Worth::made(band, exact, arguments.into_iter().map(|argument| (argument, pull)).collect())
            }
            ExpressionKind::Formula(id, arguments) => {
                let arguments: Vec<Worth> = arguments.iter().map(value).collect();
                self.value(&self.book.formulas.get(*id).body, &arguments, under)
            }
            ExpressionKind::Collect(collector, values) => {
                let mut parts: Vec<(Worth, Element)> = Vec::new();
                for inner in values {
                    if let ExpressionKind::Reach(reach) = &inner.kind {
                        parts.extend(self.elements(reach, under));
                    } else {
                        let worth = value(inner);
                        let element = Element { band: worth.band.clone(), least: 1, most: Some(1) };
                        parts.push((worth, element));
                    }
                }
                let elements: Vec<Element> = parts.iter().map(|(_, element)| element.clone()).collect();
                let (band, exact) = collect(*collector, &elements);
                let pull = match collector {
                    Collector::Spread | Collector::Count => |_: Pull| Pull::Mixed,
                    _ => keep,
                };
                let mut made = Worth::made(band, exact, parts.into_iter().map(|(worth, _)| (worth, pull)).collect());
                if *collector == Collector::Count {
                    // How many there are does not depend on what they are.
                    made = Worth { optional: made.optional, ..Worth::of(made.band) };
                }
                made
            }
            ExpressionKind::Table(table, inner) => {
                let inner = value(inner);
                let (band, pull) = lookup::over(table, &inner.band);
                Worth::made(band, true, vec![(inner, pull)])
            }
            ExpressionKind::YesNo(_) | ExpressionKind::Not(_) | ExpressionKind::Test { .. } => anything(),
        }
    }

    /// What one value of a characteristic can be. `shared` as in [`Worth::seen_over`].
    fn reach(&self, reach: &Reach, station: Option<u16>, shared: bool, under: Option<Under<'_>>) -> Worth {
        let characteristic = self.book.characteristics.get(reach.characteristic);
        let own = (0_u16..).zip(&reach.selectors).all(|(at, selector)| *selector == Selector::Same(at));
        let days = under.map_or(Days::ALWAYS, |under| under.days);
        // What is the case on the whole machine is so as seen from each of its parts.
        let holds = |under: &Under<'_>, condition: &Expression| {
            (own && under.part == characteristic.part) || is_of_the_whole(condition)
        };
        let condition = under.and_then(|under| under.condition.filter(|condition| holds(&under, condition)));
        let conditions: Vec<&Expression> = condition.into_iter().collect();
        let given = Known { conditions: &conditions, days, at: None };
        let found = input(self.book, self.generation, reach.characteristic, station, given);
        if !is_countable(self.book, characteristic.kind) {
            return anything();
        }
        if let Origin::Derived(_) = characteristic.origin {
            let made = self.worths.get(reach.characteristic.index()).and_then(Clone::clone);
            let mut worth = made.unwrap_or_else(anything).seen_over(&reach.selectors, shared);
            // Where its readings leave it open, its own rows may close it.
            let (low, high) = (worth.band.low.is_none(), worth.band.high.is_none());
            if (low && found.band.low.is_some()) || (high && found.band.high.is_some()) {
                worth.band.low = worth.band.low.or(found.band.low);
                worth.band.high = worth.band.high.or(found.band.high);
                worth.as_new &= found.as_new;
                worth.loose = Some(Loose::Cases(reach.characteristic));
                if worth.band.low.is_some() && worth.band.high.is_some() {
                    worth.missing.clear();
                }
            }
            return worth;
        }
        let mut worth = Worth::of(found.band);
        worth.as_new = found.as_new;
        worth.optional = characteristic.is_optional();
        if found.cases {
            worth.loose = Some(Loose::Cases(reach.characteristic));
        }
        if worth.band.low.is_none() || worth.band.high.is_none() {
            worth.missing.push((reach.characteristic, station));
        }
        worth.uses(Reach { station, ..reach.clone() }, Pull::Up, false);
        worth
    }

    /// What a reach in a collection stands for: one entry for each station, each maybe many values.
    fn elements(&self, reach: &Reach, under: Option<Under<'_>>) -> Vec<(Worth, Element)> {
        let characteristic = self.book.characteristics.get(reach.characteristic);
        let positions: u32 = self
            .book
            .parts
            .get(characteristic.part)
            .positioned
            .iter()
            .zip(&reach.selectors)
            .filter(|(_, selector)| **selector == Selector::All)
            .map(|(part, _)| self.generation.positions(*part, self.book.parts.get(*part).positions.len()).len())
            .fold(1, |product: u32, count| product.saturating_mul(u32::try_from(count).unwrap_or(u32::MAX)));
        let (least, most) = match &characteristic.origin {
            Origin::Reading { count, .. } => (u32::from(count.least), count.most.map(u32::from)),
            Origin::Derived(_) => (1, Some(1)),
        };
        let stations: Vec<Option<u16>> = match reach.station {
            Some(station) => vec![Some(station)],
            None if characteristic.stations().is_empty() => vec![None],
            None => (0_u16..).zip(characteristic.stations()).map(|(station, _)| Some(station)).collect(),
        };
        stations
            .into_iter()
            .map(|station| {
                let worth = self.reach(reach, station, positions > 1, under);
                let least = if worth.optional { 0 } else { least.saturating_mul(positions) };
                let most = most.map(|most| most.saturating_mul(positions));
                let band = worth.band.clone();
                (worth, Element { band, least, most })
            })
            .collect()
    }
}

/// Whether a condition means the same from wherever it is looked up: nothing in it depends on a position.
pub(super) fn is_of_the_whole(condition: &Expression) -> bool {
    let mut whole = true;
    circles::reaches(condition, &mut |reach, _| {
        whole &= !reach.selectors.iter().any(|selector| matches!(selector, Selector::Same(_)));
    });
    whole
}

/// Nothing is known of it.
fn anything() -> Worth {
    Worth { loose: Some(Loose::Bounded), ..Worth::of(Band::default()) }
}

fn two(operator: Operator, left: Worth, right: Worth) -> Worth {
    let band = binary(operator, &left.band, &right.band);
    let exact = band.is_some();
    let (of_left, of_right) = (around(&left.band), around(&right.band));
    let pulls: [Box<dyn Fn(Pull) -> Pull>; 2] = match operator {
        Operator::Subtract => [Box::new(|pull| pull), Box::new(Pull::turned)],
        Operator::Multiply => [Box::new(move |pull| pull.times(of_right)), Box::new(move |pull| pull.times(of_left))],
        Operator::Divide => {
            [Box::new(move |pull| pull.times(of_right)), Box::new(move |pull| pull.times(of_left).turned())]
        }
        Operator::Add | Operator::And | Operator::Or => [Box::new(|pull| pull), Box::new(|pull| pull)],
    };
    let [first, second] = pulls;
    Worth::made(band.unwrap_or_default(), exact, vec![(left, first), (right, second)])
}

/// Whether a function that turns only rises, or only falls, over a range.
fn rises(function: Function, band: &Band) -> Option<bool> {
    match function {
        Function::Sine | Function::Cosine | Function::Tangent => wave::wave(function, band).rises,
        _ => None,
    }
}

/// How a function of something on this side of zero passes a pull on; `rises` as [`rises`] says.
fn falls(function: Function, (side, rises): (Around, Option<bool>), pull: Pull) -> Pull {
    match function {
        Function::SquareRoot
        | Function::ArcSine
        | Function::ArcTangent
        | Function::Round
        | Function::Radians
        | Function::Exponential
        | Function::Logarithm
        | Function::Significant => pull,
        Function::ArcCosine => pull.turned(),
        Function::Absolute => pull.times(side),
        Function::Sine | Function::Cosine | Function::Tangent => match rises {
            Some(true) => pull,
            Some(false) => pull.turned(),
            None => Pull::Mixed,
        },
    }
}
