//! Whether a cell is as it was typed, or as a spreadsheet made it over: dates, powers of ten, apostrophes, thousands. Refuses to
//! undo any of it.

/// What a spreadsheet may have made of what was typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mangled {
    /// Blanks before or behind.
    Blanks,
    /// An apostrophe before it.
    Apostrophe,
    /// A mistake of the spreadsheet's own, such as `#REF!`, or a formula.
    Reckoned,
    /// A date where a number is needed.
    Date,
    /// A day that is not written as year, month and day.
    Day,
    /// A power of ten.
    Power,
    /// Digits in groups of three.
    Thousands,
    /// A comma where decimals have a point.
    Comma,
}

/// The kinds of cell that are typed in ways of their own.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Typed {
    /// A number, perhaps with its unit.
    Number,
    /// A day.
    Day,
    /// A name, or free words.
    Words,
}

/// What a cell was typed as, with a point for the decimals; or what was made of it.
pub(super) fn typed(text: &str, kind: Typed, decimal_comma: bool) -> Result<String, Mangled> {
    if text.trim() != text || text.contains(['\n', '\r', '\t']) {
        return Err(Mangled::Blanks);
    }
    if text.starts_with('\'') {
        return Err(Mangled::Apostrophe);
    }
    if text.starts_with('=') || (text.starts_with('#') && text.ends_with(['!', '?', 'A'])) {
        return Err(Mangled::Reckoned);
    }
    match kind {
        Typed::Day if is_day(text) => Ok(text.to_string()),
        Typed::Day => Err(Mangled::Day),
        Typed::Words if is_power(text) => Err(Mangled::Power),
        Typed::Words => Ok(text.to_string()),
        Typed::Number => number(text, decimal_comma),
    }
}

/// Year, month and day in digits, as a record has them. Whether there is such a day is read where the record is.
fn is_day(text: &str) -> bool {
    let pieces: Vec<&str> = text.split('-').collect();
    let lengths: Vec<usize> = pieces.iter().map(|piece| piece.len()).collect();
    lengths == [4, 2, 2] && pieces.iter().all(|piece| is_digits(piece))
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// Whether a text is a number with a power of ten and nothing else: `1.2E+3`, `1,2e3`.
fn is_power(text: &str) -> bool {
    let Some((number, power)) = text.split_once(['e', 'E']) else { return false };
    let power = power.strip_prefix(['+', '-']).unwrap_or(power);
    let number = number.strip_prefix(['+', '-']).unwrap_or(number);
    is_digits(power) && !number.is_empty() && number.split(['.', ',']).all(|piece| piece.is_empty() || is_digits(piece))
}

fn number(text: &str, decimal_comma: bool) -> Result<String, Mangled> {
    // The number, and what stands behind it.
    let sign = usize::from(text.starts_with(['+', '-']));
    let unsigned = text.get(sign..).unwrap_or_default();
    if !unsigned.starts_with(|letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',')) {
        return if is_month(text) { Err(Mangled::Date) } else { Ok(text.to_string()) };
    }
    let digits = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',' | '\'' | '’');
    let end = unsigned.find(|letter: char| !digits(letter)).unwrap_or(unsigned.len());
    let (head, tail) = unsigned.split_at_checked(end).unwrap_or((unsigned, ""));
    if is_date(unsigned) || is_month(unsigned) {
        return Err(Mangled::Date);
    }
    if is_power(unsigned.split_whitespace().next().unwrap_or_default()) {
        return Err(Mangled::Power);
    }
    // `1 234.5`, with whatever blank: a unit never begins with a digit. A fraction may follow: `2 1/2 in`.
    let behind = tail.trim_start();
    let digits_behind = behind.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let grouped =
        tail.starts_with(char::is_whitespace) && digits_behind.len() < behind.len() && !digits_behind.starts_with('/');
    // `1'234`; of `5'6"` it marks feet.
    let apart = head.split(['\'', '’']).skip(1).any(|group| group.len() >= 3);
    let mark = if decimal_comma { ',' } else { '.' };
    let other = if decimal_comma { '.' } else { ',' };
    if grouped || apart || head.matches(mark).count() > 1 {
        return Err(Mangled::Thousands);
    }
    match (head.matches(other).count(), decimal_comma) {
        (0, false) => Ok(text.to_string()),
        (0, true) => {
            let sign = text.get(..sign).unwrap_or_default();
            Ok(format!("{sign}{}{}", head.replace(',', "."), commas_as_points(tail)))
        }
        // One comma and no point: a decimal comma, or thousands. Nobody but who typed it can tell.
        (1, false) if !head.contains('.') => Err(Mangled::Comma),
        _ => Err(Mangled::Thousands),
    }
}

/// A text with a point for each comma between two digits: `9 lb 9,5 oz`.
fn commas_as_points(text: &str) -> String {
    let mut points = String::with_capacity(text.len());
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit());
        let between = letter == ',' && digit(points.chars().next_back()) && digit(letters.peek().copied());
        points.push(if between { '.' } else { letter });
    }
    points
}

/// Whether a text is a day as spreadsheets show one: numbers with one sign between them, `1/3/26`, `2026-03-01`, `3/2026`.
fn is_date(text: &str) -> bool {
    ['/', '-', '.'].into_iter().any(|sign| {
        let pieces: Vec<&str> = text.split(sign).collect();
        let lengths: Vec<usize> = pieces.iter().map(|piece| piece.len()).collect();
        let shaped = match lengths.as_slice() {
            [1 | 2, 1 | 2, 2 | 4] | [4, 1 | 2, 1 | 2] => true,
            [1 | 2, 1 | 2 | 4] => sign == '/',
            _ => false,
        };
        shaped && pieces.iter().all(|piece| is_digits(piece))
    })
}

/// Whether a text is a number and a month, in either order: `01-Mar`, `Mar 26`, `1. March`.
fn is_month(text: &str) -> bool {
    const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let words: Vec<&str> = text.split(['-', ' ', '.', '/']).filter(|word| !word.is_empty()).collect();
    let is_month = |word: &&str| {
        let word = word.to_lowercase();
        word.len() >= 3 && MONTHS.iter().any(|month| word.starts_with(month))
    };
    (2..=3).contains(&words.len())
        && words.iter().filter(|word| is_month(word)).count() == 1
        && words.iter().filter(|word| !is_month(word)).all(|word| is_digits(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_stays_letter_for_letter() {
        for text in [
            "79.87",
            "79.870 mm",
            "-0.05 mm",
            "+3",
            "1/2 in",
            "2 1/2 in",
            "1-3/16 in",
            "9 lb 9.5 oz",
            "5'6\"",
            "26 ft lbs",
            "1.250 in",
            ".5 mm",
            "unknown",
            "9:1",
            "80 ft*lbf",
            "0012",
            "3 mm",
        ] {
            assert_eq!(typed(text, Typed::Number, false).as_deref(), Ok(text), "{text}");
        }
        for (text, typed_as) in [("79,87", "79.87"), ("-0,05 mm", "-0.05 mm"), ("12", "12"), ("unknown", "unknown")] {
            assert_eq!(typed(text, Typed::Number, true).as_deref(), Ok(typed_as), "{text}");
        }
        for text in ["S-12", "NO", "012", "a, b", "12.5", "E12", "12E"] {
            assert_eq!(typed(text, Typed::Words, false).as_deref(), Ok(text), "{text}");
        }
        assert_eq!(typed("2026-03-01", Typed::Day, false).as_deref(), Ok("2026-03-01"));
    }

    #[test]
    fn what_a_spreadsheet_made_over_is_seen() {
        for (text, mangled) in [
            ("79.87 ", Mangled::Blanks),
            ("\u{a0}79.87", Mangled::Blanks),
            ("'79.87", Mangled::Apostrophe),
            ("#REF!", Mangled::Reckoned),
            ("#N/A", Mangled::Reckoned),
            ("#DIV/0!", Mangled::Reckoned),
            ("=A1", Mangled::Reckoned),
            ("1/3/26", Mangled::Date),
            ("01.03.2026", Mangled::Date),
            ("2026-03-01", Mangled::Date),
            ("01-Mar", Mangled::Date),
            ("Mar 26", Mangled::Date),
            ("1. March 2026", Mangled::Date),
            ("1.2E+3", Mangled::Power),
            ("1,2e-3", Mangled::Power),
            ("1E5 mm", Mangled::Power),
            ("1,234.5", Mangled::Thousands),
            ("1 234.5", Mangled::Thousands),
            ("1\u{202f}234 mm", Mangled::Thousands),
            ("1'234", Mangled::Thousands),
            ("1,234,567", Mangled::Thousands),
            ("1.234.567", Mangled::Thousands),
            ("79,87", Mangled::Comma),
            ("1,234 mm", Mangled::Comma),
        ] {
            let found = typed(text, Typed::Number, false);
            assert_eq!(found, Err(mangled), "{text}");
        }
        for (text, mangled) in
            [("1.234,5", Mangled::Thousands), ("79.87", Mangled::Thousands), ("1,2,3", Mangled::Thousands)]
        {
            assert_eq!(typed(text, Typed::Number, true), Err(mangled), "{text}");
        }
        for text in ["1/3/26", "01.03.2026", "2026-3-1", "46082", "March"] {
            assert_eq!(typed(text, Typed::Day, false), Err(Mangled::Day), "{text}");
        }
        assert_eq!(typed("1.23E+11", Typed::Words, false), Err(Mangled::Power));
    }
}
