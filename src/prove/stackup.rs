//! Compares what derived values can come to with what their rows allow. Refuses to know how the first was worked out.

use super::input::{is_countable, let_through};
use super::stack::{Stacks, Under};
use super::witness::{Beyond, Witness, Witnesses};
use super::wording;
use super::worth::Worth;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Origin, Row};
use crate::finding::Finding;
use crate::quantity::{Band, Unit};
use crate::text::Place;
use std::sync::Arc;

/// One derived value, with one of the rows on it or with none.
#[derive(Clone, Debug)]
pub struct StackUp {
    /// The derived value, as a book writes it: `rotor.side_clearance`.
    pub path: String,
    /// Where the row is, if there is one.
    pub row: Option<Place>,
    /// When the row applies: its `where`, as the book writes it, and its days.
    pub condition: Option<String>,
    /// The unit it is declared in.
    pub unit: Option<Unit>,
    /// What it can come to while all it is made of is good; an end is missing where nothing bounds it.
    pub band: Band,
    /// The same in words.
    pub reaches: String,
    /// Whether everything it is made of has a standard, so that `band` is of parts as new.
    pub as_new: bool,
    /// Whether there are good parts that come to each end; if not, why the band may be wider than what there can be.
    pub loose: Option<String>,
    /// Readings it is made of that no row bounds on both sides.
    pub missing: Vec<String>,
    /// How that lies to the row.
    pub outcome: Outcome,
    /// Parts that show it where the outcome is [`Outcome::Wider`], one set for each end that is shown.
    pub witnesses: Vec<Witness>,
}

/// How what a derived value can come to lies to its row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// There is no row to compare with.
    NoRow,
    /// Whatever good parts come to is inside.
    Fits,
    /// Good parts can come to more than this allows, and there are parts that do.
    Wider(String),
    /// The ranges reach past what this allows, and no parts were found that do.
    MayBeWider(String),
    /// No good parts come to what this allows.
    Impossible(String),
    /// A reading without a range leaves it open.
    Open,
    /// The row depends on the record, or what it can come to is not known closely enough.
    NotCompared,
}

/// Every derived quantity of a generation.
pub(super) fn stack_ups(
    book: &Book,
    (generation_id, generation): (Id<Generation>, &Generation),
) -> (Vec<StackUp>, Vec<Finding>) {
    let stacks = Stacks::new(book, generation);
    let shown = Witnesses::new(book, (generation_id, generation));
    let (mut all, mut findings) = (Vec::new(), Vec::new());
    for (id, characteristic) in book.characteristics.entries() {
        if !matches!(characteristic.origin, Origin::Derived(Some(_)))
            || !is_countable(book, characteristic.kind)
            || book.instances(characteristic.part, generation).is_empty()
        {
            continue;
        }
        let on_it = |row: &&Arc<Row>| row.subject.characteristic == id;
        let mut rows: Vec<&Arc<Row>> = generation.rows.iter().filter(on_it).collect();
        // Beside another row an outer limit adds nothing: it holds all the other lets pass.
        if rows.iter().any(|row| !row.outer) {
            rows.retain(|row| !row.outer);
        }
        if rows.is_empty() {
            let Some(worth) = stacks.of(id, None) else { continue };
            all.push(made(book, id, &worth, None, Compared::of(Outcome::NoRow)));
        }
        for row in rows {
            let under = Under::of(row, characteristic.part);
            let Some(worth) = stacks.of(id, Some(under)) else { continue };
            let mut compared = compared((book, generation, &shown), id, row, &worth);
            findings.extend(compared.finding.take());
            all.push(made(book, id, &worth, Some(row), compared));
        }
    }
    (all, findings)
}

fn made(book: &Book, id: Id<Characteristic>, worth: &Worth, row: Option<&Arc<Row>>, compared: Compared) -> StackUp {
    let characteristic = book.characteristics.get(id);
    let path = |id: Id<Characteristic>, station: Option<u16>| wording::path(book, id, station);
    StackUp {
        path: path(id, None),
        row: row.map(|row| row.place.clone()),
        condition: row.and_then(|row| wording::when(row)),
        unit: characteristic.unit.clone(),
        reaches: wording::band(&worth.band, characteristic.unit.as_ref()),
        band: worth.band.clone(),
        as_new: worth.as_new,
        loose: worth.looseness().map(|loose| wording::loose(book, &loose)),
        missing: worth.missing.iter().map(|(id, station)| path(*id, *station)).collect(),
        outcome: compared.outcome,
        witnesses: compared.witnesses,
    }
}

/// How a value lies to a row, what shows it, and what is to be said.
struct Compared {
    outcome: Outcome,
    witnesses: Vec<Witness>,
    finding: Option<Finding>,
}

impl Compared {
    fn of(outcome: Outcome) -> Compared {
        Compared { outcome, witnesses: Vec::new(), finding: None }
    }
}

fn compared(
    (book, generation, shown): (&Book, &Generation, &Witnesses<'_>),
    id: Id<Characteristic>,
    row: &Row,
    worth: &Worth,
) -> Compared {
    let characteristic = book.characteristics.get(id);
    if !matches!(characteristic.kind, Kind::Quantity(_)) || worth.band.is_empty() {
        return Compared::of(Outcome::NotCompared);
    }
    let unit = characteristic.unit.as_ref();
    let tiers = [(&row.standard, wording::STANDARD), (&row.limit, wording::LIMIT)];
    let mut outcome = None;
    for (range, tier) in tiers {
        let Some(range) = range else { continue };
        let (own, whole) = let_through(book, generation, row, range);
        // Part of the row's range is enough to prove that nothing good reaches it: the whole is no larger.
        if worth.band.overlaps(&own) == Some(false) {
            let finding = wording::impossible(book, row, (tier, range, &own), worth, unit);
            let outcome = Outcome::Impossible(wording::band(&own, unit));
            return Compared { finding: Some(finding), ..Compared::of(outcome) };
        }
        if outcome.is_some() {
            continue;
        }
        outcome = Some(match own.holds(&worth.band) {
            _ if !whole => Compared::of(Outcome::NotCompared),
            Some(true) => Compared::of(Outcome::Fits),
            Some(false) if worth.missing.is_empty() => {
                let beyond = |above| Beyond { id, row, own: &own, standard: tier == wording::STANDARD, above };
                let ends: Vec<bool> = beyond_ends(&own, &worth.band);
                let witnesses: Vec<Witness> = ends.iter().filter_map(|above| shown.find(beyond(*above))).collect();
                let all = witnesses.len() == ends.len();
                let finding = wording::wider(book, row, (tier, range, &own), worth, (unit, &witnesses, all));
                let own = wording::band(&own, unit);
                let outcome = if witnesses.is_empty() && !worth.uses.is_empty() {
                    Outcome::MayBeWider(own)
                } else {
                    Outcome::Wider(own)
                };
                Compared { outcome, witnesses, finding: Some(finding) }
            }
            Some(false) => Compared::of(Outcome::Open),
            None => Compared::of(Outcome::NotCompared),
        });
    }
    outcome.unwrap_or(Compared::of(Outcome::NotCompared))
}

/// The ends of a band that a range does not hold: whether each is the upper one.
fn beyond_ends(own: &Band, band: &Band) -> Vec<bool> {
    let lower = Band { low: own.low.clone(), high: None };
    let upper = Band { low: None, high: own.high.clone() };
    [(lower, false), (upper, true)]
        .into_iter()
        .filter(|(half, _)| half.holds(band) == Some(false))
        .map(|(_, above)| above)
        .collect()
}
