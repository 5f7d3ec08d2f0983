//! Re-says the reader's refusals in plain words, at the bytes they are about. Refuses to know the tape.

use granit_parser::{ErrorKind, ScanError};

use crate::text::Span;

/// Why a text is not YAML, as far as it makes a difference to the one who must mend it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Reason {
    QuoteOpen,
    AfterQuote,
    Escape,
    BracketOpen(char),
    /// A bracket that a ` #` in its line keeps from being closed.
    BracketRemark(char),
    BracketWrong(char, char),
    BracketStray,
    ColonTwice,
    IndentedFurther,
    Joined,
    CommaMissing,
    CommaTwice,
    Indentation,
    ColonMissing,
    KeyExpected,
    ItemExpected,
    ItemMisplaced,
    Letter(char),
    Control(char),
    ByteOrderMark,
    Block,
    Directive,
    DocumentMark,
    AnchorName,
    Tag,
    CommentClose,
    CommentInside,
    KeyLong,
    /// A line that begins with `?`.
    Question,
    /// A `?` for a value.
    QuestionAlone,
    /// `-` with its item written against it.
    DashClose,
    End,
    Other,
}

/// What stopped the reader.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Stop {
    /// A tab before the text of a line: the line that has it begins at this byte.
    Tab(usize),
    /// Nested deeper than the reader goes.
    Deep,
    /// Anything else.
    Text(Reason),
}

/// A refusal with its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mistake {
    pub(super) stop: Stop,
    pub(super) span: Span,
}

/// Takes a refusal of the reader's apart. `bracket` is the innermost bracket still open before it.
pub(super) fn mistake(text: &str, error: &ScanError, bracket: Option<usize>) -> Mistake {
    let at = text.floor_char_boundary(error.marker().byte_offset().unwrap_or(text.len()));
    let tab = matches!(
        error.kind(),
        ErrorKind::TabNotAllowed
            | ErrorKind::TabInBlockIndentation
            | ErrorKind::TabInPlainScalar
            | ErrorKind::TabInIndentation
            | ErrorKind::TabAtBlockScalarStart
    );
    if let Some(line) = tab.then(|| line_with_tab(text, at)).flatten() {
        let tab = text.get(line..).and_then(|rest| rest.find('\t')).unwrap_or(0) + line;
        return Mistake { stop: Stop::Tab(line), span: Span::new(tab, tab + 1) };
    }
    if *error.kind() == ErrorKind::RecursionLimitExceeded {
        return Mistake { stop: Stop::Deep, span: letter_at(text, at) };
    }
    let mut at = at;
    let mut reason = reason(text, at, error.kind(), bracket.is_some());
    if reason == Reason::QuestionAlone {
        at = question_alone(text, at).unwrap_or(at);
    }
    if *error.kind() == ErrorKind::ExpectedDocumentStart {
        match text.get(..at).and_then(|before| before.rfind("\n%")) {
            Some(end) => at = end + 1,
            None if text.starts_with('%') => at = 0,
            None => reason = Reason::KeyExpected,
        }
    }
    // The reader may have gone past the dash.
    if matches!(reason, Reason::ItemMisplaced | Reason::KeyExpected)
        && let Some(before) = text.get(..at).map(|before| before.trim_end_matches([' ', '\t']))
        && text.get(line_start(text, at)..before.len()).is_some_and(|line| line.trim_start() == "-")
    {
        reason = Reason::ItemMisplaced;
        at = before.len() - 1;
    }
    if let Reason::Control(letter) = reason {
        at += text.get(at..).and_then(|rest| rest.find(letter)).unwrap_or(0);
    }
    if reason == Reason::IndentedFurther
        && let Some(above) = line_above(text, at).filter(|above| indentation(text, *above) >= indentation(text, at))
    {
        let begin = above + indentation(text, above);
        return Mistake { stop: Stop::Text(Reason::Joined), span: Span::new(begin, line_text_end(text, begin)) };
    }
    // What goes wrong further down, in or after a bracket left open, is the bracket's fault.
    let colon_or_end = matches!(
        reason,
        Reason::ColonTwice
            | Reason::IndentedFurther
            | Reason::CommaMissing
            | Reason::ItemMisplaced
            | Reason::End
            | Reason::KeyExpected
    );
    if let Some(open) = bracket.filter(|open| colon_or_end && line_start(text, *open) < line_start(text, at)) {
        let sign = text.get(open..).and_then(|rest| rest.chars().next()).unwrap_or('[');
        let line = text.get(open..).and_then(|rest| rest.split('\n').next()).unwrap_or("");
        let remark = line.split_once(" #").is_some_and(|(_, remark)| remark.contains([']', '}']));
        let reason = if remark { Reason::BracketRemark(sign) } else { Reason::BracketOpen(sign) };
        return Mistake { stop: Stop::Text(reason), span: letter_at(text, open) };
    }
    let span = match reason {
        Reason::QuoteOpen | Reason::ColonMissing | Reason::Directive => Span::new(at, line_text_end(text, at)),
        Reason::BracketOpen(_)
        | Reason::BracketRemark(_)
        | Reason::BracketWrong(..)
        | Reason::BracketStray
        | Reason::ColonTwice
        | Reason::IndentedFurther
        | Reason::CommaMissing
        | Reason::CommaTwice
        | Reason::Control(_)
        | Reason::ByteOrderMark
        | Reason::QuestionAlone
        | Reason::ItemMisplaced => letter_at(text, at),
        _ => word_at(text, at),
    };
    Mistake { stop: Stop::Text(reason), span }
}

/// A quotation mark left open.
pub(super) fn quote_open(text: &str, at: usize) -> Mistake {
    Mistake { stop: Stop::Text(Reason::QuoteOpen), span: Span::new(at, line_text_end(text, at)) }
}

fn reason(text: &str, at: usize, kind: &ErrorKind, bracket: bool) -> Reason {
    match kind {
        ErrorKind::MappingKeyNotAllowed
        | ErrorKind::ExpectedFlowMappingSeparator
        | ErrorKind::ExpectedFlowSequenceSeparator
        | ErrorKind::UnexpectedEofImplicitFlowMapping
            if question_alone(text, at).is_some() =>
        {
            Reason::QuestionAlone
        }
        ErrorKind::UnclosedQuotedScalar => Reason::QuoteOpen,
        ErrorKind::InvalidTrailingSingleQuotedScalar | ErrorKind::InvalidTrailingDoubleQuotedScalar => {
            Reason::AfterQuote
        }
        ErrorKind::UnknownQuotedScalarEscape
        | ErrorKind::InvalidQuotedScalarHexEscape
        | ErrorKind::InvalidLowSurrogateHexEscape
        | ErrorKind::InvalidLowSurrogate
        | ErrorKind::MissingLowSurrogate
        | ErrorKind::UnpairedLowSurrogate
        | ErrorKind::InvalidUnicodeEscape => Reason::Escape,
        ErrorKind::UnclosedFlowCollection { open } => Reason::BracketOpen(*open),
        ErrorKind::MismatchedFlowCollectionEnd { open, close } => Reason::BracketWrong(*open, *close),
        ErrorKind::MisplacedFlowCollectionEnd => Reason::BracketStray,
        ErrorKind::MappingValueNotAllowed
        | ErrorKind::InvalidColonPlacement
        | ErrorKind::FlowMappingValueAdjacentCollection
        | ErrorKind::InvalidMappingValueWhitespace
        | ErrorKind::ExpectedFlowMappingSeparator
        | ErrorKind::ExpectedFlowSequenceSeparator
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofFlowSequence
        | ErrorKind::UnexpectedEofImplicitFlowMapping
            if bracket =>
        {
            in_bracket(text, at)
        }
        ErrorKind::MappingValueNotAllowed
        | ErrorKind::InvalidColonPlacement
        | ErrorKind::FlowMappingValueAdjacentCollection
        | ErrorKind::InvalidMappingValueWhitespace
        | ErrorKind::ExpectedFlowMappingSeparator
        | ErrorKind::ExpectedFlowSequenceSeparator => colon(text, at),
        ErrorKind::InvalidIndentation
        | ErrorKind::InvalidQuotedScalarIndent
        | ErrorKind::InvalidFlowScalarIndent
        | ErrorKind::MappingKeyNotAllowed => Reason::Indentation,
        ErrorKind::SimpleKeyExpected if is_close_dash(text.get(at..).unwrap_or("")) => Reason::DashClose,
        ErrorKind::SimpleKeyExpected => Reason::ColonMissing,
        ErrorKind::InvalidSimpleKey => Reason::KeyLong,
        ErrorKind::ExpectedBlockMappingKey | ErrorKind::UnexpectedEofBlockMapping => unexpected(text, at),
        ErrorKind::ExpectedBlockSequenceEntry | ErrorKind::UnexpectedEofBlockSequence => Reason::ItemExpected,
        ErrorKind::BlockEntryInFlowCollection
        | ErrorKind::BlockSequenceEntryNotAllowed
        | ErrorKind::InvalidBlockEntryWhitespace
        | ErrorKind::PlainScalarStartsWithDashFlowIndicator => Reason::ItemMisplaced,
        ErrorKind::UnexpectedCharacter { character } if character.is_control() => Reason::Control(*character),
        ErrorKind::UnexpectedCharacter { character } => Reason::Letter(*character),
        ErrorKind::BomInsideDocument => Reason::ByteOrderMark,
        ErrorKind::ZeroBlockScalarIndent
        | ErrorKind::InvalidBlockScalarHeader
        | ErrorKind::TabAtBlockScalarStart
        | ErrorKind::InvalidBlockScalarIndent => Reason::Block,
        ErrorKind::DuplicateVersionDirective
        | ErrorKind::UnsupportedYamlMajorVersion
        | ErrorKind::DuplicateTagDirective
        | ErrorKind::MissingDocumentEndBeforeDirective
        | ErrorKind::InvalidDirectiveTerminator
        | ErrorKind::DirectiveDisallowed
        | ErrorKind::MissingYamlVersionSeparator
        | ErrorKind::MissingDirectiveName
        | ErrorKind::InvalidDirectiveName
        | ErrorKind::DirectiveByteLimitExceeded { .. }
        | ErrorKind::TooManyReservedDirectiveParams { .. }
        | ErrorKind::YamlVersionTooLong
        | ErrorKind::MissingYamlVersion
        | ErrorKind::ExpectedTagDirectiveBang
        | ErrorKind::InvalidTagDirectiveTerminator
        | ErrorKind::ExpectedDocumentStart => Reason::Directive,
        ErrorKind::DocumentIndicatorInQuotedScalar | ErrorKind::InvalidDocumentEnd => Reason::DocumentMark,
        ErrorKind::MissingAnchorOrAliasName => Reason::AnchorName,
        ErrorKind::UndeclaredTagHandle
        | ErrorKind::ExpectedTagBang
        | ErrorKind::InvalidGlobalTagCharacter
        | ErrorKind::InvalidTagTerminator
        | ErrorKind::MissingTagUri
        | ErrorKind::UnclosedVerbatimTag
        | ErrorKind::InvalidTagEscape
        | ErrorKind::InvalidTagUtf8LeadingByte
        | ErrorKind::InvalidTagUtf8TrailingByte
        | ErrorKind::InvalidTagUtf8 => Reason::Tag,
        ErrorKind::CommentNotSeparated => Reason::CommentClose,
        ErrorKind::CommentInterceptedScalar => Reason::CommentInside,
        ErrorKind::UnexpectedEof
        | ErrorKind::UnexpectedEndOfPlainScalar
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofFlowSequence
        | ErrorKind::UnexpectedEofImplicitFlowMapping => Reason::End,
        _ => Reason::Other,
    }
}

/// A colon is one too many in its line, or the first in a line that YAML takes for more of the value above.
fn colon(text: &str, at: usize) -> Reason {
    let before = text.get(line_start(text, at)..at).unwrap_or("");
    let rest = text.get(at..).unwrap_or("");
    if !rest.starts_with(':') {
        return if rest.trim_start().is_empty() { Reason::End } else { Reason::Other };
    }
    if before.contains(": ") { Reason::ColonTwice } else { Reason::IndentedFurther }
}

/// Something stands between brackets that YAML does not expect there.
fn in_bracket(text: &str, at: usize) -> Reason {
    match text.get(at..).and_then(|rest| rest.trim_start().chars().next()) {
        Some(',') => Reason::CommaTwice,
        Some(_) => Reason::CommaMissing,
        None => Reason::End,
    }
}

/// Something stands where a key was due.
fn unexpected(text: &str, at: usize) -> Reason {
    match text.get(at..).and_then(|rest| rest.chars().next()) {
        Some(']' | '}') => Reason::BracketStray,
        Some(letter @ (',' | '@' | '`' | '%')) => Reason::Letter(letter),
        Some('-') => Reason::ItemMisplaced,
        None => Reason::End,
        _ => Reason::KeyExpected,
    }
}

/// The `?` that stands alone for a value, at a byte or before it in its line.
fn question_alone(text: &str, at: usize) -> Option<usize> {
    let start = line_start(text, at);
    let here = text.get(at..)?.starts_with('?').then_some(at);
    let mark = here.or_else(|| Some(start + text.get(start..at)?.trim_end().strip_suffix('?')?.len()))?;
    let ends = |rest: &str| rest.trim_start_matches([' ', '\t', '\r']).starts_with(['\n', ',', ']', '}', '#']);
    let rest = text.get(mark + 1..)?;
    let before = text.get(start..mark)?.trim_end();
    (before.ends_with([':', '[', ',']) && (rest.is_empty() || ends(rest))).then_some(mark)
}

/// Whether a text begins with a `-` and a number against it.
fn is_close_dash(text: &str) -> bool {
    text.strip_prefix('-').is_some_and(|rest| rest.starts_with(|letter: char| letter.is_ascii_digit()))
}

/// The byte at which the line of a byte begins.
pub(super) fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1)
}

/// The byte after the last letter of a line that is no blank.
fn line_text_end(text: &str, at: usize) -> usize {
    let line = text.get(at..).and_then(|rest| rest.split('\n').next()).unwrap_or("");
    at + line.trim_end().len()
}

/// Where the last line above that of a byte begins that has text and is not a remark.
pub(super) fn line_above(text: &str, at: usize) -> Option<usize> {
    let mut start = line_start(text, at);
    loop {
        start = line_start(text, start.checked_sub(1)?);
        let line = text.get(start..).and_then(|rest| rest.split('\n').next()).unwrap_or("");
        if !line.trim().is_empty() && !line.trim_start().starts_with('#') {
            return Some(start);
        }
    }
}

/// How many blanks stand before the text of the line of a byte.
pub(super) fn indentation(text: &str, at: usize) -> usize {
    let line = text.get(line_start(text, at)..).unwrap_or("");
    line.len() - line.trim_start_matches([' ', '\t']).len()
}

fn letter_at(text: &str, at: usize) -> Span {
    let length = text.get(at..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
    Span::new(at, at + length)
}

/// The letters from a byte to the next blank.
pub(super) fn word_at(text: &str, at: usize) -> Span {
    let rest = text.get(at..).unwrap_or("");
    let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
    if length == 0 { letter_at(text, at) } else { Span::new(at, at + length) }
}

/// The first line, from that of a byte on, whose text has a tab before it.
fn line_with_tab(text: &str, at: usize) -> Option<usize> {
    let mut start = line_start(text, at);
    for line in text.get(start..)?.split_inclusive('\n') {
        if has_tab_before_text(line) {
            return Some(start);
        }
        start += line.len();
    }
    None
}

/// Whether the line of a byte has a tab before its text.
pub(super) fn is_tab_line(text: &str, at: usize) -> bool {
    let line = text.get(line_start(text, at)..).and_then(|rest| rest.split('\n').next());
    line.is_some_and(has_tab_before_text)
}

/// Whether a tab stands among the blanks before the text of a line, if it has text.
pub(super) fn has_tab_before_text(line: &str) -> bool {
    let text = line.trim_start_matches([' ', '\t']);
    let blanks = line.get(..line.len() - text.len()).unwrap_or("");
    !text.trim_end().is_empty() && !text.starts_with('#') && blanks.contains('\t')
}
