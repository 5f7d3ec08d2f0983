//! Lines of comma-separated text after RFC 4180 that a spreadsheet takes for what they say. Refuses to let a text be a
//! formula.

use super::style::clean;

/// The byte order mark before everything: without it a spreadsheet takes `µ` and `°` for letters of another alphabet.
pub(super) const MARK: char = '\u{feff}';

/// One line, its line end included (RFC 4180, 2.1: a carriage return and a line feed).
pub(super) fn line<T: AsRef<str>>(fields: &[T]) -> String {
    let cells: Vec<String> = fields.iter().map(|field| cell(field.as_ref())).collect();
    format!("{}\r\n", cells.join(","))
}

/// A field as it must be written: nothing a terminal obeys, nothing a spreadsheet reckons out, and in quotation marks where
/// it has to be.
fn cell(field: &str) -> String {
    let cleaned = clean(field);
    let text = if is_formula(field) { format!("'{cleaned}") } else { cleaned.into_owned() };
    if text.contains(['"', ',']) || text.starts_with(' ') || text.ends_with(' ') {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

/// Whether a spreadsheet could take a text for a formula: it begins, blanks left out, with a sign that begins one, as such or
/// in its wide form, or with a tab or a line end; numbers are none.
fn is_formula(field: &str) -> bool {
    let begins = field.trim_start_matches(|letter: char| letter.is_whitespace() || letter.is_control());
    let sign = begins.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    (sign && !is_number(field)) || field.starts_with(['\t', '\r', '\n'])
}

/// Whether a text is a decimal: perhaps a sign, digits, perhaps a point and digits.
fn is_number(field: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let unsigned = field.strip_prefix(['+', '-']).unwrap_or(field);
    match unsigned.split_once('.') {
        Some((whole, part)) => digits(whole) && digits(part),
        None => digits(unsigned),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_be_quoted_is() {
        assert_eq!(cell("K-0141"), "K-0141");
        assert_eq!(cell("K, \"old\""), "\"K, \"\"old\"\"\"");
        assert_eq!(cell(" K"), "\" K\"");
        assert_eq!(cell("a\nb\u{1b}[31m"), "a␊b␛[31m");
        assert_eq!(line(&["a", "", "b c"]), "a,,b c\r\n");
    }

    #[test]
    fn no_text_is_a_formula_and_numbers_stay_numbers() {
        for (field, written) in [
            ("=1+1", "'=1+1"),
            ("+A1", "'+A1"),
            ("-2+3", "'-2+3"),
            ("@sum", "'@sum"),
            ("\t=1", "' =1"),
            ("\rx", "'␍x"),
            ("  =1", "'  =1"),
            ("＝1", "'＝1"),
            ("-0.1 to 0.1 mm", "'-0.1 to 0.1 mm"),
            ("-", "'-"),
            ("--1", "'--1"),
            ("-1.", "'-1."),
            ("-.5", "'-.5"),
            ("-1e5", "'-1e5"),
            ("-0.05", "-0.05"),
            ("+3", "+3"),
            ("1=1", "1=1"),
        ] {
            assert_eq!(cell(field), written);
        }
        assert_eq!(cell("=a,\"b\""), "\"'=a,\"\"b\"\"\"");
    }
}
