//! Writes one text as YAML that reads as just that text again. Refuses to know what it says.

/// A text as YAML has it, also inside brackets: as it is where that reads as itself, else between quotation marks.
#[must_use]
pub fn scalar(text: &str) -> String {
    let plain = |letter: char| {
        letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.' | '/' | '*' | '·' | '°' | '±' | ' ')
    };
    let begins = {
        let unsigned =
            text.strip_prefix(['-', '+']).filter(|rest| rest.starts_with(|letter: char| letter.is_ascii_digit()));
        unsigned.unwrap_or(text).starts_with(char::is_alphanumeric)
    };
    let body = text.strip_prefix('+').unwrap_or(text);
    if begins && body.chars().all(plain) && !text.ends_with(' ') {
        return text.to_string();
    }
    quoted(text)
}

/// A text between quotation marks, which YAML and JSON both read as that text.
pub(in crate::record) fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            // Also what YAML takes for a line end, and what must not stand in a file at all.
            letter
                if letter.is_control()
                    || matches!(letter, '\u{2028}' | '\u{2029}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}') =>
            {
                quoted.push_str(&format!("\\u{:04x}", u32::from(letter)));
            }
            letter => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}
