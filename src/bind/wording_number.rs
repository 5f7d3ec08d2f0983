//! Every sentence of the room `bind` about numbers and their units.

use super::number::Trouble;
use super::walk::Binder;
use super::wording::{short, subject};
use crate::book::Characteristic;
use crate::finding::{Code, Finding, did_you_mean, nearest};
use crate::quantity::NumberErrorKind;
use crate::record::ScalarNode;
use crate::text::Span;

/// What is wrong with a number or its unit, said of a reading.
pub(super) fn number_trouble(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    station: Option<usize>,
    trouble: Trouble,
    scalar: ScalarNode<'_>,
) -> Finding {
    let finding = plain_trouble(binder, &subject(binder, characteristic, station), trouble, scalar);
    finding.since(characteristic.place.clone(), "declared here")
}

/// What is wrong with a number or its unit.
pub(super) fn plain_trouble(binder: &Binder<'_>, what: &str, trouble: Trouble, scalar: ScalarNode<'_>) -> Finding {
    let text = scalar.text();
    let written = short(text.trim());
    let whole = binder.place(scalar.span());
    // Where the text stands in the file as it is, a part of it can be pointed at.
    let from = |at: usize, length: usize| match scalar.text_span() {
        Some(span) => {
            let start = span.start as usize + at;
            binder.place(Span::new(start, (start + length).min(span.end as usize)))
        }
        None => binder.place(scalar.span()),
    };
    match trouble {
        Trouble::Number(error) => {
            let reason = match error.kind {
                NumberErrorKind::Empty => "there is no number",
                NumberErrorKind::TooLong => "it has more digits than anything is measured to",
                NumberErrorKind::Exponent => "numbers are written out, without an exponent",
                NumberErrorKind::Hexadecimal => "numbers are written in tens",
                NumberErrorKind::Separator => "digits are written without separators",
                NumberErrorKind::DecimalComma => "the decimal sign is a point",
                NumberErrorKind::FullWidth => "its digits are full-width letters",
                NumberErrorKind::PointTwice => "it has two decimal points",
                NumberErrorKind::NotANumber => "it does not begin with a number",
            };
            let help = match (&error.mended, error.kind) {
                (Some(mended), _) => {
                    let unit = text.trim_start_matches(|letter: char| !letter.is_whitespace()).trim();
                    let unit = if unit.is_empty() || unit.chars().any(char::is_numeric) {
                        String::new()
                    } else {
                        format!(" {unit}")
                    };
                    Some(format!("write `{mended}{unit}`"))
                }
                (None, NumberErrorKind::TooLong) => Some("write as many digits as the gauge shows".into()),
                (None, _) => Some("write the number first, then its unit: `79.87 mm`".into()),
            };
            Finding::new(Code::NumberUnreadable, format!("{what}: `{written}` cannot be read as a number: {reason}"))
                .at(whole, "not a number")
                .maybe_help(help)
        }
        Trouble::Fraction => {
            Finding::new(Code::NumberUnreadable, format!("{what}: `{written}` cannot be read as one number"))
                .at(whole, "more than one")
                .help("write a decimal: `1.250 in`; several readings go in a list: `[…, …]`")
        }
        Trouble::Ratio => Finding::new(
            Code::NumberUnreadable,
            format!("{what}: `{written}` is a ratio, and a quantity with a unit is needed"),
        )
        .at(whole, "a ratio")
        .help("write the number and its unit"),
        Trouble::RatioToZero => Finding::new(Code::NumberUnreadable, format!("{what}: a ratio to zero has no value"))
            .at(whole, "divides by zero"),
        Trouble::NoUnit { expected } => {
            let finding =
                Finding::new(Code::UnitMissing, format!("{what}: `{written}` has no unit")).at(whole, "no unit");
            if expected.is_empty() {
                finding.help("write the unit after the number")
            } else {
                finding.help(format!(
                    "the book expects {expected}: write `{written} {expected}`, or the unit it was measured in"
                ))
            }
        }
        Trouble::Unit(at, error) => {
            let unit = text.get(at..).unwrap_or("").trim();
            let part = unit.get(error.part.clone()).unwrap_or(unit);
            let near = error.nearest.as_deref().or_else(|| nearest(part, binder.book.units.names()));
            let place = from(at + error.part.start, error.part.len());
            let finding = Finding::new(Code::UnitUnknown, format!("{what}: no unit is called `{}`", short(part)))
                .at(place, "not a unit");
            if error.point {
                finding.help("a scale such as degC cannot be part of a larger unit; a difference is in K")
            } else {
                finding.maybe_help(
                    did_you_mean(near).or_else(|| Some("check the spelling; units are declared in the books".into())),
                )
            }
        }
        Trouble::Dimension { at, found, needed, expected } => {
            let unit = text.get(at..).unwrap_or("").trim();
            let expected = if expected.is_empty() { String::new() } else { format!(" ({expected})") };
            Finding::new(
                Code::DimensionWrong,
                format!("{what}: `{written}` is {}, and {}{expected} is needed", found.words(), needed.words()),
            )
            .at(from(at, unit.len()), "wrong kind of unit")
            .help("check the unit, and that the reading stands under the right key")
        }
    }
}
