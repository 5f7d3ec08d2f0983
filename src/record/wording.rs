//! Every sentence this room says. Refuses to know when it is said.

use super::repair::Slip;
use super::unreadable::Reason;
use crate::finding::{Code, Finding};
use crate::text::{Source, Span};

pub(super) const EMPTY: &str = "the record is empty";
pub(super) const EMPTY_LABEL: &str = "nothing here";
pub(super) const EMPTY_HELP: &str = "begin it with `build:` and `generation:`, and measured values below";

pub(super) const TAB: &str = "a tab indents this line; YAML takes spaces only";
pub(super) const TAB_LABEL: &str = "tab here";

/// How to get rid of tabs before so many lines.
pub(super) fn tab_help(lines: usize) -> String {
    if lines <= 1 {
        "put spaces in place of the tab, as many as the neighbouring lines have".to_owned()
    } else {
        format!("put spaces in place of the tabs before this line and {} more, two for each step", lines - 1)
    }
}

/// A tab at a byte, the first of so many lines that have one.
pub(super) fn tab_finding(source: &Source, at: usize, lines: usize) -> Finding {
    Finding::new(Code::YamlUnreadable, TAB).at(source.place(Span::new(at, at + 1)), TAB_LABEL).help(tab_help(lines))
}

/// A key said twice.
pub(super) fn key_twice(key: &str) -> String {
    format!("`{}` is given twice; the first is kept", short(key))
}
pub(super) const KEY_TWICE_LABEL: &str = "given again here";
pub(super) const KEY_TWICE_FIRST: &str = "given first here";
pub(super) const KEY_TWICE_HELP: &str = "remove one of the two";

/// Nested deeper than so many steps.
pub(super) fn too_deep(most: usize) -> String {
    format!("maps and lists are nested more than {most} deep; what is deeper is left out")
}
pub(super) const TOO_DEEP_LABEL: &str = "too deep here";

pub(super) const ALIAS_CIRCLE: &str = "this alias is inside the value it repeats, so it would never end";
/// Aliases unfold into more than so many values.
pub(super) fn alias_too_large(most: usize) -> String {
    format!("aliases unfold into more than {most} values; this alias and larger ones after it are left out")
}
pub(super) const ALIAS_LABEL: &str = "alias here";
pub(super) const ALIAS_HELP: &str = "write the values out where they belong";
/// An alias nothing is anchored for.
pub(super) fn alias_unknown(name: &str) -> String {
    format!("`*{0}` repeats a value marked `&{0}`, and there is none above", short(name))
}
pub(super) const ALIAS_UNKNOWN_HELP: &str = "if the star belongs to the text, put the text in quotes";

pub(super) const DOCUMENTS: &str = "a second document begins here; only the first is read";
pub(super) const DOCUMENTS_LABEL: &str = "second begins";
pub(super) const DOCUMENTS_HELP: &str = "one build, one file: move what follows `---` to a file of its own";

/// A tag.
pub(super) fn tag(tag: &str) -> String {
    format!("the tag `{}` has no meaning in a record; the value is taken as written", short(tag))
}
pub(super) const TAG_LABEL: &str = "tag here";
pub(super) const TAG_HELP: &str = "leave out the tag; if `!` belongs to the text, put the text in quotes";

pub(super) const KEY_COMPOUND: &str =
    "a key must be a word, and this one is a map or a list; it and its value are left out";
pub(super) const KEY_COMPOUND_LABEL: &str = "key here";
pub(super) const KEY_COMPOUND_HELP: &str = "write the key as a word before `:`; put it in quotes if it has brackets";

pub(super) const MERGE: &str = "the merge key `<<` is not part of YAML 1.2 and is left out";
pub(super) const MERGE_LABEL: &str = "merge here";
pub(super) const MERGE_HELP: &str = "write the values out where they belong";

/// So many lines were left out.
pub(super) fn left_out(lines: usize) -> String {
    match lines {
        0 | 1 => "this one line was left out; the rest of the record was read".to_owned(),
        2 => "2 lines were left out, this one and the one below it; the rest of the record was read".to_owned(),
        _ => format!("{lines} lines were left out, from this one on; the rest of the record was read"),
    }
}

pub(super) const READ_SO: &str =
    "the line was read that way, and nothing was left out; the build does not pass until the line is corrected";

/// A slip that was read as it was meant, and what to write at its place.
pub(super) fn slip(slip: &Slip) -> (&'static str, &'static str) {
    match slip {
        Slip::BlankMissing => ("a space is missing after the colon", "no space"),
        Slip::ColonMissing => ("a colon is missing after the key", "no colon"),
        Slip::Outdented(..) => ("this line is indented less than the lines it belongs with", "too few spaces"),
        Slip::Short(_) => ("this line is indented one space less than the lines it belongs with", "one too few"),
        Slip::Far(_) => ("this line is indented one space more than the lines it belongs with", "one too many"),
        Slip::Tab(_) => (TAB, TAB_LABEL),
        Slip::Question => ("a `?` at the beginning of a line makes the key a map", "question mark"),
    }
}

/// How to mend a slip: the line as it should be.
pub(super) fn slip_help(slip: &Slip, line: &str) -> String {
    match slip {
        Slip::Outdented(blanks, all) => format!("put {} more spaces before it: {all} in all", all - blanks),
        Slip::Short(blanks) => format!("put one more space before it: {} in all", blanks + 1),
        Slip::Far(blanks) => format!("take away one space before it: {} in all", blanks - 1),
        Slip::BlankMissing | Slip::ColonMissing => format!("write `{}`", short(line.trim())),
        Slip::Tab(blanks) => format!("put {blanks} spaces in place of the tab"),
        Slip::Question => format!("leave out the `?`: write `{}`", short(line.trim())),
    }
}

/// Text behind a value that YAML takes for a comment.
pub(super) fn comment_cuts(remark: &str) -> String {
    format!("` #` begins a comment, so `{}` is not part of the value", short(remark.trim_end()))
}
pub(super) const COMMENT_CUTS_LABEL: &str = "cut off here";

/// How to write it, as a text or as a comment.
pub(super) fn comment_cuts_help(value: &str, remark: &str) -> String {
    let words = short(remark.trim_start_matches('#').trim());
    // A quantity in quotes with more behind it would not be read.
    if value.starts_with(|letter: char| letter.is_ascii_digit() || "+-.".contains(letter)) {
        format!("leave it out, or make it a comment with two spaces before the `#` and one after it: `  # {words}`")
    } else {
        format!(
            "to keep it, put the whole value in quotes; to make it a comment, write two spaces before the `#` and one after it: `  # {words}`"
        )
    }
}

pub(super) const REST_LEFT_OUT: &str = "too many mistakes: what follows was left out";

/// What is wrong, what to write at its place, and how to mend it.
pub(super) fn unreadable(reason: Reason) -> (String, &'static str, Option<&'static str>) {
    let plain = |message: &str, label, help| (message.to_owned(), label, Some(help));
    match reason {
        Reason::QuoteOpen => plain(
            "this quotation mark is not closed",
            "opened here",
            "close it with the same mark at the end of the text",
        ),
        Reason::AfterQuote => plain(
            "text follows a closed quotation mark",
            "not expected",
            "put the whole value in quotes; a `'` inside single quotes is written twice",
        ),
        Reason::Escape => plain(
            "text in double quotes has a backslash that means nothing",
            "in here",
            "use single quotes if the backslash is part of the text, or write it twice",
        ),
        Reason::BracketOpen(bracket) => (
            format!("the bracket `{bracket}` is not closed"),
            "opened here",
            Some(if bracket == '{' {
                "close it with `}`, and put a comma after each value"
            } else {
                "close it with `]`, and put a comma after each value"
            }),
        ),
        Reason::BracketRemark(bracket) => (
            format!("the bracket `{bracket}` is not closed, because ` #` begins a comment"),
            "opened here",
            Some("put the comment after the closing bracket; put a text with a `#` in quotes"),
        ),
        Reason::BracketWrong(open, close) => (
            format!("the bracket `{open}` is closed by `{close}`"),
            "opened here",
            Some(if open == '{' { "close it with `}`" } else { "close it with `]`" }),
        ),
        Reason::BracketStray => plain(
            "a bracket is closed here that was never opened",
            "closed here",
            "leave it out, or put the text in quotes",
        ),
        Reason::ColonTwice => plain(
            "a second `: ` stands in one line, so the value cannot be told from a key",
            "second colon",
            "put the value in quotes",
        ),
        Reason::IndentedFurther => plain(
            "this line is indented further than the line above, whose value is already complete",
            "colon here",
            "indent it exactly as far as the lines it belongs with",
        ),
        Reason::Joined => plain(
            "this line has no key, so YAML reads it and the next as one text",
            "no key here",
            "write `key: value`, with a space after the colon",
        ),
        Reason::CommaMissing => plain(
            "a comma is missing before this, or the bracket is not closed",
            "no comma before",
            "put a comma between any two values in brackets",
        ),
        Reason::CommaTwice => plain("two commas follow each other", "one too many", "leave one out"),
        Reason::Indentation => plain(
            "the indentation of this line does not match any line above",
            "this line",
            "indent it exactly as far as the lines it belongs with",
        ),
        Reason::ColonMissing => {
            plain("a key without `:`", "no colon follows", "write `:` and a space after the key, then its value")
        }
        Reason::KeyExpected => plain(
            "a key was expected here, with `:` and its value",
            "not a key",
            "write `key: value`, indented as the lines it belongs with",
        ),
        Reason::ItemExpected => plain(
            "a further item of the list above was expected here, beginning with `- `",
            "not an item",
            "begin it with `- `, or indent it as the key it belongs with",
        ),
        Reason::ItemMisplaced => plain(
            "an item beginning with `-` cannot stand here",
            "item here",
            "begin the list on its own line below the key, or write it in brackets: [1.99 mm, 2.00 mm]",
        ),
        Reason::Letter(letter) => (
            format!("a value cannot begin with {}", letter_name(letter)),
            "begins here",
            Some("put the value in quotes"),
        ),
        Reason::Control(letter) => (
            format!("the character U+{:04X} is not allowed in YAML", u32::from(letter)),
            "stands here",
            Some("delete it; an editor that shows hidden characters will find it"),
        ),
        Reason::ByteOrderMark => plain(
            "a byte order mark stands inside the record",
            "stands here",
            "delete it; an editor that shows hidden characters will find it",
        ),
        Reason::Block => plain(
            "the text block that begins with `|` or `>` is not laid out as YAML needs it",
            "in this block",
            "begin its text on the next line, every line indented by the same number of spaces",
        ),
        Reason::Directive => plain(
            "unknown YAML directive",
            "directive here",
            "leave the line out; if `%` belongs to a text, put the text in quotes",
        ),
        Reason::DocumentMark => plain(
            "`---` or `...` stands where it ends the record too early",
            "stands here",
            "leave it out, or put the text it belongs to in quotes",
        ),
        Reason::AnchorName => plain(
            "a name is missing after `&` or `*` at the beginning of a value",
            "name missing",
            "put the value in quotes if the sign belongs to the text",
        ),
        Reason::Tag => plain(
            "`!` at the beginning of a value makes it a tag, and YAML does not know this tag",
            "tag here",
            "put the value in quotes if the sign belongs to the text",
        ),
        Reason::CommentClose => plain(
            "a space is missing before the `#` of a comment",
            "comment here",
            "put a space before `#`, or the whole value in quotes",
        ),
        Reason::CommentInside => plain(
            "a comment interrupts a value that goes on below it",
            "value goes on",
            "move the comment above the value, or indent this line as the key it belongs with",
        ),
        Reason::KeyLong => plain(
            "a key is longer than 1,024 characters, or goes over a line",
            "key here",
            "shorten it; a long text belongs after `:`",
        ),
        Reason::Question => {
            plain("a `?` at the beginning of a line makes the key a map", "question mark", "leave out the `?`")
        }
        Reason::QuestionAlone => plain(
            "a `?` alone cannot be a value",
            "question mark",
            "write `unknown` if it cannot be read, or leave it empty until it is measured",
        ),
        Reason::DashClose => plain(
            "a space is missing after the `-` of an item",
            "no space",
            "begin the item with `- `, or write the list in brackets: [1.99 mm, 2.00 mm]",
        ),
        Reason::End => {
            plain("the record ends in the middle of a value", "ends here", "complete the value, or leave it out")
        }
        Reason::Other => plain(
            "this cannot be read as YAML",
            "not YAML",
            "compare it with its neighbours: spaces before the key, `:` and a space after it, quotes around odd text",
        ),
    }
}

fn letter_name(letter: char) -> String {
    match letter {
        '`' => "a backtick".to_owned(),
        other => format!("`{other}`"),
    }
}

/// As much of a text as a sentence bears.
fn short(text: &str) -> String {
    const MOST: usize = 60;
    let mut letters = text.chars();
    let mut short: String =
        letters.by_ref().take(MOST).map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    if letters.next().is_some() {
        short.push('…');
    }
    short
}
