//! The range a good reading lies in: what a generation's rows leave of it, as new where they say so. Refuses to know what
//! the reading is used for.

use super::runs::runs;
use crate::book::interval::{hull, meet};
use crate::book::satisfy::satisfiable_as;
use crate::book::{Book, Characteristic, Expression, Generation, Id, Kind, Range, RangeKind, Row, Selector, evaluate};
use crate::quantity::{Band, Days, End, Number, Value};
use crate::syntax::tree::{Collector, RowWord};
use std::sync::Arc;

/// What the rows leave of a characteristic.
#[derive(Clone, Debug)]
pub(super) struct Input {
    /// Where a good value lies; without ends where no row says.
    pub band: Band,
    /// Whether every row it was made of has a standard.
    pub as_new: bool,
    /// Whether it covers several cases (rows with `where`, rows for one position) or names with gaps, so that not every
    /// value in it is good in every case.
    pub cases: bool,
}

/// What is known to be the case where a reading is taken.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    /// Conditions that hold.
    pub conditions: &'a [&'a Expression],
    /// The days in question.
    pub days: Days,
    /// The positions it is taken at, outermost first; `None` for any.
    pub at: Option<&'a [u16]>,
}

/// The range of a characteristic, at one of its stations or, without, at any, where something is known to be the case.
pub(super) fn input(
    book: &Book,
    generation: &Generation,
    id: Id<Characteristic>,
    station: Option<u16>,
    given: Known<'_>,
) -> Input {
    let rows: Vec<&Arc<Row>> = generation
        .rows
        .iter()
        .filter(|row| {
            let subject = &row.subject;
            // An outer limit says what no part may be, not what a good one is.
            !row.outer && subject.characteristic == id && (subject.station.is_none() || subject.station == station)
        })
        .collect();
    let pinned = |row: &Row| row.subject.selectors.iter().any(|selector| matches!(selector, Selector::At(_)));
    let case = Case { book, generation, under: given.conditions };
    let mut all: Option<Input> = None;
    for run in runs(rows.iter().map(|row| &***row), given.days) {
        let rows: Vec<&Arc<Row>> = rows.iter().filter(|row| row.days.meets(run)).copied().collect();
        if !rows.iter().any(|row| pinned(row)) {
            all = Some(either(all, case.at(&rows)));
            continue;
        }
        let instances = match given.at {
            Some(at) => vec![at.to_vec()],
            None => book.instances(book.characteristics.get(id).part, generation),
        };
        for positions in instances {
            let here: Vec<&Arc<Row>> = rows
                .iter()
                .filter(|row| {
                    row.subject.selectors.iter().zip(&positions).all(|(selector, position)| match selector {
                        Selector::At(at) => at == position,
                        Selector::All | Selector::Same(_) => true,
                    })
                })
                .copied()
                .collect();
            all = Some(either(all, case.at(&here)));
        }
    }
    all.unwrap_or(Input { band: Band::default(), as_new: true, cases: false })
}

/// What covers both cases.
fn either(before: Option<Input>, found: Input) -> Input {
    match before {
        None => found,
        Some(before) => Input {
            cases: before.cases || found.cases || before.band != found.band,
            band: hull(&before.band, &found.band),
            as_new: before.as_new && found.as_new,
        },
    }
}

struct Case<'a> {
    book: &'a Book,
    generation: &'a Generation,
    under: &'a [&'a Expression],
}

impl Case<'_> {
    /// What rows at one position leave.
    fn at(&self, rows: &[&Arc<Row>]) -> Input {
        let mut found = Input { band: Band::default(), as_new: true, cases: false };
        let mut conditional: Vec<(&Expression, Band, bool)> = Vec::new();
        for row in rows {
            let Some(range) = row.standard.as_ref().or(row.limit.as_ref()) else { continue };
            let Some((band, gaps)) = self.of_row(row, range) else { continue };
            let new = row.standard.is_some();
            match &row.condition {
                None => {
                    found.band = meet(&found.band, &band);
                    found.as_new &= new;
                    found.cases |= gaps;
                }
                Some(condition) => {
                    let mut possible: Vec<(&Expression, bool)> =
                        self.under.iter().map(|under| (*under, true)).collect();
                    possible.push((&**condition, true));
                    if !satisfiable_as(self.book, Some(self.generation), &possible).is_no() {
                        conditional.push((condition, band, new));
                    }
                }
            }
        }
        // Rows with `where` bound the reading only if one of them applies in every case.
        let none: Vec<(&Expression, bool)> = self
            .under
            .iter()
            .map(|under| (*under, true))
            .chain(conditional.iter().map(|(condition, ..)| (*condition, false)))
            .collect();
        if let Some((_, first, _)) = conditional.first()
            && satisfiable_as(self.book, Some(self.generation), &none).is_no()
        {
            let all = conditional.iter().skip(1).fold(first.clone(), |all, (_, band, _)| hull(&all, band));
            found.cases |= conditional.iter().any(|(_, band, _)| *band != all);
            found.as_new &= conditional.iter().all(|(.., new)| *new);
            found.band = meet(&found.band, &all);
        }
        found
    }

    /// The band of one row as far as it holds for every single value, and whether it has gaps.
    fn of_row(&self, row: &Row, range: &Range) -> Option<(Band, bool)> {
        let (mut band, gaps) = match &range.kind {
            RangeKind::Band { .. } => (let_through(self.book, self.generation, row, range).0, false),
            RangeKind::Names(names) => {
                let (first, last) = (names.first()?, names.last()?);
                let number = |name: u16| Value::from(Number::from_integer(i64::from(name)));
                let gaps = usize::from(last - first) + 1 != names.len();
                (Band::between(number(*first), number(*last)), gaps)
            }
            RangeKind::YesNo(_) | RangeKind::AllTheSame { .. } => return None,
        };
        match row.word {
            None | Some(RowWord::Each) => {}
            // None is smaller than the smallest; of the others the row says nothing more.
            Some(RowWord::Collect(Collector::Smallest)) => band.high = None,
            Some(RowWord::Collect(Collector::Largest)) => band.low = None,
            Some(RowWord::Collect(_)) => return None,
        }
        (band.low.is_some() || band.high.is_some()).then_some((band, gaps))
    }
}

/// A range as a band of what is known without a record, and whether that is all of it.
pub(super) fn known(book: &Book, generation: &Generation, range: &Range) -> (Band, bool) {
    let RangeKind::Band { low, high } = &range.kind else { return (Band::default(), false) };
    let mut whole = true;
    let mut end = |bound: &Option<crate::book::Bound>| {
        let bound = bound.as_ref()?;
        match evaluate::evaluate(book, Some(generation), &bound.value) {
            Ok(value) => Some(End { value, closed: bound.closed }),
            Err(_) => {
                whole = false;
                None
            }
        }
    };
    let band = Band { low: end(low), high: end(high) };
    (band, whole)
}

/// The same of one of a row's ranges, as the values it lets through: a row that rounds lets through more than its range holds.
/// Where that is not known exactly, the band is too wide rather than too narrow, and not all of it.
pub(super) fn let_through(book: &Book, generation: &Generation, row: &Row, range: &Range) -> (Band, bool) {
    let (band, whole) = known(book, generation, range);
    match &row.rounded {
        None => (band, whole),
        Some(rounding) => match rounding.accepts(&band) {
            Some(through) => (through, whole),
            None => (rounding.accepts_at_most(&band), false),
        },
    }
}

/// Whether values of a kind can be counted with: quantities, and classes by their steps.
pub(super) fn is_countable(book: &Book, kind: Kind) -> bool {
    match kind {
        Kind::Quantity(_) => true,
        Kind::Names(set) => book.sets.get(set).ordered,
        Kind::YesNo | Kind::Text => false,
    }
}
