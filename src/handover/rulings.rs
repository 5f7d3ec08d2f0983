//! The rulings of a verdict, each under the characteristic and the position it is about. Refuses to word them.

use super::Ruled;
use crate::book::{Book, Characteristic, Datum, Id, Kind, RangeKind};
use crate::judge::{Reporter, Ruling, RulingReport, Verdict};
use crate::plan::{Check, Plan, Subject};
use crate::quantity::Unit;
use crate::syntax::tree::{Collector, RowWord};
use std::collections::BTreeMap;

/// Where rulings stand: the characteristic, and the positions of its parts from the whole machine down. Of a row that compares
/// positions, only those they have in common.
type Home = (usize, Vec<u16>);

/// The rulings of a verdict by where they stand.
#[derive(Default)]
pub(super) struct Rulings {
    by_home: BTreeMap<Home, Vec<Ruled>>,
    pub(super) measured: Vec<super::Measured>,
}

impl Rulings {
    pub(super) fn new(book: &Book, plan: &Plan, verdict: &Verdict, reporter: &Reporter<'_>) -> Rulings {
        let mut rulings = Rulings::default();
        let mut by: Vec<usize> = Vec::new();
        for ruling in &verdict.rulings {
            let Some((check, told)) = plan.checks.get(ruling.check).zip(reporter.tell(ruling)) else { continue };
            let id = check.row.subject.characteristic;
            if let Some(one) = measured(book, check, ruling, &told) {
                // A value that two rows judge, such as a row and its outer limit, is one value.
                let same = |(before, row): &(&mut super::Measured, &usize)| {
                    **row != ruling.check
                        && (&before.path, &before.about) == (&one.path, &one.about)
                        && before.value == one.value
                };
                match rulings.measured.iter_mut().zip(&by).find(same) {
                    Some((before, _)) => {
                        before.passes &= one.passes;
                        if !check.row.outer {
                            before.limit = one.limit;
                        }
                    }
                    None => {
                        rulings.measured.push(one);
                        by.push(ruling.check);
                    }
                }
            }
            let ruled = Ruled { which: which(book, check, ruling), told };
            rulings.by_home.entry((id.index(), home(book, check))).or_default().push(ruled);
        }
        rulings
    }

    /// Takes those on a characteristic at these positions.
    pub(super) fn take(&mut self, id: Id<Characteristic>, positions: &[u16]) -> Vec<Ruled> {
        self.by_home.remove(&(id.index(), positions.to_vec())).unwrap_or_default()
    }
}

fn home(book: &Book, check: &Check) -> Vec<u16> {
    let positions = &*check.positions;
    let shared = match (&check.subject, check.row.limit.as_ref().map(|limit| &limit.kind)) {
        (Subject::Group(_), Some(RangeKind::AllTheSame { across })) => {
            let part = book.characteristics.get(check.row.subject.characteristic).part;
            let before = book.parts.get(part).positioned.iter().position(|id| id == across);
            positions.get(..before.unwrap_or(0)).unwrap_or(&[])
        }
        _ => positions,
    };
    shared.to_vec()
}

fn station(check: &Check) -> Option<u16> {
    match &check.subject {
        Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
        Subject::Made(_) | Subject::Group(_) => None,
    }
}

/// Which value of several is judged, in words; none where there is one.
fn which(book: &Book, check: &Check, ruling: &Ruling) -> Option<String> {
    let characteristic = book.characteristics.get(check.row.subject.characteristic);
    let mut words: Vec<String> = Vec::new();
    if let Some(RowWord::Collect(collector)) = check.row.word {
        words.push(collector.word().to_string());
    }
    if check.row.outer {
        words.push(check.row.limit_word().to_string());
    }
    if let Subject::Group(_) = check.subject {
        words.push("all together".to_string());
    }
    if let Some(name) = station(check).and_then(|station| characteristic.stations().get(usize::from(station))) {
        words.push(format!("at {}", super::taken::plain(name)));
    }
    if let Some(number) = ruling.reading {
        words.push(format!("reading {}", number + 1));
    }
    (!words.is_empty()).then(|| words.join(", "))
}

fn measured(book: &Book, check: &Check, ruling: &Ruling, told: &RulingReport) -> Option<super::Measured> {
    let Some(Datum::Quantity(value)) = &ruling.value else { return None };
    let id = check.row.subject.characteristic;
    let characteristic = book.characteristics.get(id);
    let about = book.path(id, &[], None);
    let (about, unit) = match check.row.word {
        Some(RowWord::Collect(collector)) => {
            let unit = match (collector, &characteristic.unit, characteristic.kind) {
                (Collector::Count, ..) | (_, None, _) => Unit::number(),
                (_, Some(_), Kind::Names(_) | Kind::YesNo | Kind::Text) => Unit::number(),
                (Collector::Spread, Some(unit), _) => unit.difference(),
                (_, Some(unit), _) => unit.clone(),
            };
            (format!("{} of {about}", collector.word()), unit)
        }
        _ => (about, characteristic.unit.clone().unwrap_or_else(Unit::number)),
    };
    let slot = characteristic.slot(check.instance, station(check).map_or(0, usize::from));
    let passes = ruling.weight().passes();
    let figures = &told.figures;
    let limit = if figures.limit == [None, None] { figures.standard.clone() } else { figures.limit.clone() };
    Some(super::Measured { about, path: told.path.clone(), order: slot, value: value.clone(), unit, passes, limit })
}
