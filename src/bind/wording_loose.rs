//! The sentences of the module `bind` about loose parts.

use super::loose::PARTS_HEADER;
use crate::book::Book;
use crate::finding::{Code, Finding, did_you_mean, list, nearest};
use crate::text::Place;

/// Every part that can be loose, as a record names it.
fn names(book: &Book) -> Vec<String> {
    let root = book.root();
    book.parts.ids().filter(|id| Some(*id) != root).map(|id| book.part_path(id, &[], ".")).collect()
}

pub(super) fn part_unknown(book: &Book, name: &str, candidates: &[String], place: Place) -> Finding {
    let name = super::wording::short(name);
    if !candidates.is_empty() {
        let which = list(candidates.iter().map(String::as_str), "or");
        return Finding::new(Code::PartUnknown, format!("`{name}` could be {which}"))
            .at(place, "which one?")
            .help(format!("write the whole path: `part: {}`", candidates.first().map_or("", String::as_str)));
    }
    if book.root().is_some_and(|root| *book.parts.get(root).name == *name) {
        return Finding::new(Code::PartUnknown, format!("`{name}` is the whole machine, not a part of it"))
            .at(place, "not a part")
            .help("write `build: NAME` for the record of a whole machine");
    }
    let known = names(book);
    let short_names = book.parts.iter().map(|part| &*part.name);
    let help = did_you_mean(nearest(&name, known.iter().map(String::as_str).chain(short_names)));
    Finding::new(Code::PartUnknown, format!("there is no part called `{name}`"))
        .at(place, "unknown part")
        .maybe_help(help)
}

pub(super) fn part_missing(book: &Book, place: Place) -> Finding {
    let known = names(book);
    let example = known.first().map_or("NAME", String::as_str);
    Finding::new(Code::PartUnknown, "the record does not say which part it is about")
        .at(place, "no `part` here")
        .help(format!("add `part: NAME`, such as `part: {example}`"))
}

pub(super) fn item_shape(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "each part of the list is a map of keys and values, and this is not one")
        .at(place, "no keys here")
        .help("begin with `- tag: NAME`, and write the part's readings below it")
}

pub(super) fn key_beside_parts(key: &str, place: Place) -> Finding {
    Finding::new(Code::KeyUnknown, format!("`{}` cannot stand beside a list of parts", super::wording::short(key)))
        .at(place, "unknown key")
        .maybe_help(
            did_you_mean(nearest(key, PARTS_HEADER)).or_else(|| Some("write it under each part it is about".into())),
        )
}

pub(super) fn concession_on_part(place: Place) -> Finding {
    Finding::new(Code::ConcessionUnknown, "a concession is for a build, not for a loose part")
        .at(place, "does not count")
        .help("write it into the record of the build that the part goes into")
}

pub(super) fn state_unreadable(place: Place) -> Finding {
    Finding::new(Code::PartStateUnreadable, "this is not a state a part can be in; the part counts as scrapped")
        .at(place, "unknown state")
        .help(
            "write `in stock`, `reserved for BUILD`, `fitted in BUILD` or `{ scrapped: YEAR-MONTH-DAY, because: WHY }`",
        )
}
