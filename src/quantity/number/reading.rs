//! Decimal text to exact numbers, one way only: refuses exponents, separators and decimal commas, and says what was meant.

use super::{Number, Short};
use num_bigint::BigInt;
use num_traits::{One, Pow};

/// The most digits a number may be written with: far past any gauge, short enough that no text can stall us.
pub const MOST_DIGITS: usize = 60;

/// A longer run of number-like text is not mended.
const MOST_MENDED: usize = 200;

/// What is wrong with a text that should be a number.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum NumberErrorKind {
    /// Nothing is written.
    Empty,
    /// More than [`MOST_DIGITS`] digits.
    TooLong,
    /// `1e3`: a power of ten.
    Exponent,
    /// `0x1F`, and also `0b101` and `0o17`: a number in another base.
    Hexadecimal,
    /// `1_000`, `1'000`, `1 000`, `1,000.5`: thousands set apart.
    Separator,
    /// `1,5`: a comma where the point belongs.
    DecimalComma,
    /// `７９．８６`: digits of an East Asian keyboard.
    FullWidth,
    /// `1.2.3`: a second point.
    PointTwice,
    /// Anything else.
    NotANumber,
}

/// A text that is not a number, and what was probably meant.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NumberError {
    /// What is wrong.
    pub kind: NumberErrorKind,
    /// The byte it goes wrong at.
    pub at: usize,
    /// The number alone as it should be written, where only one thing can have been meant. `1,000` has none: it is a
    /// thousand in one country and one in another.
    pub mended: Option<String>,
}

impl NumberError {
    fn new(kind: NumberErrorKind, at: usize, mended: Option<String>) -> NumberError {
        NumberError { kind, at, mended }
    }
}

impl Number {
    /// The whole text as a number: `[+-]digits[.digits]` or `[+-].digits`.
    ///
    /// # Errors
    /// [`NumberError`] says what is wrong, where, and what was probably meant.
    pub fn parse(text: &str) -> Result<Number, NumberError> {
        let (number, taken) = Number::parse_prefix(text)?;
        let rest = text.get(taken..).unwrap_or("");
        if rest.is_empty() {
            return Ok(number);
        }
        let written = text.get(..taken).unwrap_or("");
        if rest.starts_with(' ') && rest.trim_start().starts_with(|letter: char| letter.is_ascii_digit()) {
            return Err(NumberError::new(NumberErrorKind::Separator, taken, grouped(text, |letter| letter == ' ')));
        }
        // A point with nothing after it, or a space: the number before it was meant.
        let mended = (rest.trim().is_empty() || rest == ".").then(|| written.to_owned());
        Err(NumberError::new(NumberErrorKind::NotANumber, taken, mended))
    }

    /// The longest number at the start of the text, and how many bytes it takes: `79.86mm` is 79.86 and 5.
    ///
    /// # Errors
    /// [`NumberError`], where the text does not start with a number, or goes on in a way that shows another number was
    /// meant: a unit may follow, `e3` or `,5` may not.
    #[inline]
    pub fn parse_prefix(text: &str) -> Result<(Number, usize), NumberError> {
        match Short::prefix(text) {
            Some((short, taken)) => Ok((Number::decimal(short.units, short.places), taken)),
            None => long_prefix(text),
        }
    }
}

impl Short {
    /// As [`Number::parse_prefix`]; none where the number is longer, where there is none, and where another may be meant.
    #[must_use]
    #[inline]
    pub fn prefix(text: &str) -> Option<(Short, usize)> {
        let Prefix { negative, units, digits, places, taken, doubtful, .. } = Prefix::of(text);
        if digits == 0 || digits > 18 || doubtful {
            return None;
        }
        Some((Short { units: if negative { -units } else { units }, places: u8::try_from(places).ok()? }, taken))
    }
}

/// What a text begins with.
struct Prefix {
    negative: bool,
    /// Where the digits begin.
    start: usize,
    /// The digits as a whole number; it wraps past 18 of them, and is not used then.
    units: i64,
    /// How many.
    digits: usize,
    /// How many of them behind the point.
    places: usize,
    /// The byte behind them.
    taken: usize,
    /// Whether something follows that no unit starts with, or only a unit that looks like a power of ten; letters past ASCII
    /// among them.
    doubtful: bool,
}

impl Prefix {
    #[inline]
    fn of(text: &str) -> Prefix {
        let bytes = text.as_bytes();
        let negative = bytes.first() == Some(&b'-');
        let start = usize::from(negative || bytes.first() == Some(&b'+'));
        let mut units = 0;
        let mut rest = digits_at_start(bytes.get(start..).unwrap_or(&[]), &mut units);
        let mut digits = bytes.len() - start - rest.len();
        let mut places = 0;
        if let [b'.', behind @ ..] = rest
            && matches!(behind.first(), Some(b'0'..=b'9'))
        {
            rest = digits_at_start(behind, &mut units);
            places = behind.len() - rest.len();
            digits += places;
        }
        let doubtful = matches!(
            rest.first(),
            Some(b'e' | b'E' | b'x' | b'X' | b'b' | b'B' | b'o' | b'O' | b'_' | b'\'' | b',' | b'.' | 0x80..)
        );
        Prefix { negative, start, units, digits, places, taken: bytes.len() - rest.len(), doubtful }
    }
}

/// As [`Number::parse_prefix`], where the number is not short or something is wrong with it.
#[cold]
fn long_prefix(text: &str) -> Result<(Number, usize), NumberError> {
    let Prefix { negative, start, units, digits, places, taken, doubtful } = Prefix::of(text);
    if digits == 0 || doubtful {
        suspect(text, start, taken, digits, places)?;
    }
    if digits <= 18 {
        let places = u8::try_from(places).unwrap_or(0);
        return Ok((Number::decimal(if negative { -units } else { units }, places), taken));
    }
    if digits > MOST_DIGITS {
        let point = usize::from(places > 0 && digits - places <= MOST_DIGITS);
        return Err(NumberError::new(NumberErrorKind::TooLong, start + MOST_DIGITS + point, None));
    }
    let number = long(text.get(start..taken).unwrap_or(""), places);
    Ok((if negative { -number } else { number }, taken))
}

/// Takes the digits at the start into a number, and gives what is behind them.
#[inline]
fn digits_at_start<'t>(mut rest: &'t [u8], units: &mut i64) -> &'t [u8] {
    while let [digit @ b'0'..=b'9', behind @ ..] = rest {
        *units = units.wrapping_mul(10).wrapping_add(i64::from(digit - b'0'));
        rest = behind;
    }
    rest
}

/// More than 18 digits, a point among them.
fn long(text: &str, places: usize) -> Number {
    let digits = text.bytes().filter(u8::is_ascii_digit).fold(BigInt::ZERO, |sum, digit| sum * 10 + (digit - b'0'));
    let below = BigInt::from(10).pow(u32::try_from(places).unwrap_or(0));
    if below.is_one() { Number::big_reduced(digits, below) } else { Number::big(digits, below) }
}

/// Looks at what follows the number (or stands in its place), and refuses what shows that another number was meant.
#[cold]
fn suspect(text: &str, start: usize, at: usize, digits: usize, places: usize) -> Result<(), NumberError> {
    let error = |kind, mended| Err(NumberError::new(kind, at, mended));
    let rest = text.get(at..).unwrap_or("");
    let mut letters = rest.chars();
    let (next, after) = (letters.next(), letters.next());
    let digit_after = after.is_some_and(|letter| letter.is_ascii_digit());
    if next.is_some_and(|letter| full_width(letter).is_some()) {
        return error(NumberErrorKind::FullWidth, narrowed(text));
    }
    if digits == 0 {
        if text.trim().is_empty() {
            return Err(NumberError::new(NumberErrorKind::Empty, 0, None));
        }
        // A typographic minus, or a space before the number or after its sign.
        let plain = text.trim().replacen('\u{2212}', "-", 1);
        let plain = plain.replacen("- ", "-", 1).replacen("+ ", "", 1);
        let mended = (plain != text && plain.len() <= MOST_MENDED).then_some(plain).filter(|plain| is_number(plain));
        return error(NumberErrorKind::NotANumber, mended);
    }
    let other_base = |radix: u32| {
        let zero = text.get(start..at) == Some("0") && after.is_some_and(|letter| letter.is_digit(radix));
        zero.then(|| {
            let written: String = rest.chars().skip(1).take(16).take_while(|letter| letter.is_digit(radix)).collect();
            let value = i64::from_str_radix(&written, radix).ok()?;
            let ends =
                rest.get(1 + written.len()..).is_none_or(|rest| !rest.starts_with(|next: char| next.is_digit(radix)));
            let sign = if text.starts_with('-') { "-" } else { "" };
            ends.then(|| format!("{sign}{value}"))
        })
    };
    match next {
        Some('e' | 'E') => {
            let signed = matches!(after, Some('+' | '-')) && letters.next().is_some_and(|next| next.is_ascii_digit());
            if digit_after || signed {
                return error(NumberErrorKind::Exponent, without_exponent(text, at));
            }
        }
        Some(base @ ('x' | 'X' | 'b' | 'B' | 'o' | 'O')) => {
            let radix = match base.to_ascii_lowercase() {
                'x' => 16,
                'b' => 2,
                _ => 8,
            };
            if let Some(mended) = other_base(radix) {
                return error(NumberErrorKind::Hexadecimal, mended);
            }
        }
        Some(',') if digit_after => {
            let (kind, mended) = comma(token(text, |letter| matches!(letter, ',' | '.')));
            return error(kind, mended);
        }
        Some('.') if digit_after && places > 0 => return error(NumberErrorKind::PointTwice, None),
        // Apostrophes and the spaces that print shops set between thousands: thin, narrow, no-break.
        Some(mark @ ('_' | '\'' | '\u{2019}' | '\u{a0}' | '\u{2009}' | '\u{202f}')) if digit_after => {
            return error(NumberErrorKind::Separator, grouped(text, |letter| letter == mark));
        }
        _ => {}
    }
    Ok(())
}

/// Whether a mended text is a number that would now be read.
fn is_number(text: &str) -> bool {
    text.len() <= MOST_MENDED && Number::parse(text).is_ok()
}

/// The start of the text that is a sign, digits and the given marks.
fn token(text: &str, mark: impl Fn(char) -> bool) -> &str {
    let signed = text.trim_start_matches(['+', '-']);
    let sign = text.len() - signed.len();
    let end =
        signed.find(|letter: char| !letter.is_ascii_digit() && !mark(letter)).map_or(text.len(), |end| sign + end);
    text.get(..end).unwrap_or(text)
}

/// The number with the marks between its digits taken out.
fn grouped(text: &str, mark: impl Fn(char) -> bool) -> Option<String> {
    let token = token(text, |letter| mark(letter) || letter == '.');
    let plain: String = token.chars().filter(|letter| !mark(*letter)).collect();
    Some(plain).filter(|plain| is_number(plain))
}

/// Whether commas or points stand before every third digit, as between thousands.
fn in_thousands(whole: &str, mark: char) -> bool {
    let mut groups = whole.trim_start_matches(['+', '-']).split(mark);
    groups.next().is_some_and(|first| (1..=3).contains(&first.len())) && groups.all(|group| group.len() == 3)
}

/// What a number with commas means, if it can mean only one thing.
fn comma(token: &str) -> (NumberErrorKind, Option<String>) {
    let checked = |text: String| Some(text).filter(|text| is_number(text));
    let without = |text: &str, mark: char| text.chars().filter(|letter| *letter != mark).collect::<String>();
    let mut pieces = token.split(',');
    let (before, after) = (pieces.next().unwrap_or(""), pieces.next().unwrap_or(""));
    if pieces.next().is_some() || after.contains('.') {
        let whole = token.split('.').next().unwrap_or("");
        let mended = in_thousands(whole, ',').then(|| without(token, ','));
        return (NumberErrorKind::Separator, mended.and_then(checked));
    }
    let mended = if before.contains('.') {
        in_thousands(before, '.').then(|| format!("{}.{after}", without(before, '.')))
    } else {
        let first = before.trim_start_matches(['+', '-']);
        let ambiguous = after.len() == 3 && (1..=3).contains(&first.len()) && !first.starts_with('0');
        (!ambiguous).then(|| format!("{before}.{after}"))
    };
    (NumberErrorKind::DecimalComma, mended.and_then(checked))
}

/// The number with its power of ten written out.
fn without_exponent(text: &str, at: usize) -> Option<String> {
    let mantissa = Number::parse(text.get(..at)?).ok()?;
    let exponent = token(text.get(at + 1..)?, |_| false);
    let exponent: i8 = exponent.parse().ok().filter(|exponent: &i8| exponent.unsigned_abs() <= 60)?;
    let written = (&mantissa * &Number::from_integer(10).power(exponent)?).to_text(120);
    Some(written).filter(|written| is_number(written))
}

/// The ASCII letter a full-width one stands for, where it can stand in a number.
fn full_width(letter: char) -> Option<char> {
    let plain = char::from_u32(u32::from(letter).checked_sub(0xFEE0)?)?;
    matches!(plain, '0'..='9' | '.' | '+' | '-').then_some(plain)
}

/// The number with its full-width letters as ASCII.
fn narrowed(text: &str) -> Option<String> {
    let plain: String = text
        .chars()
        .map_while(|letter| full_width(letter).or_else(|| "0123456789.+-".contains(letter).then_some(letter)))
        .take(MOST_MENDED)
        .collect();
    Some(plain).filter(|plain| is_number(plain))
}
