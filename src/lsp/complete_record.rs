//! What may be written at the cursor in a record: keys that are still missing, positions, choices, units, gauges. Goes by
//! the indentation of the lines, so that it works while the record is no YAML.

use super::complete::{self, Offer};
use super::keys::{Led, lead};
use super::seen::Seen;
use crate::book::{Book, Characteristic, Id, Kind, Member, Origin};
use lsp_types::CompletionItemKind;

/// Keys at the top of a record that are about the build.
const HEADER: [&str; 6] = ["build", "finished", "generation", "gauges", "concessions", "notes"];

/// What may be written, and the byte where what is begun already begins.
pub(super) fn offer(seen: &Seen, before: &str) -> (Offer, usize) {
    let line = before.rsplit(['\n', '\r']).next().unwrap_or("");
    let line_start = before.len() - line.len();
    let indent = line.len() - line.trim_start_matches(' ').len();
    let mut offer = Offer::default();
    let book = &seen.shop.book;
    let mut keys = parents(before.get(..line_start).unwrap_or(""), indent);
    if let Some((key, value)) = line.split_once(':') {
        keys.push(key.trim().to_string());
        let begun = before.len() - value.rsplit([' ', ',', '[']).next().unwrap_or(value).len();
        values(&mut offer, seen, &keys, value);
        return (offer, begun);
    }
    let written = siblings(seen.document.source.text(), line_start, indent);
    missing_keys(&mut offer, book, &keys, &written);
    (offer, line_start + indent)
}

/// A key of a line and how far it is set in.
fn key_of(line: &str) -> Option<(usize, &str)> {
    let indent = line.len() - line.trim_start_matches(' ').len();
    let (key, _) = line.split_once(':')?;
    let key = key.trim().trim_matches(['"', '\'']);
    (!key.starts_with(['#', '-'])).then_some((indent, key))
}

/// The keys above that a line set in so far hangs below, outermost first.
fn parents(above: &str, mut indent: usize) -> Vec<String> {
    let mut keys = Vec::new();
    for (at, key) in above.lines().rev().filter_map(key_of) {
        if at < indent {
            keys.push(key.to_string());
            indent = at;
        }
    }
    keys.reverse();
    keys
}

/// The keys beside a line, above and below it.
fn siblings(text: &str, line_start: usize, indent: usize) -> Vec<&str> {
    let (above, below) = text.split_at_checked(line_start).unwrap_or((text, ""));
    let beside = |line: &str| key_of(line).is_none_or(|(at, _)| at >= indent);
    let same = |line: &&str| key_of(line).filter(|(at, _)| *at == indent).is_some();
    let key = |line| key_of(line).map(|(_, key)| key);
    let before = above.lines().rev().take_while(|line| beside(line)).filter(same).filter_map(key);
    let after = below.lines().skip(1).take_while(|line| beside(line)).filter(same).filter_map(key);
    before.chain(after).collect()
}

fn missing_keys(offer: &mut Offer, book: &Book, keys: &[String], written: &[&str]) {
    let mut say = |name: &str, kind| {
        if !written.contains(&name) {
            offer.say(name, kind, None);
        }
    };
    match lead(book, keys.iter().map(String::as_str)) {
        Some(Led::Part(id, true)) => {
            book.parts.get(id).positions.iter().for_each(|name| say(name, CompletionItemKind::ENUM_MEMBER));
        }
        Some(Led::Part(id, false)) => {
            let part = book.parts.get(id);
            if part.parent.is_none() {
                HEADER.iter().for_each(|key| say(key, CompletionItemKind::KEYWORD));
            }
            for (name, member) in &part.members {
                match member {
                    Member::Part(_) => say(name, CompletionItemKind::STRUCT),
                    Member::Characteristic(id) if is_read(book, *id) => say(name, CompletionItemKind::FIELD),
                    Member::Characteristic(_) => {}
                }
            }
        }
        Some(Led::Reading(id, true)) => {
            let stations = book.characteristics.get(id).stations();
            stations.iter().for_each(|name| say(name, CompletionItemKind::ENUM_MEMBER));
        }
        Some(Led::Reading(..) | Led::Said(_)) => {
            ["value", "gauge", "at", "uncertainty", "note"]
                .iter()
                .for_each(|key| say(key, CompletionItemKind::KEYWORD));
        }
        None => {}
    }
}

fn is_read(book: &Book, id: Id<Characteristic>) -> bool {
    matches!(book.characteristics.get(id).origin, Origin::Reading { .. })
}

fn values(offer: &mut Offer, seen: &Seen, keys: &[String], value: &str) {
    let book = &seen.shop.book;
    if let [key] = keys
        && key == "generation"
    {
        for generation in book.generations.iter().filter(|generation| !generation.basis) {
            offer.say(&*generation.name, CompletionItemKind::CLASS, Some(generation.description.to_string()));
        }
        return;
    }
    let Some(Led::Reading(id, false) | Led::Said(id)) = lead(book, keys.iter().map(String::as_str)) else { return };
    if keys.last().is_some_and(|key| key == "gauge") {
        gauges(offer, seen);
        return;
    }
    match book.characteristics.get(id).kind {
        Kind::Names(set) => complete::members(offer, book, set),
        Kind::YesNo => ["yes", "no"].iter().for_each(|word| offer.say(*word, CompletionItemKind::ENUM_MEMBER, None)),
        kind @ Kind::Quantity(_) if value.contains(|letter: char| letter.is_ascii_digit()) => {
            if let Some(unit) = &book.characteristics.get(id).unit {
                offer.say(&*unit.symbol, CompletionItemKind::UNIT, None);
            }
            complete::units(offer, book, Some(kind));
        }
        Kind::Quantity(_) | Kind::Text => {}
    }
    offer.say("unknown", CompletionItemKind::KEYWORD, None);
}

/// The gauges of the record and of its shop.
fn gauges(offer: &mut Offer, seen: &Seen) {
    let lists = [Some(&seen.document.source), seen.shop.gauges_source()];
    for source in lists.into_iter().flatten() {
        let Some(sheet) = crate::record::read(source).0 else { continue };
        let root = sheet.root().and_then(|root| root.as_map());
        let listed = root.and_then(|root| root.get("gauges").and_then(|gauges| gauges.as_map()));
        let shops = root.filter(|_| !source.is_same(&seen.document.source));
        for (name, _) in listed.or(shops).into_iter().flat_map(|list| list.entries()) {
            offer.say(name.text(), CompletionItemKind::VALUE, None);
        }
    }
}
