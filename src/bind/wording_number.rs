//! Every sentence of the room `bind` about numbers and their units.

use super::number::Trouble;
use super::unit_meant::meant;
use super::walk::Binder;
use super::wording::{short, subject};
use crate::book::{Characteristic, Kind};
use crate::finding::{Code, Finding, did_you_mean, nearest};
use crate::quantity::{Dimension, Number, NumberError, NumberErrorKind, Unit, UnitTable};
use crate::record::ScalarNode;
use crate::text::{Place, Span};

/// What a value is to be: a quantity of a dimension, in a unit the book declares.
#[derive(Clone, Copy)]
struct Needed<'b> {
    dimension: Dimension,
    unit: Option<&'b Unit>,
}

impl Needed<'_> {
    /// A text with the unit it lacks, and whether it lacked one; `None` where it would not be taken as it is.
    fn mended(self, units: &UnitTable, text: &str) -> Option<(String, bool)> {
        let fits = |text: &str| {
            let plain = self.dimension.is_number() && is_number_or_ratio(text);
            plain || units.quantity(text).is_some_and(|(_, unit)| unit.dimension == self.dimension)
        };
        if fits(text) {
            return Some((text.to_owned(), false));
        }
        let symbol = &self.unit.filter(|unit| !unit.symbol.is_empty())?.symbol;
        let with_unit = format!("{text} {symbol}");
        (Number::parse(text).is_ok() && fits(&with_unit)).then_some((with_unit, true))
    }
}

/// Whether a text is a plain number, or two with a colon between.
fn is_number_or_ratio(text: &str) -> bool {
    let number = |text: &str| Number::parse(text.trim_ascii()).is_ok();
    number(text) || text.split_once(':').is_some_and(|(first, second)| number(first) && number(second))
}

/// What is wrong with a number or its unit, said of a reading.
pub(super) fn number_trouble(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    station: Option<usize>,
    trouble: Trouble,
    scalar: ScalarNode<'_>,
) -> Finding {
    let needed = match characteristic.kind {
        Kind::Quantity(dimension) => Some(Needed { dimension, unit: characteristic.unit.as_ref() }),
        _ => None,
    };
    let finding = told(binder, &subject(binder, characteristic, station), needed, trouble, scalar);
    finding.since(characteristic.place.clone(), "declared here")
}

/// What is wrong with a number or its unit, where a quantity of a dimension is needed and no book says of which unit.
pub(super) fn trouble_with(
    binder: &Binder<'_>,
    what: &str,
    dimension: Dimension,
    trouble: Trouble,
    scalar: ScalarNode<'_>,
) -> Finding {
    told(binder, what, Some(Needed { dimension, unit: binder.units().of_dimension(dimension).next() }), trouble, scalar)
}

/// What is wrong with a number or its unit.
pub(super) fn plain_trouble(binder: &Binder<'_>, what: &str, trouble: Trouble, scalar: ScalarNode<'_>) -> Finding {
    told(binder, what, None, trouble, scalar)
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

/// "write `79.85 mm`", with what else it may be where the unit is only the usual one; `None` where that would not be taken.
fn write(units: &UnitTable, needed: Option<Needed<'_>>, text: &str) -> Option<String> {
    let Some(needed) = needed else {
        // Of a gauge's figure only the unit tells what it is.
        return units.quantity(text).map(|_| format!("write `{text}`"));
    };
    Some(match needed.mended(units, text)? {
        (text, false) => format!("write `{text}`"),
        (text, true) => format!("write `{text}`, or the unit it was measured in"),
    })
}

/// How a number and a unit look, for whoever wrote neither.
fn example(needed: Option<Needed<'_>>) -> String {
    match needed {
        Some(Needed { unit: Some(unit), .. }) if !unit.symbol.is_empty() => {
            format!("a number and a unit are needed, such as `12.5 {}`", unit.symbol)
        }
        Some(_) => "a number is needed, such as `12.5`".to_owned(),
        None => "a number and a unit are needed, such as `12.5 mm`".to_owned(),
    }
}

/// Help for a number that cannot be read.
fn number_help(units: &UnitTable, needed: Option<Needed<'_>>, error: &NumberError, text: &str) -> String {
    let (first, rest) = text.split_once(' ').unwrap_or((text, ""));
    // A minus of another keyboard is known only where the number stands alone.
    let mended = error.mended.clone().or_else(|| Number::parse_prefix(first).err().and_then(|error| error.mended));
    let unit = || unit_after(first, rest, error.kind);
    let help = mended.and_then(|mended| write(units, needed, &format!("{mended}{}", unit())));
    match (help, error.kind) {
        (Some(help), NumberErrorKind::DecimalComma) => format!("the comma is the decimal sign here: {help}"),
        (Some(help), _) => help,
        (None, NumberErrorKind::TooLong) => "write as many digits as the gauge shows".into(),
        // `1,234`: a thousand and more in one country, one and a bit in another.
        (None, NumberErrorKind::DecimalComma) => {
            let rest = if rest.is_empty() { String::new() } else { format!(" {rest}") };
            let number = first.trim_end_matches(|letter: char| !letter.is_ascii_digit());
            let close = first.get(number.len()..).unwrap_or("");
            let both =
                [number.replace(',', "."), number.replace(',', "")].map(|number| format!("{number}{close}{rest}"));
            let taken = both.clone().map(|text| needed.is_none_or(|needed| needed.mended(units, &text).is_some()));
            match (both, taken) {
                ([point, none], [true, true]) => format!("write `{point}` or `{none}`, whichever was measured"),
                _ => example(needed),
            }
        }
        (None, _) if stands_for_nothing(text) => format!("{NOT_MEASURED}; {}", example(needed)),
        (None, _) => example(needed),
    }
}

/// What to write where there is nothing to write down.
const NOT_MEASURED: &str = "if it cannot be read, write `unknown`; if it is still to be measured, leave it empty";

/// Whether a text is one of the words and signs that people put where they have no number.
fn stands_for_nothing(text: &str) -> bool {
    let word: String = text.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    ["", "na", "none", "nil", "no", "tbd", "tba", "notmeasured", "x", "xx", "xxx"].contains(&word.as_str())
}

/// What else a text says after a quantity: `mm (hot)`; `None` where it may be part of the quantity, as in `ft pounds` and `lb 9 oz`.
fn words_after<'t>(units: &UnitTable, needed: Option<Needed<'_>>, unit: &'t str) -> Option<&'t str> {
    let (first, rest) = unit.split_once(' ')?;
    let known = units.find(first).filter(|unit| needed.is_none_or(|needed| unit.dimension == needed.dimension))?;
    let plain = rest.split_whitespace().all(|word| {
        let word = word.trim_matches(|letter: char| !letter.is_alphanumeric());
        !word.contains(char::is_numeric) && units.quantity(&format!("1 {word}")).is_none()
    });
    (plain && !known.dimension.is_number()).then_some(first)
}

/// The units of what is needed, for whoever wrote one that does not exist.
fn known_units(units: &UnitTable, needed: Option<Needed<'_>>) -> String {
    const MOST: usize = 8;
    let Some(needed) = needed else { return "check the spelling of the unit".to_owned() };
    let symbols: Vec<&str> = units.of_dimension(needed.dimension).map(|unit| &*unit.symbol).collect();
    let more = if symbols.len() > MOST { ", …" } else { "" };
    let listed = symbols.into_iter().filter(|symbol| !symbol.is_empty()).take(MOST).collect::<Vec<_>>().join(", ");
    let kind = needed.dimension.words();
    let kind = kind.strip_prefix("a ").or_else(|| kind.strip_prefix("an ")).unwrap_or(&kind).to_owned();
    if listed.is_empty() { example(Some(needed)) } else { format!("known {kind} units: {listed}{more}") }
}

/// A value cut in two by its comma: what stands before, and the whole as it was meant.
fn cut_by_comma(binder: &Binder<'_>, needed: Option<Needed<'_>>, scalar: ScalarNode<'_>) -> Option<String> {
    let text = binder.source.text();
    let rest = text.get(scalar.span().end as usize..)?.strip_prefix(',')?;
    let line = rest.split('\n').next()?;
    let end = line.find([',', ']', '}', '#']).unwrap_or(line.len());
    let behind = line.get(..end)?.trim_end();
    let digit = |text: &str| text.starts_with(|letter: char| letter.is_ascii_digit());
    let goes_on = line.get(end..).and_then(|rest| rest.strip_prefix(',')).is_some_and(digit);
    if !digit(behind) || goes_on || scalar.text().contains('.') {
        return None;
    }
    let point = write(binder.units(), needed, &format!("{}.{behind}", scalar.text()))?;
    // `1,234`: three digits may be thousands.
    let three = behind.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(behind.len()) == 3;
    Some(if three {
        let none = write(binder.units(), needed, &format!("{}{behind}", scalar.text()))?;
        format!("{point}, or {none}, whichever was measured")
    } else {
        point
    })
}

/// Whether a value stands right behind a comma and a digit: the second half of a value that its comma cut in two.
fn behind_comma(binder: &Binder<'_>, scalar: ScalarNode<'_>) -> bool {
    let before = binder.source.text().get(..scalar.span().start as usize).and_then(|before| before.strip_suffix(','));
    before.is_some_and(|before| before.ends_with(|letter: char| letter.is_ascii_digit()))
}

/// What is wrong with a number or its unit.
fn told(
    binder: &Binder<'_>,
    what: &str,
    needed: Option<Needed<'_>>,
    trouble: Trouble,
    scalar: ScalarNode<'_>,
) -> Finding {
    let text = scalar.text();
    let units = binder.units();
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
                NumberErrorKind::Hexadecimal => "numbers are written in decimal",
                NumberErrorKind::Separator => "digits are written without separators",
                NumberErrorKind::DecimalComma => "the decimal sign is a point",
                NumberErrorKind::FullWidth => "its digits are full-width characters",
                NumberErrorKind::PointTwice => "it has two decimal points",
                NumberErrorKind::NotANumber => "it does not begin with a number",
            };
            Finding::new(Code::NumberUnreadable, format!("{what}: `{written}` cannot be read as a number: {reason}"))
                .at(whole, "not a number")
                .help(number_help(units, needed, &error, text.trim()))
        }
        Trouble::Fraction => fraction(units, what, needed, text.trim(), whole),
        Trouble::Ratio => Finding::new(
            Code::NumberUnreadable,
            format!("{what}: `{written}` is a ratio, and a quantity with a unit is needed"),
        )
        .at(whole, "a ratio")
        .help(example(needed)),
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
            if let Some(help) = cut_by_comma(binder, needed, scalar) {
                finding.help(format!("a comma separates two readings here; for one reading {help}"))
            } else if behind_comma(binder, scalar) {
                finding.help("a comma separates two readings here; the decimal sign is a point")
            } else if expected.is_empty() {
                finding.help("write the unit after the number")
            } else {
                finding.help(format!(
                    "the book expects {expected}: write `{written} {expected}`, or the unit it was measured in"
                ))
            }
        }
        Trouble::Unit(at, error) => {
            let unit = text.get(at..).unwrap_or("").trim();
            if is_bare(text.trim()) {
                return fraction(units, what, needed, text.trim(), whole);
            }
            let part = unit.get(error.part.clone()).filter(|part| !part.is_empty()).unwrap_or(unit);
            let near = error.nearest.as_deref().or_else(|| nearest(part, units.names()));
            let place = from(at + error.part.start, error.part.len());
            let finding = Finding::new(Code::UnitUnknown, format!("{what}: there is no unit called `{}`", short(part)))
                .at(place, "not a unit");
            if error.point {
                return finding.help("a scale such as degC cannot be part of a larger unit; a difference is in K");
            }
            if binder.source.slice(scalar.span()).contains('\n') {
                return finding.help("the line below is read as more of this value: indent it as far as this line");
            }
            let number = text.get(..at).unwrap_or("").trim();
            if let Some(meant) = needed.and_then(|needed| meant(units, needed.dimension, unit)) {
                return finding.help(format!("did you mean `{} {meant}`?", short(number)));
            }
            if let Some(first) = words_after(units, needed, unit) {
                let number = short(number);
                return finding.help(format!("write `{number} {first}` alone; anything else goes in `note`"));
            }
            if unit.contains(' ') && unit.contains(|letter: char| letter.is_ascii_digit()) {
                return finding.help("one value is one number and one unit; several readings go in a list: `[…, …]`");
            }
            // A name that stands alone is only worth saying where it measures what is needed.
            let fits = |name: &&str| match (units.find(name), needed) {
                (Some(known), Some(needed)) if part == unit => known.dimension == needed.dimension,
                _ => true,
            };
            finding.help(did_you_mean(near.filter(fits)).unwrap_or_else(|| known_units(units, needed)))
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
            .help(match meant(units, needed, unit) {
                Some(meant) => format!("did you mean `{} {meant}`?", short(text.get(..at).unwrap_or("").trim())),
                None => "check the unit, and that the reading stands under the right key".to_owned(),
            })
        }
    }
}

/// Whether a text is a fraction without a unit.
fn is_bare(text: &str) -> bool {
    text.contains('/') && text.chars().all(|letter| letter.is_ascii_digit() || " -/".contains(letter))
}

/// Two numbers where one is needed, or a fraction without its unit.
fn fraction(units: &UnitTable, what: &str, needed: Option<Needed<'_>>, text: &str, whole: Place) -> Finding {
    let written = short(text);
    if is_bare(text) && needed.is_none_or(|needed| !needed.dimension.is_number()) {
        return Finding::new(Code::NumberUnreadable, format!("{what}: `{written}` has no unit"))
            .at(whole, "no unit")
            .help(format!("write the unit it was measured in after `{written}`"));
    }
    let finding = Finding::new(Code::NumberUnreadable, format!("{what}: `{written}` cannot be read as one number"))
        .at(whole, "more than one");
    // `1 234 mm`: thousands set apart, or two readings.
    let digits = text.find(|letter: char| !letter.is_ascii_digit() && letter != ' ').unwrap_or(text.len());
    let (number, rest) = text.split_at_checked(digits).unwrap_or((text, ""));
    let grouped = number.trim().split(' ').skip(1).all(|group| group.len() == 3);
    let joined = number.split(' ').collect::<String>();
    let gap = if number.ends_with(' ') { " " } else { "" };
    let one = Some(format!("{joined}{gap}{rest}")).filter(|_| grouped && number.trim().contains(' '));
    let one = one.and_then(|one| write(units, needed, &one));
    finding.help(match one {
        Some(write) => format!("if it is one number, {write}; several readings go in a list: `[…, …]`"),
        None => "write one number, as a decimal; several readings go in a list: `[…, …]`".to_owned(),
    })
}
