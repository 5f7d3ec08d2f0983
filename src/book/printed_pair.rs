//! Printed pairs: a range and the same range as its source prints it in another unit. Refuses to say which of two that
//! disagree is right.

use super::check::Checker;
use super::expression::Kind;
use super::wording;
use crate::quantity::{Number, Unit, Value};
use crate::syntax::tree::{self, Expr, ExprKind, RangeKind, UnitName};
use crate::text::Span;
use std::cmp::Ordering;

/// One figure as printed.
#[derive(Clone)]
struct Figure {
    /// In base units.
    value: Value,
    /// One step of its last printed digit, in base units.
    step: Value,
    /// The digits printed after its point.
    places: u32,
    unit: Unit,
}

/// One end of a printed range.
pub(super) struct PrintedEnd {
    figure: Figure,
    closed: bool,
    pub(super) span: Span,
}

impl PrintedEnd {
    /// This end as the other one's source would print it.
    pub(super) fn printed_like(&self, other: &PrintedEnd) -> String {
        crate::quantity::shown(&self.figure.value, &other.figure.unit, other.figure.places)
    }

    /// This end as it is printed.
    pub(super) fn printed(&self) -> String {
        crate::quantity::shown(&self.figure.value, &self.figure.unit, self.figure.places)
    }

    /// Whether the two may be one number, rounded: they differ by less than one step of either's last printed digit.
    /// Publishers round limits inward or to nearest, and either unit may be the one that was converted.
    fn agrees(&self, other: &PrintedEnd) -> bool {
        let apart = self.figure.value.subtract(&other.figure.value).absolute();
        // What is not decided is no proof of a misprint.
        let within = |step: &Value| matches!(apart.compare(step), Some(Ordering::Less) | None);
        within(&self.figure.step) || within(&other.figure.step)
    }
}

/// The ends of a printed range: low and high.
type Ends = (Option<PrintedEnd>, Option<PrintedEnd>);

impl Checker<'_> {
    /// Checks that a range and its `also` may be the same range: the same sides, the same words, and figures that are
    /// each other's conversions as far as their digits go.
    pub(super) fn printed_pair(&mut self, range: &tree::Range, also: &tree::Range, kind: Kind) {
        // Dimensions, kinds and units are checked as of any range; a part of `all the same` has no unit.
        if self.range(also, kind, None).is_none() {
            return;
        }
        let (Some(first), Some(second)) = (self.ends(range), self.ends(also)) else {
            let unfit = if self.ends(range).is_none() { range } else { also };
            let finding = wording::pair_not_plain(self.place(unfit.span));
            self.say(finding);
            return;
        };
        let places = (self.place(range.span), self.place(also.span));
        if first.0.is_some() != second.0.is_some() || first.1.is_some() != second.1.is_some() {
            let finding = wording::pair_sides(places, (first.0.is_some(), first.1.is_some()));
            self.say(finding);
            return;
        }
        for (one, other) in [(first.0, second.0), (first.1, second.1)] {
            let (Some(one), Some(other)) = (one, other) else { continue };
            if one.closed != other.closed {
                let finding = wording::pair_words(places.clone(), one.closed);
                self.say(finding);
                return;
            }
            if !one.agrees(&other) {
                let finding = wording::pair_apart(&one, &other, (self.place(one.span), self.place(other.span)));
                self.say(finding);
            }
        }
    }

    /// The ends of a range of plain numbers; `None` of any other.
    fn ends(&self, range: &tree::Range) -> Option<Ends> {
        let end = |expr: &Expr, closed: bool| {
            Some(PrintedEnd { figure: self.printed_figure(expr, own_unit(expr))?, closed, span: expr.span })
        };
        let made = |figure: Figure| PrintedEnd { figure, closed: true, span: range.span };
        match &range.kind {
            RangeKind::Between(low, high) => {
                let unit = own_unit(high).or_else(|| own_unit(low));
                let end = |expr: &Expr| {
                    let figure = self.printed_figure(expr, own_unit(expr).or(unit))?;
                    Some(PrintedEnd { figure, closed: true, span: expr.span })
                };
                Some((Some(end(low)?), Some(end(high)?)))
            }
            RangeKind::AtLeast(low) => Some((Some(end(low, true)?), None)),
            RangeKind::Above(low) => Some((Some(end(low, false)?), None)),
            RangeKind::AtMost(high) => Some((None, Some(end(high, true)?))),
            RangeKind::Below(high) => Some((None, Some(end(high, false)?))),
            RangeKind::Exactly(value) => Some((Some(end(value, true)?), Some(end(value, true)?))),
            RangeKind::PlusMinus(size, by) => {
                let unit = own_unit(by).or_else(|| own_unit(size));
                let size = self.printed_figure(size, own_unit(size).or(unit))?;
                let by = self.printed_deviation(by, own_unit(by).or(unit))?;
                let low = Figure { value: by.value.negate(), ..by.clone() };
                Some((Some(made(moved(&size, &low))), Some(made(moved(&size, &by)))))
            }
            RangeKind::Tolerance { size, first, second } => {
                let unit = own_unit(second).or_else(|| own_unit(first)).or_else(|| own_unit(size));
                let size = self.printed_figure(size, own_unit(size).or(unit))?;
                let first = self.printed_deviation(first, own_unit(first).or(unit))?;
                let second = self.printed_deviation(second, own_unit(second).or(unit))?;
                let rising = first.value.compare(&second.value) != Some(Ordering::Greater);
                let (low, high) = if rising { (first, second) } else { (second, first) };
                Some((Some(made(moved(&size, &low))), Some(made(moved(&size, &high)))))
            }
            RangeKind::Fit { .. } | RangeKind::Names(_) | RangeKind::NotNames(_) | RangeKind::AllTheSame { .. } => None,
        }
    }

    fn printed_figure(&self, expr: &Expr, unit: Option<&UnitName>) -> Option<Figure> {
        let (number, places) = self.digits(expr)?;
        let unit = match unit {
            Some(unit) => self.book.units.resolve(&unit.text).ok()?.into_owned(),
            None => Unit::number(),
        };
        Some(figure(&number, places, unit))
    }

    /// As a figure, but on a scale a difference.
    fn printed_deviation(&self, expr: &Expr, unit: Option<&UnitName>) -> Option<Figure> {
        let (number, places) = self.digits(expr)?;
        let unit = self.printed_figure(expr, unit)?.unit.difference();
        Some(figure(&number, places, unit))
    }

    /// A literal's number and the digits after its point. The digits are counted in the text: a number does not keep the
    /// zeros it was printed with.
    fn digits(&self, expr: &Expr) -> Option<(Number, u32)> {
        match &expr.kind {
            ExprKind::Number(number) | ExprKind::Quantity(number, _) => {
                let text = self.source.slice(expr.span);
                let (_, after) = text.split_once('.').unwrap_or((text, ""));
                let places = after.bytes().take_while(u8::is_ascii_digit).count();
                Some((number.clone(), u32::try_from(places).ok()?))
            }
            ExprKind::Negate(inner) => self.digits(inner).map(|(number, places)| (-number, places)),
            _ => None,
        }
    }
}

fn figure(number: &Number, places: u32, unit: Unit) -> Figure {
    let tenth = Number::ratio(1, 10).unwrap_or_default();
    let step = (0..places).fold(Number::ONE, |step, _| &step * &tenth);
    Figure { value: unit.to_base(number), step: unit.difference().to_base(&step), places, unit }
}

/// A size with a deviation: as coarse as the coarser of the two.
fn moved(size: &Figure, by: &Figure) -> Figure {
    let coarser = if size.step.compare(&by.step) == Some(Ordering::Less) { by } else { size };
    Figure {
        value: size.value.add(&by.value),
        step: coarser.step.clone(),
        places: size.places.max(by.places),
        unit: size.unit.clone(),
    }
}

/// The unit written at the end of a literal.
fn own_unit(expr: &Expr) -> Option<&UnitName> {
    match &expr.kind {
        ExprKind::Quantity(_, unit) => Some(unit),
        ExprKind::Negate(inner) => own_unit(inner),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
