//! What would settle a value that lies too near an end of its range: a finer measurement, or another value.

use super::{Form, Influence, Uncertainty, Weighing};
use crate::quantity::{Band, Number, Side, Value, function};
use std::cmp::Ordering;

/// What would settle a value.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::judge) struct Settles {
    /// The value as it is, with this expanded uncertainty at most; none at the end itself, where none is small enough.
    pub(in crate::judge) finer: Option<Value>,
    /// The same, as the uncertainty of the one gauge it was taken with; none where others take part, or leave it no room.
    pub(in crate::judge) gauge: Option<Value>,
    /// Whether the value as it is would then be inside.
    pub(in crate::judge) inside: bool,
    /// The values it would be inside at, with the uncertainty as it is: from the first to the second. None where the range is
    /// narrower than twice the guard, so that no value is.
    pub(in crate::judge) room: Option<(Option<Value>, Option<Value>)>,
}

/// What would settle a value near the end of a band on one side, guarded by a factor times its expanded uncertainty.
pub(in crate::judge) fn settles(
    weighing: &Weighing<'_>,
    (band, value, side): (&Band, &Value, Side),
    (form, uncertainty, factor): (&Form, &Uncertainty, &Number),
) -> Option<Settles> {
    let factor = Value::from(factor.clone());
    let guard = uncertainty.expanded().multiply(&factor);
    let inward = match side {
        Side::Below => value.subtract(&band.low.as_ref()?.value),
        _ => band.high.as_ref()?.value.subtract(value),
    };
    let distance = inward.absolute();
    let finer = (distance.compare(&Value::ZERO) == Some(Ordering::Greater)).then(|| distance.divide(&factor)).flatten();
    let gauge = finer.as_ref().and_then(|finer| of_gauge(weighing, form, uncertainty, finer));
    let low = band.low.as_ref().map(|end| end.value.add(&guard));
    let high = band.high.as_ref().map(|end| end.value.subtract(&guard));
    let crossed = match (&low, &high) {
        (Some(low), Some(high)) => low.compare(high) == Some(Ordering::Greater),
        // What is not below nought, such as a spread, is not made so.
        (None, Some(high)) => {
            high.compare(&Value::ZERO) == Some(Ordering::Less) && value.compare(&Value::ZERO) != Some(Ordering::Less)
        }
        _ => false,
    };
    Some(Settles {
        finer,
        gauge,
        inside: inward.compare(&Value::ZERO) != Some(Ordering::Less),
        room: (!crossed).then_some((low, high)),
    })
}

/// The uncertainty the one gauge would have to have for the whole to come to `finer`.
fn of_gauge(weighing: &Weighing<'_>, form: &Form, uncertainty: &Uncertainty, finer: &Value) -> Option<Value> {
    let mut gauges = form.terms.iter().filter(|(influence, _)| matches!(influence, Influence::Calibration(_)));
    let (influence, by) = gauges.next()?;
    if gauges.next().is_some() {
        return None;
    }
    let Influence::Calibration(number) = influence else { return None };
    // One figure says no more than that of a gauge that is as good at each reading.
    let certified = weighing.bench.readings.gauges.get(usize::from(*number))?.uncertainty.as_ref()?;
    if !certified.is_fixed() {
        return None;
    }
    let own = by.squared().multiply(&weighing.variance_of(*influence));
    let others = uncertainty.variance.subtract(&own);
    let standard = finer.divide(&Value::from(uncertainty.factor.clone()))?;
    let left = standard.squared().subtract(&others);
    if left.compare(&Value::ZERO) != Some(Ordering::Greater) {
        return None;
    }
    let standard = function::sqrt(&left)?.divide(&by.absolute())?;
    Some(standard.multiply(&Value::from(certified.factor.clone())))
}
