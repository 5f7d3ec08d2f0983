//! How far inside its outermost range a value lies: what a changed rule may still take away. Refuses to grade it.

use super::tell::Telling;
use crate::book::Datum;
use crate::quantity::{Number, Value, shown_apart};

/// The distance to the nearest end of the limit, or of the standard where there is no limit, as text; none outside, and where
/// there are no ends.
pub(super) fn room(telling: &Telling<'_>) -> Option<String> {
    let Some(Datum::Quantity(value)) = &telling.ruling.value else { return None };
    let range = telling.check.limit.as_ref().or(telling.check.standard.as_ref())?;
    let margin = telling.band(range)?.margin(value)?;
    let unit = telling.unit().difference();
    let places = unit.from_base(&margin).is_exact_rational().and_then(Number::decimal_places).unwrap_or(4).min(4);
    Some(shown_apart(&margin, &Value::default(), &unit, places).0)
}
