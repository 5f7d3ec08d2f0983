//! Slips of the pen in one written quantity: a change of unit, a shifted point, two digits the wrong way round. Refuses to
//! know what is right.

use super::{Number, Value};

/// The kinds of slip.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SlipKind {
    /// Two neighbouring digits changed places.
    Swapped,
    /// Divided or multiplied by 25.4: inches taken for millimetres or the other way round.
    Inches,
    /// The point is one, two or three places off.
    Point,
    /// A minus sign too many.
    Sign,
}

/// The slip that would make a written value right, of every kind there is, with the text as it would be right; `None` if none
/// would, or several would: naming one of them would be a guess.
#[must_use]
pub fn likely(written: &str, value: &Value, right: impl Fn(&Value) -> bool) -> Option<(SlipKind, String)> {
    let (own, _) = Number::parse_prefix(written).ok()?;
    let mut found: Vec<(SlipKind, String)> = Vec::new();
    if let Some(instead) = written.strip_prefix('-').filter(|_| right(&value.negate())) {
        found.push((SlipKind::Sign, instead.trim_start().to_string()));
    }
    for (kind, factor) in factors() {
        if right(&value.multiply(&Value::from(factor.clone()))) {
            found.extend(scaled(written, &factor).map(|instead| (kind, instead)));
        }
    }
    found.extend(right_swaps(written, value, &own, right).into_iter().map(|instead| (SlipKind::Swapped, instead)));
    found.pop().filter(|_| found.is_empty())
}

/// Every swap of two neighbouring digits of a written value that makes it right; none that would have it begin with a zero,
/// as nobody writes that. `own` is the number it begins with.
#[must_use]
pub fn right_swaps(written: &str, value: &Value, own: &Number, right: impl Fn(&Value) -> bool) -> Vec<String> {
    let begins_with_zero = |text: &str| text.starts_with('0') && text.as_bytes().get(1).is_some_and(u8::is_ascii_digit);
    let is_right = |instead: &String| {
        // The unit stays, so the value changes as the number does.
        let ratio = Number::parse_prefix(instead).ok().and_then(|(number, _)| number.checked_div(own));
        ratio.is_some_and(|ratio| right(&value.multiply(&Value::from(ratio))))
    };
    swapped(written).into_iter().filter(|instead| !begins_with_zero(instead)).filter(is_right).collect()
}

/// The changes of scale that are tried, each with what it multiplies a value by.
#[must_use]
pub fn factors() -> Vec<(SlipKind, Number)> {
    let mut factors = Vec::new();
    let ratio = |numerator, denominator| Number::ratio(numerator, denominator).unwrap_or_default();
    for (kind, numerator, denominator) in
        [(SlipKind::Point, 10, 1), (SlipKind::Inches, 254, 10), (SlipKind::Point, 100, 1), (SlipKind::Point, 1000, 1)]
    {
        factors.push((kind, ratio(denominator, numerator)));
        factors.push((kind, ratio(numerator, denominator)));
    }
    factors
}

/// The number a text begins with, and its length; `None` where more of it is a number, as in `2 1/2 in` and `9 lb 9.5 oz`.
#[must_use]
pub fn plain_number(written: &str) -> Option<(Number, usize)> {
    let (number, length) = Number::parse_prefix(written).ok()?;
    let rest = written.get(length..)?;
    let goes_on = rest.starts_with(['/', '-'])
        || rest.split_whitespace().any(|word| word.starts_with(|letter: char| letter.is_numeric() || letter == '.'));
    (!goes_on).then_some((number, length))
}

/// The written reading with its number multiplied; `None` where it does not come out to a few places.
#[must_use]
pub fn scaled(written: &str, factor: &Number) -> Option<String> {
    let (number, length) = plain_number(written)?;
    let product = &number * factor;
    let rest = written.get(length..)?;
    Some(format!("{}{rest}", product.to_text(4)))
}

/// The written reading with each pair of neighbouring digits swapped, the point left where it is.
#[must_use]
pub fn swapped(written: &str) -> Vec<String> {
    let length = plain_number(written).map_or(0, |(_, length)| length);
    let digits: Vec<(usize, char)> = written
        .char_indices()
        .take_while(|(at, _)| *at < length)
        .filter(|(_, letter)| letter.is_ascii_digit())
        .collect();
    digits
        .windows(2)
        .filter_map(|pair| match pair {
            [(first, a), (second, b)] if a != b => {
                let mut letters: Vec<char> = written.chars().collect();
                // A number is written in single bytes, so its byte and letter positions agree.
                *letters.get_mut(*first)? = *b;
                *letters.get_mut(*second)? = *a;
                Some(letters.into_iter().collect())
            }
            _ => None,
        })
        .collect()
}
