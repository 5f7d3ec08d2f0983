//! How often a part of a chart that is out of its row's limits passes, and one within them does not, from the shop's own spread
//! of parts. Refuses to judge: which values pass is the row's and the decision rule's to say.

use super::{Chart, Point};
use crate::bind::Readings;
use crate::book::decision::Rule;
use crate::book::{Book, Characteristic, Datum, Id};
use crate::judge::uncertainty::budget;
use crate::judge::{self, Ruling};
use crate::plan::{Check, CheckRange, Plan, Subject};
use crate::quantity::{End, Value};
use crate::statistics::risk::{Global, Limits, global_normal, specific};
use crate::statistics::sample;
use crate::syntax::tree::{Collector, RowWord};

/// What judges one value of a chart. Base units, in binary numbers.
#[derive(Clone, PartialEq, Debug)]
pub struct Judged {
    /// The limits of the row.
    pub limits: Limits,
    /// The row's range as its book writes it.
    pub written: String,
    /// The guard before each end.
    pub guard: f64,
    /// The standard uncertainty of the value; `None` where nobody said.
    pub u: Option<f64>,
}

/// The risks of one row for the parts of one generation.
#[derive(Clone, PartialEq, Debug)]
pub struct Risk {
    /// The generation.
    pub generation: String,
    /// The row's range as its book writes it.
    pub written: String,
    /// How many values they rest on.
    pub count: usize,
    /// How many more are left out, since nobody said how well they were measured.
    pub unknown: usize,
    /// The mean of the values, in base units.
    pub mean: Value,
    /// The root mean square of their standard uncertainties, in base units.
    pub u: f64,
    /// The same of their guards.
    pub guard: f64,
    /// The standard deviation of the parts themselves, in base units: of the values, less what the measurement adds. `None`
    /// where the values scatter no more than the measurement does.
    pub deviation: Option<f64>,
    /// The risks of all parts; `None` without that deviation.
    pub global: Option<Global>,
    /// The build that passes with the largest probability of being out, and that.
    pub least_certain: Option<(String, f64)>,
}

/// Every row on a characteristic that judges a value with two numbers or one, with the path of each value: what it is judged by.
pub(super) fn judged(
    (book, plan, readings): (&Book, &Plan, &Readings),
    (subject, word): (Id<Characteristic>, Option<Collector>),
) -> Vec<(String, Value, Judged)> {
    let verdict = judge::judge(book, plan, readings);
    let one = |ruling: &Ruling| {
        let check = plan.checks.get(ruling.check)?;
        let row_word = match check.row.word {
            None => None,
            Some(RowWord::Collect(collector)) => Some(collector),
            Some(RowWord::Each) => return None,
        };
        // A reading taken several times counts by its mean unless a word is given.
        let alike = row_word == word || (word.is_none() && row_word == Some(Collector::Mean));
        if check.row.subject.characteristic != subject || !alike || check.row.outer {
            return None;
        }
        let Some(Datum::Quantity(value)) = &ruling.value else { return None };
        let (range, written) = range_of(check)?;
        let end = |end: &Option<End>| end.as_ref().map(|end| end.value.midpoint().to_f64());
        let limits = Limits { low: end(&range.low), high: end(&range.high) };
        let uncertainty = budget(book, plan, readings, ruling).map(|budget| budget.uncertainty);
        let guard = match (&book.decision.rule, &uncertainty) {
            (Rule::GuardBand(factor), Some(known)) => factor.to_f64() * known.expanded().midpoint().to_f64(),
            _ => 0.0,
        };
        let station = match &check.subject {
            Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
            Subject::Made(_) | Subject::Group(_) => None,
        };
        let u = uncertainty.map(|known| known.standard().midpoint().to_f64()).filter(|u| *u > 0.0);
        let path = book.path(subject, &check.positions, station);
        Some((path, value.clone(), Judged { limits, written, guard, u }))
    };
    verdict.rulings.iter().filter_map(one).collect()
}

/// The limit of a check, or its standard range if it has no limit, where its ends are known without a record.
fn range_of(check: &Check) -> Option<(&crate::quantity::Band, String)> {
    let both = [(&check.limit, &check.row.limit, "limit"), (&check.standard, &check.row.standard, "standard")];
    both.into_iter().find_map(|(known, row, word)| match (known, row) {
        (Some(CheckRange::Known(band)), Some(range)) => {
            let text = range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
            Some((band, format!("{word} {text}")))
        }
        _ => None,
    })
}

/// The values that one row judges, each with what judges it.
type Row<'a> = Vec<(&'a Point, &'a Judged)>;

/// The risks of each row that judges values of a chart, generation by generation; a row of one value has none.
#[must_use]
pub fn risks(chart: &Chart) -> Vec<Risk> {
    let mut rows: Vec<(&str, &Judged, Row<'_>)> = Vec::new();
    for point in &chart.points {
        let Some(judged) = &point.judged else { continue };
        let row =
            rows.iter_mut().find(|(generation, row, _)| *generation == point.generation && row.limits == judged.limits);
        match row {
            Some((_, _, points)) => points.push((point, judged)),
            None => rows.push((&point.generation, judged, vec![(point, judged)])),
        }
    }
    rows.into_iter().filter_map(|(generation, row, points)| of_row(generation, row, &points)).collect()
}

fn of_row(generation: &str, row: &Judged, all: &[(&Point, &Judged)]) -> Option<Risk> {
    let known: Vec<(&Point, &Judged, f64)> =
        all.iter().filter_map(|(point, judged)| Some((*point, *judged, judged.u?))).collect();
    let values: Vec<Value> = known.iter().map(|(point, _, _)| point.value.clone()).collect();
    let mean = sample::mean(&values)?;
    let scatter = sample::variance(&values)?.midpoint().to_f64();
    let mean_square = |of: fn(&(&Point, &Judged, f64)) -> f64| {
        (known.iter().map(|one| of(one) * of(one)).sum::<f64>() / known.len() as f64).sqrt()
    };
    let (u, guard) = (mean_square(|(_, _, u)| *u), mean_square(|(_, judged, _)| judged.guard));
    let own = scatter - u * u;
    let deviation = (own > 0.0).then(|| own.sqrt());
    let parts = deviation.map(|deviation| (mean.midpoint().to_f64(), deviation));
    let passing = known.iter().filter_map(|(point, judged, u)| {
        let measured = point.value.midpoint().to_f64();
        let passes = row.limits.guarded(judged.guard).holds(measured);
        passes.then(|| parts.map(|parts| (point.build.clone(), specific(parts, measured, *u, row.limits))))?
    });
    Some(Risk {
        generation: generation.to_owned(),
        written: row.written.clone(),
        count: known.len(),
        unknown: all.len().saturating_sub(known.len()),
        u,
        guard,
        deviation,
        global: parts.map(|parts| global_normal(parts, u, row.limits, row.limits.guarded(guard))),
        least_certain: passing.max_by(|(_, one), (_, other)| one.total_cmp(other)),
        mean,
    })
}
