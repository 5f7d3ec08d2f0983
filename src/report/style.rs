//! What reaches a terminal: colours, widths, and letters made safe to print. Refuses to know what is being said.

use std::borrow::Cow;

/// How a drawing is to look.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Look {
    /// Columns to use.
    pub width: usize,
    /// Whether to colour.
    pub colour: bool,
    /// Whether lines and marks may be drawn with letters beyond ASCII.
    pub unicode: bool,
}

impl Look {
    /// Eighty columns without colour: what a file or a pipe gets.
    pub const PLAIN: Look = Look { width: 80, colour: false, unicode: true };
}

/// The colours used, each for one meaning.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Ink {
    /// It passes.
    Good,
    /// Look at it.
    Mind,
    /// It fails.
    Fail,
    /// It is let through, or only said.
    Aside,
    /// Less important than what stands beside it.
    Faint,
}

impl Look {
    /// Text in a colour, where colours are wanted.
    pub(super) fn paint(self, ink: Ink, text: &str) -> String {
        if !self.colour {
            return text.to_string();
        }
        let code = match ink {
            Ink::Good => "32",
            Ink::Mind => "33",
            Ink::Fail => "1;31",
            Ink::Aside => "36",
            Ink::Faint => "2",
        };
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }

    /// What stands for text left out.
    pub(super) fn ellipsis(self) -> &'static str {
        if self.unicode { "…" } else { "..." }
    }
}

/// Whether a letter must not be printed as it is: it would steer the terminal, turn the direction of the line, or not
/// be seen at all.
pub(super) fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(letter,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// The letter printed for one that must not be: the picture of a control character, or a mark that something is there.
pub(super) fn picture(letter: char) -> char {
    match u32::from(letter) {
        code @ 0..=0x1f => char::from_u32(0x2400 + code).unwrap_or('\u{fffd}'),
        0x7f => '\u{2421}',
        _ => '\u{fffd}',
    }
}

/// Text on one line with nothing in it that a terminal would obey: control characters become their pictures.
#[must_use]
pub fn clean(text: &str) -> Cow<'_, str> {
    if text.chars().any(is_hidden) {
        let shown = |letter| match letter {
            '\t' => ' ',
            letter if is_hidden(letter) => picture(letter),
            letter => letter,
        };
        Cow::Owned(text.chars().map(shown).collect())
    } else {
        Cow::Borrowed(text)
    }
}

/// Columns a letter takes, near enough for wrapping: the wide scripts take two.
pub(super) fn columns(letter: char) -> usize {
    match u32::from(letter) {
        0x300..=0x36f => 0,
        0x1100..=0x115f | 0x2e80..=0xa4cf | 0xac00..=0xd7a3 | 0xf900..=0xfaff | 0xfe30..=0xfe6f => 2,
        0xff00..=0xff60 | 0xffe0..=0xffe6 | 0x1f300..=0x1faff | 0x20000..=0x3fffd => 2,
        _ => 1,
    }
}

/// Columns a text takes.
pub(super) fn width(text: &str) -> usize {
    text.chars().map(columns).sum()
}

/// Writes a sentence after `head`, wrapped at `most` columns, the lines after the first indented as far as the head
/// is wide.
pub(super) fn wrapped(out: &mut String, head: &str, head_width: usize, text: &str, most: usize) {
    let room = most.saturating_sub(head_width).max(20);
    out.push_str(head);
    let mut used = 0;
    for word in clean(text).split_whitespace() {
        let wide = width(word);
        if used > 0 && used + 1 + wide > room {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', head_width));
            used = 0;
        } else if used > 0 {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += wide;
    }
    out.push('\n');
}

/// With fewer columns than this, tables and long lines are broken to fit.
const NARROW: usize = 60;

/// A text whose lines fit into a narrow terminal: each that is too long goes on in the next, indented by two columns more. Nothing is
/// changed where there is room, and a word without a space in it stays whole.
#[must_use]
pub fn fitted(text: &str, look: Look) -> String {
    if look.width >= NARROW {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        if seen_width(line.trim_end()) <= look.width {
            out.push_str(line);
        } else {
            broken(&mut out, line.trim_end(), look.width);
        }
    }
    out
}

/// A line that is too long, broken between words.
fn broken(out: &mut String, line: &str, most: usize) {
    let indent = line.chars().take_while(|letter| *letter == ' ').count();
    let hanging = (indent + 2).min(most / 2);
    let (mut used, mut gap) = (0, 0);
    for word in line.split(' ') {
        if word.is_empty() {
            gap += 1;
            continue;
        }
        let wide = seen_width(word);
        // A word that fits nowhere gains nothing by a line of its own.
        if used > indent && used + gap + wide > most && (hanging + wide <= most || used > hanging + wide) {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', hanging));
            used = hanging;
        } else {
            out.extend(std::iter::repeat_n(' ', gap));
            used += gap;
        }
        out.push_str(word);
        used += wide;
        gap = 1;
    }
    out.push('\n');
}

/// Columns a text takes on a terminal that obeys its colours.
fn seen_width(text: &str) -> usize {
    let mut coloured = false;
    let seen = text.chars().filter(|letter| match letter {
        '\u{1b}' => {
            coloured = true;
            false
        }
        'm' if coloured => {
            coloured = false;
            false
        }
        _ => !coloured,
    });
    seen.map(columns).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_a_terminal_obeys_is_left() {
        let hostile = "a\u{1b}[31mb\u{7}\u{9b}2J\r\nc\u{202e}d\u{200b}\u{7f}\te";
        let shown = clean(hostile);
        assert!(!shown.chars().any(is_hidden), "{shown:?}");
        assert_eq!(shown, "a␛[31mb␇\u{fffd}2J␍␊c\u{fffd}d\u{fffd}␡ e");
        assert!(matches!(clean("80 µm ± 1 °C"), Cow::Borrowed(_)));
    }

    #[test]
    fn a_line_that_does_not_fit_goes_on_in_the_next() {
        let look = Look { width: 20, ..Look::PLAIN };
        assert_eq!(fitted("  one two   three four five\nsix\n", look), "  one two   three\n    four five\nsix\n");
        assert_eq!(
            fitted("a \u{1b}[1;31mred\u{1b}[0m word fits too, no more\n", look),
            "a \u{1b}[1;31mred\u{1b}[0m word fits too,\n  no more\n"
        );
        let whole = "  where a/word/without/any/space\n";
        assert_eq!(fitted(whole, look), whole, "a word that fits nowhere stays where it is");
        assert_eq!(fitted(&"long ".repeat(9), Look::PLAIN), "long ".repeat(9));
    }

    #[test]
    fn sentences_wrap_under_their_beginning() {
        let mut out = String::new();
        wrapped(&mut out, "    because: ", 13, "one two three four five six seven", 34);
        assert_eq!(out, "    because: one two three four\n             five six seven\n");
        assert!(out.lines().all(|line| width(line) <= 34));
    }
}
