//! What changed in a gauge from one calibration to the next. Refuses to say what it did to readings in between.

use super::{Certified, Gauge};
use crate::quantity::{Date, Number, Rounded, Unit, Value, shown_significant};
use std::cmp::Ordering;

/// Two calibrations of one gauge, the earlier beside the later.
#[derive(Clone, PartialEq, Debug)]
pub struct Drift {
    /// The day of the earlier.
    pub from: Date,
    /// The day of the later.
    pub to: Date,
    /// How much it showed too much, then and now, in base units; none unless both say it.
    pub error: Option<(Value, Value)>,
    /// Its uncertainty, then and now; none unless both say it.
    pub uncertainty: Option<(Certified, Certified)>,
}

impl Drift {
    pub(super) fn between(one: &Gauge, next: &Gauge) -> Option<Drift> {
        Some(Drift {
            from: one.calibrated?,
            to: next.calibrated?,
            error: one.error.clone().zip(next.error.clone()),
            uncertainty: one.uncertainty.clone().zip(next.uncertainty.clone()),
        })
    }

    /// How far its error moved; none where one of them does not say it.
    #[must_use]
    pub fn moved(&self) -> Option<Value> {
        self.error.as_ref().map(|(one, next)| next.subtract(one))
    }

    /// Whether its error moved by more than its uncertainty was, so that what was measured in between may be off by more than
    /// was reckoned with. Of an uncertainty that grows with the reading nothing is said.
    #[must_use]
    pub fn is_beyond(&self) -> bool {
        let (Some(moved), Some((uncertainty, _))) = (self.moved(), &self.uncertainty) else { return false };
        let two = Value::from(Number::from_integer(2));
        let wide = uncertainty.fixed.multiply(&two).divide(&Value::from(uncertainty.factor.clone()));
        uncertainty.is_fixed() && wide.is_some_and(|wide| moved.absolute().compare(&wide) == Some(Ordering::Greater))
    }

    /// In words, in the unit of what it measures.
    #[must_use]
    pub fn words(&self, unit: &Unit) -> String {
        let unit = unit.difference();
        let figure = |value: &Value| {
            let sign = match value.compare(&Value::ZERO) {
                Some(Ordering::Less) => "-",
                Some(Ordering::Greater) => "+",
                _ => "",
            };
            format!("{sign}{}", shown_significant(&value.absolute(), &unit, 2, Rounded::Nearest))
        };
        let mut said = Vec::new();
        if let (Some((one, next)), Some(moved)) = (&self.error, self.moved()) {
            said.push(match moved.compare(&Value::ZERO) {
                Some(Ordering::Equal) => format!("error {} as before", figure(next)),
                _ => format!("error {} to {}, moved by {}", figure(one), figure(next), figure(&moved)),
            });
        }
        match &self.uncertainty {
            Some((one, next)) if one == next => said.push("uncertainty as before".to_owned()),
            Some((one, next)) => said.push(format!("uncertainty {} to {}", one.words(&unit), next.words(&unit))),
            None => {}
        }
        if said.is_empty() {
            said.push("neither error nor uncertainty is said of both".to_owned());
        }
        if self.is_beyond() {
            said.push("more than its uncertainty: look at what was measured in between".to_owned());
        }
        format!("{} to {}: {}", self.from, self.to, said.join("; "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Dimension;

    fn micrometres(number: i64) -> Value {
        Value::from(Number::ratio(number, 1_000_000).unwrap_or_default())
    }

    fn drift(errors: Option<(i64, i64)>, uncertainties: Option<(i64, i64)>) -> Drift {
        let pair = |(one, next): (i64, i64)| (micrometres(one), micrometres(next));
        Drift {
            from: Date::new(2025, 1, 10).unwrap_or_else(|| unreachable!()),
            to: Date::new(2026, 1, 12).unwrap_or_else(|| unreachable!()),
            error: errors.map(pair),
            uncertainty: uncertainties.map(pair).map(|(one, next)| (Certified::fixed(one), Certified::fixed(next))),
        }
    }

    #[test]
    fn what_moved_is_told_and_only_what_is_beyond_is_said_to_be() {
        let unit = Unit::new("um", Dimension::LENGTH, micrometres(1));
        for (errors, uncertainties, words) in [
            (
                Some((1, 4)),
                Some((2, 2)),
                "error +1.0 um to +4.0 um, moved by +3.0 um; uncertainty as before; more than its uncertainty: look at what was measured in between",
            ),
            (Some((1, -1)), Some((2, 3)), "error +1.0 um to -1.0 um, moved by -2.0 um; uncertainty 2.0 um to 3.0 um"),
            (Some((1, 1)), Some((2, 2)), "error +1.0 um as before; uncertainty as before"),
            (None, Some((2, 3)), "uncertainty 2.0 um to 3.0 um"),
            (Some((0, 5)), None, "error 0 um to +5.0 um, moved by +5.0 um"),
            (None, None, "neither error nor uncertainty is said of both"),
        ] {
            let found = drift(errors, uncertainties).words(&unit);
            assert_eq!(found, format!("2025-01-10 to 2026-01-12: {words}"));
        }
        // Twice a standard uncertainty, whatever factor it is stated with: 3 µm with k = 3 is 2 µm.
        let mut wide = drift(Some((0, 2)), Some((3, 3)));
        assert!(!wide.is_beyond());
        if let Some((one, _)) = &mut wide.uncertainty {
            one.factor = Number::from_integer(4);
        }
        assert!(wide.is_beyond());
    }
}
