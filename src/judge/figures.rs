//! The numbers of a ruling as plain decimals in the unit its book declares, for whoever reckons on with them. Refuses to round
//! what ends within twelve places.

use super::tell::Telling;
use super::{Found, rounding};
use crate::book::Datum;
use crate::plan::CheckRange;

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
pub(super) fn figures(telling: &Telling<'_>) -> Figures {
    let unit = telling.unit();
    let difference = unit.difference();
    let band = |range: &Option<CheckRange>| range.as_ref().and_then(|range| telling.band(range));
    let ends = |range: &Option<CheckRange>| match band(range) {
        Some(band) => [band.low, band.high].map(|end| end.map(|end| unit.decimal(&end.value))),
        None => [None, None],
    };
    let mut figures =
        Figures { standard: ends(&telling.check.standard), limit: ends(&telling.check.limit), ..Figures::default() };
    let Some(datum @ Datum::Quantity(value)) = &telling.ruling.value else { return figures };
    figures.value = Some(unit.decimal(value));
    let compared = rounding::rounded(telling.check, datum);
    if let Datum::Quantity(compared) = &*compared {
        figures.rounded = telling.row().rounded.as_ref().map(|_| unit.decimal(compared));
        if matches!(telling.ruling.found, Found::Outside { .. }) {
            let tier = telling.tier().and_then(|(_, _, range)| telling.band(range));
            figures.beyond = tier.and_then(|band| band.distance(compared)).map(|by| difference.decimal(&by));
        }
    }
    let outermost = band(&telling.check.limit).or_else(|| band(&telling.check.standard));
    figures.room = outermost.and_then(|band| band.margin(value)).map(|by| difference.decimal(&by));
    figures
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
    /// The reading as written, or the value where none is judged by itself.
    pub(super) fn as_written(&self) -> &str {
        self.written.as_deref().unwrap_or(&self.value)
    }
}
