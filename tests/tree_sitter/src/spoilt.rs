//! A book with one token spoilt is refused by the grammar for editors exactly when the language refuses it.

use crate::books::{books, line_of};
use crate::{parser, whole_grammar};
use std::collections::BTreeSet;
use std::ops::Range;

/// Blocks of these rules are taken apart into their members, two at a time, so that a piece is read quickly.
const BLOCKS: &[&str] = &["part", "generation", "house", "for_block", "try", "fits"];

/// The space after a token left out.
const JOINED: &str = "joined to the next";

/// The one known difference: a number that touches the word after it. The grammar for editors has no token that looks
/// ahead, and reads on.
fn touches(text: &str, tokens: &[Range<usize>], at: usize) -> bool {
    let next = tokens.get(at + 1).and_then(|next| text[next.clone()].chars().next());
    text[tokens[at].clone()].ends_with(|sign: char| sign.is_ascii_digit()) && next.is_some_and(char::is_alphabetic)
}

/// What is done to one token of a piece.
const KINDS_OF_MISTAKE: &[(&str, fn(&str, &[Range<usize>], usize) -> Option<String>)] = &[
    ("deleted", |text, tokens, at| Some(replaced(text, &tokens[at], ""))),
    ("doubled", |text, tokens, at| {
        let word = &text[tokens[at].clone()];
        Some(replaced(text, &tokens[at], &format!("{word} {word}")))
    }),
    ("swapped with the next", |text, tokens, at| {
        let (one, other) = (tokens[at].clone(), tokens.get(at + 1)?.clone());
        let (first, second) = (&text[one.clone()], &text[other.clone()]);
        Some(format!("{}{second}{}{first}{}", &text[..one.start], &text[one.end..other.start], &text[other.end..]))
    }),
    ("replaced by another", |text, tokens, at| {
        // Another one far away in the piece, without chance.
        let other = &tokens[(at * 7 + 3) % tokens.len()];
        Some(replaced(text, &tokens[at], &text[other.clone()]))
    }),
    (JOINED, |text, tokens, at| {
        let next = tokens.get(at + 1)?.start;
        (tokens[at].end < next).then(|| format!("{}{}", &text[..tokens[at].end], &text[next..]))
    }),
];

fn replaced(text: &str, token: &Range<usize>, with: &str) -> String {
    format!("{}{with}{}", &text[..token.start], &text[token.end..])
}

/// A pair of the language's grammar with its rule and bytes.
type Pair<'a> = pest::iterators::Pair<'a, &'a str>;

fn range(pair: &Pair) -> Range<usize> {
    pair.as_span().start()..pair.as_span().end()
}

/// The pieces of a block: its head and its end around two members beside each other.
fn pieces(text: &str, pair: &Pair, pieces: &mut Vec<String>) {
    let inner: Vec<Pair> = pair.clone().into_inner().collect();
    let braces: Vec<&Pair> = inner.iter().filter(|pair| pair.as_rule() == "close_brace").collect();
    let (Some(close), true) = (braces.last(), BLOCKS.contains(&pair.as_rule())) else {
        pieces.push(text[range(pair)].to_string());
        return;
    };
    let (head, close) = (&text[range(&inner[0])], range(close));
    // A member and the braces after it.
    let mut members: Vec<Range<usize>> = Vec::new();
    for member in &inner[1..inner.len() - 1] {
        match (member.as_rule(), members.last_mut()) {
            ("texts", Some(last)) => last.end = range(member).end,
            (rule, _) => {
                members.push(range(member));
                if BLOCKS.contains(&rule) {
                    let mut within = Vec::new();
                    self::pieces(text, member, &mut within);
                    let wrapped = within.iter().map(|piece| format!("{head}\n{piece}\n{}", &text[close.clone()]));
                    pieces.extend(wrapped);
                    members.pop();
                }
            }
        }
    }
    let window = |members: &[Range<usize>]| {
        let (first, last) = (members.first()?, members.last()?);
        Some(format!("{head}\n{}\n{}", &text[first.start..last.end], &text[close.clone()]))
    };
    match members.len() {
        0 | 1 => pieces.extend(window(&members)),
        _ => pieces.extend(members.chunks(2).filter_map(window)),
    }
}

/// Every book as small books: its head and one declaration, or two members of one. Each once.
fn small_books(reader: &pest_vm::Vm) -> Vec<String> {
    let mut small = BTreeSet::new();
    for (name, text) in books() {
        let whole = reader.parse("book", &text).unwrap_or_else(|error| panic!("{name}: {error}")).next().unwrap();
        let declarations: Vec<Pair> = whole.into_inner().filter(|pair| pair.as_rule() != "EOI").collect();
        let head = &text[range(&declarations[0])];
        for (at, declaration) in declarations.iter().enumerate().skip(1) {
            if declaration.as_rule() == "texts" {
                continue;
            }
            let mut own = Vec::new();
            pieces(&text, declaration, &mut own);
            if let Some(texts) = declarations.get(at + 1).filter(|next| next.as_rule() == "texts") {
                own.iter_mut().for_each(|piece| piece.push_str(&text[range(texts)]));
            }
            small.extend(own.into_iter().map(|piece| format!("{head}\n{piece}\n")));
        }
    }
    small.into_iter().collect()
}

/// The tokens of a text: runs of letters and digits, and single signs; not those in words and comments.
fn tokens(text: &str) -> Vec<Range<usize>> {
    let mut tokens: Vec<Range<usize>> = Vec::new();
    let (mut comment, mut words) = (false, None);
    let is_of_a_name = |sign: char| sign.is_alphanumeric() || sign == '_';
    for (at, sign) in text.char_indices() {
        let end = at + sign.len_utf8();
        match (sign, words) {
            ('\n', _) => comment = false,
            _ if comment => {}
            ('#', None) => comment = true,
            ('"', None) => words = Some(at),
            ('"', Some(begun)) if !text[..at].ends_with('\\') => {
                tokens.push(begun..end);
                words = None;
            }
            (_, Some(_)) => {}
            _ if sign.is_whitespace() => {}
            _ => match tokens.last_mut() {
                Some(last) if last.end == at && is_of_a_name(sign) && text[last.clone()].chars().all(is_of_a_name) => {
                    last.end = end;
                }
                _ => tokens.push(at..end),
            },
        }
    }
    tokens
}

#[test]
fn a_book_with_a_token_spoilt_is_refused_exactly_when_the_language_refuses_it() {
    let reader = whole_grammar::reader();
    let mut parser = parser();
    let small = small_books(&reader);
    assert!(small.len() > 1000, "the books were not taken apart");
    let mut refuses = |text: &str| parser.parse(text, None).unwrap().root_node().has_error();
    for text in &small {
        assert!(reader.parse("book", text).is_ok() && !refuses(text), "a piece is refused:\n{text}");
    }
    let mut apart = Vec::new();
    for (mistake, spoil) in KINDS_OF_MISTAKE {
        let (mut refused, mut accepted, mut touching) = (0, 0, 0);
        let mut seen = BTreeSet::new();
        for text in &small {
            let head = text.find('\n').unwrap();
            let tokens = tokens(text);
            for at in 0..tokens.len() {
                // The head of the book is the same in most.
                if tokens[at].start < head && !seen.insert(text[..head].to_string() + &tokens[at].start.to_string()) {
                    continue;
                }
                let Some(spoilt) = spoil(text, &tokens, at) else { continue };
                let right = reader.parse("book", &spoilt).is_ok();
                *(if right { &mut accepted } else { &mut refused }) += 1;
                if right != refuses(&spoilt) {
                    continue;
                }
                if *mistake == JOINED && !right && touches(text, &tokens, at) {
                    touching += 1;
                } else {
                    let verdict = if right { "accepts" } else { "refuses" };
                    let word = &text[tokens[at].clone()];
                    apart.push(format!(
                        "{mistake} `{word}`: the language alone {verdict}\n    {}",
                        line_of(&spoilt, tokens[at].start)
                    ));
                }
            }
        }
        println!("{mistake}: {refused} refused, {accepted} accepted, {} apart so far, {touching} touch", apart.len());
        assert!(refused > 1000 && accepted > 100, "too little was spoilt: {refused} refused, {accepted} accepted");
    }
    assert!(apart.is_empty(), "{} apart:\n{}", apart.len(), apart[..apart.len().min(60)].join("\n"));
}
