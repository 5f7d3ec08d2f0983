//! What each name of a paper is, for an editor's colours: by what the books say it means, not by how it is written. Numbers, words and
//! remarks are the business of the grammars for editors.

use super::document::Kind;
use super::layout::seen;
use super::names::{Meaning, Occurrence, occurrences};
use super::record_names::record_names;
use super::server::Server;
use crate::book::Step;
use crate::record;
use lsp_types::{
    Range, SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokens, SemanticTokensLegend,
    TextDocumentIdentifier,
};

/// The kinds of name, each with its number for the client: the protocol's own words.
const KINDS: [SemanticTokenType; 9] = [
    SemanticTokenType::NAMESPACE,
    SemanticTokenType::TYPE,
    SemanticTokenType::CLASS,
    SemanticTokenType::ENUM,
    SemanticTokenType::ENUM_MEMBER,
    SemanticTokenType::PROPERTY,
    SemanticTokenType::VARIABLE,
    SemanticTokenType::PARAMETER,
    SemanticTokenType::FUNCTION,
];

/// What else is said of a name: it is declared here; it never changes.
const MODIFIERS: [SemanticTokenModifier; 2] = [SemanticTokenModifier::DECLARATION, SemanticTokenModifier::READONLY];

/// The words the numbers stand for.
pub(super) fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend { token_types: KINDS.to_vec(), token_modifiers: MODIFIERS.to_vec() }
}

fn kind(meaning: &Meaning) -> SemanticTokenType {
    match meaning {
        Meaning::Step(Step::Part(_)) => SemanticTokenType::NAMESPACE,
        Meaning::Unit(_) => SemanticTokenType::TYPE,
        Meaning::Generation(_) => SemanticTokenType::CLASS,
        Meaning::Set(_) => SemanticTokenType::ENUM,
        Meaning::Member(..) | Meaning::Step(Step::Position(..) | Step::Station(..)) => SemanticTokenType::ENUM_MEMBER,
        Meaning::Step(Step::Characteristic(_)) => SemanticTokenType::PROPERTY,
        Meaning::Constant(_) | Meaning::Citation(_) => SemanticTokenType::VARIABLE,
        Meaning::Parameter(..) => SemanticTokenType::PARAMETER,
        Meaning::Formula(_) | Meaning::Table(_) => SemanticTokenType::FUNCTION,
    }
}

/// The names of a rulebook or a record, or those in a range of it.
pub(super) fn tokens(
    server: &mut Server,
    document: TextDocumentIdentifier,
    range: Option<Range>,
) -> Option<SemanticTokens> {
    let seen = seen(server, document)?;
    let source = &seen.document.source;
    let names = match seen.document.kind {
        Kind::Book => occurrences(&seen.shop.book, seen.tree()?),
        Kind::Record => record_names(&seen.shop.book, record::read(source).0.as_ref()?, source).0,
        Kind::Settings | Kind::Gauges => return None,
    };
    let wanted = range.map_or(0..usize::MAX, |range| seen.document.lines.bytes(source.text(), range));
    let names = names.into_iter().filter(|name| wanted.contains(&(name.span.start as usize)));
    let mut data = Vec::new();
    let (mut line, mut column, mut end) = (0, 0, 0);
    for Occurrence { span, meaning, declares } in names.filter(|name| name.span.start < name.span.end) {
        let at = seen.document.range(span);
        // No name reaches over a line or into another.
        if span.start < end || at.start.line != at.end.line {
            continue;
        }
        end = span.end;
        let wanted = kind(&meaning);
        let Some(number) = KINDS.iter().position(|kind| *kind == wanted) else { continue };
        let constant = matches!(meaning, Meaning::Constant(_) | Meaning::Citation(_));
        data.push(SemanticToken {
            delta_line: at.start.line - line,
            delta_start: if at.start.line == line { at.start.character - column } else { at.start.character },
            length: at.end.character - at.start.character,
            token_type: u32::try_from(number).unwrap_or(0),
            token_modifiers_bitset: u32::from(declares) | u32::from(constant) << 1,
        });
        (line, column) = (at.start.line, at.start.character);
    }
    Some(SemanticTokens { result_id: None, data })
}
