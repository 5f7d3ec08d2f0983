//! The units and decimals a row's ranges are printed with. Refuses to read what is calculated, since nobody printed it.

use crate::book::{Book, Range, Row};
use crate::quantity::{Number, Unit};
use std::cmp::Ordering;

/// Decimal points are not moved further than this between two units.
const MOST_PLACES: u32 = 15;

/// What a row's ranges are printed in.
#[derive(Clone, Debug)]
pub(super) struct Printed {
    /// Their unit.
    pub(super) unit: Unit,
    /// The most decimals of their numbers.
    pub(super) decimals: u8,
    /// The units they are printed in besides, after `also`.
    also: Vec<Unit>,
}

impl Printed {
    /// What both ranges of a row are printed in; `None` if one is calculated, has no unit, or has another unit than the other.
    pub(super) fn of(book: &Book, row: &Row) -> Option<Printed> {
        let mut printed: Option<Printed> = None;
        for range in [&row.standard, &row.limit].into_iter().flatten() {
            let one = one(book, range)?;
            printed = match printed {
                None => Some(one),
                Some(before) if before.unit.measures_as(&one.unit) => Some(Printed {
                    decimals: before.decimals.max(one.decimals),
                    also: before.also.into_iter().filter(|unit| one.has(unit)).collect(),
                    unit: before.unit,
                }),
                Some(_) => return None,
            };
        }
        printed
    }

    /// Whether a number in this unit stands beside the printed ones without a conversion.
    pub(super) fn has(&self, unit: &Unit) -> bool {
        std::iter::once(&self.unit).chain(&self.also).any(|one| same_but_for_the_point(one, unit))
    }
}

/// Whether numbers in both units have the same digits: millimetres and micrometres, inches and thousandths.
pub(super) fn same_but_for_the_point(one: &Unit, other: &Unit) -> bool {
    if one.dimension != other.dimension || one.zero != other.zero {
        return false;
    }
    let ratio = one.size.divide(&other.size);
    let Some(ratio) = ratio.as_ref().and_then(|ratio| ratio.is_exact_rational()) else { return false };
    let ten = Number::from_integer(10);
    let unity = Number::from_integer(1);
    let (mut up, mut down) = (ratio.clone(), unity.clone());
    for _ in 0..MOST_PLACES {
        if up == unity || down == *ratio {
            return true;
        }
        // A ratio below one grows to it; one above is reached from one.
        if up.cmp(&unity) == Ordering::Less { up = &up * &ten } else { down = &down * &ten }
    }
    false
}

fn one(book: &Book, range: &Range) -> Option<Printed> {
    let (unit, decimals, left) = numbers(book, range.place.text());
    let unit = unit.filter(|_| left.is_empty() && !range.fit)?;
    // The pair of a printed pair follows its range, on the same line or the next.
    let after = range.place.source.text().get(range.place.span.end as usize..).unwrap_or_default().trim_start();
    let also = after.strip_prefix("also ").and_then(|text| numbers(book, text).0);
    Some(Printed { unit, decimals, also: also.into_iter().collect() })
}

/// The unit of the numbers a text begins with, their most decimals, and what is left where something else begins.
fn numbers<'t>(book: &Book, text: &'t str) -> (Option<Unit>, u8, &'t str) {
    const WORDS: [&str; 10] = ["to", "at", "least", "most", "above", "below", "exactly", "±", "+/-", "also"];
    let mut unit: Option<Unit> = None;
    let mut decimals = 0;
    let mut left = text.trim_start();
    while !left.is_empty() {
        let end = left.find(char::is_whitespace).unwrap_or(left.len());
        let (word, rest) = left.split_at(end);
        if !WORDS.contains(&word) {
            let bare = word.trim_start_matches(['+', '-', '±']);
            let digits = bare.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(bare.len());
            let (number, name) = bare.split_at(digits);
            if !number.is_empty() {
                let places = number.split_once('.').map_or(0, |(_, places)| places.len());
                decimals = decimals.max(u8::try_from(places).unwrap_or(u8::MAX));
            }
            let name = name.trim_matches('"');
            if !name.is_empty() {
                match book.units.resolve(name) {
                    Ok(found) if unit.as_ref().is_none_or(|unit| unit.measures_as(&found)) => {
                        unit = Some(found.into_owned())
                    }
                    _ => return (unit, decimals, left),
                }
            }
        }
        left = rest.trim_start();
    }
    (unit, decimals, left)
}
