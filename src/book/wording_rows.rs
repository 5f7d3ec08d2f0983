//! Every sentence of the room `book` about parts, ranges and rows.

use super::{Book, Constant, Generation, Id, NameSet, Part, Row};
use crate::finding::{Code, Finding, list, nearest};
use crate::quantity::{Band, Dimension, Unit, Value, shown};
use crate::text::{Place, Source};

pub(super) fn no_root(place: Place) -> Finding {
    Finding::new(Code::RootPart, "no book declares the parts of the machine")
        .at(place, "no parts yet")
        .help("`use` the book that declares them, or declare `part NAME { … }` for the whole machine")
}

pub(super) fn second_root(name: &str, place: Place, first: &Place) -> Finding {
    Finding::new(Code::RootPart, format!("`{name}` would be a second whole machine"))
        .at(place, "second one")
        .since(first.clone(), "the first one")
        .help("put this part inside the other, or leave one of the two books out")
}

pub(super) fn root_with_positions(name: &str, place: Place) -> Finding {
    Finding::new(Code::RootPart, format!("`{name}` is the whole machine, and a record is about one machine"))
        .at(place, "no positions here")
        .help("remove the positions; give them to the parts inside")
}

pub(super) fn position_run(first: u16, last: u16, place: Place) -> Finding {
    let finding = Finding::new(Code::PositionUnknown, format!("positions {first} to {last} cannot be counted out"));
    if first > last {
        finding.at(place, "runs backwards").help(format!("write `{last} to {first}`"))
    } else {
        finding.at(place, "too many").help("a part has at most 1000 positions")
    }
}

pub(super) fn position_twice(name: &str, place: Place) -> Finding {
    Finding::new(Code::NameTaken, format!("the position `{name}` is declared twice"))
        .at(place, "second time")
        .help("name each position once")
}

pub(super) fn position_unknown(book: &Book, part: Id<Part>, name: &str, place: Place) -> Finding {
    let part = book.parts.get(part);
    let positions = part.positions.iter().map(|name| &**name);
    let help = if part.positions.is_empty() {
        format!("there is only one {}: it has no positions", part.name)
    } else {
        match nearest(name, positions.clone()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => {
                format!("{} is at {}; another position needs `extend {0} at {name}`", part.name, list(positions, "and"))
            }
        }
    };
    Finding::new(Code::PositionUnknown, format!("{} has no position `{name}`", part.name))
        .at(place, "no such position")
        .since(part.place.clone(), "declared here")
        .help(help)
}

pub(super) fn extend_single(name: &str, place: Place) -> Finding {
    Finding::new(Code::PositionUnknown, format!("{name} has no positions to add to"))
        .at(place, "only one")
        .help(format!("declare its positions where it is declared: `part {name} at …`"))
}

pub(super) fn no_readings(place: Place) -> Finding {
    Finding::new(Code::RangeEmpty, "a reading must be taken at least once")
        .at(place, "none at all")
        .help("write `optional` if it may be left out")
}

pub(super) fn too_many_slots(most: usize, place: Place) -> Finding {
    Finding::new(Code::BookTooComplex, format!("the parts have more than {most} readings and derived values in all"))
        .at(place, "past the end")
        .help("check the numbers of positions: nested parts multiply")
}

pub(super) fn constant_missing(book: &Book, id: Id<Constant>, generation: Option<&str>, place: Place) -> Finding {
    let constant = book.constants.get(id);
    let name = &constant.name;
    match generation {
        Some(generation) => {
            Finding::new(Code::ConstantMissing, format!("generation {generation} has no value for {name}"))
                .at(place, format!("needs {name}"))
                .since(constant.place.clone(), "the constant")
                .help(format!("add `constant {name} = …` to generation {generation}"))
        }
        None => Finding::new(
            Code::ConstantMissing,
            format!("{name} is a constant of a generation, and this is outside any"),
        )
        .at(place, "no generation here")
        .since(constant.place.clone(), "the constant"),
    }
}

pub(super) fn constant_undeclared(name: &str, place: Place) -> Finding {
    Finding::new(Code::NameUnknown, format!("no book says what kind of value {name} is"))
        .at(place, "not declared")
        .help(format!("declare it at the top of a book: `constant {name} : mm`, with its own unit"))
}

pub(super) fn all_the_same_in_condition(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "`all the same across` is a row of its own, not a condition")
        .at(place, "not here")
        .help("write it as a row: `PATH all the same across PART`")
}

pub(super) fn text_judged(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "free words cannot be judged")
        .at(place, "nothing to compare")
        .help("declare the reading as a choice if there are only a few answers")
}

pub(super) fn range_not_yes_no(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "this is yes or no, and the range is neither")
        .at(place, "not yes or no")
        .help("write `yes` or `no`")
}

pub(super) fn range_empty_names(place: Place) -> Finding {
    Finding::new(Code::RangeEmpty, "no name can be in this range")
        .at(place, "empty")
        .help("the order is the one the class is declared in: the first is the smallest")
}

pub(super) fn set_not_ordered(book: &Book, set: Id<NameSet>, place: Place) -> Finding {
    let set = book.sets.get(set);
    let name = set.name.as_deref().unwrap_or("this choice");
    let example = list(set.names.iter().map(|name| &**name).take(2), "or");
    Finding::new(Code::KindMismatch, format!("{name} is a choice, and its names are in no order"))
        .at(place, "needs an order")
        .since(set.place.clone(), "declared here")
        .help(format!("list the names that are right, such as `{example}`, or declare it as a class"))
}

pub(super) fn range_not_names(book: &Book, set: Id<NameSet>, place: Place) -> Finding {
    let set = book.sets.get(set);
    Finding::new(
        Code::KindMismatch,
        format!("a name is needed here: {}", list(set.names.iter().map(|name| &**name), "or")),
    )
    .at(place, "not a name")
    .since(set.place.clone(), "declared here")
    .help("write the name as it is declared, without a number or a unit")
}

pub(super) fn range_not_numbers(dimension: Dimension, place: Place, source: &Source) -> Finding {
    let written = source.slice(place.span).to_string();
    Finding::new(Code::KindMismatch, format!("{} is needed here, and `{written}` is a name", dimension.words()))
        .at(place, "not a quantity")
        .help(format!(
            "to compare with a constant write `exactly {written}`, `at least {written}` or `at most {written}`"
        ))
}

pub(super) fn row_word_idle(path: &str, place: Place) -> Finding {
    Finding::new(Code::OneValue, format!("{path}: there is one value at each position, so nothing to collect"))
        .at(place, "not needed")
        .help("leave the word out; a row already holds at every position")
}

pub(super) fn row_needs_word(path: &str, place: Place, declared: &Place) -> Finding {
    Finding::new(Code::ManyValues, format!("{path} is taken several times, and a row judges one value"))
        .at(place, "several values")
        .since(declared.clone(), "declared here")
        .help(format!(
            "say which: `each of {path}` judges every one; or `smallest of`, `largest of`, `mean of` or `spread of`"
        ))
}

pub(super) fn row_without_range(path: &str, place: Place) -> Finding {
    Finding::new(Code::RowWithoutRange, format!("{path}: the row does not say what it may be"))
        .at(place, "no range")
        .help("add `standard …`, `limit …` or both")
}

pub(super) fn across_elsewhere(book: &Book, across: Id<Part>, path: &str, place: Place) -> Finding {
    let name = &book.parts.get(across).name;
    Finding::new(Code::KindMismatch, format!("{path} is not measured on a {name}"))
        .at(place, "another part")
        .help(format!("name the part whose positions are compared, one that {path} belongs to"))
}

/// A row or telltale, as `what` says, on a position that the generation does not have.
pub(super) fn line_not_fitted(
    book: &Book,
    (part, position): (Id<Part>, u16),
    (what, path, place): (&str, &str, &Place),
    generation: &Generation,
) -> Finding {
    let part = book.parts.get(part);
    let name = part.positions.get(usize::from(position)).map_or("", |name| name);
    Finding::new(
        Code::PositionUnknown,
        format!("{path}: generation {} has no {} at {name}", generation.name, part.name),
    )
    .at(place.clone(), "not fitted")
    .since(generation.place.clone(), "the generation")
    .help(format!("add {name} to `fitted {} at …`, or leave the {what} out", part.name))
}

pub(super) fn range_empty(path: &str, place: Place, generation: &Generation, row: &Row) -> Finding {
    let help = turned(place.text()).map_or_else(
        || "the smaller value comes first; no value is both below and above the same number".to_string(),
        |turned| format!("the smaller value comes first: `{turned}`"),
    );
    let finding =
        Finding::new(Code::RangeEmpty, format!("{path}: nothing can be in this range")).at(place, "empty").help(help);
    if row.history.iter().any(|change| change.by == generation.name) {
        finding
    } else {
        finding.since(generation.place.clone(), "in this generation")
    }
}

/// `5 to 3 mm` the other way round, where both ends are plain numbers.
fn turned(written: &str) -> Option<String> {
    let (high, low) = written.split_once(" to ")?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let (number, unit) = low.split_once(' ').unwrap_or((low, ""));
    if !digits(number) || unit.contains(' ') {
        return None;
    }
    match high.split_once(' ') {
        Some((high_number, high_unit)) if digits(high_number) && high_unit == unit => Some(format!("{low} to {high}")),
        None if digits(high) => Some(format!("{number} to {high} {unit}").trim_end().to_string()),
        _ => None,
    }
}

/// A value in words, in a unit, with the digits it takes: "0.10 mm".
pub(super) fn value_words(value: &Value, unit: Option<&Unit>) -> String {
    value_words_to(value, unit, 0)
}

/// Two values in words, with as many digits as the finer of them takes: "0.10" and "0.125" mm.
pub(super) fn values_words(one: &Value, other: &Value, unit: Option<&Unit>) -> (String, String) {
    let places = places_of(one, unit).max(places_of(other, unit));
    (value_words_to(one, unit, places), value_words_to(other, unit, places))
}

fn value_words_to(value: &Value, unit: Option<&Unit>, least: u32) -> String {
    let plain = Unit::number();
    shown(value, unit.unwrap_or(&plain), places_of(value, unit).max(least))
}

/// The decimals that a value in a unit takes; four where it has no end.
fn places_of(value: &Value, unit: Option<&Unit>) -> u32 {
    let plain = Unit::number();
    let unit = unit.unwrap_or(&plain);
    let places = (0..12).find(|places| {
        let factor = crate::quantity::Number::from_integer(10).power(*places).unwrap_or_default();
        unit.from_base(value).is_exact_rational().is_some_and(|number| (number * &factor).is_integer())
    });
    u32::from(places.unwrap_or(4).unsigned_abs())
}

/// A band in words, in a unit: "0.10 mm or more", "0.12 to 0.21 mm".
pub(super) fn band_words(band: &Band, unit: Option<&Unit>) -> String {
    let say = |value: &Value| value_words(value, unit);
    match (&band.low, &band.high) {
        (Some(low), Some(high)) => format!("{} to {}", say(&low.value), say(&high.value)),
        (Some(low), None) => format!("{} or more", say(&low.value)),
        (None, Some(high)) => format!("{} or less", say(&high.value)),
        (None, None) => "anything".into(),
    }
}

pub(super) fn standard_outside_limit(
    row: &Row,
    standard: (&Place, &Band),
    limit: (&Place, &Band),
    unit: Option<&Unit>,
) -> Finding {
    let finding = Finding::new(
        Code::StandardOutsideLimit,
        format!(
            "{}: a new part may be {}, and a worn one only {}",
            row.path,
            band_words(standard.1, unit),
            band_words(limit.1, unit)
        ),
    );
    // A shop's new limit past a standard it left as it was: its own line is the one to mend.
    let within = |place: &Place| {
        place.source == row.place.source && row.place.span.range().contains(&(place.span.start as usize))
    };
    if row.history.len() > 1 && within(limit.0) && !within(standard.0) {
        return finding
            .at(limit.0.clone(), "inside the standard")
            .since(standard.0.clone(), "the standard")
            .help("say the new standard as well, inside this limit: `standard … limit …`");
    }
    finding
        .at(standard.0.clone(), "reaches past limit")
        .since(limit.0.clone(), "the limit")
        .help("the standard range must lie inside the limit: one of the two has a slip")
}

pub(super) fn standard_names_outside_limit(row: &Row, standard: &Place, limit: &Place) -> Finding {
    Finding::new(Code::StandardOutsideLimit, format!("{}: a new part may be what a worn one may not", row.path))
        .at(standard.clone(), "reaches past limit")
        .since(limit.clone(), "the limit")
        .help("name in `limit` everything that `standard` allows, and more")
}

/// `advisory` beside a word that says the row binds.
pub(super) fn force_contradicted(path: &str, word: &str, advisory: Place, binding: Place) -> Finding {
    let help = if word == "outer limit" {
        "take `advisory` out; the row beside the outer limit is the one that may advise"
    } else {
        "take one of the two out: an advisory row fails no build, so there is nothing to excuse"
    };
    Finding::new(Code::ForceContradicted, format!("{path}: `{word}` binds, so the row cannot be `advisory` as well"))
        .at(advisory, "contradicts")
        .since(binding, "binds")
        .help(help)
}

pub(super) fn replace_nothing(path: &str, others: &[&Row], word: Place, place: Place) -> Finding {
    let mut finding = Finding::new(Code::ReplaceNothing, format!("{path}: there is no such row to replace"))
        .at(word, "replaces nothing");
    let help = match others.first() {
        Some(other) => {
            finding = finding.since(other.place.clone(), "a similar row");
            "a row is replaced by one with the same path, the same word before it and the same `where`".to_string()
        }
        None => format!("leave `replace` out: `{}`", place.text().trim_start_matches("replace").trim()),
    };
    finding.help(help)
}

pub(super) fn override_silent(path: &str, generation: &str, old: &Row, place: Place) -> Finding {
    Finding::new(
        Code::OverrideSilent,
        format!("{path}: generation {generation} inherits this row and declares it again"),
    )
    .at(place, "changes it silently")
    .since(old.place.clone(), "inherited from here")
    .help(format!("write `replace {path} …` if it is meant to differ, or remove the row"))
}

pub(super) fn row_twice(path: &str, place: Place, first: &Place) -> Finding {
    Finding::new(Code::RowTwice, format!("{path} has two rows in one generation"))
        .at(place, "second row")
        .since(first.clone(), "first row")
        .help("remove one, or say with `where` when each applies")
}
