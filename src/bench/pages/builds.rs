//! The builds of the shop, gathered for the first page. Refuses to judge, and to write.

use super::{JudgedRecord, about};
use crate::bench::{Answer, Asked, Workshop};
use crate::book::{Book, Kind, Origin};
use crate::finding::Finding;
use crate::report::html::bench::{self, Begun, BuildLine, Builds};
use crate::shop::Shop;
use std::sync::Arc;

/// Characters of what is looked for; a longer text is cut there.
const MOST_FIND: usize = 100;

/// The first page; with what was typed into a form, if one comes back.
pub(in crate::bench) fn builds(workshop: &Workshop, asked: &Asked, begun: Option<&Begun>) -> Answer {
    let shop = workshop.shop();
    let records = workshop.judged().all(workshop);
    let mut lines: Vec<&BuildLine> = records.iter().filter_map(|record| record.build.as_ref()).collect();
    lines.sort_by_cached_key(|line| line.rank());
    let find: String = asked.value("find").unwrap_or_default().trim().chars().take(MOST_FIND).collect();
    let all = lines.len();
    lines.retain(|line| line.says(&find));
    // A link to the form says the generation.
    let linked = asked.value("new").map(|generation| Begun {
        what: "build".to_owned(),
        generation: generation.to_owned(),
        ..Begun::default()
    });
    let page = Builds {
        shop: about(workshop, &shop),
        find: &find,
        builds: &lines,
        all,
        generations: &generations(&shop.book),
        given: &depended_on(&shop.book),
        parts: &parts(&shop.book),
        begun: begun.or(linked.as_ref()),
        troubles: &troubles(&shop),
        cautions: &shop.book.cautions,
    };
    Answer::page(bench::builds(&page))
}

/// The generations that a record may name, with their descriptions.
pub(super) fn generations(book: &Book) -> Vec<(String, String)> {
    let named = book.generations.iter().filter(|generation| !generation.basis);
    named.map(|generation| (generation.name.to_string(), generation.description.to_string())).collect()
}

/// The readings of the whole machine that some row's condition names, each with what it may be.
pub(super) fn depended_on(book: &Book) -> Vec<(String, Vec<String>)> {
    let rows = book.generations.iter().flat_map(|generation| &generation.rows);
    let conditions: Vec<String> =
        rows.filter_map(|row| row.condition.as_ref()).map(|condition| condition.words()).collect();
    let is_named = |name: &str| {
        let is_name = |letter: char| letter.is_alphanumeric() || letter == '_';
        conditions.iter().any(|words| words.split(|letter| !is_name(letter)).any(|word| word == name))
    };
    let own = book.characteristics.iter().filter(|one| Some(one.part) == book.root());
    let own = own.filter(|one| matches!(one.origin, Origin::Reading { .. }) && is_named(&one.name));
    own.filter_map(|one| match one.kind {
        Kind::Names(set) => {
            Some((one.name.to_string(), book.sets.get(set).names.iter().map(ToString::to_string).collect()))
        }
        Kind::YesNo => Some((one.name.to_string(), vec!["yes".to_owned(), "no".to_owned()])),
        Kind::Quantity(_) | Kind::Text => None,
    })
    .collect()
}

/// The parts that may lie loose, as a record names them.
pub(super) fn parts(book: &Book) -> Vec<String> {
    book.parts.ids().skip(1).map(|id| book.part_path(id, &[], ".")).collect()
}

/// What is wrong with the books, the gauges and the shelf.
pub(super) fn troubles(shop: &Shop) -> Vec<Finding> {
    let shelf = shop.shelf_findings().into_iter();
    let all = shop.findings().iter().chain(shop.gauge_findings()).chain(shelf);
    all.filter(|finding| finding.is_error()).cloned().collect()
}

/// The folder below the shop's in which most records lie of which this is true, as the name of a record in it begins.
pub(super) fn usual_folder(
    records: &[(String, Arc<JudgedRecord>)],
    is: impl Fn(&JudgedRecord) -> bool,
) -> Option<String> {
    let mut folders: Vec<(usize, &str)> = Vec::new();
    for (name, _) in records.iter().filter(|(_, record)| is(record)) {
        let folder = name.rsplit_once('/').map_or("", |(folder, _)| folder);
        match folders.iter_mut().find(|(_, known)| *known == folder) {
            Some((count, _)) => *count += 1,
            None => folders.push((1, folder)),
        }
    }
    // Of as many the first in order.
    let most = folders.iter().map(|(count, _)| *count).max()?;
    folders.into_iter().find(|(count, _)| *count == most).map(|(_, folder)| folder.to_owned())
}
