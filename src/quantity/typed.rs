//! Quantities as a shop types them: fractions, pounds and ounces, marks for feet and inches, units in capitals. Refuses whatever could mean two things.

use super::number::Number;
use super::table::{UnitTable, is_sign};
use super::unit::Unit;
use std::borrow::Cow;

/// A longer text is not one quantity.
const MOST_BYTES: usize = 120;

/// `2 yd 1 ft 3 in` and no longer.
const MOST_PARTS: usize = 3;

/// The letters of the SI prefixes (SI Brochure, 9th ed., table 7).
const PREFIXES: &str = "QRYZEPTGMkhdcmµnpfazyrq";

/// The vulgar fractions of Unicode (The Unicode Standard 15.0, Latin-1 Supplement and Number Forms).
const VULGAR: [(char, i64, i64); 18] = [
    ('¼', 1, 4),
    ('½', 1, 2),
    ('¾', 3, 4),
    ('⅐', 1, 7),
    ('⅑', 1, 9),
    ('⅒', 1, 10),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
];

/// A number as it stands in a quantity.
struct Amount {
    number: Number,
    /// Written as digits alone: what a smaller unit may follow.
    whole: bool,
    /// The bytes it takes.
    length: usize,
}

impl UnitTable {
    /// A whole text as a number of one unit, in every form that is taken: the plain one, and those of [`UnitTable::typed`].
    #[must_use]
    pub fn quantity(&self, text: &str) -> Option<(Number, Cow<'_, Unit>)> {
        let plain = text.trim();
        if let Ok((number, length)) = Number::parse_prefix(plain)
            && let Some(unit) = plain.get(length..).map(str::trim_ascii).filter(|unit| !unit.is_empty())
            && let Ok(unit) = self.resolve(unit)
        {
            return Some((number, unit));
        }
        self.typed(text)
    }

    /// A whole text as a number of one unit, where it is written in one of the forms a shop types and the plain form does not
    /// cover: `3/16 in`, `1-3/16 in`, `2 1/2 in`, `9 lb 9.5 oz`, `5' 6"`, `26 ft lbs`, `79.85 MM`, blanks of any width. The
    /// number is exact; of several units it is in the first.
    #[must_use]
    #[cold]
    pub fn typed(&self, text: &str) -> Option<(Number, Cow<'_, Unit>)> {
        if text.len() > MOST_BYTES {
            return None;
        }
        let plain = plain(text);
        let mut rest = plain.trim();
        // The minus of print, U+2212, too: it means nothing else at the beginning.
        let negative = rest.starts_with(['-', '\u{2212}']);
        rest = rest.strip_prefix(['-', '\u{2212}', '+']).unwrap_or(rest);
        let mut sum: Option<(Number, Cow<'_, Unit>)> = None;
        let mut last: Option<(Cow<'_, Unit>, bool)> = None;
        for _ in 0..MOST_PARTS {
            let amount = amount(rest)?;
            let padded = rest.starts_with('0')
                && rest.get(1..).is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
            rest = rest.get(amount.length..)?.trim_start();
            let length = unit_length(rest);
            let unit = self.unit_typed(rest.get(..length)?.trim_end())?;
            rest = rest.get(length..)?.trim_start();
            sum = Some(match (sum, &last) {
                (Some((number, first)), Some((before, whole))) => {
                    let steps = steps(before, &unit)?;
                    // The smaller unit goes on counting where the larger one stops.
                    if !whole || padded || amount.number >= steps {
                        return None;
                    }
                    let steps = super::Value::from(steps_in(&first, &unit)?);
                    let more = super::Value::from(amount.number).divide(&steps)?;
                    (&number + more.is_exact_rational()?, first)
                }
                _ => (amount.number, unit.clone()),
            });
            if rest.is_empty() {
                return sum.map(|(number, unit)| (if negative { -number } else { number }, unit));
            }
            last = Some((unit, amount.whole));
        }
        None
    }

    /// A unit in a form that is typed: with a full stop, in words with blanks between, in capitals.
    fn unit_typed(&self, text: &str) -> Option<Cow<'_, Unit>> {
        if let Ok(unit) = self.resolve(text) {
            return Some(unit);
        }
        let words: Vec<&str> = text.split([' ', '.']).filter(|word| !word.is_empty()).collect();
        if words.len() < 2 {
            let word = words.first()?;
            return self.find(word).or_else(|| self.in_other_case(word)).map(Cow::Borrowed);
        }
        let joined = ["-", "·", "*", "_"].map(|sign| words.join(sign));
        let mut found = joined.iter().filter_map(|name| self.find(name).or_else(|| self.in_other_case(name)));
        let first = found.next()?;
        found.all(|other| other.measures_as(first)).then_some(Cow::Borrowed(first))
    }

    /// The one unit with a name of the same letters in other capitals, where they can mean nothing else: `MM`, `Psi`; never
    /// `Mm` or `mPa`, which are other units, and no single letter.
    #[must_use]
    pub fn in_other_case(&self, written: &str) -> Option<&Unit> {
        let mut letters = written.chars();
        let first = letters.next()?;
        let rest = letters.as_str();
        if rest.is_empty() || written.len() > MOST_BYTES {
            return None;
        }
        let mut named = self.named().filter(|(name, _)| same_letters(name, written));
        let (name, place) = named.next()?;
        if !named.all(|(_, other)| other == place) {
            return None;
        }
        if written.chars().any(char::is_lowercase) {
            let other_first = !name.starts_with(first);
            let unit = |rest: &str| {
                self.find(rest).is_some() || (other_first && self.names().any(|name| same_letters(name, rest)))
            };
            if written.contains(is_sign) || (PREFIXES.contains(first) && unit(rest)) {
                return None;
            }
        }
        self.find(name)
    }
}

/// The text with one blank for blanks of every width, and one sign for signs that look alike.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 2);
    for letter in text.chars() {
        match letter {
            '\'' | '’' => plain.push('′'),
            '"' | '“' | '”' => plain.push('″'),
            'º' | '˚' => plain.push('°'),
            '℃' => plain.push_str("°C"),
            '℉' => plain.push_str("°F"),
            '⁄' => plain.push('/'),
            blank if blank.is_whitespace() => plain.push(' '),
            other => plain.push(other),
        }
    }
    plain.replace("′′", "″")
}

/// How many bytes the unit takes that a text begins with: a mark, or all up to the next number.
fn unit_length(text: &str) -> usize {
    if let Some(mark) = text.chars().next().filter(|letter| matches!(letter, '′' | '″')) {
        return mark.len_utf8();
    }
    let number = |rest: &str| {
        let rest = rest.strip_prefix('.').unwrap_or(rest);
        rest.starts_with(|letter: char| letter.is_ascii_digit() || vulgar(letter).is_some())
    };
    text.match_indices(' ').map(|(at, _)| at).find(|at| text.get(at + 1..).is_some_and(number)).unwrap_or(text.len())
}

/// The number a text begins with: whole, a decimal, a fraction, or a whole number and a fraction.
fn amount(text: &str) -> Option<Amount> {
    let digits = digits(text);
    let (head, rest) = text.split_at_checked(digits)?;
    if let Some(behind) = rest.strip_prefix('.') {
        let places = self::digits(behind);
        let length = digits + 1 + places;
        let number = Number::parse(text.get(..length)?).ok().filter(|_| places > 0)?;
        return Some(Amount { number, whole: false, length });
    }
    if head.is_empty() {
        let (number, length) = fraction(text)?;
        return Some(Amount { number, whole: false, length });
    }
    let whole = Number::parse(head).ok()?;
    // `3/16`.
    if rest.starts_with('/') {
        let (number, length) = fraction(text)?;
        return Some(Amount { number, whole: false, length });
    }
    // `2½`, `2 ½`, `2 1/2` and `2-1/2`; the fraction is less than one, or it is none of these.
    let gap = rest.len() - rest.trim_start_matches(' ').len();
    let gap = if gap == 0 { usize::from(rest.starts_with('-')) } else { gap };
    let behind = rest.get(gap..)?;
    let close = gap == 0 && !behind.starts_with(|letter| vulgar(letter).is_some());
    if !close && let Some((part, length)) = fraction(behind) {
        let number = (part < Number::ONE).then(|| &whole + &part)?;
        return Some(Amount { number, whole: false, length: digits + gap + length });
    }
    Some(Amount { number: whole, whole: true, length: digits })
}

/// The fraction a text begins with, and the bytes it takes: `3/16`, `½`.
fn fraction(text: &str) -> Option<(Number, usize)> {
    if let Some(letter) = text.chars().next()
        && let Some((above, below)) = vulgar(letter)
    {
        return Some((Number::ratio(above, below)?, letter.len_utf8()));
    }
    let above = digits(text);
    let below = text.get(above..)?.strip_prefix('/')?;
    let length = digits(below);
    let ratio = Number::ratio(text.get(..above)?.parse().ok()?, below.get(..length)?.parse().ok()?)?;
    // `1/3/26` is a day.
    let ends = below.get(length..).is_none_or(|rest| !rest.starts_with(['/', '.', ',']));
    ends.then_some((ratio, above + 1 + length))
}

fn vulgar(letter: char) -> Option<(i64, i64)> {
    VULGAR.iter().find(|(sign, ..)| *sign == letter).map(|(_, above, below)| (*above, *below))
}

/// How many digits a text begins with.
fn digits(text: &str) -> usize {
    text.len() - text.trim_start_matches(|letter: char| letter.is_ascii_digit()).len()
}

/// How often the smaller unit goes into the larger: a whole number above one, as feet and inches have; else the two do not
/// stand in one quantity.
fn steps(larger: &Unit, smaller: &Unit) -> Option<Number> {
    steps_in(larger, smaller).filter(|steps| steps.is_integer() && *steps > Number::ONE)
}

fn steps_in(larger: &Unit, smaller: &Unit) -> Option<Number> {
    let plain = larger.dimension == smaller.dimension && larger.zero.is_none() && smaller.zero.is_none();
    plain.then(|| larger.size.divide(&smaller.size)).flatten()?.is_exact_rational().cloned()
}

/// Whether two names have the same letters, capitals or not; both letters for micro are one.
fn same_letters(one: &str, other: &str) -> bool {
    let folded = |text: &str| {
        let small: Vec<char> = text.chars().flat_map(char::to_lowercase).collect();
        small.into_iter().map(|letter| if letter == '\u{3bc}' { '\u{b5}' } else { letter }).collect::<Vec<_>>()
    };
    one.chars().count() == other.chars().count() && folded(one) == folded(other)
}

#[cfg(test)]
mod tests;
