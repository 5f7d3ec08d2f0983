//! The values that conditions ask about, each cut into the cells the conditions tell apart. Refuses to know how the
//! conditions are joined.

use super::super::evaluate::evaluate;
use super::super::interval::{add, negate};
use super::super::{
    Book, Bound, Datum, Expression, ExpressionKind, Generation, Kind, Origin, RangeKind, Reach, Selector, circles,
};
use super::bounds::Bounds;
use super::{kind_of, same};
use crate::quantity::{Band, End, Number, Unit, Value, shown};
use crate::text::Place;
use std::cmp::Ordering;

/// Places printed of a bound whose decimal does not end.
const MOST_PLACES: u32 = 4;

/// One value that conditions ask about.
struct Axis<'a> {
    subject: &'a Expression,
    cut: Cut<'a>,
}

/// How a value is cut into cells.
enum Cut<'a> {
    /// The names of a set.
    Names(usize),
    /// No, yes.
    YesNo,
    /// Below the first point, at it, between it and the next, and so on: a cell more than twice as many as points.
    Line(Vec<Point<'a>>),
    /// Below, at or above a bound that needs the record.
    Against(&'a Expression),
}

/// A bound that a value is compared with.
struct Point<'a> {
    value: Value,
    bound: &'a Expression,
}

/// Some of the cells of an axis.
pub(super) struct Cells {
    pub(super) axis: usize,
    inside: Vec<bool>,
}

impl Cells {
    /// The other cells instead, if `turn`.
    pub(super) fn turned(mut self, turn: bool) -> Cells {
        for inside in &mut self.inside {
            *inside = *inside != turn;
        }
        self
    }

    /// Whether the chosen cell is among them; before one is chosen, whether all or none are.
    pub(super) fn holds(&self, chosen: Option<usize>) -> Option<bool> {
        match chosen {
            Some(cell) => self.inside.get(cell).copied(),
            None if self.inside.iter().all(|inside| *inside) => Some(true),
            None if self.inside.iter().all(|inside| !inside) => Some(false),
            None => None,
        }
    }
}

/// Every value asked about.
pub(super) struct Axes<'a> {
    book: &'a Book,
    generation: Option<&'a Generation>,
    axes: Vec<Axis<'a>>,
    /// Where the conditions are written; what is written elsewhere was put in place of a derived value.
    written: Vec<Place>,
}

impl<'a> Axes<'a> {
    pub(super) fn new(book: &'a Book, generation: Option<&'a Generation>, written: Vec<Place>) -> Axes<'a> {
        Axes { book, generation, axes: Vec::new(), written }
    }

    pub(super) fn len(&self) -> usize {
        self.axes.len()
    }

    /// How many cells an axis has; none past the last.
    pub(super) fn cells(&self, axis: usize) -> usize {
        self.axes.get(axis).map_or(0, |axis| axis.cut.cells())
    }

    /// Takes note of every known bound in a condition: an axis must have all its points before cells are numbered.
    pub(super) fn collect_points(&mut self, condition: &'a Expression) {
        circles::walk(condition, &mut |node| {
            if let ExpressionKind::Test { subject, range, .. } = &node.kind
                && let RangeKind::Band { low, high } = &range.kind
                && self.known(subject).is_none()
            {
                for bound in [low, high].into_iter().flatten() {
                    if let Some(value) = self.known(&bound.value) {
                        self.point(subject, Point { value, bound: &bound.value });
                    }
                }
            }
        });
    }

    fn known(&self, expression: &Expression) -> Option<Value> {
        evaluate(self.book, self.generation, expression).ok()
    }

    fn point(&mut self, subject: &'a Expression, point: Point<'a>) {
        let line = self.axes.iter_mut().find_map(|axis| match &mut axis.cut {
            Cut::Line(points) if same(axis.subject, subject) => Some(points),
            _ => None,
        });
        let Some(points) = line else {
            self.axes.push(Axis { subject, cut: Cut::Line(vec![point]) });
            return;
        };
        // A bound that cannot be told from another gets no point; it is then compared on an axis of its own.
        let orders = points.iter().map(|other| other.value.compare(&point.value)).collect::<Option<Vec<_>>>();
        let Some(orders) = orders else { return };
        if !orders.contains(&Ordering::Equal) {
            let at = orders.iter().filter(|order| **order == Ordering::Less).count();
            points.insert(at, point);
        }
    }

    fn axis(&mut self, subject: &'a Expression, cut: Cut<'a>) -> usize {
        let alike = |axis: &Axis<'_>| {
            same(axis.subject, subject)
                && match (&axis.cut, &cut) {
                    (Cut::Names(_), Cut::Names(_)) | (Cut::YesNo, Cut::YesNo) => true,
                    (Cut::Against(one), Cut::Against(other)) => same(one, other),
                    _ => false,
                }
        };
        if let Some(found) = self.axes.iter().position(alike) {
            return found;
        }
        self.axes.push(Axis { subject, cut });
        self.axes.len() - 1
    }

    /// The cells of these names; of a subject whose set is not known here, the whole test is one free condition.
    pub(super) fn names(
        &mut self,
        subject: &'a Expression,
        names: &[u16],
        test: &'a Expression,
        negated: bool,
    ) -> Cells {
        let Some(Kind::Names(set)) = kind_of(self.book, subject) else { return self.free(test).turned(negated) };
        let count = self.book.sets.get(set).names.len();
        let axis = self.axis(subject, Cut::Names(count));
        let inside = (0..count).map(|cell| u16::try_from(cell).is_ok_and(|name| names.contains(&name))).collect();
        Cells { axis, inside }
    }

    /// The cell `yes` of a condition that is not looked into.
    pub(super) fn free(&mut self, condition: &'a Expression) -> Cells {
        Cells { axis: self.axis(condition, Cut::YesNo), inside: vec![false, true] }
    }

    /// The cells on the inner side of a bound; or whether it lies inside, where no record is needed to know.
    pub(super) fn side(&mut self, subject: &'a Expression, bound: &'a Bound, lower: bool) -> Result<bool, Cells> {
        let inward = if lower { Ordering::Greater } else { Ordering::Less };
        let inside = |order: Ordering| order == inward || (order == Ordering::Equal && bound.closed);
        let end = self.known(&bound.value);
        if let (Some(value), Some(end)) = (self.known(subject), &end)
            && let Some(order) = value.compare(end)
        {
            return Ok(inside(order));
        }
        if let Some(end) = &end {
            let found = self.axes.iter().enumerate().find_map(|(number, axis)| match &axis.cut {
                Cut::Line(points) if same(axis.subject, subject) => {
                    let at = points.iter().position(|point| point.value.compare(end) == Some(Ordering::Equal))?;
                    Some((number, at, axis.cut.cells()))
                }
                _ => None,
            });
            if let Some((axis, point, cells)) = found {
                return Err(Cells {
                    axis,
                    inside: (0..cells).map(|cell| inside(cell.cmp(&(2 * point + 1)))).collect(),
                });
            }
        }
        // The same two the other way round are one comparison.
        let turned = self.axes.iter().position(|axis| match axis.cut {
            Cut::Against(other) => same(axis.subject, &bound.value) && same(other, subject),
            _ => false,
        });
        let orders = [Ordering::Less, Ordering::Equal, Ordering::Greater].map(inside);
        if let Some(axis) = turned {
            return Err(Cells { axis, inside: orders.into_iter().rev().collect() });
        }
        let axis = self.axis(subject, Cut::Against(&bound.value));
        Err(Cells { axis, inside: orders.to_vec() })
    }

    /// The chosen cells in words, as the book writes their subjects.
    pub(super) fn facts(&self, chosen: &[Option<usize>]) -> Vec<String> {
        self.axes.iter().zip(chosen).filter_map(|(axis, cell)| Some(self.fact(axis, (*cell)?))).collect()
    }

    fn fact(&self, axis: &Axis<'_>, cell: usize) -> String {
        let subject = self.words(axis.subject);
        match &axis.cut {
            Cut::Names(_) => match kind_of(self.book, axis.subject) {
                Some(Kind::Names(set)) => {
                    let name = u16::try_from(cell).map_or("", |cell| self.book.sets.get(set).name_of(cell));
                    format!("{subject} is {name}")
                }
                _ => subject,
            },
            Cut::YesNo => format!("{subject}: {}", if cell == 0 { "no" } else { "yes" }),
            Cut::Against(bound) => {
                let word = ["below", "exactly", "above"].get(cell).copied().unwrap_or_default();
                format!("{subject} {word} {}", bound.place.text())
            }
            Cut::Line(points) => {
                let text = |at: usize| points.get(at).map(|point| self.quantity(axis.subject, point));
                let below = cell.checked_sub(2).and_then(|cell| text(cell / 2));
                match (cell % 2 == 1, below, text(cell / 2)) {
                    (true, _, Some(at)) => format!("{subject} is {at}"),
                    (_, Some(low), Some(high)) => format!("{subject} between {low} and {high}"),
                    (_, None, Some(high)) => format!("{subject} below {high}"),
                    (_, Some(low), None) => format!("{subject} above {low}"),
                    (_, None, None) => subject,
                }
            }
        }
    }

    /// What is asked about, as the condition has it; where it stands in a derivation, which may be another part's, with the
    /// way to it.
    fn words(&self, subject: &Expression) -> String {
        if let ExpressionKind::Reach(reach) = &subject.kind
            && !self.written.contains(&subject.place)
        {
            let positions: Option<Vec<u16>> = reach
                .selectors
                .iter()
                .map(|selector| if let Selector::At(at) = selector { Some(*at) } else { None })
                .collect();
            return self.book.path(reach.characteristic, &positions.unwrap_or_default(), reach.station);
        }
        subject.place.text().split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Whether each chosen cell can be while the others are; yes where that is not known.
    pub(super) fn leave_room(&self, chosen: &[Option<usize>]) -> bool {
        let picked = || self.axes.iter().zip(chosen).filter_map(|(axis, cell)| Some((axis, (*cell)?)));
        let known: Vec<(&Expression, Band)> =
            picked().filter_map(|(axis, cell)| Some((axis.subject, axis.cut.band(cell)?))).collect();
        let bounds = Bounds { book: self.book, generation: self.generation, known };
        let meets = |band: &Band, cell: &Band| !band.is_empty() && band.overlaps(cell) != Some(false);
        picked().all(|(axis, cell)| match &axis.cut {
            Cut::Against(bound) => {
                let apart = add(&bounds.of(axis.subject), &negate(&bounds.of(bound)));
                let wanted = match cell {
                    0 => Band::below(Value::ZERO),
                    1 => Band::exactly(Value::ZERO),
                    _ => Band::above(Value::ZERO),
                };
                meets(&apart, &wanted)
            }
            cut => cut.band(cell).is_none_or(|band| meets(&bounds.calculated(axis.subject), &band)),
        })
    }

    /// A value in each chosen cell whose subject is one plain reading.
    pub(super) fn picks(&self, chosen: &[Option<usize>]) -> Vec<(Reach, Datum)> {
        let pick = |(axis, cell): (&Axis<'_>, &Option<usize>)| {
            let ExpressionKind::Reach(reach) = &axis.subject.kind else { return None };
            Some((reach.clone(), axis.cut.value_in((*cell)?)?))
        };
        self.axes.iter().zip(chosen).filter_map(pick).collect()
    }

    /// A bound in the unit it is written in; where it has none of its own, in that of what is compared with it.
    fn quantity(&self, subject: &Expression, Point { value, bound }: &Point<'_>) -> String {
        let literal = match &bound.kind {
            ExpressionKind::Negate(inner) => &inner.kind,
            kind => kind,
        };
        let written = bound.place.text();
        if matches!(literal, ExpressionKind::Quantity(_)) && !written.ends_with(|last: char| last.is_ascii_digit()) {
            return written.split_whitespace().collect::<Vec<_>>().join(" ");
        }
        let unit = match &subject.kind {
            ExpressionKind::Reach(reach) => self.book.characteristics.get(reach.characteristic).unit.clone(),
            _ => None,
        };
        let unit = unit.unwrap_or_else(Unit::number);
        let number = unit.from_base(value);
        let places = number.is_exact_rational().and_then(Number::decimal_places);
        shown(value, &unit, places.unwrap_or(MOST_PLACES).min(MOST_PLACES))
    }

    /// Whether the chosen cells are of different readings, each free of the others.
    pub(super) fn certain(&self, chosen: &[Option<usize>]) -> bool {
        let used: Vec<&Axis<'_>> =
            self.axes.iter().zip(chosen).filter(|(_, cell)| cell.is_some()).map(|(axis, _)| axis).collect();
        let mut seen = Vec::new();
        used.iter().all(|axis| {
            let ExpressionKind::Reach(reach) = &axis.subject.kind else { return false };
            let plain = matches!(self.book.characteristics.get(reach.characteristic).origin, Origin::Reading { .. });
            let new = !seen.contains(&reach.characteristic);
            seen.push(reach.characteristic);
            plain && new && !matches!(axis.cut, Cut::Against(_))
        })
    }
}

impl Cut<'_> {
    /// A cell as a band; `None` of yes and no, and of what is compared with the record.
    fn band(&self, cell: usize) -> Option<Band> {
        match self {
            Cut::Names(_) => Some(Band::exactly(Value::from(Number::from_integer(i64::try_from(cell).ok()?)))),
            Cut::YesNo | Cut::Against(_) => None,
            Cut::Line(points) => {
                let point = |at: usize| points.get(at).map(|point| point.value.clone());
                let beside = |at: usize| point(at).map(|value| End { value, closed: false });
                if cell % 2 == 1 {
                    return point(cell / 2).map(Band::exactly);
                }
                Some(Band { low: cell.checked_sub(2).and_then(|cell| beside(cell / 2)), high: beside(cell / 2) })
            }
        }
    }

    /// Some value inside a cell; `None` where that takes the record.
    fn value_in(&self, cell: usize) -> Option<Datum> {
        let number = |above, below| Number::ratio(above, below).map(Value::from);
        match self {
            Cut::Names(_) => u16::try_from(cell).ok().map(Datum::Name),
            Cut::YesNo => Some(Datum::YesNo(cell == 1)),
            Cut::Against(_) => None,
            Cut::Line(points) => {
                let point = |at: usize| points.get(at).map(|point| &point.value);
                if cell % 2 == 1 {
                    return point(cell / 2).cloned().map(Datum::Quantity);
                }
                let beside = |end: &Value, sign: i64| {
                    // A hundredth of the bound further on; beside nothing, a hundredth of the base unit.
                    let far = if *end == Value::ZERO { Value::ONE } else { end.absolute() };
                    Some(end.add(&far.multiply(&number(sign, 100)?)))
                };
                let below = cell.checked_sub(2).and_then(|cell| point(cell / 2));
                match (below, point(cell / 2)) {
                    (Some(low), Some(high)) => Some(low.add(high).multiply(&number(1, 2)?)),
                    (None, Some(high)) => beside(high, -1),
                    (Some(low), None) => beside(low, 1),
                    (None, None) => None,
                }
                .map(Datum::Quantity)
            }
        }
    }

    fn cells(&self) -> usize {
        match self {
            Cut::Names(count) => *count,
            Cut::YesNo => 2,
            Cut::Line(points) => 2 * points.len() + 1,
            Cut::Against(_) => 3,
        }
    }
}
