//! What may stand next in a book that ends in the middle: asked of the grammar. Refuses to know what any name means.

use super::again::{HEAD, span_of};
use super::ask;
use super::expectation::literal;
use super::expression::end_of;
use super::grammar::Rule;
use super::reader::Context;
use super::scan::{Shape, Tokens, scan};
use super::tree::{Item, Tree};
use crate::finding::Finding;

/// A letter that stands nowhere in the language.
const NOTHING: char = '\u{1}';

/// What may stand at the end of a text.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Next {
    /// Words of the language.
    pub words: Vec<&'static str>,
    /// Whether a name that is declared somewhere may.
    pub name: bool,
    /// Whether a unit may.
    pub unit: bool,
    /// Whether a type may.
    pub kind: bool,
    /// Whether the name is that of a source: it follows a `from` among the words of a row.
    pub source: bool,
    /// The first path of the line it would stand in, as written: what a row is about.
    pub subject: Option<String>,
}

/// What may follow a text that is the beginning of a book read before, with what was found then: as [`next`] gives it. Among the rows of a generation only
/// the lines before are looked at, so that it takes no longer in a large book.
#[must_use]
pub fn next_in(tree: &Tree, findings: &[Finding], text: &str) -> Next {
    match lines_before(tree, findings, text) {
        Some(lines) => next(&format!("{HEAD}{lines}")),
        None => next(text),
    }
}

/// The end of a text, from the second to last row that is whole before it.
fn lines_before<'a>(tree: &Tree, findings: &[Finding], text: &'a str) -> Option<&'a str> {
    let at = text.len();
    let members = tree.items.iter().find_map(|item| match item {
        Item::Generation(generation) if (generation.span.start as usize) < at && at < generation.span.end as usize => {
            Some(&generation.members)
        }
        _ => None,
    })?;
    let whole = members.partition_point(|member| (span_of(member).end as usize) < at);
    let start = span_of(members.get(whole.checked_sub(2)?)?).start as usize;
    let line = text.get(..start)?.trim_end_matches([' ', '\t']);
    // Where something before cannot be read, a brace may have ended the generation.
    let sound =
        |finding: &Finding| finding.place.as_ref().is_some_and(|(place, _)| place.span.start as usize >= line.len());
    text.get(line.len()..).filter(|_| line.ends_with('\n') && findings.iter().all(sound))
}

/// What may follow a text that is the beginning of a book.
#[must_use]
pub fn next(text: &str) -> Next {
    let tokens = scan(text);
    let (context, from) = block(text, &tokens);
    let (start, whole) = line(context, text, &tokens, from);
    let mut rules = Vec::new();
    // What could go on, where the line is whole already, and what could begin another. A line that is whole ends well at the end of the
    // text, so a letter is put there that nothing may begin with.
    let stopped = format!("{text}{NOTHING}");
    if let Some(failure) =
        ask::why_not(context, text, &tokens, start).or_else(|| ask::what_else(context, &stopped, &tokens, start))
    {
        rules.extend(failure.expected);
    }
    if whole && let Some(failure) = ask::what_else(context, &stopped, &tokens, start) {
        rules.extend(failure.expected);
    }
    let another = start >= tokens.list.len() || whole;
    if another {
        rules.extend(ask::beginnings(context));
    }
    let last = tokens.list.last().and_then(|token| text.get(token.span.range()));
    let source = context == Context::Texts && last == Some("from");
    let mut next = Next { subject: subject(text, &tokens, start), source, ..Next::default() };
    for rule in rules {
        match rule {
            Rule::unit_name => next.unit = true,
            Rule::type_name | Rule::named_type => next.kind = true,
            Rule::path | Rule::segment | Rule::name | Rule::sum | Rule::factor | Rule::row | Rule::range => {
                next.name = true;
            }
            _ => {}
        }
        next.words.extend(begins(rule));
        let word = literal(rule).filter(|word| word.starts_with(|letter: char| letter.is_ascii_alphabetic()));
        next.words.extend(word);
    }
    next.words.sort_unstable();
    next.words.dedup();
    next
}

/// The words that a whole line of a kind may begin with: pest names the line, not its first word.
fn begins(rule: Rule) -> &'static [&'static str] {
    match rule {
        Rule::header => &["rulebook"],
        Rule::use_file => &["use"],
        Rule::unit => &["unit"],
        Rule::set => &["class", "choice"],
        Rule::constant | Rule::given => &["constant"],
        Rule::formula => &["formula"],
        Rule::source => &["source"],
        Rule::general => &["general"],
        Rule::table => &["table"],
        Rule::house_head => &["house"],
        Rule::try_head => &["try"],
        Rule::fits_head => &["fits"],
        Rule::extend => &["extend"],
        Rule::part_head => &["part"],
        Rule::generation_head => &["generation", "basis"],
        Rule::derive => &["derive"],
        Rule::expansion => &["expansion"],
        Rule::fitted => &["fitted"],
        Rule::telltale => &["telltale", "replace"],
        Rule::plausible => &["plausible", "replace"],
        Rule::plausible_gauges => &["plausible"],
        Rule::rework => &["rework", "replace"],
        Rule::narrow => &["narrow"],
        Rule::row => &["replace"],
        Rule::for_head => &["for"],
        Rule::retire_for | Rule::drop => &["retire", "adopt"],
        Rule::change => &["tighten", "loosen", "add"],
        Rule::because => &["because"],
        Rule::remedy => &["remedy"],
        Rule::caution => &["caution"],
        Rule::measure => &["measure"],
        Rule::from => &["from", "standard", "limit"],
        Rule::source_grade => &["maker", "trade", "forum", "reference"],
        _ => &[],
    }
}

/// The block the text ends in, and the token its unfinished line may begin with.
fn block(text: &str, tokens: &Tokens) -> (Context, usize) {
    let mut open: Vec<Context> = Vec::new();
    let mut from = 0;
    for (index, token) in tokens.list.iter().enumerate() {
        match token.shape {
            Shape::Mark('{') => {
                open.push(opened(text, tokens, from, index));
                from = index + 1;
            }
            Shape::Mark('}') => {
                open.pop();
                from = index + 1;
            }
            _ => {}
        }
    }
    (open.last().copied().unwrap_or(Context::Top), from)
}

/// What kind of block a brace opens: the last word before it that opens one at the beginning of a line.
fn opened(text: &str, tokens: &Tokens, from: usize, brace: usize) -> Context {
    let words = (from..brace).rev().filter_map(|index| tokens.get(index)).filter(|token| token.first);
    for token in words {
        match text.get(token.span.range()).unwrap_or("") {
            "part" => return Context::Part,
            "generation" | "basis" => return Context::Generation,
            "house" => return Context::House,
            "for" => return Context::Overlay,
            "try" => return Context::Try,
            "fits" => return Context::Fits,
            _ => {}
        }
    }
    Context::Texts
}

/// The token the last line begins with, and whether that line could end here.
fn line(context: Context, text: &str, tokens: &Tokens, from: usize) -> (usize, bool) {
    let mut start = from;
    while let Some(token) = tokens.get(start) {
        let base = token.span.start as usize;
        let Some(pair) = ask::line(context, text.get(base..).unwrap_or("")) else {
            // A line that cannot be read: the next one that begins on its own may be the last.
            let later =
                (start + 1..tokens.list.len()).filter(|index| tokens.get(*index).is_some_and(|token| token.first));
            match later.max() {
                Some(last) if last > start => start = last,
                _ => return (start, false),
            }
            continue;
        };
        let after = tokens.after(start, base + end_of(&pair));
        if after >= tokens.list.len() {
            return (start, true);
        }
        start = after.max(start + 1);
    }
    (start, false)
}

fn subject(text: &str, tokens: &Tokens, start: usize) -> Option<String> {
    let words = tokens.list.get(start..)?.iter().filter(|token| token.shape == Shape::Word);
    let words = words.filter_map(|token| text.get(token.span.range()));
    const BEFORE: [&str; 17] = [
        "replace",
        "telltale",
        "plausible",
        "narrow",
        "rework",
        "tighten",
        "loosen",
        "add",
        "adopt",
        "retire",
        "each",
        "smallest",
        "largest",
        "mean",
        "of",
        "expect",
        "fitted",
    ];
    words.filter(|word| !BEFORE.contains(word)).map(str::to_string).next()
}
