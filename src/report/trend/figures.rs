//! The numbers of one chart as they are printed: all in one unit, all with as many places as its scatter asks for. Refuses
//! to print more than can be told apart.

use crate::quantity::{Number, Unit, Value, shown, shown_apart};
use crate::trend::Chart;

/// More places than this are not printed.
const MOST_PLACES: u32 = 9;
/// Places where nothing scatters and the values do not end.
const PLAIN_PLACES: u32 = 4;

/// How the numbers of a chart are printed.
pub(in crate::report) struct Figures {
    unit: Unit,
    difference: Unit,
    places: u32,
}

impl Figures {
    /// Two digits of the scatter are seen, and one more where the values as they were read have it.
    pub(in crate::report) fn of(chart: &Chart, unit: &Unit) -> Figures {
        let difference = unit.difference();
        let needed = chart.points.iter().map(|point| {
            let value = unit.from_base(&point.value);
            value.is_exact_rational().and_then(Number::decimal_places).unwrap_or(u32::MAX)
        });
        let needed = needed.max().unwrap_or(0);
        let scatter = chart.limits.as_ref().filter(|limits| limits.scatters());
        let places = match scatter.map(|limits| difference.from_base(&limits.deviation).midpoint()) {
            Some(scatter) => {
                let places = two_digits(&scatter);
                // Further places are those of a conversion or a mean, not of a gauge.
                if needed == places + 1 { needed } else { places }
            }
            None if needed <= MOST_PLACES => needed,
            None => PLAIN_PLACES,
        };
        Figures { unit: unit.clone(), difference, places: places.min(MOST_PLACES) }
    }

    /// For values that scatter by about so much: two digits of that.
    pub(in crate::report) fn scattering(deviation: &Value, unit: &Unit) -> Figures {
        let difference = unit.difference();
        let places = two_digits(&difference.from_base(deviation).midpoint());
        Figures { unit: unit.clone(), difference, places }
    }

    /// A value of the chart.
    pub(in crate::report) fn value(&self, value: &Value) -> String {
        shown(value, &self.unit, self.places)
    }

    /// A distance between two values.
    pub(in crate::report) fn distance(&self, value: &Value) -> String {
        shown(value, &self.difference, self.places)
    }

    /// A value and a limit with as many places as it takes to see that they differ.
    pub(in crate::report) fn beside(&self, value: &Value, limit: &Value) -> (String, String) {
        shown_apart(value, limit, &self.unit, self.places)
    }

    /// A distance and its limit, as [`Figures::beside`].
    pub(in crate::report) fn distance_beside(&self, value: &Value, limit: &Value) -> (String, String) {
        shown_apart(value, limit, &self.difference, self.places)
    }

    /// Two distances without the unit of the first.
    pub(in crate::report) fn distances(&self, low: &Value, high: &Value) -> String {
        let low = self.difference.from_base(low).midpoint().to_decimal(self.places);
        format!("{low} to {}", self.distance(high))
    }

    /// Two values without the unit of the first: `0.10 to 0.18 mm`.
    pub(in crate::report) fn between(&self, low: &Value, high: &Value) -> String {
        let low = self.unit.from_base(low).midpoint().to_decimal(self.places);
        format!("{low} to {}", self.value(high))
    }
}

/// The places that show two digits of a number above zero.
fn two_digits(number: &Number) -> u32 {
    let ten = Number::from_integer(10);
    let mut scaled = number.clone();
    let mut places = 0;
    while places < MOST_PLACES && scaled < ten {
        scaled = &scaled * &ten;
        places += 1;
    }
    places
}
