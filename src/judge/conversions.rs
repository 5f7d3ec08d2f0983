//! Whether rounding in a conversion would have decided a verdict: a value judged again as if it had been converted on paper to the unit
//! its range is printed in. Refuses to change the verdict by it.

use super::printed::Printed;
use super::reporter::Reporter;
use super::ruling_report::ReportContext;
use super::{Grade, Ruling, Verdict, grade, judge};
use crate::bind::{Readings, rounded};
use crate::book::{Book, Datum};
use crate::plan::Plan;
use crate::quantity::{Unit, shown};
use crate::text::Place;

/// A ruling that rounding in a conversion would have changed.
#[derive(Clone, Debug)]
pub struct Conversion {
    /// What is judged, as a record's keys say it.
    pub path: String,
    /// The value judged, exactly converted.
    pub value: String,
    /// Its grade.
    pub grade: Grade,
    /// What the value would have been on paper.
    pub on_paper: String,
    /// The grade that would have had.
    pub grade_on_paper: Grade,
    /// The unit the range is printed in.
    pub unit: String,
    /// To how many decimals of that unit it was rounded: as many as the range is printed with.
    pub decimals: u8,
    /// The first reading it comes from.
    pub place: Option<Place>,
}

/// A record judged again, its foreign readings rounded; `None` in place of it if no reading changes.
type Again = ((Box<str>, u8), Option<(Readings, Verdict)>);

/// The rulings of a record that would be others if what was measured in another unit than the range is printed in had been converted
/// to that unit and rounded to as many decimals as are printed there.
///
/// A shift of the decimal point is not a conversion: inches stand beside a range in thousandths as they are. Where every reading behind
/// a value is in another unit, the value is converted once, when it is calculated; where some are, those readings are. A calculated
/// range, or one by a tolerance class, has no decimals in print and is passed over.
#[must_use]
pub fn conversions(book: &Book, plan: &Plan, readings: &Readings, verdict: &Verdict) -> Vec<Conversion> {
    let reporter = Reporter::new(book, plan, readings);
    let mut again: Vec<Again> = Vec::new();
    let one = |ruling: &Ruling| conversion(book, &reporter, ruling, &mut again);
    verdict.rulings.iter().filter_map(one).collect()
}

fn conversion(book: &Book, reporter: &Reporter<'_>, ruling: &Ruling, again: &mut Vec<Again>) -> Option<Conversion> {
    let Some(Datum::Quantity(value)) = &ruling.value else { return None };
    let context = reporter.context(ruling)?;
    let printed = Printed::of(book, &context.check.row)?;
    let mut units: Vec<Unit> = Vec::new();
    for (slot, number) in context.inputs() {
        let reading = reporter.readings.taken(slot).get(number)?;
        // What was brought to 20 °C was calculated by this program, not on paper.
        if reading.warmth().is_some() {
            return None;
        }
        let unit = reporter.readings.written_in(book, reading);
        units.extend(unit.filter(|unit| unit.dimension == printed.unit.dimension));
    }
    let foreign = units.iter().filter(|unit| !printed.has(unit)).count();
    let (on_paper, grade_on_paper) = match units.first() {
        Some(first)
            if foreign == units.len()
                && units.iter().all(|unit| super::printed::same_but_for_the_point(first, unit)) =>
        {
            converted_once(&context, &printed, value)?
        }
        Some(_) if foreign > 0 => converted_before(book, reporter, ruling, &printed, again)?,
        _ => return None,
    };
    let told = reporter.tell(ruling)?;
    Some(Conversion {
        path: told.path,
        value: told.value.unwrap_or_default(),
        grade: ruling.grade,
        on_paper,
        grade_on_paper,
        unit: printed.unit.symbol.to_string(),
        decimals: printed.decimals,
        place: told.place,
    })
}

/// The value converted and rounded once, with its grade if that is another one.
fn converted_once(
    context: &ReportContext<'_>,
    printed: &Printed,
    value: &crate::quantity::Value,
) -> Option<(String, Grade)> {
    let on_paper = rounded(value, &printed.unit, printed.decimals)?;
    let grade = |value| grade::grade(context.bench, context.check, &Datum::Quantity(value), None).0;
    // Uncertainty and concessions aside, so that only the rounding differs.
    let (exact, other) = (grade(value.clone()), grade(on_paper.clone()));
    let text = shown(&on_paper, &printed.unit, u32::from(printed.decimals));
    (exact != other && other != context.ruling.grade).then_some((text, other))
}

/// The value with its foreign readings converted and rounded before it is calculated, with its grade if that is another one.
fn converted_before(
    book: &Book,
    reporter: &Reporter<'_>,
    ruling: &Ruling,
    printed: &Printed,
    again: &mut Vec<Again>,
) -> Option<(String, Grade)> {
    let key = (printed.unit.symbol.clone(), printed.decimals);
    if !again.iter().any(|(other, _)| *other == key) {
        let paper = reporter.readings.converted(book, (&printed.unit, printed.decimals), |unit| !printed.has(unit));
        let judged = paper.map(|paper| {
            let verdict = judge(book, reporter.plan, &paper);
            (paper, verdict)
        });
        again.push((key.clone(), judged));
    }
    let (_, judged) = again.iter().find(|(other, _)| *other == key)?;
    let (paper, verdict) = judged.as_ref()?;
    let same = |one: &&Ruling| one.check == ruling.check && one.reading == ruling.reading;
    let other = verdict.rulings.iter().find(same).filter(|other| other.grade != ruling.grade)?;
    let Some(Datum::Quantity(value)) = &other.value else { return None };
    let text = rounded(value, &printed.unit, printed.decimals)
        .map(|value| shown(&value, &printed.unit, u32::from(printed.decimals)))
        .or_else(|| Reporter::new(book, reporter.plan, paper).plain_value(other))?;
    Some((text, other.grade))
}
