//! Every sentence of the room `explain` that more than one place needs, and its finding.

use crate::book::{Book, Change, ChangeKind, Generation, Provenance, Row};
use crate::finding::{Code, Finding, nearest};
use crate::judge::source_words;
use crate::quantity::Days;
use crate::syntax::tree::SourceGrade;
use crate::text::Place;

/// No check is meant by a path.
pub(super) fn nothing_judges(book: &Book, generation: &Generation, asked: &str, paths: &[String]) -> Finding {
    let last = asked.trim().rsplit('.').next().unwrap_or(asked);
    let known = book.characteristics.iter().any(|characteristic| *characteristic.name == *last);
    let near = nearest(asked.trim(), paths.iter().map(String::as_str));
    let message = if known && near.is_none() {
        format!("{asked}: no row of generation {} judges it", generation.name)
    } else {
        format!("{asked}: generation {} judges nothing of this name", generation.name)
    };
    let help = below(asked.trim(), paths).or_else(|| near.map(|near| format!("did you mean {near}?")));
    Finding::new(Code::NameUnknown, message).maybe_help(help)
}

/// What is judged of a part, where a part was named.
fn below(asked: &str, paths: &[String]) -> Option<String> {
    const MOST_TOLD: usize = 6;
    let inside: Vec<&str> = paths
        .iter()
        .map(String::as_str)
        .filter(|path| path.strip_prefix(asked).is_some_and(|rest| rest.starts_with('.')))
        .collect();
    let told: Vec<&str> = inside.iter().take(MOST_TOLD).copied().collect();
    let more = inside.len().saturating_sub(told.len());
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    (!told.is_empty()).then(|| format!("it is a part; name what is judged of it: {}{more}", told.join(", ")))
}

/// What a book did to a row.
pub(super) fn change(change: &Change) -> String {
    let word = change.kind.word();
    let by = match change.kind {
        ChangeKind::Declared | ChangeKind::Replaced => format!("generation {}", change.by),
        ChangeKind::Tightened | ChangeKind::Loosened | ChangeKind::Added | ChangeKind::Adopted => change.by.to_string(),
    };
    let days = if change.days == Days::ALWAYS { String::new() } else { format!(" {}", change.days) };
    let binds = if change.binds && change.kind != ChangeKind::Adopted { ", and made binding," } else { "" };
    format!("{word}{binds} by {by}{days}")
}

/// Where a row's numbers come from, and how far that may be trusted: tier by tier where they differ.
pub(super) fn sources(book: &Book, row: &Row) -> Vec<String> {
    let said = |word: &str, provenance: Option<&Provenance>| {
        let words = provenance.map(|provenance| source_words(book, provenance));
        let grade = match provenance {
            Some(Provenance::Source(id, _)) => book.citations.get(*id).grade,
            _ => None,
        };
        let grade = grade.map_or_else(String::new, |grade| format!(" ({})", grade_words(grade)));
        format!("{word}: {}{grade}", words.as_deref().unwrap_or("nothing is said"))
    };
    // One source for all, and nothing said of how far it may be trusted: the verdict says it.
    let graded =
        |from: &&Provenance| matches!(from, Provenance::Source(id, _) if book.citations.get(*id).grade.is_some());
    if !row.has_tier_provenance() {
        let from = row.texts.provenance.as_ref().filter(graded);
        return from.map(|from| said("from", Some(from))).into_iter().collect();
    }
    let tiers = [("standard", row.standard.is_some(), false), (row.limit_word(), row.limit.is_some(), true)];
    let there = tiers.into_iter().filter(|(_, there, _)| *there);
    there.map(|(word, _, limit)| said(&format!("{word} from"), row.provenance(limit))).collect()
}

/// How far a source may be trusted.
fn grade_words(grade: SourceGrade) -> &'static str {
    match grade {
        SourceGrade::Maker => "a text of the maker",
        SourceGrade::Trade => "a text of the trade",
        SourceGrade::Forum => "a forum, a mailing list or a blog",
        SourceGrade::Reference => "a standard, a textbook or a table",
    }
}

/// The book a place is in: its title and edition.
pub(super) fn book_title(book: &Book, place: &Place) -> Option<String> {
    let title = book.titles.iter().find(|title| title.file == place.source.name())?;
    Some(match title.edition {
        Some(edition) => format!("“{}”, edition {edition}", title.title),
        None => format!("“{}”", title.title),
    })
}

/// Text of a book or record on one line.
pub(super) fn folded(text: &str) -> String {
    // A comment at the end of a line is no part of a formula.
    text.lines()
        .map(|line| line.split_once('#').map_or(line, |(before, _)| before))
        .flat_map(str::split_whitespace)
        .collect::<Vec<_>>()
        .join(" ")
}
