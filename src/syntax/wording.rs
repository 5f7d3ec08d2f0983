//! Every sentence the room `syntax` says. Knows the words of the language; refuses to decide when to say what.

use super::expectation;
use super::grammar::Rule;

pub(super) const LABEL_TOO_DEEP: &str = "too deep here";
pub(super) const LABEL_NUMBER: &str = "this number";
pub(super) const LABEL_DATE: &str = "this date";
pub(super) const LABEL_HEADER: &str = "header belongs here";
pub(super) const LABEL_LATE: &str = "too late here";
pub(super) const LABEL_TWICE: &str = "given again here";
pub(super) const LABEL_ONCE: &str = "given first here";
pub(super) const LABEL_STRAY: &str = "closes nothing";
pub(super) const LABEL_OPENED: &str = "opened here";
pub(super) const LABEL_HERE: &str = "here";

pub(super) fn too_deep() -> String {
    "brackets are nested deeper than 64".into()
}
pub(super) fn too_deep_help() -> String {
    "give the inner value a name of its own with derive, and use the name here".into()
}
pub(super) fn value_too_long() -> String {
    "this value has too many steps in one piece, the most is 200".into()
}
pub(super) fn value_too_long_help() -> String {
    "split it: give parts of it names of their own with derive or formula".into()
}
pub(super) fn number_too_long() -> String {
    "this number has more digits than anything is measured to".into()
}
pub(super) fn number_too_long_help() -> String {
    "write at most 60 digits".into()
}
pub(super) fn count_too_large(written: &str) -> String {
    format!("{written} is more than a book can count to")
}
pub(super) fn count_too_large_help() -> String {
    "write a whole number up to 65535".into()
}
pub(super) fn date_wrong(written: &str) -> String {
    format!("{written} is not a day of any year from 1900 to 2999")
}
pub(super) fn date_help() -> String {
    "write the date as year-month-day, such as 2026-03-01".into()
}
pub(super) fn header_missing() -> String {
    "the book does not begin with its header".into()
}
pub(super) fn header_help() -> String {
    "begin the file with a line such as: rulebook \"Title of the book\" edition 2026-03-01".into()
}
pub(super) fn header_late() -> String {
    "'rulebook' stands once, as the first thing in the file".into()
}
pub(super) fn header_late_help() -> String {
    "keep one header and move it to the top of the file".into()
}
pub(super) fn said_twice(written: &str) -> String {
    let mut words = written.split_ascii_whitespace();
    let word = match (words.next().unwrap_or(written), words.next()) {
        (tier @ ("standard" | "limit"), Some("from")) => format!("{tier} from"),
        (word, _) => word.to_owned(),
    };
    format!("'{word}' is given twice")
}
pub(super) fn brace_stray() -> String {
    "there is no '{' for this '}'".into()
}
pub(super) fn brace_stray_help() -> String {
    "take the '}' out, or look above it for a '{' that is missing".into()
}
pub(super) fn brace_doubled() -> String {
    "this '}' comes right after another, and the book has one too many".into()
}
pub(super) fn brace_open() -> String {
    "this '{' is not closed".into()
}
pub(super) fn brace_open_help() -> String {
    "write '}' where the block ends".into()
}
pub(super) fn write(instead: &str) -> String {
    format!("write '{instead}'")
}
pub(super) fn write_instead(right: &str, wrong: &str) -> String {
    format!("write '{right}' in place of '{wrong}'")
}
/// Round brackets where braces belong: both of them.
pub(super) fn braces_instead() -> String {
    write_instead("{ … }", "( … )")
}
pub(super) fn full_width(written: &str) -> String {
    format!("'{}' is written in full-width characters", short(written))
}
pub(super) fn quotes_typographic() -> String {
    "words go between straight quotation marks".into()
}
pub(super) fn quotes_help() -> String {
    "put the words between straight marks: \"like this\"".into()
}
pub(super) fn no_meaning(written: &str) -> String {
    format!("'{}' has no meaning here", short(written))
}
pub(super) fn dash_help() -> String {
    "write 'to' between the two ends of a range, or '-' to subtract".into()
}
pub(super) fn semicolon_help() -> String {
    "take it out: nothing is needed at the end of a line".into()
}
pub(super) fn odd_space(letter: char) -> String {
    format!("there is an unusual space here (U+{:04X})", u32::from(letter))
}
pub(super) fn odd_space_help() -> String {
    "type an ordinary space in its place, or take it out".into()
}
pub(super) fn control(letter: char) -> String {
    format!("there is a control character here (U+{:04X})", u32::from(letter))
}
pub(super) fn take_out() -> String {
    "take it out".into()
}
pub(super) fn backslash() -> String {
    "between quotation marks a backslash goes only before '\"' or another backslash".into()
}
pub(super) fn backslash_help() -> String {
    "write '\\\\' for one backslash".into()
}
pub(super) fn dots(written: &str) -> String {
    format!("'{}' is neither a number nor a range", short(written))
}
pub(super) fn number_wrong(written: &str) -> String {
    format!("'{}' is not a number in this language", short(written))
}
pub(super) fn number_help() -> String {
    "write the number out in digits with a point for the decimals, such as 0.001".into()
}
pub(super) fn quote_open() -> String {
    "this quotation mark is not closed on its line".into()
}
pub(super) fn quote_open_help() -> String {
    "write '\"' where the words end; words stay on one line".into()
}
pub(super) fn name_reserved(word: &str) -> String {
    format!("'{word}' is a word of the language and cannot be a name")
}
pub(super) fn name_reserved_help(word: &str) -> String {
    format!("choose another name, such as own_{word}")
}
pub(super) fn word_unknown(word: &str) -> String {
    format!("'{}' cannot stand here", short(word))
}
pub(super) fn did_you_mean(word: &str) -> String {
    format!("did you mean '{word}'?")
}
pub(super) fn begins_nothing(word: &str) -> String {
    format!("nothing here can begin with '{}'", short(word))
}
pub(super) fn begins_help(words: &[&str]) -> String {
    format!("begin with {}", list(&words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>()))
}
pub(super) fn stands_elsewhere(word: &str, place: &str) -> String {
    format!("'{word}' goes {place}, not here")
}
pub(super) fn tier_elsewhere(word: &str) -> String {
    format!("'{word} from' says where a {word} comes from, and there is no {word} here")
}
pub(super) fn tier_elsewhere_help(word: &str) -> String {
    format!("write 'from' without '{word}' before it, or give the row a {word}")
}
/// Where a word that begins or continues something belongs.
pub(super) fn stands_where(word: &str) -> Option<&'static str> {
    Some(match word {
        "rulebook" | "use" | "unit" | "class" | "formula" | "source" | "extend" | "generation" | "basis"
        | "general" | "table" | "house" | "try" | "fits" => "at the top of a book",
        "choice" => "at the top of a book, or as the type of a reading",
        "constant" => "at the top of a book or inside a generation",
        "part" => "at the top of a book or inside a part",
        "derive" | "expansion" => "inside a part",
        "fitted" | "replace" | "telltale" | "rework" => "inside a generation",
        "plausible" => "inside a generation, or before 'gauges' at the top of a book",
        "judge" | "gauges" | "for" => "inside a house",
        "tighten" | "loosen" | "add" | "adopt" | "narrow" => "inside a 'for' of a house",
        "retire" => "inside a house or its 'for'",
        "measure" => "between '{' and '}' after a reading, or inside a part",
        "expect" => "inside a try",
        "also" => "after the range of a standard or limit",
        "rounded" => "in a row, after its ranges",
        "standard" | "limit" | "advisory" | "never" | "where" => "in a row, after the characteristic",
        "because" | "remedy" | "caution" | "from" => {
            "between '{' and '}' after a row, a reading, a derivation or a constant"
        }
        _ => return None,
    })
}
pub(super) fn unit_first(unit: &str) -> String {
    format!("the unit '{}' comes before its number", short(unit))
}
pub(super) fn row_without_range(path: &str) -> String {
    format!("{}: the row does not say what it may be", short(path))
}
pub(super) fn row_without_range_help() -> String {
    "write 'standard' or 'limit' and a range, such as: limit at most 0.06 mm".into()
}
pub(super) fn clause_late(word: &str, other: &str) -> String {
    format!("'{word}' goes before '{other}' in a row")
}
pub(super) fn clause_order_help() -> String {
    "keep the order: standard, limit, rounded to, advisory, never excused, where".into()
}
pub(super) fn outer_alone() -> String {
    "an outer limit is a row of its own".into()
}
pub(super) fn outer_alone_help() -> String {
    "name the characteristic before it, on a line of its own, such as: pump.gap outer limit at most 0.5 mm".into()
}
pub(super) fn name_letters(written: &str) -> String {
    format!("'{}' has characters that a name may not have", short(written))
}
pub(super) fn name_letters_help() -> String {
    "use the letters a to z, digits and '_'".into()
}
pub(super) fn unit_quoted(written: &str) -> String {
    format!("put it between quotation marks: \"{}\"", short(written))
}
pub(super) fn generation_help(word: &str) -> String {
    format!("say in words what it is, such as: {word} NAME \"654 cc, 2 mm seals\" {{")
}
pub(super) fn quote_it(written: &str, more: bool) -> String {
    let rest = if more { " …" } else { "" };
    format!("put the words between quotation marks: \"{}{rest}\"", short(written))
}
pub(super) fn line_early(last: &str) -> String {
    format!("the line ends after '{}', and something is missing", short(last))
}
pub(super) fn line_early_help(last: &str) -> String {
    format!("write after '{}' what it needs, or take the line out", short(last))
}
pub(super) fn equals_help() -> String {
    "write 'is' before a name, 'exactly' before a number".into()
}
pub(super) fn date_shape(written: &str) -> String {
    format!("'{}' is not a date in this language", short(written))
}
pub(super) fn close_paren_help() -> String {
    "write ')' where the parenthesis ends".into()
}
pub(super) fn between_help(sign: &str, before: &str, after: &str) -> String {
    format!("write `{sign}` between '{}' and '{}'", short(before), short(after))
}

pub(super) fn fit_help(fit: &str) -> String {
    format!("write the size with its unit before the tolerance class, such as: 43 mm {fit}")
}

pub(super) fn tier_help() -> String {
    "write `limit` before the range (worn as far as may be), or `standard` (as new)".into()
}

pub(super) fn value_help(before: &str) -> String {
    match before {
        "=" | "(" | "of" | "to" | "least" | "most" | "above" | "below" | "exactly" => {
            format!("write a number with its unit or a name after '{before}'")
        }
        _ => format!("write a number with its unit or a name after '{before}', or take '{before}' out"),
    }
}

pub(super) fn a_range_help() -> String {
    "a range is such as 0.12 to 0.21 mm, at least 0.10 mm, at most 1, 5 thou ± 1 thou, or the names that are right"
        .into()
}

pub(super) fn comma_help(before: &str, after: &str) -> String {
    format!("write a comma between '{}' and '{}'", short(before), short(after))
}
pub(super) fn plus_minus_help() -> String {
    "write '±' or '+/-'".into()
}
pub(super) fn range_help(written: &str) -> String {
    format!("say which: 'exactly {0}', 'at least {0}', 'at most {0}', or a second end after 'to'", short(written))
}

/// `expected A or B after 'C', found 'D'`.
pub(super) fn expected(rules: &[Rule], before: Option<&str>, found: Option<&str>) -> String {
    let names = expectation::names(rules);
    let after = before.map(|before| format!(" after '{}'", short(before))).unwrap_or_default();
    match (names.is_empty(), found) {
        (false, Some(found)) => format!("expected {}{after}, found '{}'", list(&names), short(found)),
        (false, None) => format!("expected {}{after}", list(&names)),
        (true, Some(found)) => format!("'{}' cannot stand here{after}", short(found)),
        (true, None) => format!("something is missing{after}"),
    }
}

pub(super) use expectation::literal;

/// `a`, `a or b`, `a, b or c`.
fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// What was written, cut where it would fill the line.
fn short(written: &str) -> String {
    const MOST: usize = 40;
    let line = written.lines().next().unwrap_or("");
    if line.chars().count() <= MOST {
        return line.to_owned();
    }
    line.chars().take(MOST).chain(['…']).collect()
}
