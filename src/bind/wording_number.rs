//! Every sentence of the room `bind` about numbers and their units.

use super::number::Trouble;
use super::walk::Binder;
use super::wording::{short, subject};
use crate::book::Characteristic;
use crate::finding::{Code, Finding, did_you_mean, nearest};
use crate::quantity::{Number, NumberErrorKind};
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

/// The unit behind a number that was mended, with the blank before it: after the blank, or what the text ends with.
fn unit_after(first: &str, rest: &str, kind: NumberErrorKind) -> String {
    let after_digits = || first.rfind(|letter: char| letter.is_numeric()).and_then(|at| first.get(at..));
    let close = after_digits().map_or("", |rest| rest.trim_start_matches(char::is_numeric));
    let unit = match rest.trim() {
        // Digits in another base end in letters themselves.
        "" if kind == NumberErrorKind::Hexadecimal => "",
        "" => close,
        rest if rest.starts_with(char::is_numeric) => "",
        rest => rest,
    };
    if unit.is_empty() { String::new() } else { format!(" {}", short(unit)) }
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
            let (first, rest) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
            // A minus of another keyboard is known only where the number stands alone.
            let mended = error.mended.or_else(|| Number::parse_prefix(first).err().and_then(|error| error.mended));
            let help = match (&mended, error.kind) {
                (Some(mended), kind) => Some(format!("write `{mended}{}`", unit_after(first, rest, kind))),
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
        Trouble::AfterRatio => {
            Finding::new(Code::NumberUnreadable, format!("{what}: `{written}` goes on after the ratio"))
                .at(whole, "more than a ratio")
                .help("a ratio is two numbers and nothing else: `9:1`")
        }
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
                let remark = unit.split_once(' ').filter(|(first, _)| binder.book.units.find(first).is_some());
                finding.help(match (remark, did_you_mean(near)) {
                    (Some((first, _)), _) => {
                        let number = text.get(..at).unwrap_or("").trim();
                        format!("write `{} {first}` alone; what else there is to say goes in `note`", short(number))
                    }
                    (None, Some(mean)) => mean,
                    (None, None) => "check the spelling; units are declared in the books".into(),
                })
            }
        }
        Trouble::Dimension { at, found, needed, expected } => {
            let unit = text.get(at..).unwrap_or("");
            // What stands behind a `±` has a unit of its own.
            let unit = unit.split_once('±').or_else(|| unit.split_once("+/-")).map_or(unit, |(unit, _)| unit).trim();
            let expected = if expected.is_empty() { String::new() } else { format!(" ({expected})") };
            Finding::new(
                Code::DimensionWrong,
                format!("{what}: `{written}` is {}, and {}{expected} is needed", found.words(), needed.words()),
            )
            .at(from(at, unit.len()), "another dimension")
            .help("check the unit, and that the reading stands under the right key")
        }
    }
}
