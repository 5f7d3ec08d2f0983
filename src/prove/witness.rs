//! Shows parts, each inside its own rows, that put a calculated value outside a row on it: they are written out as a record
//! and judged. Refuses to say anything that judging does not bear out.

use super::input::is_countable;
use super::model::{Asked, Atom, Model};
use super::runs::runs;
use super::stack::Under;
use super::written::Written;
use crate::bind;
use crate::book::satisfy::{Answer, satisfiable_as};
use crate::book::{Book, Characteristic, Datum, Expression, Generation, Given, Id, Kind, Origin, Reach, Row, Selector};
use crate::finding::Finding;
use crate::judge::{self, Grade, Reporter};
use crate::plan::{Plan, Subject};
use crate::quantity::{Band, Date, Days, End, Number, Side, Unit, Value};
use crate::record;
use crate::text::{Place, Source};
use std::cell::OnceCell;
use std::cmp::Ordering;

/// More records than this are not judged to show one end.
const MOST_JUDGED: usize = 16;

/// More cases than this are not looked into.
const MOST_CASES: usize = 8;

/// Values are written with at most so many places.
const MOST_PLACES: u32 = 9;

/// More rounds than this are not gone over the readings.
const MOST_ROUNDS: usize = 4;

/// Parts that put a calculated value out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Witness {
    /// What is read, as a record has it, each with its values: `gear.drive.width`, `79.82 mm`.
    pub readings: Vec<(String, Vec<String>)>,
    /// What is calculated from them, and what it comes to: `gear.drive.side_clearance`, `0.24 mm`.
    pub gives: (String, String),
    /// Whether that lies above the row rather than below it.
    pub above: bool,
}

/// An end of what a calculated value can come to that lies outside a row's range.
#[derive(Clone, Copy)]
pub(super) struct Beyond<'a> {
    pub id: Id<Characteristic>,
    pub row: &'a Row,
    /// What the range lets through.
    pub own: &'a Band,
    /// Whether the range is the row's standard.
    pub standard: bool,
    /// Whether the end lies above it.
    pub above: bool,
}

/// Judges records of one generation.
pub(super) struct Witnesses<'a> {
    book: &'a Book,
    generation: &'a Generation,
    id: Id<Generation>,
    plan: OnceCell<Plan>,
}

/// One choice of what is the case.
struct Case<'a> {
    besides: Vec<&'a Expression>,
    picks: Vec<(Reach, Datum)>,
    days: Days,
}

/// How values are chosen: each by itself, or the same for a whole list, or for every position.
#[derive(Clone, Copy, PartialEq)]
enum Alike {
    None,
    List,
    Everywhere,
}

impl<'a> Witnesses<'a> {
    pub(super) fn new(book: &'a Book, (id, generation): (Id<Generation>, &'a Generation)) -> Witnesses<'a> {
        Witnesses { book, generation, id, plan: OnceCell::new() }
    }

    /// Parts that put a value out at an end; `None` where none were found.
    pub(super) fn find(&self, beyond: Beyond<'_>) -> Option<Witness> {
        let part = self.book.characteristics.get(beyond.id).part;
        let under = Under::of(beyond.row, part);
        let meant = |positions: &Vec<u16>| under.means(positions);
        let places: Vec<Vec<u16>> =
            self.book.instances(part, self.generation).into_iter().filter(meant).take(2).collect();
        let mut judged = 0;
        for positions in &places {
            for case in self.cases(beyond, positions) {
                let asked = Asked {
                    book: self.book,
                    generation: self.generation,
                    under: Some(Under { days: case.days, ..under }),
                    besides: &case.besides,
                };
                let Some(model) = Model::new(asked, beyond.id, positions) else { continue };
                for values in self.attempts(&model, beyond) {
                    judged += 1;
                    if judged > MOST_JUDGED {
                        return None;
                    }
                    let found = self.judged(beyond, positions, &case, (&model, &values));
                    if found.is_some() {
                        return found;
                    }
                }
            }
        }
        None
    }

    /// Values that put the row's value out, those that put it furthest out first, and of those the ones that are most alike.
    fn attempts(&self, model: &Model, beyond: Beyond<'_>) -> Vec<Vec<Value>> {
        let outside = if beyond.above { Side::Above } else { Side::Below };
        let outward = if beyond.above { Ordering::Greater } else { Ordering::Less };
        let mut attempts: Vec<(Value, Vec<Value>)> = Vec::new();
        for near in [2, 5] {
            for alike in [Alike::Everywhere, Alike::List, Alike::None] {
                let Some(values) = self.furthest(model, alike, near, beyond.above) else { continue };
                let Some(value) = model.value(&values) else { continue };
                if beyond.own.locate(&value) == outside && !attempts.iter().any(|(_, other)| *other == values) {
                    attempts.push((value, values));
                }
            }
            // Values nearer to open ends are longer to write: only where they are needed.
            if !attempts.is_empty() {
                break;
            }
        }
        let further = |one: &Value, other: &Value| other.compare(one) == Some(outward);
        attempts.sort_by(|(one, _), (other, _)| further(other, one).cmp(&further(one, other)));
        attempts.into_iter().map(|(_, values)| values).collect()
    }

    /// What may be the case where the row applies: on each run of days, nothing more, or one of the conditions that rows
    /// on what is read have.
    fn cases<'r>(&'r self, beyond: Beyond<'r>, positions: &[u16]) -> Vec<Case<'r>> {
        let part = self.book.characteristics.get(beyond.id).part;
        let under = Under::of(beyond.row, part);
        let asked = Asked { book: self.book, generation: self.generation, under: Some(under), besides: &[] };
        let Some(model) = Model::new(asked, beyond.id, positions) else { return Vec::new() };
        let read = |row: &Row| model.atoms.iter().any(|atom| atom.characteristic == row.subject.characteristic);
        let rows: Vec<&Row> = self.generation.rows.iter().map(|row| &**row).filter(|row| read(row)).collect();
        let own = beyond.row.condition.as_deref();
        let mut besides: Vec<Option<&Expression>> = vec![None];
        besides.extend(rows.iter().filter_map(|row| row.condition.as_deref()).map(Some));
        let mut cases = Vec::new();
        for days in runs(rows.iter().copied(), beyond.row.days) {
            for beside in &besides {
                let besides: Vec<&Expression> = beside.iter().copied().collect();
                let holding: Vec<(&Expression, bool)> =
                    own.into_iter().chain(besides.iter().copied()).map(|condition| (condition, true)).collect();
                let Answer::Yes(example) = satisfiable_as(self.book, Some(self.generation), &holding) else { continue };
                if cases.len() < MOST_CASES {
                    cases.push(Case { besides, picks: example.picks, days });
                }
            }
        }
        cases
    }

    /// The values, each inside its rows, that lead furthest up or down, found by trying one reading after the other.
    fn furthest(&self, model: &Model, alike: Alike, near: u32, above: bool) -> Option<Vec<Value>> {
        let choices: Vec<Vec<Value>> =
            model.atoms.iter().map(|atom| self.choices(atom, near)).collect::<Option<_>>()?;
        let together = |one: &Atom, other: &Atom| {
            one.characteristic == other.characteristic
                && one.band == other.band
                && (alike == Alike::Everywhere || one.positions == other.positions)
        };
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for (at, atom) in model.atoms.iter().enumerate() {
            let known = groups.iter_mut().find(|group| {
                let first = group.first().and_then(|first| model.atoms.get(*first));
                alike != Alike::None && first.is_some_and(|first| together(first, atom))
            });
            match known {
                Some(group) => group.push(at),
                None => groups.push(vec![at]),
            }
        }
        let outward = if above { Ordering::Greater } else { Ordering::Less };
        let mut best: Option<(Value, Vec<Value>)> = None;
        for last in [false, true] {
            let start = |choices: &Vec<Value>| if last { choices.last().cloned() } else { choices.first().cloned() };
            let mut values: Vec<Value> = choices.iter().map(start).collect::<Option<_>>()?;
            let mut reached = model.value(&values);
            for _ in 0..MOST_ROUNDS {
                let mut moved = false;
                for group in &groups {
                    let Some(of) = group.first().and_then(|first| choices.get(*first)) else { continue };
                    for choice in of {
                        let mut tried = values.clone();
                        for at in group {
                            if let Some(entry) = tried.get_mut(*at) {
                                *entry = choice.clone();
                            }
                        }
                        let Some(value) = model.value(&tried) else { continue };
                        if reached.as_ref().is_none_or(|reached| value.compare(reached) == Some(outward)) {
                            (reached, values, moved) = (Some(value), tried, true);
                        }
                    }
                }
                if !moved {
                    break;
                }
            }
            let Some(reached) = reached else { continue };
            if best.as_ref().is_none_or(|(best, _)| reached.compare(best) == Some(outward)) {
                best = Some((reached, values));
            }
        }
        best.map(|(_, values)| values)
    }

    /// Values to try, ends first to last, each of which can be written down.
    fn choices(&self, atom: &Atom, near: u32) -> Option<Vec<Value>> {
        let (low, high) = (atom.band.low.as_ref()?, atom.band.high.as_ref()?);
        let characteristic = self.book.characteristics.get(atom.characteristic);
        if !matches!(characteristic.kind, Kind::Quantity(_)) {
            return Some(vec![low.value.clone(), high.value.clone()]);
        }
        let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
        let mut values = vec![writable(low, (&atom.band, &unit), near, true)?];
        let width = high.value.subtract(&low.value);
        for quarter in 1..4 {
            let share = Value::from(Number::ratio(quarter, 4)?);
            let inner = rounded(&low.value.add(&width.multiply(&share)), &unit, 6);
            if atom.band.locate(&inner) == Side::Inside {
                values.push(inner);
            }
        }
        values.push(writable(high, (&atom.band, &unit), near, false)?);
        Some(values)
    }

    /// Whether these values, as a record, are judged as hoped: the row refuses them and no row on a reading does.
    fn judged(
        &self,
        beyond: Beyond<'_>,
        positions: &[u16],
        case: &Case<'_>,
        (model, values): (&Model, &[Value]),
    ) -> Option<Witness> {
        let mut given: Vec<Given> = Vec::new();
        let mut read: Vec<&Atom> = Vec::new();
        for (atom, value) in model.atoms.iter().zip(values) {
            let path = self.book.path(atom.characteristic, &atom.positions, atom.station);
            let words = self.words(atom.characteristic, &Datum::Quantity(value.clone()))?;
            put(&mut given, &path, words, &beyond.row.place);
            read.push(atom);
        }
        // A condition is looked up from the row's own part, or from that of a row on something read.
        let seen_from: Vec<&[u16]> =
            [positions].into_iter().chain(read.iter().map(|atom| atom.positions.as_slice())).collect();
        for (reach, datum) in &case.picks {
            if !matches!(self.book.characteristics.get(reach.characteristic).origin, Origin::Reading { .. }) {
                continue;
            }
            let words = self.words(reach.characteristic, datum)?;
            for from in &seen_from {
                let Some(at) = at(reach, from) else { continue };
                let path = self.book.path(reach.characteristic, &at, reach.station);
                if !given.iter().any(|given| given.keys.join(".") == path) {
                    put(&mut given, &path, words.clone(), &beyond.row.place);
                }
            }
        }
        let mut head = vec![("generation", self.generation.name.to_string())];
        head.extend(day_of(case.days).map(|day| ("finished", day.to_string())));
        let (written, in_the_way) = Written::new(&head, &given);
        if !in_the_way.is_empty() {
            return None;
        }
        let source = Source::new("example", written.text.as_str());
        let (sheet, mut said) = record::read(&source);
        let (mut readings, more) = bind::bind(self.book, &sheet?, &source);
        said.extend(more);
        let plan = self.plan.get_or_init(|| Plan::new(self.book, self.id).0);
        said.extend(judge::screen(self.book, plan, &mut readings));
        if said.iter().any(Finding::is_error) {
            return None;
        }
        let verdict = judge::judge(self.book, plan, &readings);
        let mut out = None;
        for ruling in &verdict.rulings {
            let check = plan.checks.get(ruling.check)?;
            if std::ptr::eq(&raw const *check.row, beyond.row) && *check.positions == *positions {
                let refused = ruling.grade == Grade::Out || (beyond.standard && ruling.grade == Grade::Worn);
                out = refused.then_some(ruling).or(out);
                continue;
            }
            let subject = &check.row.subject;
            let is_read = read.iter().any(|atom| {
                let here = *atom.positions == *check.positions || matches!(check.subject, Subject::Group(_));
                atom.characteristic == subject.characteristic && here
            });
            if is_read && ruling.grade != Grade::Good {
                return None;
            }
        }
        let told = Reporter::new(self.book, plan, &readings).tell(out?)?;
        let said =
            |given: &Given| (given.keys.join("."), given.values.iter().map(|(value, _)| value.to_string()).collect());
        Some(Witness {
            readings: given.iter().map(said).collect(),
            gives: (told.path.clone(), told.value?),
            above: beyond.above,
        })
    }

    /// A value as a record has it.
    fn words(&self, id: Id<Characteristic>, datum: &Datum) -> Option<String> {
        let characteristic = self.book.characteristics.get(id);
        Some(match (characteristic.kind, datum) {
            (Kind::Names(set), Datum::Name(name)) => self.book.sets.get(set).name_of(*name).to_string(),
            (Kind::Names(set), Datum::Quantity(value)) if is_countable(self.book, characteristic.kind) => {
                let number: u16 = value.is_exact_rational()?.to_decimal(0).parse().ok()?;
                self.book.sets.get(set).name_of(number).to_string()
            }
            (Kind::YesNo, Datum::YesNo(yes)) => (if *yes { "yes" } else { "no" }).to_string(),
            (Kind::Quantity(_), Datum::Quantity(value)) => {
                let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
                let number = unit.decimal(value);
                if unit.symbol.is_empty() { number } else { format!("{number} {}", unit.symbol) }
            }
            _ => return None,
        })
    }
}

/// Puts one more value to a reading.
fn put(given: &mut Vec<Given>, path: &str, words: String, place: &Place) {
    let keys: Vec<Box<str>> = path.split('.').map(Box::from).collect();
    let value = (words.into_boxed_str(), place.clone());
    match given.iter_mut().find(|given| given.keys == keys) {
        Some(known) => known.values.push(value),
        None => given.push(Given { keys, values: vec![value], place: place.clone() }),
    }
}

/// The positions a reach leads to from others; `None` where that is not one.
fn at(reach: &Reach, from: &[u16]) -> Option<Vec<u16>> {
    let one = |selector: &Selector| match selector {
        Selector::At(at) => Some(*at),
        Selector::Same(depth) => from.get(usize::from(*depth)).copied(),
        Selector::All => None,
    };
    reach.selectors.iter().map(one).collect()
}

/// A day of several; none where any day will do.
fn day_of(days: Days) -> Option<Date> {
    days.from.or(days.to)
}

/// An end of a band as a value that can be written down and lies inside: where the end itself does not, a value so near
/// it as `near` says, as a power of ten of the width.
fn writable(end: &End, (band, unit): (&Band, &Unit), near: u32, low: bool) -> Option<Value> {
    let number = unit.from_base(&end.value);
    let places = number.is_exact_rational().and_then(Number::decimal_places);
    if end.closed && places.is_some_and(|places| places <= MOST_PLACES) {
        return Some(end.value.clone());
    }
    let width = unit.from_base(&band.high.as_ref()?.value).subtract(&unit.from_base(&band.low.as_ref()?.value));
    let ten = Value::from(Number::from_integer(10));
    let mut step =
        (0..near).try_fold(width.midpoint(), |step, _| Value::from(step).divide(&ten).map(|step| step.midpoint()))?;
    if step.is_zero() {
        step = Number::ratio(1, 1_000_000)?;
    }
    let mut places = 0;
    let mut least = Number::ONE;
    while places < MOST_PLACES && least >= step {
        least = least.checked_div(&Number::from_integer(10))?;
        places += 1;
    }
    let inward = if low { &number.midpoint() + &step } else { &number.midpoint() - &step };
    let value = rounded(&unit.to_base(&inward), unit, places);
    (band.locate(&value) == Side::Inside).then_some(value)
}

/// A value to so many places in a unit.
fn rounded(value: &Value, unit: &Unit, places: u32) -> Value {
    let text = unit.from_base(value).midpoint().to_decimal(places);
    Number::parse(&text).map_or_else(|_| value.clone(), |number| unit.to_base(&number))
}
