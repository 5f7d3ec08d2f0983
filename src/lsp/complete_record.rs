//! What may be written at the cursor in a record: keys that are still missing, positions, choices, units, gauges. Goes by
//! the indentation of the lines, so that it works while the record is no YAML.

use super::braces::braces;
use super::complete::{self, Offer};
use super::complete_gauge;
use super::document::Kind as DocumentKind;
use super::hover::all_rulings;
use super::keys::{Led, lead, lead_from};
use super::seen::Seen;
use crate::bind::keys::{BUILD_HEADER, CONCESSION_KEYS, PART_HEADER, PARTS_HEADER, READING_KEYS};
use crate::bind::part_named;
use crate::book::{Book, Characteristic, Id, Kind, Member, Origin, Part};
use crate::judge::Grade;
use crate::shop::place_of;
use lsp_types::CompletionItemKind;

/// Where a loose part may be.
const STATES: [&str; 4] = ["in stock", "reserved for ", "fitted in ", "scrapped"];

/// What may be written, and the byte where what is begun already begins.
pub(super) fn offer(seen: &Seen, before: &str) -> (Offer, usize) {
    let line_start = before.len() - before.rsplit(['\n', '\r']).next().unwrap_or("").len();
    let braces = braces(before);
    // Where braces go on over several lines, what is above the line that opened them counts.
    let from = braces.as_ref().map_or(line_start, |braces| braces.line);
    let (above, line) = before.split_at_checked(from).unwrap_or(("", before));
    let indent = set_in(line);
    let mut offer = Offer::default();
    let book = &seen.shop.book;
    let text = seen.document.source.text();
    let mut keys = parents(above, indent);
    let start = start(book, text, above, line, &mut keys);
    if let Some(braces) = braces {
        keys.extend(braces.keys);
        let Some((key, value)) = braces.begun.split_once(':') else {
            missing_keys(&mut offer, seen, start, &keys, &braces.written);
            return (offer, before.len() - braces.begun.len());
        };
        keys.push(key.trim().to_string());
        let begun = before.len() - value.rsplit(' ').next().unwrap_or(value).len();
        values(&mut offer, seen, start, &keys, value);
        return (offer, begun);
    }
    if let Some((key, value)) = line.trim_start_matches([' ', '-']).split_once(':') {
        keys.push(key.trim().to_string());
        let begun = before.len() - value.rsplit([' ', ',', '[']).next().unwrap_or(value).len();
        values(&mut offer, seen, start, &keys, value);
        // A state is several words.
        let begun = if keys == ["state"] { before.len() - value.trim_start().len() } else { begun };
        return (offer, begun);
    }
    let written = siblings(text, from, indent);
    missing_keys(&mut offer, seen, start, &keys, &written);
    (offer, from + indent)
}

/// What the keys of a record hang below.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Start {
    /// The whole machine.
    Machine,
    /// A loose part; `None` if its kind cannot be told.
    Loose(Option<Id<Part>>),
    /// The top of a file of several loose parts.
    Several,
}

impl Start {
    fn lead<'k>(self, book: &Book, keys: impl IntoIterator<Item = &'k str>) -> Option<Led> {
        match self {
            Start::Machine => lead(book, keys),
            Start::Loose(part) => lead_from(book, Led::Part(part?, false), keys),
            Start::Several => None,
        }
    }
}

/// What the keys at a line hang below; of a list of parts its key is taken from them.
fn start(book: &Book, text: &str, above: &str, line: &str, keys: &mut Vec<String>) -> Start {
    let kind_in = |lines: &mut dyn Iterator<Item = &str>| {
        lines.filter_map(key_of).find(|(_, key, _)| *key == "part").map(|(_, _, value)| value.to_owned())
    };
    let of = |name: Option<String>| Start::Loose(name.and_then(|name| part_named(book, &name).ok()));
    let on_top = |line: &&str| !line.starts_with([' ', '-']);
    let is_list =
        text.lines().filter(on_top).filter_map(key_of).any(|(_, key, value)| key == "parts" && value.is_empty())
            && (text.lines().filter(on_top).filter_map(key_of).any(|(_, key, _)| key == "part")
                || text.lines().any(|line| line.trim_start().starts_with("- ")));
    let on_top_kind = kind_in(&mut text.lines().filter(on_top));
    if !is_list {
        return if on_top_kind.is_some() { of(on_top_kind) } else { Start::Machine };
    }
    if keys.first().map(String::as_str) != Some("parts") {
        return Start::Several;
    }
    keys.remove(0);
    // The part is as its own lines say, else as the top says.
    let rest =
        text.get(above.len()..).unwrap_or("").lines().skip(1).take_while(|line| !line.trim_start().starts_with("- "));
    let own = std::iter::once(line).chain(above.lines().rev());
    let mut ended = line.trim_start().starts_with("- ");
    let before = own.take_while(|line| {
        let go_on = !ended || line.trim_start().starts_with("- ");
        ended |= line.trim_start().starts_with("- ");
        go_on
    });
    of(kind_in(&mut before.chain(rest)).or(on_top_kind))
}

/// How far a line is set in: the item of a list begins after its sign.
fn set_in(line: &str) -> usize {
    line.len() - line.trim_start_matches(' ').trim_start_matches("- ").len()
}

/// A key of a line, how far it is set in, and what stands after it.
pub(super) fn key_of(line: &str) -> Option<(usize, &str, &str)> {
    let indent = set_in(line);
    let (key, value) = line.get(indent..)?.split_once(':')?;
    let key = key.trim().trim_matches(['"', '\'']);
    let value = value.split(" #").next().unwrap_or(value).trim().trim_matches(['"', '\'']);
    (!key.starts_with(['#', '-'])).then_some((indent, key, value))
}

/// The keys above that a line set in so far hangs below, outermost first.
fn parents(above: &str, mut indent: usize) -> Vec<String> {
    let mut keys = Vec::new();
    for (at, key, _) in above.lines().rev().filter_map(key_of) {
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
    let beside = |line: &str| key_of(line).is_none_or(|(at, ..)| at >= indent);
    let begins = |line: &str| line.trim_start().starts_with("- ") && set_in(line) == indent;
    let same = |line: &&str| key_of(line).filter(|(at, ..)| *at == indent).is_some();
    let key = |line| key_of(line).map(|(_, key, _)| key);
    // Another item of the same list has its own keys.
    let mut done = below.lines().next().is_some_and(begins);
    let before = above.lines().rev().take_while(|line| {
        let go_on = !done && beside(line);
        done |= begins(line);
        go_on
    });
    let after = below.lines().skip(1).take_while(|line| beside(line) && !begins(line));
    before.filter(same).filter_map(key).chain(after.filter(same).filter_map(key)).collect()
}

fn missing_keys(offer: &mut Offer, seen: &Seen, start: Start, keys: &[String], written: &[&str]) {
    if complete_gauge::offer_keys(offer, seen, keys, written) || seen.document.kind == DocumentKind::Gauges {
        return;
    }
    let book = &seen.shop.book;
    let mut say = |name: &str, kind| {
        if !written.contains(&name) {
            offer.say(name, kind, None);
        }
    };
    match start {
        Start::Several => PARTS_HEADER.iter().for_each(|key| say(key, CompletionItemKind::KEYWORD)),
        Start::Loose(_) if keys.is_empty() => PART_HEADER.iter().for_each(|key| say(key, CompletionItemKind::KEYWORD)),
        Start::Machine if keys == ["concessions"] => {
            CONCESSION_KEYS.iter().for_each(|key| say(key, CompletionItemKind::KEYWORD));
        }
        Start::Machine if keys == ["parts"] => {
            places(seen).iter().for_each(|place| say(place, CompletionItemKind::STRUCT));
        }
        _ => {}
    }
    match start.lead(book, keys.iter().map(String::as_str)) {
        Some(Led::Part(id, true)) => {
            book.parts.get(id).positions.iter().for_each(|name| say(name, CompletionItemKind::ENUM_MEMBER));
        }
        Some(Led::Part(id, false)) => {
            let part = book.parts.get(id);
            if part.parent.is_none() {
                let taken = |key: &&&str| **key != "parts" || seen.shop.shelf().is_some();
                BUILD_HEADER.iter().filter(taken).for_each(|key| say(key, CompletionItemKind::KEYWORD));
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
            READING_KEYS.iter().for_each(|key| say(key, CompletionItemKind::KEYWORD));
        }
        None => {}
    }
}

fn is_read(book: &Book, id: Id<Characteristic>) -> bool {
    matches!(book.characteristics.get(id).origin, Origin::Reading { .. })
}

/// The places of the parts that a build may take from the shelf.
fn places(seen: &Seen) -> Vec<String> {
    let source = &seen.document.source;
    let sheet = crate::record::read(source).0;
    let readings = sheet.map(|sheet| seen.shop.bind(&sheet, source).0);
    readings.map(|readings| seen.shop.places(&readings)).unwrap_or_default()
}

fn values(offer: &mut Offer, seen: &Seen, start: Start, keys: &[String], value: &str) {
    let book = &seen.shop.book;
    if complete_gauge::offer_value(offer, seen, keys, value) {
        return;
    }
    match keys {
        [key] if key == "part" && start != Start::Machine => {
            let parts = book.parts.ids().skip(1).map(|id| book.part_path(id, &[], "."));
            parts.for_each(|name| offer.say(name, CompletionItemKind::STRUCT, None));
            return;
        }
        [key] if key == "state" && start != Start::Machine => {
            STATES.iter().for_each(|state| offer.say(*state, CompletionItemKind::ENUM_MEMBER, None));
            return;
        }
        [key, row] if key == "concessions" && row == "row" => {
            rows_to_let_through(offer, seen);
            return;
        }
        [key, place] if key == "parts" && start == Start::Machine => {
            let wanted = place_of(book, place).map(|(part, _)| part);
            for part in seen.shop.shelf().iter().flat_map(|shelf| &shelf.parts) {
                if wanted == Some(part.part.part) {
                    offer.say(&*part.tag, CompletionItemKind::VALUE, Some(part.part.state.word().to_owned()));
                }
            }
            return;
        }
        _ => {}
    }
    if let [key] = keys
        && key == "generation"
    {
        for generation in book.generations.iter().filter(|generation| !generation.basis) {
            offer.say(&*generation.name, CompletionItemKind::CLASS, Some(generation.description.to_string()));
        }
        return;
    }
    let led = start.lead(book, keys.iter().map(String::as_str));
    let Some(Led::Reading(id, false) | Led::Said(id)) = led else { return };
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

/// The rows of the open build that a concession may let through: first those that are not good.
fn rows_to_let_through(offer: &mut Offer, seen: &Seen) {
    let mut rulings = all_rulings(seen);
    rulings.retain(|ruling| !ruling.never_excused && !ruling.advisory);
    rulings.sort_by_key(|ruling| match ruling.grade {
        Grade::Out => 0,
        Grade::Good | Grade::Worn => 2,
        _ => 1,
    });
    for ruling in rulings {
        let detail = ruling.message.unwrap_or_else(|| ruling.grade.word().to_owned());
        offer.say(ruling.path, CompletionItemKind::FIELD, Some(detail));
    }
}

/// The gauges of the record and of its shop.
pub(super) fn gauges(offer: &mut Offer, seen: &Seen) {
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
