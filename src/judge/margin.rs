//! How far inside its outermost range a value lies: what a changed rule, or a worn part, may still take away. Refuses to grade
//! it.

use super::ruling_report::ReportContext;
use super::wording;
use crate::book::Datum;
use crate::quantity::{Band, Number, Value, shown_apart};
use crate::text::Place;
use std::cmp::Ordering;

/// A value that passes near an end of its range.
#[derive(Clone, Debug)]
pub struct Edge {
    /// What is judged, in words.
    pub subject: String,
    /// The value, with its unit.
    pub value: String,
    /// How far inside.
    pub room: String,
    /// Inside of what: `limit of at least 0.12 mm`.
    pub range: String,
    /// The first reading it comes from.
    pub place: Option<Place>,
    /// How much of the range that is, in thousandths: of its width, or of its one end's own size.
    pub permille: u16,
}

/// The outermost range of a ruling with ends, and how far inside it the value is.
fn inside(context: &ReportContext<'_>) -> Option<(Band, Value)> {
    let Some(Datum::Quantity(value)) = &context.ruling.value else { return None };
    let range = context.check.limit.as_ref().or(context.check.standard.as_ref())?;
    let band = context.band(range)?;
    let margin = band.margin(value)?;
    Some((band, margin))
}

/// The distance to the nearest end of the limit, or of the standard where there is no limit, as text; none outside, and where
/// there are no ends.
pub(super) fn room(context: &ReportContext<'_>) -> Option<String> {
    let (_, margin) = inside(context)?;
    let unit = context.unit().difference();
    let places = unit.from_base(&margin).is_exact_rational().and_then(Number::decimal_places).unwrap_or(4).min(4);
    Some(shown_apart(&margin, &Value::default(), &unit, places).0)
}

/// A ruling's value if it lies within so many thousandths of an end: of the width between two ends, or of the size of one.
pub(super) fn edge(context: &ReportContext<'_>, permille: u16) -> Option<Edge> {
    let (band, margin) = inside(context)?;
    // Of a range that is one value every value inside is at its end; of a scale with a zero of its own the size says nothing.
    let scale = match (&band.low, &band.high) {
        (Some(_), Some(_)) => band.width().filter(|width| !width.compare(&Value::ZERO).is_some_and(Ordering::is_eq))?,
        (Some(_), None) | (None, Some(_)) if context.unit().zero.is_some() => return None,
        (Some(end), None) | (None, Some(end)) => absolute(&end.value),
        (None, None) => return None,
    };
    let thousand = Value::from(Number::from_integer(1000));
    let reach = |permille: u16| scale.multiply(&Value::from(Number::from_integer(i64::from(permille))));
    let near = |permille: u16| margin.multiply(&thousand).compare(&reach(permille)) != Some(Ordering::Greater);
    if !near(permille) {
        return None;
    }
    // The least share that covers it, found by halving.
    let (mut low, mut high) = (0, permille);
    while low < high {
        let middle = low + (high - low) / 2;
        if near(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    let row = context.row();
    let range = match (&row.limit, &row.standard) {
        (Some(limit), _) => format!("limit of {}", wording::range_text(limit)),
        (None, Some(standard)) => format!("standard range of {}", wording::range_text(standard)),
        (None, None) => return None,
    };
    Some(Edge {
        subject: context.subject_words(),
        value: context.value_text()?,
        room: room(context)?,
        range,
        place: context.first_place(),
        permille: low,
    })
}

fn absolute(value: &Value) -> Value {
    if value.compare(&Value::ZERO) == Some(Ordering::Less) { value.negate() } else { value.clone() }
}
