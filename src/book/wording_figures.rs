//! Every sentence of the room `book` about tables, telltales, printed pairs, expansion and rounding.

use super::printed_pair::PrintedEnd;
use super::{Rounding, Table, Telltale};
use crate::finding::{Code, Finding};
use crate::quantity::{Dimension, Number, Unit, Value, shown};
use crate::text::Place;

pub(super) fn table_order(name: &str, place: Place, before: Place) -> Finding {
    Finding::new(Code::TableOrder, format!("table {name}: each point must lie above the one before it"))
        .at(place, "does not rise")
        .since(before, "the point before")
        .help("put the points in rising order, each once, or correct the figure that is out of line")
}

pub(super) fn table_too_short(name: &str, place: Place) -> Finding {
    Finding::new(Code::TableOrder, format!("table {name}: one point does not make a line"))
        .at(place, "the only point")
        .help("give it at least two points: `X: Y, X: Y`")
}

/// "speed 180 rpm is outside the table cranking_share, which runs from 200 to 300 rpm".
#[must_use]
pub fn outside_table(table: &Table, value: &Value) -> String {
    let plain = Unit::number();
    let unit = table.takes_in.as_ref().unwrap_or(&plain);
    let say = |value: &Value, most: u32| {
        let places = unit.from_base(value).is_exact_rational().and_then(Number::decimal_places);
        shown(value, unit, places.map_or(most, |places| places.min(6)))
    };
    let ends = (table.points.first(), table.points.last());
    let (Some((first, _)), Some((last, _))) = ends else { return format!("the table {} has no points", table.name) };
    // One unit serves both ends: the first is said without it.
    let first = say(first, 2);
    let first = first.strip_suffix(&*unit.symbol).unwrap_or(&first).trim_end();
    format!(
        "{} {} is outside the table {}, which runs from {first} to {}",
        table.parameter.replace('_', " "),
        say(value, 4),
        table.name,
        say(last, 2)
    )
}

pub(super) fn outside_table_known(table: &Table, value: &Value, place: Place) -> Finding {
    Finding::new(Code::ArithmeticImpossible, outside_table(table, value))
        .at(place, "outside the table")
        .since(table.place.clone(), "the table")
        .help("correct the value, add points, or end the table with `held` if its ends hold outside it")
}

pub(super) fn telltale_replaces_nothing(telltale: &Telltale, word: Place) -> Finding {
    Finding::new(Code::ReplaceNothing, format!("{}: there is no such telltale to replace", telltale.path))
        .at(word, "replaces nothing")
        .help("leave `replace` out, or check the path")
}

pub(super) fn telltale_silent(telltale: &Telltale, generation: &str, old: &Telltale) -> Finding {
    let path = &telltale.path;
    Finding::new(
        Code::OverrideSilent,
        format!("{path}: generation {generation} inherits this telltale and declares it again"),
    )
    .at(telltale.place.clone(), "changes it silently")
    .since(old.place.clone(), "inherited from here")
    .help(format!("write `replace telltale {path} …` if it is meant to differ, or remove it"))
}

pub(super) fn telltale_twice(telltale: &Telltale, first: &Telltale) -> Finding {
    Finding::new(Code::RowTwice, format!("{} has two telltales in one generation", telltale.path))
        .at(telltale.place.clone(), "second telltale")
        .since(first.place.clone(), "first telltale")
        .help("remove one, or make one range of the two")
}

pub(super) fn telltale_tells_no_value(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "a telltale tells one value of a reading, and this condition does not name one")
        .at(place, "not one value of a reading")
        .help("name a reading of names on the same part or a part around it, and one value: `where casting is late`")
}

pub(super) fn telltale_empty(telltale: &Telltale) -> Finding {
    Finding::new(Code::RangeEmpty, format!("{}: nothing can be in this range", telltale.path))
        .at(telltale.range.place.clone(), "empty")
        .help("the smaller value comes first; no value is both below and above the same number")
}

pub(super) fn pair_not_plain(place: Place) -> Finding {
    Finding::new(
        Code::KindMismatch,
        "a printed pair is two ranges of plain numbers with their units, and this is not one",
    )
    .at(place, "not plain numbers")
    .help("write both ranges as their source prints them, or leave `also` out")
}

pub(super) fn pair_sides((range, also): (Place, Place), (low, high): (bool, bool)) -> Finding {
    let side = match (low, high) {
        (true, false) => "a minimum",
        (false, true) => "a maximum",
        _ => "two ends",
    };
    Finding::new(
        Code::PrintedPair,
        format!(
            "`{}` has {side}, and the range printed beside it has not: one of the two is misprinted",
            folded(&range)
        ),
    )
    .at(also, "different ends")
    .since(range, side)
    .help("look the pair up in its source and correct one of the two, or leave `also` out and say why in `from`")
}

pub(super) fn pair_words((range, also): (Place, Place), closed: bool) -> Finding {
    let (first, second) =
        if closed { ("belongs to", "does not belong to") } else { ("does not belong to", "belongs to") };
    Finding::new(
        Code::PrintedPair,
        format!(
            "the end itself {first} `{}` and {second} `{}`: one of the two is misprinted",
            folded(&range),
            folded(&also)
        ),
    )
    .at(also, "another word")
    .since(range, "the range")
    .help("use the same word in both: `at least` with `at least`, `above` with `above`")
}

pub(super) fn pair_apart(one: &PrintedEnd, other: &PrintedEnd, (at_one, at_other): (Place, Place)) -> Finding {
    let (first, second) = (one.printed(), other.printed());
    Finding::new(Code::PrintedPair, format!("{first} and {second} are printed as the same, and are not"))
        .at(at_other, "printed beside it")
        .since(at_one, "does not agree")
        .help(format!(
            "{first} would print as {}, and {second} as {}: look the pair up and correct one of the two, or leave `also` out",
            one.printed_like(other),
            other.printed_like(one)
        ))
}

/// What stands there, blanks folded.
fn folded(place: &Place) -> String {
    place.text().split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(super) fn expansion_dimension(found: Dimension, place: Place) -> Finding {
    let found = if found.is_number() { "a plain number".into() } else { found.words() };
    Finding::new(
        Code::DimensionMismatch,
        format!("an expansion is a length per length and kelvin, and this is {found}"),
    )
    .at(place, "not per kelvin")
    .help("write it as tables print it: `expansion 11.5 um/m/K ± 1 um/m/K`; 0.0000115 per kelvin is 11.5 um/m/K")
}

pub(super) fn expansion_twice(place: Place, first: &Place) -> Finding {
    Finding::new(Code::NameTaken, "the expansion of a part is declared twice")
        .at(place, "said again")
        .since(first.clone(), "said first")
        .help("keep one of the two")
}

pub(super) fn rounding_of_words(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "`rounded to` rounds numbers, and this row judges none")
        .at(place, "nothing to round")
        .help("take `rounded to` and its step out")
}

pub(super) fn rounding_of_sameness(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "`all the same` compares values as they were read, and rounds none")
        .at(place, "nothing to round")
        .help("take `rounded to` and its step out; to allow a little, judge a spread: `spread of … limit at most …`")
}

/// A range that no multiple of the step lies in.
pub(super) fn range_between_steps(path: &str, range: Place, rounding: &Rounding) -> Finding {
    let step = folded(&rounding.place);
    Finding::new(
        Code::RangeEmpty,
        format!("{path}: nothing rounded to {step} can be in this range, because no multiple of {step} lies in it"),
    )
    .at(range, "between two steps")
    .since(rounding.place.clone(), "the step")
    .help("write the ends as multiples of the step, or take a smaller step")
}

pub(super) fn rounding_dimension(found: Dimension, judged: Dimension, place: Place) -> Finding {
    let words = |dimension: Dimension| if dimension.is_number() { "a plain number".into() } else { dimension.words() };
    if found == judged {
        // Only a point on a scale is no step on it.
        return Finding::new(
            Code::DimensionMismatch,
            format!("the row judges {}, and a step on its scale is a difference", words(judged)),
        )
        .at(place, "not a difference")
        .help("write the step in kelvin, such as `rounded to 1 K`");
    }
    Finding::new(
        Code::DimensionMismatch,
        format!("the row judges {}, and the step it rounds to is {}", words(judged), words(found)),
    )
    .at(place, "another dimension")
    .help("write the step in a unit of what the row judges: for a length, such as `rounded to 0.01 mm`")
}

pub(super) fn rounding_to_nothing(place: Place) -> Finding {
    Finding::new(Code::RangeEmpty, "the step a row rounds to must be above zero")
        .at(place, "no step")
        .help("write the last digit that counts, such as `rounded to 0.01 mm`, or take it out")
}
