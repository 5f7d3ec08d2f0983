//! Every sentence of the room `book` about units, types, constants and bounds.

use super::wording::label;
use super::{Book, Constant};
use crate::finding::{Code, Finding, did_you_mean, nearest};
use crate::quantity::{Dimension, UnitError};
use crate::syntax::tree::{Expr, ExprKind};
use crate::text::{Place, Source, Span};

pub(super) fn unit_unknown(book: &Book, text: &str, error: &UnitError, source: &Source, span: Span) -> Finding {
    let start = span.start as usize;
    let part = Span::new(start + error.part.start, start + error.part.end);
    let unknown = text.get(error.part.clone()).unwrap_or(text);
    if error.point {
        return Finding::new(Code::UnitUnknown, format!("`{unknown}` is a scale and cannot be part of a larger unit"))
            .at(source.place(part), "a scale")
            .help("for a difference in temperature write K");
    }
    let minus = unknown.split_once('-').filter(|(unit, _)| book.units.find(unit).is_some());
    if let Some((unit, rest)) = minus.filter(|(_, rest)| book.units.find(rest).is_none()) {
        return Finding::new(Code::UnitUnknown, format!("there is no unit called `{unknown}`"))
            .at(source.place(part), "not a unit")
            .help(format!("put spaces around a minus: `{unit} - {rest}`"));
    }
    let near = near_unit(book, unknown, error.nearest.as_deref());
    Finding::new(Code::UnitUnknown, format!("there is no unit called `{unknown}`"))
        .at(source.place(part), "not a unit")
        .maybe_help(did_you_mean(near).or_else(|| Some(declare_help(unknown))))
}

pub(super) fn type_unknown(book: &Book, name: &str, error: &UnitError, source: &Source, span: Span) -> Finding {
    let sets = book.sets.iter().filter_map(|set| set.name.as_deref());
    let near = nearest(name, sets.chain(["number", "text", "yes/no"])).map(str::to_string);
    let near = near.or_else(|| near_unit(book, name, error.nearest.as_deref()).map(str::to_string));
    Finding::new(Code::UnitUnknown, format!("`{name}` is not a unit, class or choice"))
        .at(source.place(span), "unknown type")
        .maybe_help(
            did_you_mean(near.as_deref())
                .or_else(|| Some("a type is a unit such as mm, a class or choice, number, text or yes/no".into())),
        )
}

/// A unit that is meant, where that is sure: units have short names, and one letter makes another unit of them.
fn near_unit<'a>(book: &'a Book, written: &str, found: Option<&'a str>) -> Option<&'a str> {
    let known = |name: &str| book.units.names().find(|known| *known == name);
    let single = written.strip_suffix("es").and_then(known).or_else(|| written.strip_suffix('s').and_then(known));
    let degrees = written.strip_prefix('°').and_then(|scale| known(&format!("deg{scale}")));
    let near = found.or_else(|| nearest(written, book.units.names()));
    let sure = |near: &&str| written.chars().count() > 2 || near.eq_ignore_ascii_case(written);
    single.or(degrees).or_else(|| near.filter(sure))
}

fn declare_help(unknown: &str) -> String {
    if unknown == "%" {
        return "a share is a plain number, such as 1.1 for 110 %; or declare it: `unit \"%\" = 0.01`".into();
    }
    let plain = unknown.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
    let name = if plain { unknown.to_string() } else { format!("\"{unknown}\"") };
    format!("declare it: `unit {name} = …`, or check the spelling")
}

pub(super) fn type_not_quantity(place: Place) -> Finding {
    Finding::new(Code::KindMismatch, "a constant or formula is a number or a quantity")
        .at(place, "not a quantity")
        .help("give a unit such as mm, or number")
}

pub(super) fn unit_size(place: Place) -> Finding {
    Finding::new(Code::ArithmeticImpossible, "the size of a unit must be above zero, and cannot be a point on a scale")
        .at(place, "not a size")
}

pub(super) fn unit_zero(dimension: Dimension, place: Place) -> Finding {
    Finding::new(Code::DimensionMismatch, format!("the zero of a scale must be {}, as its unit is", dimension.words()))
        .at(place, "other dimension")
}

pub(super) fn unit_built_in(name: &str, place: Place) -> Finding {
    Finding::new(Code::NameTaken, format!("the unit `{name}` is built in"))
        .at(place, "already known")
        .help("remove the declaration, or give the unit another name")
}

pub(super) fn formula_too_complex(name: &str, place: Place) -> Finding {
    Finding::new(Code::BookTooComplex, format!("formula {name} unfolds into more steps than this program calculates"))
        .at(place, "too much work")
        .help("calculate the repeated part once, as a derived value or a constant")
}

pub(super) fn constant_dimension(constant: &Constant, found: Dimension, place: Place) -> Finding {
    Finding::new(
        Code::DimensionMismatch,
        format!("constant {} is {}, and this is {}", constant.name, constant.dimension.words(), found.words()),
    )
    .at(place, label(found))
    .since(constant.place.clone(), "declared here")
    .help(match (found.is_number(), &constant.unit) {
        (true, Some(unit)) => format!("write the unit after the number, such as {}", unit.symbol),
        _ => format!("give it as {}, or correct where the constant is declared", constant.dimension.words()),
    })
}

pub(super) fn bound_dimension(book: &Book, expr: &Expr, found: Dimension, needed: Dimension, place: Place) -> Finding {
    let written = place.text().to_string();
    // The unit the books measure such things in, before any other of the dimension.
    let used = book.characteristics.iter().filter_map(|characteristic| characteristic.unit.as_ref());
    let unit = used
        .chain(book.units.of_dimension(needed))
        .find(|unit| unit.dimension == needed)
        .map(|unit| unit.symbol.to_string())
        .unwrap_or_default();
    let bare = matches!(expr.kind, ExprKind::Number(_));
    let help = match (bare, needed.is_number()) {
        (true, false) if !unit.is_empty() => {
            Some(format!("write the unit: `{written} {unit}`, or whichever unit is meant"))
        }
        (false, true) => Some("write the number without a unit".into()),
        _ if !unit.is_empty() => Some(format!("a unit of {} is needed, such as {unit}", needed.name())),
        _ => None,
    };
    Finding::new(
        Code::DimensionMismatch,
        format!("{} is needed here, and `{written}` is {}", needed.words(), found.words()),
    )
    .at(place, label(found))
    .maybe_help(help)
}
