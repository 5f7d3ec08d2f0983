//! What stands under the cursor, in words: a row, a name, a reading and the rows that judge it.

use super::keys::{Keys, Led};
use super::names::Meaning;
use super::seen::{Seen, declaration};
use super::server::Server;
use super::wording;
use crate::book::{Row, Step};
use crate::judge::{Reporter, RulingReport};
use crate::record::{self, Record};
use crate::text::{Place, Span};
use lsp_types::{Hover, HoverContents, HoverParams, MarkupContent, MarkupKind};

/// Answers a hover.
pub(super) fn hover(server: &mut Server, params: HoverParams) -> Option<Hover> {
    let seen = Seen::at(server, &params.text_document_position_params)?;
    let (value, span) = if seen.is_book() { in_book(&seen)? } else { in_record(&seen)? };
    let kind = if server.client.markdown { MarkupKind::Markdown } else { MarkupKind::PlainText };
    // A line of plain text is a line of Markdown with two blanks behind it.
    let value = if server.client.markdown { value.replace('\n', "  \n") } else { value };
    let contents = HoverContents::Markup(MarkupContent { kind, value });
    Some(Hover { contents, range: Some(seen.document.range(span)) })
}

fn in_book(seen: &Seen) -> Option<(String, Span)> {
    if let Some(name) = seen.name() {
        let mut text = meaning(seen, &name.meaning)?;
        if let Some(row) = row_at(seen) {
            text.push_str(&format!("\n\n{}", wording::row(&seen.shop.book, row)));
        }
        return Some((text, name.span));
    }
    if let Some(row) = row_at(seen) {
        return Some((wording::row(&seen.shop.book, row), row.place.span));
    }
    word(seen)
}

/// The row of the open book that the cursor is in.
pub(super) fn row_at(seen: &Seen) -> Option<&Row> {
    let at = u32::try_from(seen.offset).ok()?;
    let here =
        |place: &Place| place.source.is_same(&seen.document.source) && place.span.start <= at && at <= place.span.end;
    let generations = seen.shop.book.generations.iter();
    generations.flat_map(|generation| &generation.rows).map(|row| &**row).find(|row| here(&row.place))
}

fn meaning(seen: &Seen, meaning: &Meaning) -> Option<String> {
    let book = &seen.shop.book;
    let said = match meaning {
        Meaning::Unit(name) => wording::unit(book, name),
        Meaning::Set(name) => wording::set(book.sets.iter().find(|set| set.name.as_deref() == Some(name))?),
        Meaning::Member(set, number) => wording::member(book.sets.get(*set), *number),
        Meaning::Constant(name) => wording::constant(book, name),
        Meaning::Generation(name) => wording::generation(book.generations.get(book.generation(name)?)),
        Meaning::Citation(name) => book.citations.iter().find(|one| one.name == *name)?.citation.to_string(),
        Meaning::Step(Step::Part(id)) => wording::part(book, *id),
        Meaning::Step(Step::Characteristic(id) | Step::Station(id, _)) => wording::characteristic(book, *id),
        Meaning::Step(Step::Position(id, number)) => wording::position(book, *id, *number),
        Meaning::Formula(_) | Meaning::Table(_) | Meaning::Parameter(..) => String::new(),
    };
    let declared = declaration(&seen.shop, meaning).map(|place| wording::declared(&place));
    let text = [Some(said).filter(|said| !said.is_empty()), declared];
    Some(text.into_iter().flatten().collect::<Vec<_>>().join("\n")).filter(|text| !text.is_empty())
}

/// A word of the language.
fn word(seen: &Seen) -> Option<(String, Span)> {
    let text = seen.document.source.text();
    let is_letter = |letter: char| letter.is_ascii_alphanumeric() || letter == '_';
    let before = text.get(..seen.offset)?;
    let start = before.trim_end_matches(is_letter).len();
    let length = text.get(start..)?.find(|letter| !is_letter(letter)).unwrap_or(text.len() - start);
    let span = Span::new(start, start + length);
    Some((wording::language(seen.document.source.slice(span))?.to_string(), span))
}

fn in_record(seen: &Seen) -> Option<(String, Span)> {
    let source = &seen.document.source;
    let keys = Keys::at(&record::read(source).0?, seen.offset);
    let (_, key) = keys.steps.last()?;
    let span = keys.scalar.unwrap_or(*key);
    let told = rulings(seen, &keys);
    if !told.is_empty() {
        let mut words: Vec<String> = told.iter().map(wording::ruling).collect();
        if let Some(Led::Reading(id, _)) = seen.led(&keys) {
            words.extend(wording::measured(&seen.shop.book, id));
        }
        return Some((words.join("\n\n"), span));
    }
    let book = &seen.shop.book;
    let text = match seen.led(&keys)? {
        Led::Part(id, _) if book.parts.get(id).parent.is_some() => wording::part(book, id),
        Led::Reading(id, _) | Led::Said(id) => wording::characteristic(book, id),
        Led::Part(..) => return None,
    };
    Some((text, span))
}

/// The rulings on what the keys lead to, or on what is worked out from it.
pub(super) fn rulings(seen: &Seen, keys: &Keys) -> Vec<RulingReport> {
    let path = seen.path(keys);
    let at = u32::try_from(seen.offset).unwrap_or(u32::MAX);
    let on = |told: &RulingReport| {
        let here = told.place.as_ref().is_some_and(|place| {
            place.source.is_same(&seen.document.source) && place.span.start <= at && at <= place.span.end
        });
        told.path == path || here
    };
    let of_part = seen.part_of(keys).and_then(|(number, _)| seen.rulings_of_parts(Some(number)));
    of_part.unwrap_or_else(|| all_rulings(seen)).into_iter().filter(on).collect()
}

/// Every ruling on an open record.
pub(super) fn all_rulings(seen: &Seen) -> Vec<RulingReport> {
    if let Some(rulings) = seen.rulings_of_parts(None) {
        return rulings;
    }
    let shop = &seen.shop;
    let told = shop.look(&Record::of(seen.document.source.clone()), None, |plan, readings, verdict| {
        let reporter = Reporter::new(&shop.book, plan, readings);
        verdict.rulings.iter().filter_map(|ruling| reporter.tell(ruling)).collect()
    });
    told.unwrap_or_default()
}
