//! What is said of a reading and of a row in few words, as the books write it.

use crate::book::{Book, Characteristic, Count, Kind, Range, Row};
use crate::finding::list;
use crate::plan::{Check, CheckRange};
use crate::quantity::{Band, End, Number, Unit, Value, shown};
use crate::syntax::tree::{Collector, RowWord};

/// The unit or the words of a reading, and how often it is taken: `mm, 2 readings or more`.
pub(super) fn what(book: &Book, characteristic: &Characteristic, count: Count) -> String {
    /// Letters of a long class are not told one by one.
    const MOST_NAMES: usize = 8;
    let kind = match characteristic.kind {
        Kind::Quantity(_) => match &characteristic.unit {
            Some(unit) if !unit.symbol.is_empty() => unit.symbol.to_string(),
            _ => "number".to_string(),
        },
        Kind::Names(set) => {
            let set = book.sets.get(set);
            match (set.names.first(), set.names.last()) {
                (Some(first), Some(last)) if set.ordered && set.names.len() > MOST_NAMES => {
                    format!("{first} to {last}")
                }
                _ => list(set.names.iter().map(|name| &**name), "or"),
            }
        }
        Kind::YesNo => "yes or no".to_string(),
        Kind::Text => "words".to_string(),
    };
    match count {
        Count::ONE => kind,
        Count { least, most: Some(most) } if least == most => format!("{kind}, exactly {least} readings"),
        Count { least, most: Some(most) } => format!("{kind}, {least} to {most} readings"),
        Count { least: 1, most: None } => format!("{kind}, 1 reading or more"),
        Count { least, most: None } => format!("{kind}, {least} readings or more"),
    }
}

/// A row in one line: `smallest of: standard 0.12 to 0.21 mm, limit at least 0.10 mm where duty is race, advisory`.
pub(super) fn row(book: &Book, characteristic: &Characteristic, check: &Check) -> String {
    let row = &check.row;
    let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
    let before = match row.word {
        None => String::new(),
        Some(RowWord::Each) => "each: ".to_string(),
        Some(RowWord::Collect(collector)) => format!("{} of: ", collector.word()),
    };
    let unit = judged_in(row, unit);
    let mut told = Vec::new();
    for (tier, text, worked) in [
        ("standard", tier(book, (&row.standard, &check.standard), &unit), &check.standard),
        (row.limit_word(), tier(book, (&row.limit, &check.limit), &unit), &check.limit),
    ] {
        let (Some(text), Some(worked)) = (text, worked) else { continue };
        // "all the same across rotor" says all there is to say.
        told.push(if matches!(worked, CheckRange::Same) { text } else { format!("{tier} {text}") });
    }
    if let Some(rounding) = &row.rounded {
        told.push(format!("rounded to {}", folded(rounding.place.text())));
    }
    let condition = row.condition.as_ref().map_or(String::new(), |condition| format!(" where {}", condition.words()));
    let advisory = if row.advisory { ", advisory" } else { "" };
    let never = if row.never_excused { ", never excused" } else { "" };
    format!("{before}{}{condition}{advisory}{never}", told.join(", "))
}

/// The unit of what a row judges, of values in a unit.
fn judged_in(row: &Row, unit: Unit) -> Unit {
    match row.word {
        Some(RowWord::Collect(Collector::Count)) => Unit::number(),
        Some(RowWord::Collect(Collector::Spread)) => unit.difference(),
        _ => unit,
    }
}

/// One range of a row as its book writes it, with the ends that the generation's constants decide.
fn tier(book: &Book, (range, worked): (&Option<Range>, &Option<CheckRange>), unit: &Unit) -> Option<String> {
    let (range, worked) = (range.as_ref()?, worked.as_ref()?);
    Some(format!("{}{}", folded(range.place.text()), ends(book, range, worked, unit)))
}

/// The standard range and the limit of a check in words, as its book writes them.
#[must_use]
pub fn ranges(book: &Book, check: &Check) -> [Option<String>; 2] {
    let row = &check.row;
    let unit = book.characteristics.get(row.subject.characteristic).unit.clone().unwrap_or_else(Unit::number);
    let unit = judged_in(row, unit);
    [tier(book, (&row.standard, &check.standard), &unit), tier(book, (&row.limit, &check.limit), &unit)]
}

/// The ends of a range whose text does not show them, but which the generation's constants decide: ` (8.7 to 9.3)`.
fn ends(book: &Book, range: &Range, worked: &CheckRange, unit: &Unit) -> String {
    match worked {
        CheckRange::Known(band) if range.fit || is_worked_out(book, range) => format!(" ({})", words(band, unit)),
        _ => String::new(),
    }
}

/// Whether a range is written as a calculation. Names are letters and digits between other signs, as the grammar has them.
fn is_worked_out(book: &Book, range: &Range) -> bool {
    let text = folded(range.place.text());
    let mut names = text.split(|letter: char| !(letter.is_alphanumeric() || letter == '_'));
    [" * ", " / ", " - ", "("].iter().any(|sign| text.contains(sign))
        || text.contains(" + ")
        || names.any(|name| name == "pi" || book.constants.iter().any(|constant| *constant.name == *name))
}

fn words(band: &Band, unit: &Unit) -> String {
    /// Places for an end that no decimal gives exactly, and the most for one that does.
    const PLACES: (u32, u32) = (4, 6);
    let places = |value: &Value| {
        let exact = unit.from_base(value).is_exact_rational().and_then(Number::decimal_places);
        exact.map_or(PLACES.0, |places| places.min(PLACES.1))
    };
    let at = |end: &End| shown(&end.value, unit, places(&end.value));
    match (&band.low, &band.high) {
        (Some(low), Some(high)) if low.value == high.value => format!("exactly {}", at(low)),
        (Some(low), Some(high)) => {
            let places = places(&low.value).max(places(&high.value));
            let bare = shown(&low.value, unit, places);
            let bare = bare.strip_suffix(&*unit.symbol).unwrap_or(&bare).trim_end();
            format!("{bare} to {}", shown(&high.value, unit, places))
        }
        (Some(low), None) => format!("{} {}", if low.closed { "at least" } else { "above" }, at(low)),
        (None, Some(high)) => format!("{} {}", if high.closed { "at most" } else { "below" }, at(high)),
        (None, None) => "anything".to_string(),
    }
}

/// A text of a book on one line. A comment at the end of a line is no part of a formula.
pub(super) fn folded(text: &str) -> String {
    let code = text.lines().map(|line| line.split_once('#').map_or(line, |(before, _)| before));
    code.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
}
