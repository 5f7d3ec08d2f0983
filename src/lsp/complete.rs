//! What may be written at the cursor in a rulebook, also while the text around it is broken: the grammar says which kinds of
//! thing, the books which names.

use super::complete_book::{Within, other_books, within};
use super::complete_record;
use super::seen::Seen;
use super::server::Server;
use crate::book::{Book, Function, Id, Kind, Member, NameSet, Part, Step, steps};
use crate::syntax;
use crate::syntax::tree::{Name, Path};
use crate::text::Span;
use lsp_types::{CompletionItem, CompletionItemKind, CompletionParams, CompletionTextEdit, TextEdit};
use std::collections::BTreeSet;

/// What may be written, each once, in order.
#[derive(Debug, Default)]
pub(super) struct Offer {
    said: Vec<(String, CompletionItemKind, Option<String>)>,
    known: BTreeSet<String>,
}

impl Offer {
    pub(super) fn say(&mut self, text: impl Into<String>, kind: CompletionItemKind, detail: Option<String>) {
        let text = text.into();
        if self.known.insert(text.clone()) {
            self.said.push((text, kind, detail));
        }
    }
}

impl Offer {
    /// What is offered, in order.
    pub(super) fn labels(&self) -> impl Iterator<Item = &str> {
        self.said.iter().map(|(label, ..)| label.as_str())
    }
}

/// Answers a request for completions.
pub(super) fn complete(server: &mut Server, params: CompletionParams) -> Option<Vec<CompletionItem>> {
    let seen = Seen::at(server, &params.text_document_position)?;
    let text = seen.document.source.text();
    let before = text.get(..seen.offset)?;
    let (offer, start) = if seen.is_book() { in_book(&seen, before) } else { complete_record::offer(&seen, before) };
    let range = seen.document.range(Span::new(start, seen.offset));
    let items = offer.said.into_iter().enumerate().map(|(at, (label, kind, detail))| CompletionItem {
        text_edit: Some(CompletionTextEdit::Edit(TextEdit::new(range, label.clone()))),
        label,
        kind: Some(kind),
        detail,
        sort_text: Some(format!("{at:05}")),
        ..CompletionItem::default()
    });
    Some(items.collect())
}

fn is_letter(letter: char) -> bool {
    letter.is_alphanumeric() || matches!(letter, '_' | '°' | '%')
}

fn in_book(seen: &Seen, before: &str) -> (Offer, usize) {
    let start = before.trim_end_matches(is_letter).len();
    let path = before.trim_end_matches(|letter| is_letter(letter) || letter == '.').len();
    let mut offer = Offer::default();
    let book = &seen.shop.book;
    match within(before.rsplit(['\n', '\r']).next().unwrap_or("")) {
        Within::Line => {}
        Within::Remark => return (offer, start),
        Within::Words { use_of, begun, quoted } => {
            if let Some(shipped) = use_of {
                let quote = if quoted { "" } else { "\"" };
                let names = other_books(seen, shipped).into_iter();
                names.for_each(|name| offer.say(format!("{quote}{name}{quote}"), CompletionItemKind::FILE, None));
            }
            if !quoted && use_of == Some(false) {
                offer.say("shipped", CompletionItemKind::KEYWORD, None);
            }
            return (offer, before.len() - begun);
        }
    }
    let said = before.get(path..start).unwrap_or("").trim_end_matches('.');
    let before = before.get(..path).unwrap_or("");
    let next = match seen.document.read() {
        Some(read) => syntax::next_in(&read.tree, &read.findings, before),
        None => syntax::next(before),
    };
    let subject = next.subject.as_deref().and_then(|subject| subject_of(book, subject));
    if !said.is_empty() {
        inside(&mut offer, book, subject.map(|(part, _)| part), said);
        return (offer, start);
    }
    if next.unit {
        units(&mut offer, book, subject.and_then(|(_, kind)| kind));
    }
    if next.kind {
        kinds(&mut offer, book);
    }
    if next.source {
        citations(&mut offer, book);
    } else if next.name {
        if let Some((_, Some(Kind::Names(set)))) = subject {
            members(&mut offer, book, set);
        }
        names(&mut offer, book);
    }
    for word in next.words {
        offer.say(word, CompletionItemKind::KEYWORD, None);
    }
    (offer, start)
}

/// The part and the kind of what a line is about.
fn subject_of(book: &Book, written: &str) -> Option<(Id<Part>, Option<Kind>)> {
    match steps(book, book.root()?, &path(written)).last()? {
        Step::Characteristic(id) | Step::Station(id, _) => {
            let characteristic = book.characteristics.get(*id);
            Some((characteristic.part, Some(characteristic.kind)))
        }
        Step::Part(id) | Step::Position(id, _) => Some((*id, None)),
    }
}

fn path(written: &str) -> Path {
    let segments = written.split('.').map(|name| Name { text: name.into(), span: Span::default() }).collect();
    Path { segments, span: Span::default() }
}

/// What may stand after a dot.
fn inside(offer: &mut Offer, book: &Book, from: Option<Id<Part>>, said: &str) {
    let path = path(said);
    let starts = [from, book.root()].into_iter().flatten();
    let led = starts.map(|from| steps(book, from, &path)).find(|steps| steps.len() == path.segments.len());
    match led.as_ref().and_then(|steps| steps.last()) {
        Some(Step::Part(id)) => {
            let positions = &book.parts.get(*id).positions;
            positions.iter().for_each(|name| offer.say(&**name, CompletionItemKind::ENUM_MEMBER, None));
            part_members(offer, book, *id);
        }
        Some(Step::Position(id, _)) => part_members(offer, book, *id),
        Some(Step::Characteristic(id)) => {
            let stations = book.characteristics.get(*id).stations();
            stations.iter().for_each(|name| offer.say(&**name, CompletionItemKind::ENUM_MEMBER, None));
        }
        _ => {}
    }
}

fn part_members(offer: &mut Offer, book: &Book, part: Id<Part>) {
    for (name, member) in &book.parts.get(part).members {
        let (kind, detail) = match member {
            Member::Part(id) => (CompletionItemKind::STRUCT, super::wording::part(book, *id)),
            Member::Characteristic(id) => (CompletionItemKind::FIELD, super::wording::characteristic(book, *id)),
        };
        offer.say(&**name, kind, detail.lines().next().map(str::to_string));
    }
}

pub(super) fn members(offer: &mut Offer, book: &Book, set: Id<NameSet>) {
    let names = &book.sets.get(set).names;
    names.iter().for_each(|name| offer.say(&**name, CompletionItemKind::ENUM_MEMBER, None));
}

/// Units, those that measure what is meant first.
pub(super) fn units(offer: &mut Offer, book: &Book, kind: Option<Kind>) {
    let fits = |unit: &crate::quantity::Unit| matches!(kind, Some(Kind::Quantity(of)) if of == unit.dimension);
    let all: Vec<_> = book.units.names().filter_map(|name| Some((name, book.units.find(name)?))).collect();
    for wanted in [true, false] {
        if wanted || kind.is_none() {
            for (name, _) in all.iter().filter(|(_, unit)| fits(unit) == wanted) {
                offer.say(*name, CompletionItemKind::UNIT, None);
            }
        }
    }
}

fn kinds(offer: &mut Offer, book: &Book) {
    for set in book.sets.iter() {
        if let Some(name) = &set.name {
            offer.say(&**name, CompletionItemKind::ENUM, Some(super::wording::set(set)));
        }
    }
    for word in ["number", "text", "yes/no"] {
        offer.say(word, CompletionItemKind::KEYWORD, None);
    }
    units(offer, book, None);
}

/// Every name a path may begin with, and what else may stand for a value.
fn names(offer: &mut Offer, book: &Book) {
    for id in book.parts.ids() {
        let part = book.parts.get(id);
        offer.say(&*part.name, CompletionItemKind::STRUCT, Some(super::wording::part(book, id)));
    }
    for characteristic in book.characteristics.iter() {
        offer.say(&*characteristic.name, CompletionItemKind::FIELD, None);
    }
    for constant in book.constants.iter() {
        offer.say(&*constant.name, CompletionItemKind::CONSTANT, None);
    }
    let formulas = book.formulas.iter().map(|formula| &*formula.name);
    let tables = book.tables.iter().map(|table| &*table.name);
    for name in formulas.chain(tables).chain(Function::ALL.iter().map(|(name, _, _)| *name)) {
        offer.say(name, CompletionItemKind::FUNCTION, None);
    }
    for generation in book.generations.iter() {
        offer.say(&*generation.name, CompletionItemKind::CLASS, Some(generation.description.to_string()));
    }
    citations(offer, book);
}

/// The sources that the books name.
fn citations(offer: &mut Offer, book: &Book) {
    for citation in book.citations.iter() {
        offer.say(&*citation.name, CompletionItemKind::REFERENCE, Some(citation.citation.to_string()));
    }
}
