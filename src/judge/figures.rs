//! The numbers of a ruling as plain decimals in the unit its book declares, for whoever reckons on with them. Refuses to round
//! what ends within twelve places.

use super::ruling_report::ReportContext;
use super::{Found, Side, rounding, warmth};
use crate::book::Datum;
use crate::plan::CheckRange;
use crate::quantity::{Number, Unit, Value, shown, shown_apart};

/// The numbers of a ruling, each a decimal without its unit, rounded to twelve places where it does not end before. None
/// where there is no such number.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Figures {
    /// The value judged; a length taken warm or cold as brought to 20 °C.
    pub value: Option<String>,
    /// What it is rounded to before it is compared, where its row says so.
    pub rounded: Option<String>,
    /// The low and the high end of the standard range.
    pub standard: [Option<String>; 2],
    /// The low and the high end of the limit.
    pub limit: [Option<String>; 2],
    /// How far outside.
    pub beyond: Option<String>,
    /// How far inside the limit, or the standard where there is no limit.
    pub room: Option<String>,
}

/// The numbers of a ruling; nothing where what is judged is no quantity.
pub(super) fn figures(context: &ReportContext<'_>) -> Figures {
    let unit = context.unit();
    let difference = unit.difference();
    let band = |range: &Option<CheckRange>| range.as_ref().and_then(|range| context.band(range));
    let ends = |range: &Option<CheckRange>| match band(range) {
        Some(band) => [band.low, band.high].map(|end| end.map(|end| unit.decimal(&end.value))),
        None => [None, None],
    };
    let mut figures =
        Figures { standard: ends(&context.check.standard), limit: ends(&context.check.limit), ..Figures::default() };
    let Some(datum @ Datum::Quantity(value)) = &context.ruling.value else { return figures };
    figures.value = Some(unit.decimal(value));
    let compared = rounding::rounded(context.check, datum);
    if let Datum::Quantity(compared) = &*compared {
        figures.rounded = context.row().rounded.as_ref().map(|_| unit.decimal(compared));
        if matches!(context.ruling.found, Found::Outside { .. }) {
            let tier = context.tier().and_then(|(_, _, range)| context.band(range));
            figures.beyond = tier.and_then(|band| band.distance(compared)).map(|by| difference.decimal(&by));
        }
    }
    let outermost = band(&context.check.limit).or_else(|| band(&context.check.standard));
    figures.room = outermost.and_then(|band| band.margin(value)).map(|by| difference.decimal(&by));
    figures
}

/// Whether a value ends as a decimal in a unit.
pub(super) fn is_exact(value: &Value, unit: &Unit) -> bool {
    unit.from_base(value).is_exact_rational().and_then(Number::decimal_places).is_some()
}

/// How many decimals a value is shown with: those it has, at most `most`; where it does not end, as many as make four digits.
pub(super) fn places(value: &Value, unit: &Unit, most: u32) -> u32 {
    const DIGITS: u32 = 4;
    let number = unit.from_base(value);
    let exact = number.is_exact_rational().and_then(Number::decimal_places);
    exact.unwrap_or_else(|| DIGITS.saturating_sub(whole_digits(&number.midpoint().abs()))).min(most)
}

/// How many digits stand before the point of a number, at most four.
fn whole_digits(number: &Number) -> u32 {
    [1, 10, 100, 1000].into_iter().map(|power| u32::from(*number >= Number::from_integer(power))).sum()
}

/// The numbers of a ruling as text, all in the unit the book declares but for `written`.
pub(super) struct Numbers {
    /// The value judged; of a reading brought to 20 °C, what it was before too.
    pub(super) value: String,
    /// The reading as written, where one reading is judged.
    pub(super) written: Option<String>,
    /// What it is rounded to, where the row rounds and that is another number.
    pub(super) rounded: Option<String>,
    pub(super) end: Option<String>,
    pub(super) distance: Option<String>,
}

impl Numbers {
    /// The numbers of a ruling; `None` if what is judged is not a quantity.
    pub(super) fn of(context: &ReportContext<'_>) -> Option<Numbers> {
        let Some(Datum::Quantity(value)) = &context.ruling.value else { return None };
        let unit = context.unit();
        let band = context.tier().and_then(|(_, _, range)| context.band(range));
        let end = band.as_ref().and_then(|band| match context.ruling.found {
            Found::Outside { side: Side::Below, .. } => band.low.as_ref(),
            Found::Outside { side: Side::Above, .. } => band.high.as_ref(),
            _ => None,
        });
        let taken = value;
        let rounded = rounding::rounded(context.check, context.ruling.value.as_ref()?);
        let Datum::Quantity(value) = &*rounded else { return None };
        let end_places = end.map_or(2, |end| places(&end.value, &unit, 4));
        let step_places = context.row().rounded.as_ref().map_or(0, |rounding| rounding.places(&unit));
        // As many as the end it is outside of is written with, or its ranges; a calculated end gives a value no digits that
        // it did not have.
        let bands = || [&context.check.standard, &context.check.limit].into_iter().flatten();
        let ends = match end {
            Some(end) => vec![end.clone()],
            None => bands()
                .filter_map(|range| context.band(range))
                .flat_map(|band| [band.low, band.high])
                .flatten()
                .collect(),
        };
        let exact = ends.iter().filter(|end| is_exact(&end.value, &unit));
        // Two are enough for a value that is inside.
        let most = if end.is_some() { 4 } else { 2 };
        let beside = exact.map(|end| places(&end.value, &unit, most)).max().unwrap_or(0);
        // What does not end has two digits more than what it is compared with.
        let beside = if is_exact(value, &unit) { beside } else { (beside + 2).min(4) };
        // A length brought to 20 °C keeps the tenths of a thousandth that the change of temperature gives it.
        let direct = context.direct().and_then(|(slot, number)| context.readings.taken(slot).get(number));
        let warm = direct.is_some_and(|reading| reading.warmth().is_some()) && !is_exact(value, &unit);
        let value_places = places(value, &unit, 4).max(beside).max(step_places).max(if warm { 4 } else { 0 });
        let (value_text, end_text) = match end {
            Some(end) => {
                let (value_text, _) = shown_apart(value, &end.value, &unit, value_places);
                let (end_text, _) = shown_apart(&end.value, value, &unit, end_places);
                (value_text, Some(end_text))
            }
            None => (shown(value, &unit, value_places), None),
        };
        let difference_unit = unit.difference();
        let distance = band.as_ref().and_then(|band| band.distance(value)).map(|distance| {
            let (text, _) = shown_apart(&distance, &Value::default(), &difference_unit, value_places.max(end_places));
            text
        });
        // What was taken is said as it is, and what it is rounded to beside it where that is something else.
        let (value_text, rounded) = match &context.row().rounded {
            Some(rounding) if taken.compare(value) != Some(std::cmp::Ordering::Equal) => {
                let step_places = rounding.places(&unit);
                let taken_text = shown(taken, &unit, places(taken, &unit, step_places + 4));
                (taken_text, Some(shown(value, &unit, step_places)))
            }
            _ => (value_text, None),
        };
        let (value, written) = match direct {
            Some(reading) if reading.warmth().is_some() => {
                (warmth::brought(context.readings, reading, &value_text), None)
            }
            Some(reading) => (value_text, Some(context.readings.slice(reading.span).trim().to_string())),
            None => (value_text, None),
        };
        Some(Numbers { value, written, rounded, end: end_text, distance })
    }

    /// The reading as written, or the value where none is judged by itself.
    pub(super) fn as_written(&self) -> &str {
        self.written.as_deref().unwrap_or(&self.value)
    }
}
