//! Every sentence this room says. Refuses to know when it is said.

use super::witness::Witness;
use super::worth::{Loose, Worth};
use crate::book::Kind;
use crate::book::satisfy::Example;
use crate::book::{
    Book, Change, ChangeKind, Characteristic, Citation, Expected, Expression, Generation, Id, Plausible, Range, Row,
    Trial,
};
use crate::finding::{Code, Finding, NoteKind, list};
use crate::judge::{Grade, RulingReport};
use crate::plan::Check;
use crate::quantity::{Band, Days, End, Number, Unit, Value, shown};
use crate::text::Place;
use std::sync::Arc;

pub(super) const STANDARD: &str = "standard";
pub(super) const LIMIT: &str = "limit";

/// Places printed of a value whose decimal does not end.
const MOST_PLACES: u32 = 4;

/// A band in words, in a unit: `0.12 to 0.21 mm`, `above 0.10 mm`.
pub(super) fn band(band: &Band, unit: Option<&Unit>) -> String {
    let plain = Unit::number();
    let unit = unit.unwrap_or(&plain);
    let places = |end: &End| unit.from_base(&end.value).is_exact_rational().and_then(Number::decimal_places);
    let ends = [&band.low, &band.high];
    let places = ends.into_iter().flatten().map(|end| places(end).unwrap_or(MOST_PLACES)).max().unwrap_or(0);
    let say = |value: &Value| shown(value, unit, places.min(MOST_PLACES));
    match (&band.low, &band.high) {
        (Some(low), Some(high)) if low.value == high.value => format!("exactly {}", say(&low.value)),
        (Some(low), Some(high)) if low.closed && high.closed => {
            let (low, high) = (say(&low.value), say(&high.value));
            let low = low.strip_suffix(&*unit.symbol).filter(|_| high.ends_with(&*unit.symbol)).unwrap_or(&low);
            format!("{} to {high}", low.trim_end())
        }
        (Some(low), Some(high)) => {
            let word = if low.closed { "at least" } else { "above" };
            let other = if high.closed { "at most" } else { "below" };
            format!("{word} {} and {other} {}", say(&low.value), say(&high.value))
        }
        (Some(low), None) => format!("{} {}", if low.closed { "at least" } else { "above" }, say(&low.value)),
        (None, Some(high)) => format!("{} {}", if high.closed { "at most" } else { "below" }, say(&high.value)),
        (None, None) => "anything".into(),
    }
}

/// A characteristic as a book writes it: the whole machine's own ones with its name.
pub(super) fn path(book: &Book, id: Id<Characteristic>, station: Option<u16>) -> String {
    let path = book.path(id, &[], station);
    match book.root() {
        Some(root) if root == book.characteristics.get(id).part => format!("{}.{path}", book.parts.get(root).name),
        _ => path,
    }
}

/// Of which generations a finding is true.
pub(super) fn of_generations(names: &[String], all: usize) -> String {
    if names.len() == all {
        return "in every generation".into();
    }
    let word = if names.len() == 1 { "generation" } else { "generations" };
    format!("in {word} {}", list(names.iter().map(String::as_str), "and"))
}

/// Why a range may be wider than what there can be.
pub(super) fn loose(book: &Book, loose: &Loose) -> String {
    match loose {
        Loose::Repeated(id) => {
            format!("{} stands in it more than once, so the ends may not be reached", path(book, *id, None))
        }
        Loose::Cases(id) => {
            format!("{} differs from case to case, so the ends may not be reached", path(book, *id, None))
        }
        Loose::Bounded => "it is only bounded, so the ends may not be reached".into(),
    }
}

fn parts(worth: &Worth) -> &'static str {
    if worth.uses.is_empty() {
        "the constants give"
    } else if worth.as_new {
        "all parts as new still allow"
    } else {
        "all parts good still allow"
    }
}

/// When a row applies: `where duty is race from 2026-06-01`; none where always.
pub(super) fn when(row: &Row) -> Option<String> {
    let days = (row.days != Days::ALWAYS).then(|| row.days.to_string());
    let condition = row.condition.as_ref().map(|condition| format!("where {}", condition.words()));
    match (condition, days) {
        (Some(condition), Some(days)) => Some(format!("{condition} {days}")),
        (condition, days) => condition.or(days),
    }
}

fn path_of(row: &Row) -> String {
    match when(row) {
        Some(when) => format!("{} {when}", row.path),
        None => row.path.to_string(),
    }
}

fn stacked(finding: Finding, book: &Book, worth: &Worth) -> Finding {
    let mut paths: Vec<String> = Vec::new();
    for used in &worth.uses {
        let path = self::path(book, used.reach.characteristic, used.reach.station);
        if !paths.contains(&path) {
            paths.push(path);
        }
    }
    let mut finding = finding;
    if !paths.is_empty() {
        let text = format!("calculated over the ranges of {}", list(paths.iter().map(String::as_str), "and"));
        finding = finding.note(NoteKind::Remark, text);
    }
    match worth.looseness() {
        Some(reason) => finding.note(NoteKind::Remark, loose(book, &reason)),
        None => finding,
    }
}

/// A tier with what it lets through, which is more than its range where the row rounds.
fn let_through(row: &Row, tier: &str, own: &Band, unit: Option<&Unit>) -> String {
    match &row.rounded {
        None => format!("{tier} {}", band(own, unit)),
        Some(rounding) => {
            let step = rounding.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
            format!("{tier}, which rounded to {step} lets through {}", band(own, unit))
        }
    }
}

/// A value that good parts bring past a row. Only what witnesses show, or follows for certain from the ranges beside them,
/// is said to be so.
pub(super) fn wider(
    book: &Book,
    row: &Row,
    (tier, range, own): (&str, &Range, &Band),
    worth: &Worth,
    (unit, witnesses, all): (Option<&Unit>, &[Witness], bool),
) -> Finding {
    let path = path_of(row);
    let through = let_through(row, tier, own, unit);
    let whole = band(&worth.band, unit);
    let constants = worth.uses.is_empty();
    let message = if constants || (all && worth.looseness().is_none()) {
        format!("{path}: {} {whole}, wider than its {through}", parts(worth))
    } else if witnesses.is_empty() {
        let parts = if worth.as_new { "all parts as new" } else { "all parts good" };
        format!("{path}: {parts} may give {whole}, wider than its {through}")
    } else {
        let reached: Vec<&str> = witnesses.iter().map(|witness| &*witness.gives.1).collect();
        format!("{path}: {} {}, outside its {through}", parts(worth), list(reached.into_iter(), "and"))
    };
    let label = if constants || !witnesses.is_empty() { "narrower than parts" } else { "may be too narrow" };
    let mut finding = stacked(Finding::new(Code::StackUpWider, message).at(range.place.clone(), label), book, worth);
    for witness in witnesses {
        finding = finding.note(NoteKind::Remark, shown_by(witness));
    }
    if witnesses.is_empty() && !constants {
        let text = "no parts were found that are inside their own rows and give a value outside this one";
        finding = finding.note(NoteKind::Remark, text.to_string());
    }
    finding
}

/// Several values of one reading: once where all are the same.
fn in_one(values: &[String]) -> String {
    match values.split_first() {
        Some((first, rest)) if !rest.is_empty() && rest.iter().all(|value| value == first) => {
            format!("{first} each time")
        }
        _ => values.join(" then "),
    }
}

/// The parts that show it.
fn shown_by(witness: &Witness) -> String {
    /// More readings than this are counted.
    const MOST_READINGS: usize = 6;
    let mut told: Vec<String> = witness
        .readings
        .iter()
        .take(MOST_READINGS)
        .map(|(path, values)| format!("{path} {}", in_one(values)))
        .collect();
    let more = witness.readings.len().saturating_sub(MOST_READINGS);
    if more > 0 {
        told.push(format!("{more} more"));
    }
    let (path, value) = &witness.gives;
    format!("for example {}: {path} is then {value}", list(told.iter().map(String::as_str), "and"))
}

pub(super) fn impossible(
    book: &Book,
    row: &Row,
    (tier, range, own): (&str, &Range, &Band),
    worth: &Worth,
    unit: Option<&Unit>,
) -> Finding {
    let message = if worth.uses.is_empty() {
        format!(
            "{}: the constants give {}, and nothing can meet its {}",
            path_of(row),
            band(&worth.band, unit),
            let_through(row, tier, own, unit)
        )
    } else {
        format!(
            "{}: no set of good parts can meet its {}: they give {}",
            path_of(row),
            let_through(row, tier, own, unit),
            band(&worth.band, unit)
        )
    };
    let finding = Finding::new(Code::StackUpImpossible, message)
        .at(range.place.clone(), "cannot be met")
        .help("one of the ranges has a slip: this one, or one of the readings the value is calculated from");
    stacked(finding, book, worth)
}

pub(super) fn uncovered(path: &str, place: Place) -> Finding {
    Finding::new(Code::ReadingUncovered, format!("{path}: no row judges it"))
        .at(place, "never judged")
        .help("give it a row, or declare it `optional` if a build may do without it")
}

pub(super) fn row_without_provenance(row: &Row) -> Finding {
    Finding::new(Code::ProvenanceMissing, format!("{}: nothing says where this range comes from", path_of(row)))
        .at(row.place.clone(), "comes from nowhere")
        .help("add `{ from SOURCE \"page\" }`, `{ from common practice }` or `{ from memory }`")
}

pub(super) fn source_unused(source: &Citation) -> Finding {
    Finding::new(Code::SourceUnused, format!("source {}: no row or constant comes from it", source.name))
        .at(source.place.clone(), "never named")
        .help(format!("write `from {}` where its numbers stand, or take the line out", source.name))
}

pub(super) fn constant_without_provenance(name: &str, place: Place) -> Finding {
    Finding::new(Code::ProvenanceMissing, format!("constant {name}: nothing says where its value comes from"))
        .at(place, "comes from nowhere")
        .help("add `{ from SOURCE \"page\" }`, `{ from common practice }` or `{ from memory }` after it")
}

pub(super) fn expansion_without_provenance(part: &str, place: Place) -> Finding {
    Finding::new(Code::ProvenanceMissing, format!("expansion of {part}: nothing says where it comes from"))
        .at(place, "comes from nowhere")
        .help("add `{ from SOURCE \"page\" }`, `{ from common practice }` or `{ from memory }` after it")
}

pub(super) fn where_impossible(row: &Row, condition: &Expression) -> Finding {
    Finding::new(Code::WhereImpossible, format!("{}: its `where` is true of no record, so it never applies", row.path))
        .at(condition.place.clone(), "never true")
        .help("look for two halves that exclude each other, or an `and` that was meant as `or`")
}

pub(super) fn rows_overlap(one: &Row, other: &Row, example: &Example) -> Finding {
    let when = if example.facts.is_empty() { "always".to_string() } else { format!("where {}", example.words()) };
    let can = if example.certain { "apply" } else { "may apply" };
    Finding::new(Code::RowsOverlap, format!("{}: two rows that differ both {can} {when}", one.path))
        .at(other.place.clone(), "the second")
        .since(one.place.clone(), "the first")
        .help("a value then has to meet both: give the two conditions that exclude each other, or `replace` the first")
}

pub(super) fn outer_limit_inside((outer, limit): (&Row, &Range), (other, passing): (&Row, &Range)) -> Finding {
    let text = |range: &Range| range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
    let message = format!(
        "{}: the outer limit, {}, leaves out values that the row beside it lets pass: {}",
        outer.path,
        text(limit),
        text(passing)
    );
    Finding::new(Code::OuterLimitInside, message)
        .at(limit.place.clone(), "leaves some out")
        .since(passing.place.clone(), "lets them pass")
        .since(other.place.clone(), "the row beside")
        .help("let the outer limit hold everything the row beside it lets pass: it says beyond which value no part is used")
}

/// A row took the place of one that is never excused, and does not say so itself.
pub(super) fn never_excused_dropped(row: &Row, before: &Change, change: &Change) -> Finding {
    let message =
        format!("{}: a concession can let it through, though the row it replaces is never excused", path_of(row));
    Finding::new(Code::NeverExcusedDropped, message)
        .at(change.place.clone(), "without the words")
        .since(before.place.clone(), "never excused")
        .help("write `never excused` after its ranges")
}

/// A shop changed an advisory row, so it binds.
pub(super) fn house_binds(row: &Row, change: &Change) -> Finding {
    let word = if change.kind == ChangeKind::Tightened { "tighten" } else { "loosen" };
    let mut finding = Finding::new(
        Code::HouseBinds,
        format!("{}: the row was advisory; it binds because {} changed it with `{word}`", path_of(row), change.by),
    )
    .at(change.place.clone(), "binds")
    .help("write `advisory` after its ranges if it is to stay advice");
    let inside = |place: &Place| {
        place.source == change.place.source
            && change.place.span.start <= place.span.start
            && place.span.end <= change.place.span.end
    };
    for (tier, range) in [(STANDARD, &row.standard), (LIMIT, &row.limit)] {
        if let Some(range) = range.as_ref().filter(|range| !inside(&range.place)) {
            let text = range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
            finding = finding
                .since(range.place.clone(), "binds as well")
                .note(NoteKind::Remark, format!("its {tier} of {text}, which the shop left as it was, binds as well"));
        }
    }
    finding
}

pub(super) fn case_left(row: &Row, rows: &[&Arc<Row>], example: &Example) -> Finding {
    let mut finding =
        Finding::new(Code::RowsLeaveCase, format!("{}: no row judges it where {}", row.path, example.words()))
            .at(row.place.clone(), "only where true");
    for other in rows.iter().skip(1).filter(|other| other.place != row.place) {
        finding = finding.since(other.place.clone(), "only where true");
    }
    finding
}

/// Two readings of an example that cannot both be in one record.
pub(super) fn given_in_the_way(path: &str, place: Place) -> Finding {
    Finding::new(Code::NameTaken, format!("{path} cannot be given beside another reading of this example"))
        .at(place, "in the way")
        .help("give the reading itself, or its stations, not both")
}

/// No row of the generation judges what an example expects a grade for.
pub(super) fn try_judges_nothing(trial: &Trial, expected: &Expected, generation: &str) -> Finding {
    Finding::new(Code::TryFails, format!("'{}': no row of {generation} judges {} there", trial.title, expected.path))
        .at(expected.place.clone(), "judged by nothing")
        .help("expect what a row judges; a row with `where` judges only where it applies")
}

/// An example whose grade is another than it expects, with the arithmetic that led there.
pub(super) fn try_fails(
    (trial, expected): (&Trial, &Expected),
    (grade, check): (Grade, &Check),
    told: Option<&RulingReport>,
    because: Option<&Finding>,
    arithmetic: &[String],
) -> Finding {
    /// More lines of arithmetic than this are for `explain`.
    const MOST_LINES: usize = 12;
    let grades = list(expected.grades.iter().map(|grade| &**grade), "or");
    let not = if expected.negated { "not " } else { "" };
    let path = told.map_or_else(|| expected.path.to_string(), |told| told.path.clone());
    let mut finding = Finding::new(
        Code::TryFails,
        format!("'{}': {path} is {}, and the example expects it to be {not}{grades}", trial.title, grade.word()),
    )
    .at(expected.place.clone(), "expected here")
    .since(check.row.place.clone(), "judged here");
    for line in arithmetic.iter().take(MOST_LINES) {
        finding = finding.note(NoteKind::Remark, line.clone());
    }
    if let Some(because) = because.filter(|because| !arithmetic.contains(&because.message)) {
        finding = finding.note(NoteKind::Remark, because.message.clone());
    } else if let (Some(value), true) = (told.and_then(|told| told.value.as_ref()), arithmetic.is_empty()) {
        finding = finding.note(NoteKind::Remark, format!("{path} comes to {value}"));
    }
    finding.help("correct the row or the example, whichever is wrong")
}

/// Generations whose telltales do not tell them apart.
pub(super) fn telltales_alike(generation: &Generation, others: &[&Generation]) -> Finding {
    let names = list(others.iter().map(|other| &*other.name), "or");
    let mut finding = Finding::new(Code::TelltalesAlike, format!("no telltale tells {} from {names}", generation.name))
        .at(generation.place.clone(), "not told apart");
    for other in others.iter().take(4) {
        finding = finding.since(other.place.clone(), "from this one");
    }
    finding.help("give each a `telltale` on something that differs, such as a seal's thickness, or leave it: one may be a variant of the other")
}

/// Two values of a reading of names that no telltale tells apart.
pub(super) fn values_alike(
    book: &Book,
    reading: Id<Characteristic>,
    (one, other): (u16, u16),
    generation: &Generation,
) -> Finding {
    let path = book.path(reading, &[], None);
    let name = |value: u16| match book.characteristics.get(reading).kind {
        Kind::Names(set) => book.sets.get(set).name_of(value).to_owned(),
        _ => String::new(),
    };
    let (one, other) = (name(one), name(other));
    Finding::new(Code::TelltalesAlike, format!("no telltale tells {path} {one} from {other} in {}", generation.name))
        .at(generation.place.clone(), "not told apart")
        .help(format!(
            "give each a `telltale` with `where … is {one}` and `where … is {other}` on something that differs"
        ))
}

/// A row with an end outside what its reading can be.
pub(super) fn cuts_row(book: &Book, row: &Row, range: &Range, (declared, plausible): (&Plausible, &Band)) -> Finding {
    let unit = book.characteristics.get(row.subject.characteristic).unit.as_ref();
    let allowed = range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
    let can_be = band(plausible, unit);
    let message = format!("{}: the row allows {allowed}, and only {can_be} is plausible", path_of(row));
    Finding::new(Code::PlausibleCutsRow, message)
        .at(declared.range.place.clone(), "too narrow")
        .since(range.place.clone(), "cut by it")
        .help("widen the plausible range until it holds the row and every worn part")
}

/// A row with an end below zero on a reading that may not be negative.
pub(super) fn never_negative(row: &Row, range: &Range, characteristic: &Characteristic) -> Finding {
    let message = format!("{}: the row allows negative values, and the reading may not be negative", path_of(row));
    Finding::new(Code::PlausibleCutsRow, message)
        .at(range.place.clone(), "below zero")
        .since(characteristic.place.clone(), "never negative")
        .help("add `may be negative` to the reading, or begin the range at zero")
}

/// The readings of a generation without a plausible range, all in one; `None` if there are none.
pub(super) fn unbounded(book: &Book, generation: &Generation, without: &[Id<Characteristic>]) -> Option<Finding> {
    const MOST_TOLD: usize = 6;
    if without.is_empty() {
        return None;
    }
    let told: Vec<String> = without.iter().take(MOST_TOLD).map(|id| path(book, *id, None)).collect();
    let more =
        if without.len() > MOST_TOLD { format!(" and {} more", without.len() - MOST_TOLD) } else { String::new() };
    let (count, have) = if without.len() == 1 {
        ("1 reading".to_string(), "has")
    } else {
        (format!("{} readings", without.len()), "have")
    };
    let message =
        format!("generation {}: {count} {have} no plausible range: {}{more}", generation.name, told.join(", "));
    let finding = Finding::new(Code::ReadingUnbounded, message)
        .at(generation.place.clone(), "no plausible range")
        .help("declare what each can be at all: `plausible PATH RANGE { from … }`");
    Some(finding)
}

pub(super) fn plausible_without_provenance(path: &str, place: Place) -> Finding {
    Finding::new(Code::ProvenanceMissing, format!("{path}: nothing says where this plausible range comes from"))
        .at(place, "comes from nowhere")
        .help("add `{ from SOURCE \"page\" }`, `{ from common practice }` or `{ from memory }`")
}

pub(super) fn rework_without_provenance(name: &str, place: Place) -> Finding {
    Finding::new(Code::ProvenanceMissing, format!("{name}: nothing says where this operation comes from"))
        .at(place, "comes from nowhere")
        .help("add `{ from SOURCE \"page\" }`, `{ from common practice }` or `{ from memory }`")
}
